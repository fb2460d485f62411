// The rehearsal page in Chromium: no error on the console, no request besides the page itself, every chart drawn with
// what its caption says, tables with the same numbers as the data, hover tells a point's numbers, another station can be
// chosen, small screens do not scroll sideways, readable without script. Then the page of the dwells for the question.
//   node rehearsal_browser_test.mjs NPM_FOLDER REHEARSAL_FOLDER TUNE_FOLDER
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { clean, frequencyAxes, launch, nothingCut, open } from "../../browser.mjs";

const [npm, rehearsal, tune] = process.argv.slice(2);
const browser = await launch(npm);

const looks = [{ colorScheme: "light" }, { colorScheme: "dark" }, { viewport: { width: 390, height: 844 } }];
try {
  const data = JSON.parse(readFileSync(`${rehearsal}/rehearsal.json`, "utf8"));
  const charts = ["curve", "section", "spectrum", "profile", "information"].map((name) => `#chart-${name}`);
  for (const options of looks) {
    const { tab, context, ...seen } = await open(browser, `${rehearsal}/rehearsal.html`, options);
    for (const chart of charts) {
      const parts = await tab.$$eval(`${chart} svg path, ${chart} svg text`, (all) => all.length);
      assert.ok(parts > 20, `${chart} has content: ${parts}`);
    }
    assert.deepEqual(await tab.$$eval("#station option", (all) => all.map((o) => o.textContent.split(" ")[0])),
                     data.stations.map((s) => s.name));
    const wide = await tab.evaluate(() => document.documentElement.scrollWidth > innerWidth);
    assert.equal(wide, false, `page scrolls sideways at ${JSON.stringify(options)}`);

    // Another station redraws curves, section and spectrum.
    const drawn = () => tab.$$eval("#chart-curve svg path", (all) => all.map((p) => p.getAttribute("d")).join());
    const before = await drawn();
    await tab.selectOption("#station", "1");
    await tab.waitForFunction((old) => [...document.querySelectorAll("#chart-curve svg path")]
      .map((p) => p.getAttribute("d")).join() !== old, before);
    for (const chart of charts) await (await tab.$(chart)).hover();
    await tab.setViewportSize({ width: 700, height: 800 });
    await tab.waitForTimeout(300);
    clean(seen);
    await context.close();
  }

  // Nothing cut, frequencies from left to right as on all pages, and sections whose colours fall in lightness throughout, so that
  // no eye takes high for low.
  {
    const { tab, context } = await open(browser, `${rehearsal}/rehearsal.html`, {});
    await nothingCut(tab, "the rehearsal");
    assert.equal(await frequencyAxes(tab), 3, "axes of frequencies: curves, spectra, information");
    const scale = await tab.$$eval("#chart-profile svg linearGradient", (all) =>
      [...all.map((g) => [...g.querySelectorAll("stop")].map((s) => s.getAttribute("stop-color"))).filter((s) => new Set(s).size > 1)][0]);
    assert.ok(scale.length >= 5, `colours of the scale: ${scale}`);
    const luminance = scale.map((c) => c.match(/\d+/g).map((v, i) => [.2126, .7152, .0722][i] * (v / 255) ** 2.2).reduce((a, b) => a + b));
    const wrong = luminance.slice(1).filter((l, i) => (l < luminance[i]) !== (luminance.at(-1) < luminance[0])).length;
    assert.equal(wrong, 0, "places where the lightness turns back");
    await context.close();
  }

  // Hover over the measured points of the curve: the first one hit shows its own numbers.
  {
    const { tab, context, ...seen } = await open(browser, `${rehearsal}/rehearsal.html`, {});
    const chart = await tab.$("#chart-curve");
    await chart.scrollIntoViewIfNeeded();
    const points = await tab.$$eval("#chart-curve svg path", (all) => all.map((p) => p.getBoundingClientRect())
      .filter((b) => b.width > 5 && b.width < 13 && b.height > 5 && b.height < 13)
      .map((b) => [b.x + b.width / 2, b.y + b.height / 2]));
    let shown = "";
    for (const [x, y] of points) {
      await tab.mouse.move(x, y);
      shown = await tab.$$eval("#chart-curve > div", (all) => all.map((d) => d.innerText).join("\n"));
      if (shown.includes("coherence")) break;
    }
    assert.match(shown, /Hz, (xy|yx)/, "hover names the point");
    assert.match(shown, /ohm m ± .* % \(noise alone .* %, planned .* %\)/, "hover tells all bars");
    clean(seen);
    await context.close();
  }

  {
    const { tab, context } = await open(browser, `${rehearsal}/rehearsal.html`, { javaScriptEnabled: false });
    const text = await tab.innerText("main");
    for (const word of [data.answer.text, "What was assumed", "jackknife", "The numbers of all curves"])
      assert.ok(text.includes(word), `without script the page says '${word}'`);
    const rows = (caption) => tab.$$eval("table", (all, name) =>
      [...all].filter((t) => t.caption?.textContent.includes(name)).map((t) => t.tBodies[0].rows.length), caption);
    assert.deepEqual(await rows("Impedances measured"), [data.measured.length]);
    assert.deepEqual(await rows("Inversions"), [data.stations.reduce((n, s) => n + Math.max(1, s.sections.length), 0)]);
    assert.deepEqual(await rows("What each frequency tells"), [data.answer.frequencies.length]);
    assert.ok((await tab.pdf({ format: "A4" })).length > 20_000, "prints");
    await context.close();
  }

  const dwells = JSON.parse(readFileSync(`${tune}/tune.json`, "utf8"));
  for (const options of looks) {
    const { tab, context, ...seen } = await open(browser, `${tune}/tune.html`, options);
    assert.ok((await tab.$$("#chart-dwell svg path")).length > 2 * dwells.frequencies.length, "bars before and after");
    const counts = await tab.$$eval("table", (all) => all.map((t) => t.tBodies[0].rows.length));
    assert.ok(counts.includes(dwells.frequencies.length), `a row per frequency: ${counts}`);
    assert.ok((await tab.innerText("header")).includes(dwells.question), "says the question");
    assert.equal(await tab.evaluate(() => document.documentElement.scrollWidth > innerWidth), false,
                 `dwell page scrolls sideways at ${JSON.stringify(options)}`);
    await (await tab.$("#chart-dwell")).hover();
    clean(seen);
    await context.close();
  }
} finally {
  await browser.close();
}
