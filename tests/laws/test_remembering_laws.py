"""What is remembered of vehicles, places and trains changes no answer."""

import sys

import msgspec
from hypothesis import given

from standage.questions.train_fit import TrainFitCase, reckon
from standage.railway.roads.places import Place
from standage.railway.stock.trains import Train
from support.trains import any_places, any_vehicles, trains


def forget() -> int:
    """Empty every memory of the railway's rooms and of the questions; return how many
    there were.
    """
    rooms = [
        one
        for name, one in sys.modules.items()
        if name.startswith(("standage.railway", "standage.questions"))
    ]
    memories = {
        id(one): one
        for room in rooms
        for one in vars(room).values()
        if hasattr(one, "cache_clear")
    }
    for one in memories.values():
        one.cache_clear()
    return len(memories)


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
        TrainFitCase(train=train, place=place, on_record=known)
        for known in (True, False)
        for place in (first, second)
    ]
    for case in cases:
        reckon(case)
    remembered = [answered(case) for case in cases]
    fresh = []
    for case in cases:
        assert forget()
        fresh.append(answered(case))
    assert remembered == fresh
