// Usable offsets against frequency.
function reachOption(sector) {
  const cell = (f) => sector < 0 ? f.all_directions : f.sectors[sector];
  const bars = [];
  data.frequencies.forEach((f, i) => {
    for (const kind of ["far_field", "sufficient_snr", "usable"])
      for (const interval of cell(f)[kind]) bars.push({value: [Math.log10(f.frequency_hz), Math.log10(interval.from_m), Math.log10(interval.to_m)], kind, f, interval});
  });
  const looks = {far_field: {fill: "var(--near)", shift: -7, width: 4}, sufficient_snr: {fill: "var(--noisy)", shift: 7, width: 4},
                 usable: {fill: "var(--usable)", shift: 0, width: 9}};
  const drawBar = (params, api) => {
    const bar = bars[params.dataIndex], look = looks[bar.kind];
    const low = api.coord([api.value(0), api.value(1)]), high = api.coord([api.value(0), api.value(2)]);
    return {type: "rect", shape: {x: low[0] + look.shift - look.width / 2, y: high[1], width: look.width, height: Math.max(1, low[1] - high[1])},
      style: {fill: look.fill}};
  };
  const inSector = (s) => sector < 0 || s.sector_index === sector;
  const dots = data.stations.filter(inSector).flatMap((s) => data.frequencies.map((f, i) => ({value: [Math.log10(f.frequency_hz), Math.log10(s.offset_m)],
    station: s, f, inside: s.in_window[i], itemStyle: s.in_window[i] ? {color: ink, borderColor: paper, borderWidth: .8} : {color: paper, borderColor: ink, borderWidth: 1.1}})));
  const range = [data.offset_min_m, data.offset_max_m];
  const label = {far_field: "far field", sufficient_snr: "enough signal", usable: "usable"};
  return {
    grid: {left: 62, right: 20, top: 12, bottom: 50},
    xAxis: frequencyAxis(data.frequencies.map((f) => f.frequency_hz)),
    yAxis: logAxis(range, "offset m", 44),
    tooltip: {trigger: "item", backgroundColor: paper, borderColor: soft, textStyle: {color: ink}, confine: true,
      formatter: ({seriesName, data: d}) => d.station
        ? `<b>${escape(d.station.name)}</b>, ${frequency(d.f.frequency_hz)}<br>${tidy(d.station.offset_m)} m at ${tidy(d.station.bearing_deg)}°, ${d.inside ? "in" : "outside"} the window`
        : d.interval ? `<b>${frequency(d.f.frequency_hz)}</b>, ${label[d.kind]}<br>${tidy(d.interval.from_m)} to ${tidy(d.interval.to_m)} m` : escape(seriesName)},
    series: [
      ...["far_field", "sufficient_snr", "usable"].map((kind) => ({name: label[kind], type: "custom", clip: true, itemStyle: {color: looks[kind].fill}, encode: {x: 0, y: [1, 2]},
        data: bars.filter((b) => b.kind === kind), renderItem: (params, api) => {
          const own = bars.filter((b) => b.kind === kind);
          return drawBar({...params, dataIndex: bars.indexOf(own[params.dataIndex])}, api);
        }})),
      {name: "rule of thumb", type: "line", showSymbol: false, lineStyle: lineOf(soft, "dashed", 1.3), itemStyle: {color: soft},
        data: data.frequencies.map((f) => [Math.log10(f.frequency_hz), Math.log10(f.rule_of_thumb_m)]).sort((a, b) => a[0] - b[0])},
      {name: "stations", type: "scatter", symbolSize: 6, itemStyle: {color: ink}, data: dots}]
  };
}

const sectorChoice = document.getElementById("sector");
sectorChoice.add(new Option("all", "-1"));
data.sectors.forEach((s, i) => sectorChoice.add(new Option(`${s.from_deg} to ${s.to_deg}°` + (s.also_opposite ? " and opposite" : ""), String(i))));
const redrawReach = draw(document.getElementById("chart-reach"), () => reachOption(Number(sectorChoice.value)));
sectorChoice.addEventListener("change", redrawReach);
keyAbove(document.getElementById("chart-reach"), [{name: "usable", colour: "var(--usable)", band: 1}, {name: "far field", colour: "var(--near)", band: 1},
  {name: "enough signal", colour: "var(--noisy)", band: 1}, {name: "rule of thumb", colour: soft, dash: "dashed"},
  {name: "station in the window", shape: "circle"}, {name: "outside", shape: "circle", hollow: true}]);
