// Files of what the sheet shows: scenes, pictures and films, as the browser's downloads.

import { Painter } from "./painter.js";

/** @typedef {import("./painter.js").Styles} Styles */
/** @typedef {{kind: string, name: string, size: [number, number], dark: boolean, texts: string[],
 *   svg: string, rate: number, at: number, of: number}} Drawn */

const CODECS = [
  ["avc", "avc1.640028"],
  ["avc", "avc1.42e01f"],
  ["vp9", "vp09.00.31.08"],
  ["av1", "av01.0.05M.08"],
];
const FILM = { width: 1280, height: 720 }, BITS = 6_000_000;
/** Of a film: pixels, and bits a second. */
const MOST_WAITING = 4;
/** Frames that wait to be coded. */

/** How this browser codes films: a codec's name in an MP4, and in WebCodecs.
 * @returns {Promise<string[] | undefined>} */
export async function coding() {
  if (typeof VideoEncoder !== "function") return undefined;
  for (const known of CODECS) {
    const how = { codec: /** @type {string} */ (known[1]), bitrate: BITS, ...FILM };
    if ((await VideoEncoder.isConfigSupported(how)).supported) return known;
  }
  return undefined;
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
  /** @param {Styles} styles @param {() => Promise<any>} muxers Brings what puts films into files.
   * @param {(names: string[], why: string) => void} tell */
  constructor(styles, muxers, tell) {
    this.styles = styles;
    this.muxers = muxers;
    this.tell = tell;
    /** @type {Film | undefined} */
    this.film = undefined;
    this.done = Promise.resolve();
  }

  /** Take a drawing, after those before it.
   * @param {Drawn} drawn @param {Float32Array} numbers @param {{width: number, height: number}} shown */
  take(drawn, numbers, shown) {
    const part = () => (drawn.kind === "picture" ? this.picture(drawn, numbers, shown) : this.frame(drawn, numbers));
    this.done = this.done.then(part).catch((error) => {
      this.film = undefined;
      this.tell([], String(error));
    });
  }

  /** @param {Drawn} drawn @param {{width: number, height: number}} shown @returns {Painter} */
  painter(drawn, { width, height }) {
    const painter = new Painter(document.createElement("canvas"), this.styles);
    painter.canvas.width = width;
    painter.canvas.height = height;
    painter.paper = drawn.dark ? "dark" : "white";
    painter.height = drawn.size[1];
    return painter;
  }

  /** @param {Drawn} drawn @param {Float32Array} numbers @param {{width: number, height: number}} shown */
  async picture(drawn, numbers, shown) {
    const painter = this.painter(drawn, shown);
    painter.texts = drawn.texts;
    painter.over = numbers;
    painter.paint();
    /** @type {Blob | null} */
    const png = await new Promise((resolve) => painter.canvas.toBlob(resolve, "image/png"));
    if (!png) throw new Error("canvas.toBlob");
    save(`${drawn.name}.png`, png);
    save(`${drawn.name}.svg`, new Blob([drawn.svg], { type: "image/svg+xml" }));
    this.tell([`${drawn.name}.png`, `${drawn.name}.svg`], "");
  }

  /** @param {Drawn} drawn @param {Float32Array} numbers */
  async frame(drawn, numbers) {
    if (drawn.at === 1) {
      const [name, codec] = /** @type {[string, string]} */ (await coding());
      this.film = new Film(await this.muxers(), this.painter(drawn, FILM), name, codec, drawn.rate);
    }
    // After something went wrong the rest of a film still comes.
    const { film } = this;
    if (!film) return;
    await film.add(drawn, numbers);
    if (drawn.at < drawn.of) return;
    this.film = undefined;
    save(`${drawn.name}.mp4`, new Blob([await film.end()], { type: "video/mp4" }));
    this.tell([`${drawn.name}.mp4`], "");
  }
}

class Film {
  /** @param {any} muxers @param {Painter} painter @param {string} name @param {string} codec
   * @param {number} rate */
  constructor({ Muxer, ArrayBufferTarget }, painter, name, codec, rate) {
    this.painter = painter;
    this.rate = rate;
    const muxer = new Muxer({
      target: new ArrayBufferTarget(),
      video: { codec: name, frameRate: rate, ...FILM },
      fastStart: "in-memory",
    });
    /** @type {unknown} */
    this.wrong = undefined;
    this.muxer = muxer;
    this.encoder = new VideoEncoder({
      output: (chunk, meta) => muxer.addVideoChunk(chunk, meta),
      error: (reason) => (this.wrong = reason),
    });
    this.encoder.configure({ codec, bitrate: BITS, framerate: rate, ...FILM });
  }

  /** @param {Drawn} drawn @param {Float32Array} numbers */
  async add(drawn, numbers) {
    const { encoder, painter, rate } = this;
    while (encoder.encodeQueueSize > MOST_WAITING) await new Promise((resolve) => setTimeout(resolve, 5));
    if (this.wrong) throw this.wrong;
    painter.texts.push(...drawn.texts);
    painter.over = numbers;
    painter.paint();
    const before = drawn.at - 1, duration = 1e6 / rate;
    const frame = new VideoFrame(painter.canvas, { timestamp: before * duration, duration });
    encoder.encode(frame, { keyFrame: before % (2 * rate) === 0 });
    frame.close();
  }

  /** @returns {Promise<ArrayBuffer>} */
  async end() {
    await this.encoder.flush();
    this.encoder.close();
    if (this.wrong) throw this.wrong;
    this.muxer.finalize();
    return this.muxer.target.buffer;
  }
}
