// The charts of a day. The readings come column by column.
const judged_columns = Object.entries(data.judged);
data.judged = data.judged.station_index.map((_, i) => Object.fromEntries(judged_columns.map(([key, column]) => [key, column[i]])));
const verdictColour = {"usable": "var(--usable)", "noisy": "var(--noisy)", "transition": "var(--transition)",
                       "near field": "var(--near)", "not sent": "var(--not-sent)"};
const stationName = (i) => data.stations[i].name;
const crewOf = (s) => s.crew_index ?? 0;  // of the receiver crews; without any there is one
const ways = [...new Set(data.stations.map(crewOf))].map((crew) => data.stations.filter((s) => crewOf(s) === crew));
// ---- map
// Places for labels {x, y, r, text, size} on a map of width x height: beside their mark, clear of marks, of other labels and, if it
// can be, of the lines [[x, y], [x, y]]. Where there is no room there is no label; pointing at the mark tells the name.
function placeLabels(labels, marks, lines, width, height) {
  const taken = [...marks];
  const meets = (a, b) => a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1;
  const inside = (box, x, y) => x > box.x0 && x < box.x1 && y > box.y0 && y < box.y1;
  const crosses = (box, [[x0, y0], [x1, y1]]) => {
    const steps = Math.ceil(Math.hypot(x1 - x0, y1 - y0) / 3);
    for (let i = 0; i <= steps; ++i) if (inside(box, x0 + (x1 - x0) * i / steps, y0 + (y1 - y0) * i / steps)) return true;
    return false;
  };
  return labels.map(({x, y, r, text, size, must}) => {
    const w = echarts.format.getTextRect(text, `${size}px sans-serif`).width * 1.15 + 4, h = size + 4;
    let best = null;
    for (const far of [3, 10])
      for (let k = 0; k < 8; ++k) {
        const a = [0, 4, 6, 2, 7, 5, 1, 3][k] * Math.PI / 4, d = r + far;
        const cx = x + Math.cos(a) * (d + w / 2), cy = y + Math.sin(a) * (d + h / 2);
        const box = {x0: cx - w / 2, x1: cx + w / 2, y0: cy - h / 2, y1: cy + h / 2};
        if (box.x0 < 68 || box.x1 > width - 4 || box.y0 < 4 || box.y1 > height - 46 || taken.some((t) => meets(t, box))) continue;
        const cost = 10 * lines.filter((l) => crosses(box, l)).length + far / 10;
        if (!best || cost < best.cost) best = {cost, box, cx, cy};
      }
    if (!best && must) best = {box: {x0: x, x1: x, y0: y, y1: y}, cx: x, cy: y - r - h};
    if (best) taken.push(best.box);
    return best;
  });
}
const ring_least_px = 12;
const keepOut = (site) => finite(site.keep_out_public_m) ? (Math.ceil(site.keep_out_public_m * 10 - 1e-9) / 10).toFixed(1) : "-";
function mapOption(width, height) {
  const all = [...data.sites, ...data.stations];
  const {metresPerPixel, option, at} = mapAxes(all, width, height);
  const [sitesAt, stationsAt] = [data.sites.map(at), data.stations.map(at)];
  const many = data.stations.length > 40;  // so many rays would only hide the map
  const rays = many ? [] : data.stations.map((s) => [data.sites[s.site_index], s]);
  const visits = ways.flatMap((way) => way.slice(1).map((s, i) => [way[i], s]));
  const square = ([x, y], r) => ({x0: x - r, x1: x + r, y0: y - r, y1: y + r});
  const dot = many ? 5 : 8;
  const labels = placeLabels([
    ...data.sites.map((s, i) => ({x: sitesAt[i][0], y: sitesAt[i][1], r: 20, text: `${s.name}, keep out ${keepOut(s)} m`, size: 13, must: true})),
    ...data.stations.map((s, i) => ({x: stationsAt[i][0], y: stationsAt[i][1], r: dot, text: s.name, size: 12}))],
    [...sitesAt.map((p) => square(p, 18)), ...stationsAt.map((p) => square(p, dot))],
    [...rays, ...visits].map((line) => line.map(at)), width, height);
  const label = (place, text, look) => place ? [{type: "text", style: {text, x: place.cx, y: place.cy, align: "center", verticalAlign: "middle",
    stroke: paper, lineWidth: 3, ...look}}] : [];
  const siteShape = (params) => {
    const i = params.dataIndex, site = data.sites[i], [x, y] = sitesAt[i];
    // Drawn to scale where that can be seen, else dashed at the smallest size that can.
    const radius = finite(site.keep_out_public_m) ? site.keep_out_public_m / metresPerPixel : 0;
    const spoke = (azimuth, dash) => {
      const a = azimuth * Math.PI / 180, dx = 20 * Math.sin(a), dy = -20 * Math.cos(a);
      return {type: "line", shape: {x1: x - dx, y1: y - dy, x2: x + dx, y2: y + dy}, style: {stroke: accent, lineWidth: 2, lineDash: dash}};
    };
    return {type: "group", children: [
      {type: "circle", shape: {cx: x, cy: y, r: Math.max(ring_least_px, radius)},
        style: {fill: "none", stroke: "var(--danger)", lineWidth: 2, lineDash: radius < ring_least_px ? [4, 3] : null}},
      spoke(site.loop_azimuth_a_deg), spoke(site.loop_azimuth_b_deg, [3, 2]),
      {type: "rect", shape: {x: x - 5, y: y - 5, width: 10, height: 10}, style: {fill: accent}},
      ...label(labels[i], `${site.name}, keep out ${keepOut(site)} m`, {fill: accent, fontWeight: "bold", fontSize: 13})]};
  };
  const stationShape = (params) => {
    const i = params.dataIndex, s = data.stations[i], [x, y] = stationsAt[i];
    const share = s.required_count > 0 ? s.passed_count / s.required_count : 0;
    const whole = share === 1;
    return {type: "group", children: [
      {type: "circle", shape: {cx: x, cy: y, r: dot}, style: {fill: whole ? "var(--usable)" : paper, stroke: ink, lineWidth: 1.2}},
      ...(share > 0 && !whole ? [{type: "sector", shape: {cx: x, cy: y, r: dot, r0: 0, startAngle: -Math.PI / 2,
        endAngle: -Math.PI / 2 + share * 2 * Math.PI}, style: {fill: "var(--usable)"}}] : []),
      ...label(labels[data.sites.length + i], s.name, {fill: ink, fontSize: 12})]};
  };
  return {
    ...option,
    tooltip: {trigger: "item", backgroundColor: paper, borderColor: soft, textStyle: {color: ink}, confine: true,
      formatter: ({seriesName, dataIndex: i}) => {
        if (seriesName === "sites") {
          const s = data.sites[i];
          return `<b>${escape(s.name)}</b><br>axes ${tidy(s.loop_azimuth_a_deg)}° and ${tidy(s.loop_azimuth_b_deg)}°<br>keep out ${keepOut(s)} m`;
        }
        const s = data.stations[i];
        return `<b>${escape(s.name)}</b><br>${tidy(s.offset_m, 4)} m at ${tidy(s.bearing_deg)}° from ${escape(data.sites[s.site_index].name)}<br>${s.passed_count} of ${s.required_count} required readings pass`;
      }},
    series: [
      ...ways.map((way) => ({type: "line", silent: true, showSymbol: false, z: 1, data: way.map((s) => [s.y_m, s.x_m]), lineStyle: {color: soft, width: 1}})),
      {type: "lines", coordinateSystem: "cartesian2d", silent: true, data: rays.map((line) => ({coords: line.map((p) => [p.y_m, p.x_m])})), lineStyle: {color: soft, width: .8, type: "dotted", opacity: .8}},
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
  const look = (number) => apart[numbers.indexOf(number) % apart.length];
  const sweeps = data.timeline.filter((e) => e.activity === "sweep")
    .map((e) => [{xAxis: e.start_s / 3600}, {xAxis: e.end_s / 3600}]);
  const series = [];
  numbers.forEach((number, k) => {
    const line = (name, key, dash, axis, factor, more = {}) => ({name: `battery ${number}, ${name}`, type: "line", showSymbol: false,
      xAxisIndex: axis, yAxisIndex: axis, data: column(key, number, factor), lineStyle: lineOf(look(number), dash, 1.5), itemStyle: {color: look(number)}, ...more});
    series.push(line("terminals", "terminal_v", "solid", 0, 1, k ? {} : {
      markArea: {silent: true, itemStyle: {color: soft, opacity: .14}, data: sweeps},
      markLine: {silent: true, symbol: "none", lineStyle: {color: "var(--danger)", type: "dashed"},
        label: {formatter: `cut-off ${tidy(data.battery_cut_off_v, 4)} V`, position: "insideStartTop", color: "var(--danger)"},
        data: [{yAxis: data.battery_cut_off_v}]}}));
    series.push(line("all charge", "charge_total_fraction", "dashed", 1, 100));
    series.push(line("available charge", "charge_available_fraction", "dotted", 1, 100));
  });
  const time = (more) => valueAxis("", 0, {min: from, max: to, interval: to - from > 6 ? 1 : .5, ...more});
  const volts = t.terminal_v.concat(data.battery_cut_off_v).filter(finite);
  const low = Math.min(...volts), high = Math.max(...volts), pad = .05 * (high - low) + .02;
  const label = {color: soft, hideOverlap: true, showMaxLabel: false, formatter: clock};
  return {
    grid: [{left: 58, right: 20, top: 12, height: "52%", outerBoundsMode: "none"}, {left: 58, right: 20, bottom: 28, height: "27%", outerBoundsMode: "none"}],
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
const channels = ["ex", "ey", "hx", "hy"], channelName = {ex: "Ex", ey: "Ey", hx: "Hx", hy: "Hy"};
const channelLook = Object.fromEntries(channels.map((c, i) => [c, {colour: apart[i], shape: shapes[i]}]));
const weakest = (j) => {
  const all = channels.flatMap((c) => [decibel(j.snr_a_power_ratio[c]), decibel(j.snr_b_power_ratio[c])]);
  return all.some((v) => v === null) ? null : Math.min(...all);
};
const columns = data.frequencies_hz.map((_, i) => i).sort((i, j) => data.frequencies_hz[j] - data.frequencies_hz[i]);
const columnOf = columns.reduce((of, i, at) => { of[i] = at; return of; }, []);
let snr_first = 0, snr_end = data.stations.length;
function snrMatrixOption(width) {
  const small = (width - 110) / data.frequencies_hz.length < 24;
  const names = data.stations.slice(snr_first, snr_end).map((s) => s.name);
  const shown_here = data.judged.filter((j) => j.station_index >= snr_first && j.station_index < snr_end);
  return {
    grid: {left: 96, right: 16, top: 10, bottom: 52},
    xAxis: {type: "category", data: columns.map((i) => data.frequencies_hz[i]).map((f) => f >= 1e3 ? tidy(f / 1e3) + "k" : tidy(f)),
      name: "frequency Hz (shallow to the left)",
      nameGap: 34, ...axisLook, splitLine: {show: false}, axisLabel: {color: soft, rotate: small ? 90 : 0, hideOverlap: true}},
    yAxis: {type: "category", inverse: true, data: names, ...axisLook, splitLine: {show: false}, axisLabel: {color: soft, width: 86, overflow: "truncate"}},
    tooltip: {trigger: "item", backgroundColor: paper, borderColor: soft, textStyle: {color: ink}, confine: true,
      formatter: ({value}) => `${escape(names[value[1]])}, ${frequency(data.frequencies_hz[columns[value[0]]])}<br>weakest channel ${finite(value[2]) ? value[2].toFixed(0) + " dB" : "not sent"}`},
    series: [{type: "custom", data: shown_here.map((j) => [columnOf[j.frequency_index], j.station_index - snr_first, weakest(j)]),
      renderItem: (params, api) => {
        const value = shown_here[params.dataIndex], db = weakest(value);
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
  const series = ["a", "b"].flatMap((loop) => channels.map((c) => ({
    name: `${channelName[c]} ${loop.toUpperCase()}`, type: "line", symbol: channelLook[c].shape, symbolSize: 7,
    lineStyle: lineOf(channelLook[c].colour, loop === "a" ? "solid" : "dashed", 1.5), itemStyle: {color: channelLook[c].colour},
    data: readings.map((j) => [Math.log10(j.frequency_hz), decibel(j[`snr_${loop}_power_ratio`][c])])})));
  return {
    grid: {left: 58, right: 20, top: 12, bottom: 50},
    xAxis: frequencyAxis(data.frequencies_hz), yAxis: valueAxis("SNR dB", 40),
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
    grid: [{left: 56, right: 12, top: 50, height: "47%"}, {left: 56, right: 12, bottom: 46, height: "22%"}],
    xAxis: [frequencyAxis(data.frequencies_hz, {name: "", gridIndex: 0, axisLabel: {show: false}}),
            frequencyAxis(data.frequencies_hz, {name: "frequency Hz", nameGap: 27, gridIndex: 1})],
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
const at = (id) => document.getElementById(id);
const grids = [...document.querySelectorAll("table.matrix")];
const rows_a_page = 40, charts_a_page = 24;
if (grids.length) pager(grids[0].closest(".scroll"), data.stations.length, rows_a_page, stationName, (first, end) => {
  for (const grid of grids)
    [...grid.tBodies[0].rows].forEach((row, i) => row.classList.toggle("paged-out", i < first || i >= end));
});

// A wide, low map needs no tall drawing.
{
  const all = [...data.sites, ...data.stations], map = at("chart-map");
  const span = (key) => Math.max(...all.map((p) => p[key])) - Math.min(...all.map((p) => p[key]));
  const width = Math.max(100, map.clientWidth - 200);
  map.style.height = `${Math.round(Math.min(520, Math.max(300, 200 + width * span("x_m") / Math.max(1, span("y_m")))))}px`;
  draw(map, mapOption);
}
keyAbove(at("chart-battery"), [...new Set(data.battery_trace.battery_number)].flatMap((number, k) =>
  [["terminals V", "solid"], ["all charge %", "dashed"], ["available charge %", "dotted"]].map(([name, dash]) =>
    ({name: `battery ${number}, ${name}`, colour: apart[k % apart.length], dash}))));
draw(at("chart-battery"), batteryOption);
if (data.battery_percentiles) draw(at("chart-battery-percentiles"), batteryPercentilesOption);
const choice = at("snr-station");
choice.add(new Option("all stations, weakest channel", "-1"));
data.stations.forEach((s, i) => choice.add(new Option(s.name, String(i))));
const channelKey = keyAbove(at("chart-snr"), ["A", "B"].flatMap((loop) => channels.map((c) =>
  ({name: `${channelName[c]} ${loop}`, ...channelLook[c], dash: loop === "A" ? "solid" : "dashed"}))));
const oneStation = () => Number(choice.value) >= 0;
const redrawSnr = draw(at("chart-snr"), (width) => oneStation() ? snrStationOption(Number(choice.value)) : snrMatrixOption(width));
const showSnr = () => { channelKey.hidden = !oneStation(); redrawSnr(); };
choice.addEventListener("change", showSnr);
pager(channelKey, data.stations.length, charts_a_page, stationName, (first, end) => { snr_first = first; snr_end = end; choice.value = "-1"; showSnr(); });

const soundings = [...document.querySelectorAll("[data-sounding]")], drawn = new Set();
if (soundings.length) {
  const box = soundings[0].closest(".soundings");
  keyAbove(box, [{name: "plane wave", dash: "solid"}, {name: "xy", colour: accent, shape: "circle"}, {name: "yx", colour: "var(--transition)", shape: "rect"},
    {name: "not usable", colour: soft, shape: "circle", hollow: true}]);
  pager(box, soundings.length, charts_a_page, stationName, (first, end) => soundings.forEach((element, i) => {
    const here = i >= first && i < end;
    element.closest("figure").classList.toggle("paged-out", !here);
    if (!here || drawn.has(i)) return;
    drawn.add(i);
    draw(element, () => soundingOption(i));
  }));
}
draw(at("chart-bias"), biasOption);
