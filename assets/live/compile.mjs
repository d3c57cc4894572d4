// Run by node: compiles the Python sources of an archive to the bytecode of the page's CPython.
//   node compile.mjs FOLDER   where FOLDER has pyodide's files, source.zip and, written, bytecode.zip
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

const folder = /** @type {string} */ (process.argv[2]);
const { loadPyodide } = await import(pathToFileURL(join(folder, "pyodide.mjs")).href);
// Lines of code are known by their number alone: their columns would be a quarter of the bytecode.
const env = { PYTHONNODEBUGRANGES: "1" };
const python = await loadPyodide({ indexURL: `${folder}/`, env });
python.FS.writeFile("/source.zip", readFileSync(join(folder, "source.zip")));
python.runPython(`
import io, marshal, zipfile
from importlib._bootstrap_external import _code_to_timestamp_pyc

with zipfile.ZipFile("/source.zip") as source, zipfile.ZipFile("/bytecode.zip", "w") as made:
    for name in source.namelist():
        content = source.read(name)
        if name.endswith(".py"):
            # Without docstrings and assertions.
            code = compile(content, "/" + name, "exec", dont_inherit=True, optimize=2)
            name, content = name + "c", bytes(_code_to_timestamp_pyc(code))
        made.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), content)
`);
writeFileSync(join(folder, "bytecode.zip"), python.FS.readFile("/bytecode.zip"));
