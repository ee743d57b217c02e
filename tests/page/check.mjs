// @ts-check
/** The page as a person uses it, by mouse and by keys, in a real browser; rules of accessibility and of HTML on
 * every screen in both themes. `node check.mjs [PART OF A NAME]` */

import assert from "node:assert/strict";
import { readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";

import { HtmlValidate } from "html-validate";

import { launch, serve } from "./served.mjs";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const html = new HtmlValidate({
  extends: ["html-validate:standard"],
  // What the template writes: void elements as HTML has them, and attributes of our own.
  rules: { "void-style": "off", "no-trailing-whitespace": "off", "long-title": "off", "prefer-native-element": "off" },
});
const browser = await launch();

/** @typedef {Awaited<ReturnType<typeof serve>>} Served */
/** @param {string} to
 * @param {import("playwright-core").BrowserContextOptions} [options] */
async function open(to, options = {}) {
  const context = await browser.newContext({ reducedMotion: "reduce", viewport: { width: 1280, height: 800 }, ...options });
  const page = await context.newPage();
  /** @type {string[]} */
  const errors = [];
  page.on("pageerror", (error) => errors.push(error.message));
  page.on("console", (line) => line.type() === "error" && errors.push(line.text()));
  await page.goto(to);
  return { page, errors, close: () => context.close() };
}

/** @param {import("playwright-core").Page} page */
const ready = (page) => page.waitForSelector("main.ready", { timeout: 60_000 });
/** @param {import("playwright-core").Page} page */
const told = (page) => page.locator(".told p");
/** @param {Served} served */
const text = (served) => readFileSync(served.file, "utf8");

/** Waits until something holds.
 * @param {() => unknown} holds
 * @param {string} what */
async function until(holds, what) {
  for (let i = 0; i < 600; i++) {
    if (await holds()) return;
    await new Promise((then) => setTimeout(then, 50));
  }
  assert.fail(`never: ${what}`);
}

/** @param {import("playwright-core").Page} page
 * @param {string} words */
const says = (page, words) => until(async () => (await told(page).textContent())?.includes(words), `the line says "${words}"`);

/** @type {Record<string, (served: Served) => Promise<void>>} */
const flows = {
  async "every screen keeps the rules of accessibility and of HTML"(served) {
    const screens = ["/", "/wall", "/wall?show=path&side=back&panel=1", "/wall?show=data", "/wall?show=current", "/wall?show=seen", "/build", "/run", "/file", "/sheets", "/sheets/2", "/enter", "/no-such-sheet"];
    for (const colorScheme of /** @type {const} */ (["light", "dark"])) {
      const { page, close } = await open(served.at, { colorScheme });
      for (const screen of screens) {
        await page.goto(served.at + screen);
        await page.waitForSelector("main.ready, body.plain", { timeout: 60_000 });
        await page.evaluate(axe);
        const found = await page.evaluate(() => /** @type {any} */ (window).axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] }));
        const broken = found.violations.map((/** @type {any} */ v) => `${v.id}: ${v.nodes.slice(0, 3).map((/** @type {any} */ n) => n.html.slice(0, 200)).join(" | ")}`);
        assert.deepEqual(broken, [], `${screen}, ${colorScheme}`);
        const answer = await (await fetch(served.at + screen, { headers: { Accept: "text/html" } })).text();
        const report = await html.validateString(answer);
        const wrong = report.results.flatMap((r) => r.messages.map((m) => `${m.ruleId} ${m.line}:${m.column} ${m.message}`));
        assert.deepEqual(wrong.slice(0, 5), [], screen);
      }
      await close();
    }
  },

  async "no screen is wider than the window, from 320 px on"(served) {
    for (const width of [320, 360, 1280, 3840]) {
      const { page, close } = await open(served.at, { viewport: { width, height: 800 } });
      for (const screen of ["/", "/wall", "/build", "/run", "/file", "/sheets", "/sheets/2"]) {
        await page.goto(served.at + screen);
        await ready(page);
        const wide = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
        assert.ok(wide <= 0, `${screen} at ${width}: ${wide} px too wide`);
      }
      await close();
    }
  },

  async "the first screen says what, whether and next"(served) {
    const { page, errors, close } = await open(served.at);
    await ready(page);
    assert.equal(await page.locator("h1").textContent(), "Tidewall");
    assert.match((await page.locator(".margin").textContent()) ?? "", /Safe and sound: no hazard, no fault/);
    assert.match((await page.locator(".next").textContent()) ?? "", /Next/);
    assert.deepEqual(errors, []);
    await page.keyboard.press("w");
    await page.waitForURL("**/wall");
    await page.keyboard.press("Tab");
    await page.keyboard.type("3");
    await says(page, "Sheet 3");
    await close();
  },

  async "a pixel is named by keys and by pointing"(served) {
    const { page, close } = await open(`${served.at}/wall`);
    await ready(page);
    await page.locator(".stage").focus();
    await page.keyboard.press("ArrowRight");
    const line = page.locator(".pixel");
    await until(async () => (await line.textContent())?.startsWith("Column 0, row 0: panel west, strip 1"), "the first pixel");
    await page.keyboard.press("ArrowDown");
    await until(async () => (await line.textContent())?.startsWith("Column 0, row 1: panel west"), "the one below");
    const board = await page.locator('.panel[data-panel="2"] .board').boundingBox();
    assert.ok(board);
    await page.mouse.move(board.x + board.width - 3, board.y + board.height - 3);
    await until(async () => (await line.textContent())?.startsWith("Column 59, row 31: panel east"), "the last pixel");
    await page.goto(`${served.at}/wall?side=back&show=volts`);
    await ready(page);
    const back = await page.locator('.panel[data-panel="2"] .board').boundingBox();
    assert.ok(back);
    await page.mouse.move(back.x + 3, back.y + back.height - 3);
    await until(async () => (await line.textContent())?.startsWith("Column 59, row 31: panel east"), "the same, from the back at the left");
    await close();
  },

  async "a figure is changed where it stands, and taken back"(served) {
    const { page, errors, close } = await open(`${served.at}/wall`);
    await ready(page);
    const before = text(served);
    const field = page.locator("#f-brightness-limit");
    await field.fill("0.5");
    await field.press("Tab");
    await says(page, "least volts");
    assert.match(text(served), /brightness_limit = 0\.5 +# ceiling, 0 to 1, of every channel/);
    await page.locator("#undo").click();
    await says(page, "Undone");
    assert.equal(text(served), before);
    await page.locator("#redo").click();
    await says(page, "Done again");
    await page.locator("h2").first().click();
    await page.keyboard.press("Control+z");
    await until(() => text(served) === before, "undone by keys");
    await page.locator("#f-brightness-limit").fill("7");
    await page.keyboard.press("Enter");
    await says(page, "Not written");
    assert.equal(await page.locator("#f-brightness-limit").getAttribute("aria-invalid"), "true");
    assert.equal(text(served), before);
    assert.deepEqual(errors.filter((error) => !error.includes("422")), []);
    await close();
  },

  async "a feed is dragged along the edge, and moved by keys"(served) {
    const { page, close } = await open(`${served.at}/wall?show=volts`);
    await ready(page);
    const feed = page.locator('.feed[data-panel="0"]').first();
    const from = Number(await feed.getAttribute("data-strip"));
    const box = await feed.boundingBox();
    const board = await page.locator('.panel[data-panel="0"] .board').boundingBox();
    assert.ok(box && board);
    const strip = board.width / 20;
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
    await page.mouse.down();
    for (let i = 1; i <= 12; i++) await page.mouse.move(box.x + box.width / 2 + (strip * i) / 12, box.y + box.height / 2);
    await until(() => page.evaluate(() => performance.getEntriesByName("feed").length > 0), "volts while it is dragged");
    await page.mouse.up();
    await says(page, `Feed moved from strip ${from} to ${from + 1}`);
    assert.match(text(served), new RegExp(`feeds = \\[\\{ strip = ${from + 1}, edge = "near" \\}`));
    const moved = page.locator(`.feed[data-panel="0"][data-strip="${from + 1}"]`).first();
    await moved.focus();
    await page.keyboard.press("ArrowLeft");
    await page.keyboard.press("Enter");
    await says(page, `Feed moved from strip ${from + 1} to ${from}`);
    await close();
  },

  async "a remedy shows what it changes before it is written"(served) {
    const faulty = text(served).replace('supply = "5v-60a"', 'supply = "5v-20a"');
    writeFileSync(served.file, faulty);
    const { page, close } = await open(`${served.at}/build`);
    await ready(page);
    const button = page.getByRole("button", { name: /Lower the ceiling to/ }).first();
    await button.focus();
    await page.keyboard.press("Enter");
    await page.locator("#proposal .added").waitFor();
    assert.match((await page.locator("#proposal .what").textContent()) ?? "", /faults 1 → 0/);
    assert.equal(text(served), faulty, "nothing is written yet");
    await page.keyboard.press("Escape");
    await button.click();
    await page.getByRole("button", { name: "Write it" }).click();
    await says(page, "Written: ");
    assert.match(text(served), /brightness_limit = 0\.[0-5]/);
    assert.match((await page.locator(".margin").textContent()) ?? "", /no hazard, no fault/);
    await close();
  },

  async "a picture is seen as it will look, cells within two per cent"(served) {
    const { page, errors, close } = await open(`${served.at}/wall?show=seen`);
    await ready(page);
    const lit = () => page.evaluate(() => {
      const view = /** @type {any} */ (document.querySelector(".stage")).view;
      const profile = document.querySelector(".drawing")?.getAttribute("data-cell")?.split(" ").map(Number) ?? [];
      /** @param {number} byte */
      const linear = (byte) => (byte / 255 <= 0.04045 ? byte / 255 / 12.92 : ((byte / 255 + 0.055) / 1.055) ** 2.4);
      const { data, width } = view.picture;
      const n = view.detail;
      /** @param {number} i */
      const red = (i) => linear(data[4 * (Math.floor(i / n) * width + (i % n))]);
      const middle = (n * n - 1) / 2;
      return { painted: view.painted, errors: profile.map((p, i) => Math.abs(red(i) / red(middle) - p)) };
    });
    await page.getByRole("button", { name: "White" }).click();
    await until(async () => {
      const { painted, errors: off } = await lit();
      return painted && off.length === 49 && off.every((/** @type {number} */ one) => one < 0.02);
    }, "every place of a cell is as bright as the plan says");
    await page.locator("#distance").fill("60");
    assert.match((await page.locator("#far").textContent()) ?? "", /m/);
    assert.deepEqual(errors, []);
    await close();
  },

  async "the text shows what is wrong under the words"(served) {
    const { page, close } = await open(`${served.at}/file`);
    await ready(page);
    const before = text(served);
    const area = page.locator("#text");
    await area.fill(before.replace("rows = 32\nseen_from", "rws = 32\nseen_from"));
    await page.locator(".under mark").first().waitFor();
    assert.ok((await page.locator(".under mark").allTextContents()).includes("rws"));
    await page.getByRole("button", { name: "Save" }).click();
    await says(page, "Not saved");
    assert.equal(text(served), before);
    await area.fill(before.replace('seen_from = "4 m"', 'seen_from = "5 m"'));
    const other = before.replace("trim_volts = 5.0", "trim_volts = 4.9");
    writeFileSync(served.file, other);
    await page.getByRole("button", { name: "Save" }).click();
    await page.getByRole("button", { name: "Take the file as it is now" }).waitFor();
    assert.equal(text(served), other, "nothing is written over another program's");
    await page.getByRole("button", { name: "Take the file as it is now" }).click();
    assert.equal(await area.inputValue(), other);
    writeFileSync(served.file, before);
    await close();
  },

  async "what another program or browser changes is drawn"(served) {
    const one = await open(`${served.at}/wall`);
    const other = await open(served.at);
    await ready(one.page);
    await ready(other.page);
    const before = text(served);
    await one.page.locator("#f-seen-from").fill("7 m");
    await one.page.keyboard.press("Tab");
    await until(async () => (await other.page.locator(".margin").textContent())?.includes("seen from 7"), "the other browser shows it");
    writeFileSync(served.file, before);
    await until(async () => (await other.page.locator(".margin").textContent())?.includes("seen from 4"), "both see the file");
    writeFileSync(served.file, "format = 1\n[wall\n");
    await other.page.locator(".stop").waitFor();
    writeFileSync(served.file, before);
    await until(async () => (await other.page.locator(".stop").count()) === 0, "it is sound again");
    await one.close();
    await other.close();
  },

  async "what is done is ticked in the journal"(served) {
    const { page, close } = await open(`${served.at}/build`);
    await ready(page);
    const tick = page.locator("[data-done]:visible").first();
    const name = await tick.getAttribute("data-done");
    await tick.focus();
    await page.keyboard.press("Space");
    await says(page, `done: ${name}`);
    const journal = served.file.replace(".toml", ".journal");
    assert.ok(readFileSync(journal, "utf8").includes(String(name)));
    await page.locator(`[data-done="${name}"]`).click();
    await says(page, `undone: ${name}`);
    assert.ok(!readFileSync(journal, "utf8").includes(String(name)));
    await close();
  },

  async "the show is seen, dimmed and written on"(served) {
    const { page, close } = await open(`${served.at}/run`, { viewport: { width: 390, height: 780 }, hasTouch: true });
    await ready(page);
    const seen = () => page.evaluate(() => {
      const data = /** @type {any} */ (document.querySelector(".stage")).view.picture.data;
      return [...data].join();
    });
    await until(async () => /[1-9]/.test((await seen()).replaceAll("255", "")), "a picture");
    await page.locator("#say").fill("Sole 9");
    await page.locator("#say").press("Enter");
    await says(page, "On the wall: Sole 9");
    await page.locator("#brightness").fill("20");
    await until(async () => /20 %/.test((await page.locator("#bright").textContent()) ?? ""), "20 %");
    await page.getByRole("button", { name: "Take off" }).click();
    await says(page, "running order");
    await close();
  },

  async "the day is changed where it stands, and the show follows"(served) {
    const { page, close } = await open(`${served.at}/run`);
    await ready(page);
    const quiet = page.locator("#d-quiet-hours-0-from");
    assert.equal(await quiet.inputValue(), "23:00");
    await quiet.fill("22:15");
    await quiet.press("Tab");
    await until(() => text(served).includes('from = "22:15", to = "07:00"'), "the file has it");
    writeFileSync(served.file, `${text(served)}\n[[show.running_order]]\nsource = "text:Sole"\nseconds = 30\n`);
    await page.getByRole("button", { name: "text:Sole earlier" }).click();
    await says(page, "Now in place 1");
    assert.match(text(served), /source = "text:Sole"[^]*source = "drift"/);
    await page.locator("#d-running-order-0-seconds").fill("0");
    await page.keyboard.press("Enter");
    await says(page, "Not written");
    await close();
  },

  async "a server that ends and comes back is told"(served) {
    const { page, close } = await open(served.at);
    await ready(page);
    const at = new URL(served.at).host;
    await served.stop();
    await says(page, "does not answer");
    const again = await serve(["--listen", at], "tidewall", served.folder);
    await says(page, "answers again");
    await again.stop();
    await close();
  },
};

const wanted = process.argv[2] ?? "";
let failed = 0;
for (const [name, flow] of Object.entries(flows)) {
  if (!name.includes(wanted)) continue;
  const served = await serve(["--play", "--no-discovery"]);
  try {
    await flow(served);
    console.log(`ok    ${name}`);
  } catch (error) {
    failed += 1;
    console.log(`wrong ${name}\n${error instanceof Error ? error.stack : error}`);
  } finally {
    await served.end();
  }
}

if ("a wall begins with a few gaps filled".includes(wanted)) {
  const served = await serve([], "");
  try {
    const { page } = await open(served.at);
    await ready(page);
    await page.locator("#b-width").fill("1 m");
    await page.locator("#b-width").press("Tab");
    await until(async () => (await page.locator(".drawing").getAttribute("data-columns")) === "30", "30 columns are drawn");
    await page.locator("#b-panels").fill("0");
    await page.locator("#b-panels").press("Tab");
    await says(page, "Not possible");
    await page.locator("#b-panels").fill("2");
    await page.locator("#b-panels").press("Tab");
    await until(() => page.locator(".drawing").count(), "it is drawn again");
    await page.getByRole("button", { name: "Write the file" }).click();
    await says(page, "is written");
    assert.match(text(served), /columns = 30/);
    await page.evaluate(axe);
    console.log("ok    a wall begins with a few gaps filled");
  } catch (error) {
    failed += 1;
    console.log(`wrong a wall begins with a few gaps filled\n${error instanceof Error ? error.stack : error}`);
  } finally {
    await served.end();
  }
}

if ("a token is changed for a cookie".includes(wanted)) {
  const served = await serve(["--listen", "0.0.0.0:0"]);
  try {
    const stranger = await open(served.at);
    assert.match((await stranger.page.textContent("main")) ?? "", /has not been let in/);
    const { page } = await open(served.link);
    await ready(page);
    assert.equal(new URL(page.url()).pathname + new URL(page.url()).hash, "/");
    const [cookie] = await page.context().cookies();
    assert.deepEqual([cookie?.httpOnly, cookie?.sameSite], [true, "Strict"]);
    console.log("ok    a token is changed for a cookie");
  } catch (error) {
    failed += 1;
    console.log(`wrong a token is changed for a cookie\n${error instanceof Error ? error.stack : error}`);
  } finally {
    await served.end();
  }
}
await browser.close();
process.exit(failed ? 1 : 0);
