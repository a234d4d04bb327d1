"""How large a loop goes on to a board that is a plain rectangle.

A *loop* is one track of two half circles and the two straights between them. An *oval*
lies along the board; a *diagonal* is turned so that its half circles lie in opposite
corners. The *edge* is what stays free between a centre line and whatever lies beside it:
the board's edge outside, scenery or a person inside.
"""

import math
from fractions import Fraction
from typing import NamedTuple


class BareBoard(NamedTuple):
    """A board by its two sides and the edge that is kept, in mm, exact."""

    long_mm: Fraction
    short_mm: Fraction
    edge_mm: Fraction


class Loop(NamedTuple):
    """The figures of a loop on a board, in mm; roots and circles are no fractions."""

    oval_straight_mm: Fraction
    diagonal_straight_mm: float
    clear_width_inside_mm: Fraction
    way_round_mm: float
    diagonal_way_round_mm: float


def largest_half_circle_mm(board: BareBoard) -> Fraction | None:
    """Return the radius of the largest half circle of a loop, in mm: half of the short
    side, less the edge; None where the edges leave nothing. **Source** derived.

    >>> largest_half_circle_mm(BareBoard(Fraction(1220), Fraction(610), Fraction(50)))
    Fraction(255, 1)
    """
    radius_mm = board.short_mm / 2 - board.edge_mm
    return radius_mm if radius_mm > 0 else None


def turn_back_mm(board: BareBoard) -> Fraction | None:
    """Return the radius of the largest half circle both of whose ends run off a long
    side, in mm; None where the edges leave nothing.

    It takes twice its radius and the edges along that side, its radius and one edge
    across. **Source** derived.

    >>> turn_back_mm(BareBoard(Fraction(1220), Fraction(610), Fraction(50)))
    Fraction(560, 1)
    """
    along_mm = board.long_mm / 2 - board.edge_mm
    across_mm = board.short_mm - board.edge_mm
    radius_mm = min(along_mm, across_mm)
    return radius_mm if radius_mm > 0 else None


def side_needed_mm(board: BareBoard, *, radius_mm: Fraction) -> Fraction:
    """Return the least that a board's sides may be, in mm, so that a loop of that
    radius goes in with the board's edge. **Source** derived.

    >>> side_needed_mm(BareBoard(Fraction(9), Fraction(9), Fraction(50)), radius_mm=Fraction(438))
    Fraction(976, 1)
    """
    return 2 * (radius_mm + board.edge_mm)


def loop_on(board: BareBoard, *, radius_mm: Fraction) -> Loop:
    """Return the figures of a loop of that radius, in mm, each straight as long as the
    board lets it be.

    The middles of the half circles keep radius and edge from every side, so that they
    lie in a smaller rectangle: an oval's along its long side, a diagonal's in opposite
    corners. Raises ``ValueError`` for a radius that does not go in. **Source** derived.

    >>> board = BareBoard(Fraction(1000), Fraction(900), Fraction(50))
    >>> loop_on(board, radius_mm=Fraction(250)).diagonal_straight_mm
    500.0
    """
    needed_mm = side_needed_mm(board, radius_mm=radius_mm)
    along_mm = board.long_mm - needed_mm
    across_mm = board.short_mm - needed_mm
    if radius_mm <= 0 or min(along_mm, across_mm) < 0:
        limit_mm = float(board.short_mm / 2 - board.edge_mm)
        message = f"radius_mm {float(radius_mm):g} must be above 0 and at most {limit_mm:g} mm"
        raise ValueError(message)
    diagonal_mm = math.hypot(along_mm, across_mm)
    circle_mm = 2 * math.pi * float(radius_mm)
    clear_mm = 2 * (radius_mm - board.edge_mm)
    return Loop(
        oval_straight_mm=along_mm,
        diagonal_straight_mm=diagonal_mm,
        clear_width_inside_mm=max(Fraction(0), clear_mm),
        way_round_mm=circle_mm + 2 * float(along_mm),
        diagonal_way_round_mm=circle_mm + 2 * diagonal_mm,
    )
