// What the browser tests of the panel share: units of their own, Chromium, pages that report what goes wrong in them.
import { createRequire } from "node:module";
import { spawn } from "node:child_process";
import { mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

export const [program, source, shots] = process.argv.slice(2);
const require = createRequire(join(source, "build/npm/package.json"));
const { chromium } = require("playwright-core");
export const axePath = require.resolve("axe-core/axe.min.js");
mkdirSync(shots, { recursive: true });
export const folder = mkdtempSync(join(tmpdir(), "ampturn-panel-"));
export const units = [];
process.on("exit", () => {
  for (const unit of units) unit.kill("SIGKILL");
  rmSync(folder, { recursive: true, force: true });
});

export function fail(text) { throw new Error(text); }

// A unit with the words of its command line; ports are free ones.
export async function startUnit(...words) {
  const unit = spawn(program, [...words, "--scpi-port", "0", "--panel-port", "0", "--start-utc", "2026-06-01T08:00:00Z"]);
  units.push(unit);
  let text = "";
  unit.stderr.on("data", (data) => process.stderr.write(data));
  await new Promise((resolve, reject) => {
    unit.stdout.on("data", (data) => { text += data; if (text.includes("\nlog ")) resolve(); });
    unit.on("exit", (code) => reject(new Error("ampturn-sim ended with " + code)));
  });
  return { unit, panel: text.match(/panel (\S+)/)[1], trainer: text.match(/instructor (\S+)/)[1], scpi: text.match(/scpi \S+:(\d+)/)[1],
    end: () => new Promise((resolve) => { unit.on("exit", resolve); unit.kill("SIGTERM"); }) };
}
export const drill = (name) => ["drill", join(source, "demo/drills", name)];

export const browser = await chromium.launch({
  executablePath: "/usr/bin/chromium",
  args: ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
});
export const problems = [];
export async function newPage(width, height, url) {
  const page = await browser.newPage({ viewport: { width, height } });
  page.on("pageerror", (error) => problems.push(String(error)));
  page.on("console", (message) => { if (message.type() === "error" && !/WebSocket|ERR_CONNECTION/.test(message.text())) problems.push(message.text()); });
  page.setDefaultTimeout(60000);
  await page.goto(url);
  await page.waitForSelector("#link:text('connected')");
  return page;
}
export const shot = (page, name, full = false) => page.screenshot({ path: join(shots, name + ".png"), fullPage: full });
export const shows = (page, text) => page.waitForFunction((t) => document.getElementById("textline").textContent.includes(t), text);
// What the hands meet with when something is done: it stands for some seconds only, which who asks a busy browser may miss. A kind is
// one of the line's classes, such as "found".
export async function meets(page, act, words, kind = "hands") {
  await page.evaluate(() => {
    const hands = document.getElementById("hands");
    window.handsMet = [];
    new MutationObserver(() => window.handsMet.push({ kinds: hands.className.split(" "), text: hands.textContent }))
      .observe(hands, { attributes: true, childList: true, characterData: true, subtree: true });
  });
  await act();
  await page.waitForFunction(({ words, kind }) => window.handsMet.some((met) => met.kinds.includes(kind) && met.text.includes(words)), { words, kind });
}
