// @ts-check
/** The wall file as text: what is wrong stands under the exact words, what follows beside it. */

import { followed, send, tell, words } from "./page.js";

/** @typedef {{line: number, column: number, length: number, message: string, wanted: string, remedy: string}} Wrong */

/** @param {HTMLElement} main */
export function start(main) {
  const form = /** @type {HTMLFormElement} */ (main.querySelector("#file"));
  const text = /** @type {HTMLTextAreaElement} */ (main.querySelector("#text"));
  const under = /** @type {HTMLElement} */ (main.querySelector(".under"));
  const verdict = /** @type {HTMLElement} */ (main.querySelector("#verdict"));
  let mark = form.dataset.mark ?? "";
  let resting = 0;

  text.addEventListener("scroll", () => under.scrollTo(text.scrollLeft, text.scrollTop));
  text.addEventListener("input", () => {
    clearTimeout(resting);
    resting = window.setTimeout(() => void judge(), 400);
  });
  main.querySelector("#check")?.addEventListener("click", () => void judge());
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    void save();
  });
  verdict.addEventListener("click", jump);
  const listed = [...verdict.querySelectorAll("li[data-line]")].map((item) => {
    const data = /** @type {HTMLElement} */ (item).dataset;
    return { line: Number(data.line), column: Number(data.column), length: Number(data.length), message: "", wanted: "", remedy: "" };
  });
  underline(listed);
  if (/^#line-\d+$/.test(location.hash)) line(Number(location.hash.slice(6)));

  /** Marks the words.
   * @param {Wrong[]} wrong */
  function underline(wrong) {
    under.replaceChildren();
    const lines = text.value.split("\n");
    lines.forEach((content, i) => {
      const here = wrong.filter((one) => one.line === i + 1).sort((a, b) => a.column - b.column);
      const letters = [...content];
      let at = 0;
      for (const one of here) {
        if (one.column - 1 < at) continue;
        under.append(letters.slice(at, one.column - 1).join(""));
        const words = document.createElement("mark");
        at = one.column - 1 + one.length;
        words.textContent = letters.slice(one.column - 1, at).join("") || " ";
        under.append(words);
      }
      under.append(`${letters.slice(at).join("")}\n`);
    });
    under.scrollTo(text.scrollLeft, text.scrollTop);
  }

  async function judge() {
    const { ok, value } = await send("/file", { mark, text: text.value, dry: true });
    answer(ok, value);
  }

  async function save() {
    const { ok, value } = await send("/file", { mark, text: text.value });
    answer(ok, value);
    if (ok) {
      mark = value.mark;
      document.body.dataset.mark = mark;
      tell(`Saved. ${followed(value)}`);
      const undo = /** @type {HTMLButtonElement | null} */ (document.getElementById("undo"));
      if (undo) undo.disabled = false;
    } else {
      tell(`Not saved. ${words(value)}`);
    }
  }

  /** @param {boolean} ok
   * @param {any} value */
  function answer(ok, value) {
    verdict.replaceChildren();
    if (ok) {
      underline([]);
      verdict.append(paragraph(value.lines.length ? followed(value) : "No errors, and nothing is another than in the file."));
      verdict.append(difference(value.lines));
    } else if (value.why === "wrong") {
      underline(value.errors);
      const list = document.createElement("ol");
      list.className = "errors";
      for (const one of /** @type {Wrong[]} */ (value.errors)) {
        const item = document.createElement("li");
        const link = document.createElement("a");
        link.href = `#line-${one.line}`;
        link.textContent = `line ${one.line}, character ${one.column}`;
        item.append(link, `: ${one.message}. ${one.wanted}. ${one.remedy}`);
        list.append(item);
      }
      verdict.append(paragraph("It is not saved while this is wrong:"), list);
    } else if (value.why === "changed") {
      verdict.append(paragraph("Another program has changed the file since you began. Yours is not saved."));
      verdict.append(
        button("Take the file as it is now", () => {
          text.value = value.text;
          mark = value.mark;
          void judge();
        }),
        button("Go on with mine: the next Save writes it over the other", () => {
          mark = value.mark;
          void judge();
        }),
      );
    } else {
      verdict.append(paragraph(words(value)));
    }
  }

  /** @param {Event} event */
  function jump(event) {
    const link = event.target instanceof Element ? event.target.closest("a") : null;
    const number = link?.hash.match(/^#line-(\d+)$/)?.[1];
    if (!number) return;
    event.preventDefault();
    line(Number(number));
  }

  /** Sets the pen to a line.
   * @param {number} number from 1 */
  function line(number) {
    const lines = text.value.split("\n");
    const start = lines.slice(0, number - 1).join("\n").length + (number > 1 ? 1 : 0);
    text.focus();
    text.setSelectionRange(start, start + (lines[number - 1]?.length ?? 0));
    text.scrollTop = Math.max(0, (number - 6) * 1.5 * parseFloat(getComputedStyle(text).fontSize));
  }
}

/** @param {string} text */
function paragraph(text) {
  const line = document.createElement("p");
  line.textContent = text;
  return line;
}

/** @param {string} text
 * @param {() => void} run */
function button(text, run) {
  const one = document.createElement("button");
  one.type = "button";
  one.textContent = text;
  one.addEventListener("click", run);
  return one;
}

/** @param {[string, number, string][]} lines */
export function difference(lines) {
  const list = document.createElement("ul");
  list.className = "diff";
  for (const [sign, number, line] of lines) {
    const item = document.createElement("li");
    item.className = sign === "+" ? "added" : "gone";
    item.textContent = `${sign} ${number} ${line}`;
    list.append(item);
  }
  return list;
}
