"""Equilibrium: a scene -> predicted quantities, or a solved unknown. `predict` is the front door.

It knows nothing of the engine. Read in this order: `predict` -> `steady` (hauled and paid out) and
`motion` (let go) -> `machine` (the equations). `textbook` stands by itself, and so does `roots`, by
which `unknown` solves.
"""

from sandbox.theory.predict import Prediction, neglected, predict
from sandbox.theory.unknown import Solution, solve

__all__ = ["Prediction", "Solution", "neglected", "predict", "solve"]
