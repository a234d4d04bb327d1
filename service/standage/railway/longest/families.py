"""Which vehicles of a pool may come into one train at all, by which couplings take hold
of which.
"""

from collections.abc import Iterable, Mapping, Sequence

from standage.railway.longest.cars import Car, Front, joined
from standage.railway.stock.coupled import Member
from standage.railway.stock.couplings import CouplingTypes


def families(
    cars: Sequence[Car], front: Front | None, *, types: CouplingTypes
) -> list[list[int]]:
    """Return cars by their numbers, those together that may come into one train; at
    least one family, maybe empty.

    Behind engines that is all that can follow them, if need be with others between;
    else all that are joined in any way. **Source** derived: connected components, or
    what can be reached from the engines.
    """
    members = [car.member for car in cars]
    after: dict[int, set[int]] = {}
    for one, member in enumerate(members):
        after[one] = _joined_to(member, members, types=types)
    if front is not None:
        begin = _joined_to(front.members[-1], members, types=types)
        return [sorted(_reached(begin, after))]
    beside = {one: set(following) for one, following in after.items()}
    for one, following in after.items():
        for other in following:
            beside[other].add(one)
    kin: set[frozenset[int]] = set()
    for one in beside:
        kin.add(frozenset(_reached([one], beside)))
    return sorted(map(sorted, kin)) or [[]]


def _joined_to(
    leading: Member, members: Sequence[Member], *, types: CouplingTypes
) -> set[int]:
    """Return by number which of the members can follow right behind."""
    return {
        number
        for number, following in enumerate(members)
        if joined(leading, following, types=types)
    }


def _reached(begin: Iterable[int], onwards: Mapping[int, set[int]]) -> set[int]:
    reached = set(begin)
    waiting = list(reached)
    while waiting:
        new = onwards[waiting.pop()] - reached
        reached |= new
        waiting.extend(new)
    return reached
