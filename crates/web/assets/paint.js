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

/** sRGB to linear light (IEC 61966-2-1), for each byte. */
export const LINEAR = Float32Array.from({ length: 256 }, (_, i) => {
  const v = i / 255;
  return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
});

/** Linear light in 4096 steps to sRGB bytes. */
export const CODED = Uint8ClampedArray.from({ length: 4097 }, (_, i) => {
  const v = i / 4096;
  return Math.round(255 * (v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055));
});

/** A picture whose pixels are cells of light: each is as bright over its cell as the profile says.
 * @param {Uint8Array | Uint8ClampedArray} frame three bytes to a pixel, row by row
 * @param {number} columns
 * @param {Float32Array} profile light over that at the centre, row by row of a cell
 * @param {Uint8ClampedArray} into four bytes to each place of each cell */
export function cells(frame, columns, profile, into) {
  const points = Math.round(Math.sqrt(profile.length));
  const wide = columns * points;
  const pixels = Math.min(frame.length / 3, into.length / (4 * profile.length));
  for (let pixel = 0; pixel < pixels; pixel++) {
    const red = (LINEAR[frame[3 * pixel] ?? 0] ?? 0) * 4096;
    const green = (LINEAR[frame[3 * pixel + 1] ?? 0] ?? 0) * 4096;
    const blue = (LINEAR[frame[3 * pixel + 2] ?? 0] ?? 0) * 4096;
    const left = (pixel % columns) * points;
    const top = Math.floor(pixel / columns) * points;
    for (let i = 0; i < profile.length; i++) {
      const share = profile[i] ?? 0;
      const at = 4 * ((top + Math.floor(i / points)) * wide + left + (i % points));
      into[at] = CODED[Math.min(4096, Math.round(red * share))] ?? 0;
      into[at + 1] = CODED[Math.min(4096, Math.round(green * share))] ?? 0;
      into[at + 2] = CODED[Math.min(4096, Math.round(blue * share))] ?? 0;
      into[at + 3] = 255;
    }
  }
}
