"""The fewest joints to gap, both rails, so that no train of a length makes a short."""

from collections.abc import Iterable
from itertools import count, islice, product

import msgspec

from standage.railway.polarity.closed_runs import reversing_parts
from standage.railway.polarity.metal import Metal
from standage.railway.polarity.shorts import (
    Budget,
    OutOfStepsError,
    Short,
    least_short,
    lies,
    metal_between,
    shorts_at_rest,
)
from standage.railway.track.plans.flat import EndJoin

MOST_STEPS = 600_000
"""So many rails and parts of track are looked at for one length."""
MOST_SETS = 100
_MOST_SHORTS = 6
"""Of so many shorts the one is taken that the fewest joints can end."""

Joints = frozenset[int]
_NONE: Joints = frozenset()


class Gapping(msgspec.Struct, frozen=True, kw_only=True):
    """The fewest joints to gap besides the gaps that there are, and the first such sets.

    ``places`` is None where no set is enough (``possible`` is false), or where the
    search ended before it was through: then ``at_least`` so many are needed.
    """

    places: int | None
    sets: tuple[tuple[EndJoin, ...], ...] = ()
    are_more: bool = False
    at_least: int = 0
    possible: bool = True


def smallest_gapping(
    metal: Metal, *, for_mm: float, steps: int = MOST_STEPS
) -> Gapping:
    """Return the smallest sets of joints to gap so that no train that ties rails
    together over up to ``for_mm`` makes a short anywhere.

    What cannot be reached by gaps in joints is not possible. Takes at most ``steps``.
    **Source** derived: a short ends only where the metal between its two rails is
    parted, so that one of the joints along it is in every set that is enough.
    """
    budget = Budget(steps)
    everywhere = frozenset(
        number for number, joint in enumerate(metal.joints) if joint.join is not None
    )
    proved = 0
    found: list[list[Joints]] = []
    for part in reversing_parts(metal):
        search = _Search(
            metal,
            part.tracks,
            for_mm,
            budget,
        )
        try:
            if search.way_of_a_short(everywhere) is not None:
                return Gapping(places=None, possible=False)
            found.append(search.smallest(everywhere - part.joints))
        except OutOfStepsError:
            return Gapping(places=None, at_least=proved + search.proved)
        proved += search.proved
    whole = (_NONE.union(*sets) for sets in product(*found))
    first = list(islice(whole, MOST_SETS + 1))
    return Gapping(
        places=proved,
        sets=tuple(_joins(metal, one) for one in first[:MOST_SETS]),
        are_more=len(first) > MOST_SETS,
        at_least=proved,
    )


def _joins(metal: Metal, gapped: Joints) -> tuple[EndJoin, ...]:
    joins = (metal.joints[number].join for number in sorted(gapped))
    return tuple(join for join in joins if join is not None)


class _Search:
    """Looks for sets of joints, each size in turn; ``proved`` are so many needed."""

    def __init__(
        self, metal: Metal, tracks: Iterable[int], for_mm: float, budget: Budget
    ) -> None:
        self._metal = metal
        self._for_mm = for_mm
        self._over = lies(metal, tracks)
        self._rails = sorted({rail for both in self._over.rails for rail in both})
        self._budget = budget
        self.proved = 0

    def smallest(self, gapped: Joints) -> list[Joints]:
        """Return the smallest sets that are enough beside those ``gapped``."""
        for size in count():
            found: list[Joints] = []
            self._try(gapped, _NONE, size, found, set())
            if found:
                return sorted(found, key=sorted)
            self.proved += 1
        raise AssertionError

    def _try(
        self,
        gapped: Joints,
        more: Joints,
        left: int,
        found: list[Joints],
        tried: set[Joints],
    ) -> None:
        """Note every set of so many ``left`` that is enough with those that there are."""
        if more in tried or len(found) > MOST_SETS:
            return
        tried.add(more)
        way = self.way_of_a_short(gapped | more)
        if way is None:
            found.append(more)
            return
        if left == 0:
            return
        for joint in way:
            self._try(gapped, more | {joint}, left - 1, found, tried)

    def way_of_a_short(self, gapped: Joints) -> list[int] | None:
        """Return the joints along the metal between the two rails of a short; None where
        there is none.
        """
        self._budget.take(len(self._rails))
        conductors = self._metal.conductors(gapped, self._rails)
        at_rest = list(islice(shorts_at_rest(self._over, conductors), _MOST_SHORTS))
        if at_rest:
            ways = [self._joints(short, gapped) for short in at_rest]
            return min(ways, key=len)
        short = least_short(
            self._over, conductors, below_mm=self._for_mm, budget=self._budget
        )
        if short is None:
            return None
        return self._joints(short, gapped)

    def _joints(self, short: Short, gapped: Joints) -> list[int]:
        """Return the joints of the plan that metal runs over between a short's rails."""
        way = metal_between(self._metal, short, gapped)
        self._budget.take(len(way))
        joints = self._metal.joints
        return [number for _, number in way if joints[number].join is not None]
