"""Which vehicles of a pool may come into one train at all, by which couplings take hold
of which.
"""

from collections.abc import Mapping, Sequence

from standage.railway.longest.cars import Car, Front, joined
from standage.railway.stock.couplings import CouplingTypes


def families(
    cars: Sequence[Car], front: Front | None, *, types: CouplingTypes
) -> list[list[int]]:
    """Return cars by their numbers, those together that may come into one train; at
    least one family, maybe empty.

    Behind engines that is all that can follow them, if need be with others between;
    else all that are joined in any way.
    """
    everybody = range(len(cars))
    after = {
        one: {
            two
            for two in everybody
            if joined(cars[one].member, cars[two].member, types=types)
        }
        for one in everybody
    }
    if front is not None:
        begin = [
            one
            for one in everybody
            if joined(front.members[-1], cars[one].member, types=types)
        ]
        return [sorted(_reached(begin, after))]
    beside = {
        one: after[one] | {two for two in everybody if one in after[two]}
        for one in everybody
    }
    return sorted(
        sorted(family)
        for family in {frozenset(_reached([one], beside)) for one in everybody}
    ) or [[]]


def _reached(begin: Sequence[int], onwards: Mapping[int, set[int]]) -> set[int]:
    reached, waiting = set(begin), list(begin)
    while waiting:
        new = onwards[waiting.pop()] - reached
        reached |= new
        waiting.extend(new)
    return reached
