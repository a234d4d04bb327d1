"""Outlines of boards, seen from above: corners in order, in millimetres."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations, pairwise
from typing import Annotated

import msgspec

from standage.railway.terms.figures import LONGEST_MM
from standage.shapes.faults import Fault

MOST_CORNERS = 200

Coordinate = Annotated[
    float,
    msgspec.Meta(
        ge=-LONGEST_MM, le=LONGEST_MM, description="A coordinate in millimetres."
    ),
]
Corner = Annotated[
    tuple[Coordinate, ...],
    msgspec.Meta(min_length=2, max_length=2, description="A corner as [x, y], in mm."),
]
Outline = Annotated[
    tuple[Corner, ...], msgspec.Meta(min_length=3, max_length=MOST_CORNERS)
]

Point = Sequence[float]
_Edge = tuple[Point, Point]


def area_mm2(outline: Sequence[Point]) -> float:
    """Return the area within an outline that never crosses itself, in mm², whichever
    way round its corners go.

    **Source** derived: the trapezium rule, exact for straight edges.

    >>> area_mm2([(0, 0), (0, 600), (1200, 600), (1200, 0)])
    720000.0
    """
    doubled = 0.0
    for one, two in _edges(outline):
        from_x, from_y = one
        to_x, to_y = two
        doubled += from_x * to_y - to_x * from_y
    return abs(doubled) / 2


def outline_faults(outline: Sequence[Point]) -> Iterable[Fault]:
    """Yield what is wrong with an outline: a corner given twice, no area, edges that
    cross or touch.

    The first corner is not repeated at the end. Pointers begin with the field
    ``outline``. **Source** derived.
    """
    repeated = list(_repeated_corners(outline))
    yield from repeated
    if repeated:
        return
    if area_mm2(outline) <= 0:
        message = "holds no area: its corners lie in one line, or it crosses itself"
        yield Fault(code="no_area", message=message, pointer="/outline")
        return
    crossed = next(_crossings(outline), None)
    if crossed is None:
        return
    one, other = crossed
    message = (
        f"the edge after corner {one + 1} runs into the edge after corner {other + 1}"
    )
    yield Fault(code="crosses_itself", message=message, pointer="/outline")


def _repeated_corners(outline: Sequence[Point]) -> Iterator[Fault]:
    seen: set[tuple[float, ...]] = set()
    for position, corner in enumerate(outline):
        if tuple(corner) in seen:
            yield Fault(
                code="repeated",
                message="this corner is in the outline already",
                pointer=f"/outline/{position}",
            )
        seen.add(tuple(corner))


def _edges(outline: Sequence[Point]) -> Iterator[_Edge]:
    first = outline[0]
    return pairwise([*outline, first])


def _crossings(outline: Sequence[Point]) -> Iterator[tuple[int, int]]:
    """Yield the edges that meet elsewhere than at the corner they share, as places in
    the outline counted from 0.
    """
    edges = list(_edges(outline))
    numbered = enumerate(edges)
    for (one, first), (other, second) in combinations(numbered, 2):
        onwards = other - one
        apart = min(onwards, len(edges) - onwards)
        # Neighbours share a corner, and meet there at the least.
        meet = _fold_back if apart == 1 else _touch
        if meet(first, second):
            yield one, other


def _touch(one: _Edge, other: _Edge) -> bool:
    """Tell whether two edges have a point in common."""
    if any(_apart(one, other, axis) for axis in (0, 1)):
        return False
    start, end = other
    across = _side(one, start) * _side(one, end)
    start, end = one
    back = _side(other, start) * _side(other, end)
    return across <= 0 and back <= 0


def _fold_back(one: _Edge, other: _Edge) -> bool:
    """Tell whether two edges that share a corner lie one upon the other."""
    shared = next(corner for corner in one if corner in other)
    end = _other_corner(one, shared)
    far = _other_corner(other, shared)
    x, y = shared
    along_x = (end[0] - x) * (far[0] - x)
    along_y = (end[1] - y) * (far[1] - y)
    goes_back = along_x + along_y > 0
    return goes_back and _side(one, far) == 0


def _other_corner(edge: _Edge, shared: Point) -> Point:
    return next(corner for corner in edge if corner != shared)


def _apart(one: _Edge, other: _Edge, axis: int) -> bool:
    ends = [corner[axis] for corner in one]
    others = [corner[axis] for corner in other]
    is_before = max(ends) < min(others)
    is_behind = max(others) < min(ends)
    return is_before or is_behind


def _side(edge: _Edge, point: Point) -> int:
    """Return 1, 0 or -1 where ``point`` lies to the left of, on, or to the right of the
    line of ``edge``.
    """
    (from_x, from_y), (to_x, to_y) = edge
    at_x, at_y = point
    ahead = (to_x - from_x) * (at_y - from_y)
    aside = (to_y - from_y) * (at_x - from_x)
    turn = ahead - aside
    return (turn > 0) - (turn < 0)
