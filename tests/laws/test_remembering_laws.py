"""What is remembered of vehicles, places and trains changes no answer."""

import re
from pathlib import Path

import msgspec
from hypothesis import given
from hypothesis import strategies as st

from standage.questions.train_fit import TrainFitCase, reckon
from standage.railway.roads.allowances import GIVEN, SURVEYED
from standage.railway.roads.places import Place
from standage.railway.stock.trains import Train
from standage.shapes.remembering import FEW, MANY, bounds, forget_all, remembered
from support.trains import any_places, any_vehicles, trains


def answered(case: TrainFitCase) -> bytes:
    """Return the answer as it is sent, to a case that comes anew: equal to the one
    given, but another.
    """
    return msgspec.json.encode(
        reckon(msgspec.json.decode(msgspec.json.encode(case), type=TrainFitCase))
    )


@given(train=trains(any_vehicles), first=any_places, second=any_places)
def test_an_answer_is_what_it_was_before_anything_was_remembered(
    train: Train, first: Place, second: Place
) -> None:
    cases = [
        TrainFitCase(train=train, place=place, known_by=known_by)
        for known_by in (SURVEYED, GIVEN)
        for place in (first, second)
    ]
    for case in cases:
        reckon(case)
    remembered = [answered(case) for case in cases]
    fresh = []
    for case in cases:
        assert forget_all()
        fresh.append(answered(case))
    assert remembered == fresh


@given(asked=st.lists(st.integers(0, 9)), most=st.integers(1, 5))
def test_a_memory_works_out_again_what_was_longest_unused_and_nothing_else(
    asked: list[int], most: int
) -> None:
    """Held against a list of what was asked last, the oldest of them first."""
    worked_out: list[int] = []
    known: list[int] = []
    expected: list[int] = []

    def doubled(number: int) -> int:
        worked_out.append(number)
        return 2 * number

    memory = remembered(most=most)(doubled)
    for number in asked:
        assert memory(number) == 2 * number
        if number not in known:
            expected.append(number)
        known = [*(one for one in known if one != number), number][-most:]
    assert worked_out == expected


def test_every_memory_of_what_callers_send_is_bounded_and_made_in_one_place() -> None:
    service = Path(__file__).parents[2] / "service"
    using = {
        file.name
        for file in service.rglob("*.py")
        if re.search(r"\blru_cache\b", file.read_text())
    }
    assert using == {"remembering.py"}
    assert all(bound is not None and bound <= MANY for bound in bounds())
    assert FEW < MANY
