// @ts-check
/** A drawing that can be moved and brought nearer: the box of its SVG, and the canvas below it. */

/** @typedef {{x: number, y: number, w: number, h: number}} Box */
/** @typedef {{number: number, rect: Box, at: {column: number, row: number, columns: number, rows: number}}} Panel */

/** Numbers of a text.
 * @param {string | undefined} text
 * @returns {[number, number, number, number]} */
export function four(text) {
  const [a = 0, b = 0, c = 0, d = 0] = (text ?? "").split(" ").map(Number);
  return [a, b, c, d];
}

export class View {
  /** @param {HTMLElement} figure */
  constructor(figure) {
    this.figure = figure;
    this.stage = /** @type {HTMLElement} */ (figure.querySelector(".stage"));
    this.svg = /** @type {SVGSVGElement} */ (figure.querySelector(".stage > svg"));
    this.canvas = /** @type {HTMLCanvasElement} */ (figure.querySelector("canvas"));
    const [x, y, w, h] = four(figure.dataset.box);
    /** @type {Box} */
    this.whole = { x, y, w, h };
    /** Where the drawing begins, and where 0 leads back to; once more shows all.
     * @type {Box} */
    this.start = this.whole;
    if (figure.dataset.near) {
      const [nx, ny, nw, nh] = four(figure.dataset.near);
      this.start = { x: nx, y: ny, w: nw, h: nh };
    }
    /** @type {Box} */
    this.box = { ...this.start };
    this.back = figure.dataset.back !== undefined;
    /** @type {Panel[]} */
    this.panels = [...figure.querySelectorAll(".panel")].map((element) => {
      const data = /** @type {SVGElement} */ (element).dataset;
      const [px, py, pw, ph] = four(data.rect);
      const [column, row, columns, rows] = four(data.at);
      return { number: Number(data.panel), rect: { x: px, y: py, w: pw, h: ph }, at: { column, row, columns, rows } };
    });
    const columns = Number(figure.dataset.columns);
    const rows = Number(figure.dataset.rows);
    /** How many places of the picture a pixel has, across and down. */
    this.detail = figure.dataset.cell ? Math.round(Math.sqrt(figure.dataset.cell.split(" ").length)) : 1;
    /** Blur of an eye, millimetres at the wall. */
    this.blur = 0;
    this.picture = new ImageData(Math.max(columns * this.detail, 1), Math.max(rows * this.detail, 1));
    this.source = new OffscreenCanvas(this.picture.width, this.picture.height);
    this.painted = false;
    this.waiting = false;
    new ResizeObserver(() => this.draw()).observe(this.stage);
    this.listen();
  }

  /** Millimetres to a pixel of the screen. */
  scale() {
    const { clientWidth: w, clientHeight: h } = this.stage;
    return Math.max(this.box.w / Math.max(w, 1), this.box.h / Math.max(h, 1));
  }

  /** The place in millimetres below a place of the screen.
   * @param {{clientX: number, clientY: number}} event */
  place(event) {
    const bounds = this.stage.getBoundingClientRect();
    const u = this.scale();
    const left = this.box.x + (this.box.w - bounds.width * u) / 2;
    const top = this.box.y + (this.box.h - bounds.height * u) / 2;
    return { x: left + (event.clientX - bounds.left) * u, y: top + (event.clientY - bounds.top) * u };
  }

  /** The pixel of the picture there.
   * @param {{x: number, y: number}} at
   * @returns {{column: number, row: number} | null} */
  pixel(at) {
    for (const { rect, at: hung } of this.panels) {
      const across = (at.x - rect.x) / rect.w;
      const down = (at.y - rect.y) / rect.h;
      if (across >= 0 && across < 1 && down >= 0 && down < 1) {
        const share = this.back ? 1 - across : across;
        const column = Math.min(hung.columns - 1, Math.floor(share * hung.columns));
        return { column: hung.column + column, row: hung.row + Math.floor(down * hung.rows) };
      }
    }
    return null;
  }

  /** The place of a pixel, millimetres.
   * @param {{column: number, row: number}} pixel
   * @returns {Box | null} */
  cell(pixel) {
    for (const { rect, at } of this.panels) {
      const column = pixel.column - at.column;
      const row = pixel.row - at.row;
      if (column >= 0 && column < at.columns && row >= 0 && row < at.rows) {
        const w = rect.w / at.columns;
        const h = rect.h / at.rows;
        const across = this.back ? at.columns - 1 - column : column;
        return { x: rect.x + across * w, y: rect.y + row * h, w, h };
      }
    }
    return null;
  }

  /** Shows what was put into `picture`. */
  paint() {
    const context = this.source.getContext("2d");
    context?.putImageData(this.picture, 0, 0);
    this.painted = true;
    this.draw();
  }

  /** Draws before the next picture of the screen. */
  draw() {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => {
      this.waiting = false;
      this.now();
    });
  }

  now() {
    const { x, y, w, h } = this.box;
    const u = this.scale();
    this.svg.setAttribute("viewBox", `${x} ${y} ${w} ${h}`);
    this.svg.style.setProperty("--u", String(u));
    // A person of whom only an arm is seen is no measure.
    const { x: px, w: pw } = this.whole;
    this.figure.classList.toggle("close", x + w < px + pw * 0.97);
    const dots = window.devicePixelRatio || 1;
    const width = Math.round(this.stage.clientWidth * dots);
    const height = Math.round(this.stage.clientHeight * dots);
    if (this.canvas.width !== width || this.canvas.height !== height) {
      this.canvas.width = width;
      this.canvas.height = height;
    }
    const context = this.canvas.getContext("2d");
    if (!context) return;
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.clearRect(0, 0, width, height);
    if (!this.painted) return;
    this.canvas.style.filter = this.blur / u > 0.2 ? `blur(${this.blur / u}px)` : "none";
    const k = dots / u;
    const d = this.detail;
    const left = x + (w - this.stage.clientWidth * u) / 2;
    const top = y + (h - this.stage.clientHeight * u) / 2;
    // Pixels have edges; what lies within a cell has none.
    context.imageSmoothingEnabled = d > 1;
    for (const { rect, at } of this.panels) {
      const mirror = this.back ? -1 : 1;
      const from = this.back ? rect.x + rect.w : rect.x;
      context.setTransform(k * mirror, 0, 0, k, (from - left) * k, (rect.y - top) * k);
      context.drawImage(this.source, at.column * d, at.row * d, at.columns * d, at.rows * d, 0, 0, rect.w, rect.h);
    }
  }

  /** Brings nearer about a place; a factor below 1 does.
   * @param {number} factor
   * @param {{x: number, y: number}} about */
  zoom(factor, about) {
    const w = Math.min(this.whole.w * 1.5, Math.max(this.whole.w / 200, this.box.w * factor));
    const real = w / this.box.w;
    this.box = {
      x: about.x - (about.x - this.box.x) * real,
      y: about.y - (about.y - this.box.y) * real,
      w,
      h: this.box.h * real,
    };
    this.draw();
  }

  /** Moves by parts of what is seen.
   * @param {number} right
   * @param {number} down */
  move(right, down) {
    this.box.x += right;
    this.box.y += down;
    this.draw();
  }

  /** Shows all of it. */
  all() {
    const { x, y, w } = this.box;
    const began = x === this.start.x && y === this.start.y && w === this.start.w;
    this.box = { ...(began ? this.whole : this.start) };
    this.draw();
  }

  middle() {
    return { x: this.box.x + this.box.w / 2, y: this.box.y + this.box.h / 2 };
  }

  listen() {
    /** @type {Map<number, {clientX: number, clientY: number}>} */
    const fingers = new Map();
    let moved = 0;
    this.stage.addEventListener("wheel", (event) => {
      event.preventDefault();
      this.zoom(Math.exp(Math.max(-60, Math.min(60, event.deltaY)) / 240), this.place(event));
    }, { passive: false });
    this.stage.addEventListener("pointerdown", (event) => {
      if (event.target instanceof Element && event.target.closest(".feed")) return;
      fingers.set(event.pointerId, event);
      moved = 0;
    });
    window.addEventListener("pointermove", (event) => {
      const before = fingers.get(event.pointerId);
      if (!before || !this.stage.isConnected) return;
      const others = [...fingers].filter(([id]) => id !== event.pointerId).map(([, at]) => at);
      const u = this.scale();
      const [dx, dy] = [event.clientX - before.clientX, event.clientY - before.clientY];
      moved += Math.abs(dx) + Math.abs(dy);
      const other = others[0];
      if (other) {
        const distance = (/** @type {{clientX: number, clientY: number}} */ at) =>
          Math.max(8, Math.hypot(at.clientX - other.clientX, at.clientY - other.clientY));
        this.zoom(distance(before) / distance(event), this.place(other));
      } else if (moved > 4) {
        this.move(-dx * u, -dy * u);
      }
      fingers.set(event.pointerId, event);
    });
    for (const end of ["pointerup", "pointercancel"]) {
      window.addEventListener(end, (event) => fingers.delete(/** @type {PointerEvent} */ (event).pointerId));
    }
    // Who has moved the drawing did not mean the panel below.
    this.stage.addEventListener("click", (event) => {
      if (moved > 6) event.preventDefault();
      moved = 0;
    }, true);
    this.stage.addEventListener("dragstart", (event) => event.preventDefault());
  }
}
