// Keeps changes that no file has, for each tab of its own: a reload or a crash loses none, and two
// tabs do not take each other's.

/** @typedef {{when: number, text: string}} Left */

export class Unsaved {
  /** @param {string} kept Begins the names of what is kept: that of other pages is not taken up. */
  constructor(kept) {
    this.kept = kept;
    this.tab = "";
    /** @type {Map<string, string[]>} Of each scene the places where changes were left behind. */
    this.places = new Map();
  }

  /** What tabs that are closed have left, by scene. @returns {Promise<Record<string, [number, string]>>} */
  async begin() {
    /** @type {Record<string, [number, string]>} */
    const found = {};
    try {
      const taken = await this.hold();
      for (const key of Object.keys(localStorage)) {
        if (!key.startsWith(this.kept)) continue;
        const [tab, ...name] = key.slice(this.kept.length).split("/");
        if (tab !== this.tab && taken.has(this.kept + tab)) continue;
        const scene = name.join("/");
        const { when, text } = /** @type {Left} */ (JSON.parse(localStorage.getItem(key) ?? "{}"));
        this.places.set(scene, [...(this.places.get(scene) ?? []), key]);
        if (typeof text === "string" && when > (found[scene]?.[0] ?? 0)) found[scene] = [when, text];
      }
    } catch {
      // Private windows and some learning platforms forbid it: then a reload begins anew.
    }
    return found;
  }

  /** Be known as open for as long as this tab is; gives the tabs that are.
   * @returns {Promise<Set<string>>} */
  async hold() {
    const before = sessionStorage.getItem(this.kept) ?? "";
    this.tab = (before && (await this.lock(before))) || (await this.lock(crypto.randomUUID()));
    sessionStorage.setItem(this.kept, this.tab);
    const held = await navigator.locks.query();
    return new Set((held.held ?? []).map((lock) => lock.name ?? ""));
  }

  /** @param {string} tab @returns {Promise<string>} The same, or "" where another tab has it. */
  lock(tab) {
    return new Promise((resolve) => {
      navigator.locks.request(this.kept + tab, { ifAvailable: true }, (lock) => {
        resolve(lock ? tab : "");
        return lock ? new Promise(() => {}) : undefined;
      });
    });
  }

  /** @param {Record<string, string | null>} altered */
  keep(altered) {
    try {
      for (const [scene, text] of Object.entries(altered)) {
        const own = `${this.kept}${this.tab}/${scene}`;
        if (text === null) {
          for (const key of [own, ...(this.places.get(scene) ?? [])]) localStorage.removeItem(key);
          this.places.delete(scene);
        } else {
          localStorage.setItem(own, JSON.stringify({ when: Date.now() / 1000, text }));
        }
      }
    } catch {
      // As above.
    }
  }
}
