// @ts-check
/** What every sheet does: tells, notices changes of the file and of the line to the program, knows keys. */

/** Tells a line, politely.
 * @param {string} text */
export function tell(text) {
  const line = document.querySelector(".told p");
  if (!line) return;
  line.textContent = text;
  line.classList.remove("new");
  void (/** @type {HTMLElement} */ (line).offsetWidth);
  line.classList.add("new");
}

/** Words of what was refused.
 * @param {any} refused */
export function words(refused) {
  if (refused?.why === "wrong") return refused.errors.map((/** @type {any} */ e) => `${e.message}. ${e.remedy}`).join(" ");
  if (refused?.why === "changed") return "The file was changed by another program meanwhile. Nothing is written: see it as it is now.";
  return refused?.found ? `${refused.found}: ${refused.remedy}` : "It could not be done. Try again.";
}

/** Words of what a change did.
 * @param {any} outcome */
export function followed(outcome) {
  const figures = (outcome.figures ?? []).map((/** @type {string[]} */ f) => `${f[0]} ${f[1]} → ${f[2]}`);
  if (figures.length) return `${figures.join("; ")}.`;
  return outcome.lines?.length ? "Written; no key figure is another." : "Nothing is another.";
}

/** When this page changed something or drew itself anew, last. */
let own = -Infinity;
/** For so long after it a file that is another is no news, ms. */
const OWN = 3000;

/** Sends something and gives what came back.
 * @param {string} to
 * @param {unknown} [body]
 * @returns {Promise<{ok: boolean, status: number, value: any}>} */
export async function send(to, body) {
  // Changes of our own are told by who made them.
  own = performance.now();
  try {
    const answer = await fetch(to, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: body === undefined ? null : JSON.stringify(body),
    });
    const text = await answer.text();
    let value = /** @type {any} */ ({ found: text, remedy: "" });
    try {
      value = JSON.parse(text);
    } catch {
      // Words as they are.
    }
    return { ok: answer.ok, status: answer.status, value };
  } catch {
    return { ok: false, status: 0, value: { found: "The program does not answer", remedy: "see that it still runs, then try again" } };
  }
}

/** Draws the sheet anew in the place of the old one; what is looked at stays where it is. */
export async function refresh() {
  const answer = await fetch(location.href, { headers: { Accept: "text/html" } });
  const next = new DOMParser().parseFromString(await answer.text(), "text/html");
  const [old, now] = [document.querySelector("main"), next.querySelector("main")];
  if (!old || !now) return;
  const focus = document.activeElement?.id;
  const box = /** @type {any} */ (document.querySelector(".stage"))?.view?.box;
  const open = [...old.querySelectorAll("details")].map((one) => one.open);
  old.replaceWith(now);
  now.querySelectorAll("details").forEach((one, i) => { one.open = open[i] ?? one.open; });
  const title = next.querySelector("header.title");
  if (title) document.querySelector("header.title")?.replaceWith(title);
  for (const id of ["undo", "redo"]) {
    const [here, there] = [document, next].map((from) => /** @type {HTMLButtonElement | null} */ (from.getElementById(id)));
    if (here && there) here.disabled = there.disabled;
  }
  document.body.dataset.mark = next.body.dataset.mark ?? "";
  own = performance.now();
  await start(box);
  if (focus) document.getElementById(focus)?.focus({ preventScroll: true });
}

/** @param {any} [box] */
async function start(box) {
  const main = document.querySelector("main");
  if (!main) return;
  if (main.querySelector(".drawing")) (await import("./wall.js")).start(main, box);
  if (main.querySelector("#begin")) (await import("./begin.js")).start(main);
  else if (main.querySelector(".write")) (await import("./change.js")).start(main);
  if (main.querySelector("[data-changes]")) (await import("./remedy.js")).start(main);
  if (main.querySelector("[data-done]")) (await import("./build.js")).start(main);
  if (main.querySelector("#file")) (await import("./file.js")).start(main);
  main.classList.add("ready");
}

/** A step back or forward.
 * @param {"undo" | "redo"} which */
async function step(which) {
  const { ok, value } = await send(`/${which}`);
  if (ok) await refresh();
  tell(ok ? `${which === "undo" ? "Undone" : "Done again"}: ${followed(value)}` : words(value));
}

document.addEventListener("click", (event) => {
  const id = event.target instanceof Element ? event.target.closest("button")?.id : "";
  if (id === "undo" || id === "redo") void step(id);
});

let typed = "";
document.addEventListener("keydown", (event) => {
  const at = /** @type {HTMLElement} */ (event.target);
  const writing = at.matches?.("input:not([type=checkbox]):not([type=range]), textarea, select");
  if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "z" && !writing) {
    event.preventDefault();
    void step(event.shiftKey ? "redo" : "undo");
    return;
  }
  if (writing || event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
  const inDrawing = at.closest?.(".stage");
  if (/^[0-9]$/.test(event.key) && !inDrawing) {
    typed = (typed + event.key).slice(-4);
    tell(`Sheet ${typed}: Enter goes there`);
    return;
  }
  if (event.key === "Enter" && typed && !at.closest?.("a, button, summary")) {
    location.href = `/sheets/${Number(typed)}`;
    return;
  }
  typed = "";
  const link = document.querySelector(`.title nav a[aria-keyshortcuts="${CSS.escape(event.key)}"]`);
  if (link instanceof HTMLAnchorElement) link.click();
});

/** Whether something is typed that is not kept yet. */
function isWriting() {
  const at = document.activeElement;
  return at instanceof HTMLTextAreaElement || (at instanceof HTMLInputElement && at.value !== at.defaultValue);
}

/** Looks whether the file is still the one that is drawn, and whether the program is there. */
async function watch() {
  let lost = false;
  for (;;) {
    await new Promise((then) => setTimeout(then, lost ? 1000 : 2000));
    if (document.hidden) continue;
    try {
      const answer = await fetch("/state");
      if (answer.status === 401) {
        location.href = "/enter";
        return;
      }
      const state = await answer.json();
      const writing = isWriting();
      if (lost) {
        lost = false;
        document.body.classList.remove("lost");
        if (!writing) await refresh();
        tell("The program answers again.");
      } else if (state.mark !== document.body.dataset.mark && !writing && performance.now() - own > OWN) {
        await refresh();
        tell("The file was changed; this is how it is now.");
      }
    } catch {
      if (!lost) tell("The program does not answer. What is drawn stays; waiting for it.");
      lost = true;
      document.body.classList.add("lost");
    }
  }
}

void start();
void watch();
