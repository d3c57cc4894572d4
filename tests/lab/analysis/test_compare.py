"""Measured data beside the machine: files, verdicts, explanations, fits and their coverage."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom
from uncertainties import ufloat, umath

from sandbox import theory
from sandbox.lab import facts
from sandbox.lab.analysis import data as measured
from sandbox.lab.analysis import effects
from sandbox.lab.analysis.compare import compare
from sandbox.lab.analysis.effects import turned_pull
from sandbox.lab.analysis.fit import fit, least_squares
from sandbox.lab.analysis.inputs import NoAnswer, changed, measured_inputs, predicted
from sandbox.lab.analysis.uncertainty import from_graduation, standing_apart
from sandbox.scene import SceneError, load, revised, value_of
from sandbox.shipped import find_scene
from tests.commands import inside, refused
from tests.outcomes import LONG
from tests.tolerance import near

G = 9.80665
LOSSLESS = {
    "upper__bearing_friction": "0",
    "upper__sheave_mass": "1 mg",
    "lower__bearing_friction": "0",
    "lower__mass": "2 mg",
    "lower__sheave_mass": "1 mg",
}
"""A tackle without friction, its moving block and its sheaves without weight."""


def scene(name, **changes):
    return load(find_scene(name), {key.replace("__", "."): text for key, text in changes.items()})


def sled(**changes):
    return scene("sled_drawn_up", **changes)


def tackle(**changes):
    return scene("four_part_tackle", **changes)


@cache
def of_sled(text):
    """The comparison of these data with the sled as shipped."""
    return compare(sled(), measured.parse(text, sled()))


def slipway(bench):
    """As the scene says: the sled's mass, the board's length, rise and kinetic coefficient."""
    keys = ("sled.mass", "slip.length", "slip.rise", "slip.kinetic_friction")
    return [value_of(bench, key) for key in keys]


def of_effect(comparison, name):
    return next(each for each in comparison.explanations if each.effect.name == name)


# Reading files.


def test_columns_are_read_in_any_unit():
    """Units in the header: lbf and cm become N and m; a key's column makes set-ups of its own; rows
    with the same settings are trials of one."""
    text = (
        "trial,student,ballast.mass (g),hand.force (lbf),ballast.rise (cm)\n"
        "1,Student A,500,0.4,6\n2,Student A,500,0.5,6\n3,Student B,1000,0.8,\n"
    )
    found = measured.parse(text, tackle())
    assert found.measured == ("hand.force", "ballast.rise")
    assert found.settings == ("ballast.mass",)
    assert [setup.settings["ballast.mass"].value for setup in found.setups] == [0.5, 1.0]
    forces = found.setups[0].readings["hand.force"]
    assert [reading.row for reading in forces] == [2, 3]
    assert near(forces[0].value, 0.4 * 4.4482216152605, rel=1e-9)
    assert near(found.setups[0].readings["ballast.rise"][0].value, 0.06, rel=1e-12)
    assert (found.rows, found.students, found.blanks) == (3, 2, 1)


@pytest.mark.parametrize("mark", [",", ";", "\t"])
@pytest.mark.parametrize("point", [".", ","])
def test_data_as_spreadsheets_save_them(tmp_path, mark, point):
    """Comma, semicolon or tab; decimal points or commas; quoted cells; a mark at the start, or
    UTF-16; "sep="; empty rows and columns, rows being counted as the spreadsheet does."""
    path = tmp_path / "slip.csv"
    rows = [
        ["trial", "hand.force / N", "", ""], ["", "", "", ""], ["1", '"9.4"', "", ""],
        ["2", '"9.6e0"', "", ""], ["", "", "", ""],
    ]  # fmt: skip
    text = "\r\n".join(mark.join(row) for row in rows).replace(".4", point + "4")
    text = text.replace("9.6e0", f"9{point}6e0")
    for written, encoding in (
        (text, "utf-8-sig"), (text, "utf-16"), (f"sep={mark}\r\n{text}", "utf-8"),
    ):  # fmt: skip
        path.write_text(written.replace(f"hand{point}", "hand."), encoding=encoding)
        readings = measured.load(path, sled()).setups[0].readings["hand.force"]
        assert [reading.value for reading in readings] == [9.4, 9.6]
        assert [reading.row for reading in readings] == ([4, 5] if "sep" in written else [3, 4])


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("trial;hand.force (N)\n1;1,350\n", 1.35),
        ("trial,hand.force (N)\n1,1.350\n", 1.35),
        ('hand.force (N)\n"0,135"\n', 0.135),
        ("trial;hand.force (N)\n1;1.350\n2;9.3\n", 1.35),
        ("trial\thand.force (N)\n1\t1.350\n2\t9.3\n", 1.35),
        ('hand.force (N),sled.mass (g)\n"1,350","1740,0"\n', 1.35),
        ("trial;hand.force (N);notes\n1;9;5\n", 9.0),
        ("trial,hand.force (N),notes\n1,9.4,5\n", 9.4),
    ],
)
def test_three_digits_are_a_fraction_where_no_thousands_can_be_meant(text, value):
    """What tells is what parts the cells, or another number of the file, wherever in it."""
    setups = measured.parse(text, sled()).setups
    assert setups[0].readings["hand.force"][0].value == value


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("Effort (N)\n9.4\n", 9.4),
        ("trial,effort [newtons],date,group\n1,9.4,2026-11-27,B\n", 9.4),
        ("Run,Esfuerzo / kgf,Time of day\n1,1,9:30\n", 9.80665),
        ("Nombre;Ensayo;Esfuerzo\n;;N\nJosé;1;9,4\n", 9.4),
        ("trial,hand.force\n#,(Newton)\n1,9.4\nMean,9.4\n", 9.4),
        ("trial,hand.force (N)\n,N\n1,9.4\n", 9.4),
        ("trial,hand.force (gf)\n1,1000\n", 9.80665),
        ("Effort (N),± Effort (N)\n9.4,0.1\n", 9.4),
    ],
)
def test_columns_headed_in_words(text, value):
    """A quantity by its title in either language, units as they are spelt or in a row of their own,
    trials and students by other names; columns of anything else are left out and named."""
    titles = {"Effort": "hand.force", "Esfuerzo": "hand.force"}
    found = measured.parse(text, sled(), titles=titles)
    (reading,) = found.setups[0].readings["hand.force"]
    assert near(reading.value, value, rel=1e-12)
    extra = [each for each in ("date", "group", "Time of day") if each in text]
    assert list(found.extra) == extra
    for name in extra:
        assert any(name in str(note) for note in compare(sled(), found).notes)


def test_lengths_as_they_are_spelt():
    """ "cms", "grams" and a unit's full name."""
    text = "hand.force (Newtons),hand.travel (cms),sled.mass (grams)\n9.4,30,1740\n"
    setup = measured.parse(text, sled()).setups[0]
    assert near(setup.readings["hand.travel"][0].value, 0.30, rel=1e-12)
    assert near(setup.settings["sled.mass"].value, 1.74, rel=1e-12)


def test_a_unit_row_that_contradicts_the_header_is_refused():
    """Newtons in the header and pounds below it are not both right."""
    with pytest.raises(SceneError, match=r"row 2, column 1 .*lbf.*the header says N"):
        measured.parse("hand.force (N)\nlbf\n9.4\n", sled())


def test_ratios_are_worked_out_from_distances():
    """From effort, distances and the known load each trial has its velocity ratio and efficiency;
    the relative uncertainties of factors add in quadrature, here by the `uncertainties` package."""
    rows = [(5.0, 40, 9.9), (5.2, 40, 10.1)]
    heads = ("hand.force (N)", "hand.travel (cm)", "ballast.rise (cm)")
    found = compare(tackle(), measured.parse(csv_of(*heads, rows=rows), tackle()))
    by_name = {row.quantity: row for row in found.rows}
    ratio, efficiency = by_name["machine.velocity_ratio"], by_name["machine.efficiency"]
    load = value_of(tackle(), "ballast.mass")
    assert near(ratio.measured, (40 / 9.9 + 40 / 10.1) / 2, rel=1e-12)
    by_hand = [load * G * rise / (force * travel) for force, travel, rise in rows]
    assert near(efficiency.measured, sum(by_hand) / 2, rel=1e-12)
    assert ratio.agrees and not efficiency.agrees
    small = 0.1 / math.sqrt(12.0)
    one = [ufloat(40, small) / ufloat(rise, small) for _, _, rise in rows]
    common = math.sqrt(sum(each.std_dev**2 for each in one) / 2)
    scatter = abs(by_hand[0] - by_hand[1]) / 2
    line = next(line for line in ratio.budget if str(line.name).startswith("reading"))
    assert near(line.u, common, rel=1e-9)
    line = next(line for line in efficiency.budget if str(line.name).startswith("scatter"))
    assert near(line.u, scatter, rel=1e-9)
    assert any("worked out" in str(note) for note in found.notes)
    given = "machine.velocity_ratio,hand.travel (cm),ballast.rise (cm)\n4.2,40,9.9\n"
    (row, *_) = compare(tackle(), measured.parse(given, tackle())).rows
    assert (row.quantity, row.measured) == ("machine.velocity_ratio", 4.2)


def test_uncertainty_columns_and_lines():
    """ "±" is the half-width of a rectangle, "u" a standard uncertainty; a line called graduation
    gives one division and is no reading; percent is a hundredth."""
    text = "trial,hand.force (N),± hand.force (N)\ngraduation,0.2,\n1,9.4,0.3\n2,9.6,\n"
    found = measured.parse(text, sled())
    first, second = found.setups[0].readings["hand.force"]
    assert near(first.u, 0.3 / math.sqrt(3.0), rel=1e-12) and second.u is None
    assert found.graduations == {"hand.force": 0.2}
    text = "hand.force (N),u hand.force (N),machine.efficiency (%)\n9.4,0.04,47.5\n"
    found = measured.parse(text, sled())
    assert found.setups[0].readings["hand.force"][0].u == 0.04
    assert near(found.setups[0].readings["machine.efficiency"][0].value, 0.475, rel=1e-12)
    assert near(found.last_place["machine.efficiency"], 0.001, rel=1e-12)


BAD = [
    ("", ("no header",)),
    ("\n\n", ("no header",)),
    ("hand.force\n9.4\n", ("row 1, column 1", "no unit", "(N)")),
    ("hand.force (kg)\n9.4\n", ("column 1", "kg", "force")),
    ("hand.force (__import__)\n1\n", ("column 1", "force")),
    ("hand.forc (N)\n9.4\n", ("hand.forc", "hand.force")),
    ("hnd.force (N)\n9.4\n", ("hand.force",)),
    ("sled.mass (g)\n1740\n", ("nothing measured",)),
    ("hand.force (N),hand.force (N)\n1,1\n", ("column 2", "once")),
    ("trial,± hand.force (N)\n1,1\n", ("column 2", "hand.force too")),
    ("hand.force (N)\n", ("no readings",)),
    ("hand.force (N)\neleven\n", ("row 2, column 1", "eleven", "number")),
    ("hand.force (N)\n9.4 N\n", ("row 2", "header")),
    ("hand.force (N)\nnan\n", ("row 2", "nan")),
    ("hand.force (N)\n1e999\n", ("row 2", "finite")),
    ("hand.force (N)\n=1+1\n", ("row 2", "formulas are not worked out")),
    ("hand.force (N)\n+cmd|' /C calc'!A0\n", ("row 2", "formulas are not worked out")),
    ('trial,hand.force (N)\n1,"1,350"\n', ("row 2, column 2", "1350, or 1.350")),
    ("trial\thand.force (N)\n1\t1,350\n", ("row 2, column 2", "1350, or 1.350")),
    ("trial\thand.force (N)\n1\t1.350\n", ("row 2, column 2", "1350, or 1.3500")),
    ("trial;hand.force (N)\n1;1.350\n", ("row 2, column 2", "1350, or 1,350")),
    ("trial;hand.force (N)\n1;1.350\n2;9,3\n", ("row 2, column 2", "1350, or 1,350")),
    ("trial,hand.force (N),notes\n1,-9,4\n", ("row 2, column 3", "decimal comma")),
    ("trial;hand.force (N)\n1;9,4\n2;9.4\n", ("row 3, column 2", "decimal sign", "','")),
    ("trial;hand.force (N)\n1;1.234,5\n", ("row 2, column 2", "'1.234,5'", "thousands")),
    ("hand.force (N)\n1 350\n", ("row 2, column 1", "thousands")),
    ("trial,hand.force (N)\n1,9,4\n", ("row 2", "3 cells for 2 columns", "decimal comma")),
    ("trial,hand.force (N)\ngraduation,0\n1,9.4\n", ("row 2", "division")),
    ("hand.force (N),± hand.force (N)\n9.4,-1\n", ("row 2, column 2", "zero")),
    ("hand.force (N),sled.mass (g)\n9.4,\n", ("row 2, column 2", "blank")),
    ("hand.force (N),sled.mass (g)\n9.4,-5\n", ("row 2, column 2", "-5")),
    ("hand.force (N),machine.efficiency (N)\n9.4,1\n", ("column 2", "plain number")),
    ('hand.force (N)\n"9.4\n', ("does not parse",)),
    ("hand.force (N)\n1\0\n", ("not text",)),
    (",".join(["hand.force (N)"] * 101), ("101 columns", "100")),
    ("hand.force (N)\n" + "1\n" * 20_001, ("20 000 rows",)),
    (
        "hand.force (N),sled.mass (g)\n" + "".join(f"9,{n}\n" for n in range(1, 102)),
        ("row 102", "100 different set-ups"),
    ),
]


@pytest.mark.parametrize(("text", "said"), BAD)
def test_bad_data_is_refused_in_one_message(tmp_path, text, said):
    """One message that names the file, where in it, what was found and what is allowed."""
    path = tmp_path / "bad.csv"
    path.write_text(text, encoding="utf-8", newline="")
    with pytest.raises(SceneError) as caught:
        measured.load(path, sled())
    message = str(caught.value)
    assert "bad.csv" in message and "allowed:" in message and len(message) < 1000
    for words in said:
        assert words in message


def test_files_that_are_no_data_are_refused(tmp_path):
    """A missing file, a directory, bytes that are no UTF-8, and a file of more than 2 MB."""
    big, binary = tmp_path / "big.csv", tmp_path / "binary.csv"
    big.write_bytes(b"hand.force (N)\n" + b"1\n" * 1_000_001)
    binary.write_bytes(b"hand.force (N)\n\xb5\n")
    for path, said in (
        (tmp_path / "none.csv", "no such file"),
        (tmp_path, "a folder"),
        (big, "2 000 000 bytes"),
        (binary, "UTF-8"),
    ):
        with pytest.raises(SceneError, match=said):
            measured.load(path, sled())


@settings(max_examples=300, deadline=None)
@given(
    st.one_of(
        st.text(max_size=200), st.text(alphabet='hand.force (N)±u,;"\n\t=+-1.5e%', max_size=200)
    )
)
def test_no_text_breaks_the_reader(text):
    """Whatever the text, it is data or a SceneError, and a short message."""
    bench = sled()
    for document in (text, f"hand.force (N),trial\n{text}"):
        message = ""
        try:
            measured.parse(document, bench)
        except SceneError as error:
            message = str(error)
        assert len(message) < 1000


# Comparing.


def csv_of(*columns, rows):
    return "\n".join([",".join(columns), *(",".join(map(str, row)) for row in rows)]) + "\n"


def test_the_budget_of_a_pull_up_a_ramp_by_hand():
    """The predicted pull's uncertainty is that of F = m g (h + mu sqrt(l^2 - h^2)) / l worked out
    by hand from a 1 g balance and a 1 mm rule; the measured one's, graduation, zero and scatter."""
    text = csv_of(
        "trial", "hand.force (N)", rows=[("graduation", 0.1), (1, 9.4), (2, 9.3), (3, 9.5)]
    )
    (row,) = of_sled(text).rows
    m, length, rise, mu = slipway(sled())
    base = math.sqrt(length**2 - rise**2)
    by_mass = G * (rise + mu * base) / length
    by_rise = m * G * (1.0 - mu * rise / base) / length
    # At fixed rise: d/dl of (h + mu b)/l, with db/dl = l/b.
    by_length = m * G * (mu * length / base / length - (rise + mu * base) / length**2)
    small = 0.001 / (2 * math.sqrt(3.0))
    hand = math.sqrt((by_mass * small) ** 2 + (by_rise * small) ** 2 + (by_length * small) ** 2)
    assert near(row.predicted_u, hand, rel=1e-6)
    scatter = 0.1 / math.sqrt(3.0)
    assert near(
        row.measured_u, math.hypot(scatter, math.sqrt(2.0) * 0.1 / math.sqrt(12.0)), rel=1e-9
    )
    assert near(row.percent_difference, 100 * (9.4 - row.predicted) / row.predicted, rel=1e-12)
    assert near(
        row.ratio, abs(row.difference) / (row.k * math.hypot(hand, row.measured_u)), rel=1e-6
    )
    assert near(math.fsum(line.share for line in row.budget), 1.0, abs=1e-5)


# Trials that are none, or that stand apart.


@pytest.mark.parametrize(
    "words",
    [
        ["mean", "std"], ["Average", "Std. dev."], ["MEAN of 3", "max"], ["TOTAL", "st dev"],
        ["Promedio", "Desviación estándar"], ["media:", "mínimo"], ["Mediana", "desv."],
        ["Mittelwert", "Durchschnitt"],
    ],
)  # fmt: skip
@pytest.mark.parametrize("column", ["trial", "student"])
def test_rows_that_sum_up_are_no_trials(words, column):
    """A row called a mean, a total or a scatter, in English or Spanish, is left out and told of:
    neither count, mean, scatter nor the last place written are changed by it."""
    if column == "student":
        words = [word for word in words if word not in ("max", "mínimo", "desv.")]
    alone = csv_of(column, "hand.force (N)", rows=[(1, 11.5), (2, 11.4), (3, 11.6)])
    more = alone + "".join(f"{word},11.466666\n" for word in words)
    found = measured.parse(more, sled())
    assert found.summaries == tuple(enumerate(words, 5))
    assert replace(found, summaries=()) == measured.parse(alone, sled())


def test_rows_left_out_are_told_of():
    """A comparison says which rows it has left out, and is the same without them."""
    alone = csv_of("trial", "hand.force (N)", rows=[(1, 11.5), (2, 11.4), (3, 11.6)])
    (row,) = of_sled(alone).rows
    found = of_sled(alone + "mean,11.466666\nDesviación estándar,11.466666\n")
    assert found.rows == (row,) and row.trials == 3
    told = next(str(note) for note in found.notes if "left out" in str(note))
    assert "5 (mean)" in told and "6 (Desviación estándar)" in told
    assert not any("left out" in str(note) for note in of_sled(alone).notes)


def test_students_and_trials_may_be_called_much():
    """A student called Max, a school of Mean Street and a trial 3b are no summaries."""
    rows = [("Max", "3b", 11.5), ("Mean Street School", 2, 11.4), ("Student A", 3, 11.6)]
    text = csv_of("student", "trial", "hand.force (N)", rows=rows)
    assert of_sled(text).rows[0].trials == 3


@pytest.mark.parametrize(
    ("forces", "apart"),
    [
        ([11.5, 115, 11.4], [2]), ([11.5, 1.15, 11.4], [2]), ([11.3, 11.9, 1.15], [3]),
        ([11.5, 115], [1, 2]), ([11.5, 115, 11.4, 114, 11.6], [2, 4]),
        ([11.5, 11.4, 11.5, 11.6, 14.5], [5]), ([11.4, 11.4, 11.5], []), ([11.5, 11.5, 11.5], []),
        ([11.4, 11.4, 11.4, 11.7], []), ([11.0, 11.5, 12.1], []),
    ],
)  # fmt: skip
def test_a_trial_that_stands_apart_is_named(forces, apart):
    """A slipped decimal point (common practice, no source) or another outlier widens the scatter
    until all agrees: it is named, and nothing is said to agree by it; ordinary scatter and
    rounding are no outliers."""
    rows = [("graduation", "", 0.1), *((n, "Student A", f) for n, f in enumerate(forces, 1))]
    text = csv_of("trial", "student", "hand.force (N)", rows=rows)
    found = of_sled(text)
    named = [str(note) for note in found.notes if "stands apart" in str(note)]
    assert [
        f"trial {n}, Student A (row {n + 2})" in note for n, note in zip(apart, named, strict=True)
    ] == [True] * len(apart)
    assert len(named) == len(apart)
    (row,) = found.rows
    assert [one.row for one in row.apart] == [n + 2 for n in apart]
    assert ("not judged" in row.verdict) == bool(apart)
    assert not (apart and (row.agrees or found.explanations))


def test_a_haul_that_stands_apart_is_no_agreement_either():
    """The line hauled goes into what is predicted: a slip there is named too."""
    rows = [(40, 10.0), (40, 10.0), (4, 10.0)]
    text = csv_of("hand.travel (cm)", "ballast.rise (cm)", rows=rows)
    found = compare(tackle(), measured.parse(text, tackle()))
    assert not found.agrees and any("Effort distance: row 4" in str(note) for note in found.notes)


def test_outliers_against_published_values():
    """Grubbs' critical values, two-sided: of eight readings the handbook's example names 245.57 (G
    = 2.4688 over 2.032 at 5 %) (NIST/SEMATECH e-Handbook, 1.3.5.17.1, from memory), which 1 % does
    too; of Gaussian readings as few as the level says are taken for outliers."""
    mass = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]
    assert standing_apart(mass) == [7]
    assert near((245.57 - np.mean(mass)) / np.std(mass, ddof=1), 2.4688, rel=1e-4)
    chance = np.random.default_rng(7)
    for count, level in ((3, 0.05), (4, 0.01)):
        alarms = sum(bool(standing_apart(chance.normal(size=count))) for _ in range(1000))
        assert binom.ppf(1e-4, 1000, level) <= alarms <= binom.ppf(1 - 1e-4, 1000, level)


def test_a_negative_quantity_differs_by_its_size():
    """What is the greater in size differs by more than nought, whichever way it points."""
    row = compare(sled(), measured.parse("hand.force (N)\n11.5\n", sled())).rows[0]
    for predicted_, measured_, percent in ((-4.0, -5.0, 25.0), (-4.0, -3.0, -25.0), (4, -4, -200)):
        one = replace(row, predicted=predicted_, measured=measured_)
        assert near(one.percent_difference, percent, rel=1e-12)


def test_the_arm_of_a_rope_is_an_input_too():
    """A lever's effort arm, written in the rope's reeve, moves the pull as F = W a / b says."""
    lever = scene("lever_first_class")
    inputs = measured_inputs(lever)
    assert {"line@spike", "spike.fulcrum", "bracket.on", "bracket.mass"} <= set(inputs)
    # The spike balances by itself: 2 kg at 20 cm against the hand at 70 cm.
    for arm in (0.95, 0.94):
        force = predicted(lever, {"line@spike": arm})["hand.force"]
        assert near(force, 2.0 * G * 0.20 / (arm - 0.25), rel=1e-3)


def test_data_that_fit_agree():
    """Readings rounded from what theory predicts agree, whatever the set-up, and nothing needs to
    be accounted for."""
    bench = tackle()
    rows = [("graduation", "", 0.1)]
    for grams in (500, 1000, 1500):
        force = theory.predict(revised(bench, {"ballast.mass": grams / 1000})).quantities[
            "hand.force"
        ]
        rows += [(n, grams, round(force, 1)) for n in (1, 2)]
    text = csv_of("trial", "ballast.mass (g)", "hand.force (N)", rows=rows)
    found = compare(bench, measured.parse(text, bench))
    assert found.agrees and found.explanations == () and len(found.rows) == 3
    assert found.rows[0].setup == "ballast.mass 500 g"


def test_distances_are_predicted_for_the_line_that_was_hauled():
    """40 cm of line raises a four-part load 10 cm, whatever stroke the scene has (common practice,
    no source: exact by the count of parts)."""
    text = csv_of("hand.travel (cm)", "ballast.rise (cm)", rows=[(40, 10.0), (20, 5.0)])
    for travel in ("40 cm", "20 cm"):
        bench = tackle(hand__travel=travel)
        found = compare(bench, measured.parse(text, bench))
        assert [row.quantity for row in found.rows] == ["ballast.rise", "machine.velocity_ratio"]
        assert near(found.rows[0].predicted, 0.30 / 4, rel=1e-3)
        assert found.agrees
    alone = "ballast.rise (cm)\n5.4\n"
    found = compare(tackle(), measured.parse(alone, tackle()))
    first, last = tackle().stroke
    assert near(found.rows[0].predicted, (last - first) / 4, rel=1e-3)


def test_a_wider_instrument_makes_the_same_difference_agree():
    """0.3 N off disagrees on a gauge of 0.05 N divisions and agrees on one of 1 N."""
    verdicts = []
    for division in (0.05, 1.0):
        text = csv_of(
            "trial", "hand.force (N)", rows=[("graduation", division), (1, 9.7), (2, 9.7)]
        )
        verdicts.append(of_sled(text).agrees)
    assert verdicts == [False, True]


def test_trade_fact_sled_on_a_ramp():
    """Common practice, no source: a 2.63 kg body on a ramp 1.10 m by 22 cm wants 5.15 N without
    friction; a gauge read 11.5 N, which sliding friction near 0.25 accounts for, an efficiency
    near 45 %; no plausible zero does."""
    theirs = {"sled__mass": "2.63 kg", "slip__length": "1.10 m", "slip__rise": "22 cm"}
    ideal = sled(**theirs, slip__kinetic_friction="0", slip__static_friction="0")
    text = csv_of("trial", "hand.force (N)", rows=[(1, 11.5), (2, 11.5)])
    found = compare(ideal, measured.parse(text, ideal))
    assert not found.agrees
    assert near(found.rows[0].predicted, 5.15, abs=0.01)
    first = found.explanations[0]
    assert first.effect.keys == ("slip.kinetic_friction",) and first.accounts and first.plausible
    assert near(first.value, 0.25, abs=0.005)
    with_it = theory.predict(changed(ideal, {"slip.kinetic_friction": first.value})).quantities
    assert near(with_it["hand.force"], 11.5, rel=1e-6)
    assert near(with_it["machine.efficiency"], 0.45, abs=0.005)
    zero = of_effect(found, "the gauge's zero")
    assert near(zero.value, 11.5 - found.rows[0].predicted, rel=1e-6) and not zero.plausible


def test_trade_fact_four_part_tackle():
    """Common practice, no source: 1 kg on four parts wants 2.45 N without losses, a gauge read
    2.8 N: a moving block of (4 x 2.8/g - 1) kg, or bearings whose tension ratio K solves
    P/W = K^4 (K-1)/(K^4-1), would account for it; both are plausible."""
    ideal = tackle(**LOSSLESS, ballast__mass="1 kg")
    text = csv_of("trial", "hand.force (N)", rows=[(1, 2.8), (2, 2.8)])
    found = compare(ideal, measured.parse(text, ideal))
    assert near(found.rows[0].predicted, 2.45, abs=0.005)
    block = of_effect(found, "the moving block's weight")
    assert near(block.value, 4 * 2.8 / G - 1.0, rel=1e-4) and block.accounts and block.plausible
    bearing = of_effect(found, "bearing friction of the sheaves")
    q = bearing.value * 4.0 / 25.0
    ratio = (1 + q) / (1 - q)
    assert near(G * ratio**4 * (ratio - 1) / (ratio**4 - 1), 2.8, rel=1e-4)
    assert bearing.accounts and bearing.plausible
    assert not of_effect(found, "angle of pull").accounts


@pytest.mark.parametrize(
    ("key", "value", "name", "also"),
    [
        ("*.bearing_friction", 0.2, "bearing friction of the sheaves", []),
        ("lower.mass", 0.14, "the moving block's weight", ["the gauge's zero"]),
    ],
)
def test_several_loads_tell_a_bearing_from_a_block(key, value, name, also):
    """With one load either effect would do; over several, a bearing's loss grows with the load and
    a block's weight does not, as a gauge's zero does not, which is then told by its size alone."""
    ideal = tackle(**LOSSLESS)
    rows = []
    for grams in (200, 1000, 4000):
        force = predicted(ideal, {key: value, "ballast.mass": grams / 1000})["hand.force"]
        rows += [(grams, f"{force:.2f}", 0.01)] * 2
    text = csv_of("ballast.mass (g)", "hand.force (N)", "± hand.force (N)", rows=rows)
    found = compare(ideal, measured.parse(text, ideal))
    assert not found.agrees
    assert [each.effect.name for each in found.explanations if each.accounts] == [name, *also]
    first = found.explanations[0]
    assert first.plausible and near(first.value, value, abs=3 * first.u)
    assert not any(each.plausible for each in found.explanations[1:])


def test_data_without_friction_beside_a_scene_with_it():
    """The reverse: ideal data beside a scene with friction want its coefficient to be nought, which
    is not plausible for wood."""
    rough = sled()
    m, length, rise, _ = slipway(rough)
    pull = round(m * G * rise / length, 2)
    text = csv_of("hand.force (N)", "± hand.force (N)", rows=[(pull, 0.02)] * 3)
    found = compare(rough, measured.parse(text, rough))
    sliding = of_effect(found, "sliding friction")
    assert near(sliding.value, 0.0, abs=2 * sliding.u) and sliding.accounts
    assert not sliding.plausible


def test_a_bars_own_mass_is_found():
    """A bar taken as near weightless: its mass, which the pull shows, is recovered."""
    bench = scene("lever_second_class")
    lever = next(name for name in bench.parts if f"{name}.fulcrum" in measured_inputs(bench))
    truth = bench.parts[lever].mass
    light = revised(bench, {f"{lever}.mass": 1e-4})
    force = theory.predict(bench).quantities["hand.force"]
    data = csv_of("hand.force (N)", "± hand.force (N)", rows=[(f"{force:.4f}", 0.005)] * 2)
    found = compare(light, measured.parse(data, light))
    mass = of_effect(found, "the bar's own mass")
    assert near(mass.value, truth, abs=3 * mass.u + 1e-6) and mass.accounts


def test_a_block_is_not_sought_lighter_than_its_sheaves():
    """The search for the moving block's mass ends at what its sheaves weigh, 2 x 5 g."""
    effect = next(e for e in effects.effects(tackle()) if e.name == "the moving block's weight")
    assert near(effect.low, 2 * 0.005, rel=1e-12)


def test_what_ends_at_a_bound_of_the_search_is_not_plausible():
    """A value that the search could not go beyond is told as a bound, without an uncertainty; one
    it could is told to the place of its uncertainty."""
    effect = next(e for e in effects.effects(tackle()) if e.name.startswith("bearing"))
    for value, said, plausible in (
        (effect.high, "would have to be more than 5 (now 0.2): not plausible", False),
        (0.2904, "would have to be 0.290 ± 0.025 (now 0.2): plausible", True),
        (0.0, "would have to be 0.000 ± 0.025 (now 0.2): plausible", True),
    ):
        found = effects.Explanation(effect, value, 2.9 if value == effect.high else 0.025, 1, 1)
        assert said in str(found.account) and found.plausible == plausible


def test_an_angle_of_pull_is_found():
    """A line drawn 10 degrees down towards the board pulls harder; the angle is recovered."""
    bench = sled()
    force = predicted(turned_pull(bench, math.radians(-10.0)), {})["hand.force"]
    assert force > 1.03 * predicted(bench, {})["hand.force"]
    data = csv_of("hand.force (N)", "± hand.force (N)", rows=[(f"{force:.4f}", 0.005)] * 2)
    angle = of_effect(compare(bench, measured.parse(data, bench)), "angle of pull")
    assert near(math.degrees(angle.value), -10.0, abs=0.1) and angle.plausible


# Fitting.


def test_a_fit_in_closed_form():
    """The coefficient from pulls on a ramp is the closed form's: the mean pull, less m g sin a,
    over m g cos a; its u from the readings is s / sqrt n over m g cos a."""
    pulls = [9.2, 9.6, 9.4, 9.5, 9.1]
    text = csv_of("hand.force (N)", rows=[(pull,) for pull in pulls])
    found = fit(sled(), measured.parse(text, sled()), ["slip.kinetic_friction"])
    (one,) = found.estimates
    mass, length, rise, _ = slipway(sled())
    normal = mass * G * math.sqrt(1 - (rise / length) ** 2)
    assert near(one.value, (np.mean(pulls) - mass * G * rise / length) / normal, rel=1e-7)
    assert near(one.u_readings, np.std(pulls, ddof=1) / math.sqrt(5) / normal, rel=1e-5)
    assert found.dof == 4
    assert near(found.inputs[0][1], from_graduation(0.2) / normal, rel=1e-5)
    assert found.inputs[0][0] == "zero of balance"
    assert near(math.hypot(one.u_readings, one.u_inputs), one.u, rel=1e-9)
    # What was measured once for all, by the `uncertainties` package on the closed form.
    millimetre = gram = from_graduation(0.001)
    pull, m = ufloat(float(np.mean(pulls)), from_graduation(0.2)), ufloat(mass, gram)
    length, rise = ufloat(length, millimetre), ufloat(rise, millimetre)
    base = umath.sqrt(length**2 - rise**2)
    assert near(one.u_inputs, ((pull / (m * G) * length - rise) / base).std_dev, rel=1e-3)
    assert near(math.fsum(each.residual for each in found.residuals), 0.0, abs=1e-6)


def test_two_values_are_fitted_at_once():
    """Over several loads a block's weight and a bearing are told apart; over one they are not."""
    bench = tackle()
    truth = {"*.bearing_friction": 0.23, "lower.mass": 0.15}
    rows = []
    for grams in (200, 1000, 3000):
        force = predicted(bench, truth | {"ballast.mass": grams / 1000})["hand.force"]
        rows += [(grams, f"{force:.6f}", 0.001)]
    heads = ("ballast.mass (g)", "hand.force (N)", "u hand.force (N)")
    data = measured.parse(csv_of(*heads, rows=rows), bench)
    bearing, mass = fit(bench, data, list(truth)).estimates
    assert near(bearing.value, 0.23, rel=1e-4) and near(mass.value, 0.15, rel=1e-4)
    one = measured.parse(csv_of(*heads, rows=rows[:1] * 3), bench)
    with pytest.raises(SceneError, match="apart"):
        fit(bench, one, list(truth))


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        (["slip.kinetc"], "kinetic"),
        (["*.bering"], "bearing|allowed"),
        (["slip.kinetic_friction", "slip.kinetic_friction"], "twice"),
        (["sled.width"], "depend"),
        (["line.reeve"], "one value"),
    ],
)
def test_a_fit_that_cannot_be_made_is_refused(keys, said):
    """An unknown key, a key twice, or one that nothing measured depends on."""
    data = measured.parse("hand.force (N)\n9.4\n9.6\n", sled())
    with pytest.raises(SceneError, match=said):
        fit(sled(), data, keys)


CLASSES = 1000 if LONG else 400
TRIALS = 8


@cache
def interpolated(make, key, settings_of_trials, low, high, degree=12):
    """What theory predicts for the pull, as a polynomial in the fitted value through Chebyshev
    points, one for each set-up: theory's 7 ms is too long for a thousand classes. Held against
    theory between the points, to 1e-7."""
    bench, coefficients, orders = make(), [], np.arange(degree + 1)
    for chosen in settings_of_trials:
        values = dict(chosen)

        def pull(x, values=values):
            return predicted(bench, values | {key: float(x)})["hand.force"]

        made = np.polynomial.Chebyshev.interpolate(
            lambda xs, pull=pull: np.array([pull(x) for x in xs]), degree, [low, high]
        )
        for x in np.linspace(low, high, 5) + 0.37 * (high - low) / degree:
            if x <= high:
                assert near(float(made(x)), pull(x), rel=1e-7)
        coefficients.append(made.coef)
    middle, half = 0.5 * (high + low), 0.5 * (high - low)
    rows = np.array(coefficients)
    # T_n(cos a) = cos(n a): all the polynomials at once.
    return lambda x: rows @ np.cos(orders * np.arccos(np.clip((x - middle) / half, -1.0, 1.0)))


def coverage_of(make, key, truth, span, set_ups, division, tremor, masses, seed, *, shared_too):
    """The share of simulated classes whose 95 % interval holds the truth. Each trial has tremor,
    and is read to the nearest division; with `shared_too` each class also has its own gauge zero
    and true masses, off by rounding to a division and to 1 g. The truth is each class's own, within
    0.01: means of eight rounded readings lie on a lattice of an eighth of a division, and where one
    truth for all lies on it moves the share by up to 2 %."""
    rng = np.random.default_rng(seed)
    low, high = span
    bench = make()
    pulls_at = interpolated(make, key, tuple(tuple(s.items()) for s in set_ups), low, high)
    at = np.repeat(np.arange(len(set_ups)), TRIALS // len(set_ups))

    def model(parameters):
        x = float(parameters[0])
        if not low <= x <= high:
            raise NoAnswer(facts.NOT_ALLOWED(problem="outside what was interpolated"))
        return pulls_at(x)[at]

    # The pull's slope by each mass is taken at the truth, once for all classes.
    columns = []
    for name, common in masses.items():
        slopes = []
        for values in set_ups:
            mass = values.get(name, common)
            more, less = (
                predicted(bench, values | {key: truth, name: mass + by})["hand.force"]
                for by in (1e-5, -1e-5)
            )
            slopes.append((more - less) / 2e-5)
        slopes = np.array(slopes)
        own = name in set_ups[0]
        columns += [slopes[at] * (at == i) for i in range(len(set_ups))] if own else [slopes[at]]
    by_mass = np.array(columns).T
    u_reading, u_mass = from_graduation(division), from_graduation(0.001)
    shared = np.hstack([by_mass * u_mass, np.full((len(at), 1), u_reading)]) * shared_too
    start = np.array([0.5 * (low + high)])
    bounds = np.array([low]), np.array([high])
    held = 0
    for _ in range(CLASSES):
        true = truth + rng.uniform(-0.01, 0.01)
        pulls = model([true]) + rng.normal(0.0, tremor, len(at))
        if shared_too:
            pulls += by_mass @ rng.uniform(-0.0005, 0.0005, by_mass.shape[1])
            pulls += rng.uniform(-0.5, 0.5) * division
        read = np.round(pulls / division) * division
        sigma = np.full(len(at), u_reading)
        _, _, least, most = least_squares(model, read, sigma, start, bounds, shared).interval()
        held += least <= true <= most
    return held / CLASSES


SLIPWAY = (
    "slip.kinetic_friction",
    0.237,
    (0.05, 0.45),
    [{}],
    0.2,
    0.15,
    {"sled.mass": slipway(sled())[0]},
    11,
)
LOADS = [{"ballast.mass": kg} for kg in (0.5, 0.8, 1.1, 1.4)]
BLOCKS = {"ballast.mass": 0.0, "lower.mass": value_of(tackle(), "lower.mass")}
PURCHASE = ("*.bearing_friction", 0.21, (0.0, 0.6), LOADS, 0.1, 0.08, BLOCKS, 12)


@pytest.mark.parametrize("shared_too", [False, True])
@pytest.mark.parametrize(("make", "case"), [(sled, SLIPWAY), (tackle, PURCHASE)])
def test_coverage_of_fitted_values(make, case, shared_too):
    """In 400 simulated classes of eight trials (1000 in a long campaign), the 95 % interval of a
    fitted coefficient of sliding friction, and of one bearing coefficient over four loads, holds
    the truth in 95 % of them, within binomial sampling error (99.7 %): with tremor and rounding
    alone, and with the rounding of zero and masses too."""
    found = coverage_of(make, *case, shared_too=shared_too)
    low, high = binom.interval(0.997, CLASSES, 0.95)
    assert low <= found * CLASSES <= high, found


# The command.


def test_compare_prints_and_exits(tmp_path):
    """`compare` prints a table and a verdict: 0 where all agrees, 1 where anything does not."""
    path = tmp_path / "slip.csv"
    path.write_text("trial,student,hand.force (N)\n1,[red]Student A,9.4\n2,Student B,9.3\n")
    result = inside("compare", "sled_drawn_up", path, "--budget")
    assert result.returncode == 0, result.stderr
    for word in (
        "agrees within uncertainty",
        "reading of Effort",
        "1 of 1 rows",
        "slip.rise",
        "type A",
    ):
        assert word in result.stdout
    result = inside("compare", "sled_drawn_up", path, "--set", "slip.kinetic_friction=0.1")
    assert result.returncode == 1, result.stderr
    assert "does not agree" in result.stdout and "1. sliding friction" in result.stdout


def test_compare_json_with_a_fit(tmp_path):
    """With --json standard output is one document, in it the fit."""
    path = tmp_path / "slip.csv"
    path.write_text("hand.force (N)\n9.4\n9.3\n9.6\n")
    result = inside(
        "compare",
        "sled_drawn_up",
        path,
        "--json",
        "--fit",
        "slip.kinetic_friction",
        "--set",
        "slip.kinetic_friction=0",
    )
    assert result.returncode == 1, result.stderr
    document = json.loads(result.stdout)
    assert not document["agrees"]
    assert document["explanations"][0]["effect"] == "sliding friction"
    (one,) = document["fit"]["estimates"]
    assert one["low"] < one["value"] < one["high"] and near(
        one["value"], slipway(sled())[3], abs=0.01
    )


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("sled_drawn_up", "none.csv"), ("none.csv", "no such file")),
        (("sled_drawn_up", "slip.csv", "--fit", "slip.kinetc"), ("slip.kinetc", "kinetic")),
        (("sled_drawn_up", "slip.csv", "--fit", "hand.on"), ("hand.on",)),
        (("sled_let_slide", "slip.csv"), ("hand.force", "sled.")),
        (("fixed_sheave", "ramp.csv"), ("ramp.csv", "row 1", "slip.kinetic_friction")),
        (("sled_drawn_up", "locked.csv"), ("allowed",)),
    ],
)
def test_bad_comparisons_are_refused(tmp_path, words, said):
    """Bad input: one message and exit code 2."""
    (tmp_path / "slip.csv").write_text("hand.force (N)\n9.4\n")
    (tmp_path / "ramp.csv").write_text("hand.force (N),slip.kinetic_friction\n9.4,0.2\n")
    (tmp_path / "locked.csv").write_text("hand.force (N),slip.kinetic_friction\n9.4,9\n")
    refused(inside("compare", *words, cwd=tmp_path), *said)


def test_a_gauges_reading_and_the_pull_it_shows():
    """What the scene's own gauge with a zero shows is compared with that zero; the pull without."""
    bench = sled(balance__zero="0.4 N")
    force = theory.predict(bench).quantities["hand.force"]
    text = csv_of("hand.force (N)", "balance.reading (N)", rows=[(force, force + 0.4)])
    found = compare(bench, measured.parse(text, bench))
    assert found.agrees
    for row in found.rows:
        assert near(row.difference, 0.0, abs=1e-9)
