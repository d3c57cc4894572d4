"""Theory's registry: every kind of part answers every question, in a module of its own."""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest

from sandbox.facts import Kind
from sandbox.scene import KINDS
from sandbox.scene.parts import keys_of
from sandbox.scene.quantities import QUANTITIES
from sandbox.theory import facts
from sandbox.theory.parts import PARTS
from sandbox.theory.questions import FrameTheory, PartTheory

QUESTIONS = dataclasses.fields(PartTheory)
FRAME_QUESTIONS = dataclasses.fields(FrameTheory)
MOVING = (
    "lever",
    "block",
    "wheel_and_axle",
    "gear",
    "screw",
    "splitting_wedge",
    "wedge",
    "body",
    "weight",
)


def answered(question: dataclasses.Field[Any], answer: Any) -> bool:
    """Whether an answer is one that somebody chose."""
    assert question.default is question.default_factory is dataclasses.MISSING
    return callable(answer) or (answer is None and "None" in str(question.type))


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.name)
@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_answers_every_question(kind: str, question: dataclasses.Field[Any]) -> None:
    """A kind of part has an entry, and none of its answers is a default that nobody chose."""
    answer = getattr(PARTS[KINDS[kind]], question.name)
    if question.name in ("own_distances", "counts"):
        assert set(answer) <= set(keys_of(KINDS[kind])), (kind, question.name)
    elif question.name == "frame":
        assert isinstance(answer, FrameTheory) == (kind in MOVING)
    else:
        assert answered(question, answer)


@pytest.mark.parametrize("question", FRAME_QUESTIONS, ids=lambda question: question.name)
@pytest.mark.parametrize("kind", MOVING)
def test_every_kind_that_moves_answers_for_its_frame(
    kind: str, question: dataclasses.Field[Any]
) -> None:
    """So does a kind that moves by itself, of its frame."""
    frame = PARTS[KINDS[kind]].frame
    assert frame is not None
    answer = getattr(frame, question.name)
    if question.name == "coordinates":
        assert answer in (2, 3)
    elif question.name == "limited":
        assert 0 <= answer <= frame.coordinates
    elif question.name == "turn":
        assert (answer is None) == (frame.coordinates == 2)
        assert answer is None or answer in QUANTITIES
    elif question.name == "accelerates":
        assert isinstance(answer, bool)
    else:
        assert answered(question, answer)


@pytest.mark.parametrize("kind", MOVING)
def test_what_holds_a_frame_can_be_named_and_lost(kind: str) -> None:
    """A kind with supports says what to call them; one with stops also that they are left, and one
    that rests on its stop or tips says so of supports that it has."""
    frame = PARTS[KINDS[kind]].frame
    assert frame is not None
    assert (frame.supports is None) == (frame.support_label is None)
    assert frame.supports is not None or frame.friction is None
    assert frame.stops is None or frame.support_lost is not None
    assert (frame.swing is None) == (frame.on_stop is None)


def test_the_registry_has_every_kind() -> None:
    """The registry holds just the kinds there are, in their order."""
    assert list(PARTS) == list(KINDS.values())


def test_each_kind_of_fact_has_a_code_of_its_own() -> None:
    """Two facts of theory are of one kind just where their codes are the same, and no two kinds
    have the same words."""
    kinds = [each for each in vars(facts).values() if isinstance(each, Kind)]
    assert len({kind.code for kind in kinds}) == len({kind.text for kind in kinds}) == len(kinds)
