// Paints what the sheet says is drawn: numbers in mm, from the sheet's lower left corner.

/** What an item is: the first of its numbers. */
const PATH = 0, CIRCLE = 1, ARC = 2;

/** @typedef {{width: number, ink: string, dashes: number[]}} LineStyle */
/** @typedef {{size: number, bold: boolean, ink: string}} TextStyle */
/** @typedef {{lines: LineStyle[], texts: TextStyle[], descent: number, halo: number,
 *   papers: Record<string, Record<string, string>>}} Styles */

export class Painter {
  /** @param {HTMLCanvasElement} canvas @param {Styles} styles */
  constructor(canvas, styles) {
    this.canvas = canvas;
    this.styles = styles;
    this.context = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
    this.beneath = document.createElement("canvas");
    /** @type {Float32Array} */
    this.under = new Float32Array();
    /** @type {Float32Array} */
    this.over = new Float32Array();
    /** @type {string[]} */
    this.texts = [];
    this.paper = "dark";
    this.height = 1;
    this.stale = true;
  }

  /** Paint the whole sheet anew: what seldom changes from where it is kept. */
  paint() {
    const { canvas, beneath, context } = this;
    if (this.stale || beneath.width !== canvas.width || beneath.height !== canvas.height) {
      beneath.width = canvas.width;
      beneath.height = canvas.height;
      const below = /** @type {CanvasRenderingContext2D} */ (beneath.getContext("2d"));
      below.fillStyle = this.ink("paper");
      below.fillRect(0, 0, beneath.width, beneath.height);
      this.items(below, this.under);
      this.stale = false;
    }
    context.drawImage(beneath, 0, 0);
    this.items(context, this.over);
  }

  /** @param {string} role @returns {string} */
  ink(role) {
    return this.styles.papers[this.paper]?.[role] ?? "#888";
  }

  /** @param {CanvasRenderingContext2D} context @param {Float32Array} held */
  items(context, held) {
    const scale = this.canvas.height / this.height, high = this.height;
    /** @param {number} i */
    const at = (i) => held[i] ?? 0;
    context.lineJoin = "round";
    for (let i = 0; i < held.length; ) {
      const what = at(i);
      if (what === PATH) {
        const count = at(i + 4), first = i + 5;
        context.beginPath();
        let long = 0;
        for (let k = 0; k < count; k++) {
          const x = at(first + 2 * k), y = at(first + 2 * k + 1);
          if (k) {
            context.lineTo(x * scale, (high - y) * scale);
            long += Math.hypot(x - at(first + 2 * k - 2), y - at(first + 2 * k - 1));
          } else {
            context.moveTo(x * scale, (high - y) * scale);
          }
        }
        if (at(i + 3)) context.closePath();
        this.finish(context, at(i + 1), at(i + 2), long, scale);
        i = first + 2 * count;
      } else if (what === CIRCLE) {
        const radius = at(i + 5);
        context.beginPath();
        context.arc(at(i + 3) * scale, (high - at(i + 4)) * scale, radius * scale, 0, 2 * Math.PI);
        this.finish(context, at(i + 1), at(i + 2), 2 * Math.PI * radius, scale);
        i += 6;
      } else if (what === ARC) {
        const radius = at(i + 4), start = at(i + 5), sweep = at(i + 6);
        context.beginPath();
        const x = at(i + 2) * scale, y = (high - at(i + 3)) * scale;
        context.arc(x, y, radius * scale, -start, -start - sweep, sweep > 0);
        this.finish(context, at(i + 1), 0, Math.abs(sweep) * radius, scale);
        i += 7;
      } else {
        const style = /** @type {TextStyle} */ (this.styles.texts[at(i + 1)]);
        context.font = `${style.bold ? 700 : 500} ${style.size * scale}px Sheet`;
        context.fillStyle = this.ink(style.ink);
        const foot = high - at(i + 4) - this.styles.descent * style.size;
        const text = this.texts[at(i + 2)] ?? "";
        if (at(i + 5)) {
          context.strokeStyle = this.ink("paper");
          context.lineWidth = 2 * this.styles.halo * scale;
          context.setLineDash([]);
          context.strokeText(text, at(i + 3) * scale, foot * scale);
        }
        context.fillText(text, at(i + 3) * scale, foot * scale);
        i += 6;
      }
    }
  }

  /** Fill and draw the path begun. @param {CanvasRenderingContext2D} context @param {number} line
   * @param {number} fill @param {number} long How long it is, mm. @param {number} scale */
  finish(context, line, fill, long, scale) {
    if (fill) {
      context.fillStyle = this.ink(this.texts[fill - 1] ?? "");
      context.fill();
    }
    if (!line) return;
    const style = /** @type {LineStyle} */ (this.styles.lines[line - 1]);
    context.lineWidth = Math.max(1, style.width * scale);
    context.strokeStyle = this.ink(style.ink);
    context.lineCap = context.lineWidth > 2.5 && !style.dashes.length ? "round" : "butt";
    // A chain too short for two repeats is drawn unbroken, as ISO 128 allows.
    const repeat = style.dashes.reduce((sum, part) => sum + part, 0);
    context.setLineDash(long < 1.6 * repeat ? [] : style.dashes.map((part) => part * scale));
    context.stroke();
  }
}
