// A picture of the top of a page, or of it from one of its parts on: called by docs/images/make.
//   node screenshot.mjs NPM_FOLDER PICTURE.png PAGE.html|URL WIDTHxHEIGHT [SELECTOR]
import { renameSync } from "node:fs";
import { pathToFileURL } from "node:url";
import { launch } from "../../tests/browser.mjs";

const [npm, picture, page, size, selector] = process.argv.slice(2);
const [width, height] = size.split("x").map(Number);
const browser = await launch(npm);
try {
  const context = await browser.newContext({ viewport: { width, height }, colorScheme: "light", reducedMotion: "reduce" });
  const tab = await context.newPage();
  await tab.goto(page.includes("://") ? page : pathToFileURL(page).href, { waitUntil: "load" });
  await tab.waitForTimeout(1500);  // charts come in, and the unit's front fills
  if (selector) await tab.locator(selector).evaluate((part) => part.scrollIntoView({ block: "start" }));
  await tab.waitForTimeout(300);
  const path = `${picture}.new.png`;
  await tab.screenshot({ path });
  renameSync(path, picture);
} finally {
  await browser.close();
}
