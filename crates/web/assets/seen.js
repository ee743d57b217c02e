// @ts-check
/** A picture as it will look on the wall: what the panels show, or one that is tried. */

import { open } from "./live.js";
import { cells } from "./paint.js";

/** Width of an eye's blur at half its height: one minute of arc, as the plan has it for merging cells. */
const MINUTE = Math.PI / 180 / 60;

/** @param {import("./view.js").View} view */
export function start(view) {
  const columns = Number(view.figure.dataset.columns);
  const rows = Number(view.figure.dataset.rows);
  // Without cells each pixel is even.
  const profile = Float32Array.from((view.figure.dataset.cell ?? "1").split(" ").map(Number));
  let tried = false;
  /** @param {Uint8Array | Uint8ClampedArray} frame */
  const show = (frame) => {
    cells(frame, columns, profile, view.picture.data);
    view.paint();
  };
  show(sample(columns, rows));
  open(view, (frame) => {
    if (!tried && !document.hidden) show(frame);
  });

  const slider = /** @type {HTMLInputElement | null} */ (document.getElementById("distance"));
  const far = () => {
    const metres = 0.3 * 10 ** (Number(slider?.value ?? 56) / 50);
    const output = document.getElementById("far");
    if (output) output.textContent = `${metres.toFixed(1)} m`;
    // 2.355: a bell's width at half its height over its standard deviation.
    view.blur = (metres * 1000 * MINUTE) / 2.355;
    view.draw();
  };
  slider?.addEventListener("input", far);
  far();

  document.getElementById("white")?.addEventListener("click", () => {
    tried = true;
    show(new Uint8Array(3 * columns * rows).fill(255));
  });
  const file = /** @type {HTMLInputElement | null} */ (document.getElementById("try"));
  file?.addEventListener("change", async () => {
    const chosen = file.files?.[0];
    if (!chosen) return;
    try {
      const bitmap = await createImageBitmap(chosen);
      show(laid(bitmap, columns, rows));
      tried = true;
    } catch {
      file.setCustomValidity("This is no picture that the browser can read.");
      file.reportValidity();
      file.setCustomValidity("");
    }
  });
}

/** A picture over the whole wall; what does not fit is cut off.
 * @param {ImageBitmap} bitmap
 * @param {number} columns
 * @param {number} rows */
function laid(bitmap, columns, rows) {
  const context = /** @type {OffscreenCanvasRenderingContext2D} */ (new OffscreenCanvas(columns, rows).getContext("2d"));
  const scale = Math.max(columns / bitmap.width, rows / bitmap.height);
  const [w, h] = [bitmap.width * scale, bitmap.height * scale];
  context.imageSmoothingQuality = "high";
  context.drawImage(bitmap, (columns - w) / 2, (rows - h) / 2, w, h);
  const { data } = context.getImageData(0, 0, columns, rows);
  return Uint8Array.from({ length: 3 * columns * rows }, (_, i) => data[Math.floor(i / 3) * 4 + (i % 3)] ?? 0);
}

/** A low sun over water, until something else is shown.
 * @param {number} columns
 * @param {number} rows */
function sample(columns, rows) {
  const frame = new Uint8Array(3 * columns * rows);
  for (let i = 0; i < columns * rows; i++) {
    const x = (i % columns) / columns - 0.6;
    const y = Math.floor(i / columns) / rows - 0.45;
    const sun = Math.exp(-(x * x * (columns / rows) ** 2 + y * y) * 14);
    const water = y > 0.1 ? 0.35 : 1;
    frame.set([255 * (0.12 + 0.88 * sun) * water, 255 * (0.14 + 0.6 * sun) * water, 255 * (0.3 + 0.2 * sun) * water], 3 * i);
  }
  return frame;
}
