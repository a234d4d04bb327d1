"""What is known of one end of a vehicle, and of the joint between two."""

from typing import Any

import pytest

from standage.railway.stock.couplings import Coupling, CouplingKind, CouplingTypes
from standage.railway.stock.ends import End, end_of
from standage.railway.stock.joints import closing_mm, gap
from standage.railway.stock.vehicles import LengthOver, Vehicle

OWN = CouplingKind(
    name="bar", reach_mm=5.0, reach_plus_minus_mm=0.25, projection_mm=1.0, play_mm=0.75
)


def end(
    over: LengthOver = "buffers",
    types: tuple[CouplingKind, ...] = (),
    scale: Any = None,
    **coupling: Any,
) -> End:
    vehicle = Vehicle(name="It", scale=scale, front_coupling=Coupling(**coupling))
    return end_of(vehicle, at="front", over=over, types=CouplingTypes(types))


def test_a_measured_reach_has_no_plus_minus_unless_it_is_given() -> None:
    assert end(reach_mm=3.0).reach.plus_minus_mm == 0.0
    assert end(reach_mm=3.0, reach_plus_minus_mm=0.3).reach.plus_minus_mm == 0.3
    assert end(reach_mm=3.0).reach_guesses == ()


def test_the_ends_own_figures_count_before_those_of_its_type_one_by_one() -> None:
    mixed = end(types=(OWN,), type="bar", reach_mm=4.0)
    assert (mixed.reach.known_mm, mixed.reach.plus_minus_mm) == (4.0, 0.0)
    assert mixed.projection.known_mm == 1.0
    assert mixed.play_mm == 0.75
    other = end(types=(OWN,), type="bar", projection_mm=2.0, play_mm=0.0)
    assert (other.reach.known_mm, other.reach.plus_minus_mm) == (5.0, 0.25)
    assert other.projection.known_mm == 2.0
    assert other.play_mm == 0.0


def test_what_the_club_recorded_of_a_type_is_no_guess_and_what_is_typical_is() -> None:
    whole = end(types=(OWN,), type="bar")
    assert (whole.reach.known_mm, whole.projection.known_mm) == (5.0, 1.0)
    assert (whole.reach_guesses, whole.projection_guesses) == ((), ())
    bare = end(types=(CouplingKind(name="bar", reach_mm=5.0),), type="bar")
    assert bare.reach_guesses == ()
    assert [(guess.source, guess.field) for guess in bare.projection_guesses] == [
        ("default", "front_coupling.projection_mm")
    ]
    typical = end(scale="00", type="three-link")
    assert [(guess.source, guess.field) for guess in typical.reach_guesses] == [
        ("typical", "front_coupling.reach_mm")
    ]


def test_a_typical_reach_is_told_as_such_with_its_plus_minus() -> None:
    (guess,) = end(scale="00", type="large hook-and-bar").reach_guesses
    assert (guess.source, guess.value_mm, guess.plus_minus_mm) == ("typical", 7.5, 2.0)


def test_a_projection_that_nobody_gives_is_the_reach_with_its_plus_minus() -> None:
    free = end(reach_mm=3.0, reach_plus_minus_mm=0.3).projection
    assert (free.known_mm, free.plus_minus_mm) == (3.0, 0.3)
    drawn_back = end(reach_mm=-2.0)
    assert drawn_back.projection.known_mm == 0.0
    assert [guess.value_mm for guess in drawn_back.projection_guesses] == [0.0]


def test_a_given_projection_has_no_plus_minus() -> None:
    assert (
        end(
            reach_mm=3.0, reach_plus_minus_mm=0.3, projection_mm=6.0
        ).projection.plus_minus_mm
        == 0.0
    )


def test_a_three_link_coupling_does_not_stand_out_when_free() -> None:
    free = end(scale="EM", type="three-link")
    assert (
        free.reach.known_mm,
        free.projection.known_mm,
        free.projection.plus_minus_mm,
    ) == (2.0, 0.0, 0.0)


def test_over_couplings_reach_and_projection_are_nothing_and_a_given_one_is_said_to_be_ignored() -> (
    None
):
    over = end(over="couplings", reach_mm=3.0, play_mm=0.5)
    assert (over.reach.known_mm, over.projection.known_mm, over.play_mm) == (
        0.0,
        0.0,
        0.5,
    )
    assert [guess.source for guess in over.reach_guesses] == ["taken_as_read"]
    assert end(over="couplings").reach_guesses == ()


def test_an_unknown_reach_names_the_end_and_the_field() -> None:
    missing = end(scale="Z").reach.missing
    assert [(one.vehicle, one.field) for one in missing] == [
        ("It", "front_coupling.reach_mm")
    ]
    assert end(scale="Z").projection.missing == missing


def test_a_coupling_that_nobody_names_lies_within_what_is_typical_of_its_scale() -> (
    None
):
    """H0: guided 0 to 0.5, knuckle 2 to 3, loop 3 to 5."""
    unnamed = end(scale="H0")
    for extent in (unnamed.reach, unnamed.projection):
        assert (extent.shortest().known_mm, extent.longest().known_mm) == (0.0, 5.0)
        assert [(one.vehicle, one.field) for one in extent.unsaid] == [
            ("It", "front_coupling.type")
        ]
    assert "guided" in unnamed.reach_guesses[0].about
    assert "loop" in unnamed.reach_guesses[0].about


def test_a_plus_minus_without_a_reach_only_widens_that_of_the_type() -> None:
    assert end(scale="N", reach_plus_minus_mm=0.0).reach.plus_minus_mm == 1.5
    assert end(scale="N", reach_plus_minus_mm=2.0).reach.plus_minus_mm == 2.0


def test_a_coupling_that_is_said_to_be_guided_is_the_guided_one() -> None:
    guided = end(scale="H0", mounting="guided").reach
    assert (guided.known_mm, guided.plus_minus_mm, guided.unsaid) == (0.25, 0.25, ())


def test_a_knuckle_counts_from_the_end_of_the_body_where_the_length_does() -> None:
    box_car = Vehicle(name="It", scale="HO", length_mm=150.0, length_over="body")
    reach = end_of(box_car, at="front", over="body", types=CouplingTypes()).reach
    assert (reach.known_mm, reach.plus_minus_mm) == (4.0, 1.0)


def test_a_known_projection_makes_a_free_end_known_though_its_reach_is_not() -> None:
    assert end(projection_mm=2.0).projection.missing == ()


def test_the_gap_is_reach_and_reach_and_their_plus_minus_add_up() -> None:
    between = gap(
        end(reach_mm=3.0, reach_plus_minus_mm=0.3),
        end(reach_mm=-1.0, reach_plus_minus_mm=0.2),
    )
    assert (between.known_mm, between.plus_minus_mm) == (2.0, 0.5)


def test_a_gap_with_an_unknown_half_is_known_to_be_nothing_or_more() -> None:
    between = gap(end(reach_mm=3.0), end())
    assert (between.known_mm, between.length_mm) == (0.0, None)


@pytest.mark.parametrize(
    ("reaches_mm", "plays_mm", "closes_mm"),
    [
        ((3.0, 3.0), (1.0, 1.5), 2.5),
        ((1.0, 1.0), (1.5, 1.5), 2.0),
        ((1.0, -1.0), (1.0, 1.0), 0.0),
        ((-1.0, -1.0), (1.0, 1.0), 0.0),
        ((3.0, 3.0), (None, 1.5), 1.5),
    ],
)
def test_a_joint_closes_by_the_play_of_both_and_no_farther_than_face_to_face(
    reaches_mm: tuple[float, float],
    plays_mm: tuple[float | None, float],
    closes_mm: float,
) -> None:
    ends = [
        end(reach_mm=reach_mm, play_mm=play_mm)
        for reach_mm, play_mm in zip(reaches_mm, plays_mm, strict=True)
    ]
    assert closing_mm(*ends) == closes_mm


def test_without_a_face_to_meet_the_joint_closes_by_the_whole_play() -> None:
    assert (
        closing_mm(end(over="couplings", play_mm=0.5), end(reach_mm=0.0, play_mm=0.25))
        == 0.75
    )
