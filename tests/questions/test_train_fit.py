"""What is answered of a train in a place: the figures together, the order of reasons,
and what is offered instead.
"""

import pickle
from typing import Any

import msgspec
import pytest

from standage.questions.train_fit import (
    OtherPlace,
    TrainFitCase,
    TrainFitRequest,
    reckon,
)
from standage.railway.roads.allowances import SURVEYED
from standage.railway.roads.places import Place, PlaceKind
from standage.railway.stock.couplings import Coupling, CouplingKind
from standage.railway.stock.trains import Train
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.stock import ask, codes, plain, road, vehicle

ENGINE = plain("Engine", 200.0, kind="engine")
WAGONS = plain("Wagon", 100.0, kind="wagon", count=3)


def test_the_main_figures_stand_in_the_answer_even_where_they_are_not_known() -> None:
    answer = msgspec.to_builtins(ask(ENGINE, plain("Van", None), place=road(900.0)))
    assert {
        name: answer[name]
        for name in ("train_length_mm", "spare_mm", "plus_minus_mm", "buffered_up_mm")
    } == {
        "train_length_mm": None,
        "spare_mm": None,
        "plus_minus_mm": None,
        "buffered_up_mm": None,
    }


def test_the_margin_given_with_the_question_is_echoed_and_no_guess() -> None:
    answer = ask(ENGINE, place=road(900.0), stopping_margin_mm=30.0)
    assert answer.stopping_margin_mm == 30.0
    assert "stopping_margin_mm" not in {one.field for one in answer.assumed}


def test_a_road_on_record_has_its_margin_and_a_tapes_plus_minus() -> None:
    answer = ask(ENGINE, place=road(900.0), known_by=SURVEYED)
    assert (answer.stopping_margin_mm, answer.plus_minus_mm, answer.spare_mm) == (
        25.0,
        1.9,
        675.0,
    )


def test_reasons_come_worst_first_and_the_worst_decides() -> None:
    tall = plain("Tall", 100.0, kind="wagon", height_mm=70.0)
    unknown = plain("Unknown", 100.0, kind="wagon")
    answer = ask(
        ENGINE, unknown, tall, place=road(400.0, headroom_mm=60.0, plus_minus_mm=5.0)
    )
    assert answer.verdict == "does_not_fit"
    assert codes(answer)[0] == "too_high"
    assert codes(answer)[-1] == "too_close_to_call"
    assert codes(answer).count("missing_figure") == 2


def test_like_vehicles_give_one_reason_and_not_one_each() -> None:
    answer = ask(
        plain("Tall", 100.0, kind="wagon", height_mm=70.0, count=9),
        place=road(1000.0, headroom_mm=60.0),
    )
    assert codes(answer) == ["too_high", "stands_clear"]


@pytest.mark.parametrize(("count", "verdict"), [(1, "fits"), (9, "does_not_fit")])
def test_there_is_always_a_reason(count: int, verdict: str) -> None:
    answer = ask(plain("Wagon", 100.0, count=count), place=road(500.0))
    assert answer.verdict == verdict
    assert answer.because


def test_other_places_that_hold_the_train_are_offered_with_what_they_leave() -> None:
    others = (
        OtherPlace(id="short", place=road(450.0, name="Short", plus_minus_mm=0.0)),
        OtherPlace(id="long", place=road(540.0, name="Long", plus_minus_mm=0.0)),
        OtherPlace(id="low", place=road(900.0, name="Low", headroom_mm=20.0)),
        OtherPlace(
            id="sharp", place=road(900.0, name="Sharp", minimum_radius_mm=438.0)
        ),
        OtherPlace(id="unknown", place=road(None, name="Unknown")),
        OtherPlace(
            id="stops",
            place=road(520.0, name="Stops", plus_minus_mm=0.0, stopped_by="stops"),
        ),
    )
    engine = plain("Engine", 200.0, kind="engine", height_mm=40.0)
    answer = ask(
        engine, WAGONS, place=road(300.0), known_by=SURVEYED, other_places=others
    )
    assert [
        (one.id, one.name, one.spare_mm, one.reaching) for one in answer.instead.places
    ] == [
        ("long", "Long", 15.0, "cannot_tell"),
        ("sharp", "Sharp", 375.0, "cannot_tell"),
        ("stops", "Stops", 10.0, "cannot_tell"),
    ]


def test_a_margin_that_was_asked_for_holds_in_other_places_too() -> None:
    others = (OtherPlace(id="long", place=road(540.0, name="Long", plus_minus_mm=0.0)),)
    answer = ask(
        ENGINE,
        WAGONS,
        place=road(300.0),
        known_by=SURVEYED,
        stopping_margin_mm=50.0,
        other_places=others,
    )
    assert answer.instead.places == ()


def test_a_train_that_fits_is_offered_nothing_else() -> None:
    others = (OtherPlace(id="long", place=road(900.0, name="Long")),)
    answer = ask(ENGINE, WAGONS, place=road(600.0), other_places=others)
    assert (answer.instead.drop, answer.instead.drop_proved, answer.instead.places) == (
        (),
        True,
        (),
    )
    assert answer.instead.longest_train_mm == 600.0


def test_a_train_that_is_tight_is_told_what_would_make_it_fit() -> None:
    answer = ask(ENGINE, WAGONS, place=road(502.0, plus_minus_mm=5.0))
    assert (answer.verdict, answer.instead.drop) == ("tight", ("Wagon",))


@pytest.mark.parametrize("usable_mm", [5000.0, 250.0])
def test_where_a_length_is_not_known_nothing_is_said_to_be_left_off_but_what_to_measure(
    usable_mm: float,
) -> None:
    """Of eight cars whose couplings nobody measured all eight would have to go; 250 mm
    are too short for certain.
    """
    cars = vehicle(
        "Car", 100.0, kind="coach", front_coupling=None, rear_coupling=None, count=8
    )
    answer = ask(ENGINE, cars, place=road(usable_mm))
    assert answer.verdict == ("cannot_tell" if usable_mm == 5000.0 else "does_not_fit")
    assert (answer.instead.drop, answer.instead.drop_proved) == (None, False)
    unknown = ask(
        ENGINE, plain("Car", None, kind="coach", count=8), place=road(usable_mm)
    )
    assert unknown.instead.drop is None


def test_the_clubs_own_couplings_count_and_are_not_among_what_is_assumed() -> None:
    bar = Coupling(type="Bar")
    wagons = vehicle("Wagon", 100.0, front_coupling=bar, rear_coupling=bar, count=2)
    answer = ask(
        wagons, place=road(1000.0), types=(CouplingKind(name="bar", reach_mm=5.0),)
    )
    assert answer.train_length_mm == 5 + 100 + 10 + 100 + 5
    assert {one.field for one in answer.assumed if "reach" in one.field} == set()


def test_a_case_and_its_answer_can_be_sent_to_another_process() -> None:
    case = TrainFitCase(train=Train(vehicles=(ENGINE, WAGONS)), place=road(450.0))
    there = pickle.loads(pickle.dumps(case))  # noqa: S301 - our own bytes, as a process pool sends them
    assert reckon(there) == reckon(case)
    assert pickle.loads(pickle.dumps(reckon(case))) == reckon(case)  # noqa: S301 - our own bytes, as a pool sends them


def test_one_vehicle_two_hundred_and_one_longer_than_the_place_are_all_answered() -> (
    None
):
    many = [plain(f"W{number}", 100.0, kind="wagon") for number in range(200)]
    assert ask(*many, place=road(20_000.0)).verdict == "fits"
    assert ask(*many, place=road(19_950.0)).instead.drop == ("W199",)
    assert (
        ask(plain("Long", 3000.0, kind="wagon"), place=road(500.0)).instead.drop is None
    )


def test_gaps_of_no_length_and_overlapping_heads_are_reckoned_with() -> None:
    flush, ahead, behind = (
        Coupling(reach_mm=0.0),
        Coupling(reach_mm=3.0),
        Coupling(reach_mm=-2.0),
    )
    assert (
        ask(
            vehicle("W", 100.0, front_coupling=flush, rear_coupling=flush, count=3),
            place=road(),
        ).spare_mm
        == 700.0
    )
    overlapping = vehicle(
        "W", 100.0, front_coupling=ahead, rear_coupling=behind, count=3
    )
    assert ask(overlapping, place=road()).spare_mm == 1000 - 300 - 2 * 1 - 3


@pytest.mark.parametrize(
    ("place", "pointers"),
    [
        ({"kind": "loop", "usable_length_mm": -1}, ["/place/usable_length_mm"]),
        ({"kind": "loup", "usable_length_mm": 100}, ["/place/kind"]),
        ({"usable_length_mm": 100}, ["/place/kind"]),
        ({"place_id": "p1", "usable_length_mm": 100}, ["/place/usable_length_mm"]),
    ],
)
def test_a_place_that_cannot_be_is_refused_with_its_fault(
    place: dict[str, Any], pointers: list[str]
) -> None:
    with pytest.raises(Faulty) as refused:
        convert({"train": {"train_id": "t1"}, "place": place}, TrainFitRequest)
    assert [fault.pointer for fault in refused.value.faults] == pointers


def test_a_turntable_is_echoed_with_its_rails() -> None:
    answer = ask(ENGINE, place=Place(kind="turntable", usable_length_mm=250.0))
    assert (answer.usable_length_mm, answer.stopping_margin_mm) == (250.0, 0.0)


@pytest.mark.parametrize(
    "kind", ["loop", "headshunt", "platform", "cassette", "siding"]
)
@pytest.mark.parametrize("usable_mm", [140.0, 520.0, 1500.0])
def test_the_sentence_holds_every_figure_of_the_sum(
    kind: PlaceKind, usable_mm: float
) -> None:
    """Usable length, less the margin, less the 500 mm of the train, is what the
    sentence calls spare or too long.
    """
    answer = ask(
        ENGINE,
        WAGONS,
        place=Place(kind=kind, usable_length_mm=usable_mm),
        stopping_margin_mm=31.0,
    )
    over_mm = usable_mm - 31 - 500
    how = f"{over_mm:g} mm to spare" if over_mm >= 0 else f"{-over_mm:g} mm too "
    (said,) = [
        reason.message
        for reason in answer.because
        if "left for stopping" in reason.message
    ]
    assert how in said
    assert "31 mm left for stopping" in said


@pytest.mark.parametrize("kind", ["turntable", "reversing_section"])
def test_the_margin_is_in_the_sentence_where_other_lengths_count(
    kind: PlaceKind,
) -> None:
    axled = plain("Van", 200.0, kind="wagon", rigid_wheelbase_mm=100.0)
    for usable_mm in (20.0, 900.0):
        place = Place(kind=kind, usable_length_mm=usable_mm)
        messages = [
            reason.message
            for reason in ask(axled, place=place, stopping_margin_mm=31.0).because
        ]
        assert any("31 mm left for stopping" in message for message in messages), (
            messages
        )


def test_nothing_is_said_of_stopping_where_no_room_is_left_for_it() -> None:
    messages = [
        reason.message for reason in ask(ENGINE, WAGONS, place=road(900.0)).because
    ]
    assert not any("left for stopping" in message for message in messages)
