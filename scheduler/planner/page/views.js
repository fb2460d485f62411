// What a day's results look like: verdicts, map, battery. Each takes day.json and gives elements.

const svgNames = 'http://www.w3.org/2000/svg';
function svg(name, attributes = {}, ...children) {
  const element = document.createElementNS(svgNames, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  element.append(...children);
  return element;
}
function html(name, attributes = {}, ...children) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes))
    if (key.startsWith('on')) element[key] = value; else if (value !== false && value !== undefined) element.setAttribute(key, value === true ? '' : value);
  element.append(...children);
  return element;
}

const letters = {'usable': 'U', 'too noisy': 'N', 'noisy': 'N', 'transition': 'T', 'near field': 'F', 'not sent': '-'};
const clock = (s) => s == null ? '-' : new Date(Math.round(s) * 1000).toISOString().slice(11, 16);
const frequency = (hz) => hz >= 1e4 ? (hz / 1e3).toFixed(1) + 'k' : hz >= 1e3 ? (hz / 1e3).toFixed(2) + 'k' : hz.toFixed(0);

function verdictTable(day, pinned) {
  const order = day.frequencies_hz.map((hz, i) => [hz, i]).sort((a, b) => b[0] - a[0]).map(([, i]) => i);
  const at = (of, s, f) => of?.judged.find((j) => j.station_index === s && j.frequency_index === f);
  const head = html('tr', {}, html('th', {scope: 'col'}, 'station'), ...order.map((f) => html('th', {scope: 'col'}, frequency(day.frequencies_hz[f]))));
  const rows = day.stations.map((station, s) => html('tr', {}, html('th', {scope: 'row'}, station.name), ...order.map((f) => {
    const j = at(day, s, f), was = at(pinned, s, f);
    if (!j) return html('td', {class: 'none', 'aria-label': 'not planned'}, '');
    const changed = pinned && was && was.verdict !== j.verdict;
    return html('td', {class: 'v-' + j.verdict.replaceAll(' ', '-') + (changed ? ' changed' : ''), title: `${station.name}, ${frequency(j.frequency_hz)}Hz: ${j.verdict}. ${j.reason}` + (changed ? ` (pinned: ${was.verdict})` : ''),
      'aria-label': j.verdict}, letters[j.verdict] ?? j.verdict[0].toUpperCase());
  })));
  return html('table', {class: 'verdicts'}, html('caption', {}, 'Rows: stations. Columns: frequency in Hz. ' + [...new Set(day.judged.map((j) => j.verdict))].map((v) => `${letters[v] ?? v[0].toUpperCase()} ${v}`).join(', ')),
    html('thead', {}, head), html('tbody', {}, ...rows));
}

/// Sites and stations in the plan's plane, north up; `moved(kind, index, x, y)` when one is put elsewhere.
function mapView(day, moved) {
  const all = [...day.sites, ...day.stations], pad = 0.12;
  const xs = all.map((p) => p.x_m), ys = all.map((p) => p.y_m);
  const span = Math.max(100, Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys)) * (1 + 2 * pad);
  const middle = [(Math.max(...xs) + Math.min(...xs)) / 2, (Math.max(...ys) + Math.min(...ys)) / 2], size = 600;
  const px = (y) => (y - middle[1]) / span * size + size / 2, py = (x) => size / 2 - (x - middle[0]) / span * size;
  const metres = (event) => {
    const box = view.getBoundingClientRect();
    return [middle[0] + (0.5 - (event.clientY - box.top) / box.height) * span, middle[1] + ((event.clientX - box.left) / box.width - 0.5) * span];
  };
  const step = 10 ** Math.floor(Math.log10(span / 3)), bar = span / step / 3 >= 5 ? 5 * step : span / step / 3 >= 2 ? 2 * step : step;
  const view = svg('svg', {viewBox: `0 0 ${size} ${size}`, class: 'map', role: 'group', 'aria-label': 'Map of sites and stations, north up'});
  view.append(svg('path', {d: `M20,${size - 20}h${bar / span * size}`, class: 'bar'}), svg('text', {x: 20, y: size - 28}, `${bar} m`), svg('text', {x: size - 30, y: 28}, 'N'), svg('path', {d: `M${size - 24},52v-18m-5,6l5,-6l5,6`, class: 'bar'}));
  const point = (kind, index, p, mark, said) => {
    const group = svg('g', {transform: `translate(${px(p.y_m)},${py(p.x_m)})`, class: kind, tabindex: 0, role: 'button', 'aria-label': said + ', move with the arrow keys', 'data-name': p.name},
      svg('circle', {r: 24, class: 'hand'}), mark, svg('text', px(p.y_m) > size - 90 ? {x: -14, y: -10, 'text-anchor': 'end'} : {x: 14, y: -10}, p.name));
    group.onpointerdown = (event) => {
      group.setPointerCapture(event.pointerId);
      group.onpointermove = (e) => { const [x, y] = metres(e); group.setAttribute('transform', `translate(${px(y)},${py(x)})`); };
      group.onpointerup = (e) => { group.onpointermove = group.onpointerup = null; moved(kind, index, ...metres(e)); };
      event.preventDefault();
    };
    group.onkeydown = (event) => {
      const by = {ArrowUp: [1, 0], ArrowDown: [-1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1]}[event.key];
      if (!by) return;
      event.preventDefault();
      const far = event.shiftKey ? 1 : 10;
      moved(kind, index, p.x_m + by[0] * far, p.y_m + by[1] * far);
    };
    return group;
  };
  day.sites.forEach((site, i) => {
    view.append(svg('circle', {cx: px(site.y_m), cy: py(site.x_m), r: Math.max(3, site.keep_out_public_m / span * size), class: 'keep-out'}));
    const arm = (degrees) => { const a = degrees * Math.PI / 180; return `M0,0L${16 * Math.sin(a)},${-16 * Math.cos(a)}`; };
    view.append(point('site', i, site, svg('path', {d: `M-9,8L0,-9L9,8Z ${arm(site.loop_azimuth_a_deg)} ${arm(site.loop_azimuth_b_deg)}`}), `site ${site.name}, keep out ${site.keep_out_public_m} m`));
  });
  day.stations.forEach((station, i) => view.append(point('station', i, station, svg('circle', {r: 7, class: station.passed_count === station.required_count ? 'good' : station.passed_count ? 'some' : 'bad'}), `station ${station.name}, ${station.passed_count} of ${station.required_count} readings pass`)));
  return view;
}

function batteryView(day, pinned) {
  const width = 600, height = 220, traces = [[pinned, 'pinned'], [day, 'now']].filter(([d]) => d?.battery_trace.length);
  const points = traces.flatMap(([d]) => d.battery_trace);
  const view = svg('svg', {viewBox: `0 0 ${width} ${height}`, class: 'battery', role: 'img', 'aria-label': `Battery volts over the day, lowest ${day.batteries.map((b) => `${b.lowest_v.toFixed(2)} V of set ${b.battery_number}`).join(', ') || 'none'}`});
  if (!points.length) return view;
  const t = points.map((p) => p.time_s), v = [...points.map((p) => p.terminal_v), day.battery_cut_off_v];
  const from = Math.min(...t), to = Math.max(...t), low = Math.min(...v) - 0.2, high = Math.max(...v) + 0.2;
  const x = (s) => 40 + (s - from) / Math.max(1, to - from) * (width - 50), y = (volts) => 10 + (high - volts) / (high - low) * (height - 40);
  for (const [d, name] of traces) {
    const sets = new Map();
    for (const p of d.battery_trace) sets.set(p.battery_number, sets.get(p.battery_number) ?? []).get(p.battery_number).push(p);
    for (const trace of sets.values()) view.append(svg('path', {class: 'trace ' + name, d: trace.map((p, i) => `${i ? 'L' : 'M'}${x(p.time_s).toFixed(1)},${y(p.terminal_v).toFixed(1)}`).join('')}));
  }
  view.append(svg('path', {class: 'cut-off', d: `M40,${y(day.battery_cut_off_v)}H${width - 10}`}), svg('text', {x: 44, y: y(day.battery_cut_off_v) - 4}, `cut-off ${day.battery_cut_off_v} V`));
  for (let i = 0; i <= 4; ++i) {
    const s = from + (to - from) * i / 4, volts = low + (high - low) * i / 4;
    view.append(svg('text', {x: x(s), y: height - 8, 'text-anchor': i === 0 ? 'start' : i === 4 ? 'end' : 'middle'}, clock(s)), svg('text', {x: 36, y: y(volts) + 4, 'text-anchor': 'end'}, volts.toFixed(1)));
  }
  return view;
}
