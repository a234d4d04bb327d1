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
    doubled = sum(one[0] * two[1] - two[0] * one[1] for one, two in _edges(outline))
    return abs(doubled) / 2


def outline_faults(outline: Sequence[Point]) -> Iterable[Fault]:
    """Yield what is wrong with an outline: a corner given twice, no area, edges that
    cross or touch.

    The first corner is not repeated at the end. Pointers begin with the field
    ``outline``.
    """
    seen: set[tuple[float, ...]] = set()
    for position, corner in enumerate(outline):
        if tuple(corner) in seen:
            yield Fault(
                code="repeated",
                message="this corner is in the outline already",
                pointer=f"/outline/{position}",
            )
        seen.add(tuple(corner))
    if len(seen) < len(outline):
        return
    if area_mm2(outline) <= 0:
        yield Fault(
            code="no_area",
            message="holds no area: its corners lie in one line, or it crosses itself",
            pointer="/outline",
        )
    elif (crossed := next(_crossings(outline), None)) is not None:
        one, other = crossed
        message = (
            f"the edge after corner {one + 1} runs into the edge after corner"
            f" {other + 1}"
        )
        yield Fault(code="crosses_itself", message=message, pointer="/outline")


def _edges(outline: Sequence[Point]) -> Iterator[_Edge]:
    return pairwise([*outline, outline[0]])


def _crossings(outline: Sequence[Point]) -> Iterator[tuple[int, int]]:
    """Yield the edges that meet elsewhere than at the corner they share, as places in
    the outline counted from 0.
    """
    edges = list(_edges(outline))
    for (one, first), (other, second) in combinations(enumerate(edges), 2):
        apart = min(other - one, len(edges) - other + one)
        meet = _fold_back(first, second) if apart == 1 else _touch(first, second)
        if meet:
            yield one, other


def _touch(one: _Edge, other: _Edge) -> bool:
    """Tell whether two edges have a point in common."""
    if _apart(one, other, 0) or _apart(one, other, 1):
        return False
    across = _side(one, other[0]) * _side(one, other[1])
    back = _side(other, one[0]) * _side(other, one[1])
    return across <= 0 and back <= 0


def _fold_back(one: _Edge, other: _Edge) -> bool:
    """Tell whether two edges that share a corner lie one upon the other."""
    (shared,) = [corner for corner in one if corner in other]
    end, far = (
        next(corner for corner in edge if corner != shared) for edge in (one, other)
    )
    ahead = (end[0] - shared[0]) * (far[0] - shared[0]) + (end[1] - shared[1]) * (
        far[1] - shared[1]
    )
    return _side(one, far) == 0 and ahead > 0


def _apart(one: _Edge, other: _Edge, axis: int) -> bool:
    return max(one[0][axis], one[1][axis]) < min(other[0][axis], other[1][axis]) or max(
        other[0][axis], other[1][axis]
    ) < min(one[0][axis], one[1][axis])


def _side(edge: _Edge, point: Point) -> int:
    """Return 1, 0 or -1 where ``point`` lies to the left of, on, or to the right of the
    line of ``edge``.
    """
    (from_x, from_y), (to_x, to_y) = edge[0][:2], edge[1][:2]
    turn = (to_x - from_x) * (point[1] - from_y) - (to_y - from_y) * (point[0] - from_x)
    return (turn > 0) - (turn < 0)
