"""A vehicle as fouling points by stock need it: its bodies on their wheels."""

from collections.abc import Iterator, Sequence
from itertools import accumulate

from standage.railway.passing.passers import PassingStock
from standage.railway.stock.bodies import BodyShape
from standage.railway.track.fouling.stock_bodies import BodyEnd, Stock, StockBody
from standage.railway.track.paths.outlines import Outline
from standage.railway.track.paths.wheels import Wheels

LEAST_PIVOTS_MM = 0.01
"""Nearer pivots count as so far apart: the body then lies along the track all the same,
and a shorter chord than that is lost in rounding."""


def fouling_stock(known: PassingStock, end: BodyEnd | None) -> Stock | None:
    """Return a vehicle by its bodies, at their widest within the ±; None where a figure
    is lacking, which ``PassingStock.lacks`` then names.

    Lengths in mm. A vehicle of several bodies is taken to be as long as they are pulled
    out straight, which on curves is on the safe side. **Source** derived.
    """
    alternatives = [tuple(outlines(body)) for body in known.bodies]
    if not all(alternatives):
        return None
    from_front_mm = _before(known)
    whole_mm = _whole_mm(known, from_front_mm)
    bodies: list[StockBody] = []
    for ways, front_mm in zip(alternatives, from_front_mm, strict=True):
        for outline in ways:
            rear_mm = whole_mm - front_mm - outline.length_mm
            body = StockBody(
                outline=outline,
                from_front_mm=front_mm,
                from_rear_mm=max(0.0, rear_mm),
            )
            bodies.append(body)
    return Stock(bodies=tuple(bodies), end=end)


def outlines(body: BodyShape) -> Iterator[Outline]:
    """Yield the body on its wheels, at its widest within the ±, in each way in which it
    may stand on them; none where a figure is lacking. **Source** derived.
    """
    for way in body.ways:
        ahead_mm = way.half_front_mm
        behind_mm = way.half_rear_mm
        pivots_mm = way.pivots_mm
        width_mm = way.width_mm
        if ahead_mm is None or behind_mm is None:
            continue
        if pivots_mm is None or width_mm is None:
            continue
        wheels = Wheels(
            pivots_mm=max(pivots_mm, LEAST_PIVOTS_MM),
            bogie_wheelbase_mm=way.bogie_wheelbase_mm,
        )
        yield Outline(
            wheels=wheels,
            ahead_mm=ahead_mm,
            behind_mm=behind_mm,
            half_width_mm=(width_mm + way.width_plus_minus_mm) / 2,
        )


def _before(known: PassingStock) -> list[float]:
    """Return how far each body's front end lies behind the vehicle's."""
    parts = known.vehicle.bodies or ()
    if not parts:
        return [0.0]
    steps_mm = [part.length_mm + (part.gap_to_next_mm or 0.0) for part in parts[:-1]]
    return list(accumulate(steps_mm, initial=0.0))


def _whole_mm(known: PassingStock, from_front_mm: Sequence[float]) -> float:
    """Return how long the vehicle is; one body is the whole of it."""
    parts = known.vehicle.bodies or ()
    if not parts:
        return 0.0
    return from_front_mm[-1] + parts[-1].length_mm
