// The pages of transmitter, transmitter --vary, weigh, reach, reach --grid, tune, compare, sheet, days and day --runs, written by the real program and opened in
// Chromium: no complaint on the console, no request besides the page itself, charts drawn and answering the pointer,
// tables there without script too, light and dark, small screens without sideways scrolling, printable.
//   node planning_pages_test.mjs NPM_FOLDER AMPTURN SOURCE_FOLDER SCRATCH_FOLDER
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdirSync, readFileSync, rmSync } from "node:fs";
import { clean, frequencyAxes, launch, nothingCut, open } from "../../browser.mjs";

const [npm, ampturn, source, scratch] = process.argv.slice(2);
const quick = `${source}/demo/quick.toml`;
rmSync(scratch, { recursive: true, force: true });
mkdirSync(scratch, { recursive: true });
const run = (...words) => execFileSync(ampturn, words, { stdio: ["ignore", "ignore", "pipe"] });
run("transmitter", quick, "--out", `${scratch}/transmitter`);
run("transmitter", `${source}/demo/vesslarook.toml`, "--out", `${scratch}/large`);
run("transmitter", `${source}/demo/vesslarook.toml`, "--vary", "loop.a.turn_pitch_m=0.004:0.01:4", "--out", `${scratch}/varied`);
run("transmitter", quick, "--vary", "loop.a.side_m=4:6:3", "--vary", "driver.current_limit_a=8:12:2", "--out", `${scratch}/varied_two`);
run("weigh", quick, `${source}/demo/parts.toml`, "--out", `${scratch}/weighed`);
run("reach", quick, "--sectors", "2", "--out", `${scratch}/reach`);
run("reach", quick, "--grid", "150", "--margin", "450", "--out", `${scratch}/sites`);
run("tune", quick, "--out", `${scratch}/tune`, "--set", "targets.rho_error_percent=1", "--set", "targets.rho_bias_percent=49");
run("compare", quick, quick, "--out", `${scratch}/compare`);
run("sheet", quick, "--out", `${scratch}/sheet.html`);
run("curve", quick, "--chart", `${scratch}/curve.svg`, "--set",
    `survey.name="A survey with a long name, since whoever drew it up wanted every village on the way in it, and the river too"`);
run("days", `${source}/demo/ostrel/ostrel.toml`, "--draws", "4", "--receivers", "--out", `${scratch}/days`);
run("day", quick, "--runs", "6", "--order", "improved", "--out", `${scratch}/day`);

// Texts that must stand in the page without script, and the charts with something that the pointer finds in them.
const pages = [
  { file: "transmitter/transmitter.html", charts: ["#chart-moment", "#chart-tuned", "#chart-energy"], words: ["The transmitter", "Keep-out", "steady winding C", "Cautions"] },
  { file: "varied/transmitter_varied.html", charts: ["moment", "current", "capacitor", "energy"].flatMap((q) => [`#chart-${q}-table`, `#chart-${q}-best`]), words: ["turn_pitch_m varied", "limited by", "capacitor V", "J per A m2 s"] },
  { file: "varied_two/transmitter_varied.html", charts: ["moment", "current", "energy"].flatMap((q) => [`#chart-${q}-table`, `#chart-${q}-best`]), words: ["loop.a.side_m, driver.current_limit_a varied", "limited by"] },
  { file: "weighed/weigh.html", charts: ["#chart-weight", "#chart-energy"], words: ["Senders weighed against each other", "exhaustive", "the chosen one", "step by step", "UN 3481", "V peak at the loop's ends"] },
  { file: "reach/reach.html", charts: ["#chart-reach"], words: ["Reach of site T", "skin depth", "what would open a window", "far"] },
  { file: "sites/sites.html", charts: ["#chart-sites"], words: ["Where the transmitter may stand", "T (planned)", "nearest station", "far"] },
  { file: "tune/tune.html", charts: ["#chart-dwell"], words: ["Before and after", "upper limit", "why"] },
  { file: "compare/compare.html", charts: [], words: ["Two plans side by side", "No verdict changes", "energy, Wh"] },
  { file: "sheet.html", charts: [], words: ["Keep everybody", "Battery lid on"] },
  { file: "days/days.html", charts: [], words: ["What each day does", "How sure it is", "Ostrel Vale", "No charging below 0 C"] },
  { file: "days/2031-06-02/report.html", charts: ["#chart-battery", "#chart-map"], words: ["Plover", "Siskin", "listen"] },
  { file: "days/2031-06-02/receiver_2.html", charts: [], words: ["Receiver crew Siskin", "more gain", "What a clock that is off costs", "UTC"] },
  { file: "day/report.html", charts: ["#chart-battery-percentiles", "#chart-battery", "#chart-map"], words: ["How sure it is", "runs connected", "correlated by the ground"] }
];

const browser = await launch(npm);

/// Moves the pointer to one drawn shape after the other until the chart's tooltip says something.
async function tooltipOf(tab, chart) {
  await tab.locator(chart).scrollIntoViewIfNeeded();
  const middles = await tab.$$eval(`${chart} svg path`, (all) => all.map((shape) => shape.getBoundingClientRect())
    .filter((box) => box.width > 1 && box.height > 1).map((box) => [box.x + box.width / 2, box.y + box.height / 2]));
  for (const [x, y] of middles) {
    await tab.mouse.move(x, y);
    const said = await tab.$eval(chart, (element) =>
      [...element.children].filter((c) => c.tagName === "DIV" && !c.querySelector("svg") && getComputedStyle(c).visibility !== "hidden")
        .map((c) => c.innerText.trim()).join(""));
    if (said) return said;
  }
  return "";
}

try {
  for (const { file, charts, words } of pages) {
    for (const options of [{ colorScheme: "light" }, { colorScheme: "dark" }, { viewport: { width: 390, height: 844 } }]) {
      const { tab, context, ...seen } = await open(browser, `${scratch}/${file}`, options);
      const what = `${file} ${JSON.stringify(options)}`;
      for (const chart of charts)
        assert.ok(await tab.$$eval(`${chart} svg path, ${chart} svg text`, (all) => all.length) > 10, `${chart} of ${what} has content`);
      if (options.colorScheme === "light")
        for (const chart of charts) {
          const said = await tooltipOf(tab, chart);
          assert.ok(/\d/.test(said), `${chart} of ${file} answers the pointer with numbers: '${said}'`);
        }
      if (await tab.$("#sector")) {
        await tab.selectOption("#sector", "1");
        assert.ok(await tab.$$eval("#chart-reach svg path", (all) => all.length) > 10, "one direction");
      }
      if (await tab.$("#others select option:nth-child(2)")) {
        const drawn = () => tab.$$eval("#chart-moment-best svg path", (all) => all.map((path) => path.getAttribute("d")).join());
        const first = await drawn();
        await tab.selectOption("#others select", "1");
        assert.notEqual(await drawn(), first, `${what}: the other values of the other key`);
      }
      if (options.viewport)
        assert.equal(await tab.evaluate(() => document.documentElement.scrollWidth > innerWidth), false, `${what} scrolls sideways`);
      await tab.setViewportSize({ width: 700, height: 800 });
      await tab.waitForTimeout(200);
      clean(seen, what);
      await context.close();
    }
    const { tab, context } = await open(browser, `${scratch}/${file}`, { javaScriptEnabled: false });
    const text = await tab.evaluate(() => document.body.textContent);
    for (const word of words) assert.ok(text.includes(word), `${file} says '${word}' without script`);
    assert.ok(text.includes("nvented") || text.includes("INVENTED"), `${file} says that the survey is invented`);
    assert.ok((await tab.$$("table tr")).length > 2, `${file} has tables without script`);
    assert.ok((await tab.pdf({ format: "A4" })).length > 5000, `${file} prints`);
    await context.close();
  }

  // A tap's box takes all its lines out of the chart and puts them back.
  const sheet = await open(browser, `${scratch}/transmitter/transmitter.html`, {});
  const drawn = () => sheet.tab.$$eval("#chart-moment svg path[stroke-width='1.8'][fill='none']", (all) => all.length);
  const before = await drawn();
  const box = sheet.tab.locator("figure:has(#chart-moment) input").first();
  await box.uncheck();
  assert.equal(before - await drawn(), 4, "loop alone, capacitor bank, heat limit and current limit of one tap");
  await box.check();
  assert.equal(await drawn(), before);
  await sheet.context.close();

  const days = await open(browser, `${scratch}/days/days.html`, {});
  await nothingCut(days.tab, "days.html");
  await days.context.close();

  // The transmitter's page is whole on a screen and on paper; what is told by dashes is told by the same dashes in the key.
  for (const [file, axes] of [["large/transmitter.html", 3], ["varied/transmitter_varied.html", 0]]) {
    const large = await open(browser, `${scratch}/${file}`, {});
    await nothingCut(large.tab, file);
    assert.equal(await frequencyAxes(large.tab), axes, `axes of frequencies in ${file}`);
    await large.tab.emulateMedia({ media: "print" });
    await large.tab.setViewportSize({ width: 703, height: 1000 });  // A4 less its margins
    assert.ok(await large.tab.evaluate(() => document.documentElement.scrollWidth) <= 703, `${file} fits the paper`);
    if (axes) {
      const dashes = (where) => large.tab.$$eval(where, (all) => [...new Set(all.map((p) => getComputedStyle(p).strokeDasharray.replace(/px|,/g, "")))].sort());
      const key = await dashes("figure:has(#chart-moment) .key svg path[d^='M0,6.5']");
      assert.equal(key.length, 4, `solid and three kinds of dashes in the key: ${key}`);
      assert.deepEqual(await dashes("#chart-moment svg path[stroke-width='1.8'][fill='none']"), key);
    }
    await large.context.close();
  }

  // Frequencies fall from left to right on the other pages too, and nothing is cut there.
  for (const [file, axes] of [["reach/reach.html", 1], ["tune/tune.html", 1], ["day/report.html", 3]]) {
    const { tab, context } = await open(browser, `${scratch}/${file}`, {});
    assert.equal(await frequencyAxes(tab), axes, `axes of frequencies in ${file}`);
    await nothingCut(tab, file);
    await context.close();
  }

  // The chart of curves: every letter and mark inside it, whatever the survey is called; its key shows what its panels draw.
  {
    const context = await browser.newContext({ viewport: { width: 1280, height: 900 } }), tab = await context.newPage();
    await tab.setContent(readFileSync(`${scratch}/curve.svg`, "utf8"));
    const beyond = await tab.$eval("svg", (svg) => {
      const edge = svg.getBoundingClientRect();
      return [...svg.querySelectorAll("text, circle, rect.yx, polyline")].filter((e) => {
        const b = e.getBoundingClientRect();
        return b.left < edge.left || b.right > edge.right || b.top < edge.top || b.bottom > edge.bottom;
      }).map((e) => e.textContent || e.tagName);
    });
    assert.deepEqual(beyond, [], "parts beyond the edges of curve.svg");
    assert.equal(await tab.$$eval("circle.xy", (all) => all.length), 17, "definition: two stations, four frequencies, rho and phase, and one in the key");
    assert.equal(await frequencyAxes(tab), 2, "an axis of frequencies a station");
    await context.close();
  }

  // The day's page leads to its runs where there are any.
  {
    const { tab, context } = await open(browser, `${scratch}/day/report.html`, {});
    await tab.click("nav a[href='#monte-carlo']");
    assert.ok(await tab.$eval("#monte-carlo", (h) => Math.abs(h.getBoundingClientRect().top)) < 100, "the link leads to the runs");
    await context.close();
  }

  // The map of sites tells a candidate's score; the battery chart tells all three percentiles.
  const { tab, context } = await open(browser, `${scratch}/sites/sites.html`, {});
  assert.match(await tooltipOf(tab, "#chart-sites"), /of 8 readings usable/);
  await context.close();
  const report = await open(browser, `${scratch}/day/report.html`, {});
  assert.match(await tooltipOf(report.tab, "#chart-battery-percentiles"), /10 \/ 50 \/ 90 % of the runs/);
  await report.context.close();
} finally {
  await browser.close();
}
