// The report in Chromium: no error on the console, no request besides the page itself, every chart drawn, every table
// there, light and dark, small screens without sideways scrolling, readable without script.
//   node report_browser_test.mjs NPM_FOLDER PAGE.html
import assert from "node:assert/strict";
import { pathToFileURL } from "node:url";
import { clean, launch, open } from "../../browser.mjs";

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

  const { tab, context } = await open(browser, page, { javaScriptEnabled: false });
  const text = await tab.innerText("main");
  for (const word of ["usable", "noisy", "near field", "not sent", "cut-off", "Keep people away", "set_up", "under_voltage"])
    assert.ok(text.includes(word), `without script the page says '${word}'`);
  assert.ok((await tab.$$("table tbody tr")).length > 100, "tables without script");
  const pdf = await tab.pdf({ format: "A4" });
  assert.ok(pdf.length > 20_000, "prints");
  await context.close();

  // The field sheet: a page a site, on both papers.
  const sheet = await browser.newPage();
  await sheet.goto(pathToFileURL(`${page}.sheet.html`).href);
  const sites = await sheet.$$eval("section", (all) => all.length);
  for (const format of ["A4", "Letter"]) {
    const printed = (await sheet.pdf({ format })).toString("latin1");
    assert.equal(printed.match(/\/Type\s*\/Page[^s]/g).length, sites, `field sheet on ${format}`);
  }
} finally {
  await browser.close();
}
