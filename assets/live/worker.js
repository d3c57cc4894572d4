// Runs in a Worker: unpacks CPython and this program from memory, and keeps one sheet going.

/** @typedef {{name: string, bytes: ArrayBuffer | Blob}} Part */

/** @param {Blob | ArrayBuffer} packed @returns {Promise<ArrayBuffer>} */
function unpacked(packed) {
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Response(stream).arrayBuffer();
}

/** @param {string} text @returns {Uint8Array} */
function decoded(text) {
  const letters = atob(text);
  const bytes = new Uint8Array(letters.length);
  for (let i = 0; i < letters.length; i++) bytes[i] = letters.charCodeAt(i);
  return bytes;
}

/** @param {unknown} message */
function tell(message) {
  /** @type {any} */ (globalThis).postMessage(message);
}

/** @type {any} */
let python = null;
/** @type {any} */
let host = null;

/** @param {Record<string, string>} parts @param {string} options */
async function start(parts, options) {
  const names = ["wasm", "asm", "pyodide", "library", "program", "chipmunk", "lock"];
  const held = Object.fromEntries(
    await Promise.all(
      names.map(async (name) => {
        const bytes = decoded(/** @type {string} */ (parts[name]));
        return [name, await unpacked(/** @type {any} */ (bytes))];
      }),
    ),
  );
  tell({ kind: "progress", step: 1 });
  // Nothing comes from outside: what the loader asks for is in memory already.
  globalThis.fetch = async (asked) => {
    const address = String(asked instanceof Request ? asked.url : asked);
    if (address.endsWith("pyodide.asm.wasm")) {
      return new Response(held.wasm, { headers: { "Content-Type": "application/wasm" } });
    }
    if (address.endsWith("python_stdlib.zip")) return new Response(held.library);
    throw new TypeError(`${address} is not in this page`);
  };
  // The loader wants a module worker, which no page from the disk can start; a worker like this one
  // does all that it needs, and as in those nothing is imported but by `import`.
  /** @type {any} */ (globalThis).importScripts = () => {
    throw new TypeError("not in a module worker");
  };
  const [module, loader] = await Promise.all(
    [held.asm, held.pyodide].map((code) => {
      const address = URL.createObjectURL(new Blob([code], { type: "text/javascript" }));
      return import(address).finally(() => URL.revokeObjectURL(address));
    }),
  );
  python = await loader.loadPyodide({
    indexURL: "https://memory.invalid/",
    createPyodideModule: module.default,
    lockFileContents: new TextDecoder().decode(held.lock),
  });
  tell({ kind: "progress", step: 2 });
  python.unpackArchive(held.program, "zip", { extractDir: "/program" });
  python.FS.writeFile("/chipmunk.so", new Uint8Array(held.chipmunk));
  python.runPython(`
import sys
sys.path.insert(0, "/program")
from sandbox.live.inside import chipmunk
chipmunk.install("/chipmunk.so")
from sandbox.live.inside.host import begin
`);
  tell({ kind: "progress", step: 3 });
  host = python.globals.get("begin")("/program", options);
  tell({ kind: "ready" });
}

/** @param {number} seconds @param {string} inputs */
function frame(seconds, inputs) {
  const answer = host.frame(seconds, inputs);
  const bytes = answer.toJs();
  answer.destroy?.();
  const [text, under, over] = new Uint32Array(bytes.buffer, bytes.byteOffset, 3);
  const begin = 12 + /** @type {number} */ (text);
  tell({
    kind: "frame",
    words: JSON.parse(new TextDecoder().decode(bytes.subarray(12, begin))),
    under: new Float32Array(bytes.slice(begin, begin + 4 * /** @type {number} */ (under)).buffer),
    over: new Float32Array(bytes.slice(begin + 4 * /** @type {number} */ (under)).buffer),
    count: over,
  });
}

globalThis.onmessage = async (/** @type {MessageEvent<any>} */ { data }) => {
  try {
    if (data.kind === "start") await start(data.parts, data.options);
    else if (data.kind === "ask") {
      const answer = host.answer(data.what, JSON.stringify(data.held));
      tell({ kind: "answer", number: data.number, answer: JSON.parse(answer) });
    }
    else frame(data.seconds, data.inputs);
  } catch (error) {
    tell({ kind: "failed", reason: String(error) });
  }
};
