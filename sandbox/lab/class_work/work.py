"""What is known of one student's record once it is judged."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from sandbox.facts import Fact
from sandbox.lab.class_work import predict


class Flag(NamedTuple):
    """Something for the teacher to look at: under which name, and the evidence."""

    what: Fact
    evidence: Fact


class Check(NamedTuple):
    """One reading beside what the pointer showed. SI, but `off` in divisions."""

    trial: int
    quantity: str
    text: str
    value: float | None
    shown: float | None
    off: float | None
    division: float
    last: float
    """What one of the last digit written is worth; infinite where that is not known."""
    scale: float = 0.0
    """The end of a dial's scale, which begins at 0; else 0."""
    true: float | None = None
    """What the bench did in that trial."""
    eye: float = 0.0
    """How far the eye was moved to the right, degrees."""
    setting: tuple[tuple[str, str], ...] = ()
    """What the trial set otherwise than the scene says: "PART.KEY" and the value."""
    struck_out: str | None = None
    """Why it counts no more, where the student struck it out."""

    @property
    def fine(self) -> bool:
        """True where it was read to less than half a division."""
        return self.last < 0.5 * self.division


@dataclass(frozen=True)
class Work:
    """One student's record, judged."""

    file: str
    student: str
    scene: str
    scene_hash: str
    closed: bool
    trials: int
    ended: str
    """When the last entry was made, UTC, by the clock it was made on."""
    times: tuple[str, ...] = ()
    """When each entry was made."""
    verdicts: tuple[tuple[str, predict.Assessment], ...] = ()
    """With the kind of each prediction."""
    checks: tuple[Check, ...] = ()
    shown: Mapping[tuple[int, str], float] = field(default_factory=dict)
    """What a perfect reader would have read, SI, by trial and quantity, in every trial taken."""
    means: Mapping[str, float] = field(default_factory=dict)
    """What the readings come to, SI, the mean over trials."""
    truth: Mapping[str, float] = field(default_factory=dict)
    """What the bench does, SI."""
    rerun: bool = False
    """Whether the bench was, and so readings and predictions are judged."""
    asked: tuple[str, ...] = ()
    """What the scene asks to be predicted."""
    reasons: Mapping[str, str] = field(default_factory=dict)
    """Of first predictions."""
    second_reasons: Mapping[str, str] = field(default_factory=dict)
    flags: tuple[Flag, ...] = ()
    attempt: int = 1
    first_hash: str = ""
    """The hash of the scene of the first attempt."""

    def with_flags(self, flags: Sequence[Flag]) -> Work:
        """The same with more flags."""
        return replace(self, flags=(*self.flags, *flags))

    @property
    def counted(self) -> list[Check]:
        """The readings that count: those that are not struck out."""
        return [check for check in self.checks if check.struck_out is None]

    @property
    def first(self) -> list[predict.Assessment]:
        """The verdicts on first predictions."""
        return [verdict for kind, verdict in self.verdicts if kind == "prediction"]

    def difference(self, quantity: str) -> float | None:
        """Measured against what the bench does, as a share of it: above zero where it is the
        greater in size."""
        mean, true = self.means.get(quantity), self.truth.get(quantity)
        return None if mean is None or not true else mean / true - 1.0
