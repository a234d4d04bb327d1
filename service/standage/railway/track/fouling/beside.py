"""What lies beside a way: on which side the other is, and where both are straight."""

from collections.abc import Iterator, Sequence
from math import inf

from standage.railway.track.fouling.parting import Arc, Search, first_apart, nearest
from standage.shapes.remembering import remembered

_STRAIGHT = 1e-9
_JUST_BEYOND_MM = 1e-6
_MOST_REMEMBERED = 4096


def arc_at(arcs: Sequence[Arc], at_mm: float) -> Arc:
    """Return the arc of a way on which a place lies; at a joint, the one before it.

    **Source** derived.
    """
    for arc in arcs:
        if at_mm <= arc.start_mm + arc.length_mm:
            return arc
    return arcs[-1]


@remembered(most=_MOST_REMEMBERED)
def side_of(way: tuple[Arc, ...], other: tuple[Arc, ...], at_mm: float) -> int:
    """Return 1 where the other way lies to the left there, −1 to the right.

    **Source** derived.
    """
    arc = arc_at(way, at_mm)
    here, direction = arc.at(at_mm)
    near = nearest(here, other, up_to_mm=inf)
    if near is None:
        return -1
    away = near.point - here
    aside = away * direction.conjugate()
    if aside.imag > 0:
        return 1
    return -1


@remembered(most=_MOST_REMEMBERED)
def straight_again(search: Search) -> float | None:
    """Return where two ways are both straight, and as far apart as straight ones need.

    For ways that never part by as much as curved ones need: from there on there is no
    throw to allow for. None where they are not so far apart, or curve all along.
    **Source** derived.
    """
    way, other, _, _, _ = search
    apart_mm = first_apart(search)
    if apart_mm is None:
        return None
    for at_mm in sorted(_straights_begin(way, other)):
        if at_mm >= apart_mm and _is_straight_at(way, other, at_mm + _JUST_BEYOND_MM):
            return at_mm
    return None


def _straights_begin(way: Sequence[Arc], other: Sequence[Arc]) -> Iterator[float]:
    """Yield the places along a way at which it, or the other abreast, becomes
    straight."""
    for arc in way:
        if abs(arc.curvature) < _STRAIGHT:
            yield arc.start_mm
    for arc in other:
        if abs(arc.curvature) < _STRAIGHT:
            abreast = nearest(arc.point, way, up_to_mm=inf)
            yield 0.0 if abreast is None else abreast.along_mm


def _is_straight_at(way: Sequence[Arc], other: Sequence[Arc], at_mm: float) -> bool:
    own = arc_at(way, at_mm)
    here = own.at(at_mm).point
    near = nearest(here, other, up_to_mm=inf)
    if near is None:
        return False
    arcs = (own, near.arc)
    return all(abs(arc.curvature) < _STRAIGHT for arc in arcs)
