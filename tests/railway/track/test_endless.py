"""A path of straights and arcs, and chords that end on it."""

from math import pi

import pytest

from standage.railway.track.paths.endless import EndlessPath, endless, turned_round
from standage.railway.track.paths.paths import Path
from standage.railway.track.paths.runs import even, transition
from standage.railway.track.paths.wheels import behind

STRAIGHT = even(0.0)
LEFT = even(1 / 400)
RIGHT = even(-1 / 300)
REVERSE = endless([LEFT, even(0.0, length_mm=50), RIGHT])


def test_a_quarter_of_a_circle_to_the_left_ends_to_the_left_and_faces_that_way() -> (
    None
):
    point, direction = endless([STRAIGHT, LEFT]).at(400 * pi / 2)
    assert point == pytest.approx(400 + 400j)
    assert direction == pytest.approx(1j)


def test_before_its_first_change_a_path_goes_on_as_its_first_piece() -> None:
    assert endless([STRAIGHT, LEFT]).at(-120) == (-120, 1)
    point, _ = endless([LEFT, STRAIGHT]).at(-400 * pi / 2)
    assert point == pytest.approx(-400 + 400j)


@pytest.mark.parametrize("end_mm", [0.0, 50.0])
def test_pieces_meet_without_a_gap_or_a_kink(end_mm: float) -> None:
    before, after = REVERSE.at(end_mm - 1e-9), REVERSE.at(end_mm + 1e-9)
    assert before[0] == pytest.approx(after[0], abs=1e-8)
    assert before[1] == pytest.approx(after[1], abs=1e-8)


def test_a_curve_as_wide_as_the_world_is_straight() -> None:
    point, direction = endless([even(1e-15)]).at(1000)
    assert point == pytest.approx(1000)
    assert direction == pytest.approx(1)


@pytest.mark.parametrize(
    "along_mm", [-500.0, -1.0, 3.0, 25.0, 49.0, 55.0, 120.0, 190.0, 400.0]
)
@pytest.mark.parametrize("chord_mm", [1.0, 30.0, 60.0, 190.0])
def test_a_place_behind_lies_a_chord_away_and_none_nearer_does(
    along_mm: float, chord_mm: float
) -> None:
    behind_mm = REVERSE.behind(along_mm, chord_mm=chord_mm)
    assert behind_mm is not None
    here = REVERSE.at(along_mm)[0]
    assert abs(here - REVERSE.at(behind_mm)[0]) == pytest.approx(chord_mm, abs=1e-8)
    between = [
        behind_mm + (along_mm - behind_mm) * part / 200 for part in range(1, 200)
    ]
    assert all(abs(here - REVERSE.at(place)[0]) < chord_mm for place in between)


def test_a_chord_of_the_diameter_reaches_half_way_round_and_a_longer_one_nowhere() -> (
    None
):
    circle = endless([LEFT])
    assert circle.behind(0, chord_mm=800) == pytest.approx(-400 * pi)
    assert circle.behind(0, chord_mm=800.001) is None


def test_a_chord_too_long_for_the_curve_behind_reaches_nowhere_from_the_straight() -> (
    None
):
    leaving = endless([LEFT, STRAIGHT])
    assert leaving.behind(10, chord_mm=790) is not None
    assert leaving.behind(10, chord_mm=900) is None


def test_a_straight_of_no_length_is_passed_over() -> None:
    without = endless([LEFT, RIGHT])
    with_none = endless([LEFT, even(0.0, length_mm=0), RIGHT])
    for along_mm in (-40.0, 0.0, 40.0):
        assert with_none.at(along_mm) == without.at(along_mm)
        assert with_none.behind(along_mm, chord_mm=60) == pytest.approx(
            without.behind(along_mm, chord_mm=60)
        )


def test_met_from_the_other_end_a_left_hand_curve_is_a_right_hand_one() -> None:
    runs = (LEFT, even(0.0, length_mm=50), RIGHT)
    assert [run.curvature_from for run in turned_round(runs)] == [
        1 / 300,
        0.0,
        -1 / 400,
    ]
    assert turned_round(turned_round(runs)) == runs


def test_a_path_turned_round_is_the_same_line() -> None:
    def apart(line: EndlessPath, one_mm: float, other_mm: float) -> float:
        return abs(line.at(one_mm)[0] - line.at(other_mm)[0])

    back = endless(turned_round((LEFT, even(0.0, length_mm=50), RIGHT)))
    assert apart(back, 50 + 30, -70) == pytest.approx(apart(REVERSE, -30, 50 + 70))


def test_a_transition_cannot_go_on_for_ever() -> None:
    easing = transition(200.0, radius_from_mm=None, radius_to_mm=400, hand="left")
    for runs in ([easing, LEFT], [STRAIGHT, easing]):
        with pytest.raises(ValueError, match="a transition cannot go on for ever"):
            endless(runs)


@pytest.mark.parametrize("chord_mm", [30.0, 190.0])
def test_on_a_transition_a_chord_ends_where_it_does_in_bulk(chord_mm: float) -> None:
    easing = transition(200.0, radius_from_mm=None, radius_to_mm=400, hand="left")
    arc = even(1 / 400, length_mm=600.0)
    line = endless([STRAIGHT, easing, LEFT])
    way = Path((easing, arc)).going_on
    for along_mm in (10.0, 120.0, 199.0, 260.0, 500.0):
        (in_bulk_mm,) = behind(way, [along_mm], chord_mm=chord_mm)
        one_mm = line.behind(along_mm, chord_mm=chord_mm)
        assert one_mm == pytest.approx(in_bulk_mm, abs=2e-9)


def test_a_path_of_nothing_is_an_error() -> None:
    with pytest.raises(ValueError, match="at least one run"):
        endless([])


SHARPEST = [
    *[
        ((150.0, 90.0), chord_mm, along_mm)
        for chord_mm in (150.0, 178.0, 250.0)
        for along_mm in (20.0, 90.0, 175.0)
    ],
    ((93.0, 60.0), 182.0, 180.0),
    ((166.0, 111.0), 364.0, 335.0),
    ((153.0, 83.0), 289.0, 285.0),
    ((131.0, 67.0), 199.0, 199.0),
    ((155.0, 88.0), 326.0, 306.0),
]


@pytest.mark.parametrize(("radii_mm", "chord_mm", "along_mm"), SHARPEST)
def test_on_the_sharpest_reverse_curves_a_place_is_found_wherever_there_is_one(
    radii_mm: tuple[float, float], chord_mm: float, along_mm: float
) -> None:
    line = endless([even(1 / radii_mm[0]), even(-1 / radii_mm[1])])
    here = line.at(along_mm)[0]
    farthest = (
        place
        for place in range(1, int(3 * chord_mm))
        if abs(here - line.at(along_mm - place)[0]) > chord_mm
    )
    first = next(farthest, None)
    behind_mm = line.behind(along_mm, chord_mm=chord_mm)
    assert (behind_mm is None) == (first is None)
    if behind_mm is not None and first is not None:
        assert abs(here - line.at(behind_mm)[0]) == pytest.approx(chord_mm, abs=1e-8)
        assert behind_mm == pytest.approx(along_mm - first, abs=1.0)
