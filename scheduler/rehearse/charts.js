// Draws the charts of a rehearsal; data, drawing, numbers and axes come from the report's common.js.
const red = "var(--transition)", green = "var(--usable)", amber = "var(--noisy)", violet = "var(--near)";
const lg = (v) => finite(v) && v > 0 ? Math.log10(v) : null;
const drawAt = (id, option) => { const element = document.getElementById(id); return element ? draw(element, option) : () => {}; };

// Many decades: ticks at the decades only, small numbers in powers of ten.
function decadeAxis(values, name, gap, more = {}) {
  const logs = values.map(lg).filter((v) => v !== null);
  let low = logs.length ? Math.min(...logs) : 0, high = logs.length ? Math.max(...logs) : 1;
  const pad = Math.max(.06, (1 - (high - low)) / 2);
  low -= pad; high += pad;
  const grid = [], labels = [], wide = high - low > 4;
  for (let decade = Math.floor(low); decade <= high; ++decade)
    for (let n = 1; n <= 9; ++n) {
      const at = decade + Math.log10(n);
      if (at < low || at > high) continue;
      if (n === 1 || !wide) grid.push(at);
      if (n === 1 || (!wide && (n === 2 || n === 5))) labels.push(at);
    }
  return {type: "value", min: low, max: high, name, nameGap: gap, ...axisLook,
    axisTick: {...axisLook.axisTick, customValues: grid}, splitLine: {...axisLook.splitLine, customValues: grid},
    axisLabel: {color: soft, customValues: labels, hideOverlap: true,
      formatter: (v) => { const x = 10 ** v; return x >= 999.5 && x < 1e6 ? tidy(x / 1e3) + "k" : x < 1e-3 ? x.toExponential(0) : tidy(x); }},
    ...more};
}
// High frequencies to the left, as on all pages.
const frequencies = (values, name, more) => decadeAxis(values, name, 28, {inverse: true, ...more});
const bar = (colour) => (params, api) => {
  const x = api.coord([api.value(0), api.value(1)])[0], width = 4;
  const y0 = api.coord([api.value(0), api.value(1)])[1], y1 = api.coord([api.value(0), api.value(2)])[1];
  const stroke = {stroke: colour, lineWidth: 1.2};
  return {type: "group", children: [
    {type: "line", shape: {x1: x, y1: y0, x2: x, y2: y1}, style: stroke},
    {type: "line", shape: {x1: x - width, y1: y0, x2: x + width, y2: y0}, style: stroke},
    {type: "line", shape: {x1: x - width, y1: y1, x2: x + width, y2: y1}, style: stroke}]};
};
const clipBar = (value, share) => [lg(Math.max(value * (1 - share), value / 30)), lg(value * (1 + share))];

// ---- curves with bars
let station = 0;
const own = () => data.measured.filter((m) => m.station_index === station);
function curveOption() {
  const all = own(), got = all.filter((m) => m.measured), s = data.stations[station];
  const natural = all.flatMap((m) => m.natural).filter((n) => n.coherence_squared > .3);
  const rhos = [...all.map((m) => m.plane_resistivity_ohm_m), ...got.flatMap((m) => [m.xy.resistivity_ohm_m, m.yx.resistivity_ohm_m])];
  const series = [];
  const both = (name, colour, points, more = {}) => {
    series.push({name, type: "line", xAxisIndex: 0, yAxisIndex: 0, showSymbol: false, data: points.map((p) => [lg(p[0]), lg(p[1])]),
      itemStyle: {color: colour}, lineStyle: {color: colour, width: 1.6, ...more}});
    series.push({name, type: "line", xAxisIndex: 1, yAxisIndex: 1, showSymbol: false, data: points.map((p) => [lg(p[0]), p[2]]),
      itemStyle: {color: colour}, lineStyle: {color: colour, width: 1.6, ...more}});
  };
  both("plane wave over the true ground", soft, all.map((m) => [m.frequency_hz, m.plane_resistivity_ohm_m, m.plane_phase_deg]), {type: dashes.dashed});
  both("true ground with this source, xy", ink, got.map((m) => [m.frequency_hz, m.xy.true_resistivity_ohm_m, m.xy.true_phase_deg]));
  for (const [key, colour, symbol] of [["xy", accent, "circle"], ["yx", red, "diamond"]]) {
    const name = key + ", measured, one standard deviation", item = {color: colour};
    series.push({name, type: "scatter", symbol, symbolSize: 8, xAxisIndex: 0, yAxisIndex: 0, itemStyle: item,
      data: got.map((m) => ({value: [lg(m.frequency_hz), lg(m[key].resistivity_ohm_m)], m, key}))});
    series.push({name, type: "custom", renderItem: bar(colour), xAxisIndex: 0, yAxisIndex: 0, itemStyle: item, silent: true,
      data: got.map((m) => [lg(m.frequency_hz), ...clipBar(m[key].resistivity_ohm_m, m[key].sd_with_sensors.resistivity_percent / 100)])});
    series.push({name, type: "scatter", symbol, symbolSize: 8, xAxisIndex: 1, yAxisIndex: 1, itemStyle: item,
      data: got.map((m) => ({value: [lg(m.frequency_hz), m[key].phase_deg], m, key}))});
    series.push({name, type: "custom", renderItem: bar(colour), xAxisIndex: 1, yAxisIndex: 1, itemStyle: item, silent: true,
      data: got.map((m) => [lg(m.frequency_hz), m[key].phase_deg - m[key].sd_with_sensors.phase_deg, m[key].phase_deg + m[key].sd_with_sensors.phase_deg])});
  }
  if (natural.length) {
    series.push({name: "natural field, between its two bounds", type: "custom", renderItem: bar(green), itemStyle: {color: green}, silent: true,
      data: natural.map((n) => [lg(n.centre_hz), lg(n.resistivity_h_reference_ohm_m), lg(n.resistivity_e_reference_ohm_m)])});
    series.push({name: "natural field, between its two bounds", type: "scatter", symbol: "rect", symbolSize: 4, xAxisIndex: 1, yAxisIndex: 1,
      itemStyle: {color: green}, silent: true, data: natural.map((n) => [lg(n.centre_hz), n.phase_deg])});
    rhos.push(...natural.map((n) => n.resistivity_h_reference_ohm_m));
  }
  const section = s.sections.find((x) => x.smooth && x.source_aware);
  if (section) both("fit of the smooth ground, true source", violet, s.inverted_frequencies_hz.map((f, i) =>
    [f, section.fit_resistivity_ohm_m[i], section.fit_phase_deg[i]]), {type: dashes.dotted, width: 2});
  const fs = [...all.map((m) => m.frequency_hz), ...natural.map((n) => n.centre_hz)];
  const phases = [0, 90, ...got.flatMap((m) => [m.xy.phase_deg, m.yx.phase_deg])];
  return {
    grid: [{left: 64, right: 20, top: 14, height: "55%"}, {left: 64, right: 20, bottom: 46, height: "25%"}],
    xAxis: [frequencies(fs, "", {gridIndex: 0}), frequencies(fs, "frequency Hz (shallow to the left)", {gridIndex: 1})],
    yAxis: [decadeAxis(rhos, "apparent resistivity ohm m", 44, {gridIndex: 0}),
      {type: "value", name: "phase degrees", nameGap: 44, gridIndex: 1, min: Math.floor(Math.min(...phases) / 15) * 15,
        max: Math.ceil(Math.max(...phases) / 15) * 15, ...axisLook, axisLabel: {color: soft}}],
    tooltip: {trigger: "item", backgroundColor: paper, borderColor: soft, textStyle: {color: ink}, confine: true,
      formatter: ({data: d}) => !d || !d.m ? "" : `<b>${frequency(d.m.frequency_hz)}, ${d.key}</b><br>` +
        `${tidy(d.m[d.key].resistivity_ohm_m)} ohm m ± ${tidy(d.m[d.key].sd_with_sensors.resistivity_percent, 2)} % ` +
        `(noise alone ${tidy(d.m[d.key].sd_jackknife.resistivity_percent, 2)} %, planned ${tidy(d.m[d.key].sd_planned.resistivity_percent, 2)} %)<br>true with this source ${tidy(d.m[d.key].true_resistivity_ohm_m)} ohm m<br>` +
        `phase ${tidy(d.m[d.key].phase_deg)}° ± ${tidy(d.m[d.key].sd_with_sensors.phase_deg, 2)}°<br>coherence² ${tidy(d.m[d.key].coherence_squared, 4)}`},
    series};
}

// ---- spectra
function spectrumOption() {
  const s = data.stations[station].spectrum, n = s.frequency_hz.length;
  const e = s.e_v_per_m_rthz.map((v) => v * 1e6), b = s.h_a_per_m_rthz.map((v) => v * 4e5 * Math.PI);
  const series = [];
  for (const [name, values, index, colour] of [["E", e, 0, red], ["B", b, 1, accent]]) {
    const at = (wanted) => [...Array(n).keys()].filter((i) => s.is_line[i] === wanted);
    series.push({name: name + " noise (natural, mains, sensors)", type: "line", symbol: "circle", symbolSize: 2, xAxisIndex: index, yAxisIndex: index,
      itemStyle: {color: colour}, lineStyle: {color: colour, width: 1}, data: at(false).map((i) => [lg(s.frequency_hz[i]), lg(values[i])])});
    series.push({name: "lines of loop A", type: "custom", xAxisIndex: index, yAxisIndex: index, itemStyle: {color: ink}, silent: true,
      data: at(true).map((i) => [lg(s.frequency_hz[i]), lg(values[i])]), renderItem: (params, api) => {
        const [x, y] = api.coord([api.value(0), api.value(1)]);
        return {type: "line", shape: {x1: x, x2: x, y1: params.coordSys.y + params.coordSys.height, y2: y}, style: {stroke: ink, lineWidth: 1.6}};
      }});
  }
  return {
    grid: [{left: 74, right: 20, top: 14, height: "39%"}, {left: 74, right: 20, bottom: 46, height: "36%"}],
    xAxis: [0, 1].map((i) => frequencies(s.frequency_hz, i ? "frequency Hz (shallow to the left)" : "", {gridIndex: i})),
    yAxis: [decadeAxis(e, "E µV/m/√Hz", 52, {gridIndex: 0}), decadeAxis(b, "B pT/√Hz", 52, {gridIndex: 1})], series};
}

// ---- sections
const looks = {"smooth, plane wave": [red, "solid", 2], "few layers, plane wave": [red, "dashed", 1.6],
  "smooth, true source": [accent, "solid", 2.4], "few layers, true source": [accent, "dashed", 1.6]};
function bottomOf(layers) { return layers[layers.length - 1].top_m * 1.6 || 100; }
function stairs(layers, top, bottom) {
  const points = [];
  layers.forEach((l, i) => {
    const to = i + 1 < layers.length ? layers[i + 1].top_m : bottom;
    points.push([lg(l.resistivity_ohm_m), lg(Math.max(l.top_m, top))], [lg(l.resistivity_ohm_m), lg(Math.max(to, top))]);
  });
  return points;
}
// A station's own ground, or the survey's.
const truthOf = (s) => s.truth || data.truth;
function sectionOption() {
  const s = data.stations[station];
  if (!s.sections.length) return {title: {text: s.note || "not inverted", left: "center", top: "middle", textStyle: {color: soft, fontWeight: "normal"}}};
  const top = Math.max(1, s.sections[0].layers[1].top_m / 2), bottom = bottomOf(s.sections[0].layers);
  const series = [{name: "true ground", type: "line", showSymbol: false, data: stairs(truthOf(s), top, bottom), itemStyle: {color: ink},
    lineStyle: {color: ink, width: 5, opacity: .35}}];
  for (const section of s.sections) {
    const [colour, dash, width] = looks[section.name];
    series.push({name: `${section.name} (rms ${tidy(section.misfit_rms, 2)})`, type: "line", showSymbol: false, data: stairs(section.layers, top, bottom),
      itemStyle: {color: colour}, lineStyle: lineOf(colour, dash, width),
      markLine: section.smooth && section.source_aware && section.depth_of_investigation_m > 0 ? {silent: true, symbol: "none",
        data: [{yAxis: lg(section.depth_of_investigation_m)}], lineStyle: {color: amber, type: "dashed"},
        label: {formatter: "depth of investigation", color: amber, position: "insideStartTop"}} : undefined});
  }
  // A plane-wave fit to the near field runs to the ends of what is allowed: the axis follows the truth.
  const span = [...truthOf(s), ...s.sections.filter((x) => x.source_aware && x.smooth).flatMap((x) => x.layers)].map((l) => l.resistivity_ohm_m);
  const rhos = [Math.min(...span) / 12, Math.max(...span) * 5];
  return {grid: {left: 64, right: 20, top: 14, bottom: 46},
    xAxis: decadeAxis(rhos, "resistivity ohm m", 28), yAxis: decadeAxis([top, bottom], "depth m", 44, {inverse: true}), series};
}

// ---- all stations side by side
// Cividis, which falls evenly from light to dark for all eyes: Nunez, Anderton and Renslow (2018), PLoS ONE 13, from memory.
const palette = ["#ffea46", "#e4cf5b", "#c4b56c", "#a69d75", "#8a8779", "#707173", "#575c6d", "#39486b", "#00336f", "#00204d"];
function colourOf(log10, low, high) {
  const t = Math.min(1, Math.max(0, (log10 - low) / (high - low))) * (palette.length - 1), i = Math.min(palette.length - 2, Math.floor(t));
  const rgb = (hex) => [1, 3, 5].map((k) => parseInt(hex.slice(k, k + 2), 16));
  const a = rgb(palette[i]), b = rgb(palette[i + 1]);
  return `rgb(${a.map((v, k) => Math.round(v + (t - i) * (b[k] - v))).join(",")})`;
}
function profileOption(width) {
  const kinds = ["smooth, plane wave", "smooth, true source"];
  const found = data.stations.flatMap((s) => s.sections.filter((x) => kinds.includes(x.name)));
  if (!found.length) return {title: {text: "no station inverted", left: "center", top: "middle", textStyle: {color: soft}}};
  const top = Math.max(1, Math.min(...found.map((x) => x.layers[1].top_m)) / 1.5);
  const bottom = Math.max(...found.map((x) => bottomOf(x.layers)));
  const logs = [data.truth, ...data.stations.map(truthOf)].flat().map((l) => lg(l.resistivity_ohm_m)), low = Math.min(...logs) - .5, high = Math.max(...logs) + .3;
  // Behind the stations the survey's ground, and the own ones of stations.
  const truths = [{name: "truth", truth: data.truth}, ...data.stations.filter((s) => s.truth).map((s) => ({name: "truth at " + s.name, truth: s.truth}))];
  const names = [...data.stations, ...truths].map((s) => s.name);
  const series = kinds.map((kind, k) => ({name: kind, type: "custom", xAxisIndex: k, yAxisIndex: k, clip: true,
    data: names.flatMap((name, i) => {
      const section = i < data.stations.length ? data.stations[i].sections.find((x) => x.name === kind) : {layers: truths[i - data.stations.length].truth, depth_of_investigation_m: bottom};
      return !section ? [] : section.layers.map((l, j) => [i, lg(Math.max(top, l.top_m)), lg(j + 1 < section.layers.length ? Math.max(top, section.layers[j + 1].top_m) : bottom),
        lg(l.resistivity_ohm_m), l.top_m < section.depth_of_investigation_m ? 1 : .35]);
    }),
    renderItem: (params, api) => {
      const [x, y0] = api.coord([api.value(0), api.value(1)]), y1 = api.coord([api.value(0), api.value(2)])[1], w = api.size([1, 0])[0] * .92;
      return {type: "rect", shape: {x: x - w / 2, y: y0, width: w, height: y1 - y0 + .5}, style: {fill: colourOf(api.value(3), low, high), opacity: api.value(4)}};
    }}));
  return {
    title: kinds.map((kind, k) => ({text: kind, left: k ? "54%" : 60, top: 0, textStyle: {color: ink, fontSize: 13, width: width * .42, overflow: "break"}})),
    grid: [{left: 60, width: "41%", top: 40, bottom: 76}, {left: "54%", right: 20, top: 40, bottom: 76}],
    xAxis: [0, 1].map((i) => ({type: "category", data: names, gridIndex: i, axisLabel: {color: soft, interval: 0, rotate: names.length > 8 ? 60 : 0}, axisLine: {onZero: false}})),
    yAxis: [0, 1].map((i) => decadeAxis([top, bottom], i ? "" : "depth m", 42, {gridIndex: i, inverse: true})),
    visualMap: {type: "continuous", min: low, max: high, calculable: false, orient: "horizontal", left: "center", bottom: 0, seriesIndex: [], itemHeight: 220, itemWidth: 12,
      text: [tidy(10 ** high, 2) + " ohm m", tidy(10 ** low, 2)], textStyle: {color: soft}, inRange: {color: palette}},
    tooltip: {trigger: "item", backgroundColor: paper, borderColor: soft, textStyle: {color: ink}, confine: true,
      formatter: ({value: v}) => `<b>${escape(names[v[0]])}</b><br>${tidy(10 ** v[1])} to ${tidy(10 ** v[2])} m<br>${tidy(10 ** v[3])} ohm m`},
    series};
}

// ---- information
function informationOption() {
  const f = highFirst(data.answer.frequencies), names = f.map((x) => frequency(x.frequency_hz));
  const bars = (name, index, key, colour) => ({name, type: "bar", xAxisIndex: index, yAxisIndex: index, itemStyle: {color: colour}, data: f.map((x) => x[key])});
  return {
    grid: [{left: 74, right: 20, top: 14, height: "34%"}, {left: 74, right: 20, bottom: 66, height: "30%"}],
    xAxis: [0, 1].map((i) => ({type: "category", data: names, gridIndex: i, name: i ? "frequency (shallow to the left)" : "", nameLocation: "middle", nameGap: 48,
      nameTextStyle: {color: soft}, axisLabel: {color: soft, show: i === 1, rotate: 45}})),
    yAxis: ["nats", "nats per W h"].map((name, i) => ({type: "value", name, nameGap: 52, gridIndex: i, ...axisLook, axisLabel: {color: soft}})),
    tooltip: {trigger: "axis", backgroundColor: paper, borderColor: soft, textStyle: {color: ink}, confine: true, valueFormatter: (v) => tidy(v)},
    series: [bars("this frequency alone, host known", 0, "information_alone_nats", soft), bars("lost without it", 0, "lost_without_nats", accent),
      bars("lost without it, per watt-hour", 1, "lost_without_nats_per_wh", green)]};
}

function showKeys() {
  const key = (id, items) => { const element = document.getElementById(id); if (element) keyAbove(element, items); };
  const sections = data.stations[station].sections;
  key("chart-curve", [{name: "plane wave over the true ground", colour: soft, dash: "dashed"}, {name: "true ground with this source, xy", dash: "solid"},
    {name: "xy, measured, one standard deviation", colour: accent, shape: "circle"}, {name: "yx, measured", colour: red, shape: "diamond"},
    {name: "natural field, between its two bounds", colour: green, shape: "rect"}, {name: "fit of the smooth ground, true source", colour: violet, dash: "dotted"}]);
  key("chart-spectrum", [{name: "E noise (natural, mains, sensors)", colour: red, dash: "solid"}, {name: "B noise", colour: accent, dash: "solid"},
    {name: "lines of loop A", band: 1}]);
  key("chart-section", sections.length ? [{name: "true ground", colour: ink, band: .35}, ...sections.map((x) =>
    ({name: `${x.name} (rms ${tidy(x.misfit_rms, 2)})`, colour: looks[x.name][0], dash: looks[x.name][1]}))] : []);
  if (data.answer) key("chart-information", [{name: "this frequency alone, host known", colour: soft, band: 1}, {name: "lost without it", colour: accent, band: 1},
    {name: "lost without it, per watt-hour", colour: green, band: 1}]);
}
showKeys();
const redraws = [drawAt("chart-curve", curveOption), drawAt("chart-spectrum", spectrumOption), drawAt("chart-section", sectionOption)];
drawAt("chart-profile", profileOption);
if (data.answer) drawAt("chart-information", informationOption);
const select = document.getElementById("station");
if (select) select.addEventListener("change", () => { station = Number(select.value); showKeys(); for (const redraw of redraws) redraw(); });
