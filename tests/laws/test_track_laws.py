"""Laws of paths and bodies on them: nothing hangs on frame, hand or cuts."""

from cmath import rect
from math import pi

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from standage.railway.track.paths.endless import endless
from standage.railway.track.paths.paths import Path, Pose
from standage.railway.track.paths.runs import Run, straight
from standage.railway.track.paths.wheels import Wheels, stood

FEW = settings(max_examples=60, deadline=None)
PARTS = np.linspace(0, 1, 41)
NEAR_MM = 1e-8

curvatures = st.sampled_from([0.0, 1 / 250, -1 / 300, 1 / 600, -1 / 5000])
runs = st.builds(
    Run,
    length_mm=st.sampled_from([0.0, 1.0, 30.0]) | st.floats(0, 500),
    curvature_from=curvatures,
    curvature_to=curvatures,
)
poses = st.builds(
    Pose,
    x_mm=st.floats(-2000, 2000),
    y_mm=st.floats(-2000, 2000),
    heading=st.floats(-pi, pi),
)
paths = st.builds(Path, st.lists(runs, min_size=1, max_size=6).map(tuple), start=poses)
bodies = st.builds(
    Wheels,
    pivots_mm=st.floats(20, 220),
    bogie_wheelbase_mm=st.sampled_from([0.0, 20.0, 34.0]),
)


def everywhere(path: Path) -> np.ndarray:
    return points(path, PARTS * path.length_mm)


def points(path: Path, positions_mm: np.ndarray) -> np.ndarray:
    found = path.at(positions_mm)
    return found.x_mm + 1j * found.y_mm


def alike(one: np.ndarray, other: np.ndarray) -> bool:
    return bool(np.allclose(one, other, rtol=0, atol=NEAR_MM, equal_nan=True))


@FEW
@given(paths, poses)
def test_moved_a_path_is_the_same_rigid_body(path: Path, start: Pose) -> None:
    turned = rect(1, start.heading - path.start.heading)
    expected = start.point + (everywhere(path) - path.start.point) * turned
    assert alike(everywhere(path.moved_to(start)), expected)


@FEW
@given(paths)
def test_mirrored_it_is_the_same_with_y_the_other_way(path: Path) -> None:
    assert alike(everywhere(path.mirrored), everywhere(path).conj())
    assert path.mirrored.mirrored == path


@FEW
@given(paths)
def test_reversed_it_is_the_same_line_from_the_other_end(path: Path) -> None:
    back = path.reversed
    assert alike(everywhere(back)[::-1], everywhere(path))
    ahead = path.at(PARTS * path.length_mm).heading
    behind = back.at((1 - PARTS) * path.length_mm).heading
    assert np.allclose(np.exp(1j * behind), -np.exp(1j * ahead), atol=1e-10)


@FEW
@given(paths, st.lists(st.floats(0, 1), max_size=3))
def test_splitting_runs_changes_nothing(path: Path, cuts: list[float]) -> None:
    pieces = [path]
    for part in cuts:
        last = pieces.pop()
        pieces += last.split(part * last.length_mm)
    whole = pieces[0]
    for piece in pieces[1:]:
        assert abs(piece.start.point - whole.end.point) < NEAR_MM
        whole = whole.joined(piece)
    assert abs(whole.length_mm - path.length_mm) < NEAR_MM
    assert alike(points(whole.going_on, PARTS * path.length_mm), everywhere(path))


@FEW
@given(paths, st.floats(0, 1), st.floats(0, 1))
def test_what_is_cut_out_is_where_it_was(path: Path, one: float, other: float) -> None:
    from_mm, to_mm = sorted((one * path.length_mm, other * path.length_mm))
    part = path.cut(from_mm, to_mm)
    positions_mm = from_mm + PARTS * (to_mm - from_mm)
    assert alike(
        points(part.going_on, positions_mm - from_mm), points(path, positions_mm)
    )


@FEW
@given(paths, bodies, poses)
def test_a_body_stands_alike_wherever_the_path_lies_and_mirrored_in_the_mirror(
    path: Path, wheels: Wheels, start: Pose
) -> None:
    positions_mm = PARTS * (path.length_mm + 300)
    body = stood(path.going_on, positions_mm, wheels)
    moved = stood(path.moved_to(start).going_on, positions_mm, wheels)
    turned = rect(1, start.heading - path.start.heading)
    expected = start.point + (body.middle - path.start.point) * turned
    assert np.allclose(moved.middle, expected, rtol=0, atol=1e-6, equal_nan=True)
    mirrored = stood(path.mirrored.going_on, positions_mm, wheels)
    assert np.allclose(
        mirrored.middle, body.middle.conj(), rtol=0, atol=1e-6, equal_nan=True
    )


@FEW
@given(paths)
def test_one_number_at_a_time_the_same_runs_lie_alike(path: Path) -> None:
    line = endless((straight(0.0), *path.runs, straight(0.0)))
    there = path.moved_to(Pose()).going_on
    positions_mm = PARTS * (path.length_mm + 200) - 100
    one_by_one = np.array([line.at(float(each))[0] for each in positions_mm])
    assert alike(points(there, positions_mm), one_by_one)
