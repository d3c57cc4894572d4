"""The one helper for closeness. Run with SANDBOX_RESIDUALS=1 to print every true residual."""

from __future__ import annotations

import os
import sys


def near(actual: float, exact: float, *, rel: float = 0.0, abs: float = 0.0) -> bool:
    """True where |actual - exact| is at most rel * |exact| or at most abs, whichever is more.

    One of the two must be given: there is no tolerance by default. Not-a-number is never near.
    """
    if rel <= 0.0 and abs <= 0.0:
        raise ValueError("give rel, abs or both")
    residual = actual - exact
    size = max(residual, -residual)
    allowed = max(rel * max(exact, -exact), abs)
    if os.environ.get("SANDBOX_RESIDUALS"):
        share = f"{size / max(exact, -exact):.3e}" if exact else "-"
        caller = sys._getframe(1)
        place = f"{os.path.basename(caller.f_code.co_filename)}:{caller.f_lineno}"
        print(
            f"{place} {actual:.12g} against {exact:.12g}: off {size:.3e}, relative {share}, "
            f"allowed {allowed:.3e}"
        )
    return size <= allowed
