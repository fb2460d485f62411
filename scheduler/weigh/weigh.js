// Draws the front of senders: moment against weight and against watt-hours, the chosen one filled.
const {points, chosen} = data;
const looks = [{name: "on the front", colour: apart[0], shape: "circle", hollow: true}, {name: "chosen", colour: apart[1], shape: "diamond"}];

function drawFront(id, key, axis, across) {
  const element = document.getElementById(id);
  keyAbove(element, looks);
  const marks = (look, of) => ({name: look.name, type: "scatter", symbol: look.shape, symbolSize: look.hollow ? 9 : 14,
    itemStyle: {color: look.hollow ? paper : look.colour, borderColor: look.colour, borderWidth: 1.6},
    data: of.map((point) => ({value: [across(point[key]), Math.log10(point.moment)], point}))});
  draw(element, () => ({
    grid: {left: 62, right: 24, top: 14, bottom: 46},
    xAxis: axis, yAxis: logAxis(points.map((p) => p.moment), "A m²", 44, .3),
    tooltip: {trigger: "item", backgroundColor: paper, borderColor: soft, textStyle: {color: ink}, confine: true,
      extraCssText: "white-space: normal; max-width: 260px",
      formatter: ({data: {point: p}}) =>
        `<b>sender ${p.number}</b>: ${tidy(p.moment, 4)} A m², ${tidy(p.kg, 4)} kg, ${tidy(p.wh, 4)} Wh<br>${escape(p.words)}`},
    series: [marks(looks[0], points.filter((p) => p.number !== chosen)), marks(looks[1], points.filter((p) => p.number === chosen))]
  }));
}
drawFront("chart-weight", "kg", valueAxis("carried kg", 30), (kg) => kg);
drawFront("chart-energy", "wh", logAxis(points.map((p) => p.wh), "Wh", 30), Math.log10);
