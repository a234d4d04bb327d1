"""Where the gauge faces of two near rails cross: the crossing's nose."""

from typing import NamedTuple

from standage.railway.track.fouling.parting import Arc, Near, nearest
from standage.shapes.remembering import remembered

_NEAR_MM = 1e-9
_MOST_TRIES = 60
_MOST_REMEMBERED = 4096


class Rails(NamedTuple):
    """Two ways that part, from a place where they are well apart inwards.

    ``side`` is 1 where the other way lies to the left.
    """

    way: tuple[Arc, ...]
    other: tuple[Arc, ...]
    gauge_mm: float
    side: int
    from_mm: float


@remembered(most=_MOST_REMEMBERED)
def nose_mm(rails: Rails) -> float | None:
    """Return how far along the way the nose lies, squared to the way's centre line.

    Found from the outside inwards by Newton's method, kept between two places on either
    side of it. None where the rails do not cross. **Source** derived.
    """
    low_mm = 0.0
    high_mm = at_mm = rails.from_mm
    if _beyond_mm(rails, low_mm)[0] >= 0 or _beyond_mm(rails, high_mm)[0] <= 0:
        return None
    for _ in range(_MOST_TRIES):
        beyond_mm, rate = _beyond_mm(rails, at_mm)
        if abs(beyond_mm) < _NEAR_MM or high_mm - low_mm < _NEAR_MM:
            return at_mm
        if beyond_mm > 0:
            high_mm = at_mm
        else:
            low_mm = at_mm
        middle_mm = (low_mm + high_mm) / 2
        next_mm = at_mm - beyond_mm / rate if rate else middle_mm
        at_mm = next_mm if low_mm < next_mm < high_mm else middle_mm
    return at_mm


def _beyond_mm(rails: Rails, at_mm: float) -> tuple[float, float]:
    """Return by how much the way's near rail lies beyond the other's, and the rate of
    it."""
    arc = _arc_at(rails.way, at_mm)
    spot = arc.at(at_mm)
    half_mm = rails.gauge_mm / 2
    rail = spot.point + 1j * spot.direction * rails.side * half_mm
    near = nearest(rail, rails.other, up_to_mm=at_mm + rails.from_mm)
    if near is None:
        return -rails.gauge_mm, 0.0
    other = near.arc.at(near.along_mm).direction
    beside = (rail - near.point) * other.conjugate()
    aside_mm = -rails.side * _signed(near, beside)
    turned = spot.direction * other.conjugate()
    rate = -rails.side * turned.imag * (1 - arc.curvature * rails.side * half_mm)
    return aside_mm - half_mm, rate


def _signed(near: Near, beside: complex) -> float:
    """Return the distance, less than 0 to the right of the other way."""
    if beside.imag > 0:
        return near.distance_mm
    return -near.distance_mm


def _arc_at(way: tuple[Arc, ...], at_mm: float) -> Arc:
    for arc in way:
        if at_mm <= arc.start_mm + arc.length_mm:
            return arc
    return way[-1]
