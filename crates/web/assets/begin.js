// @ts-check
/** The beginning: gaps that are filled, and the drawing that follows them. */

import { refresh, send, tell, words } from "./page.js";

/** @param {HTMLElement} main */
export function start(main) {
  const form = /** @type {HTMLFormElement} */ (main.querySelector("#begin"));
  const filled = () => /** @type {Record<string, string>} */ (Object.fromEntries(new FormData(form)));
  form.addEventListener("change", async () => {
    history.replaceState(null, "", `/?${new URLSearchParams(filled())}`);
    await refresh();
    const found = document.querySelector(".door h2")?.textContent;
    tell(found ? `Not possible: ${found}` : "Drawn as filled in.");
  });
  form.addEventListener("submit", (event) => event.preventDefault());
  form.querySelector("#write")?.addEventListener("click", async () => {
    const now = filled();
    const { ok, value } = await send("/begin", now);
    if (!ok) return tell(words(value));
    history.replaceState(null, "", "/");
    await refresh();
    tell("The wall file is written. Change it on the sheet Wall.");
  });
}
