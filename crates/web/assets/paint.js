// @ts-check
/** Numbers to colours of canvas pixels. Touches no page. */

/** Where there is no value. */
export const NONE = 0xffff;

/** Three bytes to a pixel, as the panels show them.
 * @param {Uint8Array} frame row by row
 * @param {Uint8ClampedArray} into four bytes to a pixel */
export function picture(frame, into) {
  for (let p = 0, q = 0; p + 2 < frame.length && q < into.length; p += 3, q += 4) {
    into[q] = frame[p] ?? 0;
    into[q + 1] = frame[p + 1] ?? 0;
    into[q + 2] = frame[p + 2] ?? 0;
    into[q + 3] = 255;
  }
}

/** Values in the shades of a ramp; what has none stays clear.
 * @param {Uint16Array} values
 * @param {{low: number, high: number, shades: number[][]}} ramp ends in the unit of the values
 * @param {Uint8ClampedArray} into four bytes to a pixel */
export function shades(values, ramp, into) {
  const last = ramp.shades.length - 1;
  const factor = (last + 1) / Math.max(ramp.high - ramp.low, 1e-9);
  for (let i = 0; i < values.length; i++) {
    const value = values[i] ?? NONE;
    const at = Math.floor((value - ramp.low) * factor);
    const shade = ramp.shades[Math.max(0, Math.min(last, at))] ?? [0, 0, 0];
    into[4 * i] = shade[0] ?? 0;
    into[4 * i + 1] = shade[1] ?? 0;
    into[4 * i + 2] = shade[2] ?? 0;
    into[4 * i + 3] = value === NONE ? 0 : 255;
  }
}

/** `440154 48196b` as bytes.
 * @param {string} text
 * @returns {number[][]} */
export function ramp(text) {
  return text.split(" ").map((hex) => [0, 2, 4].map((at) => Number.parseInt(hex.slice(at, at + 2), 16)));
}
