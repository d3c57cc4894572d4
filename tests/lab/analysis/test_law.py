"""The law of a machine: its fit, what the engine gives, and a measured series laid over it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from scipy.stats import linregress
from typer.testing import CliRunner

from sandbox.cli import app
from sandbox.lab.analysis.law import Law, LoadPoint, fit_law, simulate
from sandbox.scene import load
from sandbox.shipped import find_scene
from tests.tolerance import near

# Efforts against loads of a machine of velocity ratio 15.75, as measured: Euclideanspace, machines.
WEIGHTS = (30.2, 93.4, 155.8, 218.0, 311.8, 438.0)
EFFORTS = (8.45, 16.0, 25.1, 32.2, 46.7, 63.7)
RATIO = 15.75


def law_of(efforts: tuple[float, ...], u: float = 0.0) -> Law:
    pairs = zip(WEIGHTS, efforts, strict=True)
    return fit_law([LoadPoint(w, p, RATIO, w / p / RATIO, u) for w, p in pairs])


def run(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(app, ["law", *words])
    return result.exit_code, result.output


def test_a_published_series():
    """A measured series gives m 0.1366, C 3.62 and a limiting efficiency of 46.5 % (Euclideanspace,
    machines; the fit derived), with the uncertainties of SciPy's linear regression."""
    law, known = law_of(EFFORTS), linregress(WEIGHTS, EFFORTS)
    assert near(law.slope, 0.1366, abs=5e-5) and near(law.intercept, 3.62, abs=5e-3)
    assert near(law.limiting_efficiency[0], 0.465, abs=5e-4)
    assert near(law.slope, known.slope, rel=1e-9) and near(law.slope_u, known.stderr, rel=1e-6)
    assert near(law.intercept, known.intercept, rel=1e-8)
    assert near(law.intercept_u, known.intercept_stderr, rel=1e-6)
    assert near(law.reach, 2.776, abs=5e-4)  # Student's t, 4 degrees of freedom: JCGM 100, G.2


def test_a_series_without_scatter_is_no_surer_than_its_instrument():
    """Efforts on a line are as uncertain as they were read: for equal u that is, in the textbook's
    formula, u / sqrt(sum of (W - mean W)^2) of m."""
    law = law_of(tuple(0.2 * w + 1.0 for w in WEIGHTS), u=0.05)
    mean = sum(WEIGHTS) / len(WEIGHTS)
    spread = sum((w - mean) ** 2 for w in WEIGHTS)
    assert near(law.slope_u, 0.05 / spread**0.5, rel=1e-6)
    assert near(law.slope, 0.2, rel=1e-9) and near(law.intercept, 1.0, rel=1e-9)


def test_two_loads_make_no_law():
    """Through two loads goes a line whatever they are."""
    with pytest.raises(ValueError, match="3 different loads"):
        fit_law([LoadPoint(w, w, 1.0, 1.0) for w in (1.0, 2.0, 1.0)])


def test_the_engines_law_of_a_tackle():
    """Over a tackle's sheaves tension grows by K = (1 + q) / (1 - q), q = mu r_pin / r_sheave; of
    four parts the greatest is in the hand, so that P = W K^4 (K - 1) / (K^4 - 1) and what the lower
    block weighs: m by hand, from the sizes in the scene's file."""
    machine = load(find_scene("four_part_tackle"))
    law = fit_law(simulate(machine, [0.5, 1.0, 2.0], lambda _: None))
    q = 0.2 * 4.0 / 25.0
    k = (1.0 + q) / (1.0 - q)
    assert near(law.slope, k**4 * (k - 1.0) / (k**4 - 1.0), rel=1e-6)
    assert near(law.velocity_ratio, 4.0, rel=1e-4)
    assert law.intercept > law.slope * 0.14 * machine.about.gravity * 0.9


def test_the_command_lays_a_measured_series_beside_the_engines(tmp_path: Path):
    """`law` fits both, and draws them with their names and limits."""
    data, out = tmp_path / "class.csv", tmp_path / "law.svg"
    rows = [f"{grams},{0.3 * 0.001 * grams * 9.80665 + 0.4:.2f}" for grams in range(300, 2100, 300)]
    data.write_text("ballast.mass (g),balance.reading (N)\n" + "\n".join(rows))
    words = ("four_part_tackle", "--count", "3", "--data", str(data))
    code, output = run(*words, "--json", "--out", str(out))
    assert code == 0, output
    simulated, measured = json.loads(output)
    assert near(measured["m"], 0.3, abs=1e-3) and near(measured["C"], 0.4, abs=0.01)
    assert near(simulated["limiting_efficiency"], 0.25 / simulated["m"], rel=1e-4)
    assert out.read_text().startswith("<?xml")
    code, output = run(*words)
    assert code == 0 and "limiting efficiency" in output and "measured" in output


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("sled_let_slide",), "raising"),
        (("four_part_tackle", "--loads", "2kg..1kg"), "LOW..HIGH"),
        (("four_part_tackle", "--loads", "2kg"), "allowed"),
        (("four_part_tackle", "--loads", "1 N..2 N"), "--loads"),
        (("four_part_tackle", "--out", "law.pdf"), ".svg or .png"),
        (("four_part_tackle", "--data", "hand.force (N)\n1.0\n"), "ballast.mass"),
        (("four_part_tackle", "--data", "ballast.mass (g),hand.travel (m)\n1,1\n"), "hand.force"),
        (("four_part_tackle", "--count", "3", "--data", "ballast.mass (g),hand.force (N)\n1,1\n"),
         "3 different loads"),
    ],
)  # fmt: skip
def test_bad_input_is_one_message(
    words: tuple[str, ...], message: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    """What cannot be raised, drawn or read is refused in one message, before any load is raised."""
    monkeypatch.setattr("sandbox.lab.analysis.law.simulate", None)
    data = tmp_path / "class.csv"
    data.write_text(words[-1])
    code, output = run(*(str(data) if "\n" in word else word for word in words))
    assert code == 2 and message in output and "Traceback" not in output
