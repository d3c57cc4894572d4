// What is typed and not entered yet, by field: kept in the browser, so that it outlives a reload.
// What nobody has put a name to is kept for this tab alone, as the next at this computer may be
// somebody else.

const TYPED = "sandbox-typed";

export class Drafts {
  /** @param {string} scene the scene's hash @param {string} whose a name or code, "" for none yet */
  constructor(scene, whose) {
    this._scene = scene;
    this._whose = "";
    /** @type {Map<string, string>} */
    this._texts = new Map();
    this.belongTo(whose);
  }

  /** Take up what somebody has typed, and leave what is there to whoever typed it.
   * @param {string} whose */
  belongTo(whose) {
    this._whose = whose;
    this._texts = new Map();
    try {
      const held = JSON.parse(this._store.getItem(this._key) ?? "{}");
      for (const [field, text] of Object.entries(held)) {
        if (typeof text === "string") this._texts.set(field, text);
      }
    } catch {
      // Forbidden or damaged: it is nothing that was said to be saved.
    }
  }

  /** Say whose it is, from here on, what is there. @param {string} whose */
  moveTo(whose) {
    const texts = this._texts;
    this.clear();
    this.belongTo(whose);
    for (const [field, text] of texts) this._texts.set(field, text);
    this._keep();
  }

  get size() {
    return this._texts.size;
  }

  /** @param {string} field */
  get(field) {
    return this._texts.get(field);
  }

  /** @param {string} field @param {string} text */
  set(field, text) {
    if (text) this._texts.set(field, text);
    else this._texts.delete(field);
    this._keep();
  }

  /** @param {...string} fields */
  delete(...fields) {
    for (const field of fields) this._texts.delete(field);
    this._keep();
  }

  clear() {
    this._texts = new Map();
    this._keep();
  }

  get _store() {
    return this._whose ? localStorage : sessionStorage;
  }

  get _key() {
    return `${TYPED}|${this._scene}|${this._whose}`;
  }

  _keep() {
    try {
      if (this._texts.size) {
        this._store.setItem(this._key, JSON.stringify(Object.fromEntries(this._texts)));
      } else this._store.removeItem(this._key);
    } catch {
      // Forbidden or full: it stays in the page.
    }
  }
}
