"""Where on a way engines haul the fewest vehicles, and how many that are."""

from typing import NamedTuple

import numpy as np

from standage.railway.climbs.haulage import (
    ROLLING_PERCENT,
    Band,
    Power,
    Pull,
    Way,
    hauled,
)
from standage.railway.climbs.profile import (
    Between,
    Profile,
    added,
    felt_percent,
    worst,
)

_MOST_ROUNDS = 50
_SAME = 1e-9


class Hardest(NamedTuple):
    """Where a train's head is where one engine hauls the fewest, what the track adds to
    rolling resistance there, and how many it hauls.
    """

    head_mm: float
    way: Way
    vehicles: float


class HaulingOver(NamedTuple):
    """A way as it rises and as its curves drag, and a train that runs over it."""

    rises: Profile
    drags: Profile
    run: Between

    def way_at(self, head_mm: float) -> Way:
        """Return what the track adds with the train's head at a place; nothing is won
        downhill.
        """
        heads = np.array([head_mm])
        train_mm = self.run.train_mm
        gradient = float(felt_percent(self.rises, heads, train_mm=train_mm)[0])
        drag = float(felt_percent(self.drags, heads, train_mm=train_mm)[0])
        return Way(
            gradient_percent=max(gradient, 0.0), curve_drag_percent=max(drag, 0.0)
        )


def hardest(power: Power, hauling: HaulingOver, *, rolling_percent: float) -> Hardest:
    """Return where one engine hauls the fewest vehicles of some rolling resistance.

    By number all is in what the vehicles feel: the most of gradient and drag together.
    By a pull the engine's own weight counts with the gradient only. Then each round
    finds where the engine with as many vehicles as the last found is held back most,
    until that changes no more (Dinkelbach's method for a least quotient). **Source**
    derived.
    """
    found = _hardest(power, hauling, rolling_percent, share=1.0)
    if not isinstance(power, Pull):
        return found
    for _ in range(_MOST_ROUNDS):
        train_g = found.vehicles * power.vehicle_mass_g
        share = train_g / (train_g + power.engine_mass_g) if train_g > 0 else 0.0
        again = _hardest(power, hauling, rolling_percent, share=share)
        if again.vehicles >= found.vehicles - _SAME:
            break
        found = again
    return found


def _hardest(
    power: Power, hauling: HaulingOver, rolling_percent: float, *, share: float
) -> Hardest:
    """Return how many are hauled where gradient and a share of the drag are most."""
    both = added(hauling.rises, hauling.drags, share=share)
    uphill = worst(both, hauling.run)
    curved = worst(hauling.drags, hauling.run)
    # Downhill nothing is won: there the drag alone is left.
    head_mm = uphill.head_mm
    if share * curved.percent > uphill.percent:
        head_mm = curved.head_mm
    way = hauling.way_at(head_mm)
    vehicles = hauled(
        power,
        way=way,
        rolling_percent=rolling_percent,
    )
    return Hardest(head_mm, way, vehicles)


class HardestBand(NamedTuple):
    """How many one engine hauls where that is hardest; where, in the worst case."""

    band: Band
    worst: Hardest


def hardest_band(power: Power, hauling: HaulingOver) -> HardestBand:
    """Return how many vehicles one engine hauls over a whole way, over the whole band
    of rolling resistance. **Source** that of ``ROLLING_PERCENT``.
    """
    found = [
        hardest(power, hauling, rolling_percent=percent) for percent in ROLLING_PERCENT
    ]
    ordered = sorted(found, key=_vehicles)
    fewest, most = ordered[0], ordered[-1]
    return HardestBand(Band(fewest=fewest.vehicles, most=most.vehicles), fewest)


def _vehicles(one: Hardest) -> float:
    return one.vehicles
