"""What the lab asks of each kind of part."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import IntEnum
from typing import Generic, Literal, NamedTuple, TypeVar, get_args

from sandbox import units
from sandbox.lab import facts
from sandbox.lab.working.forces import Forces, RiseRule, Stroke
from sandbox.lab.working.lines import Alone, UnworkedError
from sandbox.language.display import Display
from sandbox.scene import Frame, Part, PointMass, Scene
from sandbox.scene.parts import Loss, Mount

P = TypeVar("P", bound=Part)


class Danger(IntEnum):
    """Of what a caution warns; the order is that in which cautions are given."""

    FALLING_LOAD = 1
    PARTING_LINE = 2
    TURNING_SHEAVE = 3
    SPINNING_WHEEL = 4
    MESHING_TEETH = 5
    SLIDING_BODY = 6
    SLIPPING_TURN = 7
    SWINGING_BAR = 8
    LOOSE_STAND = 9
    OVERLOADED_GAUGE = 10
    TOPPLING_LOAD = 11


class Caution(NamedTuple):
    """A sentence on what to take care of."""

    danger: Danger
    text: str


class Friction(NamedTuple):
    """A part's friction, as what may account for what was measured."""

    name: str
    shared: bool = False
    """True where one value is sought for all parts that have friction of this name."""
    most: float | None = None
    """The most of it that is plausible, with its source; None: what `effects` has for the loss."""
    source: str = ""


class Varied(NamedTuple):
    """A "PART.KEY" to vary, and its bounds, SI."""

    key: str
    low: float
    high: float


Form = Literal["dial", "rule", "protractor", "stopwatch"]
FORMS = get_args(Form)
"""In the order in which a bench's instruments are listed."""


@dataclass(frozen=True)
class Instrument:
    """One instrument: what it measures and how it is marked, in its own unit."""

    quantity: str
    form: Form
    dimension: units.Dimension
    unit: str
    low: float
    high: float
    division: float
    scatter: float = 0.0
    """Standard deviation of what the hand that works it adds, SI."""

    @property
    def divisions(self) -> int:
        """How many divisions its scale has."""
        return max(1, round((self.high - self.low) / self.division))


@dataclass(frozen=True)
class Moving(Generic[P]):
    """What is asked of a kind of part that moves, for a worked answer."""

    own_mass: Callable[[P], PointMass]
    """What weighs of the part itself, at a place in its frame's axes."""
    balance: Callable[[Forces, Frame, P], None]
    """Writes the lines of the forces on its frame, which give the one rope's tension that is still
    unknown there. Raises UnworkedError."""
    rises: Callable[[Stroke, P], Iterable[RiseRule]]
    """Plain rules that may give the rise of the load: of what carries it, and of each wheel."""
    held: Callable[[Alone, P], None]
    """Writes the lines of what bears it where nobody holds it, alone. Raises UnworkedError."""
    let_go: Callable[[Alone, P], None]
    """Writes the lines of what it does when it is let go, alone. Raises UnworkedError."""
    timed: str
    """What of it a stopwatch times, a text of the catalogues, {part} its name; "" where none can.
    """


@dataclass(frozen=True)
class PartEntry(Generic[P]):
    """The lab's answers for one kind of part. Nothing has a default: where the lab has nothing to
    say of a kind, its entry says so (`nothing`, `no_stand` and their like, or no words)."""

    apparatus: Callable[[Scene, P, Display], Iterable[str]]
    """What is to be set out, for that reader: a line with its sizes and its friction."""
    cautions: Callable[[Scene, P, Display], Iterable[Caution]]
    """What to take care of, for that reader."""
    frictions: Callable[[Scene, P, Loss], Iterable[Friction]]
    """Asked for each loss of its keys: the friction it has in this scene, if any."""
    instruments: Callable[[Scene, P], Iterable[Instrument]]
    """The instruments that it is, or that are held to it."""
    stand: Callable[[Scene, P], float | None]
    """What it weighs itself, N, on the stand that holds it, which theory does not count among that
    stand's forces; None where no stand holds it."""
    least_mass: Callable[[P], float]
    """The least mass, kg, that its own key `mass` may say: 0 where nothing of it weighs apart."""
    varied: Callable[[Scene, P, str, Mount], Iterable[Varied]]
    """What a teacher varies first of how the named load stands or hangs on it, at that place."""
    moving: Moving[P] | None
    """What is asked of it as a thing that moves; None where it is none, or the hand."""
    reaction: str
    """What its `reaction` is, a text of the catalogues, {part} its name; "" where it has none."""
    forward: str
    """The same of its `acceleration`, with the direction in which that is positive, as a question
    begins."""


def nothing(*_asked: object) -> tuple[()]:
    """The lab has nothing to say of such a part."""
    return ()


def never_held(_alone: Alone, _part: Part) -> None:
    """What bears such a part alone is not written out."""
    raise UnworkedError(facts.NOT_ONE_BAR())


def never_alone(_alone: Alone, _part: Part) -> None:
    """Such a part is not let go alone, or its working is not written out."""
    raise UnworkedError(facts.SEVERAL_MOVE())


def no_least_mass(_part: Part) -> float:
    """Nothing of such a part weighs apart."""
    return 0.0


def no_stand(_scene: Scene, _part: Part) -> None:
    """No stand holds such a part."""


def clamp(display: Display) -> Caution:
    """The caution of all that a stand or hook holds."""
    text = display.say("Clamp stands and hooks to the bench; try them with a light pull.")
    return Caution(Danger.LOOSE_STAND, text)
