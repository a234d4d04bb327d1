"""Where the ends of every kind of piece lie: stepped along in small steps of their
length, by nothing but curvature.
"""

from cmath import exp, pi
from math import atan, degrees, isclose, radians, tan
from typing import Any

import pytest

from standage.railway.track.paths.spots import heading_deg
from support.track_plans import curve, points, straight, worked

STEPS = 4000
Curving = tuple[float, float, float]
"""Length, and curvature where it begins and where it ends; more than 0 to the left."""


def stepped(*parts: Curving) -> tuple[complex, float]:
    """Return where parts laid end to end lead from 0, and by how many degrees they
    turn: each step is laid at the heading of its middle.
    """
    place, heading = 0j, 0.0
    for length_mm, begins, ends in parts:
        step_mm = length_mm / STEPS
        for step in range(STEPS):
            curvature = begins + (ends - begins) * (step + 0.5) / STEPS
            heading += curvature * step_mm / 2
            place += step_mm * exp(1j * heading)
            heading += curvature * step_mm / 2
    return place, degrees(heading)


def line(length_mm: float) -> Curving:
    return length_mm, 0.0, 0.0


def bend(radius_mm: float, turn_deg: float, hand: int = 1) -> Curving:
    return radius_mm * radians(turn_deg), hand / radius_mm, hand / radius_mm


def spiral(length_mm: float, begins: float, ends: float) -> Curving:
    return length_mm, begins, ends


def out(place: complex, towards_deg: float) -> tuple[complex, float]:
    return place, towards_deg


def along(angle_deg: float) -> complex:
    return exp(1j * radians(angle_deg))


FIRST = out(0j, 180.0)
CURVED = {
    "kind": "curved_points",
    "hand": "right",
    "lead_in_mm": 20,
    "outer_radius_mm": 900,
    "inner_radius_mm": 500,
    "outer_angle_deg": 20,
    "inner_angle_deg": 25,
}
Y = {
    "kind": "y_points",
    "lead_in_mm": 40,
    "radius_mm": 800,
    "angle_deg": 9,
    "left_straight_mm": 50,
    "right_straight_mm": 70,
}
THREE_WAY = {
    "kind": "three_way",
    "first_hand": "left",
    "lead_in_mm": 20,
    "first_radius_mm": 600,
    "first_angle_deg": 12,
    "second_after_mm": 40,
    "second_radius_mm": 700,
    "second_angle_deg": 11,
    "left_straight_mm": 30,
    "middle_after_blades_mm": 220,
    "right_straight_mm": 33,
}
SEGMENTS = [
    straight(50.0),
    {
        "kind": "transition",
        "length_mm": 250,
        "radius_to_mm": 600,
        "hand": "left",
    },
    curve(600.0, 20.0),
    {
        "kind": "transition",
        "length_mm": 100,
        "radius_from_mm": 600,
        "hand": "left",
    },
    {
        "kind": "transition",
        "length_mm": 120,
        "radius_to_mm": 700,
        "hand": "right",
    },
]
SLIP = {"kind": "double_slip", "angle_deg": 20, "arm_mm": 50, "core_mm": 80}
DIAMOND = {"kind": "diamond", "angle_deg": 20, "a_mm": [80, 90], "b_mm": [70, 60]}
NUMBERED = {key: value for key, value in points().items() if key != "angle_deg"} | {
    "number": 6,
    "number_is": "centre_line",
}
PIECES: list[tuple[Any, dict[str, tuple[complex, float]]]] = [
    (straight(100.0), {"a": FIRST, "b": stepped(line(100))}),
    (straight(0.0), {"a": FIRST, "b": out(0j, 0)}),
    (curve(438.0, 45.0, "right"), {"a": FIRST, "b": stepped(bend(438, 45, -1))}),
    (
        {"kind": "curve", "radius_mm": 438, "length_mm": 300, "hand": "left"},
        {"a": FIRST, "b": stepped(spiral(300, 1 / 438, 1 / 438))},
    ),
    (
        {
            "kind": "transition",
            "length_mm": 250,
            "radius_from_mm": 900,
            "radius_to_mm": 500,
            "hand": "right",
        },
        {"a": FIRST, "b": stepped(spiral(250, -1 / 900, -1 / 500))},
    ),
    (
        {"kind": "flexible", "segments": SEGMENTS},
        {
            "a": FIRST,
            "b": stepped(
                line(50),
                spiral(250, 0, 1 / 600),
                bend(600, 20),
                spiral(100, 1 / 600, 0),
                spiral(120, 0, -1 / 700),
            ),
        },
    ),
    (
        points(hand="right", blades_mm=12.0),
        {
            "toe": FIRST,
            "through": stepped(line(210)),
            "branch": stepped(line(30), bend(610, 12, -1), line(95)),
        },
    ),
    (
        NUMBERED,
        {
            "toe": FIRST,
            "through": stepped(line(210)),
            "branch": stepped(line(30), bend(610, degrees(2 * atan(1 / 12))), line(95)),
        },
    ),
    (
        Y,
        {
            "toe": FIRST,
            "left": stepped(line(40), bend(800, 9), line(50)),
            "right": stepped(line(40), bend(800, 9, -1), line(70)),
        },
    ),
    (
        CURVED,
        {
            "toe": FIRST,
            "outer": stepped(line(20), bend(900, 20, -1)),
            "inner": stepped(line(20), bend(500, 25, -1)),
        },
    ),
    (
        THREE_WAY,
        {
            "toe": FIRST,
            "left": stepped(line(20), bend(600, 12), line(30)),
            "middle": stepped(line(240)),
            "right": stepped(line(60), bend(700, 11, -1), line(33)),
        },
    ),
    (
        DIAMOND,
        {
            "a1": FIRST,
            "a2": out(170, 0),
            "b1": out(80 - 70 * along(20), -160),
            "b2": out(80 + 60 * along(20), 20),
        },
    ),
    (
        SLIP,
        {
            "a1": FIRST,
            "a2": out(180, 0),
            "b1": out(90 - 90 * along(20), -160),
            "b2": out(90 + 90 * along(20), 20),
        },
    ),
    (
        {"kind": "turntable", "deck_mm": 300, "roads": [0, 90, -30]},
        {
            "r1": FIRST,
            "r2": out(150 + 150 * along(270), -90),
            "r3": out(150 + 150 * along(150), 150),
        },
    ),
    (
        {"kind": "traverser", "deck_mm": 400, "left": [0, 50], "right": [-5]},
        {"l1": FIRST, "l2": out(50j, 180), "r1": out(400 - 5j, 0)},
    ),
    (
        {"kind": "sector_plate", "deck_mm": 400, "roads": [0, 8]},
        {"a": FIRST, "r1": out(400, 0), "r2": out(400 * along(8), 8)},
    ),
    ({"kind": "cassette", "length_mm": 600}, {"a": FIRST, "b": out(600, 0)}),
    ({"kind": "buffer_stop", "length_mm": 20}, {"a": FIRST}),
    ({"kind": "open_end", "beyond_mm": 20}, {"a": FIRST}),
    ({"kind": "trap"}, {"a": FIRST}),
]


@pytest.mark.parametrize(
    ("piece", "ends"), PIECES, ids=[piece["kind"] for piece, _ in PIECES]
)
def test_the_ends_of_a_piece_lie_where_its_figures_lead(
    piece: Any, ends: dict[str, tuple[complex, float]]
) -> None:
    found = worked({"pieces": {"X": piece}})
    assert set(found.placed.shapes["X"].ends) == set(ends)
    for name, (place, towards_deg) in ends.items():
        spot = found.placed.spot(("X", name))
        assert spot is not None
        assert abs(spot.point - place) < 1e-4
        off_deg = (heading_deg(spot.direction) - towards_deg + 180) % 360 - 180
        assert isclose(off_deg, 0, abs_tol=1e-6)


def test_the_slip_road_touches_both_roads_and_no_sharper_than_it_need() -> None:
    """An arc from blades to blades has the radius half the core ÷ tan(angle ÷ 2)."""
    found = worked({"pieces": {"X": SLIP}})
    (strand,) = [one for one in found.network.strands if one.leg == "a1-b2"]
    assert strand.runs is not None
    (arc,) = strand.runs
    assert isclose(1 / arc.curvature_from, 40 / tan(pi / 18), rel_tol=1e-9)
