"""Values printed elsewhere, each beside its source.

`PUBLISHED` is a table that any engine may be run over: scene text, the name of a quantity, the
value worked out anew from the source's own givens (SI), and the printed digits as the tolerance.

How each number is known: READ, in a copy of the source; QUOTED, in another document that quotes it;
DERIVED, worked out here from a printed rule or printed data; MEMORY, not read.
PRACTICE marks facts of the trade: common practice, no source.
"""

from __future__ import annotations

import math
import tomllib
from typing import NamedTuple

from sandbox.scene import Scene, parse

READ = "read in a copy"
QUOTED = "read as quoted in another document"
DERIVED = "derived from a printed rule"
MEMORY = "from memory"
PRACTICE = "common practice, no source"

COLLEGE = "OpenStax, College Physics 2e, "
UNIVERSITY = "OpenStax, University Physics vol. 1, "
HIGH_SCHOOL = "OpenStax, Physics (high school), "
BASIC_MACHINES = "US Navy NAVEDTRA 14037 (1994), Basic Machines, "
STEELWORKER = "US Navy NAVEDTRA 14251, Steelworker vol. 2, ch. 6"
BUILDER = "US Navy, Builder 3 & 2, ch. 4"
WIRE_ROPE = "Wire Rope Technical Board, Wire Rope Users Manual, 4th ed., pp. 86-88, Figs. 63 and 65"
PIPELINE = "Pipeline Rules of Thumb Handbook, p. 6, block-and-tackle advantage (edition not seen)"
NICHOLLS = "Brown, Nicholls's Seamanship and Nautical Knowledge, "

TEXTBOOK_G = "9.80 m/s^2"
STANDARD_G = "9.80665 m/s^2"
LBF = 0.45359237 * 9.80665
WEIGHTLESS = "1 mg"
"""The textbooks' massless bars and blocks: a millionth of what they carry, or less."""

STIFF = 'stiffness = "500 kN"\ndamping = "20 ms"\n'
"""Of every rope, so that an engine whose ropes stretch meets the same values."""

G = 9.80


class Published(NamedTuple):
    """One printed value: where from, how it is known, and the scene that must give it."""

    id: str
    source: str
    known: str
    scene: str
    quantity: str
    expected: float
    """Worked out anew from the source's givens, SI."""
    printed: float
    """As the source prints it, SI."""
    tolerance: float
    """Half a unit of the last printed digit, SI (more only where the source itself rounds)."""


def parsed(text: str, changes: dict[str, str] | None = None) -> Scene:
    return parse(tomllib.loads(text), changes=changes)


def head(sense: str, gravity: str, load: str = "") -> str:
    named = f'load = "{load}"\n' if load else ""
    return (
        f'[scene]\ntitle = "A printed value"\nwatch = "The forces."\nmode = "{sense}"\n'
        f'gravity = "{gravity}"\n{named}'
    )


def bar(
    length: str,
    fulcrum: str,
    weights: dict[str, str],
    pull: str = "",
    *,
    upward: bool = True,
    gravity: str = TEXTBOOK_G,
    mass: str = WEIGHTLESS,
    more: str = "",
) -> str:
    """A level bar on a fulcrum, weights (place: mass) on it, a hand's rope plumb at `pull`."""
    text = head("held", gravity, "w1")
    text += f'[lever.bar]\nlength = "{length}"\nmass = "{mass}"\nat = ["0 m", "0 m"]\n'
    # A massless bar is balanced by itself, so that its milligram weighs on nothing else.
    centre = f'centre = "{fulcrum}"\n' if mass == WEIGHTLESS else ""
    text += f'fulcrum = "{fulcrum}"\nsupport = "pin"\n{centre}{more}'
    for number, (place, weight) in enumerate(weights.items(), 1):
        text += f'[weight.w{number}]\nmass = "{weight}"\non = "bar@{place}"\n'
    if pull:
        height = "1 m" if upward else "-1 m"
        text += f'[rope.line]\nreeve = ["bar@{pull}", "hand"]\n{STIFF}'
        text += f'[hand.hand]\nat = ["plumb", "{height}"]\n'
    return text


def slung(weights: dict[str, str], mass: str) -> str:
    """A 6 m scaffold hung level from a rope at each end."""
    text = head("held", TEXTBOOK_G)
    text += f'[lever.plank]\nlength = "6 m"\nmass = "{mass}"\nat = ["0 m", "0 m"]\n'
    for number, (place, weight) in enumerate(weights.items(), 1):
        text += f'[weight.w{number}]\nmass = "{weight}"\non = "plank@{place}"\n'
    for name, place in (("left", "0 m"), ("right", "6 m")):
        text += f'[anchor.{name}_hook]\nat = ["plumb", "3 m"]\n'
        text += f'[rope.{name}]\nreeve = ["plank@{place}", "{name}_hook"]\n{STIFF}'
    return text


def tackle(
    load: str,
    parts: int,
    *,
    to_advantage: bool = False,
    bearing: float = 0.0,
    leads: int = 0,
    block: str = WEIGHTLESS,
    gravity: str = STANDARD_G,
) -> str:
    """A tackle of `parts` parts at the moving block, all parallel; pins a tenth of the sheaves.

    The fall leads off the fixed block (a sheave for each part), or off the moving one (one less).
    """
    sheave = f'radius = "5 cm"\npin_radius = "5 mm"\nbearing_friction = {bearing!r}\n'
    sheave += f'sheave_mass = "{WEIGHTLESS}"\n'
    own = "" if block == WEIGHTLESS else f'mass = "{block}"\n'
    passes: list[str] = []
    sheaves = parts - (1 if to_advantage else 0)
    last_is_fixed = not to_advantage
    for i in range(sheaves):
        fixed = (sheaves - 1 - i) % 2 == (0 if last_is_fixed else 1)
        passes.append("upper" if fixed else "lower")
    standing = "upper" if passes[0] == "lower" else "lower"
    counts = {name: max(1, passes.count(name)) for name in ("upper", "lower")}
    reeve = [f"{standing}.becket"]
    for i, name in enumerate(passes):
        reeve.append(f"{name}.{passes[: i + 1].count(name)}")
    if passes.count("lower") == 0:
        reeve[0] = "lower"
    text = head("raising", gravity, "load")
    text += f'[block.upper]\nat = ["0 m", "3 m"]\nsheaves = {counts["upper"]}\n{sheave}'
    text += (
        f'[block.lower]\nunder = "upper"\ndrop = "2 m"\nsheaves = {counts["lower"]}\n'
        f"{own}moves = true\n{sheave}"
    )
    height = 4.0 if to_advantage else 1.0
    for i in range(leads):
        height = 2.5 if i % 2 else 1.0
        reeve.append(f"lead{i + 1}.1")
        text += f'[block.lead{i + 1}]\nat = ["plumb", "{height} m"]\n{sheave}'
        height = 1.0 if i % 2 else 2.5
    reeve.append("hand")
    text += f"[rope.fall]\nreeve = {reeve!r}\n".replace("'", '"') + STIFF
    text += f'[weight.load]\nmass = "{load}"\non = "lower"\n'
    text += f'[hand.hand]\nat = ["plumb", "{height} m"]\ntravel = "20 cm"\n'
    return text


def whip(load: str) -> str:
    """A single fixed block with the load on the rope's end."""
    return (
        head("raising", STANDARD_G, "load")
        + '[block.upper]\nat = ["0 m", "3 m"]\nradius = "5 cm"\n'
        + f'sheave_mass = "{WEIGHTLESS}"\n[weight.load]\nmass = "{load}"\nat = ["plumb", "1 m"]\n'
        + f'[rope.fall]\nreeve = ["load", "upper.1", "hand"]\n{STIFF}'
        + '[hand.hand]\nat = ["plumb", "1 m"]\ntravel = "20 cm"\n'
    )


def winch(load: str, wheel: str, axle: str, block: str = "") -> str:
    """A wheel and axle without losses; `block`: the size of a sheave in the bight of a stepped axle
    whose smaller radius is told with it."""
    text = head("raising", STANDARD_G, "load")
    text += f'[wheel_and_axle.winch]\nat = ["0 m", "4 m"]\nwheel = "{wheel}"\naxle = "{axle}"\n'
    text += f'mass = "{WEIGHTLESS}"\n{block.partition("[")[0]}'
    hung = 'at = ["plumb", "1 m"]' if not block else 'on = "hook"'
    text += f'[weight.load]\nmass = "{load}"\n{hung}\n'
    text += "".join(block.partition("[")[1:])
    reeve = '["winch.axle", "hook.1", "winch.small"]' if block else '["winch.axle", "load"]'
    text += f"[rope.rode]\nreeve = {reeve}\n{STIFF}"
    text += f'[rope.tail]\nreeve = ["winch.wheel", "hand"]\n{STIFF}'
    return text + '[hand.hand]\nat = ["plumb", "2 m"]\ntravel = "40 cm"\n'


STEPPED = (
    'small = "40 mm"\n[block.hook]\nat = ["plumb", "1 m"]\nradius = "50 mm"\n'
    f'sheave_mass = "{WEIGHTLESS}"\nmoves = true\n'
)


def mooring(load: str, turns: int, friction: float) -> str:
    """A load held by a hand straight above it, with whole turns of the rope round a post between,
    which the rope passes straight by."""
    text = head("held", STANDARD_G, "load")
    text += '[post.post]\nat = ["0 m", "1 m"]\nradius = "5 cm"\nwinds = "clockwise"\n'
    text += f"turns = {turns}\nstatic_friction = {friction}\nkinetic_friction = {friction}\n"
    text += f'[weight.load]\nmass = "{load}"\nat = ["-5 cm", "0 m"]\n'
    text += '[rope.line]\nreeve = ["load", "post", "hand"]\nstiffness = "100 MN"\n'
    return text + '[hand.hand]\nat = ["-5 cm", "2 m"]\n'


def geared(degrees: float, pairs: list[tuple[int, int]]) -> str:
    """A crank that turns by so many degrees over the stroke, and pairs of gears from it to the
    drum "last", each driven one on a shaft with the next that drives, without losses."""
    text = head("raising", STANDARD_G, "load")
    travel = 0.1 * math.radians(degrees) / 0.6
    shafts = ["crank", *(f"shaft{i}" for i in range(1, len(pairs))), "last"]
    across = 0.0
    spindle = f'mass = "{WEIGHTLESS}"\ninitial_turns = 50\nmax_turns = 100\n'
    for i, (shaft, teeth) in enumerate(zip(shafts, [(0, 0), *pairs], strict=True)):
        if i:
            # A module of 2 mm: as many millimetres of radius as teeth.
            across += (pairs[i - 1][0] + teeth[1]) * 1e-3
        hauls = "clockwise" if (len(pairs) - i) % 2 else "anticlockwise"
        text += f'[wheel_and_axle.{shaft}]\nat = ["{across:.9g} m", "9 m"]\n'
        text += f'wheel = "10 cm"\naxle = "2 cm"\nhauls = "{hauls}"\n{spindle}'
        if i:
            text += f'[gear.driven{i}]\non = "{shaft}"\nteeth = {teeth[1]}\n'
            text += f'meshes = "driver{i - 1}"\nmass = "{WEIGHTLESS}"\n'
        if i < len(pairs):
            text += f'[gear.driver{i}]\non = "{shaft}"\nteeth = {pairs[i][0]}\n'
            text += f'mass = "{WEIGHTLESS}"\n'
    text += '[weight.load]\nmass = "1 kg"\nat = ["plumb", "1 m"]\n'
    text += f'[rope.rode]\nreeve = ["load", "last.axle"]\n{STIFF}'
    text += f'[rope.tail]\nreeve = ["crank.wheel", "hand"]\n{STIFF}'
    return text + f'[hand.hand]\nat = ["plumb", "5 m"]\ntravel = "{travel:.12g} m"\n'


GEARED_WINCH = (
    geared(90, [(50, 120), (60, 130)])
    .replace('mass = "1 kg"', f'mass = "{1000 / 9.80665:.12g} kg"')
    .replace('wheel = "10 cm"', 'wheel = "14 cm"')
    .replace('axle = "2 cm"', 'axle = "7 cm"')
)


def ramp(
    sense: str,
    mass: str,
    shape: str,
    static: float = 0.0,
    kinetic: float = 0.0,
    *,
    gravity: str = TEXTBOOK_G,
    hand: bool = True,
    body: str = "",
) -> str:
    """A body on a ramp whose shape is two TOML lines' worth, a hand drawing it along the slope."""
    text = head(sense, gravity)
    text += (
        f'[ramp.slip]\nat = ["0 m", "0 m"]\n{shape}\nstatic_friction = {static!r}\nkinetic_friction'
        f" = {kinetic!r}\n"
    )
    text += f'[body.sled]\nmass = "{mass}"\non = "slip@{"20 cm" if hand else "4 m"}"\n{body}'
    if hand:
        text += f'[rope.line]\nreeve = ["sled", "hand"]\n{STIFF}'
        text += '[hand.hand]\non = "slip@90 cm"\nheight = "3 cm"\ntravel = "20 cm"\n'
    return text


def bearing_for(ratio: float) -> float:
    """The bearing coefficient that gives a tension ratio over parallel parts, pin 1 : 10."""
    return (ratio - 1.0) / (ratio + 1.0) * 10.0


def angle(degrees: float) -> str:
    return f'length = "5 m"\nangle = "{degrees} deg"'


# Loads that the sources take as points are laid in two halves either side of the place: a machine
# of one point and a massless bar has no moment of inertia, and no engine of dynamics holds it.
WHEELBARROW = [
    bar("1.02 m", "0 m", {"0.0250 m": "22.5 kg", "0.1250 m": "22.5 kg"}, "1.02 m"),
    bar("1.02 m", "0 m", {"0.0050 m": "27.5 kg", "0.1050 m": "27.5 kg"}, "1.02 m"),
]
NAIL_PULLER = bar(
    "46.8 cm",
    "1.8 cm",
    {"0 m": f"{1250 / G!r} kg"},
    "46.8 cm",
    upward=False,
    mass="2.10 kg",
    more='centre = "1.8 cm"\n',
)
SEESAW = bar("2.90 m", "1.60 m", {"0 m": "26.0 kg", "2.90 m": "32.0 kg"})
POLE = (
    head("held", TEXTBOOK_G)
    + '[lever.pole]\nlength = "1.2 m"\nmass = "5.00 kg"\ncentre = "0.600 m"\n'
    + 'at = ["0 m", "0 m"]\nsupports = ["0 m", "0.900 m"]\n'
)
METRE_RULE = bar(
    "100 cm",
    "70 cm",
    {"0 cm": "50.0 g", "30 cm": "75.0 g"},
    "100 cm",
    upward=False,
    mass="150.0 g",
)
FOREARM = bar(
    "15 in", "0 in", {"11.0 in": "25.0 lb", "15.0 in": "25.0 lb"}, "1.5 in", gravity=STANDARD_G
)
SCAFFOLD_A = slung({"1.5 m": "50 kg"}, "70.0 kg")
SCAFFOLD_B = slung({"1.0 m": "80.0 kg", "4.5 m": "16.0 kg"}, "40.0 kg")
US_LEVERS = {
    item: bar(
        length,
        fulcrum,
        {place: load},
        length,
        upward=upward,
        gravity=STANDARD_G,
        # A bar of some mass, balanced on its fulcrum: no part in the effort.
        mass="2 kg",
        more=f'centre = "{fulcrum}"\n',
    )
    for item, length, fulcrum, place, load, upward in (
        ("a", "14 ft", "6 ft", "0 ft", "120 lb", False),
        ("b", "4.5 ft", "0 ft", "1.5 ft", "300 lb", True),
        ("c", "5.0 ft", "0 ft", "1.5 ft", "300 lb", True),
        ("d", "5 ft", "1 ft", "0 ft", "200 lb", False),
    )
}
ENGINE_HOIST = tackle("115 kg", 4, to_advantage=True, block="7.00 kg", gravity=TEXTBOOK_G)
FOUR_STRANDS = tackle(f"{120 / G!r} kg", 4, gravity=TEXTBOOK_G)
PLANK_300 = ramp("raising", "300 lb", 'length = "9 ft"\nrise = "3 ft"', gravity=STANDARD_G)
PLANK_ROUGH_MU = (115 - 75) / (300 * math.sqrt(1 - (3 / 12) ** 2))
PLANK_ROUGH = ramp(
    "raising",
    "300 lb",
    'length = "12 ft"\nrise = "3 ft"',
    PLANK_ROUGH_MU,
    PLANK_ROUGH_MU,
    gravity=STANDARD_G,
)
WEDGED = 1.0 / 0.917, 1.0 / 0.962


def jack(
    load: str,
    lead: str,
    mean_radius: str,
    friction: float,
    bar: str,
    level: str,
    hauls: str = "raises",
    more: str = "",
) -> str:
    """A screw jack whose bar, at a height of `level`, a hand pulls from so far away that its line
    stays level."""
    return (
        f'{head("raising", STANDARD_G)}[screw.jack]\nat = ["0 m", "0 m"]\nmass = "{WEIGHTLESS}"\n'
        f'lead = "{lead}"\nmean_radius = "{mean_radius}"\nthread_friction = {friction}\n'
        f'bar = "{bar}"\nhauls = "{hauls}"\n{more}[weight.load]\nmass = "{load}"\non = "jack"\n'
        f'[rope.walk]\nreeve = ["jack.bar", "hand"]\n{STIFF}[hand.hand]\nat = ["9 m", "{level}"]\n'
        'travel = "5 cm"\nspeed = "2 cm/s"\n'
    )


def screw_arm(lead: float, radius: float, friction: float, flank: float = 0.0) -> float:
    """The moment for each newton on a screw that is raised; with friction below zero, lowered."""
    grown = math.atan(friction / math.cos(math.radians(flank)))
    return radius * math.tan(math.atan(lead / (2 * math.pi * radius)) + grown)


def wedge(load: str, angle: str, friction: float, more: str = "") -> str:
    """A wedge with friction on every face, drawn in by a rope at its thin end."""
    return (
        f'{head("raising", STANDARD_G)}[wedge.chock]\nat = ["0 m", "0 m"]\nangle = "{angle}"\n'
        f'above_floor = "20 cm"\nfollower_mass = "{WEIGHTLESS}"\nwedge_mass = "{WEIGHTLESS}"\n'
        f"face_friction = {friction}\nfloor_friction = {friction}\n"
        f'guide_friction = {friction}\n{more}[weight.load]\nmass = "{load}"\non = "chock"\n'
        f'[rope.line]\nreeve = ["chock.thin", "hand"]\n{STIFF}[hand.hand]\n'
        'at = ["1 m", "-19 cm"]\ntravel = "5 cm"\nspeed = "2 cm/s"\n'
    )


def wedge_drive(angle: float, friction: float) -> float:
    """The push for each newton of load: R = cos f / cos(a + 2 f), P = R (sin(a + f) + mu cos)."""
    a, f = math.radians(angle), math.atan(friction)
    return math.cos(f) / math.cos(a + 2 * f) * (math.sin(a + f) + friction * math.cos(a + f))


PUBLISHED: list[Published] = [
    Published(
        "L1a effort",
        COLLEGE + "9.5, worked example on the wheelbarrow",
        READ,
        WHEELBARROW[0],
        "hand.force",
        45.0 * G * 0.0750 / 1.02,
        32.4,
        0.05,
    ),
    Published(
        "L1a ground",
        COLLEGE + "9.5, worked example on the wheelbarrow",
        READ,
        WHEELBARROW[0],
        "bar.reaction",
        45.0 * G * (1 - 0.0750 / 1.02),
        409.0,
        0.5,
    ),
    Published(
        "L1b effort",
        COLLEGE + "9.5, problem matching the wheelbarrow",
        READ,
        WHEELBARROW[1],
        "hand.force",
        55.0 * G * 0.0550 / 1.02,
        29.1,
        0.05,
    ),
    Published(
        "L1b ground",
        COLLEGE + "9.5, problem matching the wheelbarrow",
        READ,
        WHEELBARROW[1],
        "bar.reaction",
        55.0 * G * (1 - 0.0550 / 1.02),
        510.0,
        0.5,
    ),
    Published(
        "L3 effort",
        COLLEGE + "9.5, problems on the nail puller",
        READ,
        NAIL_PULLER,
        "hand.force",
        1250 * 1.8 / 45,
        50.0,
        0.5,
    ),
    Published(
        "L3 surface",
        COLLEGE + "9.5, problems on the nail puller",
        READ,
        NAIL_PULLER,
        "bar.reaction",
        1250 + 50 + 2.10 * G,
        1300.0,
        50.0,
    ),
    Published(
        "L4 pivot",
        COLLEGE + "9.2, seesaw example",
        READ,
        SEESAW,
        "bar.reaction",
        (26.0 + 32.0) * G,
        568.0,
        0.5,
    ),
    Published(
        "L5 right hand",
        COLLEGE + "9.4, example on a weight held near its centre of gravity",
        READ,
        POLE,
        "pole.support_2",
        5.00 * G * 0.600 / 0.900,
        32.7,
        0.05,
    ),
    Published(
        "L5 left hand",
        COLLEGE + "9.4, example on a weight held near its centre of gravity",
        READ,
        POLE,
        "pole.support_1",
        5.00 * G * 0.300 / 0.900,
        16.3,
        0.05,
    ),
    Published(
        "L6 effort at the right end",
        UNIVERSITY + "12.2, three masses on a metre stick (316.7 g there)",
        READ,
        METRE_RULE,
        "hand.force",
        (0.050 * 70 + 0.075 * 40 + 0.150 * 20) / 30 * G,
        0.3167 * G,
        0.00005 * G,
    ),
    Published(
        "L6 fulcrum",
        UNIVERSITY + "12.2, three masses on a metre stick",
        READ,
        METRE_RULE,
        "bar.reaction",
        (0.050 + 0.075 + 0.150 + 9.5 / 30) * G,
        5.8,
        0.05,
    ),
    Published(
        "L7 muscle",
        UNIVERSITY + "12.2, forearm example",
        READ,
        FOREARM,
        "hand.force",
        50.0 * 13.0 / 1.5 * LBF,
        433.3 * LBF,
        0.05 * LBF,
    ),
    Published(
        "L7 joint",
        UNIVERSITY + "12.2, forearm example",
        READ,
        FOREARM,
        "bar.reaction",
        50.0 * (13.0 / 1.5 - 1) * LBF,
        383.3 * LBF,
        0.05 * LBF,
    ),
    # The book rounds to three figures and then prints four.
    Published(
        "L8a left",
        UNIVERSITY + "ch. 12 problems, scaffold",
        READ,
        SCAFFOLD_A,
        "left.tension_1",
        (70.0 * 3 + 50 * 4.5) / 6 * G,
        711.0,
        0.5,
    ),
    Published(
        "L8a right",
        UNIVERSITY + "ch. 12 problems, scaffold",
        READ,
        SCAFFOLD_A,
        "right.tension_1",
        (70.0 * 3 + 50 * 1.5) / 6 * G,
        466.0,
        0.5,
    ),
    Published(
        "L8b right",
        UNIVERSITY + "ch. 12 problems, second scaffold",
        READ,
        SCAFFOLD_B,
        "right.tension_1",
        136 * G / 3,
        444.3,
        0.05,
    ),
    Published(
        "L8b left",
        UNIVERSITY + "ch. 12 problems, second scaffold",
        READ,
        SCAFFOLD_B,
        "left.tension_1",
        2 * 136 * G / 3,
        888.5,
        0.05,
    ),
    # Of (a)-(c) the answer key was not seen; each value is among the printed choices.
    *(
        Published(
            f"L10{item}",
            BASIC_MACHINES + where,
            known,
            US_LEVERS[item],
            "hand.force",
            pounds * LBF,
            pounds * LBF,
            0.5 * LBF,
        )
        for item, where, known, pounds in (
            ("a", "Assignment 1, item 1-15", READ, 90),
            ("b", "Assignment 1, item 1-17", READ, 100),
            ("c", "Assignment 1, item 1-18", READ, 90),
            ("d", "ch. 1", QUOTED, 50),
        )
    ),
    Published(
        "P1a rope",
        COLLEGE + "9.5, problems (pulley of type c)",
        READ,
        ENGINE_HOIST,
        "hand.force",
        (115 + 7.00) * G / 4,
        299.0,
        0.5,
    ),
    Published(
        "P1a ceiling",
        COLLEGE + "9.5, problems (pulley of type c)",
        READ,
        ENGINE_HOIST,
        "upper.reaction",
        3 * (115 + 7.00) * G / 4,
        897.0,
        0.5,
    ),
    Published(
        "P1b effort",
        HIGH_SCHOOL + "9.3, test preparation (four strands, read off a figure)",
        READ,
        FOUR_STRANDS,
        "hand.force",
        30.0,
        30.0,
        0.5,
    ),
    Published(
        "P1b rope for a metre",
        HIGH_SCHOOL + "9.3, test preparation (four strands, read off a figure)",
        READ,
        FOUR_STRANDS,
        "machine.velocity_ratio",
        4.0,
        4.0,
        0.5,
    ),
    Published(
        "P4 gun tackle",
        f"{STEELWORKER}; {BUILDER}, near Fig. 4-24",
        READ,
        tackle("200 lb", 2),
        "hand.force",
        100 * LBF,
        100 * LBF,
        0.5 * LBF,
    ),
    Published(
        "P4 single luff",
        f"{BUILDER}, near Fig. 4-24",
        READ,
        tackle("600 lb", 3),
        "hand.force",
        200 * LBF,
        200 * LBF,
        0.5 * LBF,
    ),
    Published(
        "P4 single whip",
        STEELWORKER,
        READ,
        whip("50 lb"),
        "hand.force",
        50 * LBF,
        50 * LBF,
        0.5 * LBF,
    ),
    # Geometric model of sheave friction: each sheave multiplies the tension by K.
    Published(
        "P12a no friction",
        WIRE_ROPE,
        READ,
        tackle("6000 lb", 4),
        "hand.force",
        1500 * LBF,
        1500 * LBF,
        0.5 * LBF,
    ),
    Published(
        "P12b plain bearings, K 1.09 (geometric)",
        WIRE_ROPE,
        READ,
        tackle("6000 lb", 4, bearing=bearing_for(1.09)),
        "hand.force",
        6000 * LBF * 1.09**4 * 0.09 / (1.09**4 - 1),
        6000 * LBF * 0.309,
        6000 * LBF * 0.0005,
    ),
    # The source multiplies rounded factors to 2202 lb.
    Published(
        "P12c two lead sheaves, K 1.09 (geometric)",
        WIRE_ROPE,
        READ,
        tackle("6000 lb", 4, bearing=bearing_for(1.09), leads=2),
        "hand.force",
        6000 * LBF * 1.09**6 * 0.09 / (1.09**4 - 1),
        6000 * LBF * 0.367,
        6000 * LBF * 0.0005,
    ),
    Published(
        "P12d anti-friction bearings, K 1.04 (geometric)",
        WIRE_ROPE,
        DERIVED,
        tackle("6000 lb", 4, bearing=bearing_for(1.04)),
        "hand.force",
        6000 * LBF * 1.04**4 * 0.04 / (1.04**4 - 1),
        6000 * LBF * 0.2755,
        6000 * LBF * 0.00005,
    ),
    # Printed 3.25: 0.4 % off the source's own formula, which gives 3.236.
    Published(
        "P14 plain sheaves, E 0.917 (geometric)",
        PIPELINE,
        READ,
        tackle("3250 lb", 4, bearing=bearing_for(WEDGED[0])),
        "machine.mechanical_advantage",
        0.917 * (1 - 0.917**4) / (1 - 0.917),
        3.25,
        0.015,
    ),
    Published(
        "P15 roller sheaves, E 0.962 (geometric)",
        PIPELINE,
        DERIVED,
        tackle("3250 lb", 4, bearing=bearing_for(WEDGED[1])),
        "machine.mechanical_advantage",
        0.962 * (1 - 0.962**4) / (1 - 0.962),
        3.634,
        0.0005,
    ),
    Published(
        "R2a",
        BASIC_MACHINES + "ch. 4, Fig. 4-1",
        READ,
        PLANK_300,
        "hand.force",
        100 * LBF,
        100 * LBF,
        0.5 * LBF,
    ),
    Published(
        "R2b friction",
        BASIC_MACHINES + "Assignment 1, items 1-69 to 1-71",
        READ,
        PLANK_ROUGH,
        "sled.friction",
        -40 * LBF,
        -40 * LBF,
        0.5 * LBF,
    ),
    Published(
        "R2b ideal advantage",
        BASIC_MACHINES + "Assignment 1, items 1-69 to 1-71",
        READ,
        PLANK_ROUGH,
        "machine.ideal_mechanical_advantage",
        4.0,
        4.0,
        0.5,
    ),
    Published(
        "R2b efficiency",
        BASIC_MACHINES + "Assignment 1, items 1-69 to 1-71",
        DERIVED,
        PLANK_ROUGH,
        "machine.efficiency",
        75 / 115,
        0.652,
        0.0005,
    ),
    Published(
        "R3",
        f"{COLLEGE}5.1, skiing exercise; {UNIVERSITY}6.2",
        READ,
        ramp("released", "62 kg", angle(25), 0.0817, 0.0817, hand=False),
        "sled.friction",
        0.0817 * 62 * G * math.cos(math.radians(25)),
        45.0,
        0.05,
    ),
    # The source counts down the slope as positive.
    Published(
        "R4a",
        UNIVERSITY + "6.2, snowboarding example",
        READ,
        ramp("released", "60 kg", angle(13), 0.20, 0.20, hand=False),
        "sled.acceleration",
        -G * (math.sin(math.radians(13)) - 0.20 * math.cos(math.radians(13))),
        -0.29,
        0.005,
    ),
    Published(
        "R4c",
        UNIVERSITY + "ch. 6 problems, parcel chute",
        READ,
        ramp("released", "10 kg", angle(10.0), 0.100, 0.100, hand=False),
        "sled.acceleration",
        -G * (math.sin(math.radians(10)) - 0.100 * math.cos(math.radians(10))),
        -0.737,
        0.0005,
    ),
    Published(
        "R5a limit",
        UNIVERSITY + "6.2, static and kinetic friction",
        READ,
        ramp("held", "20.0 kg", angle(0), 0.700, 0.600),
        "hand.greatest_force",
        0.700 * 20.0 * G,
        137.0,
        0.5,
    ),
    Published(
        "R5a sliding",
        UNIVERSITY + "6.2, static and kinetic friction",
        READ,
        ramp("raising", "20.0 kg", angle(0), 0.700, 0.600),
        "sled.friction",
        -0.600 * 20.0 * G,
        -118.0,
        0.5,
    ),
    # Printed to two figures.
    Published(
        "R5b limit",
        f"{UNIVERSITY}6.2; {COLLEGE}5.1",
        READ,
        ramp("held", "100 kg", angle(0), 0.45, 0.30),
        "hand.greatest_force",
        0.45 * 100 * G,
        440.0,
        5.0,
    ),
    Published(
        "R5b sliding",
        f"{UNIVERSITY}6.2; {COLLEGE}5.1",
        READ,
        ramp("raising", "100 kg", angle(0), 0.45, 0.30),
        "hand.force",
        0.30 * 100 * G,
        290.0,
        5.0,
    ),
    Published(
        "F4 rolling, steel on steel",
        "Lust, CDA3000 Engineering Guide, Table 7.22 (arm 0.5 mm, radius 50 mm)",
        DERIVED,
        ramp(
            "raising",
            "10 kg",
            angle(0),
            0.15,
            0.15,
            body='height = "100 mm"\nrolls = true\nrolling_arm = "0.5 mm"\n',
        ).replace('"3 cm"', '"5 cm"'),
        "hand.force",
        10 * G * 0.5 / 50,
        10 * G * 0.010,
        10 * G * 0.0005,
    ),
    # Wheels and axles.
    Published(
        "hand winch: barrel 6 in, handle 18 in, 300 lb",
        f"{NICHOLLS}p. 494, example on the dolly winch",
        READ,
        winch("300 lb", "18 in", "6 in"),
        "hand.force",
        100 * LBF,
        100 * LBF,
        0.5 * LBF,
    ),
    Published(
        "winch: wheel 12 in, drum 4 in, 180 lb",
        "Thatcher, Scaffolding, example at Fig. 117",
        READ,
        winch("180 lb", "12 in", "4 in"),
        "hand.force",
        60 * LBF,
        60 * LBF,
        0.5 * LBF,
    ),
    Published(
        "differential wheel and axle: 2 D / (d1 - d2)",
        "a rule of many textbooks of engineering mechanics, read in several; wheel 480 mm, axles "
        "120 mm and 80 mm across as a set problem has them",
        DERIVED,
        winch("200 kg", "240 mm", "60 mm", STEPPED),
        "machine.velocity_ratio",
        2 * 480 / (120 - 80),
        24.0,
        0.5,
    ),
    Published(
        "J1 raising",
        "a statics text of adaptivebooks.org, 5.6.1",
        READ,
        jack("10000 lb", "0.5 in", "1 in", 0.2, "30 in", "-2 in"),
        "hand.force",
        10000 * LBF * screw_arm(0.5, 1.0, 0.2) / 30,
        2840 / 30 * LBF,
        5 / 30 * LBF,
    ),
    Published(
        "J1 lowering",
        "the same, turned down",
        DERIVED,
        jack("10000 lb", "0.5 in", "1 in", 0.2, "30 in", "-2 in", "lowers"),
        "hand.force",
        -10000 * LBF * screw_arm(0.5, 1.0, -0.2) / 30,
        1185 / 30 * LBF,
        0.5 / 30 * LBF,
    ),
    Published(
        # Said to hold it; but it is what raises it: 6.79 N keep it from running back.
        "J3",
        "a set problem as worked on a homework site: an arithmetic check, no authority",
        QUOTED,
        jack(f"{6000 / 9.80665:.12g} kg", "10 mm", "25 mm", 0.05, "300 mm", "-50 mm"),
        "hand.force",
        6000 * screw_arm(0.010, 0.025, 0.05) / 0.300,
        56.95,
        # The source rounds the angles on the way.
        0.07,
    ),
    Published(
        # Its 30 mm are those of the bar that the square thread of 5 mm is cut in: 27.5 mm at the
        # middle of the thread. With g = 9.81 m/s^2.
        "J4",
        "a set problem as worked on a homework site: an arithmetic check, no authority",
        QUOTED,
        jack(
            "200 kg",
            "5 mm",
            "13.75 mm",
            0.2,
            "250 mm",
            "-50 mm",
            "lowers",
            'collar_radius = "25 mm"\ncollar_friction = 0.25\n',
        ),
        "hand.force",
        200 * 9.80665 * (0.25 * 0.025 - screw_arm(0.005, 0.01375, -0.2)) / 0.250,
        16.05 / 0.250,
        0.01 / 0.250,
    ),
    Published(
        "J5",
        "Mott, Machine Elements in Mechanical Design, 4th ed., example 17-1",
        QUOTED,
        jack(
            "12500 lb",
            "0.25 in",
            "0.67145 in",
            0.15,
            "20 in",
            "-1.3429 in",
            more='flank_angle = "14.5 deg"\n',
        ),
        "hand.force",
        12500 * LBF * screw_arm(0.25, 0.67145, 0.15, 14.5) / 20,
        1809 / 20 * LBF,
        # The source rounds the lead angle and its functions on the way.
        6 / 20 * LBF,
    ),
    Published(
        "E1: two turns round a post, 80 lb hold 5000 lb",
        "Beer and Johnston, Vector Mechanics for Engineers: Statics, 10th ed., 8.104",
        QUOTED,
        mooring("5000 lb", 2, 0.329),
        "hand.least_force",
        5000 * LBF * math.exp(-0.329 * 4 * math.pi),
        80 * LBF,
        0.5 * LBF,
    ),
    Published(
        "G1: 16 teeth at 156 revolutions a minute drive 48 at 52",
        "Applied Physics, 9.6, example 1",
        QUOTED,
        geared(156, [(16, 48)]),
        "last.turn",
        math.radians(52),
        math.radians(52),
        math.radians(0.5),
    ),
    Published(
        "G2: 120 teeth drive 40, on whose shaft 80 drive 20; 30 revolutions give 360",
        "technologystudent.com, gears 8, for the middle shaft; its last shaft by the same rule",
        DERIVED,
        geared(30, [(120, 40), (80, 20)]),
        "last.turn",
        math.radians(360),
        math.radians(360),
        math.radians(0.5),
    ),
    Published(
        "G3: a winch with two pairs of gears raises 1000 N",
        "Engineering ToolBox, winches",
        QUOTED,
        GEARED_WINCH,
        "hand.force",
        1000 * (0.05 * 0.06 * 0.07) / (0.12 * 0.13 * 0.14),
        96.0,
        0.5,
    ),
    Published(
        "V1",
        "Bihar University examination, 1974, as worked on an engineering-notes page",
        QUOTED,
        wedge("1500 kg", "10 deg", 0.3),
        "hand.force",
        1500 * 9.80665 * wedge_drive(10, 0.3),
        1417.5 * 9.80665,
        # The source finds it by drawing.
        1.0 * 9.80665,
    ),
    Published(
        "V2",
        "an examination of 2013 as worked on a homework site: an arithmetic check, no authority",
        QUOTED,
        wedge(f"{2000 / 9.80665:.12g} kg", "15 deg", 0.25),
        "hand.force",
        2000 * wedge_drive(15, 0.25),
        1866.34,
        # The source rounds the angle of friction on the way.
        4.0,
    ),
    # Facts of the trade: common practice, no source.
    Published(
        "four parts, 1 kg: the pull without losses",
        PRACTICE,
        PRACTICE,
        tackle("1 kg", 4),
        "hand.force",
        9.80665 / 4,
        2.45,
        0.005,
    ),
    Published(
        "four parts, 1 kg: 40 cm of line for 10 cm",
        PRACTICE,
        PRACTICE,
        tackle("1 kg", 4),
        "machine.velocity_ratio",
        4.0,
        4.0,
        0.05,
    ),
    Published(
        "2.63 kg on a ramp of 22 cm in 1.10 m, without friction",
        PRACTICE,
        PRACTICE,
        ramp("raising", "2.63 kg", 'length = "1.10 m"\nrise = "22 cm"', gravity=STANDARD_G),
        "hand.force",
        2.63 * 9.80665 * 0.2,
        5.15,
        0.01,
    ),
]
