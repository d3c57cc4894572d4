"""A student's bench on the live sheet: the take-home page with the engine itself in it, and its
recording for a browser in which that cannot run."""

from __future__ import annotations

import html
from collections.abc import Iterable, Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from sandbox.editing.handles import handles
from sandbox.lab.class_work import virtual_bench
from sandbox.lab.class_work.deal import Bench
from sandbox.lab.class_work.record import digest
from sandbox.language.display import Display
from sandbox.live.inside.bench import LabBench, Told
from sandbox.live.inside.host import EarlierChecks, scene_mark
from sandbox.live.page import MODULES, STILL, Bundle, filled_page
from sandbox.live.runtime import Runtime
from sandbox.page import page as recorded
from sandbox.page.grid import Grid
from sandbox.painting import web
from sandbox.scene import Scene, SceneError, revised
from sandbox.sheet.checking import check_scene
from sandbox.sheet.sheet import Sheet


def bundle_for(benches: Iterable[Bench], runtime: Runtime) -> Bundle:
    """What the pages of some benches have in common: with the checks of those that hide nothing.
    Raises RuntimeMissingError."""
    scenes = [bench.scene for bench in benches if not bench.hidden]
    return Bundle.packed(runtime, (), {scene_mark(scene): check_scene(scene) for scene in scenes})


def bench_page_of(
    bench: Bench,
    grid: Grid,
    student: str | None,
    *,
    bundle: Bundle,
    display: Display,
    dark: bool = True,
    feedback: bool = True,
) -> str:
    """The page of a bench, for a student or, where nothing was dealt and none is named, for
    anybody, who is then asked for a label; `grid` is what is recorded of it. Without `feedback`
    the page has no answers in it."""
    step, sample = virtual_bench.steps(bench.scene)
    told: Told = {
        "step": step,
        "sample": sample,
        "fixed": list(instrument_keys(bench.scene)),
    }
    file = f"{bench.scene.name}.toml"
    say = display.say
    texts: dict[str, object] = {
        "old": say(
            "This browser is too old for the live sheet: it has no {feature}. The bench runs from "
            "recordings instead, at the values that they were made for.",
            feature="{feature}",
        ),
        "failed": say(
            "The live sheet cannot run here. The bench runs from recordings instead, at the values "
            "that they were made for."
        ),
        "kept": f"machine-sandbox/bench/{digest(bench.text)[:16]}/",
    }
    script = "\n".join(
        [web.joined("page", recorded.MODULES), web.joined("live", [*MODULES, "bench"])]
    )
    contents = recorded.contents(bench, grid, student, script, display.language, feedback)
    options = {"scenes": [file], "files": {file: bench.text}, "bench": told}
    as_given = html.escape(say("Set as given"))
    fields = {
        "KIND": "bench",
        "CONTROL": f'<button id="control" type="button" disabled>{as_given}</button>',
        "WORK": web.filled(web.page_asset("live", "work.html"), {"BENCH": web.embedded(contents)}),
    }
    with TemporaryDirectory() as place:
        path = Path(place) / file
        path.write_text(bench.text, encoding="utf-8")
        sheet = Sheet(
            [path],
            checker=EarlierChecks({}),
            display=display,
            dark=dark,
            bench=True,
            size=STILL,
        )
        LabBench(sheet, told)
        styles = web.page_asset("page", "page.css")
        return filled_page(sheet, bundle, script, styles, texts, options, fields)


def instrument_keys(scene: Scene) -> Iterator[str]:
    """The "PART.KEY"s on which it depends what instruments there are and how they are divided."""
    own = virtual_bench.instruments(scene)
    for handle in handles(scene):
        try:
            there = revised(scene, {handle.where: handle.value + handle.step})
        except SceneError:
            continue
        if virtual_bench.instruments(there) != own:
            yield handle.where
