"use strict";
// Draws the charts of the transmitter page from the JSON in #data; both axes of moment charts are logarithmic.
(() => {
  const data = JSON.parse(document.getElementById("data").textContent);
  const tidy = (v) => v === null || !Number.isFinite(v) ? "-" : String(Number(v.toPrecision(3)));
  const ink = "var(--ink)", soft = "var(--soft)", line = "var(--line)", paper = "var(--paper)";
  const palette = ["#0072b2", "#d55e00", "#009e73", "#cc79a7", "#8a6d00", "#56b4e9", "#6a3d9a", "#444444"];
  const shown = [];
  const axis = (name, type) => ({type, name, nameLocation: "middle", nameGap: type === "log" ? 30 : 30, scale: true,
    nameTextStyle: {color: soft}, axisLabel: {color: soft, formatter: tidy}, axisLine: {show: true, lineStyle: {color: soft}},
    splitLine: {show: true, lineStyle: {color: line, width: 0.7}}});
  function draw(id, xName, yName, xType, yType, series) {
    const element = document.getElementById(id);
    if (!element) return;
    const chart = echarts.init(element, null, {renderer: "svg"});
    chart.setOption({
      animation: false, backgroundColor: "transparent", color: palette, textStyle: {color: ink},
      legend: {type: "scroll", bottom: 0, textStyle: {color: ink}},
      tooltip: {trigger: "item", backgroundColor: paper, textStyle: {color: ink}, confine: true,
        formatter: (p) => `${echarts.format.encodeHTML(p.seriesName)}<br>${tidy(p.value[0])} ${xName}<br>${tidy(p.value[1])} ${yName}`},
      grid: {left: 70, right: 20, top: 20, bottom: 75},
      xAxis: axis(xName, xType), yAxis: {...axis(yName, yType), nameGap: 50}, series
    });
    shown.push(chart);
  }
  const pairs = (x, y) => x.map((v, i) => [v, y[i]]).filter((p) => p[1] > 0 && Number.isFinite(p[1]));
  const curve = (name, points, colour, type, width = 1.6) => ({name, type: "line", showSymbol: false, data: points,
    itemStyle: {color: colour}, lineStyle: {color: colour, type, width}});
  const marks = (name, points, colour, symbol) => ({name, type: "scatter", data: points, symbol, symbolSize: 9,
    itemStyle: {color: colour}, z: 5});

  if (data.curves) {
    const untuned = [], tuned = [], limits = [];
    data.curves.forEach((c, i) => {
      const colour = palette[i % palette.length], name = `${c.turns} turns`;
      untuned.push(curve(`${name}, no capacitor`, pairs(c.frequency_hz, c.untuned), colour, "solid"));
      untuned.push(curve(`${name}, capacitor bank`, pairs(c.frequency_hz, c.bank), colour, "dashed"));
      tuned.push(curve(`${name}, tuned exactly`, pairs(c.frequency_hz, c.tuned), colour, "solid"));
      const heat = pairs(c.frequency_hz, c.heat);
      limits.push(curve(`heat limit, ${name}`, heat, colour, [2, 4], 1));
      if (c.current !== null)
        limits.push(curve(`current limit, ${name}`, c.frequency_hz.map((f) => [f, c.current]), colour, [8, 3, 2, 3], 1));
    });
    const rows = [marks("table", data.rows.map((r) => [r.frequency_hz, r.table]).filter((p) => p[1] > 0), ink, "circle"),
                  marks("best", data.rows.map((r) => [r.frequency_hz, r.best]).filter((p) => p[1] > 0), "#d55e00", "diamond")];
    draw("moment", "Hz", "A m²", "log", "log", [...untuned, ...limits, ...rows]);
    draw("tuned", "Hz", "A m²", "log", "log", [...tuned, ...limits, ...rows]);
    draw("energy", "Hz", "J per A m² s", "log", "log",
      [marks("table", data.rows.map((r) => [r.frequency_hz, r.table_energy]).filter((p) => p[1] > 0), ink, "circle"),
       marks("best", data.rows.map((r) => [r.frequency_hz, r.best_energy]).filter((p) => p[1] > 0), "#d55e00", "diamond")]);
  }
  if (data.varied) {
    for (const which of ["table", "best"])
      draw("varied_" + which, data.varied.key, "A m²", "value", "log",
        data.varied.lines.map((l, i) => ({...curve(l.name, pairs(data.varied.values, l[which]), palette[i % palette.length], "solid"),
          showSymbol: true})));
  }
  addEventListener("resize", () => shown.forEach((c) => c.resize()));
})();
