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
