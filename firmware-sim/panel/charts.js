// Four live charts over the last minutes of virtual time.
"use strict";
const charts = (() => {
  const seconds = 180;
  const data = { a: [], b: [], volts: [], winding: [], electronics: [] };
  const made = {};
  let last = -1;

  const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue("--" + name).trim();
  const axis = () => ({ axisLine: { lineStyle: { color: colour("soft") } }, axisLabel: { color: colour("soft"), fontSize: 10 },
    splitLine: { lineStyle: { color: colour("grid") } } });
  // Ticks at even steps; noise of the last digit must not fill the chart: the axis spans at least `span`.
  function evenly(lists, span, zero) {
    const values = lists.flatMap((list) => list.map((point) => point[1]));
    if (!values.length) return { min: 0, max: span, interval: span / 2 };
    const middle = (Math.min(...values) + Math.max(...values)) / 2;
    const low = zero ? 0 : Math.min(...values, middle - span / 2), high = Math.max(...values, zero ? span : middle + span / 2);
    const rough = (high - low) / 3, decade = 10 ** Math.floor(Math.log10(rough));
    const step = [1, 2, 5, 10].map((n) => n * decade).find((n) => n >= rough);
    return { min: Math.floor(low / step + 1e-9) * step, max: Math.ceil(high / step - 1e-9) * step, interval: step };
  }
  const ranges = { "c-current": [2, true], "c-volts": [2, false], "c-heat": [4, false] };
  function options(series) {
    return {
      animation: false,
      grid: { left: 40, right: 10, top: series.length > 1 ? 20 : 8, bottom: 20 },
      legend: series.length > 1 ? { top: 0, itemHeight: 8, textStyle: { fontSize: 10, color: colour("ink") } } : undefined,
      xAxis: { type: "value", interval: 60, ...axis(), axisLabel: { ...axis().axisLabel, formatter: (v) => ampturn.clock(v), hideOverlap: true } },
      yAxis: { type: "value", ...axis() },
      series: series.map((one) => ({ type: "line", showSymbol: false, step: "end", lineStyle: { width: 2, type: one.dash || "solid" }, color: one.colour, name: one.name, data: [] })),
    };
  }
  function make(id, series) {
    made[id]?.dispose();
    made[id] = echarts.init(document.getElementById(id));
    if (series) made[id].setOption(options(series));
  }
  function draw() {
    make("c-current", [{ name: "loop A", colour: colour("first") }, { name: "loop B", colour: colour("second"), dash: "dashed" }]);
    make("c-volts", [{ name: "battery", colour: colour("ink") }]);
    make("c-heat", [{ name: "winding", colour: colour("hot") }, { name: "electronics", colour: colour("cool"), dash: "dashed" }]);
    make("c-steps");
  }
  function start() {
    draw();
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
    const watcher = new ResizeObserver(() => { for (const chart of Object.values(made)) chart.resize(); });
    for (const id of Object.keys(made)) watcher.observe(document.getElementById(id));
  }
  function push(list, time, value) {
    list.push([time, value]);
    while (list.length && list[0][0] < time - seconds) list.shift();
  }
  function show(id, lists) {
    const to = Math.max(60, Math.ceil(last / 60) * 60);
    made[id].setOption({ xAxis: { min: Math.max(0, to - seconds - 60), max: to }, yAxis: evenly(lists, ...ranges[id]), series: lists.map((list) => ({ data: list })) });
  }
  function steps(progress) {
    const count = progress.step_count || 0;
    const now = progress.step_number || 0;
    const names = Array.from({ length: count }, (_, i) => String(i + 1));
    const done = names.map((_, i) => (i + 1 < now ? 1 : i + 1 === now ? progress.step_fraction : 0));
    made["c-steps"].setOption({
      animation: false,
      grid: { left: 30, right: 10, top: 8, bottom: 20 },
      xAxis: { type: "category", data: names, ...axis() },
      yAxis: { type: "value", min: 0, max: 1, interval: 0.5, ...axis(), axisLabel: { ...axis().axisLabel, formatter: (v) => v * 100 + " %" } },
      series: [{ type: "bar", color: colour("first"), data: done }],
    });
  }
  return {
    start,
    add(status) {
      const time = status.time_s;
      if (time < last) for (const list of Object.values(data)) list.length = 0;
      if (last >= 0 && time > last && time - last < 0.25) return;
      last = time;
      const m = status.measured;
      push(data.a, time, m.current_a_a_peak);
      push(data.b, time, m.current_b_a_peak);
      push(data.volts, time, m.battery_v);
      push(data.winding, time, m.winding_c);
      push(data.electronics, time, m.electronics_c);
      show("c-current", [data.a, data.b]);
      show("c-volts", [data.volts]);
      show("c-heat", [data.winding, data.electronics]);
      steps(status.progress);
    },
  };
})();
