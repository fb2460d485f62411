// Draws the charts of the transmitter pages. Turns and frequencies are told by colour and shape, the rest of a line by its dashes.
const lg = (v) => finite(v) && v > 0 ? Math.log10(v) : null;
const colourOf = (i) => apart[i % apart.length];
// A line of its own shape too, where colours run out or are not seen.
const shapeOf = (i) => shapes[(i + Math.floor(i / apart.length)) % shapes.length];
const boxLook = {backgroundColor: paper, borderColor: soft, textStyle: {color: ink}, confine: true};
const grid = {left: 62, right: 24, top: 14, bottom: 46};

// Returns what draws them anew. Charts {id, seriesOf, option} under one list of boxes to tick, each {name, ...look of its swatch}. seriesOf() tells a chart's
// series, each named after its box; `kinds` are swatches that need no box.
function drawWithBoxes(boxes, kinds, charts) {
  const there = charts.map((c) => ({...c, element: document.getElementById(c.id)})).filter((c) => c.element);
  if (!there.length) return () => {};
  const hidden = new Set();
  const redraws = there.map(({element, seriesOf, option}) =>
    draw(element, () => ({...option, grid, series: seriesOf().filter((s) => !hidden.has(s.name))})));
  const above = there[0].element.closest(".pair") ?? there[0].element;
  const list = keyAbove(above, kinds), items = document.createDocumentFragment();
  for (const box of boxes) {
    const item = document.createElement("li");
    item.innerHTML = `<label><input type="checkbox" checked> ${swatch(box)} ${escape(box.name)}</label>`;
    item.querySelector("input").addEventListener("change", ({target}) => {
      target.checked ? hidden.delete(box.name) : hidden.add(box.name);
      for (const redraw of redraws) redraw();
    });
    items.append(item);
  }
  list.prepend(items);
  return () => { for (const redraw of redraws) redraw(); };
}

const curve = (name, colour, dash, points, more = {}) => ({name, type: "line", showSymbol: false, data: points,
  itemStyle: {color: colour}, lineStyle: lineOf(colour, dash), ...more});

// ---- at every frequency
function drawSheet({curves, rows}) {
  const turns = (c) => c.turns === 1 ? "1 turn" : `${c.turns} turns`;
  const points = (c, kind, values) => c.frequency_hz.map((f, i) => ({value: [Math.log10(f), lg(values[i])], kind}));
  // Every twelfth point of a line without dashes has its shape.
  const lines = (kinds) => curves.flatMap((c, i) => kinds.map(([kind, dash, values]) =>
    curve(turns(c), colourOf(i), dash, points(c, kind, values(c)), dash === "solid"
      ? {showSymbol: true, showAllSymbol: true, symbol: shapeOf(i), symbolSize: (_, {dataIndex: k}) => k % 12 === 3 ? 8 : 0} : {})));
  const limits = [["heat limit", "dotted", (c) => c.heat],
                  ["current limit", "dashdot", (c) => c.frequency_hz.map(() => c.current)]];
  const marks = (name, key) => ({name, type: "scatter", z: 5, symbol: name === "best" ? "diamond" : "circle", symbolSize: 9,
    itemStyle: name === "best" ? {color: paper, borderColor: ink, borderWidth: 1.4} : {color: ink, borderColor: paper, borderWidth: .6},
    data: rows.filter((r) => r[key] > 0).map((r) => ({value: [Math.log10(r.frequency_hz), lg(r[key])], kind: "step " + r.step}))});
  const markBoxes = [{name: "table", colour: ink, shape: "circle"}, {name: "best", colour: ink, shape: "diamond", hollow: true}];
  const boxes = [...curves.map((c, i) => ({name: turns(c), colour: colourOf(i), shape: shapeOf(i), dash: "solid"})), ...markBoxes];
  // All that is drawn at the frequency under the pointer, a line for each name.
  const tooltip = (unit) => ({trigger: "axis", ...boxLook, formatter: (items) => {
    const told = new Map();
    for (const {seriesName, data: {value, kind}} of items.filter((item) => finite(item.data.value[1])))
      told.set(seriesName, [...told.get(seriesName) ?? [], `${kind} ${tidy(10 ** value[1], 4)}`]);
    return told.size ? `<b>${frequency(10 ** items[0].data.value[0])}</b>, ${unit}` +
      [...told].map(([name, texts]) => `<br>${escape(name)}: ${escape(texts.join(", "))}`).join("") : "";
  }});
  const option = (unit, values) => ({tooltip: tooltip(unit), axisPointer: {lineStyle: {color: soft}, label: {show: false}},
    xAxis: frequencyAxis([...curves.flatMap((c) => c.frequency_hz), ...rows.map((r) => r.frequency_hz)]),
    yAxis: logAxis(values, unit, 44)});
  const moments = (keys) => [...curves.flatMap((c) => [c.current, ...keys.flatMap((key) => c[key])]), ...rows.flatMap((r) => [r.table, r.best])];
  const limitKinds = [{name: "heat limit", dash: "dotted"}, {name: "current limit", dash: "dashdot"}];
  drawWithBoxes(boxes, [{name: "loop alone", dash: "solid"}, {name: "best capacitor of the bank", dash: "dashed"}, ...limitKinds], [{id: "chart-moment",
    seriesOf: () => [...lines([["loop alone", "solid", (c) => c.untuned], ["capacitor bank", "dashed", (c) => c.bank], ...limits]),
      marks("table", "table"), marks("best", "best")], option: option("A m²", moments(["untuned", "bank", "heat"]))}]);
  drawWithBoxes(boxes, [{name: "tuned exactly", dash: "solid"}, ...limitKinds], [{id: "chart-tuned",
    seriesOf: () => [...lines([["tuned exactly", "solid", (c) => c.tuned], ...limits]), marks("table", "table"), marks("best", "best")],
    option: option("A m²", moments(["tuned", "heat"]))}]);
  drawWithBoxes(markBoxes, [], [{id: "chart-energy", seriesOf: () => [marks("table", "table_energy"), marks("best", "best_energy")],
    option: option("J per A m² s", rows.flatMap((r) => [r.table_energy, r.best_energy]))}]);
}

// ---- keys varied: each quantity over the first key as the table has it and at best, to one scale whatever the others are.
function drawVaried({key, values, quantities, groups}) {
  const others = document.getElementById("others"), choice = others.querySelector("select");
  others.hidden = groups.length < 2;
  groups.forEach((group, i) => choice.add(new Option(group.name, String(i))));
  const chosen = () => groups[Number(choice.value)].lines, lines = groups.flatMap((group) => group.lines);
  const name = (l) => frequency(l.frequency_hz), names = [...new Set(lines.map(name))];
  const colour = (n) => colourOf(names.indexOf(n)), shape = (n) => shapeOf(names.indexOf(n));
  const dash = {A: "solid", B: "dashed"};
  const charts = quantities.flatMap(({id, unit}) => ["table", "best"].map((which) => ({id: `chart-${id}-${which}`,
    seriesOf: () => chosen().map((l) => curve(name(l), colour(name(l)), dash[l.loop] ?? "dotted",
      values.map((v, i) => ({value: [v, lg(l[which][id][i])], step: l.step})), {showSymbol: true, symbol: shape(name(l)), symbolSize: 7})),
    option: {xAxis: valueAxis(key, 30, {axisLabel: {color: soft, hideOverlap: true, formatter: (v) => tidy(v)}}),
      yAxis: logAxis(lines.flatMap((l) => [...l.table[id], ...l.best[id]]), unit, 44),
      tooltip: {trigger: "item", ...boxLook, formatter: ({seriesName, data: {value, step}}) =>
        `<b>step ${escape(step)}, ${escape(seriesName)}</b><br>${escape(key)} ${tidy(value[0], 6)}: ${tidy(10 ** value[1], 4)} ${unit}`}}})));
  const redraw = drawWithBoxes(names.map((n) => ({name: n, colour: colour(n), shape: shape(n), dash: "solid"})),
    [{name: "loop A", dash: "solid"}, {name: "loop B", dash: "dashed"}, {name: "both loops", dash: "dotted"}], charts);
  choice.addEventListener("change", redraw);
}

if (data.curves) drawSheet(data);
if (data.varied) drawVaried(data.varied);
