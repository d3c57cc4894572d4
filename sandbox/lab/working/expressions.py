"""Expressions: each written in symbols, in numbers and evaluated, all from one tree.

An expression is a small part of Python's, read by `ast` and never run as code: the same tree gives
formula, numbers and value, so they cannot drift apart.
"""

from __future__ import annotations

import ast
import math
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from sandbox import units
from sandbox.language.display import Display

ENGLISH = Display()


class Term(NamedTuple):
    """A quantity of a line: its symbol ("T_1"), SI value, and unit ("" for a plain number)."""

    symbol: str
    value: float
    unit: str = ""


_FUNCTIONS = {
    "sin": math.sin,
    "cos": math.cos,
    "tan": math.tan,
    "sqrt": math.sqrt,
    "arctan": math.atan,
    "exp": math.exp,
}
_SIGNS: dict[type[ast.operator], str] = {ast.Add: " + ", ast.Sub: " − ", ast.Div: " / "}
_BINDING: dict[type[ast.operator], int] = {ast.Add: 1, ast.Sub: 1, ast.Mult: 2, ast.Div: 2}
_RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


def evaluated(tree: ast.expr, terms: Mapping[str, Term]) -> float:
    """The SI value of an expression in sums, products, powers, roots and angles.

    >>> evaluated(ast.parse("m * g", mode="eval").body, {"m": Term("m", 2.0), "g": Term("g", 9.5)})
    19.0
    """
    if isinstance(tree, ast.Constant):
        return float(str(tree.value))
    if isinstance(tree, ast.Name):
        return terms[tree.id].value
    if isinstance(tree, ast.UnaryOp):
        return -evaluated(tree.operand, terms)
    if isinstance(tree, ast.Call):
        assert isinstance(tree.func, ast.Name)
        return _FUNCTIONS[tree.func.id](evaluated(tree.args[0], terms))
    assert isinstance(tree, ast.BinOp)
    left, right = evaluated(tree.left, terms), evaluated(tree.right, terms)
    if isinstance(tree.op, ast.Add):
        return left + right
    if isinstance(tree.op, ast.Sub):
        return left - right
    if isinstance(tree.op, ast.Mult):
        return left * right
    return left / right if isinstance(tree.op, ast.Div) else float(left**right)


def lettered(
    tree: ast.expr, terms: Mapping[str, Term], numbers: bool, display: Display = ENGLISH
) -> str:
    """An expression in print: in symbols, or with the numbers and units put in.

    >>> tree = ast.parse("W * (sin(a) + mu * cos(a)) / 2", mode="eval").body
    >>> terms = {"W": Term("W", 10.0, "N"), "a": Term("α", math.pi / 6, "°"), "mu": Term("µ", 0.3)}
    >>> lettered(tree, terms, False)
    'W (sin α + µ cos α) / 2'
    >>> lettered(tree, terms, True, Display("es"))
    '10 N × (sen 30° + 0,3 × cos 30°) / 2'
    """
    return _Printing(terms, numbers, display).printed(tree, 0)


class _Printing(NamedTuple):
    terms: Mapping[str, Term]
    numbers: bool
    display: Display

    def printed(self, tree: ast.expr, binding: int) -> str:
        """An expression, in brackets where what it stands in binds closer."""
        numbers, terms = self.numbers, self.terms
        if isinstance(tree, ast.Constant):
            return self.display.numeral(str(tree.value))
        if isinstance(tree, ast.Name):
            term = terms[tree.id]
            text = written(term, self.display) if numbers else self.display.symbol(term.symbol)
            return f"({text})" if numbers and term.value < 0.0 and binding else text
        if isinstance(tree, ast.UnaryOp):
            text = "−" + self.printed(tree.operand, 3)
            return f"({text})" if binding else text
        if isinstance(tree, ast.Call):
            return self._called(tree)
        assert isinstance(tree, ast.BinOp)
        if isinstance(tree.left, ast.UnaryOp) and isinstance(tree.op, ast.Mult | ast.Div):
            # A minus before a product stands before the whole of it.
            whole = ast.UnaryOp(tree.left.op, ast.BinOp(tree.left.operand, tree.op, tree.right))
            text = "−" + self.printed(whole.operand, 1)
            return f"({text})" if binding else text
        if isinstance(tree.op, ast.Pow):
            base = self.printed(tree.left, 3)
            unit = isinstance(tree.left, ast.Name) and terms[tree.left.id].unit
            base = f"({base})" if numbers and unit and not base.startswith("(") else base
            return base + str(ast.literal_eval(tree.right)).translate(_RAISED)
        own = _BINDING[type(tree.op)]
        strict = isinstance(tree.op, ast.Sub | ast.Div)
        sign = _SIGNS.get(type(tree.op), " × " if numbers else " ")
        text = self.printed(tree.left, own) + sign + self.printed(tree.right, own + strict)
        return f"({text})" if own < binding else text

    def _called(self, tree: ast.Call) -> str:
        assert isinstance(tree.func, ast.Name)
        inner = self.printed(tree.args[0], 0)
        if tree.func.id == "sqrt":
            return f"√({inner})"
        simple = isinstance(tree.args[0], ast.Name) and not inner.startswith("−")
        name = self.display.say("sin") if tree.func.id == "sin" else tree.func.id
        return f"{name} {inner}" if simple else f"{name}({inner})"


def written(term: Term, display: Display = ENGLISH) -> str:
    """A number as it is printed: as given where six digits say it all, else rounded to five.

    >>> written(Term("g", 9.80665, "m/s²")), written(Term("T", 3.2142388, "N"), Display("es"))
    ('9.80665 m/s²', '3,2142 N')
    """
    value = math.degrees(term.value) if term.unit == "°" else term.value
    text = f"{value:.6g}"
    if abs(float(text) - value) > 1e-12 * abs(value):
        text = units.significant(value, 5)
    elif "e" in text:
        text = f"{value:.12f}".rstrip("0")
    return f"{display.numeral(text)}{'' if term.unit == '°' else ' '}{term.unit}".rstrip()


def computed(expression: str, terms: Mapping[str, Term]) -> float:
    """The SI value of an expression as text."""
    return evaluated(ast.parse(expression, mode="eval").body, terms)


# Expressions put together from pieces.


def summed(pieces: Iterable[str]) -> str:
    """Pieces that may begin with a sign, joined.

    >>> summed(["a", "- b", "+ c"])
    'a + c - b'
    """
    text = ""
    # What is positive comes first.
    for piece in sorted(pieces, key=lambda p: p.startswith("-")):
        body = piece.removeprefix("+ ")
        if not text:
            text = body if not body.startswith("- ") else "-" + body[2:]
        elif body.startswith("- "):
            text += f" {body}"
        else:
            text += f" + {body}"
    return text


def opposite(piece: str) -> str:
    """A piece with the other sign.

    >>> opposite("a"), opposite("- a")
    ('- a', 'a')
    """
    return piece[2:] if piece.startswith("- ") else f"- {piece.removeprefix('+ ')}"


def over(above: str, below: str) -> str:
    """A quotient, with brackets where they are needed.

    >>> over("a + b", "h"), over("a", "1")
    ('(a + b) / h', 'a')
    """
    if below == "1":
        return above
    tree = ast.parse(above, mode="eval").body
    top = f"({above})" if isinstance(tree, ast.BinOp | ast.UnaryOp) else above
    tree = ast.parse(below, mode="eval").body
    return f"{top} / ({below})" if isinstance(tree, ast.BinOp) else f"{top} / {below}"


def root_of_squares(across: Sequence[str], down: Sequence[str]) -> str:
    """The size of a force whose sideways and downward parts are these sums.

    >>> root_of_squares(["X"], ["Y", "- Z"])
    'sqrt((X)**2 + (Y - Z)**2)'
    """
    # What is squared needs no sign.
    across, down = (
        [opposite(text) for text in sums] if all(text.startswith("-") for text in sums) else sums
        for sums in (across, down)
    )
    if not across:
        return f"sqrt(({summed(down)})**2)"
    return f"sqrt(({summed(across)})**2 + ({summed(down) or '0'})**2)"
