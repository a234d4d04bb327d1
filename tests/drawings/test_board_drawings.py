"""Boards with their loops: true to scale, and what is too large is seen to be."""

import math
import re
from typing import Any, NamedTuple
from xml.etree import ElementTree as ET

import pytest

from standage.drawings.paper import GREY
from standage.questions.board_room import BoardRoomRequest
from standage.questions.board_room_drawing import board_room_sheet
from standage.shapes.decoding import convert
from support.sheets import SVG, off_the_paper, read, words
from support.walks import at_each

SHEET = {"length_mm": 2440, "width_mm": 1220, "edge_mm": 50}
NUMBER = r"(-?[\d.]+)"
LOOP = re.compile(
    rf"M{NUMBER} {NUMBER}A{NUMBER} {NUMBER} 0 0 1 {NUMBER} {NUMBER}L{NUMBER} {NUMBER}"
)


class Drawn(NamedTuple):
    straight_mm: float
    radius_mm: float
    corners: tuple[complex, complex, complex]


def drawn(**asked: Any) -> ET.Element:
    return read(board_room_sheet(convert(asked, BoardRoomRequest)))


def board(root: ET.Element) -> tuple[complex, float, float]:
    """Return the board's upper left corner and its sides, in mm of paper."""
    _, outline = root.iter(f"{SVG}rect")
    x_mm, y_mm, wide_mm, high_mm = (
        float(outline.get(name, 0)) for name in ("x", "y", "width", "height")
    )
    return complex(x_mm, y_mm), wide_mm, high_mm


def loops(root: ET.Element, **look: str) -> list[Drawn]:
    found = []
    for path in root.iter(f"{SVG}path"):
        if any(path.get(name) != value for name, value in look.items()):
            continue
        match = LOOP.match(path.get("d") or "")
        assert match is not None
        one_x, one_y, radius, same, two_x, two_y, on_x, on_y = map(
            float, match.groups()
        )
        assert radius == same
        corners = (complex(one_x, one_y), complex(two_x, two_y), complex(on_x, on_y))
        assert abs(corners[1] - corners[0]) == pytest.approx(2 * radius, abs=0.01)
        found.append(Drawn(abs(corners[2] - corners[1]), radius, corners))
    return found


OVAL = {"stroke-width": "0.8"}
BROKEN = {"stroke-dasharray": "2 1.2"}


def test_board_oval_diagonal_and_what_is_clear_are_on_one_scale() -> None:
    root = drawn(**SHEET, radius_mm=438)
    _, wide_mm, high_mm = board(root)
    scale = wide_mm / 2440
    assert high_mm / scale == pytest.approx(1220, abs=0.2)
    (oval,), (broken,) = loops(root, **OVAL), loops(root, **BROKEN)
    (clear,) = loops(root, fill=GREY)
    assert oval.straight_mm / scale == pytest.approx(1464, abs=0.2)
    assert broken.straight_mm / scale == pytest.approx(math.hypot(1464, 244), abs=0.2)
    assert clear.straight_mm == pytest.approx(oval.straight_mm, abs=0.01)
    radii = [one.radius_mm / scale for one in (oval, broken, clear)]
    assert radii == pytest.approx([438, 438, 388], abs=0.2)


@at_each("radius_mm", [438, 250, 60])
def test_the_diagonal_s_half_circles_lie_in_opposite_corners_with_the_edge_kept(
    radius_mm: int,
) -> None:
    root = drawn(**SHEET, radius_mm=radius_mm)
    corner, wide_mm, high_mm = board(root)
    scale = wide_mm / 2440
    (broken,) = loops(root, **BROKEN)
    kept_mm = (radius_mm + 50) * scale
    first = (broken.corners[0] + broken.corners[1]) / 2 - corner
    other = complex(wide_mm, high_mm) - first
    middles = [first, other]
    nearest = [min(one.real, wide_mm - one.real) for one in middles]
    assert nearest == pytest.approx([kept_mm] * 2, abs=0.02)
    nearest = [min(one.imag, high_mm - one.imag) for one in middles]
    assert nearest == pytest.approx([kept_mm] * 2, abs=0.02)


def test_a_loop_too_large_is_drawn_over_the_edge_and_nothing_grey_within_it() -> None:
    root = drawn(length_mm=1200, width_mm=600, edge_mm=50, radius_mm=438)
    _, wide_mm, high_mm = board(root)
    (oval,) = loops(root)
    assert oval.radius_mm == pytest.approx(438 * wide_mm / 1200, abs=0.02)
    assert 2 * oval.radius_mm > high_mm
    assert "Black: the loop, which lies too near the edge or over it." in words(root)


def test_without_room_the_bare_board_is_drawn_and_it_is_said() -> None:
    root = drawn(length_mm=600, width_mm=600, edge_mm=300)
    assert loops(root) == []
    assert any("nothing is left for a loop" in one for one in words(root))


@at_each(
    "asked",
    [
        {"length_mm": 1_000_000, "width_mm": 1, "edge_mm": 0},
        {"length_mm": 1, "width_mm": 1, "edge_mm": 0, "radius_mm": 1_000_000},
        {"length_mm": 1_000_000, "width_mm": 1_000_000, "edge_mm": 0.1},
        {"length_mm": 0.001, "width_mm": 1e-9, "edge_mm": 0},
    ],
)
def test_the_largest_and_smallest_stay_on_the_paper(asked: dict[str, float]) -> None:
    root = drawn(**asked)
    assert off_the_paper(root) == []
    height_mm = float((root.get("height") or "").removesuffix("mm"))
    assert height_mm < 279.4
    for loop in loops(root):
        assert all(math.isfinite(abs(corner)) for corner in loop.corners)
        assert loop.radius_mm <= 95
