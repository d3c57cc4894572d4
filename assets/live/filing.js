// Files of what the sheet shows: scenes, pictures and films, as the browser's downloads.

import { Painter } from "./painter.js";

/** @typedef {import("./painter.js").Styles} Styles */
/** @typedef {{kind: string, name: string, size: [number, number], dark: boolean, texts: string[],
 *   svg: string, rate: number, at: number, of: number}} Drawn */

const FILMS = [
  ["mp4", "video/mp4;codecs=avc1.640020"],
  ["mp4", "video/mp4;codecs=avc1.42E020"],
  ["webm", "video/webm;codecs=vp9"],
  ["webm", "video/webm"],
];
const ACROSS = 1280, DOWN = 720, BITS = 6_000_000;
/** Of a film: pixels, and bits a second. */
const LAST = 200;
/** ms for which a film's last frame stays. */

/** @param {number} ms @returns {Promise<void>} */
function passing(ms) {
  return new Promise((resolve) => setTimeout(resolve, ms));
}

/** How this browser records films: the ending of their files, and what is in them. @returns {string[] | undefined} */
export function recording() {
  if (typeof MediaRecorder !== "function" || !document.createElement("canvas").captureStream) return undefined;
  return FILMS.find(([, kind]) => MediaRecorder.isTypeSupported(kind ?? ""));
}

/** @param {string} name @param {Blob} content */
export function save(name, content) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(content);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}

export class Filing {
  /** @param {Styles} styles @param {(share: number, names: string[], why: string) => void} tell */
  constructor(styles, tell) {
    this.styles = styles;
    this.tell = tell;
    /** @type {string[]} Of the film that is drawn. */
    this.texts = [];
    /** @type {Float32Array[]} */
    this.frames = [];
  }

  forget() {
    this.texts = [];
    this.frames = [];
  }

  /** Take a drawing; of a film with the last one all is recorded.
   * @param {Drawn} drawn @param {Float32Array} numbers @param {{width: number, height: number}} shown */
  async take(drawn, numbers, shown) {
    try {
      if (drawn.kind === "picture") await this.picture(drawn, numbers, shown);
      else await this.film(drawn, numbers);
    } catch (error) {
      this.tell(0, [], String(error));
    }
  }

  /** @param {Drawn} drawn @param {number} width @param {number} height @returns {Painter} */
  painter(drawn, width, height) {
    const painter = new Painter(document.createElement("canvas"), this.styles);
    painter.canvas.width = width;
    painter.canvas.height = height;
    painter.paper = drawn.dark ? "dark" : "white";
    painter.height = drawn.size[1];
    return painter;
  }

  /** @param {Drawn} drawn @param {Float32Array} numbers @param {{width: number, height: number}} shown */
  async picture(drawn, numbers, { width, height }) {
    const painter = this.painter(drawn, width, height);
    painter.texts = drawn.texts;
    painter.over = numbers;
    painter.paint();
    /** @type {Blob | null} */
    const png = await new Promise((resolve) => painter.canvas.toBlob(resolve, "image/png"));
    if (!png) throw new Error("canvas.toBlob");
    save(`${drawn.name}.png`, png);
    save(`${drawn.name}.svg`, new Blob([drawn.svg], { type: "image/svg+xml" }));
    this.tell(1, [`${drawn.name}.png`, `${drawn.name}.svg`], "");
  }

  /** @param {Drawn} drawn @param {Float32Array} numbers */
  async film(drawn, numbers) {
    if (drawn.at === 1) this.forget();
    this.texts.push(...drawn.texts);
    this.frames.push(numbers);
    if (drawn.at < drawn.of) return;
    const [ending, kind] = /** @type {[string, string]} */ (recording());
    const painter = this.painter(drawn, ACROSS, DOWN);
    painter.texts = this.texts;
    const stream = painter.canvas.captureStream(0);
    const track = /** @type {CanvasCaptureMediaStreamTrack} */ (stream.getVideoTracks()[0]);
    const recorder = new MediaRecorder(stream, { mimeType: kind, videoBitsPerSecond: BITS });
    /** @type {Blob[]} */
    const pieces = [];
    recorder.ondataavailable = ({ data }) => pieces.push(data);
    const over = new Promise((resolve, reject) => {
      recorder.onstop = resolve;
      recorder.onerror = reject;
    });
    recorder.start();
    let begun = performance.now();
    for (const [i, frame] of this.frames.entries()) {
      const early = begun + (1000 * i) / drawn.rate - performance.now();
      if (early > 0) await passing(early);
      // A page that is hidden is not drawn: its film waits.
      if (document.hidden) {
        recorder.pause();
        while (document.hidden) await passing(200);
        recorder.resume();
        begun = performance.now() - (1000 * i) / drawn.rate;
      }
      painter.over = frame;
      painter.paint();
      track.requestFrame();
      if (i % drawn.rate === 0) this.tell(i / this.frames.length, [], "");
    }
    await passing(LAST);
    recorder.stop();
    await over;
    this.forget();
    const name = `${drawn.name}.${ending}`;
    save(name, new Blob(pieces, { type: kind }));
    this.tell(1, [name], "");
  }
}
