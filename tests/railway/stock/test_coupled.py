"""A train coupled up: which way round its vehicles stand, like ones counted out, rakes
measured whole.
"""

import pytest
from msgspec import structs

from standage.railway.stock.couplings import Coupling, CouplingKind
from standage.railway.stock.trains import MeasuredRake
from standage.railway.stock.vehicles import Body, Standing
from standage.railway.terms.reasons import told
from support.stock import made_up, plain, vehicle

NOSE = Coupling(reach_mm=1.0, projection_mm=10.0)
TAIL = Coupling(reach_mm=2.0, projection_mm=20.0)


def two_ended(name: str, **figures: bool | int) -> Standing:
    """Return a vehicle of 100 mm whose ends differ: 1 and 10 mm at the front, 2 and 20
    mm at the rear.
    """
    return structs.replace(
        vehicle(name, front_coupling=NOSE, rear_coupling=TAIL), **figures
    )


def test_the_length_pulled_out_is_vehicles_joints_and_both_free_ends() -> None:
    train = made_up(two_ended("A"), two_ended("B"))
    assert train.pulled_out().length_mm == 10 + 100 + (2 + 1) + 100 + 20


@pytest.mark.parametrize(
    ("turned", "length_mm"),
    [
        ((False, True), 10 + 100 + (2 + 2) + 100 + 10),
        ((True, False), 20 + 100 + (1 + 1) + 100 + 20),
        ((True, True), 20 + 100 + (1 + 2) + 100 + 10),
    ],
)
def test_a_reversed_vehicle_has_its_rear_in_front(
    turned: tuple[bool, bool], length_mm: float
) -> None:
    train = made_up(
        two_ended("A", reversed=turned[0]), two_ended("B", reversed=turned[1])
    )
    assert train.pulled_out().length_mm == length_mm


def test_like_vehicles_are_counted_out_with_a_joint_between_any_two() -> None:
    train = made_up(two_ended("A", count=3))
    assert [member.name for member in train.members] == ["A", "A", "A"]
    assert train.pulled_out().length_mm == 10 + 3 * 100 + 2 * 3 + 20


def test_plus_minus_adds_up_over_vehicles_joints_and_free_ends() -> None:
    rough = Coupling(reach_mm=2.0, reach_plus_minus_mm=0.5)
    wagon = vehicle(
        "W",
        length_plus_minus_mm=1.0,
        front_coupling=rough,
        rear_coupling=rough,
        count=2,
    )
    assert made_up(wagon).pulled_out().plus_minus_mm == 2 * 1.0 + 2 * 0.5 + 2 * 0.5


def test_a_rake_measured_whole_overrules_the_sum_of_its_parts_and_its_outer_ends_count() -> (
    None
):
    rake = MeasuredRake(first=2, last=3, length_mm=198.0, length_over="buffers")
    train = made_up(
        two_ended("A"),
        two_ended("B"),
        vehicle("C", None, rear_coupling=TAIL),
        rakes=(rake,),
    )
    extent = train.pulled_out()
    assert extent.length_mm == 10 + 100 + (2 + 1) + 198 + 20
    assert extent.plus_minus_mm == 0.5
    assert "0.5 mm" in next(
        one.message
        for one in told(train.guesses())
        if one.field == "length_plus_minus_mm"
    )


def test_a_rake_over_its_couplings_has_no_reach_at_its_ends() -> None:
    rake = MeasuredRake(
        first=1,
        last=2,
        length_mm=210.0,
        length_over="couplings",
        length_plus_minus_mm=0.0,
    )
    train = made_up(two_ended("A"), two_ended("B"), two_ended("C"), rakes=(rake,))
    assert train.pulled_out().length_mm == 210 + (0 + 1) + 100 + 20


def test_a_rake_over_buffers_has_the_reach_of_ends_that_were_measured_over_couplings_themselves() -> (
    None
):
    rake = MeasuredRake(
        first=1,
        last=2,
        length_mm=210.0,
        length_over="buffers",
        length_plus_minus_mm=0.0,
    )
    train = made_up(
        *(structs.replace(two_ended(name), length_over="couplings") for name in "AB"),
        rakes=(rake,),
    )
    assert train.pulled_out().length_mm == 10 + 210 + 20


def test_the_positions_of_a_rake_count_entries_and_not_the_like_vehicles_in_them() -> (
    None
):
    rake = MeasuredRake(
        first=2,
        last=2,
        length_mm=500.0,
        length_over="couplings",
        length_plus_minus_mm=0.0,
    )
    train = made_up(plain("A", count=3), plain("B", count=4), plain("C"), rakes=(rake,))
    assert (train.rakes[0].first, train.rakes[0].last) == (3, 6)
    assert train.pulled_out().length_mm == 300 + 500 + 100


def test_a_train_without_some_vehicles_closes_up_and_a_broken_rake_counts_by_its_parts() -> (
    None
):
    rake = MeasuredRake(
        first=2,
        last=3,
        length_mm=150.0,
        length_over="couplings",
        length_plus_minus_mm=0.0,
    )
    train = made_up(plain("A"), plain("B"), plain("C"), plain("D", 60.0), rakes=(rake,))
    assert train.without(frozenset({0})).pulled_out().length_mm == 150 + 60
    assert train.without(frozenset({1})).pulled_out().length_mm == 100 + 100 + 60


def test_a_stretch_inside_a_rake_is_measured_by_its_parts() -> None:
    rake = MeasuredRake(
        first=1,
        last=3,
        length_mm=280.0,
        length_over="couplings",
        length_plus_minus_mm=0.0,
    )
    train = made_up(plain("A"), plain("B"), plain("C"), rakes=(rake,))
    assert train.span(0, 2).length_mm == 280
    assert train.span(1, 2).length_mm == 200
    assert train.span(0, 1).length_mm == 200


def test_buffered_up_every_joint_closes_by_its_play_inside_a_measured_rake_too() -> (
    None
):
    loose = Coupling(reach_mm=2.0, projection_mm=0.0, play_mm=0.5)
    wagons = [
        vehicle(name, front_coupling=loose, rear_coupling=loose) for name in "ABC"
    ]
    assert made_up(*wagons).buffered_up_mm() == 300 + 2 * (4.0 - 1.0)
    rake = MeasuredRake(
        first=1,
        last=2,
        length_mm=204.0,
        length_over="buffers",
        length_plus_minus_mm=0.0,
    )
    assert made_up(*wagons, rakes=(rake,)).buffered_up_mm() == 300 + 2 * (4.0 - 1.0)


def test_a_length_that_is_missing_leaves_both_lengths_unknown_and_the_rest_known() -> (
    None
):
    train = made_up(plain("A"), plain("B", None), plain("C"))
    assert train.pulled_out().length_mm is None
    assert train.pulled_out().known_mm == 200.0
    assert train.buffered_up_mm() is None


def test_neighbours_that_do_not_take_hold_are_named_also_inside_a_rake() -> None:
    hook = Coupling(reach_mm=1.0, type="loop")
    screw = Coupling(reach_mm=1.0, type="screw")
    wagons = (
        vehicle("A", rear_coupling=hook),
        vehicle("B", front_coupling=screw, rear_coupling=screw),
        vehicle("C", front_coupling=screw),
    )
    rake = MeasuredRake(first=1, last=2, length_mm=204.0, length_over="buffers")
    for rakes in ((), (rake,)):
        pairs = [
            (one.name, two.name) for one, two in made_up(*wagons, rakes=rakes).unmated()
        ]
        assert pairs == [("A", "B")]
    types = (CouplingKind(name="loop", mates_with=("screw",)),)
    assert list(made_up(*wagons, types=types).unmated()) == []


def test_a_coupling_of_no_said_type_is_taken_to_take_hold_and_that_is_said_once() -> (
    None
):
    hook = Coupling(reach_mm=1.0, type="hook", play_mm=0.0)
    train = made_up(vehicle("A", rear_coupling=hook), vehicle("B", count=3))
    assert list(train.unmated()) == []
    (said,) = [one for one in told(train.guesses()) if one.field.endswith("type")]
    assert said.source == "taken_as_read"
    assert said.vehicle == "B"


def test_several_bodies_are_one_vehicle_over_its_outer_ends() -> None:
    engine = vehicle(
        "E",
        None,
        bodies=(Body(length_mm=150.0, gap_to_next_mm=3.0), Body(length_mm=80.0)),
    )
    assert made_up(engine).pulled_out().length_mm == 4 + 233 + 4


def test_two_hundred_vehicles_are_told_in_a_handful_of_guesses() -> None:
    wagons = [plain(f"W{number}", length_plus_minus_mm=None) for number in range(200)]
    assumed = told(made_up(*wagons).guesses())
    assert len(assumed) == 3
    assert {one.field for one in assumed} == {"length_plus_minus_mm", "type", "play_mm"}
    assert "and 194 more" in assumed[0].message
