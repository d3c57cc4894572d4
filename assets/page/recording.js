// The engine's runs, read from the page: blended between the recorded values, straight between
// the recorded moments. Nothing is worked out here but such straight lines.

import { say } from "./words.js";

/** @typedef {[string, string, string]} Carrier kind, of what, spinning with which sheave */
/** @typedef {[string, string, string, number, number, string]} Shape form, style, fill, count of
 *   points, carrier, and what it is */
/** @typedef {{carriers: Carrier[], shapes: Shape[], length: number}} Structure */
/** @typedef {{times: number[], channels: {name: string, step: number}[],
 *   once: {name: string, step: number}[], knots: number[][], places: number,
 *   structures: Structure[], data: string}} Packed */
/** @typedef {{values: Float64Array, once: Float64Array, structure: number,
 *   numbers: Float64Array}} Run */

/** What happens at one choice of values. */
export class Motion {
  /** @param {Recording} recording @param {Run} run */
  constructor(recording, run) {
    this.recording = recording;
    this.run = run;
  }

  get structure() {
    return this.recording.packed.structures[this.run.structure];
  }

  /** The drawing's numbers, mm. */
  get numbers() {
    return this.run.numbers;
  }

  /** A number had once a run, or NaN. @param {string} name @returns {number} */
  once(name) {
    const index = this.recording.packed.once.findIndex((channel) => channel.name === name);
    return index < 0 ? NaN : this.run.once[index];
  }

  /** A channel at a moment, SI, or NaN where there is no such channel.
   * @param {string} name @param {number} time @returns {number} */
  value(name, time) {
    const index = this.recording.index.get(name);
    if (index === undefined) return NaN;
    const { times } = this.recording.packed;
    const [key, share] = this.recording.moment(time);
    const at = index * times.length + key;
    const value = this.run.values[at];
    return share ? value + share * (this.run.values[at + 1] - value) : value;
  }
}

export class Recording {
  /** @param {Packed} packed @returns {Promise<Recording>}
   * @throws {Error} where its data cannot be read */
  static async unpacked(packed) {
    if (!("DecompressionStream" in globalThis)) {
      throw new Error(say("this browser is too old; any from 2023 or later will do"));
    }
    const data = Uint8Array.from(atob(packed.data), (letter) => letter.charCodeAt(0));
    const stream = new Blob([data]).stream().pipeThrough(new DecompressionStream("deflate"));
    try {
      return new Recording(packed, new Uint8Array(await new Response(stream).arrayBuffer()));
    } catch {
      throw new Error(say("the recording is cut short or damaged"));
    }
  }

  /** @param {Packed} packed @param {Uint8Array} bytes what its data decompresses to */
  constructor(packed, bytes) {
    this.packed = packed;
    this.index = new Map(packed.channels.map((channel, i) => [channel.name, i]));
    /** @type {Run[]} in the order of the knots, the last axis fastest */
    this.runs = [];
    /** @type {[number, number, number]} the time last asked for, and what was answered */
    this._moment = [NaN, 0, 0];
    this._read(bytes);
  }

  /** How long a run lasts, s. */
  get length() {
    return this.packed.times[this.packed.times.length - 1];
  }

  /** The key moment at or before a time, and the share of the time to the next.
   * @param {number} time @returns {[number, number]} */
  moment(time) {
    if (this._moment[0] === time) return [this._moment[1], this._moment[2]];
    const { times } = this.packed;
    let low = 0, high = times.length - 1;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (times[middle] <= time) low = middle;
      else high = middle;
    }
    const width = times[low + 1] - times[low];
    const share = width > 0 ? Math.min(1, Math.max(0, (time - times[low]) / width)) : 0;
    this._moment = [time, low, share];
    return [low, share];
  }

  /** The motion at a choice of values: for each axis the number of a value.
   * @param {number[]} place @returns {Motion} */
  at(place) {
    /** @type {{index: number, weight: number}[]} */
    let corners = [{ index: 0, weight: 1 }];
    this.packed.knots.forEach((line, axis) => {
      const high = Math.max(0, line.findIndex((knot) => knot >= place[axis]));
      const low = line[high] === place[axis] || high === 0 ? high : high - 1;
      const share = low === high ? 1 : (place[axis] - line[low]) / (line[high] - line[low]);
      corners = corners.flatMap(({ index, weight }) =>
        [[low, 1 - share], [high, share]]
          .filter(([, part]) => part > 0)
          .map(([end, part]) => ({ index: index * line.length + end, weight: weight * part })),
      );
    });
    if (corners.length === 1) return new Motion(this, this.runs[corners[0].index]);
    const nearest = corners.reduce((best, corner) => (corner.weight > best.weight ? corner : best));
    const { structure } = this.runs[nearest.index];
    const alike = corners.every(({ index }) => this.runs[index].structure === structure);
    return new Motion(this, {
      values: this._blend(corners, "values"),
      once: this._blend(corners, "once"),
      structure,
      // Drawings of different make-up are not blended: the nearest stands for all.
      numbers: alike ? this._blend(corners, "numbers") : this.runs[nearest.index].numbers,
    });
  }

  /** @param {{index: number, weight: number}[]} corners
   * @param {"values" | "once" | "numbers"} what */
  _blend(corners, what) {
    const sum = new Float64Array(this.runs[corners[0].index][what].length);
    for (const { index, weight } of corners) {
      const part = this.runs[index][what];
      for (let i = 0; i < sum.length; i++) sum[i] += weight * part[i];
    }
    return sum;
  }

  /** @param {Uint8Array} bytes */
  _read(bytes) {
    const { times, channels, once, knots, places, structures } = this.packed;
    let at = 0;
    const number = () => {
      let value = 0, scale = 1;
      for (;;) {
        const byte = bytes[at++];
        value += (byte & 127) * scale;
        if (byte < 128) return value % 2 ? -(value + 1) / 2 : value / 2;
        scale *= 128;
      }
    };
    const count = knots.reduce((product, line) => product * line.length, 1);
    /** @type {Map<number, Float64Array>} */
    const last = new Map();
    for (let i = 0; i < count; i++) {
      const values = new Float64Array(channels.length * times.length);
      channels.forEach((channel, c) => {
        let value = 0, slope = 0;
        for (let k = 0; k < times.length; k++) {
          slope += number();
          value += slope;
          values[c * times.length + k] = value * channel.step;
        }
      });
      const single = Float64Array.from(once, (channel) => number() * channel.step);
      const structure = number();
      const before = last.get(structure);
      const numbers = new Float64Array(structures[structure].length);
      for (let n = 0; n < numbers.length; n++) {
        numbers[n] = number() / places + (before ? before[n] : 0);
      }
      last.set(structure, numbers);
      this.runs.push({ values, once: single, structure, numbers });
    }
  }
}
