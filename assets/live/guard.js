// Plain enough for any browser, and first of all: says that the page begins, or why it cannot. Where
// it does not run itself, the page says that scripts are off.
(function () {
  const root = document.documentElement;
  const state = /** @type {HTMLElement} */ (document.getElementById("state"));
  const held = /** @type {HTMLElement} */ (document.getElementById("texts"));
  const texts = JSON.parse(held.textContent || "{}");

  /** @param {string} reason */
  function fail(reason) {
    if (root.getAttribute("data-state") !== "ready") {
      root.setAttribute("data-state", "failed");
      state.textContent = reason;
    }
  }

  function lacking() {
    if (typeof WebAssembly !== "object") return "WebAssembly";
    try {
      // The least module there is: a policy may forbid it.
      new WebAssembly.Module(new Uint8Array([0, 97, 115, 109, 1, 0, 0, 0]));
    } catch (reason) {
      return `WebAssembly (${reason})`;
    }
    if (typeof Worker !== "function") return "Worker";
    if (typeof DecompressionStream !== "function") return "DecompressionStream";
    return "noModule" in document.createElement("script") ? "" : "module";
  }

  /** @type {any} */ (window).liveFailed = fail;
  state.textContent = texts.steps[0];
  const lack = lacking();
  if (lack) fail(texts.old.replace("{feature}", lack));
  else addEventListener("error", () => fail(texts.failed));
})();
