// The charts of a day.
const verdictColour = {"usable": "var(--usable)", "noisy": "var(--noisy)", "transition": "var(--transition)",
                       "near field": "var(--near)", "not sent": "var(--not-sent)"};
const stationName = (i) => data.stations[i].name;
// ---- map
function mapOption(width, height) {
  const all = [...data.sites, ...data.stations];
  const {metresPerPixel, option} = mapAxes(all, width, height);
  const rays = data.stations.map((s) => {
    const site = data.sites[s.site_index];
    return {coords: [[site.y_m, site.x_m], [s.y_m, s.x_m]]};
  });
  const siteShape = (params, api) => {
    const site = data.sites[params.dataIndex], [x, y] = api.coord([site.y_m, site.x_m]);
    const ring = finite(site.keep_out_public_m) ? site.keep_out_public_m / metresPerPixel : 0;
    const spoke = (azimuth, dash) => {
      const a = azimuth * Math.PI / 180, dx = 20 * Math.sin(a), dy = -20 * Math.cos(a);
      return {type: "line", shape: {x1: x - dx, y1: y - dy, x2: x + dx, y2: y + dy}, style: {stroke: accent, lineWidth: 2, lineDash: dash}};
    };
    return {type: "group", children: [
      {type: "circle", shape: {cx: x, cy: y, r: ring}, style: {fill: "none", stroke: "var(--danger)", lineWidth: 1.5}},
      spoke(site.loop_azimuth_a_deg), spoke(site.loop_azimuth_b_deg, [3, 2]),
      {type: "rect", shape: {x: x - 5, y: y - 5, width: 10, height: 10}, style: {fill: accent}},
      {type: "text", style: {text: site.name, x: x > width - 120 ? x - 10 : x + 10, y: y - 24, align: x > width - 120 ? "right" : "left",
        fill: accent, fontWeight: "bold", fontSize: 13}}]};
  };
  const stationShape = (params, api) => {
    const s = data.stations[params.dataIndex], [x, y] = api.coord([s.y_m, s.x_m]);
    const share = s.required_count > 0 ? s.passed_count / s.required_count : 0;
    const all = share === 1;
    return {type: "group", children: [
      {type: "circle", shape: {cx: x, cy: y, r: 8}, style: {fill: all ? "var(--usable)" : paper, stroke: ink, lineWidth: 1.2}},
      ...(share > 0 && !all ? [{type: "sector", shape: {cx: x, cy: y, r: 8, r0: 0, startAngle: -Math.PI / 2,
        endAngle: -Math.PI / 2 + share * 2 * Math.PI}, style: {fill: "var(--usable)"}}] : []),
      {type: "text", style: {text: s.name, x: x + 11, y: y - 6, fill: ink, fontSize: 12}}]};
  };
  return {
    ...option,
    tooltip: {trigger: "item", backgroundColor: paper, borderColor: soft, textStyle: {color: ink}, confine: true,
      formatter: ({seriesName, dataIndex: i}) => {
        if (seriesName === "sites") {
          const s = data.sites[i];
          return `<b>${escape(s.name)}</b><br>axes ${tidy(s.loop_azimuth_a_deg)}° and ${tidy(s.loop_azimuth_b_deg)}°<br>keep out ${tidy(s.keep_out_public_m)} m`;
        }
        const s = data.stations[i];
        return `<b>${escape(s.name)}</b><br>${tidy(s.offset_m, 4)} m at ${tidy(s.bearing_deg)}° from ${escape(data.sites[s.site_index].name)}<br>${s.passed_count} of ${s.required_count} required readings pass`;
      }},
    series: [
      {type: "line", silent: true, showSymbol: false, z: 1, data: data.stations.map((s) => [s.y_m, s.x_m]), lineStyle: {color: soft, width: 1}},
      {type: "lines", coordinateSystem: "cartesian2d", silent: true, data: rays, lineStyle: {color: soft, width: .8, type: "dotted", opacity: .8}},
      {name: "stations", type: "custom", renderItem: stationShape, data: data.stations.map((s) => [s.y_m, s.x_m])},
      {name: "sites", type: "custom", renderItem: siteShape, data: data.sites.map((s) => [s.y_m, s.x_m])}]
  };
}

// ---- battery
function batteryOption() {
  const t = data.battery_trace, hours = t.time_s.map((s) => s / 3600);
  const numbers = [...new Set(t.battery_number)];
  const from = data.timeline.length ? data.timeline[0].start_s / 3600 : hours[0] ?? 0;
  const to = data.timeline.length ? data.timeline[data.timeline.length - 1].end_s / 3600 : hours[hours.length - 1] ?? 1;
  const column = (key, number, factor = 1) =>
    hours.map((h, i) => [h, t.battery_number[i] === number ? factor * t[key][i] : null]);
  const looks = ["var(--accent)", "var(--transition)", "var(--near)", "var(--usable)", "var(--noisy)"];
  const sweeps = data.timeline.filter((e) => e.activity === "sweep")
    .map((e) => [{xAxis: e.start_s / 3600}, {xAxis: e.end_s / 3600}]);
  const series = [];
  numbers.forEach((number, k) => {
    const look = looks[k % looks.length];
    series.push({name: `battery ${number}`, type: "line", showSymbol: false, data: column("terminal_v", number),
      lineStyle: {color: look, width: 1.4}, itemStyle: {color: look},
      ...(k ? {} : {
        markArea: {silent: true, itemStyle: {color: soft, opacity: .14}, data: sweeps},
        markLine: {silent: true, symbol: "none", lineStyle: {color: "var(--danger)", type: "dashed"},
          label: {formatter: `cut-off ${tidy(data.battery_cut_off_v, 4)} V`, position: "insideStartTop", color: "var(--danger)"},
          data: [{yAxis: data.battery_cut_off_v}]}})});
    series.push({name: `battery ${number}, all charge`, type: "line", xAxisIndex: 1, yAxisIndex: 1, showSymbol: false,
      data: column("charge_total_fraction", number, 100), lineStyle: {color: look, width: 1.4}, itemStyle: {color: look}});
    series.push({name: `battery ${number}, available`, type: "line", xAxisIndex: 1, yAxisIndex: 1, showSymbol: false,
      data: column("charge_available_fraction", number, 100), lineStyle: {color: look, width: 1.2, type: "dashed"}, itemStyle: {color: look}});
  });
  const time = (more) => valueAxis("", 0, {min: from, max: to, interval: to - from > 6 ? 1 : .5, ...more});
  const volts = t.terminal_v.concat(data.battery_cut_off_v).filter(finite);
  const low = Math.min(...volts), high = Math.max(...volts), pad = .05 * (high - low) + .02;
  const label = {color: soft, hideOverlap: true, showMaxLabel: false, formatter: clock};
  return {
    legend: {top: 0, type: "scroll", icon: "path://M0,0h24v3h-24z", textStyle: {color: ink}, data: numbers.flatMap((n) => [`battery ${n}`, `battery ${n}, all charge`, `battery ${n}, available`])},
    grid: [{left: 58, right: 20, top: 34, height: "46%", outerBoundsMode: "none"}, {left: 58, right: 20, bottom: 28, height: "27%", outerBoundsMode: "none"}],
    xAxis: [time({gridIndex: 0, axisLabel: {show: false}}), time({gridIndex: 1, axisLabel: label})],
    yAxis: [valueAxis("terminals V", 40, {gridIndex: 0, min: low - pad, max: high + pad,
              axisLabel: {color: soft, showMinLabel: false, showMaxLabel: false, formatter: (v) => v.toFixed(1)}}),
            valueAxis("charge %", 40, {gridIndex: 1, min: 0, max: 100, interval: 50})],
    tooltip: {trigger: "axis", backgroundColor: paper, borderColor: soft, textStyle: {color: ink}, confine: true,
      formatter: (items) => items.length ? clock(items[0].value[0]) + items.filter((i) => finite(i.value[1]))
        .map((i) => `<br>${escape(i.seriesName)}: ${tidy(i.value[1], 4)}`).join("") : ""},
    axisPointer: {link: [{xAxisIndex: "all"}], lineStyle: {color: soft}},
    series
  };
}

// ---- battery over the runs
function batteryPercentilesOption() {
  const over_runs = data.battery_percentiles, hours = over_runs.time_s.map((s) => s / 3600);
  const from = hours[0], to = hours[hours.length - 1];
  const enough = (i) => over_runs.connected_runs[i] * 10 >= over_runs.runs;
  const look = "var(--accent)";
  const parts = [["lowest_terminal_v", 1, 0, enough], ["charge_total_fraction", 100, 1, () => true]];
  const series = parts.flatMap(([key, factor, axis, shown]) => {
    const at = (kind, i) => shown(i) && finite(over_runs[key][kind][i]) ? factor * over_runs[key][kind][i] : null;
    const band = (low, high, opacity) => {
      const runs = [];  // stretches without a gap
      hours.forEach((_, i) => {
        if (at(low, i) === null) return;
        if (i && at(low, i - 1) !== null) runs[runs.length - 1].push(i); else runs.push([i]);
      });
      return {type: "custom", silent: true, clip: true, xAxisIndex: axis, yAxisIndex: axis, data: runs.map((_, r) => r),
        encode: {x: -1, y: -1}, z: 1, tooltip: {show: false},
        renderItem: (params, api) => ({type: "polygon", style: {fill: look, opacity},
          shape: {points: [...runs[params.dataIndex].map((i) => api.coord([hours[i], at(high, i)])),
                           ...runs[params.dataIndex].map((i) => api.coord([hours[i], at(low, i)])).reverse()]}})};
    };
    return [band("lowest", "highest", .14), band("p10", "p90", .3),
      {name: axis ? "charge %" : "lowest V", type: "line", showSymbol: false, xAxisIndex: axis, yAxisIndex: axis, z: 2,
        lineStyle: {color: ink, width: 1.6}, itemStyle: {color: ink}, data: hours.map((h, i) => [h, at("p50", i)]),
        ...(axis ? {} : {markLine: {silent: true, symbol: "none", lineStyle: {color: "var(--danger)", type: "dashed"},
          label: {formatter: `cut-off ${tidy(data.battery_cut_off_v, 4)} V`, position: "insideStartTop", color: "var(--danger)"},
          data: [{yAxis: data.battery_cut_off_v}]}})}];
  });
  const volts = hours.flatMap((_, i) => enough(i) ? [over_runs.lowest_terminal_v.lowest[i], over_runs.lowest_terminal_v.highest[i]] : [])
    .concat(data.battery_cut_off_v).filter(finite);
  const low = Math.min(...volts), high = Math.max(...volts), pad = .05 * (high - low) + .02;
  const time = (more) => valueAxis("", 0, {min: from, max: to, interval: to - from > 6 ? 1 : .5, ...more});
  return {
    grid: [{left: 58, right: 20, top: 14, height: "50%", outerBoundsMode: "none"}, {left: 58, right: 20, bottom: 28, height: "29%", outerBoundsMode: "none"}],
    xAxis: [time({gridIndex: 0, axisLabel: {show: false}}),
            time({gridIndex: 1, axisLabel: {color: soft, hideOverlap: true, showMaxLabel: false, formatter: clock}})],
    yAxis: [valueAxis("terminals V", 40, {gridIndex: 0, min: low - pad, max: high + pad,
              axisLabel: {color: soft, showMinLabel: false, showMaxLabel: false, formatter: (v) => v.toFixed(1)}}),
            valueAxis("charge %", 40, {gridIndex: 1, min: 0, max: 100, interval: 50})],
    tooltip: {trigger: "axis", backgroundColor: paper, borderColor: soft, textStyle: {color: ink}, confine: true,
      formatter: (items) => {
        const lines = items.filter((i) => i.seriesName === "charge %" || i.seriesName === "lowest V");
        if (!lines.length) return "";
        const i = lines[0].dataIndex, row = (name, key, factor, digits) => finite(over_runs[key].p50[i])
          ? `<br>${name}: ${tidy(factor * over_runs[key].p10[i], digits)} / ${tidy(factor * over_runs[key].p50[i], digits)} / ${tidy(factor * over_runs[key].p90[i], digits)}` : "";
        return `${clock(hours[i])}, 10 / 50 / 90 % of the runs below` + row("lowest V", "lowest_terminal_v", 1, 4)
          + row("charge %", "charge_total_fraction", 100, 3) + `<br>connected in ${over_runs.connected_runs[i]} of ${over_runs.runs} runs`;
      }},
    axisPointer: {link: [{xAxisIndex: "all"}], lineStyle: {color: soft}},
    series
  };
}

// ---- signal over noise
const channels = ["ex", "ey", "hx", "hy"];
const weakest = (j) => {
  const all = channels.flatMap((c) => [decibel(j.snr_a_power_ratio[c]), decibel(j.snr_b_power_ratio[c])]);
  return all.some((v) => v === null) ? null : Math.min(...all);
};
function snrMatrixOption(width) {
  const small = (width - 110) / data.frequencies_hz.length < 24;
  const names = data.stations.map((s) => s.name);
  return {
    grid: {left: 96, right: 16, top: 10, bottom: 52},
    xAxis: {type: "category", data: data.frequencies_hz.map((f) => f >= 1e3 ? tidy(f / 1e3) + "k" : tidy(f)), name: "frequency Hz",
      nameGap: 34, ...axisLook, splitLine: {show: false}, axisLabel: {color: soft, rotate: small ? 90 : 0, hideOverlap: true}},
    yAxis: {type: "category", inverse: true, data: names, ...axisLook, splitLine: {show: false}, axisLabel: {color: soft, width: 86, overflow: "truncate"}},
    tooltip: {trigger: "item", backgroundColor: paper, borderColor: soft, textStyle: {color: ink}, confine: true,
      formatter: ({value}) => `${escape(names[value[1]])}, ${frequency(data.frequencies_hz[value[0]])}<br>weakest channel ${finite(value[2]) ? value[2].toFixed(0) + " dB" : "not sent"}`},
    series: [{type: "custom", data: data.judged.map((j) => [j.frequency_index, j.station_index, weakest(j)]),
      renderItem: (params, api) => {
        const value = data.judged[params.dataIndex], db = weakest(value);
        const [cx, cy] = api.coord([api.value(0), api.value(1)]), [w, h] = api.size([1, 1]);
        const strength = db === null ? 0 : Math.max(.04, Math.min(1, (db + 5) / 60));
        return {type: "group", children: [
          ...(db === null ? [] : [{type: "rect", shape: {x: cx - w / 2 + 1, y: cy - h / 2 + 1, width: w - 2, height: h - 2},
            style: {fill: accent, opacity: strength}}]),
          {type: "text", style: {text: db === null ? "–" : db.toFixed(0), x: cx, y: cy, align: "center", verticalAlign: "middle",
            fontSize: small ? 9 : 12, fill: strength > .55 ? paper : ink}}]};
      }}]
  };
}
function snrStationOption(station) {
  const readings = data.judged.filter((j) => j.station_index === station);
  const looks = {ex: ["var(--transition)", "circle"], ey: ["var(--noisy)", "rect"], hx: ["var(--accent)", "triangle"], hy: ["var(--usable)", "diamond"]};
  const name = {ex: "Ex", ey: "Ey", hx: "Hx", hy: "Hy"};
  const series = ["a", "b"].flatMap((loop) => channels.map((c) => ({
    name: `${name[c]} ${loop.toUpperCase()}`, type: "line", symbol: looks[c][1], symbolSize: 7,
    lineStyle: {color: looks[c][0], type: loop === "a" ? "solid" : "dashed", width: 1.5}, itemStyle: {color: looks[c][0]},
    data: readings.map((j) => [Math.log10(j.frequency_hz), decibel(j[`snr_${loop}_power_ratio`][c])])})));
  return {
    legend: {top: 0, type: "scroll", textStyle: {color: ink}},
    grid: {left: 58, right: 20, top: 36, bottom: 50},
    xAxis: logAxis(data.frequencies_hz, "frequency Hz (shallow to the left)", 30, 1, {inverse: true}), yAxis: valueAxis("SNR dB", 40),
    tooltip: {trigger: "item", backgroundColor: paper, borderColor: soft, textStyle: {color: ink}, confine: true,
      formatter: ({seriesName, value}) => `${escape(seriesName)}, ${frequency(10 ** value[0])}<br>${tidy(value[1])} dB`},
    series
  };
}

// ---- soundings
const errorBars = (name, xIndex, look, shift, bars) => ({
  name, type: "custom", silent: true, clip: true, itemStyle: {color: look}, xAxisIndex: xIndex, yAxisIndex: xIndex, data: bars, encode: {x: 0, y: [1, 2]},
  renderItem: (params, api) => {
    const low = api.coord([api.value(0), api.value(1)]), high = api.coord([api.value(0), api.value(2)]);
    const area = params.coordSys, clip = (y) => Math.max(area.y, Math.min(area.y + area.height, y));
    const y1 = clip(low[1]), y2 = clip(high[1]), x = low[0] + shift;
    const cap = (y, real) => y === real ? [{type: "line", shape: {x1: x - 3, y1: y, x2: x + 3, y2: y}, style: {stroke: look, lineWidth: 1.2}}] : [];
    if (y1 === y2 && y1 !== low[1]) return null;
    return {type: "group", children: [{type: "line", shape: {x1: x, y1, x2: x, y2}, style: {stroke: look, lineWidth: 1.2}},
      ...cap(y1, low[1]), ...cap(y2, high[1])]};
  }});
function soundingOption(station) {
  const all = data.judged.filter((j) => j.station_index === station);
  const sent = all.filter((j) => finite(j.resistivity_xy_ohm_m) || finite(j.resistivity_yx_ohm_m));
  const curve = sent.length ? all : [];  // nothing sent: nothing to compare with
  const logf = (j) => Math.log10(j.frequency_hz);
  const point = (j, y, look) => ({value: [logf(j), y], reading: j, itemStyle: j.verdict === "usable"
    ? {color: look, borderColor: look} : {color: paper, borderColor: look, borderWidth: 1.6}});
  const series = [
    {name: "plane wave", type: "line", showSymbol: false, silent: true, lineStyle: {color: ink, width: 1.3}, itemStyle: {color: ink},
      data: curve.map((j) => [logf(j), Math.log10(j.plane_resistivity_ohm_m)])},
    {name: "plane wave", type: "line", xAxisIndex: 1, yAxisIndex: 1, showSymbol: false, silent: true, lineStyle: {color: ink, width: 1.3},
      itemStyle: {color: ink}, data: curve.map((j) => [logf(j), j.plane_phase_deg])}];
  for (const [key, look, symbol, shift] of [["xy", "var(--accent)", "circle", -2.5], ["yx", "var(--transition)", "rect", 2.5]]) {
    const rho = `resistivity_${key}_ohm_m`, phase = `phase_${key}_deg`;
    const both = sent.filter((j) => finite(j[rho]) && j[rho] > 0);
    const barred = both.filter((j) => finite(j[`resistivity_sd_${key}_percent`]));
    series.push(errorBars(key, 0, look, shift, barred.map((j) => {
      const half = Math.log10(1 + j[`resistivity_sd_${key}_percent`] / 100);
      return [logf(j), Math.log10(j[rho]) - half, Math.log10(j[rho]) + half];
    })));
    series.push(errorBars(key, 1, look, shift, barred.map((j) =>
      [logf(j), j[phase] - j[`phase_sd_${key}_deg`], j[phase] + j[`phase_sd_${key}_deg`]])));
    series.push({name: key, type: "scatter", symbol, symbolSize: 7, symbolOffset: [shift, 0], itemStyle: {color: look}, data: both.map((j) => point(j, Math.log10(j[rho]), look))});
    series.push({name: key, type: "scatter", xAxisIndex: 1, yAxisIndex: 1, symbol, symbolSize: 7, symbolOffset: [shift, 0], itemStyle: {color: look}, data: both.map((j) => point(j, j[phase], look))});
  }
  const rhos = all.flatMap((j) => [j.plane_resistivity_ohm_m, j.resistivity_xy_ohm_m, j.resistivity_yx_ohm_m]);
  const phases = all.flatMap((j) => [j.plane_phase_deg, j.phase_xy_deg, j.phase_yx_deg]).filter(finite);
  const s = data.stations[station];
  return {
    title: {text: s.name, subtext: `${tidy(s.offset_m, 4)} m from ${data.sites[s.site_index].name}${sent.length ? "" : ": nothing sent"}`, left: 4, top: 0, itemGap: 7,
      textStyle: {color: ink, fontSize: 14}, subtextStyle: {color: soft, fontSize: 12}},
    legend: {right: 4, top: 0, textStyle: {color: ink, fontSize: 12}, itemWidth: 14, itemHeight: 10,
      data: [{name: "plane wave", icon: "path://M0,0h24v3h-24z"}, {name: "xy", icon: "circle"}, {name: "yx", icon: "rect", itemStyle: {borderWidth: 0}}]},
    grid: [{left: 56, right: 12, top: 50, height: "47%"}, {left: 56, right: 12, bottom: 46, height: "22%"}],
    xAxis: [logAxis(data.frequencies_hz, "", 0, 1, {inverse: true, gridIndex: 0, axisLabel: {show: false}}),
            logAxis(data.frequencies_hz, "frequency Hz", 27, 1, {inverse: true, gridIndex: 1})],
    yAxis: [logAxis(rhos, "apparent resistivity Ω m", 40, 1.2, {gridIndex: 0}),
            valueAxis("phase °", 40, {gridIndex: 1, scale: false, min: Math.min(0, ...phases.map((p) => Math.floor(p / 45) * 45)),
              max: Math.max(90, ...phases.map((p) => Math.ceil(p / 45) * 45)), interval: 45})],
    tooltip: {trigger: "item", backgroundColor: paper, borderColor: soft, textStyle: {color: ink}, confine: true,
      formatter: ({seriesName: key, data: {reading: j}}) => j ? `<b>${escape(stationName(station))}, ${frequency(j.frequency_hz)}, ${key}</b>`
        + `<br>${tidy(j[`resistivity_${key}_ohm_m`], 4)} Ω m ± ${tidy(j[`resistivity_sd_${key}_percent`], 2)} %, plane wave ${tidy(j.plane_resistivity_ohm_m, 4)}`
        + `<br>${tidy(j[`phase_${key}_deg`], 3)}° ± ${tidy(j[`phase_sd_${key}_deg`], 2)}°, plane wave ${tidy(j.plane_phase_deg, 3)}°<br>${escape(j.verdict)}` : ""},
    series
  };
}

// ---- bias
function biasOption() {
  const top = 200, x = (j) => Math.log10(j.offset_over_skin_depth);
  const readings = data.judged.filter((j) => finite(j.offset_over_skin_depth) && j.offset_over_skin_depth > 0);
  const values = readings.flatMap((j) => [j.bias_xy_percent, j.bias_yx_percent]).filter(finite);
  const beyond = values.filter((v) => v > top).length, tolerance = data.tolerance_bias_percent;
  const series = [["xy", "circle"], ["yx", "rect"]].map(([key, symbol], k) => ({
    name: key, type: "scatter", symbol, symbolSize: 7, itemStyle: {color: soft},
    data: readings.filter((j) => finite(j[`bias_${key}_percent`]) && j[`bias_${key}_percent`] <= top)
      .map((j) => ({value: [x(j), j[`bias_${key}_percent`]], reading: j, itemStyle: {color: verdictColour[j.verdict], opacity: .85}})),
    ...(k ? {} : {markArea: {silent: true, itemStyle: {color: "var(--usable)", opacity: .16}, data: [[{yAxis: -tolerance}, {yAxis: tolerance}]]},
      markLine: {silent: true, symbol: "none", lineStyle: {color: soft, type: "dashed"}, label: {formatter: "{b}", color: soft, position: "end"},
        data: [3, 5].map((r) => ({xAxis: Math.log10(r), name: String(r)}))}})}));
  return {
    legend: {top: 0, right: 8, itemWidth: 10, itemHeight: 10, textStyle: {color: ink}, data: ["xy", "yx"]},
    title: {text: beyond ? `${beyond} readings above ${top} % are in the table only` : "", textStyle: {color: soft, fontSize: 12, fontWeight: "normal"}, left: 8},
    grid: {left: 62, right: 20, top: 44, bottom: 50},
    xAxis: logAxis(readings.map((j) => j.offset_over_skin_depth), "offset / skin depth (dashed: rule of thumb 3 to 5)", 30),
    yAxis: valueAxis("bias of apparent resistivity %", 44, {max: values.length ? Math.min(top, Math.ceil(Math.max(...values, 20) / 20) * 20) : 20,
      min: values.length ? Math.floor(Math.min(...values, -20) / 20) * 20 : -20}),
    tooltip: {trigger: "item", backgroundColor: paper, borderColor: soft, textStyle: {color: ink}, confine: true,
      formatter: ({seriesName: key, data: {reading: j}}) => j ? `<b>${escape(stationName(j.station_index))}, ${frequency(j.frequency_hz)}, ${key}</b>`
        + `<br>bias ${tidy(j[`bias_${key}_percent`])} %, ${tidy(j[`bias_${key}_deg`])}°<br>${tidy(j.offset_over_skin_depth)} skin depths, ${escape(j.verdict)}` : ""},
    series
  };
}

for (const cell of document.querySelectorAll("table.matrix td[title]"))
  cell.addEventListener("click", () => { document.getElementById("reason").textContent = cell.title; });
draw(document.getElementById("chart-map"), mapOption);
draw(document.getElementById("chart-battery"), batteryOption);
if (data.battery_percentiles) draw(document.getElementById("chart-battery-percentiles"), batteryPercentilesOption);
const choice = document.getElementById("snr-station");
choice.add(new Option("all stations, weakest channel", "-1"));
data.stations.forEach((s, i) => choice.add(new Option(s.name, String(i))));
const redrawSnr = draw(document.getElementById("chart-snr"),
  (width) => Number(choice.value) < 0 ? snrMatrixOption(width) : snrStationOption(Number(choice.value)));
choice.addEventListener("change", redrawSnr);
for (const element of document.querySelectorAll("[data-sounding]"))
  draw(element, () => soundingOption(Number(element.dataset.sounding)));
draw(document.getElementById("chart-bias"), biasOption);
