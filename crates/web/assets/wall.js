// @ts-check
/** The wall alive: what lies over its pixels, which pixel is meant. */

import { startFeeds } from "./feeds.js";
import { ramp, shades } from "./paint.js";
import { View } from "./view.js";

/** @param {HTMLElement} main
 * @param {any} box what was looked at before */
export function start(main, box) {
  const figure = /** @type {HTMLElement} */ (main.querySelector(".drawing"));
  const view = new View(figure);
  /** @type {any} */ (view.stage).view = view;
  if (box) view.box = box;
  point(view);
  const overlay = figure.dataset.drawing;
  const colours = figure.dataset.ramp ? scaleOf(figure) : null;
  if (colours) {
    const unit = overlay === "volts" ? 1000 : 10;
    const scale = { shades: colours.shades, low: colours.low * unit, high: colours.high * unit };
    /** @param {Uint16Array} values */
    const show = (values) => {
      shades(values, scale, view.picture.data);
      view.paint();
    };
    void values(`/values?of=${overlay}`).then((all) => all && show(all));
    if (overlay === "volts") startFeeds(view, show);
  } else if (overlay === "path") {
    startFeeds(view, () => {});
  }
  if (overlay === "picture") void import("./live.js").then((live) => live.start(view));
  if (overlay === "seen") void import("./seen.js").then((seen) => seen.start(view));
  view.draw();
}

/** @param {HTMLElement} figure */
function scaleOf(figure) {
  const [low = 0, high = 1] = (figure.dataset.limits ?? "").split(" ").map(Number);
  return { low, high, shades: ramp(figure.dataset.ramp ?? "") };
}

/** Sixteen bits for each pixel of the picture, the low byte first.
 * @param {string} from
 * @returns {Promise<Uint16Array | null>} */
async function values(from) {
  const answer = await fetch(from);
  return answer.ok ? sixteen(await answer.arrayBuffer()) : null;
}

/** @param {ArrayBuffer} buffer */
export function sixteen(buffer) {
  const bytes = new DataView(buffer);
  return Uint16Array.from({ length: buffer.byteLength >> 1 }, (_, i) => bytes.getUint16(2 * i, true));
}

/** Names the pixel that is pointed at.
 * @param {View} view */
function point(view) {
  const line = view.figure.querySelector(".pixel");
  const cursor = view.svg.querySelector(".cursor");
  /** @type {{column: number, row: number} | null} */
  let at = null;
  let asked = 0;
  /** @param {{column: number, row: number} | null} pixel */
  const name = (pixel) => {
    if (!pixel || (pixel.column === at?.column && pixel.row === at?.row)) return;
    const cell = view.cell(pixel);
    if (!cell || !cursor || !line) return;
    at = pixel;
    for (const [key, value] of Object.entries({ x: cell.x, y: cell.y, width: cell.w, height: cell.h })) {
      cursor.setAttribute(key, String(value));
    }
    cursor.setAttribute("visibility", "visible");
    const mine = ++asked;
    void fetch(`/pixel?column=${pixel.column}&row=${pixel.row}`).then(async (answer) => {
      if (answer.ok && mine === asked) line.textContent = (await answer.json()).line;
    }).catch(() => {});
  };
  let resting = 0;
  view.stage.addEventListener("pointermove", (event) => {
    if (event.buttons) return;
    clearTimeout(resting);
    resting = window.setTimeout(() => name(view.pixel(view.place(event))), 30);
  });
  view.stage.addEventListener("pointerup", (event) => name(view.pixel(view.place(event))));
  view.stage.addEventListener("keydown", (event) => {
    if (event.target !== view.stage) return;
    const steps = /** @type {Record<string, [number, number]>} */ ({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] });
    const step = steps[event.key];
    if (step && event.shiftKey) {
      view.move(step[0] * view.box.w * 0.1, step[1] * view.box.h * 0.1);
    } else if (step) {
      const first = view.panels[0]?.at ?? { column: 0, row: 0 };
      const right = view.back ? -step[0] : step[0];
      name(at ? { column: at.column + right, row: at.row + step[1] } : first);
    } else if (event.key === "+" || event.key === "=") {
      view.zoom(0.8, view.middle());
    } else if (event.key === "-") {
      view.zoom(1.25, view.middle());
    } else if (event.key === "0") {
      view.all();
    } else {
      return;
    }
    event.preventDefault();
  });
}
