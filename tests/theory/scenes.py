"""Small scenes for the theory, and what it says of them."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterable, Sequence
from itertools import pairwise

from sandbox.facts import Fact
from sandbox.scene import (
    Scene,
    Vector,
    parse,
)
from sandbox.theory import Solution, predict
from tests.tolerance import near

G = 9.80665
EXACT = 1e-10


def parsed(text: str, **changes: str) -> Scene:
    """A scene from TOML; changes are written `PART__KEY`."""
    return parse(
        tomllib.loads(text),
        changes={name.replace("__", "."): value for name, value in changes.items()},
    )


def sentences(facts: Iterable[Fact]) -> tuple[str, ...]:
    """Facts in English, as a terminal shows them."""
    return tuple(map(str, facts))


def account(solution: Solution) -> str:
    """All that a solution says, in English."""
    return " ".join(sentences(solution.facts))


def head(sense: str, load: str = "") -> str:
    named = f'load = "{load}"\n' if load else ""
    return f'[scene]\ntitle = "A test"\nwatch = "The forces."\nmode = "{sense}"\n{named}'


def answers(text: str, **changes: str) -> dict[str, float]:
    return predict(parsed(text, **changes)).quantities


# Levers.

LEVER = head("held", "stone") + (
    '[lever.spar]\nlength = "1 m"\nmass = "300 g"\ncentre = "45 cm"\nat = ["0 m", "1 m"]\n'
    'support = "pin"\nfulcrum = "{fulcrum} m"\n'
    '[weight.stone]\nmass = "2 kg"\non = "spar@{load} m"\n'
    '[rope.line]\nreeve = ["spar@{effort} m", "hand"]\n'
    '[hand.hand]\nat = ["plumb", "{hand} m"]\n'
)
LEVEL = LEVER.format(fulcrum=0.0, load=0.3, effort=1.0, hand=2)

# Common practice, no source: 250 g at 40 cm balances 500 g at 20 cm.
BALANCE = head("released") + (
    '[lever.rule]\nlength = "1 m"\nmass = "100 g"\nat = ["0 m", "1 m"]\nfulcrum = "50 cm"\n'
    '[weight.left]\nmass = "250 g"\non = "rule@10 cm"\n'
    '[weight.right]\nmass = "500 g"\non = "rule@70 cm"\n'
)


# Blocks and tackles.


def beyond(pull: float, loss: float, before: Vector, after: Vector, own: float) -> float:
    """The tension T2, N, that draws a rope steadily over a sheave of weight `own` from where it has
    `pull`: T2 = T1 + loss |T2 u2 - T1 u1 + M g|, found by putting it in again and again."""
    found = pull
    for _ in range(200):
        load = Vector(0.0, -own) - pull * before + found * after
        found = pull + loss * load.norm
    return found


def parallel(pull: float, loss: float, own: float) -> float:
    """The same with two plumb parts, `own` negative where they carry the sheave:
    T2 - T1 = loss (T1 + T2 + own). Lowering, `loss` is negative."""
    return ((1 + loss) * pull + loss * own) / (1 - loss)


def of_a_tackle(load: float, passes: Sequence[str], loss: float, own: float = 0.005 * G) -> float:
    """The effort, N, of a tackle whose rope passes sheaves of weight `own` on those blocks in
    order, for a load on the lower one; all is linear in the first part's tension."""
    ends = ["upper" if passes[0] == "lower" else "lower", *passes, "hand"]
    parts = [i for i, pair in enumerate(pairwise(ends)) if "lower" in pair]

    def carried(first: float) -> tuple[float, float]:
        tensions = [first]
        for block in passes:
            tensions.append(parallel(tensions[-1], loss, own if block == "upper" else -own))
        return sum(tensions[i] for i in parts), tensions[-1]

    (none, least), (one, last) = carried(0.0), carried(1.0)
    return least + (load - none) / (one - none) * (last - least)


def passed(parts: int, to_advantage: bool) -> list[str]:
    """The blocks whose sheaves the rope of a `tackle` passes, from its standing end."""
    sheaves = parts - to_advantage
    return ["lower" if (sheaves - i) % 2 == to_advantage else "upper" for i in range(sheaves)]


def tackle(
    parts: int,
    *,
    to_advantage: bool,
    bearing: float = 0.2,
    sense: str = "raising",
    block: str = "120 g",
) -> str:
    """A tackle with `parts` parts at the moving block, its fall off the fixed or the moving one."""
    passes = passed(parts, to_advantage)
    reeve = ["lower" if passes[0] == "upper" else "upper"]
    if passes.count("lower"):
        reeve[0] += ".becket"
    reeve += [f"{name}.{passes[: i + 1].count(name)}" for i, name in enumerate(passes)]
    reeve.append("hand")
    rows = [head(sense, "stone")]
    for name, place in (
        ("upper", 'at = ["0 m", "2 m"]'),
        ("lower", f'under = "upper"\ndrop = "1.2 m"\nmass = "{block}"\nmoves = true'),
    ):
        count = max(1, passes.count(name))
        rows.append(f"[block.{name}]\n{place}\nsheaves = {count}\nbearing_friction = {bearing!r}\n")
    rows.append(f"[rope.fall]\nreeve = {reeve!r}\n".replace("'", '"'))
    rows.append('[weight.stone]\nmass = "1 kg"\non = "lower"\n')
    rows.append(
        f'[hand.hand]\nat = ["plumb", "{2.6 if to_advantage else 1.0} m"]\ntravel = "10 cm"\n'
    )
    return "".join(rows)


# Ramps.

RAMP = head("{sense}") + (
    '[ramp.slip]\nat = ["0 m", "0 m"]\nlength = "1.5 m"\nangle = "{slope} deg"\n'
    "static_friction = 0.4\nkinetic_friction = 0.3\n"
    '[body.sled]\nmass = "1.5 kg"\non = "slip@30 cm"\n'
)


def drawn(sense: str, slope: float, pull: float, rises: str = "right") -> str:
    """A body on a ramp, its rope led away at `pull` degrees above the slope by a hand that keeps
    that angle."""
    side = 1 if rises == "right" else -1
    way = math.radians(slope + pull)
    foot = math.radians(slope)
    # The tie stands 3 cm off the surface, half the body's height.
    x = 0.3 * math.cos(foot) - 0.03 * math.sin(foot) + 0.6 * math.cos(way)
    y = 0.3 * math.sin(foot) + 0.03 * math.cos(foot) + 0.6 * math.sin(way)
    heading = foot if side > 0 else math.pi - foot
    return RAMP.format(sense=sense, slope=slope).replace(
        "kinetic_friction = 0.3\n", f'kinetic_friction = 0.3\nrises = "{rises}"\n'
    ) + (
        '[rope.line]\nreeve = ["sled", "hand"]\n'
        f'[hand.hand]\nat = ["{side * x!r} m", "{y!r} m"]\nheading = "{heading!r} rad"\n'
        'travel = "10 cm"\n'
    )


WHIP = head("raising") + (
    '[block.head]\nat = ["0 m", "1 m"]\nbearing_friction = 0.2\npin_radius = "20 mm"\n'
    '[weight.bag]\nmass = "1 kg"\nat = ["plumb", "40 cm"]\n'
    '[rope.whip]\nreeve = ["bag", "head.1", "hand"]\n[hand.hand]\nat = ["plumb", "50 cm"]\n'
)
WINCH = head("{sense}", "grapnel") + (
    '[wheel_and_axle.winch]\nat = ["0 m", "1 m"]\nwheel = "12 cm"\naxle = "3 cm"\nmass = "600 g"\n'
    'pin_radius = "6 mm"\nbearing_friction = 0.25\n{winch}'
    '[weight.grapnel]\nmass = "4 kg"\nat = ["plumb", "40 cm"]\n'
    '[rope.rode]\nreeve = ["winch.axle", "grapnel"]\n'
)
HAULED = (
    '[rope.tail]\nreeve = ["winch.wheel", "hand"]\n[hand.hand]\nat = ["plumb", "50 cm"]\n'
    'travel = "20 cm"\n'
)

# What mechanics does not answer.

PROPS = head("held") + (
    '[lever.beam]\nlength = "2 m"\nmass = "3 kg"\nat = ["0 m", "1 m"]\nsupports = {props}\n'
)

YARD = head("raising", "yard") + (
    '[lever.yard]\nlength = "1 m"\nmass = "2 kg"\nat = ["0 m", "0 m"]\n'
    'centre_height = "{height} m"\n[block.head]\nat = ["52.5 cm", "1 m"]\n'
    '[rope.halyard]\nreeve = ["yard@50 cm", "head.1", "hand"]\n'
    '[hand.hand]\nat = ["plumb", "40 cm"]\n'
)

# Let go: two bodies and more.

DOUBLE = head("released", "a") + (
    '[block.head]\nat = ["0 m", "3 m"]\nbearing_friction = {head}\nsheave_mass = "200 g"\n'
    '[block.low]\nat = ["plumb", "2 m"]\nmass = "100 g"\nmoves = true\nbearing_friction = {low}\n'
    'sheave_mass = "50 g"\n'
    '[rope.one]\nreeve = ["low", "head.1", "a"]\n'
    '[weight.a]\nmass = "{a} kg"\nat = ["plumb", "1 m"]\n'
    '[weight.c]\nmass = "{c} kg"\nat = ["plumb", "1 m"]\n[weight.d]\nmass = "{d} kg"\n'
    'at = ["plumb", "1 m"]\n[rope.two]\nreeve = ["c", "low.1", "d"]\n'
)


def obeys_coulomb(
    increment: float, speed: float, inertia: float, limit: float, scale: float
) -> bool:
    """Whether what friction takes of the tensions is its limit against the motion, or, where there
    is none, no more than that. (Static and kinetic coefficient are one; what would set off with
    less than a millionth of g counts as at rest.)"""
    friction = increment - inertia * speed
    if abs(speed) > 1e-9 * G:
        return near(friction, math.copysign(limit, speed), abs=1e-9 * scale)
    return abs(friction) <= limit + 1e-6 * scale


# Stops.

AT_THE_FOOT = (
    '[ramp.slip]\nat = ["0 m", "0 m"]\nlength = "1.5 m"\nangle = "30 deg"\nstatic_friction ='
    ' {rub}\nkinetic_friction = {rub}\n[body.sled]\nmass = "2 kg"\nwidth = "10 cm"\non = "slip@{at}'
    ' cm"\n'
)
DRAWN_UP = (
    '[rope.line]\nreeve = ["sled", "hand"]\n[hand.hand]\non = "slip@1.2 m"\nheight = "3 cm"\n'
    'travel = "20 cm"\n'
)


def hung(sense: str, across: float, up: float, more: str = "") -> str:
    """A bob on a metre of rope, more or less, below a hook at (0, 1) m."""
    return head(sense) + (
        '[anchor.hook]\nat = ["0 m", "1 m"]\n[rope.line]\nreeve = ["bob", "hook"]\n'
        + more
        + f'[weight.bob]\nmass = "1 kg"\nat = ["{across} m", "{up} m"]\n'
    )
