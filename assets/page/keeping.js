// Keeps a record's lines in the browser. `Keep.add` is done only when the browser has said that the
// line is written; two tabs cannot write the same line.

/** Where lines are kept: "database", "storage", or "nowhere" but in this page.
 * @typedef {"database" | "storage" | "nowhere"} Place */

/** Another tab has written to the same record. */
export class ElsewhereError extends Error {}

const NAME = "sandbox-bench";

/** @template T @param {IDBRequest<T>} request @returns {Promise<T>} */
function answer(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error ?? new Error("refused"));
  });
}

export class Keep {
  constructor() {
    /** @type {Place} */
    this.place = "nowhere";
    /** @type {IDBDatabase | null} */
    this._database = null;
  }

  /** Find out what this browser allows. @returns {Promise<Keep>} */
  static async open() {
    const keep = new Keep();
    try {
      const request = indexedDB.open(NAME, 1);
      request.onupgradeneeded = () =>
        request.result.createObjectStore("lines", { keyPath: ["record", "sequence"] });
      keep._database = await answer(request);
      keep.place = "database";
      return keep;
    } catch {
      // Private windows and some learning platforms forbid it.
    }
    try {
      localStorage.setItem(`${NAME}|try`, "1");
      localStorage.removeItem(`${NAME}|try`);
      keep.place = "storage";
    } catch {
      keep.place = "nowhere";
    }
    return keep;
  }

  /** Every record kept for a scene, its lines in order, by the record's name.
   * @param {string} scene the scene's hash @returns {Promise<Map<string, string[]>>} */
  async records(scene) {
    /** @type {{record: string, sequence: number, line: string}[]} */
    let found = [];
    if (this._database) {
      const store = this._database.transaction("lines").objectStore("lines");
      const range = IDBKeyRange.bound([scene], [`${scene}\uffff`]);
      found = await answer(store.getAll(range));
    } else if (this.place === "storage") {
      for (let i = 0; i < localStorage.length; i++) {
        const key = localStorage.key(i) ?? "";
        if (!key.startsWith(`${NAME}|${scene}`)) continue;
        const cut = key.lastIndexOf("|");
        const record = key.slice(NAME.length + 1, cut);
        found.push({ record, sequence: Number(key.slice(cut + 1)), line: localStorage[key] });
      }
    }
    found.sort((a, b) => a.sequence - b.sequence);
    const records = new Map();
    for (const { record, line } of found) {
      records.set(record, [...(records.get(record) ?? []), line]);
    }
    return records;
  }

  /** Write a line down. @param {string} record @param {number} sequence @param {string} line
   * @returns {Promise<void>} when it is written
   * @throws {ElsewhereError} where another tab was first; @throws {Error} where it cannot be */
  async add(record, sequence, line) {
    if (this._database) {
      const transaction = this._database.transaction("lines", "readwrite", {
        durability: "strict",
      });
      const done = new Promise((resolve, reject) => {
        transaction.oncomplete = resolve;
        transaction.onabort = () => reject(transaction.error ?? new Error("refused"));
      });
      transaction.objectStore("lines").add({ record, sequence, line });
      try {
        await done;
      } catch (error) {
        if (error instanceof DOMException && error.name === "ConstraintError") {
          throw new ElsewhereError();
        }
        throw error;
      }
    } else if (this.place === "storage") {
      const key = `${NAME}|${record}|${sequence}`;
      const there = localStorage.getItem(key);
      if (there !== null && there !== line) throw new ElsewhereError();
      localStorage.setItem(key, line);
      if (localStorage.getItem(key) !== line) throw new Error("refused");
    } else {
      throw new Error("forbidden");
    }
  }
}
