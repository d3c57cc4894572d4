// What the type checker does not see in the page's script. Text from a student or a scene file must
// never become markup or code.
const browser = [
  "document", "window", "indexedDB", "IDBKeyRange", "localStorage", "URL", "Blob", "TextEncoder",
  "DOMException", "atob", "btoa", "matchMedia", "performance", "requestAnimationFrame",
  "cancelAnimationFrame", "CompressionStream", "DecompressionStream", "ResizeObserver", "MutationObserver", "Response", "globalThis", "setTimeout", "addEventListener", "removeEventListener",
  "devicePixelRatio", "FontFace", "Worker", "WebAssembly", "sessionStorage", "crypto", "navigator", "Request", "TextDecoder",
  "VideoEncoder", "VideoFrame",
];

export default [
  {
    files: ["**/*.js"],
    languageOptions: {
      ecmaVersion: 2022,
      sourceType: "module",
      globals: Object.fromEntries(browser.map((name) => [name, "readonly"])),
    },
    linterOptions: { reportUnusedDisableDirectives: "error" },
    rules: {
      "eqeqeq": "error",
      "no-cond-assign": "error",
      "no-eval": "error",
      "no-implied-eval": "error",
      "no-new-func": "error",
      "no-shadow": "error",
      "no-undef": "error",
      "no-unused-vars": "error",
      "no-useless-assignment": "error",
      "no-var": "error",
      "object-shorthand": "error",
      "prefer-const": "error",
      "prefer-template": "error",
      "no-restricted-properties": [
        "error",
        ...["innerHTML", "outerHTML", "insertAdjacentHTML", "write", "writeln", "srcdoc"].map(
          (property) => ({ property, message: "Text is only ever text: use textContent." }),
        ),
      ],
    },
  },
];
