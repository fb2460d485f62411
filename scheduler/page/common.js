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
    const wanted = option(element.clientWidth, element.clientHeight);
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

let resizing = 0;
addEventListener("resize", () => {
  clearTimeout(resizing);
  resizing = setTimeout(() => {
    if (matchMedia("print").matches) return;
    for (const {chart, redraw} of shown) { chart.resize(); redraw(); }
  }, 100);
});

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
  const left = 62, right = 24, top = 20, bottom = 46;
  const w = Math.max(50, width - left - right), h = Math.max(50, height - top - bottom);
  const span = (key) => [Math.min(...points.map((p) => p[key])), Math.max(...points.map((p) => p[key]))];
  const [x0, x1] = span("y_m"), [y0, y1] = span("x_m");
  const metresPerPixel = Math.max((x1 - x0 || 100) / (w - 110), (y1 - y0 || 100) / (h - 70));
  const axis = (low, high, pixels, name, gap) => {
    const middle = (low + high) / 2, half = metresPerPixel * pixels / 2;
    return valueAxis(name, gap, {scale: false, min: middle - half, max: middle + half,
      axisLabel: {color: soft, showMinLabel: false, showMaxLabel: false, formatter: (v) => tidy(v, 5)}});
  };
  return {metresPerPixel, option: {grid: {left, right, top, bottom, outerBoundsMode: "none"},
    xAxis: axis(x0, x1, w, "east m", 28), yAxis: axis(y0, y1, h, "north m", 46)}};
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
