// What all pages share: data, drawing, numbers, axes. Colours are the page's CSS variables, so that light, dark and print
// need no redraw. Logarithmic axes are linear axes of log10 values with ticks at 1 to 9 of each decade.
const data = JSON.parse(document.getElementById("data").textContent);
const escape = echarts.format.encodeHTML;
const ink = "var(--ink)", soft = "var(--soft)", line = "var(--line)", accent = "var(--accent)", paper = "var(--paper)";
const shown = [];

// A shape under the pointer keeps its look: the library cannot lighten a colour that is a CSS variable.
const calm = (series) => ({emphasis: {disabled: true}, ...series, ...(series.renderItem ? {renderItem: (params, api) => {
  const shape = series.renderItem(params, api);
  return shape && {...shape, emphasisDisabled: true};
}} : {})});

function draw(element, option) {
  const chart = echarts.init(element, null, {renderer: "svg"});
  const redraw = () => {
    const wanted = option(chart.getWidth(), chart.getHeight());
    chart.setOption({
      animation: false, backgroundColor: "transparent",
      textStyle: {fontFamily: getComputedStyle(document.body).fontFamily, color: ink},
      tooltip: {backgroundColor: paper, borderColor: soft, textStyle: {color: ink, fontSize: 13}, confine: true},
      ...wanted, series: wanted.series.map(calm)
    }, true);
    // Lets the page scale the drawing on paper.
    element.querySelector("svg").setAttribute("viewBox", `0 0 ${chart.getWidth()} ${chart.getHeight()}`);
  };
  redraw();
  shown.push({chart, redraw});
  return redraw;
}

// On paper a chart is drawn anew at the width of a page: scaled down from a screen its letters and dashes would be lost.
const paper_width_px = 700;
addEventListener("beforeprint", () => { for (const {chart, redraw} of shown) {
  chart.resize({width: Math.min(paper_width_px, chart.getDom().clientWidth || paper_width_px)}); redraw(); } });
addEventListener("afterprint", () => { for (const {chart, redraw} of shown) if (chart.getDom().clientWidth) { chart.resize({width: "auto"}); redraw(); } });

let resizing = 0;
addEventListener("resize", () => {
  clearTimeout(resizing);
  resizing = setTimeout(() => {
    if (matchMedia("print").matches) return;
    for (const {chart, redraw} of shown) if (chart.getDom().clientWidth) { chart.resize(); redraw(); }
  }, 100);
});

// ---- keys and pages
// Colours that stay apart for colour-blind eyes, the darker ones first: Okabe and Ito (2008), "Color Universal Design", from memory.
const apart = ["#0072b2", "#d55e00", "#009e73", "#cc79a7", "#e69f00", "#56b4e9"];
const shapes = ["circle", "rect", "triangle", "diamond"];
// Dashes long enough to be told apart on a screen and on paper.
const dashes = {solid: [], dashed: [9, 5], dotted: [2, 4], dashdot: [12, 4, 2, 4]};
const lineOf = (colour, dash = "solid", width = 1.8) => ({color: colour, width, type: dashes[dash].length ? dashes[dash] : "solid"});

// What a chart draws for {colour, dash, shape, hollow}, small.
function swatch({colour = ink, dash, shape, hollow, band}) {
  const marks = {circle: "M18,2a4.5,4.5 0 1 0 .01,0z", rect: "M14,2.5h8v8h-8z", diamond: "M18,.5l6,6l-6,6l-6,-6z", triangle: "M18,1.5l5,9h-10z"};
  const line = dash ? `<path d="M0,6.5H36" style="stroke:${colour};stroke-width:2;stroke-dasharray:${dashes[dash].join(" ") || "none"};fill:none"/>` : "";
  const mark = shape ? `<path d="${marks[shape]}" style="fill:${hollow ? paper : colour};stroke:${colour};stroke-width:1.4"/>` : "";
  const area = band ? `<path d="M0,1h36v11h-36z" style="fill:${colour};opacity:${band}"/>` : "";
  return `<svg width="36" height="13" viewBox="0 0 36 13" aria-hidden="true">${area}${line}${mark}</svg>`;
}

// The key above a chart, each {name, ...look of its swatch}; it wraps where the library's own would be paged or cut. A second one
// takes the place of the first.
const keys = new Map();
function keyAbove(element, items) {
  const list = document.createElement("ul");
  list.className = "legend key";
  keys.get(element)?.remove();
  keys.set(element, list);
  list.innerHTML = items.map((item) => `<li>${swatch(item)} ${escape(item.name)}</li>`).join("");
  element.before(list);
  return list;
}

// Pages through `count` things: show(first, end) is called now and at each step. Nothing to press where all fit on a page.
function pager(before, count, each, name, show) {
  const last = Math.max(0, Math.ceil(count / each) - 1);
  const turn = (page) => {
    const first = page * each, end = Math.min(count, first + each);
    show(first, end);
    if (!last) return;
    row.querySelector("span").textContent = `${name(first)} to ${name(end - 1)}, page ${page + 1} of ${last + 1}`;
    for (const [button, to] of [["back", page - 1], ["on", page + 1]])
      Object.assign(row.querySelector(`.${button}`), {disabled: to < 0 || to > last, onclick: () => turn(to)});
  };
  const row = document.createElement("p");
  row.className = "pager on-screen";
  row.innerHTML = `<button class="back" type="button">◀ before</button> <span aria-live="polite"></span> <button class="on" type="button">next ▶</button>`;
  if (last) before.before(row);
  turn(0);
}

// ---- numbers and axes
const finite = (v) => v !== null && Number.isFinite(v);
const tidy = (v, digits = 3) => finite(v) ? String(Number(v.toPrecision(digits))) : "-";
const frequency = (hz) => hz >= 1e3 ? tidy(hz / 1e3, 4) + " kHz" : tidy(hz, 4) + " Hz";
const clock = (hours) => {
  const minutes = Math.round(hours * 60), day = Math.floor(minutes / 1440), rest = minutes - day * 1440;
  return (day ? `+${day} d ` : "") + String(Math.floor(rest / 60)).padStart(2, "0") + ":" + String(rest % 60).padStart(2, "0");
};
const decibel = (ratio) => finite(ratio) && ratio > 0 ? 10 * Math.log10(ratio) : null;
const axisLook = {
  axisLine: {show: true, onZero: false, lineStyle: {color: soft}}, nameTextStyle: {color: soft}, nameLocation: "middle",
  axisTick: {show: true, lineStyle: {color: soft}}, splitLine: {show: true, lineStyle: {color: line, width: .7}}
};
const valueAxis = (name, gap, more = {}) => ({type: "value", name, nameGap: gap, scale: true, ...axisLook,
  axisLabel: {color: soft}, ...more});

// A map of points {x_m north, y_m east}: both axes in metres to one scale, north up.
function mapAxes(points, width, height) {
  const left = 68, right = 24, top = 20, bottom = 46;
  const w = Math.max(50, width - left - right), h = Math.max(50, height - top - bottom);
  const span = (key) => [Math.min(...points.map((p) => p[key])), Math.max(...points.map((p) => p[key]))];
  const [x0, x1] = span("y_m"), [y0, y1] = span("x_m");
  const metresPerPixel = Math.max((x1 - x0 || 100) / (w - 110), (y1 - y0 || 100) / (h - 70));
  const axis = (low, high, pixels, name, gap) => {
    const middle = (low + high) / 2, half = metresPerPixel * pixels / 2;
    return valueAxis(name, gap, {scale: false, min: middle - half, max: middle + half,
      axisLabel: {color: soft, showMinLabel: false, showMaxLabel: false, formatter: (v) => tidy(v, 5)}});
  };
  const [west, north] = [(x0 + x1 - metresPerPixel * w) / 2, (y0 + y1 + metresPerPixel * h) / 2];
  const at = (p) => [left + (p.y_m - west) / metresPerPixel, top + (north - p.x_m) / metresPerPixel];  // pixels
  return {metresPerPixel, at, option: {grid: {left, right, top, bottom, outerBoundsMode: "none"},
    xAxis: axis(x0, x1, w, "east m", 28), yAxis: axis(y0, y1, h, "north m", 43)}};
}

function logAxis(values, name, gap, shortest = 1, more = {}) {
  const logs = values.filter((v) => finite(v) && v > 0).map(Math.log10);
  let low = Math.min(...logs), high = Math.max(...logs);
  if (!logs.length) { low = 0; high = 1; }
  const pad = Math.max(.04, (shortest - (high - low)) / 2);
  low -= pad; high += pad;
  const grid = [], labels = [];
  for (let decade = Math.floor(low); decade <= high; ++decade)
    for (let n = 1; n <= 9; ++n) {
      const at = decade + Math.log10(n);
      if (at < low || at > high) continue;
      grid.push(at);
      if (n === 1 || n === 2 || n === 5) labels.push(at);
    }
  return {type: "value", min: low, max: high, name, nameGap: gap, ...axisLook,
    axisTick: {...axisLook.axisTick, customValues: grid}, splitLine: {...axisLook.splitLine, customValues: grid},
    axisLabel: {color: soft, customValues: labels, hideOverlap: true, showMinLabel: true, showMaxLabel: true,
      formatter: (v) => { const x = 10 ** v; return x >= 999.5 ? tidy(x / 1e3) + "k" : tidy(x); }},
    ...more};
}

// All frequency axes of all pages run one way: high frequencies, which see the shallow ground, to the left.
const frequencyAxis = (values, more = {}) => logAxis(values, "frequency Hz (shallow to the left)", 30, 1, {inverse: true, ...more});
const highFirst = (list) => [...list].sort((a, b) => b.frequency_hz - a.frequency_hz);
