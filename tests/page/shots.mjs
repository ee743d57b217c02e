// @ts-check
/** Pictures of the screens: `node shots.mjs FOLDER [PATH...]`. */

import { mkdirSync } from "node:fs";
import { join } from "node:path";

import { launch, serve } from "./served.mjs";

const [folder = "shots", ...paths] = process.argv.slice(2);
mkdirSync(folder, { recursive: true });
const screens = paths.length ? paths : ["/", "/wall", "/wall?show=path&side=back", "/build", "/run", "/file", "/sheets", "/sheets/2"];
const widths = (process.env.WIDTHS ?? "360,1280,2560").split(",").map(Number);
const themes = /** @type {("light" | "dark")[]} */ ((process.env.THEMES ?? "light,dark").split(","));
const served = await serve(["--play", "--no-discovery"]);
const browser = await launch();
try {
  for (const colorScheme of themes) {
    for (const width of widths) {
      const context = await browser.newContext({ colorScheme, reducedMotion: "reduce", viewport: { width, height: width < 600 ? 740 : Math.round(width * 0.6) } });
      const page = await context.newPage();
      page.on("console", (line) => line.type() === "error" && console.log(width, line.text(), line.location().url));
      page.on("pageerror", (error) => console.log(width, error.message));
      for (const path of screens) {
        await page.goto(served.at + path);
        await page.waitForSelector("main.ready", { timeout: 30_000 });
        await page.waitForTimeout(700);
        const name = path.replace(/[^a-z0-9]+/gi, "-").replace(/^-|-$/g, "") || "glance";
        await page.screenshot({ path: join(folder, `${name}-${width}-${colorScheme}.png`), fullPage: Boolean(process.env.FULL) });
        const wide = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
        if (wide > 0) console.log(`${path} at ${width}: ${wide} px too wide`);
      }
      await context.close();
    }
  }
} finally {
  await browser.close();
  await served.end();
}
