// The page: a plan as text, edits of it, what a day makes of it. Every number comes from the planner's own commands.

const $ = (id) => document.getElementById(id);
const planFile = 'plan.toml';
let engine, keys = [], history = [], at = -1, pinned = null, shown = null, asked = 0;

/// Everything that can be undone: the text and what is tried beside it.
const fresh = (text, name) => ({text, name, what: {temperature: '', order: 'planned', without: []}});
const now = () => history[at];

function push(state) {
  history = [...history.slice(0, at + 1), state].slice(-200);
  at = history.length - 1;
  show();
}
function go(by) {
  if (!history[at + by]) return;
  at += by;
  show();
}

function whatWords({what}) {
  return [...(what.temperature === '' ? [] : ['--temperature', what.temperature]), ...(what.order === 'planned' ? [] : ['--order', what.order]),
          ...what.without.flatMap((name) => ['--without', name])];
}
const quoted = (word) => /^[\w./=:-]+$/.test(word) ? word : `'${word.replaceAll("'", `'\\''`)}'`;
function say(words) {
  $('command').textContent = 'ampturn ' + words.map(quoted).join(' ').replaceAll(planFile, now().name);
}
const planBytes = () => ({[planFile]: new TextEncoder().encode(now().text)});

/// The program's lines, with the place in the plan where they have one.
function problems(answer) {
  const list = $('problems');
  list.replaceChildren(...answer.complained.trim().split('\n').filter(Boolean).map((line) => {
    const [, row, column, text] = line.match(/^ampturn: plan\.toml:(\d+):(\d+): (.*)$/) ?? [, 0, 0, line.replace(/^ampturn: /, '')];
    return html('li', {}, row > 0 ? html('button', {type: 'button', onclick: () => select(Number(row), Number(column))}, `line ${row}`) : '', ' ', text);
  }));
  list.hidden = !list.childElementCount;
}
function select(row, column) {
  $('text-part').open = true;
  const lines = $('text').value.split('\n'), start = lines.slice(0, row - 1).reduce((n, line) => n + line.length + 1, 0);
  $('text').focus();
  $('text').setSelectionRange(start + column - 1, start + lines[row - 1].length);
}

/// The last result stays until the next one is there.
async function show() {
  const mine = ++asked, state = now();
  $('text').value = state.text;
  $('undo').disabled = at <= 0;
  $('redo').disabled = at >= history.length - 1;
  try { localStorage.setItem('ampturn-plan', JSON.stringify(state)); } catch { /* a browser that keeps nothing */ }
  const words = ['day', planFile, '--json', ...whatWords(state)];
  say(words.filter((word) => word !== '--json'));
  const [check, answer] = await Promise.all([engine.run(['check', planFile, '--json'], planBytes()), engine.run(words)]);
  if (mine !== asked) return;
  problems(check.code === 0 ? answer : check);
  document.body.classList.toggle('stale', answer.code !== 0);
  if (answer.code !== 0 || check.code !== 0) return;
  shown = {day: JSON.parse(answer.said), check: JSON.parse(check.said), ms: answer.ms, asked: mine};
  render();
}

function render() {
  const {day, check} = shown, state = now();
  $('work').hidden = false;
  $('name').textContent = day.survey_name;
  $('invented').hidden = !day.invented;
  const before = pinned?.day, than = (a, b) => before && a !== b ? ` (pinned: ${b})` : '';
  const card = (term, value, bad) => html('div', {class: bad ? 'bad' : 'good'}, html('dt', {}, term), html('dd', {}, value));
  $('cards').replaceChildren(
    card('day', (day.completed ? 'carried' : 'NOT carried') + than(day.completed, before?.completed), !day.completed),
    card('over at', clock(day.end_s) + than(clock(day.end_s), clock(before?.end_s))),
    card('readings that pass', `${day.passed_count} of ${day.required_count}` + than(day.passed_count, before?.passed_count), day.passed_count < day.required_count),
    card('battery sets', `${day.batteries_carried} carried, ${day.batteries_needed ?? '?'} needed` + than(day.batteries_needed, before?.batteries_needed), !(day.batteries_needed <= day.batteries_carried)),
    card('energy', `${day.energy_wh.toFixed(1)} Wh` + than(day.energy_wh.toFixed(1), before?.energy_wh.toFixed(1))),
    card('keep out while sending', `${Math.max(...day.sites.map((site) => site.keep_out_public_m))} m; local rules decide`));
  $('findings').replaceChildren(...day.findings.map((text) => html('li', {}, text)));
  $('cautions').replaceChildren(...day.cautions.map((text) => html('li', {}, text)));
  $('remarks').replaceChildren(...check.remarks.map((r) => html('li', {}, r.line ? html('button', {type: 'button', onclick: () => select(r.line, r.column)}, `line ${r.line}`) : '', ` ${r.key}: ${r.text}`)));
  const held = document.activeElement?.getAttribute?.('data-name');
  $('map').replaceChildren(mapView(day, moved));
  if (held) $('map').querySelector(`[data-name="${CSS.escape(held)}"]`)?.focus();
  $('verdicts').replaceChildren(verdictTable(day, before));
  $('battery').replaceChildren(batteryView(day, before));
  steppers(check.given, day, state);
  keyForm();
}

async function edit(settings) {
  const answer = await engine.run(['edit', planFile, ...settings.flatMap((setting) => ['--set', setting])], planBytes());
  if (answer.code !== 0) return problems(answer);
  push({...now(), text: answer.said});
}

function stepper(label, unit, value, by, change) {
  const field = html('input', {type: 'text', inputmode: 'decimal', value, 'aria-label': `${label} in ${unit}`, onchange: (e) => change(e.target.value)});
  const button = (sign, said) => html('button', {type: 'button', 'aria-label': `${label} ${said}`, onclick: () => change(by(value, sign))}, sign > 0 ? '+' : '\u2212');
  return html('div', {class: 'stepper'}, html('span', {}, `${label}, ${unit}`), button(-1, 'less'), field, button(1, 'more'));
}
const plus = (size, least) => (value, sign) => String(Math.max(least, Number((Number(value) + sign * size).toPrecision(12))));
function minutes(value, sign) {
  const [h, m] = value.split(':').map(Number), total = Math.max(0, Math.min(23 * 60 + 45, h * 60 + m + 15 * sign));
  return `${String(Math.floor(total / 60)).padStart(2, '0')}:${String(total % 60).padStart(2, '0')}`;
}

function steppers(given, day, state) {
  const tried = (change) => push({...state, what: {...state.what, ...change}});
  const byDefault = (key) => keys.find((k) => k.key === key)?.default;
  const start = (given.day?.start ?? byDefault('day.start') ?? '08:00').slice(0, 5);
  const parts = [stepper('Battery sets', 'carried', String(given.battery?.sets_carried ?? byDefault('battery.sets_carried')), plus(1, 1), (v) => edit([`battery.sets_carried=${v}`])),
                 stepper('Start', 'hh:mm', start, minutes, (v) => edit([`day.start=${v}:00`])),
                 stepper('Air', '\u00b0C all day', state.what.temperature, (v, sign) => String(Number(v === '' ? 0 : v) + 5 * sign), (v) => tried({temperature: v}))];
  if (given.sweep?.dwell_s !== undefined) parts.push(stepper('Dwell', 's', String(given.sweep.dwell_s), plus(1, 1), (v) => edit([`sweep.dwell_s=${v}`])));
  if (given.sweep?.current_a_peak !== undefined) parts.push(stepper('Current', 'A peak', String(given.sweep.current_a_peak), plus(0.5, 0.5), (v) => edit([`sweep.current_a_peak=${v}`])));
  for (const loop of ['a', 'b'])
    if (given.loop?.[loop]?.azimuth_deg !== undefined) parts.push(stepper(`Loop ${loop.toUpperCase()}`, '\u00b0 azimuth', String(given.loop[loop].azimuth_deg), plus(5, -360), (v) => edit([`loop.${loop}.azimuth_deg=${v}`])));
  $('steppers').replaceChildren(...parts, html('label', {class: 'choice'}, 'Order of stations ', (() => {
    const list = html('select', {onchange: (e) => tried({order: e.target.value})}, ...['planned', 'improved'].map((word) => html('option', {value: word}, word)));
    list.value = state.what.order;
    return list;
  })()), html('fieldset', {class: 'skip'}, html('legend', {}, 'Leave out'), ...(given.station ?? []).filter((s) => s.name).map((s) => html('label', {}, html('input', {type: 'checkbox', checked: state.what.without.includes(s.name),
    onchange: (e) => tried({without: e.target.checked ? [...state.what.without, s.name] : state.what.without.filter((n) => n !== s.name)})}), ' ' + s.name))));
}

/// A site or station put elsewhere, in the way its plan gives it.
function moved(kind, index, x, y) {
  const {day, check} = shown, name = (kind === 'site' ? day.sites : day.stations)[index].name;
  const entry = (check.given[kind] ?? []).findIndex((one) => one.name === name), given = check.given[kind]?.[entry];
  if (!given) return problems({complained: `${name} is placed by a line or a list, which this map cannot move\n`});
  const key = (part) => `${kind}[${entry + 1}].${part}`, metre = (v) => Math.round(v * 10) / 10;
  const from = kind === 'station' ? day.sites[day.stations[index].site_index] : null;
  if (given.offset_m !== undefined) {
    const dx = x - from.x_m, dy = y - from.y_m;
    return edit([`${key('offset_m')}=${metre(Math.hypot(dx, dy))}`, `${key('bearing_deg')}=${metre((Math.atan2(dy, dx) * 180 / Math.PI + 360) % 360)}`]);
  }
  if (given.latitude_deg !== undefined) {
    // Degrees for metres on the ellipsoid near the place; the planner takes the distances anew from the degrees.
    const was = (kind === 'site' ? day.sites : day.stations)[index], phi = was.latitude_deg * Math.PI / 180, e2 = 0.00669437999014;
    const w = 1 - e2 * Math.sin(phi) ** 2, north = 6378137 * (1 - e2) / w ** 1.5, east = 6378137 / Math.sqrt(w) * Math.cos(phi), degrees = (rad) => rad * 180 / Math.PI;
    return edit([`${key('latitude_deg')}=${(was.latitude_deg + degrees((x - was.x_m) / north)).toFixed(6)}`, `${key('longitude_deg')}=${(was.longitude_deg + degrees((y - was.y_m) / east)).toFixed(6)}`]);
  }
  return edit([`${key('x_m')}=${metre(x)}`, `${key('y_m')}=${metre(y)}`]);
}

/// Every key of a table, with unit, range and help from the schema.
function keyForm() {
  if (!$('all-keys').open) return;
  const tables = keys.filter((k) => k.table), chosen = $('table').value || 'battery', given = shown.check.given;
  const places = [];  // of a table in the file: path, values
  const walk = (node, names, path) => {
    if (!names.length) return places.push([path, node ?? {}]);
    const below = node?.[names[0]], whole = path ? `${path}.${names[0]}` : names[0];
    if (Array.isArray(below)) below.forEach((one, i) => walk(one, names.slice(1), `${whole}[${i + 1}]`)); else walk(below, names.slice(1), whole);
  };
  walk(given, chosen.split('.'), '');
  if ($('table').childElementCount !== tables.length) {
    $('table').replaceChildren(...tables.map((k) => html('option', {value: k.key}, k.key)));
    $('table').value = chosen;
  }
  $('keys').replaceChildren(...places.slice(0, 60).map(([path, values]) => html('fieldset', {}, html('legend', {}, path + (values.name ? ` "${values.name}"` : '')),
    ...keys.filter((k) => !k.table && k.key.slice(0, k.key.lastIndexOf('.')) === chosen).map((k) => {
      const own = k.key.slice(chosen.length + 1), value = values[own];
      const text = value === undefined ? '' : typeof value === 'string' ? value : JSON.stringify(value);
      return html('label', {class: 'key'}, html('span', {}, own + (k.unit ? ` (${k.unit})` : '')),
        html('input', {value: text, placeholder: k.required ? 'required' : k.absent || k.default, onchange: (e) => edit([`${path}.${own}=${e.target.value}`])}),
        html('small', {}, `${k.help} Allowed: ${k.allowed}.`));
    }))));
}

function download(name, bytes, type) {
  const link = html('a', {href: URL.createObjectURL(new Blob([bytes], {type})), download: name});
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}
async function written(words, path, name, type) {
  say(words);
  const answer = await engine.run(words, planBytes(), [path.split('/')[0]]);
  problems(answer);
  if (answer.files[path]) download(name, answer.files[path], type);
}
async function output(words) {
  say(words);
  $('output').textContent = 'Working.';
  $('cancel').hidden = false;
  const answer = await engine.run(words, planBytes());
  $('cancel').hidden = true;
  $('output').textContent = answer.code === -1 ? 'Ended.' : (answer.said || answer.complained).replaceAll(planFile, now().name);
}

const read = (file) => file.text().then((text) => push(fresh(text, file.name)));

async function begin() {
  engine = await Engine.start();
  keys = JSON.parse((await engine.run(['explain', '--json'])).said);
  $('open').onchange = (e) => e.target.files[0] && read(e.target.files[0]);
  $('demo').onclick = () => push(fresh($('demo-plan').textContent.replace(/^\n/, ''), 'quick.toml'));
  $('new').onclick = async () => {
    const answer = await engine.run(['new', 'made.toml', '--defaults', '--overwrite', ...['station-count', 'first-offset-m', 'station-spacing-m', 'frequency-low-hz', 'frequency-high-hz', 'frequency-count', 'battery-sets'].flatMap((name) => $(name).value ? [`--${name}`, $(name).value] : [])], {}, ['made.toml']);
    if (answer.files['made.toml']) push(fresh(new TextDecoder().decode(answer.files['made.toml']), 'plan.toml')); else problems(answer);
  };
  $('text').onchange = () => push({...now(), text: $('text').value});
  $('table').onchange = $('all-keys').ontoggle = keyForm;
  $('undo').onclick = () => go(-1);
  $('redo').onclick = () => go(1);
  $('pin').onclick = () => { pinned = pinned ? null : shown; $('pin').textContent = pinned ? 'Unpin' : 'Pin'; render(); };
  $('save').onclick = () => download(now().name, now().text, 'application/toml');
  $('sheet').onclick = () => written(['sheet', planFile, '--out', 'out/sheet.html'], 'out/sheet.html', 'sheet.html', 'text/html');
  $('report').onclick = () => written(['day', planFile, ...whatWords(now()), '--out', 'out'], 'out/report.html', 'report.html', 'text/html');
  $('image').onclick = () => written(['table', planFile, '--to', 'image', '--out', 'out/table.bin'], 'out/table.bin', 'table.bin', 'application/octet-stream');
  $('go').onclick = () => output(['day', planFile, ...(now().what.temperature === '' ? [] : ['--temperature', now().what.temperature]), '--make-it-go']);
  $('runs').onclick = () => output(['day', planFile, ...whatWords(now()), '--runs', '300', '--summary']);
  $('cancel').onclick = () => engine.cancel();
  $('others').parentElement.ontoggle = () => { $('others').textContent = $('notices').textContent; };
  $('clear').onclick = () => { localStorage.removeItem('ampturn-plan'); location.reload(); };
  document.onkeydown = (e) => {
    if (!(e.ctrlKey || e.metaKey) || ['INPUT', 'TEXTAREA'].includes(e.target.tagName)) return;
    if (e.key === 'z' || e.key === 'y') { e.preventDefault(); go(e.key === 'y' || e.shiftKey ? 1 : -1); }
  };
  document.ondragover = (e) => e.preventDefault();
  document.ondrop = (e) => { e.preventDefault(); if (e.dataTransfer.files[0]) read(e.dataTransfer.files[0]); };
  const kept = JSON.parse(localStorage.getItem('ampturn-plan') ?? 'null');
  if (kept?.text) push(kept);
  $('ready').textContent = 'Ready. Nothing leaves this page.';
  document.body.dataset.ready = 'yes';
}
begin().catch((error) => { $('ready').textContent = 'This browser cannot run the planner: ' + error; });
