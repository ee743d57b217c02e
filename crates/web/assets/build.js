// @ts-check
/** Tick boxes of the journal. */

import { refresh, send, tell, words } from "./page.js";

/** @param {HTMLElement} main */
export function start(main) {
  main.addEventListener("change", async (event) => {
    const box = /** @type {HTMLInputElement} */ (event.target);
    if (!box.dataset?.done) return;
    const name = box.dataset.done;
    const { ok, value } = await send("/done", { words: name, undo: !box.checked });
    if (!ok) box.checked = !box.checked;
    else await refresh();
    tell(ok ? String(value) : words(value));
    const same = [...document.querySelectorAll("[data-done]")].find((one) => /** @type {HTMLElement} */ (one).dataset.done === name);
    if (same instanceof HTMLElement) same.focus({ preventScroll: true });
  });
}
