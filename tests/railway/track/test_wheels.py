"""Chords and bodies on a path: the constant radius in closed form, and walks."""

from math import asin, hypot, nan, pi, sqrt

import numpy as np
import pytest

from standage.railway.track.paths.nearest import nearest
from standage.railway.track.paths.paths import Path
from standage.railway.track.paths.runs import arc, even, straight, transition
from standage.railway.track.paths.wheels import Wheels, behind, stood

CHORD_MM = 1e-9
WAY = Path(
    (
        straight(300.0),
        arc(200.0, radius_mm=371, hand="left"),
        arc(200.0, radius_mm=438, hand="right"),
        straight(40.0),
        transition(250.0, radius_from_mm=None, radius_to_mm=300, hand="right"),
        arc(200.0, radius_mm=300, hand="right"),
        transition(250.0, radius_from_mm=300, radius_to_mm=None, hand="right"),
        straight(300.0),
    )
)
SWEEP_MM = np.arange(250.0, WAY.length_mm, 3.7)


@pytest.mark.parametrize("chord_mm", [1.0, 46.0, 190.0])
def test_a_place_behind_lies_a_chord_away_and_none_nearer_does(chord_mm: float) -> None:
    found_mm = behind(WAY, SWEEP_MM, chord_mm=chord_mm)
    here, there = points(WAY, SWEEP_MM), points(WAY, found_mm)
    assert np.abs(np.abs(here - there) - chord_mm).max() < CHORD_MM
    for part in np.linspace(0.001, 1.0, 60):
        between = points(WAY, found_mm + (SWEEP_MM - found_mm) * part)
        assert (np.abs(here - between) < chord_mm).all()


def test_on_one_radius_a_chord_spans_the_arc_of_the_arcsine() -> None:
    circle = Path((arc(900.0, radius_mm=400, hand="right"),))
    found_mm = behind(circle, [500.0, 700.0], chord_mm=190)
    assert 500 - found_mm[0] == pytest.approx(800 * asin(95 / 400), abs=1e-9)
    assert 700 - found_mm[1] == pytest.approx(800 * asin(95 / 400), abs=1e-9)


BODIES = [
    Wheels(pivots_mm=46.0),
    Wheels(pivots_mm=190.0),
    Wheels(pivots_mm=186.0, bogie_wheelbase_mm=34.0),
    Wheels(pivots_mm=40.0, bogie_wheelbase_mm=60.0),
]


@pytest.mark.parametrize("radius_mm", [228.0, 438.0, 1500.0, 1e7])
@pytest.mark.parametrize("wheels", BODIES)
def test_on_one_radius_throws_are_those_of_the_closed_formulas(
    radius_mm: float, wheels: Wheels
) -> None:
    """**Source** as in railway/curving/throws: R_m = √(R² − (p/2)² − (a/2)²)."""
    half_width_mm, half_length_mm = 18.5, 135.0
    circle = Path((even(1 / radius_mm, length_mm=600.0),))
    centre = complex(0, radius_mm)
    body = stood(circle, np.arange(250.0, 600.0, 2.0), wheels)
    wheelbases_mm = hypot(wheels.pivots_mm / 2, wheels.bogie_wheelbase_mm / 2)
    middle_mm = sqrt(radius_mm**2 - wheelbases_mm**2)
    centre_throw_mm = radius_mm - np.abs(body.middle - centre)
    assert np.abs(centre_throw_mm - (radius_mm - middle_mm)).max() < 1e-7
    for end_mm in (half_length_mm, -half_length_mm):
        corner = body.at(end_mm, left_mm=-half_width_mm)
        end_throw_mm = np.abs(corner - centre) - radius_mm - half_width_mm
        outer_mm = hypot(middle_mm + half_width_mm, half_length_mm)
        closed_mm = outer_mm - radius_mm - half_width_mm
        assert np.abs(end_throw_mm - closed_mm).max() < 1e-7


def test_a_coach_of_190_pivots_on_438_stands_in_and_out_as_published() -> None:
    """**Source** the worked example of railway/curving/throws: 10.43 mm and 9.55 mm."""
    circle = Path((even(1 / 438, length_mm=600.0),))
    body = stood(circle, [400.0], Wheels(pivots_mm=190.0))
    centre = complex(0, 438)
    assert 438 - abs(body.middle[0] - centre) == pytest.approx(10.43, abs=0.01)
    corner = body.at(135.0, left_mm=-18.5)[0]
    assert abs(corner - centre) - 438 - 18.5 == pytest.approx(9.55, abs=0.01)


@pytest.mark.parametrize("wheels", BODIES)
def test_all_axles_stand_on_the_path_and_all_chords_have_their_length(
    wheels: Wheels,
) -> None:
    body = stood(WAY, SWEEP_MM, wheels)
    assert np.abs(np.abs(body.front - body.rear) - wheels.pivots_mm).max() < CHORD_MM
    first, last = points(WAY, SWEEP_MM), points(WAY, body.last_axle_mm)
    # Each pivot is in the middle of its bogie, so that the other axle is across it.
    for axle, pivot in ((first, body.front), (last, body.rear)):
        other = 2 * pivot - axle
        apart_mm = np.abs(axle - other)
        assert np.abs(apart_mm - wheels.bogie_wheelbase_mm).max() < CHORD_MM
        off = nearest(WAY, other.real, other.imag)
        assert np.abs(off.left_mm).max() < CHORD_MM


def test_pushed_back_over_the_path_a_body_stands_as_it_stood() -> None:
    wheels = BODIES[2]
    forwards = stood(WAY, SWEEP_MM, wheels)
    backwards = stood(WAY.reversed, WAY.length_mm - forwards.last_axle_mm, wheels)
    assert np.abs(backwards.rear - forwards.front).max() < 1e-7
    assert np.abs(backwards.front - forwards.rear).max() < 1e-7


def test_on_straight_track_the_last_axle_is_the_whole_wheelbase_behind() -> None:
    body = stood(Path((straight(500.0),)), [400.0], BODIES[2])
    assert body.last_axle_mm[0] == pytest.approx(400 - 186 - 34)
    assert body.axis[0] == pytest.approx(1)
    assert body.at(10.0, left_mm=3.0)[0] == pytest.approx(400 - 17 - 93 + 10 + 3j)


def test_wheels_that_span_the_circle_cannot_stand_on_it() -> None:
    circle = Path((arc(900.0, radius_mm=90, hand="left"),))
    for wheels in (Wheels(pivots_mm=190.0), BODIES[2]):
        body = stood(circle, [800.0, 850.0], wheels)
        assert np.isnan(body.last_axle_mm).all()
        assert np.isnan(body.middle).all()


SHARPEST = [
    (150.0, 90.0, 150.0),
    (150.0, 90.0, 250.0),
    (93.0, 60.0, 182.0),
    (166.0, 111.0, 364.0),
    (131.0, 67.0, 199.0),
]


@pytest.mark.parametrize("bogie_mm", [0.0, 30.0])
@pytest.mark.parametrize(("first_mm", "second_mm", "pivots_mm"), SHARPEST)
def test_on_the_sharpest_reverse_curves_a_body_stands_wherever_a_walk_finds_that_it_can(
    first_mm: float, second_mm: float, pivots_mm: float, *, bogie_mm: float
) -> None:
    way = Path(
        (
            arc(3 * first_mm, radius_mm=first_mm, hand="left"),
            arc(3 * second_mm, radius_mm=second_mm, hand="right"),
        )
    ).going_on
    places_mm = way.length_mm - np.arange(5.0, 3 * second_mm, 17.0)
    wheels = Wheels(pivots_mm=pivots_mm, bogie_wheelbase_mm=bogie_mm)
    found = stood(way, places_mm, wheels)
    for place_mm, last_mm in zip(places_mm, found.last_axle_mm, strict=True):
        walked_mm = walked(way, place_mm, wheels)
        assert last_mm == pytest.approx(walked_mm, abs=4, nan_ok=True)


def walked(way: Path, first_mm: float, wheels: Wheels) -> float:
    """Return where the last axle stands, by steps of a millimetre; nan for nowhere."""
    steps_mm = first_mm - np.arange(0.0, 3.2 * wheels.pivots_mm)
    line = points(way, np.arange(steps_mm[-1] - 400, first_mm + 0.5))[::-1]
    pivots, lasts_mm = bogies(way, steps_mm, line, wheels.bogie_wheelbase_mm)
    apart_mm = np.abs(pivots - pivots[0])
    too_far = np.flatnonzero(~(apart_mm < wheels.pivots_mm))
    if too_far.size == 0 or np.isnan(apart_mm[too_far[0]]):
        return nan
    return float(lasts_mm[too_far[0]])


def bogies(
    way: Path, leading_mm: np.ndarray, line: np.ndarray, wheelbase_mm: float
) -> tuple[np.ndarray, np.ndarray]:
    """Return the pivots of bogies at each position, and their last axles."""
    here = points(way, leading_mm)
    if wheelbase_mm == 0:
        return here, leading_mm
    whole = range(len(leading_mm))
    behind_mm = [
        float(np.argmax(np.abs(line[at:] - line[at]) >= wheelbase_mm)) for at in whole
    ]
    lasts_mm = leading_mm - np.array(behind_mm)
    return (here + points(way, lasts_mm)) / 2, lasts_mm


def test_wheels_off_the_path_are_an_error_but_where_it_goes_on() -> None:
    with pytest.raises(
        ValueError, match=r"first_axles_mm holds 150 mm, .* 40 mm before"
    ):
        behind(WAY, [400.0, 150.0], chord_mm=190)
    with pytest.raises(ValueError, match="positions_mm holds 1741 mm"):
        behind(WAY, [1741.0], chord_mm=190)
    assert behind(WAY.going_on, [150.0], chord_mm=190)[0] == pytest.approx(-40)


@pytest.mark.parametrize(
    ("figures", "words"),
    [
        ({"pivots_mm": 0.0}, "pivots_mm is 0 mm, but has to be more than 0 mm"),
        ({"pivots_mm": nan}, "pivots_mm is nan mm"),
        (
            {"pivots_mm": 40.0, "bogie_wheelbase_mm": -1.0},
            "bogie_wheelbase_mm is -1 mm, but has to be 0 mm or more",
        ),
    ],
)
def test_wheels_that_no_body_has_are_an_error(
    figures: dict[str, float], words: str
) -> None:
    with pytest.raises(ValueError, match=words):
        Wheels(**figures)


def test_many_positions_keep_their_shape() -> None:
    positions = SWEEP_MM[:60].reshape(5, 12) + 300
    body = stood(WAY, positions, BODIES[2])
    assert body.middle.shape == (5, 12)
    alone = stood(WAY, [positions[3, 7]], BODIES[2])
    assert body.middle[3, 7] == pytest.approx(alone.middle[0], abs=1e-9)


def test_far_from_the_origin_chords_are_as_good_as_figures_allow() -> None:
    circle = Path((straight(5e6), arc(900.0, radius_mm=400, hand="left")))
    found_mm = behind(circle, [5e6 + 700], chord_mm=190)
    arc_mm = 800 * asin(95 / 400)
    assert 5e6 + 700 - found_mm[0] == pytest.approx(arc_mm, abs=1e-7)
    assert arc_mm < 400 * pi


def points(way: Path, positions_mm: np.ndarray) -> np.ndarray:
    found = way.at(positions_mm)
    return found.x_mm + 1j * found.y_mm
