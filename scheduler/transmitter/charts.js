// Draws the charts of the transmitter pages. Turns and frequencies are told by colour, the rest of a line by its dashes.
const lg = (v) => finite(v) && v > 0 ? Math.log10(v) : null;
// From blue to orange by way of violet and red, each at a contrast above 3 on light paper and on dark.
const colourOf = (i, count) => { const t = count > 1 ? i / (count - 1) : 0; return `hsl(${220 + 165 * t}, 65%, ${62 - 12 * t}%)`; };
const boxLook = {backgroundColor: paper, borderColor: soft, textStyle: {color: ink}, confine: true};
const grid = {left: 62, right: 24, top: 14, bottom: 46};

// A chart with a box to tick for each {name, colour, sign} above it. seriesOf() tells the series, each named after its box.
function drawWithBoxes(id, boxes, seriesOf, option) {
  const element = document.getElementById(id), hidden = new Set(), list = document.createElement("ul");
  if (!element) return;
  list.className = "legend";
  element.before(list);
  const redraw = draw(element, () => ({...option, grid, series: seriesOf().filter((s) => !hidden.has(s.name))}));
  for (const {name, colour, sign} of boxes) {
    const label = document.createElement("label"), box = document.createElement("input"), item = document.createElement("li");
    Object.assign(box, {type: "checkbox", checked: true});
    box.style.accentColor = colour;
    box.addEventListener("change", () => { box.checked ? hidden.delete(name) : hidden.add(name); redraw(); });
    label.append(box, ` ${name}${sign ? " " + sign : ""}`);
    item.append(label);
    list.append(item);
  }
}

const curve = (name, colour, type, points, more = {}) => ({name, type: "line", showSymbol: false, data: points,
  itemStyle: {color: colour}, lineStyle: {color: colour, type, width: 1.6}, ...more});

// ---- at every frequency
function drawSheet({curves, rows}) {
  const turns = (c) => c.turns === 1 ? "1 turn" : `${c.turns} turns`;
  const points = (c, kind, values) => c.frequency_hz.map((f, i) => ({value: [Math.log10(f), lg(values[i])], kind}));
  const lines = (kinds) => curves.flatMap((c, i) => kinds.map(([kind, type, values]) =>
    curve(turns(c), colourOf(i, curves.length), type, points(c, kind, values(c)))));
  const limits = [["heat limit", [2, 4], (c) => c.heat],
                  ["current limit", [8, 3, 2, 3], (c) => c.frequency_hz.map(() => c.current)]];
  const marks = (name, key) => ({name, type: "scatter", z: 5, symbol: name === "best" ? "diamond" : "circle", symbolSize: 9,
    itemStyle: {color: name === "best" ? "var(--usable)" : ink},
    data: rows.filter((r) => r[key] > 0).map((r) => ({value: [Math.log10(r.frequency_hz), lg(r[key])], kind: "step " + r.step}))});
  const markBoxes = [{name: "table", colour: ink, sign: "●"}, {name: "best", colour: "var(--usable)", sign: "◆"}];
  const boxes = [...curves.map((c, i) => ({name: turns(c), colour: colourOf(i, curves.length)})), ...markBoxes];
  // All that is drawn at the frequency under the pointer, a line for each name.
  const tooltip = (unit) => ({trigger: "axis", ...boxLook, formatter: (items) => {
    const told = new Map();
    for (const {seriesName, data: {value, kind}} of items.filter((item) => finite(item.data.value[1])))
      told.set(seriesName, [...told.get(seriesName) ?? [], `${kind} ${tidy(10 ** value[1], 4)}`]);
    return told.size ? `<b>${frequency(10 ** items[0].data.value[0])}</b>, ${unit}` +
      [...told].map(([name, texts]) => `<br>${escape(name)}: ${escape(texts.join(", "))}`).join("") : "";
  }});
  const option = (unit, values) => ({tooltip: tooltip(unit), axisPointer: {lineStyle: {color: soft}, label: {show: false}},
    xAxis: logAxis([...curves.flatMap((c) => c.frequency_hz), ...rows.map((r) => r.frequency_hz)], "Hz", 30),
    yAxis: logAxis(values, unit, 44)});
  const moments = (keys) => [...curves.flatMap((c) => [c.current, ...keys.flatMap((key) => c[key])]), ...rows.flatMap((r) => [r.table, r.best])];
  drawWithBoxes("chart-moment", boxes, () => [
    ...lines([["loop alone", "solid", (c) => c.untuned], ["capacitor bank", "dashed", (c) => c.bank], ...limits]),
    marks("table", "table"), marks("best", "best")], option("A m²", moments(["untuned", "bank", "heat"])));
  drawWithBoxes("chart-tuned", boxes, () => [...lines([["tuned exactly", "solid", (c) => c.tuned], ...limits]),
    marks("table", "table"), marks("best", "best")], option("A m²", moments(["tuned", "heat"])));
  drawWithBoxes("chart-energy", markBoxes, () => [marks("table", "table_energy"), marks("best", "best_energy")],
    option("J per A m² s", rows.flatMap((r) => [r.table_energy, r.best_energy])));
}

// ---- one key varied
function drawVaried({key, values, lines}) {
  const name = (l) => frequency(l.frequency_hz), names = [...new Set(lines.map(name))];
  const colour = (n) => colourOf(names.indexOf(n), names.length);
  const dashes = {A: "solid", B: "dashed"};
  for (const which of ["table", "best"])
    drawWithBoxes("chart-varied-" + which, names.map((n) => ({name: n, colour: colour(n)})),
      () => lines.map((l) => curve(name(l), colour(name(l)), dashes[l.loop] ?? "dotted",
        values.map((v, i) => ({value: [v, lg(l[which][i])], step: l.step})), {showSymbol: true, symbol: "circle", symbolSize: 5})),
      {xAxis: valueAxis(key, 30, {axisLabel: {color: soft, formatter: (v) => tidy(v)}}),
       yAxis: logAxis(lines.flatMap((l) => l[which]), "A m²", 44),
       tooltip: {trigger: "item", ...boxLook, formatter: ({seriesName, data: {value, step}}) =>
         `<b>step ${escape(step)}, ${escape(seriesName)}</b><br>${escape(key)} ${tidy(value[0], 6)}: ${tidy(10 ** value[1], 4)} A m²`}});
}

if (data.curves) drawSheet(data);
if (data.varied) drawVaried(data.varied);
