"""What nobody knows of reaching a place never hides whether a train stands there."""

from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs

from standage.questions.train_fit_answer import TrainFitAnswer
from standage.railway.roads.allowances import GIVEN
from standage.railway.roads.places import Place
from standage.railway.standing.crosswise import Crosswise
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.trains import Train
from support.stock import ask
from support.trains import any_places, any_vehicles, quarters, trains

OF_THE_WAY = ("minimum_radius_mm", "height_mm", "wheels", "gauge_mm", "trial")
"""What is known of a vehicle that counts on the way to a place and nowhere else."""
OF_THE_ROAD = ("minimum_radius_mm", "headroom_mm", "wheels", "gauge_mm")


def answer(train: Train, place: Place) -> TrainFitAnswer:
    return ask(*train.vehicles, place=place, rakes=train.measured_rakes)


@given(
    trains(any_vehicles),
    any_places,
    st.sets(st.sampled_from(OF_THE_WAY)),
    st.sets(st.sampled_from(OF_THE_ROAD)),
)
def test_forgetting_what_is_known_of_the_way_never_changes_what_is_found_of_standing(
    train: Train, place: Place, of_vehicles: set[str], of_road: set[str]
) -> None:
    forgotten = tuple(
        structs.replace(one, **dict.fromkeys(of_vehicles)) for one in train.vehicles
    )
    bare = structs.replace(place, **dict.fromkeys(of_road))
    known, less = (
        answer(train, place),
        answer(structs.replace(train, vehicles=forgotten), bare),
    )
    assert less.standing == known.standing
    for field in ("spare_mm", "plus_minus_mm", "counted_length_mm", "face_spare_mm"):
        assert getattr(less, field) == getattr(known, field), field


@given(trains(any_vehicles), any_places)
def test_the_verdict_is_that_of_standing_unless_the_train_does_not_get_there(
    train: Train, place: Place
) -> None:
    told = answer(train, place)
    assert told.verdict == (
        "does_not_fit" if told.reaching == "does_not_run" else told.standing
    )
    if told.reaching == "does_not_run":
        assert told.because


@given(trains(any_vehicles), any_places, quarters(200, 700))
def test_a_road_that_says_how_sharp_it_is_is_never_reached_better_by_who_does_not_run_there(
    train: Train, place: Place, radius_mm: float
) -> None:
    """Without a radius nobody can tell; with one the answer may become anything, but
    standing stays.
    """
    silent = answer(train, structs.replace(place, minimum_radius_mm=None))
    said = answer(train, structs.replace(place, minimum_radius_mm=radius_mm))
    assert silent.reaching in {"cannot_tell", "does_not_run"}
    assert said.standing == silent.standing
    assert said.reaching == "does_not_run" or silent.reaching != "does_not_run"


@given(
    st.lists(trains(any_vehicles), min_size=1, max_size=3),
    st.lists(any_places, min_size=1, max_size=3),
)
def test_a_train_among_many_is_answered_as_by_itself(
    several: list[Train], places: list[Place]
) -> None:
    crosswise = Crosswise(
        several, places, known_by=[GIVEN] * len(places), types=CouplingTypes()
    )
    for number, train in enumerate(several):
        for where, place in enumerate(places):
            alone, paired = answer(train, place), crosswise.pair(number, where)
            told = (alone.verdict, alone.standing, alone.reaching)
            assert (paired.verdict, paired.standing, paired.reaching) == told
            quick = (
                crosswise.standing(number, where),
                crosswise.reaching(number, where),
            )
            assert (crosswise.verdict(number, where), *quick) == told
