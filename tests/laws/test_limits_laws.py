"""What a layout publishes to visitors is what the question of one train answers: just
so long stands, no longer.
"""

from typing import Any

from hypothesis import assume, given
from hypothesis import strategies as st
from msgspec import structs

from standage.questions.layout_limits import LayoutLimitsCase, reckon
from standage.questions.sources import NamedPlace, WholeLayout
from standage.questions.train_fit_answer import TrainFitAnswer
from standage.railway.roads.allowances import SURVEYED
from standage.railway.roads.places import Place, PlaceKind
from standage.registry.records.bodies import LayoutBody
from support.stock import ask, plain

A_TENTH_MM = 0.1
COUNTED: list[PlaceKind] = [
    "loop",
    "siding",
    "headshunt",
    "platform",
    "storage_road",
    "cassette",
    "traverser",
]
"""Places where the length pulled out counts."""
tenths = st.integers(500, 20_000).map(lambda number: number / 10)
margins = st.none() | st.integers(0, 500).map(lambda number: number / 10)
places = st.builds(
    Place,
    kind=st.sampled_from(COUNTED),
    name=st.sampled_from(["Up", "Down", "Bay"]),
    usable_length_mm=tenths,
    plus_minus_mm=margins,
    face_length_mm=st.none() | tenths,
    stopped_by=st.sampled_from([None, "eye", "stops"]),
    stopping_margin_mm=margins,
)


def published(*several: Place) -> Any:
    named = tuple(
        NamedPlace(place=one, id=f"place {number}", known_by=SURVEYED)
        for number, one in enumerate(several)
    )
    layout = WholeLayout(
        name="Staithe Lane", body=LayoutBody(name="Staithe Lane"), places=named
    )
    return reckon(LayoutLimitsCase(layout=layout))


def standing(place: Place, *lengths_mm: tuple[str, float]) -> TrainFitAnswer:
    return ask(
        *(plain(kind, long, kind=kind) for kind, long in lengths_mm),
        place=place,
        known_by=SURVEYED,
    )


@given(places)
def test_a_train_of_the_published_length_stands_and_one_a_tenth_longer_does_not_for_certain(
    place: Place,
) -> None:
    longest_mm = published(place).places[0].longest_train_mm
    assume(longest_mm >= 1)
    assert standing(place, ("wagon", longest_mm)).standing == "fits"
    assert standing(place, ("wagon", longest_mm + A_TENTH_MM)).standing != "fits"
    assert standing(place, ("wagon", longest_mm)).instead.longest_train_mm == longest_mm


@given(places)
def test_a_passenger_train_of_the_published_length_stands_and_one_a_tenth_longer_does_not(
    place: Place,
) -> None:
    limits = published(place).places[0]
    longest_mm = limits.longest_passenger_train_mm
    assume(longest_mm >= 1)
    assert standing(place, ("coach", longest_mm)).standing == "fits"
    assert standing(place, ("coach", longest_mm + A_TENTH_MM)).standing != "fits"
    ahead_mm = limits.longest_train_mm - longest_mm
    if ahead_mm >= 1:
        assert (
            standing(place, ("engine", ahead_mm), ("coach", longest_mm)).standing
            == "fits"
        )
        longer = (("engine", ahead_mm - A_TENTH_MM), ("coach", longest_mm + A_TENTH_MM))
        assert standing(place, *longer).standing != "fits"


@given(st.lists(places, min_size=1, max_size=4))
def test_what_fits_every_road_stands_in_every_one_and_a_tenth_more_does_not(
    several: list[Place],
) -> None:
    through = [
        place
        for place in several
        if place.kind in {"loop", "siding", "platform", "storage_road"}
    ]
    assume(through)
    answer = published(*several)
    for kind, every, longest in (
        ("wagon", answer.fits_every_road.value_mm, answer.longest_train.value_mm),
        (
            "coach",
            answer.passenger_fits_every_road.value_mm,
            answer.longest_passenger_train.value_mm,
        ),
    ):
        assume(every >= 1)
        assert all(
            standing(place, (kind, every)).standing == "fits" for place in through
        )
        assert not all(
            standing(place, (kind, every + A_TENTH_MM)).standing == "fits"
            for place in through
        )
        assert any(
            standing(place, (kind, longest)).standing == "fits" for place in through
        )
        assert not any(
            standing(place, (kind, longest + A_TENTH_MM)).standing == "fits"
            for place in through
        )


@given(places, st.integers(1, 400).map(lambda number: number / 10))
def test_on_a_turntable_what_is_published_goes_on_whatever_its_wheels(
    place: Place, inset_mm: float
) -> None:
    """Its wheels may stand at its very ends; 4 mm of the rails are kept free."""
    table = structs.replace(place, kind="turntable", face_length_mm=None)
    longest_mm = published(table).places[0].longest_train_mm
    assume(longest_mm > 2 * inset_mm + 1)
    for wheelbase_mm in (longest_mm, longest_mm - 2 * inset_mm, None):
        engine = plain(
            "Heron", longest_mm, kind="engine", total_wheelbase_mm=wheelbase_mm
        )
        assert ask(engine, place=table, known_by=SURVEYED).standing == "fits"
    longer = plain(
        "Heron",
        longest_mm + A_TENTH_MM,
        kind="engine",
        total_wheelbase_mm=longest_mm + A_TENTH_MM,
    )
    assert ask(longer, place=table, known_by=SURVEYED).standing != "fits"
