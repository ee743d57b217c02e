// @ts-check
/** The pictures of the page in docs: `node tests/page/pictures.mjs`. */

import { join } from "node:path";

import { launch, root, serve } from "./served.mjs";

const pictures = /** @type {const} */ ([
  ["page-wall.png", "/wall?show=volts", { width: 1120, height: 700 }, "light"],
  ["page-run.png", "/run", { width: 390, height: 780 }, "dark"],
]);
const served = await serve(["--play", "--no-discovery"]);
const browser = await launch();
for (const [name, path, viewport, colorScheme] of pictures) {
  const context = await browser.newContext({ viewport, colorScheme, reducedMotion: "reduce" });
  const page = await context.newPage();
  await page.goto(served.at + path);
  await page.waitForSelector("main.ready");
  await page.waitForTimeout(1500);
  await page.screenshot({ path: join(root, "docs", "pictures", name) });
  await context.close();
}
await browser.close();
await served.end();
