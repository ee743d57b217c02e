// @ts-check
/** The program with a wall of its own, and a browser to look at it. */

import { spawn } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

import { chromium } from "playwright-core";

const here = dirname(fileURLToPath(import.meta.url));
export const root = join(here, "..", "..");
const program = process.env.GLOWLOOM_PROGRAM ?? join(root, "target", "debug", "glowloom");
const browser = process.env.GLOWLOOM_CHROMIUM ?? "/usr/bin/chromium";

/** A time zone in which it is about noon, so that no quiet hours darken what is looked at. */
function noon() {
  const west = new Date().getUTCHours() - 12;
  return `NOON${west < 0 ? "-" : "+"}${Math.abs(west)}`;
}

/** @param {string[]} more
 * @param {string} [wall] of examples/walls
 * @param {string} [kept] a folder that is there already */
export async function serve(more = [], wall = "tidewall", kept) {
  const folder = kept ?? mkdtempSync(join(tmpdir(), "page-"));
  // With no name there is no file yet.
  const file = join(folder, `${wall || "new"}.toml`);
  if (!kept && wall) {
    const text = readFileSync(join(root, "examples", "walls", `${wall}.toml`), "utf8");
    // A picture made by code needs no file beside it.
    writeFileSync(file, text.replaceAll(/source = "pictures\/[^"]*"/g, 'source = "drift"'));
  }
  const address = more.includes("--listen") ? [] : ["--listen", "127.0.0.1:0"];
  const child = spawn(program, ["serve", file, ...address, ...more], {
    stdio: ["ignore", "pipe", "pipe"],
    env: { ...process.env, HOME: folder, XDG_DATA_HOME: folder, XDG_RUNTIME_DIR: folder, TZ: noon() },
  });
  let said = "";
  const link = await new Promise((resolve, reject) => {
    const timer = setTimeout(() => reject(new Error(`no address: ${said}`)), 60_000);
    for (const stream of [child.stdout, child.stderr]) {
      stream.on("data", (/** @type {Buffer} */ bytes) => {
        said += bytes.toString();
        const found = said.match(/http:\/\/\S+/);
        if (found) {
          clearTimeout(timer);
          resolve(found[0]);
        }
      });
    }
    child.on("exit", () => reject(new Error(`it ended: ${said}`)));
  });
  const stop = () =>
    new Promise((then) => {
      if (child.exitCode !== null) return then(undefined);
      child.on("exit", () => then(undefined));
      child.kill("SIGINT");
    });
  return {
    link: String(link),
    at: String(link).replace(/\/(enter#.*)?$/, ""),
    file,
    folder,
    stop,
    kill: () => child.kill("SIGKILL"),
    end: async () => {
      await stop();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

export function launch() {
  return chromium.launch({ executablePath: browser, args: ["--no-sandbox", "--disable-gpu", "--force-color-profile=srgb"] });
}
