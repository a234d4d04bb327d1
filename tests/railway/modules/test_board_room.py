"""How large a loop a board takes: laid out with shapely, and searched for, as the second
definition.
"""

import math
from fractions import Fraction
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box  # type: ignore[import-untyped] # ships no types

from standage.railway.modules.board_room import (
    BareBoard,
    largest_half_circle_mm,
    loop_on,
    turn_back_mm,
)
from support.walks import at_each

FINE = 720
"""So many chords make a quarter circle: at R 1000 they are off by 0.0006 mm."""


class Tried(NamedTuple):
    long_mm: str
    short_mm: str
    edge_mm: str

    @property
    def board(self) -> BareBoard:
        return BareBoard(*map(Fraction, self))

    @property
    def surface(self) -> Polygon:
        return box(0, 0, float(self.long_mm), float(self.short_mm))

    @property
    def edge(self) -> float:
        return float(self.edge_mm)


BOARDS = (
    Tried("1219.2", "609.6", "38.1"),
    Tried("2440", "1220", "50"),
    Tried("1000", "1000", "25.5"),
    Tried("1830", "915", "0"),
    Tried("600", "450", "0.1"),
)


def laid(ends: list[tuple[float, float]], radius: float) -> Polygon:
    """Return all that lies within a loop about two centres."""
    return LineString(ends).buffer(radius, quad_segs=FINE)


def goes_in(tried: Tried, inside: Polygon) -> bool:
    """Tell whether a loop keeps its edge from the board's, but for what chords are
    off.
    """
    return bool(
        tried.surface.buffer(1e-6).contains(inside.buffer(tried.edge, quad_segs=FINE))
    )


def greatest(tried: Tried, ends: list[tuple[float, float]]) -> float:
    """Search for the largest loop about those centres."""
    low, high = 0.0, float(tried.long_mm)
    while high - low > 1e-4:
        middle = (low + high) / 2
        if goes_in(tried, laid(ends, middle)):
            low = middle
        else:
            high = middle
    return low


@at_each("tried", BOARDS)
def test_the_largest_half_circle_is_the_largest_round_that_any_middle_allows(
    tried: Tried,
) -> None:
    long, short = float(tried.long_mm), float(tried.short_mm)
    found = largest_half_circle_mm(tried.board)
    assert found is not None
    middles = [(long * x / 8, short * y / 8) for x in (2, 4, 6) for y in (3, 4, 5)]
    rounds = [greatest(tried, [middle, middle]) for middle in middles]
    assert max(rounds) == pytest.approx(float(found), abs=0.002)


@at_each("tried", BOARDS)
@at_each("share", ["1", "0.8", "0.25"])
def test_no_two_half_circles_on_the_board_lie_farther_apart_than_the_diagonal_s(
    tried: Tried, share: str
) -> None:
    """Every place for the middle of a half circle is tried, the corners' among them."""
    largest = largest_half_circle_mm(tried.board)
    assert largest is not None
    radius = float(largest * Fraction(share))
    loop = loop_on(tried.board, radius_mm=largest * Fraction(share))
    long, short = float(tried.long_mm), float(tried.short_mm)
    off = radius + tried.edge
    across = [off + (long - 2 * off) * step / 6 for step in range(-1, 8)]
    up = [off + (short - 2 * off) * step / 6 for step in range(-1, 8)]
    free = [
        (x, y) for x in across for y in up if goes_in(tried, laid([(x, y)] * 2, radius))
    ]
    apart = [math.dist(one, other) for one in free for other in free]
    assert max(apart) == pytest.approx(loop.diagonal_straight_mm, abs=0.002)
    level = [
        math.dist(one, other) for one in free for other in free if one[1] == other[1]
    ]
    assert max(level) == pytest.approx(float(loop.oval_straight_mm), abs=0.002)


@at_each("tried", BOARDS)
@at_each("share", ["1", "0.5", "0.05"])
def test_the_way_round_and_what_is_clear_inside_are_those_of_the_loop_as_it_is_laid(
    tried: Tried, share: str
) -> None:
    largest = largest_half_circle_mm(tried.board)
    assert largest is not None
    radius_mm = largest * Fraction(share)
    loop, radius = loop_on(tried.board, radius_mm=radius_mm), float(radius_mm)
    half = float(loop.oval_straight_mm) / 2
    oval = laid([(-half, 0), (half, 0)], radius)
    assert oval.exterior.length == pytest.approx(loop.way_round_mm, abs=0.01)
    far = loop.diagonal_straight_mm
    diagonal = laid([(0, 0), (far, 0)], radius)
    assert diagonal.exterior.length == pytest.approx(
        loop.diagonal_way_round_mm, abs=0.01
    )
    clear = oval.buffer(-tried.edge, quad_segs=FINE)
    middle = LineString([(0, -2 * radius), (0, 2 * radius)])
    assert clear.intersection(middle).length == pytest.approx(
        float(loop.clear_width_inside_mm), abs=0.01
    )


@at_each("tried", BOARDS)
def test_a_half_circle_whose_ends_run_off_a_long_side_is_the_largest_bow_that_goes_in(
    tried: Tried,
) -> None:
    """Its middle may lie on the side that its ends run off, or inside it."""
    long, short = float(tried.long_mm), float(tried.short_mm)
    found = turn_back_mm(tried.board)
    assert found is not None
    open_side = box(0, -short, long, short)

    def bow(radius: float, base: float) -> bool:
        whole = Point(long / 2, base).buffer(radius + tried.edge, quad_segs=FINE)
        return bool(open_side.buffer(1e-6).contains(whole))

    def largest(base: float) -> float:
        low, high = 0.0, long
        while high - low > 1e-4:
            middle = (low + high) / 2
            low, high = (middle, high) if bow(middle, base) else (low, middle)
        return low

    bases = [short * step / 10 for step in range(10)]
    assert max(map(largest, bases)) == pytest.approx(float(found), abs=0.002)


EXACT = (
    # half of 24 in less an inch and a half, in tenths of a mm
    (Tried("1219.2", "609.6", "38.1"), "266.7", "609.6", "457.2"),
    (Tried("2440", "1220", "50"), "560", "1220", "1020"),
    (Tried("0.3", "0.3", "0.1"), "0.05", "0", "0"),
)


@at_each("tried, radius_mm, straight_mm, clear_mm", EXACT)
def test_figures_are_exact_in_tenths(
    tried: Tried, radius_mm: str, straight_mm: str, clear_mm: str
) -> None:
    found = largest_half_circle_mm(tried.board)
    assert found == Fraction(radius_mm)
    loop = loop_on(tried.board, radius_mm=Fraction(radius_mm))
    assert loop.oval_straight_mm == Fraction(straight_mm)
    assert loop.clear_width_inside_mm == Fraction(clear_mm)


def test_a_diagonal_of_three_four_and_five_is_exact() -> None:
    # 400 by 300 are left between the middles, so that the diagonal is 500 long
    board = BareBoard(Fraction(1000), Fraction(900), Fraction(50))
    loop = loop_on(board, radius_mm=Fraction(250))
    assert loop.oval_straight_mm == 400
    assert loop.diagonal_straight_mm == 500


@at_each("edge_mm", ["300", "300.1", "5000"])
def test_where_edges_take_all_there_is_no_half_circle(edge_mm: str) -> None:
    board = BareBoard(Fraction(900), Fraction(600), Fraction(edge_mm))
    assert largest_half_circle_mm(board) is None


SIDE = st.integers(1, 30_000).map(lambda tenths: Fraction(tenths, 10))


@settings(max_examples=60)
@given(SIDE, SIDE, SIDE, SIDE)
def test_a_larger_board_or_a_smaller_edge_never_takes_less(
    long_mm: Fraction, short_mm: Fraction, edge_mm: Fraction, more_mm: Fraction
) -> None:
    def taken(board: BareBoard) -> tuple[Fraction, Fraction]:
        nothing = Fraction(-1)
        return (
            largest_half_circle_mm(board) or nothing,
            turn_back_mm(board) or nothing,
        )

    board = BareBoard(max(long_mm, short_mm), min(long_mm, short_mm), edge_mm)
    longer = board._replace(long_mm=board.long_mm + more_mm)
    wider = BareBoard(
        max(board.long_mm, board.short_mm + more_mm),
        min(board.long_mm, board.short_mm + more_mm),
        edge_mm,
    )
    nearer = board._replace(edge_mm=max(Fraction(0), edge_mm - more_mm))
    for greater in (longer, wider, nearer):
        assert all(
            more >= less
            for more, less in zip(taken(greater), taken(board), strict=True)
        )


@settings(max_examples=60)
@given(SIDE, SIDE, SIDE)
def test_of_a_loop_that_goes_in_the_straights_grow_as_its_radius_shrinks(
    long_mm: Fraction, short_mm: Fraction, edge_mm: Fraction
) -> None:
    board = BareBoard(max(long_mm, short_mm), min(long_mm, short_mm), edge_mm / 20)
    largest_mm = largest_half_circle_mm(board)
    if largest_mm is None:
        return
    wide = loop_on(board, radius_mm=largest_mm)
    tight = loop_on(board, radius_mm=largest_mm / 2)
    assert tight.oval_straight_mm > wide.oval_straight_mm
    assert tight.diagonal_straight_mm >= tight.oval_straight_mm
    assert tight.clear_width_inside_mm <= wide.clear_width_inside_mm
    # The largest fills the short side, so that it cannot be turned any more.
    assert wide.diagonal_straight_mm == float(wide.oval_straight_mm)
