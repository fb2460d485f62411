// The report in Chromium: no error on the console, no request besides the page itself, every chart drawn, every table
// there, light and dark, small screens without sideways scrolling, readable without script.
//   node report_browser_test.mjs NPM_FOLDER PAGE.html
import assert from "node:assert/strict";
import { pathToFileURL } from "node:url";
import { statSync } from "node:fs";
import { clean, frequencyAxes, launch, leastColourDistance, nothingCut, open } from "../../browser.mjs";

const [npm, page] = process.argv.slice(2);
const browser = await launch(npm);

try {
  for (const options of [{ colorScheme: "light" }, { colorScheme: "dark" }, { viewport: { width: 390, height: 844 } }]) {
    const { tab, context, ...seen } = await open(browser, page, options);
    const charts = await tab.$$eval(".chart", (all) => all.map((c) => c.querySelectorAll("svg path, svg text").length));
    assert.ok(charts.length >= 5, `${charts.length} charts`);
    assert.ok(charts.every((n) => n > 10), `each chart has content: ${charts}`);
    const stations = await tab.$$eval("table.matrix tbody tr", (rows) => rows.length);
    const soundings = await tab.$$eval("[data-sounding]", (all) => all.length);
    assert.equal(soundings, stations, "one sounding per row of the matrix");
    const wide = await tab.evaluate(() => document.documentElement.scrollWidth > innerWidth);
    assert.equal(wide, false, `page scrolls sideways at ${JSON.stringify(options)}`);
    const cell = tab.locator("table.matrix td.noisy").first();
    await cell.click();
    assert.equal(await tab.innerText("#reason"), await cell.getAttribute("title"), "tapped cell says its reason");
    await tab.selectOption("#snr-station", "1");
    assert.ok(await tab.$$eval("#chart-snr svg path", (all) => all.length) > 10, "channels of one station");
    for (const chart of await tab.$$("#chart-map, #chart-battery, #chart-snr, [data-sounding], #chart-bias")) await chart.hover();
    await tab.setViewportSize({ width: 700, height: 800 });
    await tab.waitForTimeout(300);
    clean(seen);
    await context.close();
  }

  // Whole on a wide screen; all frequencies one way; what a key tells apart looks apart.
  {
    const { tab, context } = await open(browser, page, {});
    await nothingCut(tab, "the report");
    const falling = await frequencyAxes(tab);
    assert.equal(falling, 13, "signal over noise and twelve soundings");
    await tab.selectOption("#snr-station", "1");
    assert.equal(await frequencyAxes(tab), falling, "channels of one station");
    const columns = await tab.$$eval("table.matrix thead th[scope]", (all) => all.map((th) => parseFloat(th.innerText) * (th.innerText.includes("k") ? 1e3 : 1)));
    assert.deepEqual(columns, [...columns].sort((a, b) => b - a), "verdicts: frequencies fall from left to right");
    const swatches = await tab.$$eval("figure:has(#chart-battery) .key li", (all) => all.map((li) =>
      `${getComputedStyle(li.querySelector("path")).stroke} ${getComputedStyle(li.querySelector("path")).strokeDasharray}`));
    assert.ok(swatches.length >= 3, "battery key");
    assert.equal(new Set(swatches).size, swatches.length, `each line of the battery looks its own: ${swatches}`);
    const verdicts = await tab.$$eval(".legend li > span", (all) => all.map((span) => getComputedStyle(span).backgroundColor));
    assert.equal(verdicts.length, 5, "verdicts in the legend");
    const least = leastColourDistance(verdicts);
    // Three times what can just be told apart, 2.3 (Mahy, Van Eycken and Oosterlinck 1994, from memory), for areas not side by side.
    assert.ok(least.distance > 7, `verdicts apart for all eyes: ${JSON.stringify(least)}`);

    // The map: rings that can be seen, names clear of each other and of the way from station to station.
    const map = await tab.$eval("#chart-map svg", (svg) => {
      const box = (e) => { const b = e.getBoundingClientRect(); return { x0: b.left, x1: b.right, y0: b.top, y1: b.bottom }; };
      const names = [...svg.querySelectorAll("text")].filter((t) => /^S\d|keep out/.test(t.textContent)).map((t) => ({ said: t.textContent, ...box(t) }));
      const meets = (a, b) => a.x0 < b.x1 - 1 && b.x0 < a.x1 - 1 && a.y0 < b.y1 - 2 && b.y0 < a.y1 - 2;
      const overlapping = names.flatMap((a, i) => names.slice(0, i).filter((b) => meets(a, b)).map((b) => `${a.said} and ${b.said}`));
      const way = [...svg.querySelectorAll("path[fill='none']")].filter((p) => p.getAttribute("stroke") === "var(--soft)" && p.getTotalLength() > 300 && !p.getAttribute("stroke-dasharray"))
        .filter((p) => p.getAttribute("d").split("L").length > 2);
      const crossed = way.flatMap((p) => {
        const to = p.getScreenCTM(), found = [];
        for (let at = 0; at < p.getTotalLength(); at += 2) {
          const q = p.getPointAtLength(at).matrixTransform(to);
          found.push(...names.filter((n) => q.x > n.x0 && q.x < n.x1 && q.y > n.y0 + 2 && q.y < n.y1 - 2).map((n) => n.said));
        }
        return found;
      });
      const rings = [...svg.querySelectorAll("[stroke='var(--danger)']")].map((e) => e.getBoundingClientRect().width);
      return { names: names.length, overlapping, ways: way.length, crossed: [...new Set(crossed)], rings };
    });
    assert.ok(map.names >= 12, `names on the map: ${map.names}`);
    assert.deepEqual(map.overlapping, [], "names that overlap");
    assert.equal(map.ways, 1, "one line from station to station");
    assert.deepEqual(map.crossed, [], "names crossed by it");
    assert.equal(map.rings.length, 2, "a ring a site");
    assert.ok(map.rings.every((w) => w > 20), `rings large enough to see: ${map.rings}`);
    await context.close();
  }

  // A telephone's width: no row stretched by one column of words, keys whole.
  {
    const { tab, context } = await open(browser, page, { viewport: { width: 390, height: 844 } });
    const tallest = await tab.$$eval(".scroll tbody tr", (all) => Math.max(...all.filter((tr) => tr.checkVisibility()).map((tr) => tr.getBoundingClientRect().height)));
    assert.ok(tallest < 75, `a row is at most three lines tall: ${tallest} px`);
    const beyond = await tab.$$eval(".key", (all) => all.filter((key) => key.scrollWidth > key.clientWidth + 1).length);
    assert.equal(beyond, 0, "keys that reach beyond the screen");
    const titles = await tab.$$eval("[data-sounding] svg", (all) => all.flatMap((svg) => {
      const texts = [...svg.querySelectorAll("text")].map((t) => [t.textContent, t.getBoundingClientRect()]).filter(([said, b]) => said.trim() && b.width);
      return texts.flatMap(([a, p], i) => texts.slice(0, i).filter(([, q]) => p.left < q.right - 2 && q.left < p.right - 2 && p.top < q.bottom - 3 && q.top < p.bottom - 3).map(([b]) => `${a} over ${b}`));
    }));
    assert.deepEqual(titles, [], "texts of the soundings that overlap");
    await context.close();
  }

  // Two hundred stations and thirty frequencies: paged, on a page of bounded size.
  {
    const large = `${page}.large.html`;
    assert.ok(statSync(large).size < 6e6, `size of the page: ${statSync(large).size}`);
    const { tab, context, ...seen } = await open(browser, large, {});
    const height = await tab.evaluate(() => document.documentElement.scrollHeight);
    assert.ok(height < 14000, `height of the page: ${height} px`);
    await nothingCut(tab, "the large report");
    const rows = () => tab.$$eval("table.matrix tbody tr", (all) => all.filter((tr) => tr.checkVisibility()).map((tr) => tr.cells[0].innerText));
    const first = await rows();
    assert.equal(first.length, 40, "verdicts of one page");
    await tab.locator(".pager .on").first().click();
    const second = await rows();
    assert.equal(second.length, 40);
    assert.equal(second[0], "S41", "the page goes on where the first ended");
    const drawn = () => tab.$$eval("[data-sounding]", (all) => all.filter((c) => c.checkVisibility() && c.querySelector("svg")).map((c) => c.dataset.sounding));
    assert.equal((await drawn()).length, 24, "soundings of one page");
    await tab.locator(".pager .on").last().click();
    assert.equal((await drawn())[0], "24");
    clean(seen, "the large report");
    await context.close();
  }

  const { tab, context } = await open(browser, page, { javaScriptEnabled: false });
  const text = await tab.innerText("main");
  for (const word of ["usable", "noisy", "near field", "not sent", "cut-off", "Keep people away", "set_up", "under_voltage"])
    assert.ok(text.includes(word), `without script the page says '${word}'`);
  assert.ok((await tab.$$("table tbody tr")).length > 100, "tables without script");
  const pdf = await tab.pdf({ format: "A4" });
  assert.ok(pdf.length > 20_000, "prints");
  await context.close();

  // The field sheet: a printed page for each of its sections, on both papers; nothing beyond the edge of the sketch.
  for (const [name, pages] of [["sheet", 4], ["large.sheet", 6]]) {
    const sheet = await browser.newPage();
    await sheet.goto(pathToFileURL(`${page}.${name}.html`).href);
    assert.equal(await sheet.$$eval("section", (all) => all.length), pages, `${name}: pages of two sites`);
    for (const format of ["A4", "Letter"]) {
      const printed = (await sheet.pdf({ format })).toString("latin1");
      assert.equal(printed.match(/\/Type\s*\/Page[^s]/g).length, pages, `${name} on ${format}`);
    }
    const beyond = await sheet.$$eval("svg.sketch", (all) => all.flatMap((svg) => {
      const edge = svg.getBoundingClientRect();
      const texts = [...svg.querySelectorAll("text")].map((t) => [t.textContent, t.getBoundingClientRect()]);
      return texts.filter(([, b], i) => b.left < edge.left || b.right > edge.right || texts.slice(0, i).some(([, c]) =>
        b.left < c.right && c.left < b.right && b.top < c.bottom - 2 && c.top < b.bottom - 2)).map(([said]) => said);
    }));
    assert.deepEqual(beyond, [], "words of the sketch cut or over each other");
    await sheet.close();
  }
} finally {
  await browser.close();
}
