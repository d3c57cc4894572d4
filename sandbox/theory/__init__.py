"""Equilibrium: a scene -> predicted quantities, or a solved unknown. `predict` is the front door.

It knows nothing of the engine. Read in this order: `predict` -> `quasi_static` (hauled and paid
out), `release` (let go) and `rest` (come to rest) -> `state` (what is read off) -> `equations`.
What the equations ask of each kind of part stands in `questions`, the answers in `parts`, in terms
of `constraints` (what holds) and `friction` (what resists). `facts` has every statement. `textbook`
stands by itself, and so does `roots`, by which `unknown` solves.
"""

from sandbox.theory.equations import Geometry, Machine, rope_force
from sandbox.theory.friction import MeshContact, PostContact, SheaveContact, SurfaceContact
from sandbox.theory.predict import neglected, predict, predict_forces
from sandbox.theory.prediction import Prediction
from sandbox.theory.quasi_static import QuasiStaticPath, quasi_static_path
from sandbox.theory.release import release
from sandbox.theory.state import State
from sandbox.theory.unknown import Solution, solve

__all__ = [
    "Geometry",
    "Machine",
    "MeshContact",
    "PostContact",
    "Prediction",
    "QuasiStaticPath",
    "SheaveContact",
    "Solution",
    "State",
    "SurfaceContact",
    "neglected",
    "predict",
    "predict_forces",
    "quasi_static_path",
    "release",
    "rope_force",
    "solve",
]
