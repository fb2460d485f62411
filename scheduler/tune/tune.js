// Dwells before and after.
const tuned = highFirst(data.frequencies);
draw(document.getElementById("chart-dwell"), () => ({
  grid: {left: 58, right: 20, top: 12, bottom: 66},
  xAxis: {type: "category", data: tuned.map((f) => frequency(f.frequency_hz)), ...axisLook, splitLine: {show: false},
    name: "frequency Hz (shallow to the left)", nameGap: 46, axisLabel: {color: soft, rotate: 40, hideOverlap: true}},
  yAxis: valueAxis("dwell A + B, s", 40, {scale: false}),
  tooltip: {trigger: "axis", backgroundColor: paper, borderColor: soft, textStyle: {color: ink}, confine: true,
    formatter: (items) => `<b>${escape(items[0].name)}</b>` + items.map((i) => `<br>${escape(i.seriesName)}: ${tidy(i.value, 4)} s`).join("")},
  series: [
    {name: "before", type: "bar", itemStyle: {color: soft, opacity: .5}, data: tuned.map((f) => f.dwell_a_before_s + f.dwell_b_before_s)},
    {name: "after", type: "bar", itemStyle: {color: accent}, data: tuned.map((f) => f.dwell_a_s + f.dwell_b_s)}]
}));
keyAbove(document.getElementById("chart-dwell"), [{name: "before", colour: soft, band: .5}, {name: "after", colour: accent, band: 1}]);
