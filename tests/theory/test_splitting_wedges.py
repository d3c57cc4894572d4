"""A wedge between two jaws: driven in, drawn out, held and let go."""

from __future__ import annotations

import math
from dataclasses import dataclass

import pytest

from sandbox.scene import Unanswerable
from sandbox.theory import predict, solve, textbook
from tests.theory.scenes import G, answers, head, parsed, sentences
from tests.tolerance import near

ROD = (
    '[rope.pole]\nreeve = ["splitter", "hand"]\nrod = true\n'
    '[hand.hand]\nat = ["0 m", "3 m"]\nheading = "-90 deg"\ntravel = "20 cm"\n'
)
UP = (
    '[rope.pole]\nreeve = ["splitter", "hand"]\n[hand.hand]\nat = ["0 m", "3 m"]\ntravel = "5 cm"\n'
)


@dataclass(frozen=True)
class Case:
    """A wedge of half a metre between two jaws, each drawn inwards by a weight over a sheave."""

    half: float = 12.0
    face: float = 0.0
    floor: float = 0.0
    guide: float = 0.0
    left: float = 2.0
    right: float = 3.0
    wedge: float = 0.4
    jaw: float = 0.7

    def scene(self, sense: str, more: str = ROD) -> str:
        """As TOML. The wedge's point is 10 cm in, the floor 1.05 m high."""
        text = head(sense, "heavy" if self.right else "") + (
            f'[splitting_wedge.splitter]\nat = ["0 m", "2 m"]\nangle = "{2 * self.half!r} deg"\n'
            'length = "50 cm"\ninitial_travel = "10 cm"\n'
            f"face_friction = {self.face!r}\nfloor_friction = {self.floor!r}\n"
            f"guide_friction = {self.guide!r}\n"
            f'wedge_mass = "{self.wedge!r} kg"\njaw_mass = "{self.jaw!r} kg"\n'
        )
        for jaw, way, share, name, mass in (
            ("left", 1.0, 0.35, "light", self.left),
            ("right", -1.0, 0.65, "heavy", self.right),
        ):
            if mass:
                height = 1.05 + share * 0.55 - 0.05
                # Laid from left to right, so that its weight hangs plumb outside the sheave.
                reeve = [f"splitter.{jaw}", f"{name}s.1", name][:: int(way)]
                text += (
                    f'[block.{name}s]\nat = ["{way * 2.0!r} m", "{height!r} m"]\nradius = "5 cm"\n'
                    f"[rope.{name}r]\nreeve = {reeve!r}\n".replace("'", '"')
                    + f'[weight.{name}]\nmass = "{mass!r} kg"\nat = ["plumb", "40 cm"]\n'
                )
        return text + more

    def normals(self, sign: float) -> tuple[float, float]:
        """Of both faces, N, by the components of every force, with no angle of friction: of a jaw
        N (cos a - m sin a) = H + f (N (sin a + m cos a) + w), all frictions turned round where the
        wedge comes up."""
        along, down = self.shares(sign)
        floor = sign * self.floor
        pressed, drag = along - floor * down, floor * self.jaw * G
        return (self.left * G + drag) / pressed, (self.right * G + drag) / pressed

    def shares(self, sign: float) -> tuple[float, float]:
        """Of each newton of normal force, what pushes the jaw aside, and what presses it down."""
        a, m = math.radians(self.half), sign * self.face
        return math.cos(a) - m * math.sin(a), math.sin(a) + m * math.cos(a)

    def push(self, sign: float) -> float:
        """What drives the wedge in (+1), or just lets it come up (-1), N."""
        (along, down), (left, right) = self.shares(sign), self.normals(sign)
        aside = abs(along * (left - right))
        return down * (left + right) + sign * self.guide * aside - self.wedge * G


CASES = [
    Case(),
    Case(12.0, 0.2, 0.15, 0.1),
    Case(20.0, 0.1, 0.0, 0.3, 5.0, 1.0),
    Case(15.0, 0.1, 0.25, 0.2, 2.0, 4.0),
    Case(50.0, 0.05, 0.05, 0.05, 3.0, 3.0, jaw=0.1),
]


@pytest.mark.parametrize("case", CASES)
def test_what_drives_it_in_and_what_it_takes_to_hold_it(case: Case) -> None:
    """Steadily driven in, let up and held it takes what the components of the forces give, and so
    do both faces."""
    tangent = math.tan(math.radians(case.half))
    into, back = case.push(1.0), case.push(-1.0)
    found = answers(case.scene("raising"))
    assert near(found["hand.force"], into, rel=1e-9)
    for side, normal in zip(("left", "right"), case.normals(1.0), strict=True):
        whole = math.hypot(normal, case.face * normal)
        assert near(found[f"splitter.{side}_face_force"], whole, rel=1e-9)
    assert near(found["machine.velocity_ratio"], 1.0 / tangent, rel=1e-9)
    assert near(found["splitter.driven"], 0.12, rel=1e-9)
    assert near(found["heavy.rise"], 0.12 * tangent, rel=1e-9)
    held = predict(parsed(case.scene("held"))).quantities
    assert near(held["hand.greatest_force"], into, rel=1e-9)
    assert near(held["hand.least_force"], back, rel=1e-9)
    up = answers(case.scene("lowering").replace('travel = "20 cm"', 'travel = "5 cm"'))
    assert near(up["hand.force"], back, rel=1e-9)
    assert up["splitter.driven"] < 0.0


def test_the_published_formula() -> None:
    """Light, on a smooth floor and drawn inwards equally, it takes P = 2 Q tan(alpha + phi), alpha
    being half its angle (Machinery's Handbook, as quoted by engineersedge.com)."""
    for half, face in ((6.0, 0.3), (5.0, 0.35), (12.0, 0.0)):
        case = Case(half, face, left=4.0, right=4.0, wedge=1e-6, jaw=1e-6)
        push = answers(case.scene("raising"))["hand.force"]
        phi = math.degrees(math.atan(face))
        assert near(push, 2 * 4.0 * G * math.tan(math.radians(half + phi)), rel=1e-6)
        book = textbook.splitting_wedge_effort(4.0 * G, math.radians(2 * half), face)
        assert near(push, book, rel=1e-6)
    case = Case(15.0, 0.1, 0.25, left=4.0, right=4.0)
    for sign in (1.0, -1.0):
        book = textbook.splitting_wedge_effort(
            4.0 * G, math.radians(30.0), sign * 0.1, sign * 0.25, case.jaw * G
        )
        assert near(book - case.wedge * G, case.push(sign), rel=1e-12)


@pytest.mark.parametrize("face", [0.1, 0.3])
def test_it_holds_by_itself_up_to_the_angle_of_friction(face: float) -> None:
    """On a smooth floor it stays without a hand just where half its angle is no more than that of
    friction (Singer, Engineering Mechanics, problem 535), and it says so."""
    limit = math.degrees(math.atan(face))
    for half, holds in ((0.99 * limit, True), (1.01 * limit, False)):
        case = Case(half, face, left=4.0, right=4.0, wedge=1e-6, jaw=2.0)
        found = predict(parsed(case.scene("released", "")))
        assert (found.outcome == "holds") == holds
        assert textbook.splitting_wedge_holds(math.radians(2 * half), face) == holds
        (said,) = sentences(found.notes)
        assert ("holds by itself" in said) == holds and ("squeezed out" in said) != holds
        if not holds:
            assert found.quantities["splitter.acceleration"] > 0.0


@pytest.mark.parametrize(("maul", "sign"), [(9.0, 1.0), (0.2, -1.0)])
def test_let_go_it_is_driven_in_or_squeezed_out(maul: float, sign: float) -> None:
    """By d'Alembert: each jaw of mass j goes inwards at t b, b being the acceleration of the wedge
    upwards, t = tan a, and its weight h down; its sheave, a disc of 5 g, takes k = 2.5 g of that:
    N (c - f s) = h (g - t b) - (j + k) t b + f w, and of the wedge
    s (N + N') + q |c (N - N')| = M (g + b), all frictions against the motion."""
    case = Case(25.0, 0.1, 0.08, 0.12, 1.5, 2.5)
    text = case.scene("released", f'[weight.maul]\nmass = "{maul} kg"\non = "splitter"\n')
    found = answers(text)
    along, down = case.shares(sign)
    t, floor = math.tan(math.radians(case.half)), sign * case.floor
    mass, pressed = case.wedge + maul, along - floor * down

    def normal(hung: float, up: float) -> float:
        turning = case.jaw + 0.0025
        return (hung * (G - t * up) + floor * case.jaw * G - turning * t * up) / pressed

    def left_over(up: float) -> float:
        one, two = normal(case.left, up), normal(case.right, up)
        aside = sign * case.guide * abs(along * (one - two))
        return down * (one + two) + aside - mass * (G + up)

    none, some = left_over(0.0), left_over(1e-3)
    up = 1e-3 * none / (none - some)
    assert up * sign < 0.0 and near(left_over(up), 0.0, abs=1e-9)
    assert near(found["splitter.acceleration"], up, rel=1e-9)
    assert near(found["heavy.acceleration"], -t * up, rel=1e-9)
    whole = normal(case.left, up) * math.hypot(1.0, case.face)
    assert near(found["splitter.left_face_force"], whole, rel=1e-9)


def test_one_that_sticks_is_drawn_out_by_its_head() -> None:
    """By the force that the components give with all frictions turned round. A jaw that weighs
    less than what the face lifts it by is lifted off its floor, and that is refused."""
    case = Case(8.0, 0.3, 0.2, 0.1, 2.0, 3.0, jaw=3.0)
    assert case.push(-1.0) < 0.0
    found = answers(case.scene("raising", UP))
    assert near(found["hand.force"], -case.push(-1.0), rel=1e-9)
    assert found["splitter.driven"] < 0.0 and found["heavy.rise"] < 0.0
    _, down = case.shares(-1.0)
    lifted = -down * case.normals(-1.0)[1]
    assert 0.0 < lifted < 3.0 * G
    light = Case(8.0, 0.3, 0.0, 0.0, 20.0, 30.0, jaw=0.2)
    with pytest.raises(Unanswerable, match="jaw of splitter is lifted off its floor"):
        predict(parsed(light.scene("raising", UP)))


def test_jaws_with_nothing_but_friction_hold_it_and_let_it_in() -> None:
    """With no rope on them jaws give way to P + W = 2 s f w / (c - f s) (as above), and stay where
    they are when the wedge is drawn up: its faces come off them."""
    case = Case(12.0, 0.2, 0.4, 0.1, 0.0, 0.0, wedge=0.1, jaw=2.0)
    gives = case.push(1.0) + case.wedge * G
    for share, outcome in ((0.99, "holds"), (1.01, "accelerates")):
        mass = share * gives / G - case.wedge
        maul = f'[weight.maul]\nmass = "{mass!r} kg"\non = "splitter"\n'
        found = predict(parsed(case.scene("released", maul)))
        assert found.outcome == outcome
    maul = '[weight.maul]\nmass = "10 g"\non = "splitter"\n'
    driven = answers(case.scene("raising", ROD + maul))
    assert near(driven["hand.force"], case.push(1.0) - 0.01 * G, rel=1e-9)
    with pytest.raises(Unanswerable, match="the left face of splitter comes off its jaw"):
        predict(parsed(case.scene("raising", UP + maul)))


def test_a_rod_pushes_a_jaw_in_and_a_rope_off_plumb_presses_on_the_guide() -> None:
    """A rod against the right jaw does what a weight on its line does; a rope at its head which
    leads up 1.5 deg off plumb takes off what presses it on the other side of its guide."""
    case = Case(25.0, 0.1, 0.05, 0.1, 2.0, 0.0, wedge=9.0)
    back = (
        '[rope.pole]\nreeve = ["splitter.right", "hand"]\nrod = true\n'
        f'[hand.hand]\nat = ["2 m", "{1.05 + 0.65 * 0.55!r} m"]\nheading = "180 deg"\n'
        'travel = "1 cm"\n'
    )
    found = answers(case.scene("held", back).replace("[scene]\n", '[scene]\nload = "light"\n'))
    pushes = Case(25.0, 0.1, 0.05, 0.1, 2.0, found["hand.least_force"] / G, wedge=9.0)
    assert near(pushes.push(1.0), 0.0, abs=1e-8)
    leaning = UP.replace('"0 m"', f'"{math.tan(math.radians(1.5))!r} m"')
    case = Case(25.0, 0.1, 0.05, 0.4, 1.0, 2.0, wedge=20.0)
    found = answers(case.scene("raising", leaning).replace('travel = "5 cm"', 'travel = "1 mm"'))
    lean = math.radians(1.5)
    needed = -case.push(-1.0) / (math.cos(lean) + 0.4 * math.sin(lean))
    assert near(found["hand.force"], needed, rel=1e-3)


@pytest.mark.parametrize("key", ["angle", "face_friction", "floor_friction", "guide_friction"])
def test_each_of_its_keys_is_found_from_the_effort(key: str) -> None:
    """Asked for as the unknown, from the effort that its value gives, it is found again."""
    case = Case(12.0, 0.2, 0.15, 0.1)
    right = {
        "angle": math.radians(24.0),
        "face_friction": 0.2,
        "floor_friction": 0.15,
        "guide_friction": 0.1,
    }[key]
    found = solve(parsed(case.scene("raising")), f"splitter.{key}", {"hand.force": case.push(1.0)})
    assert any(near(value, right, rel=1e-5) for value in found.values)


def test_an_end_of_its_travel_ends_the_stroke() -> None:
    """Driven until its head meets the jaws, or drawn out, it goes no further, and that is said."""
    case = Case(left=3.0, right=3.0)
    far = case.scene("raising").replace('travel = "20 cm"', 'travel = "60 cm"')
    with pytest.raises(Unanswerable, match="as far as it goes"):
        predict(parsed(far))
