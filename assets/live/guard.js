// Plain enough for any browser: says why the page cannot run, where the script below never begins.
(function () {
  var root = document.documentElement;
  var texts = JSON.parse(document.getElementById("texts").textContent);
  window.liveFailed = function (reason) {
    if (root.getAttribute("data-state") !== "ready") {
      root.setAttribute("data-state", "failed");
      document.getElementById("state").textContent = reason;
    }
  };
  function lacking() {
    if (typeof WebAssembly !== "object") { return "WebAssembly"; }
    if (typeof Worker !== "function") { return "Worker"; }
    if (typeof DecompressionStream !== "function") { return "DecompressionStream"; }
    if (!("noModule" in document.createElement("script"))) { return "module"; }
    return "";
  }
  var lack = lacking();
  if (lack) {
    window.liveFailed(texts.old.replace("{feature}", lack));
  } else {
    window.addEventListener("error", function () { window.liveFailed(texts.failed); });
  }
})();
