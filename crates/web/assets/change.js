// @ts-check
/** Figures that are changed where they stand. */

import { followed, refresh, send, tell, words } from "./page.js";

/** @param {HTMLElement} main */
export function start(main) {
  for (const button of main.querySelectorAll("button[data-move]")) {
    button.addEventListener("click", () => void move(/** @type {HTMLButtonElement} */ (button)));
  }
  for (const field of main.querySelectorAll(".write")) one(/** @type {HTMLInputElement | HTMLSelectElement} */ (field));
}

/** @param {HTMLInputElement | HTMLSelectElement} field */
function one(field) {
  let before = field.value;
  const change = () =>
    field.dataset.change
      ? { ...JSON.parse(field.dataset.change), value: field.value }
      : { what: "set", figure: field.dataset.figure, value: field.value };
  async function keep() {
    if (field.value === before) return clear(field);
    const { ok, value } = await send("/change", { changes: [change()] });
    if (!ok) return refuse(field, words(value));
    before = field.value;
    await refresh();
    tell(`${document.querySelector(`label[for="${field.id}"]`)?.textContent ?? "It"}: ${followed(value)}`);
  }
  field.addEventListener("change", () => void keep());
  field.addEventListener("keydown", (event) => {
    const key = /** @type {KeyboardEvent} */ (event).key;
    if (key === "Escape") {
      field.value = before;
      clear(field);
    }
  });
}

/** A scene comes earlier or later; the focus goes with it.
 * @param {HTMLButtonElement} button */
async function move(button) {
  const [from = 0, to = 0] = (button.dataset.move ?? "").split(" ").map(Number);
  const { ok, value } = await send("/change", { changes: [{ what: "move-scene", from, to }] });
  if (!ok) return tell(words(value));
  await refresh();
  tell(`Now in place ${to + 1}.`);
  const next = document.querySelector(`button[data-move="${to} ${to + to - from}"], button[data-move^="${to} "]`);
  if (next instanceof HTMLElement) next.focus();
}

/** @param {HTMLElement} field */
function clear(field) {
  field.removeAttribute("aria-invalid");
  field.removeAttribute("aria-errormessage");
  document.getElementById(`${field.id}-wrong`)?.remove();
}

/** @param {HTMLElement} field
 * @param {string} why */
function refuse(field, why) {
  clear(field);
  const line = document.createElement("span");
  line.className = "wrong";
  line.id = `${field.id}-wrong`;
  line.textContent = why;
  field.after(line);
  field.setAttribute("aria-invalid", "true");
  field.setAttribute("aria-errormessage", line.id);
  tell(`Not written: ${why}`);
}
