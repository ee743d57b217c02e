// @ts-check
/** Feeds that are dragged along the edge, with the volts drawn anew as they go. */

import { followed, refresh, send, tell, words } from "./page.js";
import { sixteen } from "./wall.js";

/** @typedef {{strip: number, edge: "near" | "far"}} End */

/** Places of strip ends.
 * @param {string | undefined} text
 * @returns {{x: number, y: number}[]} */
function places(text) {
  return (text ?? "").trim().split(" ").map((pair) => {
    const [x = 0, y = 0] = pair.split(",").map(Number);
    return { x, y };
  });
}

/** @param {import("./view.js").View} view
 * @param {(values: Uint16Array) => void} show */
export function startFeeds(view, show) {
  for (const feed of view.svg.querySelectorAll(".feed")) one(view, /** @type {SVGGElement} */ (feed), show);
}

/** @param {import("./view.js").View} view
 * @param {SVGGElement} feed
 * @param {(values: Uint16Array) => void} show */
function one(view, feed, show) {
  const panel = Number(feed.dataset.panel);
  const group = /** @type {SVGElement} */ (feed.closest(".panel"));
  const [near, far] = [places(group.dataset.near), places(group.dataset.far)];
  /** @type {End} */
  const from = { strip: Number(feed.dataset.strip), edge: feed.dataset.edge === "far" ? "far" : "near" };
  let to = from;
  let running = false;
  let again = false;

  /** Asks for the volts there; of several wishes only the last is answered. */
  async function volts() {
    if (running) {
      again = true;
      return;
    }
    running = true;
    do {
      again = false;
      const asked = performance.now();
      try {
        const answer = await fetch("/try", {
          method: "POST",
          headers: { "Content-Type": "application/json" },
          body: JSON.stringify(to === from ? [] : [{ what: "move-feed", panel, from, to }]),
        });
        if (answer.ok) {
          show(sixteen(await answer.arrayBuffer()));
          performance.measure("feed", { start: asked, end: performance.now() });
        } else {
          tell(words(await answer.json()));
        }
      } catch {
        tell("The program does not answer.");
      }
    } while (again);
    running = false;
  }

  /** @param {End} end */
  function put(end) {
    if (end.strip === to.strip && end.edge === to.edge) return;
    const [here, there] = end.edge === "near" ? [near, far] : [far, near];
    const [a, b] = [here[end.strip - 1], there[end.strip - 1]];
    if (!a || !b) return;
    to = end.strip === from.strip && end.edge === from.edge ? from : end;
    const angle = (Math.atan2(a.y - b.y, a.x - b.x) * 180) / Math.PI;
    feed.setAttribute("transform", `translate(${a.x} ${a.y})rotate(${angle})`);
    feed.setAttribute("aria-valuenow", String(end.strip));
    feed.setAttribute("aria-label", `Feed at the ${end.edge} edge, strip`);
    tell(`Feed at strip ${end.strip}, ${end.edge} edge`);
    void volts();
  }

  async function keep() {
    if (to === from) return;
    // Once: drawing anew takes the focus away, which would keep it again.
    const place = to;
    to = from;
    const { ok, value } = await send("/change", { changes: [{ what: "move-feed", panel, from, to: place }] });
    await refresh();
    tell(ok ? `Feed moved from strip ${from.strip} to ${place.strip}: ${followed(value)}` : words(value));
    const same = document.querySelector(`.feed[data-panel="${panel}"][data-strip="${place.strip}"][data-edge="${place.edge}"]`);
    if (same instanceof SVGElement) same.focus({ preventScroll: true });
  }

  feed.addEventListener("pointerdown", (event) => {
    event.preventDefault();
    event.stopPropagation();
    feed.setPointerCapture(event.pointerId);
    feed.classList.add("held");
    feed.focus({ preventScroll: true });
  });
  feed.addEventListener("pointermove", (event) => {
    if (!feed.classList.contains("held")) return;
    const at = view.place(event);
    /** @type {End} */
    let best = to;
    let least = Infinity;
    for (const [edge, ends] of /** @type {const} */ ([["near", near], ["far", far]])) {
      ends.forEach((end, i) => {
        const distance = Math.hypot(end.x - at.x, end.y - at.y);
        if (distance < least) {
          least = distance;
          best = { strip: i + 1, edge };
        }
      });
    }
    put(best);
  });
  feed.addEventListener("pointerup", () => {
    if (!feed.classList.contains("held")) return;
    feed.classList.remove("held");
    void keep();
  });
  feed.addEventListener("pointercancel", () => {
    feed.classList.remove("held");
    put(from);
  });
  feed.addEventListener("keydown", (event) => {
    const step = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[event.key];
    if (step) {
      put({ strip: Math.max(1, Math.min(near.length, to.strip + step)), edge: to.edge });
    } else if (event.key === "Home" || event.key === "End") {
      put({ strip: event.key === "Home" ? 1 : near.length, edge: to.edge });
    } else if (event.key === " ") {
      put({ strip: to.strip, edge: to.edge === "near" ? "far" : "near" });
    } else if (event.key === "Enter") {
      void keep();
    } else if (event.key === "Escape") {
      put(from);
    } else {
      return;
    }
    event.preventDefault();
    event.stopPropagation();
  });
  feed.addEventListener("blur", () => {
    if (!feed.classList.contains("held")) void keep();
  });
}
