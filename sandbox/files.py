"""Writing files whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path


def write(path: Path, content: str | bytes) -> None:
    """Write a file so that, whenever the program is stopped, either the old or the new is there.

    Raises OSError.
    """
    data = content.encode() if isinstance(content, str) else content
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        # mkstemp makes files for their owner alone; give the usual permissions.
        mask = os.umask(0)
        os.umask(mask)
        os.chmod(temporary, 0o666 & ~mask)
        os.replace(temporary, path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
