"""How far apart centre lines must be for trains to pass, where nobody says.

**Source** NEM 112 as quoted (H0, N, TT on running lines), NMRA S-8 (S), the full-size
11 ft 2 in, 4.0 m and 13 ft centres (the others); see the table. Largest stock:
full-size vehicles scaled down, common practice.
"""

from collections.abc import Iterator
from math import inf, sqrt
from typing import Literal

import msgspec

from standage.railway.terms.scales import Practice, ScaleName, full_size_mm, scale
from standage.railway.track.plans.plan import Plan

Throw = Literal["end", "centre"]

BY_SCALE: dict[ScaleName, float] = {
    "00": 45.0,  # 11 ft 2 in at 4 mm to the foot: 44.67
    "OO": 45.0,
    "EM": 45.0,
    "P4": 45.0,
    "S4": 45.0,
    "H0": 46.0,  # NEM 112
    "HO": 46.0,  # NMRA S-8: 1 13/16 in
    "N": 25.0,  # NEM 112
    "N British": 25.0,  # common practice
    "TT": 34.0,  # NEM 112
    "S": 62.0,  # NMRA S-8: 2 7/16 in
    "0 British": 80.0,  # 11 ft 2 in at 7 mm to the foot: 78.2
    "0": 89.0,  # 4.0 m
    "O": 82.6,  # 13 ft
    "1": 125.0,  # 4.0 m
    "Z": 18.2,  # 4.0 m
}


class LargestStock(msgspec.Struct, frozen=True, kw_only=True):
    """The vehicle that swings out most: over its body, between pivots, and across."""

    length_mm: float
    pivots_mm: float
    width_mm: float


_FULL_SIZE: dict[Practice, tuple[float, float, float]] = {
    "british": (19.66, 14.17, 2.743),  # 64 ft 6 in, 46 ft 6 in, 9 ft
    "continental": (26.4, 19.0, 2.825),  # UIC type Z
    "american": (25.91, 18.14, 3.2),  # 85 ft, 59 ft 6 in, 10 ft 6 in
}
_NAMED: dict[ScaleName, LargestStock] = {
    "00": LargestStock(length_mm=258.0, pivots_mm=186.0, width_mm=36.0),
    "OO": LargestStock(length_mm=258.0, pivots_mm=186.0, width_mm=36.0),
    "N British": LargestStock(length_mm=133.0, pivots_mm=96.0, width_mm=19.0),
    "H0": LargestStock(length_mm=303.0, pivots_mm=218.0, width_mm=32.5),
}


class Spacing(msgspec.Struct, frozen=True, kw_only=True):
    """How far apart two ways must be, and what is added where they curve there.

    ``stock`` is empty where the figure was given as it is; of several, whichever swings
    out most on a curve counts there. It is ``usual`` where nobody said what is run.
    """

    mm: float
    stock: tuple[LargestStock, ...] = ()
    usual: bool = False

    def raised(self, throws: Iterator[tuple[Throw, float]]) -> "Spacing":
        """Return the spacing with the throws of legs that curve, by radius, and no
        more."""
        if not self.stock:
            return self
        raised_mm = self.mm
        for which, radius_mm in throws:
            raised_mm += self._throw_mm(which, radius_mm=radius_mm)
        return Spacing(mm=raised_mm)

    def _throw_mm(self, which: Throw, *, radius_mm: float) -> float:
        return max(throw_mm(one, which, radius_mm=radius_mm) for one in self.stock)


def spacing_of(plan: Plan, stock: tuple[LargestStock, ...] = ()) -> Spacing | None:
    """Return the spacing at which a plan's trains just pass; None where nobody knows.

    ``stock`` is the club's worst where it is on record. What the plan gives stands as
    it is; where it gives none, its scale's, to which throws are added.
    **Source** the table above.
    """
    if plan.fouling_spacing_mm is not None:
        return Spacing(mm=plan.fouling_spacing_mm)
    if plan.scale is None or plan.scale not in BY_SCALE:
        return None
    usual = (largest_stock(plan.scale),)
    return Spacing(
        mm=BY_SCALE[plan.scale],
        stock=stock or usual,
        usual=not stock,
    )


def largest_stock(name: ScaleName) -> LargestStock:
    """Return the largest stock of a scale that is commonly run.

    **Source** common practice, as the
    table above.

    >>> largest_stock("00").pivots_mm, round(largest_stock("TT").length_mm)
    (186.0, 220)
    """
    if name in _NAMED:
        return _NAMED[name]
    found = scale(name)
    sizes_mm = [full_size_mm(m, ratio=found.ratio) for m in _FULL_SIZE[found.practice]]
    length_mm, pivots_mm, width_mm = sizes_mm
    return LargestStock(
        length_mm=length_mm,
        pivots_mm=pivots_mm,
        width_mm=width_mm,
    )


def throw_mm(stock: LargestStock, which: Throw, *, radius_mm: float) -> float:
    """Return by how much a body stands out from the track's middle beyond half its
    width.

    At its ends to the outside of the curve, at its middle to the inside; the pivots are
    taken to run on the centre line. inf where no chord between pivots fits the curve.
    **Source** permanent-way text-books, exact.

    >>> coach = largest_stock("00")
    >>> round(throw_mm(coach, "centre", radius_mm=610), 2)
    7.13
    >>> round(throw_mm(coach, "end", radius_mm=610), 2)
    6.13
    """
    half_mm = stock.pivots_mm / 2
    if radius_mm <= half_mm:
        return inf
    middle_mm = sqrt(radius_mm**2 - half_mm**2)
    if which == "centre":
        return radius_mm - middle_mm
    side_mm = stock.width_mm / 2
    corner_mm = sqrt((middle_mm + side_mm) ** 2 + (stock.length_mm / 2) ** 2)
    return max(0.0, corner_mm - radius_mm - side_mm)
