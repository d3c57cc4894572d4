// The elements that the page is made of.

/** An element of the page. Text is only ever text.
 * @param {string} tag @param {Record<string, string | number | boolean>} [attributes]
 * @param {(Node | string | null)[]} children @returns {HTMLElement} */
export function make(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === true) element.setAttribute(name, "");
    else if (value !== false) element.setAttribute(name, String(value));
  }
  element.append(...children.filter((child) => child !== null));
  return element;
}

/** @param {string} words @param {() => unknown} act @param {string} [kind]
 * @returns {HTMLButtonElement} */
export function button(words, act, kind = "") {
  const made = /** @type {HTMLButtonElement} */ (
    make("button", { type: "button", class: kind }, words)
  );
  made.addEventListener("click", act);
  return made;
}

let names = 0;

/** A labelled field. @param {string} words @param {"input" | "textarea"} tag
 * @param {Record<string, string | number | boolean>} attributes
 * @returns {{row: HTMLElement, input: HTMLInputElement}} */
export function labelled(words, tag, attributes) {
  const id = `field${names++}`;
  const input = /** @type {HTMLInputElement} */ (make(tag, { id, autocomplete: "off", ...attributes }));
  return { row: make("div", { class: "field" }, make("label", { for: id }, words), input), input };
}

/** A moment of a record as the language on the page has it, whatever that of the browser.
 * @param {string} time ISO 8601 @param {Intl.DateTimeFormatOptions} [day] */
export function clock(time, day = { month: "short", day: "numeric" }) {
  return new Date(time).toLocaleString(document.documentElement.lang, {
    ...day, hour: "2-digit", minute: "2-digit", hourCycle: "h23",
  });
}

/** The same without its day. @param {string} time */
export function clockAlone(time) {
  return clock(time, {});
}
