"""How many vehicles of one type a road holds, standing and at work."""

from typing import Any

import pytest

from standage.questions.capacity import CapacityAnswer, CapacityCase, reckon
from standage.railway.stock.couplings import Coupling, CouplingKind
from standage.railway.stock.vehicles import Vehicle
from support.stock import plain, vehicle


def held(usable_mm: float, one: Vehicle, **case: Any) -> CapacityAnswer:
    return reckon(CapacityCase(usable_length_mm=usable_mm, vehicle=one, **case))


WAGON = plain("Wagon", 100.0)
COUPLED = vehicle("Wagon", 100.0)
"""100 mm over buffers, gaps of 6 mm, free couplings of 4 mm at both ends."""


@pytest.mark.parametrize(
    ("usable_mm", "standing"),
    [(107.9, 0), (108.0, 1), (213.9, 1), (214.0, 2), (108 + 9 * 106, 10)],
)
def test_standing_vehicles_have_gaps_between_them_and_free_couplings_at_both_ends(
    usable_mm: float, standing: int
) -> None:
    answer = held(usable_mm, COUPLED)
    assert answer.standing_capacity == standing
    assert answer.train_length_mm == (108 + (standing - 1) * 106 if standing else 0)
    assert answer.verdict == ("holds" if standing else "holds_none")


@pytest.mark.parametrize(
    ("spots", "working"), [(1, 5), (2, 6), (3, 6), (4, 7), (9, 9), (10, 10), (200, 10)]
)
def test_n_vehicles_at_k_spots_side_by_side_need_2n_minus_k_lengths(
    spots: int, working: int
) -> None:
    """Ten lengths of road: 2·5 - 1 = 9, 2·6 - 2 = 10, 2·6 - 3 = 9, 2·7 - 4 = 10; with k
    of n or more just n.
    """
    answer = held(1000.0, WAGON, fixed_spots=spots)
    assert (answer.standing_capacity, answer.working_capacity) == (10, working)


def test_the_length_that_work_needs_is_counted_in_pitches_beyond_the_standing_row() -> (
    None
):
    answer = held(700.0, COUPLED, fixed_spots=2)
    assert answer.pitch_mm == 106.0
    assert answer.working_capacity == 4
    assert answer.working_length_mm == (108 + 3 * 106) + 2 * 106


def test_the_margin_comes_off_and_is_told_where_none_is_given() -> None:
    assert held(1000.0, WAGON, stopping_margin_mm=1.0).standing_capacity == 9
    assert held(1000.0, WAGON, stopping_margin_mm=0.0).assumed == ()
    assert [one.field for one in held(1000.0, WAGON).assumed] == ["stopping_margin_mm"]


@pytest.mark.parametrize(
    ("usable_mm", "words"),
    [
        (
            1000.0,
            (
                "9 stand clear with 75 mm to spare, and 25 mm left for stopping; 5 can"
                " be worked"
            ),
        ),
        (100.0, "one Wagon is 25 mm too long by itself, with 25 mm left for stopping"),
    ],
)
def test_the_margin_is_in_the_sentence(usable_mm: float, words: str) -> None:
    assert words in held(usable_mm, WAGON, stopping_margin_mm=25.0).because[0].message


def test_for_certain_every_figure_is_off_the_bad_way() -> None:
    rough = plain("Wagon", 100.0, length_plus_minus_mm=1.0)
    answer = held(1009.0, rough, plus_minus_mm=0.0)
    assert (answer.standing_capacity, answer.standing_capacity_for_certain) == (10, 9)
    assert held(1010.0, rough).standing_capacity_for_certain == 10
    assert held(1010.0, rough, plus_minus_mm=0.5).standing_capacity_for_certain == 9
    assert (answer.spare_mm, answer.plus_minus_mm) == (9.0, 10.0)


@pytest.mark.parametrize(
    ("usable_mm", "said"),
    [
        (
            1010.0,
            (
                "Wagon: 10 stand clear with 10 mm to spare, give or take 10 mm; 5 can"
                " be worked there"
            ),
        ),
        (
            1009.0,
            (
                "Wagon: 10 stand clear with 9 mm to spare, give or take 10 mm, but only"
                " 9 for certain; 5 can be "
            ),
        ),
        (
            100.5,
            (
                "Wagon: 1 stands clear with 0.5 mm to spare, give or take 1 mm, but not"
                " for certain; 1 can be "
            ),
        ),
        (
            101.04,
            (
                "Wagon: 1 stands clear with 1 mm to spare, give or take 1 mm; 1 can be"
                " worked there"
            ),
        ),
    ],
)
def test_the_message_says_where_the_number_is_not_certain(
    usable_mm: float, said: str
) -> None:
    rough = plain("Wagon", 100.0, length_plus_minus_mm=1.0)
    assert held(usable_mm, rough, plus_minus_mm=0.0).because[0].message.startswith(said)


def test_gaps_and_free_ends_are_off_too() -> None:
    rough = Coupling(reach_mm=3.0, reach_plus_minus_mm=0.5)
    one = vehicle("Wagon", 100.0, front_coupling=rough, rear_coupling=rough)
    assert held(424.0, one).plus_minus_mm == 3 * 1.0 + 2 * 0.5
    assert held(424.0, one).standing_capacity_for_certain == 3
    assert held(428.0, one).standing_capacity_for_certain == 4


@pytest.mark.parametrize(
    ("one", "field"),
    [
        (plain("Wagon", None), "length_mm"),
        (vehicle("Wagon", front_coupling=None), "front_coupling.reach_mm"),
        (
            vehicle("Wagon", rear_coupling=Coupling(projection_mm=1.0)),
            "rear_coupling.reach_mm",
        ),
    ],
)
def test_an_unknown_figure_is_named_and_no_number_given(
    one: Vehicle, field: str
) -> None:
    answer = held(1000.0, one)
    assert answer.verdict == "cannot_tell"
    assert [(reason.vehicle, reason.field) for reason in answer.because] == [
        ("Wagon", field)
    ]
    assert (
        answer.standing_capacity,
        answer.working_capacity,
        answer.train_length_mm,
    ) == (None, None, None)


def test_a_typical_reach_is_told() -> None:
    answer = held(
        1000.0, vehicle("Wagon", front_coupling=None, rear_coupling=None, scale="N")
    )
    assert "typical" in {one.source for one in answer.assumed}
    assert answer.pitch_mm == 107.0


def test_the_clubs_own_couplings_count() -> None:
    one = vehicle(
        "Wagon", front_coupling=Coupling(type="bar"), rear_coupling=Coupling(type="bar")
    )
    assert (
        held(1000.0, one, types=(CouplingKind(name="Bar", reach_mm=5.0),)).pitch_mm
        == 110.0
    )


def test_vehicles_that_do_not_couple_to_their_like_are_held_one_at_a_time() -> None:
    one = vehicle(
        "Wagon",
        front_coupling=Coupling(reach_mm=0, type="loop"),
        rear_coupling=Coupling(reach_mm=0, type="knuckle"),
    )
    answer = held(1000.0, one)
    assert (answer.standing_capacity, answer.working_capacity) == (1, 1)
    assert [reason.code for reason in answer.because] == [
        "holds",
        "couplings_do_not_mate",
    ]


def test_vehicles_of_which_nobody_knows_whether_they_couple_are_asked_about() -> None:
    one = vehicle(
        "Wagon",
        front_coupling=Coupling(reach_mm=0, type="eye"),
        rear_coupling=Coupling(reach_mm=0, type="peg"),
    )
    answer = held(1000.0, one)
    assert answer.standing_capacity == 1
    assert [reason.code for reason in answer.because] == [
        "holds",
        "couplings_may_not_mate",
    ]
    assert {"eye", "peg"} <= set(answer.because[1].message.replace(":", " ").split())


@pytest.mark.parametrize("usable_mm", [0.0, 50.0])
def test_a_vehicle_longer_than_the_road_is_not_held(usable_mm: float) -> None:
    answer = held(usable_mm, WAGON)
    assert (answer.verdict, answer.standing_capacity, answer.working_capacity) == (
        "holds_none",
        0,
        0,
    )
    assert answer.because[0].amount_mm == 100 - usable_mm
    assert answer.train_length_mm == 0.0


def test_figures_by_which_vehicles_stand_inside_each_other_are_questioned() -> None:
    inside = Coupling(reach_mm=-60.0)
    answer = held(
        1000.0, vehicle("Wagon", 100.0, front_coupling=inside, rear_coupling=inside)
    )
    assert answer.verdict == "cannot_tell"
    assert answer.because[0].code == "figures_disagree"


def test_the_smallest_thing_on_the_longest_road_is_counted_no_farther_than_a_million() -> (
    None
):
    assert held(1_000_000.0, plain("Speck", 1e-6)).standing_capacity == 1_000_000


@pytest.mark.parametrize(
    ("usable_mm", "words"),
    [(150.0, "Wagon: 1 stands clear"), (250.0, "Wagon: 2 stand clear")],
)
def test_one_stands_and_several_stand(usable_mm: float, words: str) -> None:
    assert held(usable_mm, COUPLED).because[0].message.startswith(f"{words} with ")


def test_what_the_row_and_the_road_may_be_off_adds_up() -> None:
    """Four wagons of ± 1 mm in a road of ± 5 mm: 9 mm."""
    rough = plain("Wagon", 100.0, length_plus_minus_mm=1.0)
    assert held(450.0, rough, plus_minus_mm=5.0).plus_minus_mm == 9.0
