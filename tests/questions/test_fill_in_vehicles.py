"""How many vehicles of a type roads hold, work with and are crowded by: against vehicles
that are laid into the roads one by one.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import product
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from standage.questions import fill
from standage.questions.fill_answer import FillAnswer, in_all
from standage.questions.sources import Sources
from standage.railway.stock.extents import Extent, Missing
from standage.railway.storing.fill import fill as fill_of
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.walks import at_each

Json = dict[str, Any]
HALF, FOUR_FIFTHS = Fraction(1, 2), Fraction(4, 5)
"""Common practice, no source."""
NO_LENGTH = Missing(vehicle="Odd", field="length_mm", words="its length")


def end(reach: str, projection: str) -> Json:
    return {"reach_mm": float(reach), "projection_mm": float(projection)}


def van(length: str, reach: str = "0", projection: str = "0") -> Json:
    both = end(reach, projection)
    return {
        "name": "Van",
        "length_mm": float(length),
        "length_over": "buffers",
        "front_coupling": both,
        "rear_coupling": both,
    }


def road(length_mm: float | None, kind: str = "siding") -> Json:
    known = {} if length_mm is None else {"usable_length_mm": length_mm}
    return {"road": {"kind": kind, **known}}


def asked(vehicle: Json | None, *roads: Json, **more: Any) -> FillAnswer:
    body: Json = {"roads": list(roads), **more}
    if vehicle is not None:
        body["vehicle"] = vehicle
    request = convert(body, fill.FillRequest)
    return fill.reckon(fill.gather(Sources(None, ""), request))


def numbers(one: Any) -> tuple[int | None, int | None, int | None]:
    return one.holds, one.works_with, one.crowded_from


@at_each(
    "length_mm, told",
    [
        (1000, (10, 5, 8)),
        (1050, (10, 5, 8)),
        (999.9, (9, 4, 8)),
        (249.9, (2, 1, 2)),
        (250, (2, 1, 2)),
        (250.1, (2, 1, 2)),
        (190, (1, 0, 1)),
        (100, (1, 0, 1)),
        (99.9, (0, 0, None)),
        (0, (0, 0, None)),
    ],
)
def test_half_is_rounded_down_and_four_fifths_up(
    length_mm: float, told: tuple[int | None, ...]
) -> None:
    """Vans of 100 mm without couplings: of 10 that are held 8 are four-fifths, however
    much is left over.
    """
    answer = asked(van("100"), road(length_mm))
    assert numbers(answer) == numbers(answer.roads[0]) == told


def test_coupled_vehicles_are_counted_and_not_so_many_times_their_length() -> None:
    """5 × 91 and 4 joints of 9 and two ends of 4.5 make 500 mm; four make 400."""
    answer = asked(van("91", "4.5", "4.5"), road(500))
    assert numbers(answer) == (5, 2, 4)
    assert asked(van("91", "4.5", "4.5"), road(499.9)).holds == 4


def laid_mm(count: int, length: Fraction, reach: Fraction, ends: Fraction) -> Fraction:
    """Lay vehicles into one road: the free end, then each vehicle and its joint."""
    at = ends if count else Fraction(0)
    for number in range(count):
        at += length
        at += ends if number == count - 1 else 2 * reach
    return at


def ways_to_stand(
    holds: Sequence[int], lengths: Sequence[Sequence[Fraction]]
) -> Iterator[tuple[int, Fraction]]:
    for ways in product(*(range(most + 1) for most in holds)):
        yield sum(ways), sum((lengths[0][one] for one in ways), Fraction(0))


@settings(max_examples=60)
@given(
    st.lists(st.integers(0, 4000), min_size=1, max_size=3),
    st.integers(400, 1500),
    st.integers(0, 100),
    st.integers(0, 200),
)
def test_however_they_stand_in_the_roads_the_numbers_are_on_the_safe_side(
    roads: list[int], length: int, reach: int, projection: int
) -> None:
    """In tenths of a mm. Every way to stand in the roads is looked at, and every
    number: which work, both by their number and by the length they take, and which are
    crowded by either, though not where they can be worked.
    """
    figures = [Fraction(tenths, 10) for tenths in (length, reach, projection)]
    usable = [Fraction(tenths, 10) for tenths in roads]
    lengths = [laid_mm(count, *figures) for count in range(12)]
    holds = [
        max(count for count, taken in enumerate(lengths) if taken <= room)
        for room in usable
    ]
    most: dict[int, Fraction] = {}
    for count, taken in ways_to_stand(holds, [lengths]):
        most[count] = max(most.get(count, taken), taken)
    half_mm, four_fifths_mm = HALF * sum(usable), FOUR_FIFTHS * sum(usable)
    works = [
        count
        for count, taken in most.items()
        if taken <= half_mm and count <= HALF * sum(holds)
    ]
    at_fifths = [
        count
        for count, taken in most.items()
        if taken >= four_fifths_mm or count >= FOUR_FIFTHS * sum(holds)
    ]
    crowded = [count for count in at_fifths if most[count] > half_mm]
    vehicle = van(*(str(float(one)) for one in figures))
    answer = asked(vehicle, *(road(tenths / 10) for tenths in roads))
    assert numbers(answer) == (sum(holds), max(works), min(crowded, default=None))


def test_as_many_as_it_works_with_work_when_they_are_put_in_and_one_more_does_not() -> (
    None
):
    vehicle = van("83", "4", "3")
    place = road(1234.5)
    counted = asked(vehicle, place)
    assert counted.works_with is not None
    for more, verdict in ((0, "works"), (1, "crowded")):
        train = {"vehicles": [vehicle | {"count": counted.works_with + more}]}
        assert asked(None, place | {"trains": [train]}).verdict == verdict


@at_each(
    "roads_mm, told",
    [([500], (5, 2, 4)), ([590], (6, 3, 5)), ([190] * 10, (20, 10, 16))],
)
def test_from_as_many_as_crowd_it_on_it_no_longer_works(
    roads_mm: list[float], told: tuple[int, ...]
) -> None:
    """Wagons of 82 mm with 9 mm between two: 91, and 5 are 455 mm."""
    wagon = van("82", "4.5", "4.5")
    places = [road(length_mm) for length_mm in roads_mm]
    counted = asked(wagon, *places)
    assert numbers(counted) == told
    each = told[0] // len(places)
    for number, verdicts in ((told[1], {"works"}), (told[2], {"crowded", "full"})):
        put_in = list(places)
        for one in range(number // each + 1):
            here = min(each, number - one * each)
            if here > 0:
                train = {"vehicles": [wagon | {"count": here}]}
                put_in[one] = places[one] | {"trains": [train]}
        assert asked(None, *put_in).verdict in verdicts


def test_half_is_never_more_than_half_of_the_number_where_roads_end_odd() -> None:
    """Ten roads hold a van each. 9 vans take less than half of the length, so that
    neither they nor 8, four-fifths of the vans, crowd it; yet half of 10 is 5.
    """
    assert numbers(asked(van("100"), *[road(190)] * 10)) == (10, 5, 10)


def test_vans_that_do_not_couple_to_their_like_fill_a_road_by_their_length() -> None:
    other = {"type": "hook"}, {"type": "loop"}
    ends = [end("4", "4") | one for one in other]
    apart = van("100") | {"front_coupling": ends[0], "rear_coupling": ends[1]}
    assert numbers(asked(apart, road(1000))) == (1, 1, None)
    assert numbers(asked(apart, road(120))) == (1, 0, 1)


def test_roads_yard_and_all_of_them_each_have_their_numbers() -> None:
    roads = (road(1000, "storage_road"), road(500, "storage_road"), road(400))
    answer = asked(van("100"), *roads)
    assert [numbers(one) for one in answer.roads] == [(10, 5, 8), (5, 2, 4), (4, 2, 4)]
    assert answer.yard is not None
    assert numbers(answer.yard) == (15, 7, 12)
    assert numbers(answer.layout) == numbers(answer) == (19, 9, 16)
    assert "Van: the roads together hold 19" in answer.because[-1].message
    assert "works_with" in {one.field for one in answer.assumed}


def test_without_a_vehicle_there_are_no_numbers() -> None:
    answer = asked(None, road(1000))
    assert numbers(answer) == numbers(answer.roads[0]) == (None, None, None)
    assert "works_with" not in {one.field for one in answer.assumed}


def test_what_is_not_known_is_named_and_leaves_the_verdict_as_it_was() -> None:
    answer = asked({"name": "Van"}, road(1000))
    assert (numbers(answer), answer.verdict) == ((None, None, None), "works")
    assert ("Van", "length_mm") in [(one.vehicle, one.field) for one in answer.because]
    beside = asked(van("100"), road(1000), road(None))
    assert numbers(beside) == (None, None, None)
    assert [numbers(one) for one in beside.roads] == [(10, 5, 8), (None, None, None)]


def test_where_there_is_no_length_or_too_little_of_it_that_is_told() -> None:
    (none,) = asked(None, road(0)).because
    assert none.code == "no_length"
    unmeasured = Extent(known_mm=100.0, missing=(NO_LENGTH,))
    assert in_all(fill_of(unmeasured, usable_mm=90.0)).code == "over_full"
    assert in_all(fill_of(unmeasured, usable_mm=110.0)).code == "not_all_known"


def test_a_coupling_that_nobody_named_counts_at_its_longest() -> None:
    """Between two of the typical couplings of 00 lie 3.5 to 9.5 mm at each end."""
    named = {"name": "Van", "scale": "00", "length_mm": 82, "length_over": "buffers"}
    least = asked(named, road(2000)).holds
    longest = named | {"front_coupling": end("9.5", "9.5")}
    longest |= {"rear_coupling": end("9.5", "9.5")}
    assert least == asked(longest, road(2000)).holds


def test_a_longer_road_never_holds_fewer_and_a_longer_vehicle_never_more() -> None:
    by_road = [
        asked(van("83", "4", "5"), road(length)) for length in range(0, 2000, 90)
    ]
    held = [one.holds or 0 for one in by_road]
    assert held == sorted(held)
    by_vehicle = [asked(van(str(length)), road(1500)) for length in range(50, 400, 20)]
    for figure in ("holds", "works_with"):
        counted = [getattr(one, figure) for one in by_vehicle]
        assert counted == sorted(counted, reverse=True)


def test_one_vehicle_of_the_type_is_asked_about() -> None:
    with pytest.raises(Faulty) as refused:
        asked(van("100") | {"count": 3}, road(1000))
    assert [fault.pointer for fault in refused.value.faults] == ["/vehicle/count"]
