"""Bodies on track and footprints of plans against shapely, built from sampled track.

The oracle knows no path and no placing: it adds up small steps along the curvature of
the pieces, joins them to lines, finds axles where circles cut these, and turns boxes.
"""

from math import cos, degrees, pi, radians, sin
from typing import NamedTuple

import numpy as np
import pytest
import shapely  # type: ignore[import-untyped] # ships no types
from shapely import affinity, ops

from standage.railway.track.paths.outlines import Outline, rectangles
from standage.railway.track.paths.paths import Path
from standage.railway.track.paths.runs import arc, straight, transition
from standage.railway.track.paths.wheels import Wheels
from standage.railway.track.placing.footprint import footprint
from support.plans_to_draw import modules
from support.track_plans import Document, curve, worked
from support.track_plans import straight as straight_piece

STEP_MM = 0.1
Bends = list[tuple[float, float, float]]
"""Lengths, and curvatures from and to."""


def sampled(bends: Bends, *, heading: float = 0.0, start: complex = 0j) -> np.ndarray:
    """Return places along track, by adding up steps in the direction midway in each."""
    steps = [
        (length_mm / count, first + (last - first) * (np.arange(count) + 0.5) / count)
        for length_mm, first, last in bends
        for count in [max(1, round(length_mm / STEP_MM))]
    ]
    lengths_mm = np.concatenate([np.full(len(each), mm) for mm, each in steps])
    turns = np.concatenate([mm * each for mm, each in steps])
    midway = heading + np.cumsum(turns) - turns / 2
    along = np.cumsum(lengths_mm * np.exp(1j * midway))
    return np.concatenate(([start], start + along))


def line(places: np.ndarray) -> shapely.LineString:
    return shapely.LineString(np.column_stack((places.real, places.imag)))


class Track(NamedTuple):
    """Sampled track, and how far along each of its places lies."""

    line: shapely.LineString

    def chord_back(self, from_mm: float, chord_mm: float) -> float:
        """Return how far along the last place lies that is a chord behind another."""
        here = self.line.interpolate(from_mm)
        ring = here.buffer(chord_mm, quad_segs=512).exterior
        before = ops.substring(self.line, max(0.0, from_mm - 2 * chord_mm), from_mm)
        cuts = shapely.get_parts(ring.intersection(before))
        return float(max(self.line.project(cut) for cut in cuts))

    def pivot(self, first_axle_mm: float, wheelbase_mm: float) -> shapely.Point:
        """Return the middle of a bogie's chord."""
        last_mm = self.chord_back(first_axle_mm, wheelbase_mm)
        chord = shapely.LineString(
            [self.line.interpolate(first_axle_mm), self.line.interpolate(last_mm)]
        )
        return chord.interpolate(0.5, normalized=True)

    def rear_pivot(
        self, front: shapely.Point, near_mm: float, wheels: Wheels
    ) -> shapely.Point:
        """Return the pivot of the bogie that stands the pivots' distance behind, by
        halving the stretch on which its first axle is.
        """
        far_mm, close_mm = near_mm - 60.0, near_mm + 60.0
        for _ in range(24):
            middle_mm = (far_mm + close_mm) / 2
            pivot = self.pivot(middle_mm, wheels.bogie_wheelbase_mm)
            if pivot.distance(front) > wheels.pivots_mm:
                far_mm = middle_mm
            else:
                close_mm = middle_mm
        return pivot


def box(front: shapely.Point, rear: shapely.Point, body: Outline) -> shapely.Polygon:
    """Return a body as a box, turned onto the chord between its pivots."""
    flat = shapely.box(
        -body.behind_mm, -body.half_width_mm, body.ahead_mm, body.half_width_mm
    )
    heading = np.arctan2(front.y - rear.y, front.x - rear.x)
    turned = affinity.rotate(flat, degrees(heading), origin=(0, 0))
    middle_x_mm, middle_y_mm = (front.x + rear.x) / 2, (front.y + rear.y) / 2
    return affinity.translate(turned, middle_x_mm, middle_y_mm)


WINDING: Bends = [
    (400.0, 0.0, 0.0),
    (150.0, 0.0, 1 / 438),
    (300.0, 1 / 438, 1 / 438),
    (300.0, -1 / 371, -1 / 371),
    (200.0, -1 / 371, 0.0),
    (300.0, 0.0, 0.0),
]
WINDING_PATH = Path(
    (
        straight(400.0),
        transition(150.0, radius_from_mm=None, radius_to_mm=438.0, hand="left"),
        arc(300.0, radius_mm=438.0, hand="left"),
        arc(300.0, radius_mm=371.0, hand="right"),
        transition(200.0, radius_from_mm=371.0, radius_to_mm=None, hand="right"),
        straight(300.0),
    )
)


@pytest.mark.parametrize("first_axle_mm", [390.0, 520.0, 700.0, 880.0, 1000.0, 1240.0])
def test_a_bogie_coach_lies_where_shapely_turns_its_box(first_axle_mm: float) -> None:
    wheels = Wheels(pivots_mm=186.0, bogie_wheelbase_mm=34.0)
    body = Outline(wheels=wheels, ahead_mm=131.0, behind_mm=127.0, half_width_mm=18.0)
    track = Track(line(sampled(WINDING)))
    front = track.pivot(first_axle_mm, 34.0)
    rear = track.rear_pivot(front, first_axle_mm - 187.0, wheels)
    wanted = box(front, rear, body)
    placed = rectangles(WINDING_PATH, np.array([first_axle_mm]), body)
    corners = placed.corners[:, 0][[0, 1, 3, 2]]
    found = shapely.Polygon(np.column_stack((corners.real, corners.imag)))
    assert found.symmetric_difference(wanted).area / wanted.length < 0.005
    assert found.hausdorff_distance(wanted) < 0.01


@pytest.mark.parametrize("heading_deg", [0.0, 33.0, 120.0, -77.0])
def test_the_footprint_of_a_line_is_the_box_about_its_sampled_track(
    heading_deg: float,
) -> None:
    easing = {"kind": "transition", "length_mm": 150.0, "radius_to_mm": 438.0}
    pieces: Document = {
        "A": straight_piece(400.0),
        "B": {**easing, "radius_from_mm": None, "hand": "left"},
        "C": curve(438.0, 110.0),
        "D": curve(371.0, 200.0, "right"),
    }
    joins = [["A.b", "B.a"], ["B.b", "C.a"], ["C.b", "D.a"]]
    placed = [{"piece": "A", "x_mm": -70, "y_mm": 20, "heading_deg": heading_deg}]
    found = worked({"pieces": pieces, "joins": joins, "placed": placed})
    bends = [
        (400.0, 0.0, 0.0),
        (150.0, 0.0, 1 / 438),
        (438.0 * radians(110), 1 / 438, 1 / 438),
        (371.0 * radians(200), -1 / 371, -1 / 371),
    ]
    places = sampled(bends, heading=radians(heading_deg), start=-70 + 20j)
    left_mm, low_mm, right_mm, high_mm = line(places).bounds
    size = footprint(found.plan, found.placed)
    assert size is not None
    assert size.length_mm == pytest.approx(right_mm - left_mm, abs=0.001)
    assert size.width_mm == pytest.approx(high_mm - low_mm, abs=0.001)


def test_the_footprint_of_modules_is_the_box_about_their_boards() -> None:
    """The second begins where 800 mm of straight end, the third where 45° of 700 mm
    end that begin there.
    """
    document = {**modules(), "scale": "00"}
    boards = [
        shapely.Polygon(one["plan"]["board"]["outline"])
        for one in document["modules"].values()
    ]
    turned = affinity.rotate(boards[2], 45.0, origin=(0, 0))
    third = affinity.translate(turned, 800 + 700 * sin(pi / 4), 700 - 700 * cos(pi / 4))
    second = affinity.translate(boards[1], 800.0, 0.0)
    whole = shapely.union_all([boards[0], second, third])
    left_mm, low_mm, right_mm, high_mm = whole.bounds
    found = worked(document)
    size = footprint(found.plan, found.placed)
    assert size is not None
    assert size.length_mm == pytest.approx(right_mm - left_mm, abs=1e-6)
    assert size.width_mm == pytest.approx(high_mm - low_mm, abs=1e-6)
