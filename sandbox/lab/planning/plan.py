"""Before the bench is set up: which weights, arms, angles and parts of rope a gauge can read well.

`plan` sweeps one or two values of a scene, asks `theory` at every point, and says where the
reading lies in the upper part of the scale, within the rule, below every safe load, and away from
the edge of sticking. Where theory has no answer, its reason is the plan's.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from sandbox import units
from sandbox.facts import Amount, Fact, stated
from sandbox.lab.planning.bench import Dial, Limits, readings_of, standing
from sandbox.lab.planning.search import HIGHEST, LOWEST, MOVED, Judge, Point, Range, Share
from sandbox.lab.planning.sweeps import Sweep, default_sweeps, set_to, swept_dimension
from sandbox.lab.planning.tackle import plain_tackle
from sandbox.scene import Plain, Scene, SceneError, nearest
from sandbox.scene.parts import Gauge, Rope

FIRST, SECOND, HALVINGS = 25, 13, 10
"""Points along the first and second variable, and halvings of the interval that holds an edge."""


@dataclass(frozen=True)
class Plan:
    """The judged points of every gauge, the usable ranges, and remarks."""

    scene: str
    title: str
    sweeps: tuple[Sweep, ...]
    dials: tuple[Dial, ...]
    points: tuple[tuple[Point, ...], ...]
    """For each gauge, the first variable running fastest."""
    ranges: tuple[Range, ...]
    remarks: tuple[Fact, ...]


def plan(
    scene: Scene,
    dials: Sequence[Dial],
    sweeps: Sequence[Sweep] = (),
    limits: Limits | None = None,
    *,
    counts: tuple[int, int] = (FIRST, SECOND),
    halvings: int = HALVINGS,
    share: Share = map,
    progress: Callable[[float], None] | None = None,
) -> Plan:
    """The usable region of a scene for each gauge, over one or two sweeps (by default those that
    suit the scene). `counts` are the points along each, `halvings` those of an interval with an
    edge in it. `share` works out the rows, as `map` does, perhaps in several processes.

    Raises SceneError for a key, part or value that is not there, and where no gauge applies.
    """
    limits = limits or Limits()
    sweeps = tuple(sweeps) or default_sweeps(scene)
    _check(scene, sweeps, limits)
    if not readings_of(scene):
        raise SceneError(
            "",
            Plain(stated("nothing in {name} that a gauge reads", name=scene.name)),
            "a scene with a rope, a hand or a prop",
        )
    dials = tuple(dials) or tuple(
        dict.fromkeys(Dial(g.range, g.graduation) for g in scene.of(Gauge))
    )
    if not dials:
        raise SceneError(
            "--gauge", Plain("no gauge in the scene"), "a gauge to plan for, as in 10N/0.1N"
        )
    judge = Judge(scene, sweeps, limits, halvings)
    second: Sequence[float | None] = sweeps[1].points(counts[1]) if len(sweeps) > 1 else [None]
    points: list[list[Point]] = [[] for _ in dials]
    ranges: list[Range] = []
    one_row = partial(judge.row, dials, sweeps[0].points(counts[0]))
    for done, row in enumerate(share(one_row, second) if len(second) > 1 else map(one_row, second)):
        for number, (line, found) in enumerate(row):
            points[number] += line
            ranges += found
        if progress:
            progress((done + 1) / len(second))
    return Plan(
        scene.name,
        scene.about.title,
        sweeps,
        dials,
        tuple(map(tuple, points)),
        tuple(ranges),
        _remarks_on(scene, limits),
    )


def _check(scene: Scene, sweeps: Sequence[Sweep], limits: Limits) -> None:
    if len(sweeps) > 2:
        raise SceneError(
            "--vary", Plain(stated("{count} values to vary", count=len(sweeps))), "one or two"
        )
    if len({sweep.key for sweep in sweeps}) < len(sweeps):
        raise SceneError("--vary", Plain("the same key twice"), "two different keys")
    for sweep in sweeps:
        swept_dimension(scene, sweep.key)
        set_to(scene, (sweep,), (sweep.low,))
        set_to(scene, (sweep,), (sweep.high,))
        if not sweep.low < sweep.high:
            raise SceneError(f"--vary {sweep.key}", Plain("an empty range"), "LOW below HIGH")
    bearing = [*(rope.name for rope in scene.of(Rope)), *standing(scene)]
    for option, named in (("--safe", limits.safe), ("--stand", limits.stands)):
        allowed = bearing if option == "--safe" else standing(scene)
        for name in named:
            if name not in allowed:
                raise SceneError(
                    f"{option} {name}",
                    None,
                    stated(
                        "one of {names}",
                        names=", ".join(allowed) or "the parts that bear (there are none)",
                    ),
                    nearest=nearest(name, allowed),
                )


def _remarks_on(scene: Scene, limits: Limits) -> tuple[Fact, ...]:
    found = [
        stated(
            "Usable: {low} % to {high} % of the scale; hand within {rule} of rule; a tenth more or "
            "less friction changes no reading by more than {share} %.",
            low=f"{100 * LOWEST:.0f}",
            high=f"{100 * HIGHEST:.0f}",
            rule=Amount(limits.rule, units.LENGTH, 3),
            share=f"{100 * MOVED:.0f}",
        ),
        stated(
            "division, %: one division over the reading; u, %: the standard uncertainty of reading "
            "to it, 0.29 of a division (rectangular distribution), over the reading."
        ),
    ]
    unlimited = [
        r.name for r in scene.of(Rope) if r.breaking_load is None and r.name not in limits.safe
    ]
    if unlimited:
        found.append(
            stated(
                "No safe load was stated for {names} (--safe NAME=FORCE).", names=tuple(unlimited)
            )
        )
    unstated = [name for name in standing(scene) if name not in limits.stands]
    if unstated:
        found.append(
            stated(
                "Tipping was not judged for {names}, taken as clamped to the bench "
                "(--stand NAME=BASE/HEIGHT/MASS for a free stand).",
                names=tuple(unstated),
            )
        )
    if plain_tackle(scene):
        found.append(
            stated(
                "With other parts of rope, the moving block's mass goes with its sheaves and the "
                "hand's travel with the parts."
            )
        )
    return tuple(found)
