"""Which vehicles to leave off so that the rest of a train fits: as few as will do, and
of as few the least room left.

The search works on weights: a part's length and its ± together, since a train fits
where length and ± are within the room. It is exact; the second half of it, which looks
for the least room left, keeps to a budget of steps.
"""

from collections.abc import Callable
from itertools import combinations
from math import comb

import msgspec

from standage.railway.stock.coupled import Coupled
from standage.railway.stock.makeup import START, Places, laid_out, longest_made_up
from standage.railway.stock.vehicles import KEPT_KINDS
from standage.railway.terms.figures import goes_into

MOST_CELLS = 500_000
"""So many steps the tables of the first half may take; a longer train is not
searched.
"""
MOST_STEPS = 3_000
"""So many steps the second half may take before the best so far is given as not
proved.
"""
MOST_TRIED = 40_000
"""So many vehicles are looked at in trains tried one by one, where length alone does
not decide.
"""


class Dropped(msgspec.Struct, frozen=True, kw_only=True):
    """The places in the train, counted from 0, of what to leave off; None where nothing
    helps or the search was cut.

    ``proved`` tells which: that no fewer do and none of as few leaves less room, or
    that nothing at all helps.
    """

    places: Places | None
    proved: bool


def fewest_by_length(train: Coupled, *, within_mm: float, unfit: Places) -> Dropped:
    """Return the fewest vehicles to leave off so that length pulled out and its ± come
    within ``within_mm``.

    What is ``unfit`` must go; engines and brake vans must stay, and so must one vehicle
    at least. The rest must take hold of each other, all its figures known. A rake
    measured whole counts as such only while it is whole. In mm. **Source** derived; see
    ``stock.makeup``.
    """
    kept = _kept(train)
    if unfit & kept:
        return Dropped(places=None, proved=True)
    makeup = laid_out(train, kept=kept, unfit=unfit, most_cells=MOST_CELLS)
    if makeup is None:
        return Dropped(places=None, proved=False)
    weights_mm = enumerate(makeup.rests[START].weights_mm)
    fewest = next(
        (
            drops
            for drops, weight_mm in weights_mm
            if goes_into(weight_mm, room_mm=within_mm)
        ),
        None,
    )
    if fewest is None:
        return Dropped(places=None, proved=True)
    longest = longest_made_up(
        makeup, drops=fewest, within_mm=within_mm, most_steps=MOST_STEPS
    )
    return Dropped(places=longest.dropped, proved=longest.proved)


def fewest_by_trial(
    train: Coupled,
    *,
    spare_mm: Callable[[Coupled], float | None],
    unfit: Places,
    at_least: int = 0,
) -> Dropped:
    """Return the fewest vehicles to leave off so that the rest fits, trying trains one
    by one.

    ``spare_mm`` gives what a train leaves, None where it does not fit; ``at_least`` is
    how many must go at the least. Lengths in mm. What no trial within the bound settles
    is not proved. **Source** derived: all choices of so many, the fewest first.
    """
    kept = _kept(train)
    if unfit & kept:
        return Dropped(
            places=None,
            proved=True,
        )
    vehicles = len(train.members)
    decided = kept | unfit
    # from the tail: of ways that leave as much the vehicles behind go first
    may_go = [place for place in reversed(range(vehicles)) if place not in decided]
    fewest = max(0, at_least - len(unfit))
    most = min(len(may_go), vehicles - len(unfit) - 1)
    tried = 0
    for more in range(fewest, most + 1):
        tried += comb(len(may_go), more) * vehicles
        if tried > MOST_TRIED:
            return Dropped(
                places=None,
                proved=False,
            )
        left_mm: dict[Places, float] = {}
        for going in combinations(may_go, more):
            dropped = unfit.union(going)
            spare = spare_mm(train.without(dropped))
            if spare is not None:
                left_mm[dropped] = spare
        if left_mm:
            return Dropped(
                places=min(left_mm, key=left_mm.__getitem__),
                proved=True,
            )
    return Dropped(
        places=None,
        proved=True,
    )


def _kept(train: Coupled) -> Places:
    return frozenset(
        place
        for place, member in enumerate(train.members)
        if member.vehicle.kind in KEPT_KINDS
    )
