"""A train through a reversing section: what bridges the gaps in the rails, and what
nobody knows of that.
"""

from typing import Any

import pytest

from standage.questions.train_fit_answer import TrainFitAnswer
from standage.railway.standing.bridging import bridging_of
from standage.railway.stock.trains import MeasuredRake
from standage.railway.stock.vehicles import Standing
from support.stock import ask, codes, made_up, plain, road


def section(usable_mm: float, *vehicles: Standing) -> TrainFitAnswer:
    return ask(*vehicles, place=road(usable_mm, kind="reversing_section"))


def engine(**figures: Any) -> Standing:
    known: dict[str, Any] = {"length_mm": 200.0, "kind": "engine"}
    return plain("Engine", **(known | figures))


def wagon(name: str = "Wagon", **figures: Any) -> Standing:
    known: dict[str, Any] = {
        "kind": "wagon",
        "total_wheelbase_mm": 60.0,
        "first_axle_mm": 15.0,
    }
    return plain(name, 100.0, **(known | figures))


def dead(name: str) -> Standing:
    return wagon(name, bridging_axles_mm=())


def test_only_the_stretch_between_the_outermost_bridging_axles_counts() -> None:
    answer = section(
        300.0,
        dead("A"),
        engine(bridging_axles_mm=(40.0, 90.0, 140.0)),
        dead("B"),
        wagon("C"),
        dead("D"),
    )
    assert answer.counted_length_mm == (200 - 40) + 100 + (15 + 60)
    assert answer.train_length_mm == 600.0
    assert answer.spare_mm == 300 - 335
    assert codes(answer) == ["bridges_too_long"]


@pytest.mark.parametrize(
    ("reversed_", "counted_mm"), [(False, 160.0 + 75.0), (True, 140.0 + 75.0)]
)
def test_a_reversed_vehicle_has_its_bridging_axles_the_other_way_round(
    counted_mm: float, *, reversed_: bool
) -> None:
    answer = section(
        300.0, engine(bridging_axles_mm=(140.0, 40.0), reversed=reversed_), wagon()
    )
    assert answer.counted_length_mm == counted_mm


def test_a_reversed_wagon_at_the_tail_bridges_to_its_own_first_axle() -> None:
    answer = section(300.0, engine(bridging_axles_mm=(0.0,)), wagon(reversed=True))
    assert answer.counted_length_mm == 200 + (100 - 15)


def test_the_bridging_axles_of_the_only_vehicle_that_bridges_need_no_length() -> None:
    answer = section(
        100.0,
        dead("A"),
        engine(length_mm=None, bridging_axles_mm=(40.0, 140.0)),
        dead("B"),
    )
    assert (answer.counted_length_mm, answer.verdict) == (100.0, "fits")


def test_a_train_in_which_nothing_bridges_goes_through_any_section() -> None:
    answer = section(0.0, dead("A"), dead("B"))
    assert (answer.verdict, answer.counted_length_mm) == ("fits", 0.0)


def test_a_wagons_wheels_are_taken_to_bridge_and_that_is_told() -> None:
    (told,) = [
        one
        for one in section(300.0, wagon()).assumed
        if one.field == "bridging_axles_mm"
    ]
    assert (told.vehicle, told.source) == ("Wagon", "common_practice")


def test_an_engine_of_unknown_axles_goes_through_where_it_does_from_end_to_end() -> (
    None
):
    answer = section(300.0, engine(), dead("A"))
    assert (answer.verdict, answer.spare_mm) == ("fits", 100.0)
    assert "bridging_axles_mm" in {one.field for one in answer.assumed}


def test_its_outermost_wheels_are_a_better_bound_where_they_are_known() -> None:
    answer = section(
        165.0, engine(total_wheelbase_mm=160.0, first_axle_mm=20.0), dead("A")
    )
    assert (answer.verdict, answer.counted_length_mm) == ("fits", 160.0)


def test_where_the_bound_is_too_long_the_axles_are_asked_for_by_name() -> None:
    answer = section(190.0, engine(), dead("A"))
    assert answer.verdict == "cannot_tell"
    assert [(reason.vehicle, reason.field) for reason in answer.because] == [
        ("Engine", "bridging_axles_mm")
    ]
    assert (answer.spare_mm, answer.counted_length_mm) == (None, None)


def test_a_bound_that_is_too_close_to_call_is_no_verdict_either() -> None:
    answer = section(200.5, engine(length_plus_minus_mm=1.0), dead("A"))
    assert (answer.verdict, answer.because[0].field) == (
        "cannot_tell",
        "bridging_axles_mm",
    )


def test_what_lies_between_unknown_ends_may_be_too_long_for_certain() -> None:
    train = (engine(), wagon("A"), wagon("B"), engine())
    assert section(199.0, *train).verdict == "does_not_fit"
    assert section(201.0, *train).verdict == "cannot_tell"
    assert section(600.0, *train).verdict == "fits"


def test_the_bounds_come_together_where_all_is_known() -> None:
    known = bridging_of(made_up(engine(bridging_axles_mm=(30.0,)), wagon()))
    assert known.most == known.least
    assert known.to_measure == ()


def test_a_vehicle_of_unknown_kind_may_be_an_engine_with_fewer_axles_that_bridge() -> (
    None
):
    answer = section(70.0, wagon(kind=None, total_wheelbase_mm=80.0))
    assert (answer.verdict, answer.because[0].field) == (
        "cannot_tell",
        "bridging_axles_mm",
    )


def test_a_missing_length_between_the_outer_axles_cannot_be_told_of() -> None:
    answer = section(
        900.0,
        wagon("A"),
        plain("B", None, kind="wagon", bridging_axles_mm=()),
        wagon("C"),
    )
    assert answer.verdict == "cannot_tell"
    assert [(reason.vehicle, reason.field) for reason in answer.because] == [
        ("B", "length_mm")
    ]


def test_vehicles_of_unknown_length_in_a_rake_may_bridge_nowhere_near_its_ends() -> (
    None
):
    """The rake is 900 mm long and its axles may be anywhere in it: nothing is certain
    of a section of 700 mm, all of one of 900.
    """
    rake = (
        MeasuredRake(
            first=1,
            last=2,
            length_mm=900.0,
            length_over="couplings",
            length_plus_minus_mm=0.0,
        ),
    )
    unknown = [Standing(name="A"), Standing(name="B")]
    verdicts = []
    for usable_mm in (700.0, 900.0):
        place = road(usable_mm, kind="reversing_section")
        verdicts.append(ask(*unknown, place=place, rakes=rake).verdict)
    assert verdicts == ["cannot_tell", "fits"]


def test_known_vehicles_between_them_bridge_for_certain() -> None:
    """Between two of unknown length stand 400 mm of wagons: too long for 300 mm."""
    rake = (
        MeasuredRake(
            first=1,
            last=1,
            length_mm=200.0,
            length_over="couplings",
            length_plus_minus_mm=0.0,
        ),
    )
    vehicles = [Standing(name="A"), *(plain(name, 100.0) for name in "BCDE"), engine()]
    for usable_mm, verdict in ((300.0, "does_not_fit"), (500.0, "cannot_tell")):
        place = road(usable_mm, kind="reversing_section")
        assert ask(*vehicles, place=place, rakes=rake).verdict == verdict
