// A class in a real browser: the list of drills, a drill by single keys alone, again and next, the class sheet, a drill made from
// parts, the receiver crew's seat with its radio; and every page under axe-core, light and dark.
//   node course.mjs PROGRAM SOURCE_DIR SCREENSHOT_DIR
import { spawnSync } from "node:child_process";
import { cpSync, existsSync, readFileSync, readdirSync } from "node:fs";
import { connect } from "node:net";
import { join } from "node:path";
import { axePath, browser, fail, folder, meets, newPage, problems, program, shot, shots, shows, source, startUnit } from "./panel_bench.mjs";

const drills = join(folder, "drills"), sheet = join(folder, "class.csv");
cpSync(join(source, "demo"), join(folder, "demo"), { recursive: true });
cpSync(join(folder, "demo/drills"), drills, { recursive: true });
cpSync(join(folder, "demo/tuned.toml"), join(folder, "tuned.toml"));
const run = await startUnit("course", drills, "--results", sheet, "--speed", "25", "--log", join(folder, "log.jsonl"));
const trainerCourse = run.trainer.replace("/instructor", "/course");

// A client of the command language stays through all that follows.
const client = connect(Number(run.scpi), "127.0.0.1");
let answers = "";
client.on("data", (data) => { answers += data; });
const ask = async (words) => { answers = ""; client.write(words + "\n"); for (let i = 0; i < 100 && !answers.includes("\n"); ++i) await new Promise((r) => setTimeout(r, 20)); return answers; };
if (!(await ask("*IDN?")).startsWith("Ampturn")) fail("no identity: " + answers);

const list = await newPage(1280, 800, run.panel + "course");
await list.waitForSelector("#drills tbody tr");
const levels = await list.locator("#drills tbody tr td:nth-child(2)").allTextContents();
if (levels.length < 18 || levels.join() !== [...levels].sort().join()) fail("levels: " + levels.join());
if (await list.locator("#maker").isVisible()) fail("a trainee can make drills");
await list.fill("#trainee", "=1+1");
await list.getByRole("button", { name: "Start First start" }).click();
await list.waitForSelector("#reply:has-text('a name:')");
await list.fill("#trainee", "Ada");
await list.getByRole("button", { name: "Start First start" }).click();
await list.waitForURL(/\/$/);
await list.waitForSelector("#drill h3:has-text('First start (Ada)')");

// First start by keys alone; what a screen reader is told on the way.
let presses = 0;
const press = async (page, key) => { ++presses; await page.keyboard.press(key); };
async function job(page, key) {
  const before = await page.locator("#log li.did").count();
  await press(page, key);
  await page.waitForFunction((count) => document.querySelectorAll("#log li.did").length > count, before);
}
for (const key of ["a", "b", "3", "4", "m", "1", "2"]) await job(list, key);
await shows(list, "standby");
for (const key of ["i", "f", "k"]) await job(list, key);
await shows(list, "armed");
if (!(await list.textContent("#announce")).includes("Unit: armed")) fail("the screen reader is not told: " + await list.textContent("#announce"));
await press(list, "g");
await list.waitForSelector("#log li.table");
for (const key of ["2", "1"]) await job(list, key);
await list.waitForSelector("#result:has-text('Passed: 100 of 100')");
if (presses >= 40) fail("a drill by keyboard took " + presses + " presses");
if (!(await list.textContent("#drill-clock")).match(/^0\d:\d\d of 40:00, 70 % to pass$/)) fail("clock: " + await list.textContent("#drill-clock"));
await shot(list, "course-result");

// Who comes late sees how it ended, too.
const late = await newPage(1280, 800, run.panel);
await late.waitForSelector("#result:has-text('Passed: 100 of 100')");
await late.waitForSelector("#again");
await late.close();

// Tab leads from group to group, arrows move inside.
await list.focus("#plug-positive");
await list.keyboard.press("ArrowRight");
if (await list.evaluate(() => document.activeElement.id) !== "plug-negative") fail("arrows do not move among the plugs");
await list.keyboard.press("Tab");
if (await list.evaluate(() => document.activeElement.dataset.do) !== "measure_battery") fail("Tab does not leave the plugs");
await list.keyboard.press("End");
if (await list.evaluate(() => document.activeElement.dataset.do) !== "warm_battery") fail("End does not lead to the last of a group");

// Again, and next; the client of the command language lives on.
await list.click("#again");
await list.waitForSelector("#result", { state: "detached" });
await list.waitForSelector("#drill h3:has-text('First start (Ada)')");
if (!(await ask("*IDN?")).startsWith("Ampturn")) fail("the command language does not outlive a drill");
await list.getByRole("button", { name: "Meter on loop A" }).click();
await list.waitForSelector("#log li.found");
await list.getByRole("button", { name: "Finish the drill" }).click();
await list.waitForSelector("#result:has-text('Not passed')");
const next = await list.textContent("#next");
await list.click("#next");
await list.waitForSelector(`#drill h3:has-text("${next.replace("Next: ", "")}")`);

// The class sheet: a CSV, and a page on which a trainer sees all and a trainee what is hers.
const csv = () => readFileSync(sheet, "utf8").trim().split("\n");
if (csv().length !== 3 || !csv()[1].includes(",Ada,first_start,First start,1,1,") || !csv()[2].includes(",Ada,first_start,First start,1,2,")) fail("class sheet: " + csv().join("\n"));
const trainer = await newPage(1280, 800, trainerCourse);
await trainer.waitForSelector("#sheet tbody tr:nth-child(2)");
await trainer.waitForSelector("#drills td:has-text('100 %, passed, 2 taken')");
const download = trainer.waitForEvent("download");
await trainer.click("#save");
if (readFileSync(await (await download).path(), "utf8") !== readFileSync(sheet, "utf8")) fail("the page's CSV is not the file");

// A drill from parts.
await trainer.fill("#p-title", "Wind & hum");
if (await trainer.inputValue("#p-id") !== "wind_hum") fail("file name: " + await trainer.inputValue("#p-id"));
await trainer.selectOption("#t-mast_down", "10");
await trainer.selectOption("#t-mains_hum", "start");
await shot(trainer, "course-trainer", true);
await trainer.getByRole("button", { name: "Make it" }).click();
await trainer.waitForSelector("#made:has-text('wind_hum.toml')");
await trainer.waitForSelector("#drills td:has-text('Wind & hum')");
if (!existsSync(join(drills, "wind_hum.toml"))) fail("no file");
if (spawnSync(program, ["drill", "--check", join(drills, "wind_hum.toml")]).status !== 0) fail("the made drill does not check");
await trainer.getByRole("button", { name: "Make it" }).click();
await trainer.waitForSelector("#made:has-text('already')");
const cleverTrainee = await newPage(1280, 800, run.panel + "course");
await cleverTrainee.evaluate(() => ampturn.send({ course: "make", parts: { id: "x", title: "X" } }));
await cleverTrainee.waitForSelector("#reply:has-text('for the trainer')");
await trainer.getByRole("button", { name: "Start Wind & hum" }).click();
await trainer.waitForURL(/\/\?token=/);

// Two seats.
await list.waitForSelector("#radio", { state: "hidden" });
const crew = await newPage(1280, 800, run.panel + "receiver");
await crew.click("#take");
await crew.waitForSelector("#seat:has-text('recorder stands')");
await list.waitForSelector("#radio", { state: "visible" });
await list.fill("#radio-text", "Are you recording?");
await list.press("#radio-text", "Enter");
await crew.waitForSelector("#log li.radio:has-text('Are you recording?')");
await crew.getByRole("button", { name: "Start recording" }).click();
await crew.waitForSelector("#seat:has-text('RECORDING')");
await crew.getByRole("button", { name: "Look at the records" }).click();
await crew.waitForSelector("#log li.found:has-text('clipped')");
await crew.getByRole("button", { name: "Clipped by the mains" }).click();
await list.waitForSelector("#log li.radio:has-text('Clipped by the mains')");
if (await list.locator("#log li.found").count()) fail("the front shows what only the crew sees");
for (const name of ["Stop recording", "Move the lines"]) {
  await crew.getByRole("button", { name }).click();
  await crew.waitForSelector(`#log li.did:has-text("${name}")`);
}
await crew.getByRole("button", { name: "Start recording" }).click();
await crew.waitForSelector("#seat:has-text('RECORDING')");
await meets(list, () => list.getByRole("button", { name: "Call receiver crew" }).click(), "receiver ready", "found");
await crew.click("#shout");
await list.waitForSelector("#log li.radio:has-text('STOP STOP STOP')");
if (!(await list.textContent("#announce")).includes("STOP STOP STOP")) fail("a shout by radio is not announced");
if (/unit is/.test(await crew.textContent("#log"))) fail("the crew sees the unit");
await shot(crew, "receiver-1280", true);

// No serious fault on any page.
const axe = readFileSync(axePath, "utf8");
const pages = { front: list, course: trainer, crew, instructor: await newPage(1280, 800, run.trainer), debrief: await newPage(1280, 800, run.trainer.replace("/instructor", "/debrief")) };
await trainer.goto(trainerCourse);
await trainer.waitForSelector("#sheet tbody tr");
await pages.debrief.waitForSelector("#verdict");
for (const [name, page] of Object.entries(pages))
  for (const colorScheme of ["light", "dark"]) {
    await page.emulateMedia({ colorScheme });
    await page.evaluate(axe);
    const found = await page.evaluate(async () => (await axe.run(document, { resultTypes: ["violations"] })).violations
      .filter((one) => ["serious", "critical"].includes(one.impact)).map((one) => one.id + ": " + one.nodes.slice(0, 3).map((node) => node.html.slice(0, 90)).join(" ; ")));
    if (found.length) fail("axe-core, " + name + ", " + colorScheme + ": " + found.join(" | "));
  }
for (const [width, height] of [[390, 844], [1280, 800], [1920, 1080]])
  for (const colorScheme of ["light", "dark"])
    for (const [name, page] of [["course", trainer], ["receiver", crew]]) {
      await page.setViewportSize({ width, height });
      await page.emulateMedia({ colorScheme });
      await page.waitForTimeout(100);
      if (await page.evaluate(() => document.documentElement.scrollWidth > document.documentElement.clientWidth)) fail(name + " scrolls sideways at " + width);
      await shot(page, name + "-" + width + "-" + colorScheme);
    }

// The whole front is on one screen, plugs and what the hands met with it.
const front = await newPage(1280, 800, run.panel);
await front.waitForSelector("#work button");
await front.waitForTimeout(300);
const below = await front.evaluate(() => [...document.querySelectorAll(".plugs button, #hands, #work button")].filter((e) => {
  const box = e.getBoundingClientRect(), room = e.closest("section").getBoundingClientRect();
  return box.bottom > room.bottom + 1;
}).map((e) => e.textContent));
if (below.length) fail("below the fold at 1280 x 800: " + below.join(", "));
client.end();
if (await run.end() !== 0) fail("exit code");
const logs = readdirSync(folder).filter((name) => name.startsWith("log"));
if (logs.length < 5) fail("logs: " + logs.join());
for (const name of logs) if (spawnSync(program, ["replay", join(folder, name)]).status !== 0) fail("replay of " + name);
await browser.close();
if (problems.length) fail("the browser reports: " + problems.join("; "));
console.log("by keyboard: " + presses + " presses; screenshots in " + shots);
