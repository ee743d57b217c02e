// @ts-check
/** Remedies that are carried out by one click, after what they change has been shown. */

import { difference } from "./file.js";
import { followed, refresh, send, tell, words } from "./page.js";

/** @param {HTMLElement} main */
export function start(main) {
  main.addEventListener("click", (event) => {
    const button = event.target instanceof Element ? event.target.closest("[data-changes]") : null;
    if (button instanceof HTMLElement) void propose(button);
  });
}

/** @param {HTMLElement} button */
async function propose(button) {
  const changes = JSON.parse(button.dataset.changes ?? "[]");
  const { ok, value } = await send("/change", { changes, dry: true });
  if (!ok) return tell(words(value));
  const dialog = /** @type {HTMLDialogElement} */ (document.getElementById("proposal"));
  const what = /** @type {HTMLElement} */ (dialog.querySelector(".what"));
  const line = document.createElement("p");
  line.textContent = followed(value).replace("Written; no", "No");
  what.replaceChildren(line, difference(value.lines));
  dialog.onclick = async (event) => {
    const choice = event.target instanceof HTMLButtonElement ? event.target.value : "";
    if (!choice) return;
    dialog.close();
    if (choice !== "write") return;
    const done = await send("/change", { changes });
    if (done.ok) await refresh();
    tell(done.ok ? `Written: ${followed(done.value)}` : words(done.value));
  };
  dialog.showModal();
}
