"""Vehicles that run past what stands beside the track: their bodies at the width that
counts there, and what is lacking of them.
"""

from collections.abc import Iterable, Iterator
from typing import Literal, NamedTuple

import msgspec

from standage.railway.curving.curves import on_curve
from standage.railway.passing.fouling_stock import outlines
from standage.railway.passing.gaps import Passer
from standage.railway.passing.passers import PassingStock, at_their_widest
from standage.railway.stock.bodies import BodyShape
from standage.railway.terms.reasons import Reason
from standage.railway.track.paths.outlines import Outline

Part = Literal["front", "rear", "either", "middle", "side"]
"""Which part of a vehicle reaches farthest: an end, either of two that are alike, its
middle, or on straight track its whole side.
"""


class BodyBeside(NamedTuple):
    """One body in one way of standing on its wheels; ``outline`` is None where it is
    known for straight track alone.
    """

    name: str
    passer: Passer
    farther_end: Part
    outline: Outline | None

    @property
    def half_width_mm(self) -> float:
        """Half of the widest that it may be."""
        return self.passer.half_width_mm


def bodies_beside(stock: PassingStock, *, straight: bool) -> Iterator[BodyBeside]:
    """Yield the bodies of a vehicle whose figures are known, at their widest; on
    straight track the widths alone count. **Source** derived.
    """
    widest = at_their_widest(stock)
    for body in widest.ways:
        alone = PassingStock(
            vehicle=widest.vehicle,
            bodies=(msgspec.structs.replace(body, also=None),),
            guesses=(),
        )
        for passer in alone.passers(straight=straight):
            # more than one outline there is none of, in one way of standing
            outline = next(outlines(alone.bodies[0]), None)
            yield BodyBeside(body.name, passer, _farther_end(body), outline)


def _farther_end(body: BodyShape) -> Part:
    front_mm, rear_mm = body.half_front_mm, body.half_rear_mm
    if front_mm is None or rear_mm is None or front_mm == rear_mm:
        return "either"
    return "front" if front_mm > rear_mm else "rear"


def cannot_stand(bodies: Iterable[BodyBeside], *, radius_mm: float) -> Iterator[Reason]:
    """Yield the vehicles of measured wheels that cannot be on the curve at all. The
    radius is in mm, ``inf`` where straight. **Source** derived: a chord is no longer
    than the curve is across.
    """
    for passer in _too_long(bodies, radius_mm=radius_mm):
        if not passer.pivots_given:
            continue
        message = (
            f"{passer.vehicle} cannot stand on this curve: its wheelbase is longer than"
            " the curve is across"
        )
        yield Reason(
            code="cannot_stand",
            message=message,
            vehicle=passer.vehicle,
            value_mm=passer.pivots_mm,
        )


def may_not_stand(
    bodies: Iterable[BodyBeside], *, radius_mm: float
) -> Iterator[Reason]:
    """Yield the vehicles whose wheels nobody measured that could not be on the curve
    with the wheels such stock mostly has. **Source** derived.
    """
    for passer in _too_long(bodies, radius_mm=radius_mm):
        if passer.pivots_given:
            continue
        message = (
            f"{passer.vehicle}: measure between its bogies' middles, or its rigid"
            " wheelbase; as such stock mostly is, it cannot stand on this curve"
        )
        yield Reason(
            code="may_not_stand",
            message=message,
            vehicle=passer.vehicle,
            field="bogie_centres_mm",
        )


def _too_long(bodies: Iterable[BodyBeside], *, radius_mm: float) -> Iterator[Passer]:
    """Yield one body of each vehicle that cannot stand there."""
    told: set[str] = set()
    for body in bodies:
        passer = body.passer
        if passer.vehicle in told or passer.stands_on(radius_mm):
            continue
        told.add(passer.vehicle)
        yield passer


def do_not_run(stock: Iterable[PassingStock], *, radius_mm: float) -> Iterator[Reason]:
    """Yield which of the vehicles will not be met there, since they do not run on a
    curve of that radius, in mm. **Source** that of ``curving``.
    """
    for one in stock:
        found = on_curve(one.vehicle, radius_mm=radius_mm)
        if found.verdict != "does_not_run":
            continue
        name = one.vehicle.name
        message = (
            f"{name} does not run on {radius_mm:g} mm: leave it out to judge by the"
            " others"
        )
        yield Reason(
            code="does_not_run_there",
            message=message,
            vehicle=name,
            value_mm=radius_mm,
        )
