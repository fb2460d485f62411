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
  const cut = await tab.$$eval(".scroll", (all) => all.filter((box) => box.checkVisibility() && box.scrollWidth > box.clientWidth + 1)
    .map((box) => `${box.querySelector("caption, th")?.textContent} ${box.scrollWidth} > ${box.clientWidth}`));
  assert.deepEqual(cut, [], `tables of ${what} fit`);
  const out = await tab.$$eval(".chart", (all) => all.flatMap((chart) => {
    const edge = chart.getBoundingClientRect();
    return [...chart.querySelectorAll("svg text")].filter((t) => t.textContent.trim()).map((t) => [t.textContent, t.getBoundingClientRect()])
      .filter(([said, b]) => b.width && (b.left < edge.left - 1 || b.right > edge.right + 1 || /^\d+\/\d+$/.test(said))).map(([said]) => said);
  }));
  assert.deepEqual(out, [], `texts of the charts of ${what} are whole`);
}

/// How far apart colours "rgb(r, g, b)" look at the least, in CIE 1976 L*a*b*, to normal eyes and to those without red or green
/// cones: the matrices for linear RGB are those of Machado, Oliveira and Fernandes (2009), severity 1, from memory.
export function leastColourDistance(colours) {
  const eyes = { normal: [[1, 0, 0], [0, 1, 0], [0, 0, 1]],
    "no red cones": [[.152286, 1.052583, -.204868], [.114503, .786281, .099216], [-.003882, -.048116, 1.051998]],
    "no green cones": [[.367322, .860646, -.227968], [.280085, .672501, .047413], [-.01182, .04294, .968881]] };
  const linear = (text) => text.match(/[\d.]+/g).slice(0, 3).map((v) => v / 255).map((v) => v <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4);
  const times = (m, v) => m.map((row) => row.reduce((sum, x, i) => sum + x * v[i], 0));
  const lab = (rgb) => {  // of sRGB, IEC 61966-2-1, white D65
    const [x, y, z] = times([[.4124, .3576, .1805], [.2126, .7152, .0722], [.0193, .1192, .9505]], rgb)
      .map((v, i) => Math.max(0, v) / [.9505, 1, 1.089][i]).map((v) => v > .008856 ? Math.cbrt(v) : 7.787 * v + 16 / 116);
    return [116 * y - 16, 500 * (x - y), 200 * (y - z)];
  };
  let least = { distance: Infinity };
  for (const [eye, matrix] of Object.entries(eyes)) {
    const seen = colours.map((c) => lab(times(matrix, linear(c))));
    seen.forEach((a, i) => seen.slice(0, i).forEach((b, j) => {
      const distance = Math.hypot(...a.map((v, k) => v - b[k]));
      if (distance < least.distance) least = { distance, eye, pair: [colours[i], colours[j]] };
    }));
  }
  return least;
}
