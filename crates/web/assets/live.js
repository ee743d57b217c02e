// @ts-check
/** What the panels show, as it comes, in the drawing of the wall. */

import { picture } from "./paint.js";
import { send, tell, words } from "./page.js";

/** @param {import("./view.js").View} view */
export function start(view) {
  open(view, (frame) => {
    picture(frame, view.picture.data);
    if (!document.hidden) view.paint();
  });
  controls();
}

/** Hands each frame over as it comes, and begins again where the line breaks.
 * @param {import("./view.js").View} view
 * @param {(frame: Uint8Array) => void} take
 * @param {number} [wait] milliseconds before the next try */
export function open(view, take, wait = 500) {
  if (!view.stage.isConnected) return;
  const socket = new WebSocket(`ws://${location.host}/live`);
  socket.binaryType = "arraybuffer";
  socket.addEventListener("message", ({ data }) => {
    if (!view.stage.isConnected) return socket.close();
    wait = 500;
    if (typeof data === "string") return how(JSON.parse(data));
    take(new Uint8Array(data));
  });
  socket.addEventListener("close", () => setTimeout(() => open(view, take, Math.min(wait * 2, 8000)), wait));
}

/** @param {any} state */
function how(state) {
  const line = document.getElementById("how");
  if (line) line.textContent = state.line;
  const list = document.getElementById("words");
  list?.replaceChildren(...state.words.map((/** @type {string} */ text) => {
    const item = document.createElement("li");
    item.textContent = text;
    return item;
  }));
  document.querySelectorAll("#panels tbody tr td").forEach((cell, i) => {
    const text = state.panels[i]?.words ?? "";
    if (cell.textContent !== text) cell.textContent = text;
  });
  const bright = /** @type {HTMLInputElement | null} */ (document.getElementById("brightness"));
  if (bright && document.activeElement !== bright) {
    bright.value = String(Math.round(state.brightness * 100));
    told(bright);
  }
}

/** @param {HTMLInputElement} bright */
function told(bright) {
  const output = document.getElementById("bright");
  if (output) output.textContent = `${bright.value} %`;
}

function controls() {
  const bright = /** @type {HTMLInputElement | null} */ (document.getElementById("brightness"));
  let waiting = false;
  bright?.addEventListener("input", () => {
    told(bright);
    if (waiting) return;
    waiting = true;
    setTimeout(async () => {
      waiting = false;
      const { ok, value } = await send("/show", { brightness: Number(bright.value) / 100 });
      if (!ok) tell(words(value));
    }, 60);
  });
  const say = /** @type {HTMLInputElement | null} */ (document.getElementById("say"));
  /** @param {string} text */
  const show = async (text) => {
    const { ok, value } = await send("/show", { text });
    tell(ok ? (text ? `On the wall: ${text}` : "The wall shows its running order.") : words(value));
  };
  document.getElementById("text-form")?.addEventListener("submit", (event) => {
    event.preventDefault();
    void show(say?.value ?? "");
  });
  document.getElementById("plain")?.addEventListener("click", () => {
    if (say) say.value = "";
    void show("");
  });
}
