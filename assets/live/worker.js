// Runs in a Worker: unpacks CPython and this program from memory, and keeps one sheet going.

/** What is unpacked of a part of the page. @param {Record<string, string>} parts @param {string} name
 * @returns {ReadableStream} */
function stream(parts, name) {
  const letters = atob(/** @type {string} */ (parts[name]));
  const bytes = new Uint8Array(letters.length);
  for (let i = 0; i < letters.length; i++) bytes[i] = letters.charCodeAt(i);
  return new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
}

/** @param {unknown} message */
function tell(message) {
  /** @type {any} */ (globalThis).postMessage(message);
}

/** @type {any} */
let python = null;
/** @type {any} */
let host = null;
/** @type {(options: string) => void} */
let begin = () => {};
/** @type {Promise<string>} What the page wants of the sheet. */
const wanted = new Promise((resolve) => (begin = resolve));

/** @param {Record<string, string>} parts */
async function start(parts) {
  // The largest first: the browser compiles it while the rest is unpacked.
  const wasm = WebAssembly.compileStreaming(
    new Response(stream(parts, "wasm"), { headers: { "Content-Type": "application/wasm" } }),
  );
  const names = ["asm", "pyodide", "library", "program", "chipmunk", "lock"];
  const held = Object.fromEntries(
    await Promise.all(
      names.map(async (name) => [name, await new Response(stream(parts, name)).arrayBuffer()]),
    ),
  );
  tell({ kind: "progress", step: 1 });
  // Nothing comes from outside: what the loader asks for is in memory already.
  globalThis.fetch = async (asked) => {
    const address = String(asked instanceof Request ? asked.url : asked);
    if (address.endsWith("pyodide.asm.wasm")) return new Response();
    if (address.endsWith("python_stdlib.zip")) return new Response(held.library);
    throw new TypeError(`${address} is not in this page`);
  };
  WebAssembly.instantiateStreaming = async (_, imports) => {
    const module = await wasm;
    return { module, instance: await WebAssembly.instantiate(module, imports) };
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
  host = python.globals.get("begin")("/program", await wanted);
  tell({ kind: "ready" });
}

/** @param {number} seconds @param {string} inputs */
function frame(seconds, inputs) {
  const answer = host.frame(seconds, inputs);
  const bytes = answer.toJs();
  answer.destroy?.();
  const lengths = new Uint32Array(bytes.buffer, bytes.byteOffset, 4);
  let at = 16 + /** @type {number} */ (lengths[0]);
  const words = JSON.parse(new TextDecoder().decode(bytes.subarray(16, at)));
  const [under, over, drawn] = [1, 2, 3].map((i) => {
    const from = at;
    at += 4 * /** @type {number} */ (lengths[i]);
    return new Float32Array(bytes.slice(from, at).buffer);
  });
  tell({ kind: "frame", words, under, over, drawn });
}

globalThis.onmessage = async (/** @type {MessageEvent<any>} */ { data }) => {
  try {
    if (data.kind === "start") await start(data.parts);
    else if (data.kind === "options") begin(data.options);
    else if (data.kind === "ask") {
      const answer = host.answer(data.what, JSON.stringify(data.held));
      tell({ kind: "answer", number: data.number, answer: JSON.parse(answer) });
    }
    else frame(data.seconds, data.inputs);
  } catch (error) {
    tell({ kind: "failed", reason: String(error) });
  }
};
