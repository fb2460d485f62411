// One page opened in Chromium, with what it complains of and asks for: shared by the tests that look at written pages.
import assert from "node:assert/strict";
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";

/// The browser of Debian, driven by what is installed below the folder `npm`.
export function launch(npm) {
  const { chromium } = createRequire(`${npm}/package.json`)("playwright-core");
  return chromium.launch({
    executablePath: "/usr/bin/chromium",
    args: ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
           "--disable-background-networking", "--disable-component-update", "--disable-sync"]
  });
}

/// A page from a file, loaded; its console and its requests are kept.
export async function open(browser, file, options) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, ...options });
  const tab = await context.newPage();
  const complaints = [], requests = [];
  tab.on("console", (m) => { if (["error", "warning"].includes(m.type())) complaints.push(m.text()); });
  tab.on("pageerror", (e) => complaints.push(String(e)));
  tab.on("request", (r) => requests.push(r.url()));
  await tab.goto(pathToFileURL(file).href, { waitUntil: "load" });
  return { tab, context, complaints, requests };
}

/// Nothing on the console, and no request besides the page itself; `what` names the page where there are several.
export function clean({ complaints, requests }, what = "the page") {
  assert.deepEqual(complaints, [], what);
  assert.deepEqual(requests.filter((url) => !/^(data|file):/.test(url)), [], what);
  assert.equal(requests.filter((url) => url.startsWith("file:")).length, 1, `${what} is one file`);
}

/// Every axis of frequencies runs from high on the left to low on the right; how many there are.
export async function frequencyAxes(tab) {
  const axes = await tab.$$eval("svg", (all) => all.flatMap((svg) => {
    const texts = [...svg.querySelectorAll("text")].map((t) => ({ said: t.textContent, box: t.getBoundingClientRect() }));
    return texts.filter((t) => t.said.startsWith("frequency")).map((name) => {
      const labels = texts.filter((t) => /^[\d.]+ ?(k|kHz|Hz)?$/.test(t.said) && Math.abs(t.box.y - name.box.y) < 60 && t.box.y < name.box.y)
        .map((t) => ({ x: t.box.x + t.box.width / 2, y: t.box.y + t.box.height / 2, hz: parseFloat(t.said) * (t.said.includes("k") ? 1e3 : 1) }));
      const row = Math.max(...labels.map((l) => l.y));
      return labels.filter((l) => row - l.y < 4).sort((a, b) => a.x - b.x).map((l) => l.hz);
    });
  }));
  for (const hz of axes) {
    assert.ok(hz.length >= 2, `axis of frequencies with labels: ${hz}`);
    assert.deepEqual(hz, [...hz].sort((a, b) => b - a), "frequencies fall from left to right");
  }
  return axes.length;
}

/// No table or chart is cut at its right edge, and no legend is paged.
export async function nothingCut(tab, what) {
  const cut = await tab.$$eval(".scroll", (all) => all.filter((box) => box.offsetParent && box.scrollWidth > box.clientWidth + 1)
    .map((box) => `${box.querySelector("caption, th")?.textContent} ${box.scrollWidth} > ${box.clientWidth}`));
  assert.deepEqual(cut, [], `tables of ${what} fit`);
  const out = await tab.$$eval(".chart", (all) => all.flatMap((chart) => {
    const edge = chart.getBoundingClientRect();
    return [...chart.querySelectorAll("svg text")].filter((t) => t.textContent.trim()).map((t) => [t.textContent, t.getBoundingClientRect()])
      .filter(([said, b]) => b.width && (b.left < edge.left - 1 || b.right > edge.right + 1 || /^\d+\/\d+$/.test(said))).map(([said]) => said);
  }));
  assert.deepEqual(out, [], `texts of the charts of ${what} are whole`);
}
