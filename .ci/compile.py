"""Compiles the engine's inner loop with mypyc, where `HATCH_BUILD_HOOK_ENABLE_MYPYC` asks for it.

In a temporary copy: a compiled module left beside its source would run in place of what is edited.
For the same reason an editable install compiles nothing.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

SETUP = """
import os

from mypyc.build import mypycify
from setuptools import setup

files = {files!r}
options = ["--ignore-missing-imports", "--no-warn-unused-ignores", "--config-file="]
modules = mypycify([*options, *files])
if os.name == "posix":
    for module in modules:
        # Where a processor multiplies and adds in one, it would round once instead of twice.
        # To look for what -Wall warns of takes long.
        module.extra_compile_args += ["-ffp-contract=off", "-Wno-all"]
setup(name="sandbox", packages=[], ext_modules=modules)
"""


class CompileHook(BuildHookInterface[Any]):
    """Adds the compiled modules named in pyproject.toml to the wheel."""

    @property
    def _asked(self) -> bool:
        return os.environ.get("HATCH_BUILD_HOOK_ENABLE_MYPYC", "") in ("1", "true")

    def dependencies(self) -> list[str]:
        """What the compiler needs; mypy follows the imports of what it compiles."""
        followed = ("numpy", "pymunk")
        own = [each for each in self.metadata.core.dependencies if each.startswith(followed)]
        return ["mypy>=1.13", "setuptools>=70", *own] if self._asked else []

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Compile, before the wheel is packed. Raises CalledProcessError where that fails."""
        if not self._asked or version == "editable":
            return
        self._work = TemporaryDirectory()
        tree = Path(self._work.name).resolve()
        source = shutil.ignore_patterns("__pycache__", "*.so", "*.pyd")
        shutil.copytree(Path(self.root, "sandbox"), tree / "sandbox", ignore=source)
        setup = SETUP.format(files=self.config["compile"])
        (tree / "setup.py").write_text(setup, encoding="utf-8")
        subprocess.run([sys.executable, "setup.py", "build_ext", "--inplace"], cwd=tree, check=True)
        for file in tree.rglob("*"):
            if file.suffix in (".so", ".pyd"):
                build_data["force_include"][str(file)] = file.relative_to(tree).as_posix()
        build_data["infer_tag"], build_data["pure_python"] = True, False

    def finalize(self, *_: object) -> None:
        """Clear the copy away."""
        if hasattr(self, "_work"):
            self._work.cleanup()
