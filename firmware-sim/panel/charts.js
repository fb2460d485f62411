// Four live charts over the last minutes of virtual time.
"use strict";
const charts = (() => {
  const seconds = 180;
  const data = { a: [], b: [], volts: [], winding: [], electronics: [] };
  const made = {};
  let last = -1;

  const axis = { axisLine: { lineStyle: { color: "#8a8474" } }, axisLabel: { color: "#4c5a61", fontSize: 10 }, splitLine: { lineStyle: { color: "#ece6d6" } } };
  // Noise of the last digit must not fill the chart: the axis spans at least `span`.
  function limits(span, zero) {
    return {
      min: (v) => zero ? 0 : Math.floor(Math.min(v.min, (v.min + v.max - span) / 2)),
      max: (v) => Math.ceil(zero ? Math.max(v.max, span) : Math.max(v.max, (v.min + v.max + span) / 2)),
    };
  }
  function options(series, range) {
    return {
      animation: false,
      grid: { left: 40, right: 10, top: series.length > 1 ? 20 : 8, bottom: 20 },
      legend: series.length > 1 ? { top: 0, itemHeight: 8, textStyle: { fontSize: 10, color: "#17252c" } } : undefined,
      xAxis: { type: "value", min: "dataMin", max: "dataMax", ...axis, axisLabel: { ...axis.axisLabel, formatter: (v) => ampturn.clock(v), hideOverlap: true } },
      yAxis: { type: "value", splitNumber: 3, ...range, ...axis },
      series: series.map((one) => ({ type: "line", showSymbol: false, step: "end", lineStyle: { width: 2, type: one.dash || "solid" }, color: one.colour, name: one.name, data: [] })),
    };
  }
  function make(id, series, range) {
    made[id] = echarts.init(document.getElementById(id));
    made[id].setOption(options(series, range));
  }
  function start() {
    make("c-current", [{ name: "loop A", colour: "#0a5c66" }, { name: "loop B", colour: "#b45309", dash: "dashed" }], limits(2, true));
    make("c-volts", [{ name: "battery", colour: "#17252c" }], limits(2, false));
    make("c-heat", [{ name: "winding", colour: "#b3101c" }, { name: "electronics", colour: "#1b57b5", dash: "dashed" }], limits(4, false));
    made["c-steps"] = echarts.init(document.getElementById("c-steps"));
    const watcher = new ResizeObserver(() => { for (const chart of Object.values(made)) chart.resize(); });
    for (const id of Object.keys(made)) watcher.observe(document.getElementById(id));
  }
  function push(list, time, value) {
    list.push([time, value]);
    while (list.length && list[0][0] < time - seconds) list.shift();
  }
  function show(id, lists) {
    made[id].setOption({ series: lists.map((list) => ({ data: list })) });
  }
  function steps(progress) {
    const count = progress.step_count || 0;
    const now = progress.step_number || 0;
    const names = Array.from({ length: count }, (_, i) => String(i + 1));
    const done = names.map((_, i) => (i + 1 < now ? 1 : i + 1 === now ? progress.step_fraction : 0));
    made["c-steps"].setOption({
      animation: false,
      grid: { left: 30, right: 10, top: 8, bottom: 20 },
      xAxis: { type: "category", data: names, ...axis },
      yAxis: { type: "value", min: 0, max: 1, interval: 0.5, ...axis, axisLabel: { ...axis.axisLabel, formatter: (v) => v * 100 + " %" } },
      series: [{ type: "bar", color: "#0a5c66", data: done }],
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
