"""Texts that a student may type at the whip's bench, each with what is asked about it, if anything:
its gauge goes from 0 to 10 N in divisions of 0.1 N, its rules are metre rules in millimetres."""

from __future__ import annotations

from sandbox.lab.class_work import virtual_bench
from sandbox.scene import load
from sandbox.shipped import find_scene

WHIP = virtual_bench.instruments(load(find_scene("fixed_sheave")))
READINGS = [
    ("balance.reading", "5.26 N", ""),
    ("balance.reading", "10 N", ""),
    ("balance.reading", "10.05 N", ""),
    ("balance.reading", "28 N", "The gauge goes to 10 N"),
    ("balance.reading", "0.028 kN", "The gauge goes to 10 N"),
    ("balance.reading", "-0.1 N", "The gauge begins at 0 N"),
    ("balance.reading", "5.262 N", "One division is 0.1 N"),
    ("balance.reading", "5e0 N", ""),
    ("balance.reading", "1.18 lbf", ""),
    ("bag.rise", "240 cm", "The rule is 100 cm long"),
    ("bag.rise", "-2.4 m", "The rule is 100 cm long"),
    ("bag.rise", "-24.02 cm", ""),
    ("bag.rise", "240.2 mm", ""),
    ("bag.rise", "240.25 mm", "One division is 0.1 cm"),
]
PREDICTIONS = [
    ("hand.force", "5.2 N", ""),
    ("hand.force", "5.2 newtons", ""),
    ("hand.force", "5.2 Nt.", ""),
    ("hand.force", "5.2", "The unit is missing, such as N"),
    ("hand.force", "3-4 N", "A number with a unit such as N is asked"),
    ("hand.force", "0.5 kg", "A number with a unit such as N is asked"),
    ("hand.force", "5.2 %", "A number with a unit such as N is asked"),
    ("machine.velocity_ratio", "4", ""),
    ("machine.efficiency", "80 %", ""),
    ("machine.velocity_ratio", "4:1", "A plain number is asked"),
    ("machine.velocity_ratio", "3 N", "A plain number is asked"),
    ("machine.velocity_ratio", "3 or 4", "A plain number is asked"),
]
