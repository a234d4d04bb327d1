"""What holds for a table of trains against places: every cell is what the question of
that one pair answers, and the best place is what trying all of them finds.
"""

from itertools import product
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from standage.questions.fits import FitsCase, reckon
from standage.questions.fits_answer import FitsAnswer, FitsCell
from standage.questions.resolving.trains import NamedTrain
from standage.questions.sources import NamedPlace
from standage.railway.roads.allowances import GIVEN, SURVEYED, Provenance
from standage.railway.roads.places import Place
from standage.railway.standing.suitability import OnTheWay, suited
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.trains import Train
from standage.railway.stock.vehicles import Standing
from support.stock import ask
from support.trains import any_places, any_vehicles, maybe, quarters, trains

MILD = ("fits", "tight", "cannot_tell", "does_not_fit")
RUNS = ("runs", "marginal", "cannot_tell", "does_not_run")
NOT_FOR_TRAINS = ("turntable", "reversing_section")


def table(
    some: list[Train],
    places: list[Place],
    known_by: Provenance = GIVEN,
    margin_mm: float | None = None,
) -> FitsAnswer:
    named = [
        NamedTrain(name=f"T{number}", train=one) for number, one in enumerate(some)
    ]
    roads = [NamedPlace(place=one, known_by=known_by) for one in places]
    return reckon(
        FitsCase(trains=tuple(named), places=tuple(roads), stopping_margin_mm=margin_mm)
    )


@settings(max_examples=80)
@given(
    st.lists(trains(any_vehicles, most=3), min_size=1, max_size=3),
    st.lists(any_places, min_size=1, max_size=4),
    st.sampled_from([GIVEN, SURVEYED]),
    maybe(quarters(0, 60)),
)
def test_every_cell_is_what_train_fit_answers_of_that_pair(
    some: list[Train],
    places: list[Place],
    known_by: Provenance,
    margin_mm: float | None,
) -> None:
    cells = iter(table(some, places, known_by, margin_mm).cells)
    for train, place in product(some, places):
        alone = ask(
            *train.vehicles,
            rakes=train.measured_rakes,
            place=place,
            known_by=known_by,
            stopping_margin_mm=margin_mm,
        )
        cell = next(cells)
        assert (cell.verdict, cell.standing, cell.reaching) == (
            alone.verdict,
            alone.standing,
            alone.reaching,
        )
        assert (cell.spare_mm, cell.plus_minus_mm) == (
            alone.spare_mm,
            alone.plus_minus_mm,
        )
    assert next(cells, None) is None


def better(one: FitsCell, other: FitsCell, kinds: dict[str, str]) -> bool:
    """Tell whether a train stands better in the first than in the second, step by
    step.
    """
    aside = [kinds[cell.place] in NOT_FOR_TRAINS for cell in (one, other)]
    if aside[0] != aside[1]:
        return aside[1]
    if one.verdict != other.verdict:
        return MILD.index(one.verdict) < MILD.index(other.verdict)
    if one.reaching != other.reaching:
        return RUNS.index(one.reaching) < RUNS.index(other.reaching)
    if one.spare_mm is None or other.spare_mm is None:
        return one.spare_mm is not None
    return one.spare_mm < other.spare_mm


@settings(max_examples=60)
@given(
    st.lists(trains(any_vehicles, most=2), min_size=1, max_size=2),
    st.lists(any_places, min_size=1, max_size=5),
)
def test_no_place_is_better_than_the_best_and_what_has_none_is_held_by_none(
    some: list[Train], places: list[Place]
) -> None:
    named = [
        Place(
            **{
                name: getattr(one, name)
                for name in one.__struct_fields__
                if name != "name"
            },
            name=f"P{number}",
        )
        for number, one in enumerate(places)
    ]
    kinds: dict[str, str] = {one.name or "": one.kind for one in named}
    answer = table(some, named)
    for best in answer.best:
        row = [cell for cell in answer.cells if cell.train == best.train]
        assert best.verdict == min((one.verdict for one in row), key=MILD.index)
        holding = [one for one in row if one.verdict in {"fits", "tight"}]
        if best.place is None:
            assert holding == []
            continue
        (chosen,) = [one for one in row if one.place == best.place]
        assert chosen in holding
        assert not any(better(one, chosen, kinds) for one in holding)
    assert answer.verdict == max((one.verdict for one in answer.best), key=MILD.index)


@settings(max_examples=60)
@given(any_vehicles, any_places, st.lists(quarters(100, 900), min_size=1, max_size=9))
def test_on_many_radii_a_vehicle_is_judged_as_on_each_by_itself(
    vehicle: Standing, place: Place, radii_mm: list[float]
) -> None:
    rising = sorted(set(radii_mm))
    found = OnTheWay(vehicle).on_radii(rising)
    for radius_mm, verdict in zip(rising, found, strict=True):
        figures: dict[str, Any] = {"kind": "loop", "minimum_radius_mm": radius_mm}
        assert (
            verdict == suited(vehicle, Place(**figures), types=CouplingTypes()).reaching
        )
    apart = OnTheWay(vehicle).reaching_apart_from_curves(place)
    worse = [
        suited(vehicle, place).reaching,
        apart,
    ]
    assert RUNS.index(worse[0]) >= RUNS.index(worse[1])
