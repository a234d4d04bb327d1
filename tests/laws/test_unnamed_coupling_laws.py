"""Couplings that nobody has named, against trains laid out end to end in whole
hundredths of a millimetre.

The second definition knows no extents: it lays every vehicle and every reach on a rule,
once with the shortest couplings and once with the longest, and holds the far end
against the room.
"""

from typing import Literal, NamedTuple

from hypothesis import given, settings
from hypothesis import strategies as st

from standage.railway.roads.allowances import GIVEN
from standage.railway.standing.crosswise import Crosswise
from standage.railway.stock.couplings import Coupling, CouplingTypes
from standage.railway.stock.trains import Train
from standage.railway.stock.vehicles import Standing
from support.stock import ask, road

SHORTEST, LONGEST = 0, 950
"""Hundredths of a millimetre, common practice in 00: guided, 0.25 less 0.25; large
hook-and-bar, 7.5 and 2.0.
"""


class Wagon(NamedTuple):
    """A wagon in hundredths: its length, its ±, and what its ends reach, None where
    nobody says.
    """

    length: int
    off: int
    front: int | None
    rear: int | None


reaches = st.none() | st.integers(0, 120).map(lambda tenths: tenths * 10)
wagons = st.builds(
    Wagon,
    length=st.integers(300, 2500).map(lambda tenths: tenths * 10),
    off=st.integers(0, 200),
    front=reaches,
    rear=reaches,
)


def laid_out(train: list[Wagon], unsaid: int) -> int:
    """Return where the last coupling ends when each unnamed one reaches ``unsaid``."""
    at = 0
    for wagon in train:
        at += unsaid if wagon.front is None else wagon.front
        at += wagon.length
        at += unsaid if wagon.rear is None else wagon.rear
    return at


def by_rule(
    train: list[Wagon], room: int, unsaid: int
) -> Literal["fits", "tight", "does_not_fit"]:
    off = sum(wagon.off for wagon in train)
    end = laid_out(train, unsaid)
    if end + off <= room:
        return "fits"
    return "does_not_fit" if end - off > room else "tight"


def at_both_ends(train: list[Wagon], room: int) -> str:
    low, high = by_rule(train, room, SHORTEST), by_rule(train, room, LONGEST)
    if low == high:
        return low
    if (low, high) == ("fits", "does_not_fit"):
        return "cannot_tell"
    return high


def standing(train: list[Wagon]) -> list[Standing]:
    return [
        Standing(
            name=f"Wagon {number}",
            scale="00",
            length_mm=wagon.length / 100,
            length_over="buffers",
            length_plus_minus_mm=wagon.off / 100,
            front_coupling=(
                None if wagon.front is None else Coupling(reach_mm=wagon.front / 100)
            ),
            rear_coupling=(
                None if wagon.rear is None else Coupling(reach_mm=wagon.rear / 100)
            ),
        )
        for number, wagon in enumerate(train)
    ]


@st.composite
def trains_and_rooms(draw: st.DrawFn) -> tuple[list[Wagon], int]:
    """Return a train and a room about as long: most often within what its couplings and
    its ± leave open.
    """
    train = draw(st.lists(wagons, min_size=1, max_size=6))
    off = sum(wagon.off for wagon in train)
    least, most = laid_out(train, SHORTEST) - off, laid_out(train, LONGEST) + off
    edges = [least, most, least + 2 * off, most - 2 * off]
    return train, max(0, draw(st.sampled_from(edges)) + draw(st.integers(-3, 3)) * 10)


@settings(max_examples=200)
@given(trains_and_rooms())
def test_the_verdict_is_that_of_both_ends(case: tuple[list[Wagon], int]) -> None:
    train, room = case
    place = road(room / 100)
    answer = ask(*standing(train), place=place)
    assert answer.verdict == at_both_ends(train, room)
    assert answer.at_least_mm == laid_out(train, SHORTEST) / 100


@given(st.lists(trains_and_rooms(), min_size=1, max_size=3))
def test_every_train_against_every_place_says_the_same(
    cases: list[tuple[list[Wagon], int]],
) -> None:
    places = [road(room / 100) for _, room in cases]
    trains = [Train(vehicles=tuple(standing(train))) for train, _ in cases]
    crosswise = Crosswise(
        trains, places, known_by=[GIVEN] * len(places), types=CouplingTypes()
    )
    for number, (train, _) in enumerate(cases):
        for other, (_, room) in enumerate(cases):
            assert crosswise.verdict(number, other) == at_both_ends(train, room)


@settings(max_examples=60)
@given(trains_and_rooms(), st.integers(0, 95))
def test_whatever_the_couplings_turn_out_to_be_a_certain_answer_stays(
    case: tuple[list[Wagon], int], tenths: int
) -> None:
    train, room = case
    before = ask(*standing(train), place=road(room / 100)).verdict
    measured = [
        wagon._replace(
            front=tenths * 10 if wagon.front is None else wagon.front,
            rear=tenths * 10 if wagon.rear is None else wagon.rear,
        )
        for wagon in train
    ]
    after = ask(*standing(measured), place=road(room / 100)).verdict
    assert before != "fits" or after == "fits"
    low = by_rule(train, room, SHORTEST)
    assert low != "does_not_fit" or after == "does_not_fit"
