// @ts-check
/** Figures of the page on this machine, no test: `node figures.mjs`. */

import { writeFileSync } from "node:fs";

import { launch, serve } from "./served.mjs";

const browser = await launch();

/** @param {number[]} all */
const median = (all) => all.sort((a, b) => a - b)[all.length >> 1] ?? 0;

{
  const served = await serve();
  const paints = [];
  let bytes = 0;
  for (let i = 0; i < 9; i++) {
    const context = await browser.newContext({ viewport: { width: 1280, height: 800 } });
    const page = await context.newPage();
    await page.goto(`${served.at}/`);
    await page.waitForSelector("main.ready");
    await page.waitForTimeout(500);
    bytes = await page.evaluate(() => [...performance.getEntriesByType("navigation"), ...performance.getEntriesByType("resource")].reduce((sum, one) => sum + /** @type {PerformanceResourceTiming} */ (one).transferSize, 0));
    paints.push(await page.evaluate(() => performance.getEntriesByName("first-contentful-paint")[0]?.startTime ?? 0));
    await context.close();
  }
  console.log(`first contentful paint, median of 9: ${median(paints).toFixed(0)} ms; first page in all: ${(bytes / 1000).toFixed(1)} kB`);
  await served.end();
}

for (const [columns, rows, across] of [[60, 40, 3], [250, 200, 10]]) {
  const served = await serve([], "");
  const panels = Array.from({ length: across ?? 1 }, (_, i) => `[[panels]]\nname = "p${i + 1}"\nat = [${(i * (columns ?? 0)) / (across ?? 1)}, 0]\n`);
  writeFileSync(served.file, `format = 1\n[wall]\nname = "W"\ncolumns = ${columns}\nrows = ${rows}\n[strip]\npart = "ws2812b-30"\n[panel]\ncolumns = ${(columns ?? 0) / (across ?? 1)}\nrows = ${rows}\n${panels.join("")}[power]\nfeeds = 8\nbrightness_limit = 0.3\n`);
  const context = await browser.newContext({ viewport: { width: 1280, height: 800 } });
  const page = await context.newPage();
  await page.goto(`${served.at}/wall?show=volts`, { timeout: 120_000 });
  await page.waitForSelector("main.ready", { timeout: 120_000 });
  const feed = page.locator('.feed[data-panel="0"]').first();
  await feed.focus();
  const times = [];
  for (let i = 0; i < 30; i++) {
    times.push(await page.evaluate(async (key) => {
      const before = performance.getEntriesByName("feed").length;
      const began = performance.now();
      document.activeElement?.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true }));
      while (performance.getEntriesByName("feed").length === before) await new Promise((then) => setTimeout(then, 0));
      await new Promise((then) => requestAnimationFrame(() => then(undefined)));
      return performance.now() - began;
    }, i % 2 ? "ArrowLeft" : "ArrowRight"));
  }
  await page.keyboard.press("Escape");
  console.log(`feed moved to volts drawn, ${(columns ?? 0) * (rows ?? 0)} pixels: median ${median(times).toFixed(0)} ms of 30`);
  await context.close();
  await served.end();
}
await browser.close();
