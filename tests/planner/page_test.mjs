// The planner's page in Debian's Chromium, from a file, against the program.
//
//     node page_test.mjs PLANNER_HTML AMPTURN ROOT NPM WORK [EDITS]
import assert from "node:assert/strict";
import { execFileSync, spawnSync } from "node:child_process";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { launch, open } from "../browser.mjs";

const [, , page, ampturn, root, npm, work, edits = "200"] = process.argv;
mkdirSync(work, { recursive: true });
const native = (...words) => execFileSync(ampturn, words, { cwd: work, encoding: "utf-8", maxBuffer: 1e8 });
const browser = await launch(npm);
const view = await open(browser, page);
const { tab, complaints, requests } = view;
await tab.waitForFunction(() => document.body.dataset.ready === "yes", null, { timeout: 60_000 });

/// Does something and waits until its result is there.
async function after(action) {
  const before = await tab.evaluate(() => asked);
  await action();
  await tab.waitForFunction((n) => asked > n && (shown?.asked ?? 0) === asked, before, { timeout: 60_000 });
}
const dayShown = () => tab.evaluate(() => shown.day);
const text = () => tab.evaluate(() => now().text);

/// The page's day is the program's on the text that the page holds.
async function agrees(what, ...tried) {
  writeFileSync(join(work, "plan.toml"), await text());
  assert.deepEqual(await dayShown(), JSON.parse(native("day", "plan.toml", "--json", ...tried)), what);
}

// The larger demo: batteries until the day is carried or nothing more helps, a site dragged, the plan saved and run again.
await after(() => tab.setInputFiles("#open", join(root, "demo/vesslarook.toml")));
await agrees("as opened");
const opened = await dayShown();
assert.equal(opened.completed, false);
for (let sets = 1; sets < 3 && (await dayShown()).batteries_needed > (await dayShown()).batteries_carried; ++sets)
  await after(() => tab.click('[aria-label="Battery sets more"]'));
const more = await dayShown();
assert.ok(more.batteries_carried >= more.batteries_needed, "batteries are carried");
assert.match(await text(), /^# .*INVENTED/im, "comments are kept");
await after(() => tab.click('[aria-label="Start less"]'));
await agrees("more batteries, an earlier start");
const verdicts = (day) => day.judged.map((j) => j.verdict).join();
const site = tab.locator('#map [data-name="West mast"]');
await site.scrollIntoViewIfNeeded();
const box = await site.locator(".hand").boundingBox();
await after(async () => {
  await tab.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await tab.mouse.down();
  await tab.mouse.move(box.x + box.width / 2 - 60, box.y + box.height / 2 - 60, { steps: 5 });
  await tab.mouse.up();
});
assert.notEqual(verdicts(await dayShown()), verdicts(more), "a site that is dragged changes verdicts");
await agrees("a site dragged");
const [saved] = await Promise.all([tab.waitForEvent("download"), tab.click("#save")]);
await saved.saveAs(join(work, "saved.toml"));
assert.equal(verdicts(JSON.parse(native("day", "saved.toml", "--json"))), verdicts(await dayShown()), "the saved plan");
await after(() => tab.click("#undo"));
await agrees("undone");
await after(() => tab.click("#redo"));
await agrees("done again");

// Both ways of a mistake: said in place, and the last good result stays.
const good = await dayShown();
await after(() => tab.fill('[aria-label="Dwell in s"]', "twelve").then(() => tab.press('[aria-label="Dwell in s"]', "Tab")).catch(() => {})).catch(() => {});
assert.match(await tab.textContent("#problems"), /dwell_s/, "what is wrong is named");
assert.deepEqual(await dayShown(), good);

// Random edits of the small demo never disagree with the program.
await after(() => tab.click("#demo"));
let state = 12345;
const draw = (n) => (state = (state * 1103515245 + 12345) % 2147483648) % n;
const ways = [
  () => tab.click('[aria-label="Battery sets more"]'), () => tab.click('[aria-label="Start more"]'), () => tab.click('[aria-label="Start less"]'),
  () => tab.click('[aria-label="Dwell more"]'), () => tab.click('[aria-label="Dwell less"]'), () => tab.click('[aria-label="Current more"]'),
  () => tab.click('[aria-label="Current less"]'), () => tab.click('[aria-label="Loop A more"]'), () => tab.click('[aria-label="Loop B less"]'),
  ...["near", "far"].flatMap((name) => ["ArrowUp", "ArrowLeft", "Shift+ArrowRight", "Shift+ArrowDown"].map((key) => () => tab.locator(`#map [data-name="${name}"]`).press(key))),
];
let made = 0, ms = [];
for (let i = 0; i < Number(edits); ++i) {
  const way = ways[draw(ways.length)];
  const before = await text();
  await after(way).catch(async (error) => { if (!(await tab.isVisible("#problems"))) throw error; });
  if (await tab.isVisible("#problems")) { await after(() => tab.click("#undo")).catch(() => {}); continue; }
  made += before !== await text();
  ms.push(await tab.evaluate(() => shown.ms));
  await agrees(`edit ${i}`);
}
assert.ok(made > 0.8 * Number(edits), `${made} edits were made`);

// For hands in the cold: targets, and what a screen reader is told.
for (const width of [390, 820, 1280]) {
  await tab.setViewportSize({ width, height: 900 });
  const small = await tab.$$eval("button, select, .button, summary", (all) => all.filter((e) => e.offsetParent && (e.getBoundingClientRect().height < 44 || e.getBoundingClientRect().width < 44)).map((e) => e.textContent));
  assert.deepEqual(small, [], `targets at ${width} px`);
  assert.ok(await tab.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `nothing wider than ${width} px`);
}
const axe = readFileSync(join(npm, "node_modules/axe-core/axe.min.js"), "utf-8");
for (const colorScheme of ["light", "dark"]) {
  await tab.emulateMedia({ colorScheme });
  await tab.evaluate(axe);
  const found = await tab.evaluate(() => axe.run(document, { resultTypes: ["violations"] }));
  const serious = found.violations.filter((v) => ["serious", "critical"].includes(v.impact));
  assert.deepEqual(serious.map((v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 120)).join(" | ")}`), [], colorScheme);
}
assert.deepEqual(complaints, []);
assert.deepEqual(requests.filter((url) => !/^(data|blob|file):/.test(url)), [], "no request to any network");
await browser.close();

const runs = ms.length, median = ms.sort((a, b) => a - b)[Math.floor(runs / 2)];
writeFileSync(join(work, "quick.toml"), readFileSync(join(root, "demo/quick.toml")));
const began = process.hrtime.bigint();
for (let i = 0; i < 20; ++i) spawnSync(ampturn, ["day", "quick.toml", "--json"], { cwd: work });
const call = Number(process.hrtime.bigint() - began) / 20e6;
console.log(`${made} edits agree with the program; a day takes ${(median / call).toFixed(1)} times a call of the program`);
