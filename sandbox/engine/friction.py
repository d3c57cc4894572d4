"""Coulomb friction where it holds."""

from __future__ import annotations

from sandbox.engine.settings import ROUNDED


def breaks_loose(force: float, limit: float) -> int:
    """The sign of the motion that begins where friction would have to exert `force` to prevent it
    and can exert no more than `limit` (both N, or both N m); 0 where it holds."""
    if abs(force) > limit * (1.0 + ROUNDED) + 1e-15:
        return 1 if force > 0.0 else -1
    return 0
