// A whole drill by clicks in a real browser, the instructor's page beside it, the debrief at the end. Screenshots are kept.
//   node panel.mjs PROGRAM SOURCE_DIR SCREENSHOT_DIR
import { spawn, spawnSync } from "node:child_process";
import { join } from "node:path";
import { browser, drill, fail, folder, meets, newPage, problems, program, shot, shots, shows, startUnit, units } from "./panel_bench.mjs";

const log = join(folder, "log.jsonl");
async function work(page, name) {  // presses by its label and waits until the log says that it is done
  const before = await page.locator("#log li.did").count();
  await page.getByRole("button", { name }).click();
  await page.waitForFunction((count) => document.querySelectorAll("#log li.did").length > count, before);
}
const plug = (page, name) => work(page, name);

const run = await startUnit(...drill("first_start.toml"), "--speed", "25", "--log", log);
const front = await newPage(1280, 800, run.panel);
const instructor = await newPage(1280, 800, run.trainer);
await front.waitForSelector("#drill h3");
await shot(front, "front-1280x800-start");
const hidden = await front.evaluate(() => { const box = document.getElementById("drill"); return box.scrollHeight - box.clientHeight; });
if (hidden > 0) fail("of story and cautions " + hidden + " px are below the fold");

// A fault from the instructor reaches the unit; the trainee's log does not tell.
await instructor.click("#fault-receiver_not_ready");
await instructor.waitForSelector("#fault-receiver_not_ready[aria-pressed=true]");
await meets(front, () => work(front, "Call receiver crew"), "not ready", "found");
await front.waitForSelector("#log li.found:has-text('not ready')");
if (await front.locator("#log li.fault").count()) fail("the trainee's log tells of faults");
await instructor.click("#fault-receiver_not_ready");
await instructor.fill("#remark-text", "Good habit: asked before sending.");
await instructor.press("#remark-text", "Enter");
await front.waitForSelector("#log li.remark");

await work(front, "Meter on loop A");
await work(front, "Meter on loop B");
await plug(front, /Loop A plug/);
await plug(front, /Loop B plug/);
await work(front, "Meter on battery");
await plug(front, /Battery positive/);
await plug(front, /Battery negative/);
await shows(front, "standby");
await work(front, "Walk the ring");
await work(front, "Call receiver crew");
await front.click("#key");
await shows(front, "armed");
await shot(front, "front-1280x800-armed");
// Paused and stepped, so that every picture below is of a known moment.
await instructor.click("[data-pace='pause']");
await front.waitForSelector("#pace:text('paused')");
await front.keyboard.press("g");
await shows(front, "warning");
const frozen = await front.textContent("#utc");
await front.waitForTimeout(300);
if (await front.textContent("#utc") !== frozen) fail("time went on while paused");
await instructor.click("[data-pace='step 10']");
await shows(front, "sending 1/6");
await shot(instructor, "instructor-1280x800", true);
await instructor.click("[data-pace='step 10']");
await shows(front, "sending 2/6");
await shot(front, "front-1280x800-sending");
await instructor.click("[data-pace='resume']");
await front.waitForSelector("#log li.table");
await plug(front, /Battery negative/);
await plug(front, /Battery positive/);
await front.waitForSelector("#result");
const result = await front.textContent("#result");
if (!result.startsWith("Passed: 100 of 100")) fail("result: " + result);
await shot(front, "front-1280x800-result");

const debrief = await newPage(1280, 800, run.panel + "debrief");
await debrief.waitForSelector("#verdict:has-text('Passed')");
for (const text of ["What a good operator does", "Timeline", "Good habit: asked before sending.", "Right order: Receiver crew: not ready"]) {
  if (!(await debrief.locator("body").innerText()).toLowerCase().includes(text.toLowerCase())) fail("debrief lacks: " + text);
}
await shot(debrief, "debrief-1280x800", true);
await debrief.pdf({ path: join(shots, "debrief.pdf"), format: "A4" });

// A phone held upright: everything is there, nothing scrolls sideways.
const phone = await newPage(390, 844, run.panel);
await phone.waitForSelector("#work button");
await phone.waitForTimeout(300);
if (await phone.evaluate(() => document.documentElement.scrollWidth > document.documentElement.clientWidth)) fail("the phone scrolls sideways");
await shot(phone, "front-phone", true);
const wide = await front.evaluate(() => document.documentElement.scrollWidth > document.documentElement.clientWidth);
if (wide) fail("1280 wide scrolls sideways");

// Every control has a name and can be reached by keyboard.
const nameless = await front.evaluate(() => [...document.querySelectorAll("button, input, a")].filter((e) => !(e.textContent.trim() || e.getAttribute("aria-label") || e.labels?.length)).length);
if (nameless) fail(nameless + " controls without a name");
await front.focus("#key");
await front.keyboard.press("Tab");
if (await front.evaluate(() => document.activeElement.dataset.do) !== "go") fail("Tab does not lead from the key to go");

// Stops stay where they are: at every size, whatever is shown, scrolled or not.
const stops = (page) => page.evaluate(() => ["stop", "estop"].map((id) => {
  const box = document.getElementById(id).getBoundingClientRect();
  return [box.left, box.top, box.width, box.height, box.top >= 0 && box.bottom <= innerHeight].map(Number).join(" ");
}).join(" | "));
for (const [width, height] of [[390, 844], [1280, 800], [1920, 1080]]) {
  const page = await newPage(width, height, run.trainer.replace("/instructor", "/"));
  await page.waitForSelector("#work button");
  await page.waitForTimeout(300);
  for (const colorScheme of ["light", "dark"]) {
    await page.emulateMedia({ colorScheme });
    await page.waitForTimeout(200);
    await shot(page, "front-" + width + "-" + colorScheme);
  }
  const before = await stops(page);
  if (!before.split(" | ").every((box) => box.endsWith(" 1"))) fail("a stop is off the screen at " + width + ": " + before);
  await page.evaluate(() => { document.getElementById("trips").innerHTML = "<p>open loop: no current path, plugs first, then the cable, and many more words</p>".repeat(3); scrollTo(0, 1e6); });
  if (await stops(page) !== before) fail("stops moved at " + width + ": " + await stops(page));
  await page.close();
}
const other = await newPage(1280, 800, run.trainer);
if (!(await stops(other)).split(" | ").every((box) => box.endsWith(" 1"))) fail("no stops on the instructor's page");
await other.close();
if (await debrief.locator("body").innerText() === "") fail("empty debrief");

// What the trainee may not know is not sent to it; refusals say what is missing; keys reach the stops from anywhere.
const busy = await startUnit(...drill("somebody_in_the_ring.toml"), "--speed", "5", "--log", log + "1");
const told = [];
const trainee = await browser.newPage({ viewport: { width: 1280, height: 800 } });
trainee.on("websocket", (socket) => socket.on("framereceived", (frame) => told.push(String(frame.payload))));
await trainee.goto(busy.panel);
await trainee.waitForSelector("#link:text('connected')");
const boss = await newPage(1280, 800, busy.trainer);
await shows(trainee, "standby");
await meets(trainee, () => trainee.keyboard.press("g"), "turn the key first");
await boss.click("#fault-person_in_ring");
await boss.waitForSelector("#fault-person_in_ring[aria-pressed=true]");
await trainee.click("#key");
await shows(trainee, "armed");
await trainee.uncheck("#letters");
await trainee.keyboard.press("g");
await trainee.waitForTimeout(300);
if (!(await trainee.textContent("#textline")).includes("armed")) fail("a letter acted although letters are off");
await trainee.check("#letters");
await trainee.keyboard.press("g");
await shows(trainee, "sending");
await boss.click("#fault-person_in_ring");  // cleared, and set again while the loop is live
await boss.waitForSelector("#fault-person_in_ring[aria-pressed=false]");
await boss.click("#fault-person_in_ring");
await trainee.waitForSelector("#log li.danger:has-text('inside the keep-out ring')");
await boss.focus("#remark-text");
await boss.keyboard.press("Escape");
await trainee.waitForSelector("#estop[aria-pressed=true]");
await trainee.click("#estop");  // pressing again does not release
await trainee.waitForTimeout(300);
if (await trainee.getAttribute("#estop", "aria-pressed") !== "true") fail("pressing released the emergency stop");
await trainee.click("#release");
await trainee.waitForTimeout(400);
if (await trainee.getAttribute("#estop", "aria-pressed") !== "true") fail("one press released the emergency stop");
await trainee.click("#release");
await trainee.waitForSelector("#estop[aria-pressed=false]");
if (told.some((text) => text.includes('"fault:') || text.includes('"cleared:') || text.includes('"faults"'))) fail("the trainee was sent a fault");
await trainee.goto(busy.panel + "debrief");
await trainee.waitForSelector("#page:has-text('comes when the drill is over')");
await shot(boss, "instructor-1280x800-stops");

// A frozen unit looks dead within two seconds of its last picture; a stop pressed meanwhile goes out when it is back, a start does not.
await trainee.goto(busy.panel);
await trainee.waitForSelector("#link:text('connected')");
busy.unit.kill("SIGSTOP");
await trainee.waitForSelector("#textline:has-text('state unknown')");
if (await trainee.getAttribute("#lamp", "data-lit") !== "0") fail("the lamp of a frozen unit is lit");
if (!await trainee.evaluate(() => document.body.classList.contains("dead"))) fail("a frozen unit is not greyed");
await meets(trainee, () => trainee.keyboard.press("g"), "Not sent");
await trainee.keyboard.press("Escape");
await trainee.waitForSelector("#unsent:has-text('EMERGENCY STOP NOT SENT')");
await shot(trainee, "front-1280x800-dead");
busy.unit.kill("SIGCONT");
await trainee.waitForSelector("#estop[aria-pressed=true]");
await trainee.waitForSelector("#link:text('connected')");
if (await trainee.textContent("#unsent") !== "") fail("still says that the stop was not sent");
await busy.end();

// Contrast of text against its background, WCAG AA.
const low = (page) => page.evaluate(() => {
  const rgb = (s) => s.match(/[\d.]+/g).map(Number);
  const lum = (c) => { const [r, g, b] = c.map((v) => { v /= 255; return v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; }); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
  const found = [];
  for (const e of document.querySelectorAll("body *")) {
    const own = [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim());
    if (!own || e.closest("canvas, .chart") || !e.offsetParent) continue;
    let ground = e;
    while (ground && (rgb(getComputedStyle(ground).backgroundColor)[3] === 0)) ground = ground.parentElement;
    const a = lum(rgb(getComputedStyle(e).color).slice(0, 3)), b = lum(rgb(getComputedStyle(ground || document.body).backgroundColor).slice(0, 3));
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (ratio < 4.5) found.push(e.textContent.trim().slice(0, 30) + " " + ratio.toFixed(2));
  }
  return found;
});
for (const colorScheme of ["light", "dark"]) {
  await front.emulateMedia({ colorScheme });
  const found = await low(front);
  if (found.length) fail("low contrast, " + colorScheme + ": " + found.join("; "));
  await shot(front, "front-1280x800-" + colorScheme);
}
await front.emulateMedia({ colorScheme: "light" });
await front.waitForTimeout(300);
if (await run.end() !== 0) fail("exit code");
await front.waitForSelector("#link:text('NO CONNECTION')");
if (spawnSync(program, ["replay", log], { stdio: "inherit" }).status !== 0) fail("replay");
const told_again = spawnSync(program, ["debrief", log], { encoding: "utf8" });
for (const line of ["First start", "Passed: 100 of 100 points", "Goal reached at", "What a good operator does"])
  if (told_again.status !== 0 || !told_again.stdout.includes(line)) fail("debrief of the log lacks " + line + ": " + told_again.stdout + told_again.stderr);
if (/\b(did|found|table|state|trip|fault):/.test(told_again.stdout)) fail("debrief of the log has words of files: " + told_again.stdout);

// Comes back by itself when the unit does, and the emergency stop works by keyboard.
const port = new URL(run.panel).port;
const second = spawn(program, ["--scpi-port", "0", "--panel-port", port, "--speed", "20", "--log", log + "2"]);
units.push(second);
await front.waitForSelector("#link:text('connected')");
await shows(front, "standby");
await front.click("#key");
await shows(front, "armed");
await front.keyboard.press("Escape");
await front.waitForSelector("#estop[aria-pressed=true]");
await shows(front, "tripped: emergency_stop");
const nowhere = await newPage(1280, 800, `http://127.0.0.1:${port}/course`);
await nowhere.waitForSelector("#reply:has-text('no course runs here')");
await nowhere.close();
await shot(front, "front-1280x800-tripped");
await front.click("#release");
await front.waitForTimeout(400);
await front.click("#release");
await front.waitForSelector("#estop[aria-pressed=false]");
await front.getByRole("button", { name: /Acknowledge/ }).click();
await shows(front, "standby");
await new Promise((resolve) => { second.on("exit", resolve); second.kill("SIGTERM"); });
await browser.close();
if (problems.length) fail("the browser reports: " + problems.join("; "));
console.log("screenshots in " + shots);
