"""How many vehicles of one type roads hold, work with, and are crowded by."""

from bisect import bisect_left
from collections.abc import Sequence
from itertools import accumulate
from math import ceil, floor
from typing import NamedTuple

from standage.railway.standing.capacity import MOST, Row, greatest_count
from standage.railway.stock.extents import Extent
from standage.railway.storing.fill import CROWDED_UP_TO, WORKS_UP_TO
from standage.railway.terms.figures import exceeds, goes_into, tidy


class InVehicles(NamedTuple):
    """Numbers of vehicles of one type; None is not known, and ``crowded_from`` also
    None where roads with all that they hold can be worked still.
    """

    holds: int | None = None
    works_with: int | None = None
    crowded_from: int | None = None


UNKNOWN = InVehicles()


def in_vehicles(row: Row, roads_mm: Sequence[float | None]) -> InVehicles:
    """Return how many of ``row`` stand in roads, coupled; half of that number, and
    four-fifths of it.

    Half is rounded down and four-fifths up; what ``fill`` says of the length counts
    beside it. So fewer work where half of them take more than half of the length;
    fewer crowd where they take four-fifths of it; and none crowd what can be worked.
    Of all ways to stand in the roads the one counts that takes the most length. As in
    ``fill``, couplings that nobody named count with the longest that may be meant, and
    neither a ± nor room for stopping counts. Roads in mm, None of unknown length.
    Vehicles that do not couple to their like stand one to a road, which says nothing of
    how full it is: of them lengths alone count. **Source** derived; of half and
    four-fifths common practice, no source.
    """
    known_mm = [usable_mm for usable_mm in roads_mm if usable_mm is not None]
    row = row.with_each(Extent.longest)
    parts = (row.vehicle, row.joint, row.free_ends)
    is_unknown = any(part.missing for part in parts) or row.pitch.known_mm <= 0
    if is_unknown or len(known_mm) < len(roads_mm):
        return UNKNOWN
    held = [_held(row, usable_mm) for usable_mm in known_mm]
    taken = _Taken.by(row, held)
    all_mm = sum(known_mm)

    def works(count: int) -> bool:
        return goes_into(taken.most_mm(count), room_mm=all_mm * WORKS_UP_TO)

    def leaves_room(count: int) -> bool:
        return exceeds(all_mm * CROWDED_UP_TO, limit=taken.most_mm(count))

    holds = sum(held)
    half_taken = greatest_count(works, most=holds)
    works_with = half_taken
    crowded_from = greatest_count(leaves_room, most=holds) + 1
    if row.together:
        works_with = min(half_taken, floor(tidy(holds * WORKS_UP_TO)))
        crowded_from = min(crowded_from, ceil(tidy(holds * CROWDED_UP_TO)))
        crowded_from = max(crowded_from, half_taken + 1)
    return InVehicles(
        holds=holds,
        works_with=works_with,
        crowded_from=crowded_from if crowded_from <= holds else None,
    )


def _held(row: Row, usable_mm: float) -> int:
    def stand(count: int) -> bool:
        return goes_into(row.standing(count).known_mm, room_mm=usable_mm)

    most = MOST if row.together else 1
    return greatest_count(stand, most=most)


class _Taken(NamedTuple):
    """What vehicles of one type take up in roads, in mm.

    The first in a road takes ``first_mm`` more than each that is coupled to it, or less
    where free couplings stand out less than a joint is long. ``fewest`` are how many
    stand in the roads that hold the most, one road after the other.
    """

    pitch_mm: float
    first_mm: float
    fewest: tuple[int, ...]

    @classmethod
    def by(cls, row: Row, held: Sequence[int]) -> "_Taken":
        pitch_mm = row.pitch.known_mm
        alone_mm = row.standing(1).known_mm
        largest_first = sorted(filter(None, held), reverse=True)
        return cls(pitch_mm, alone_mm - pitch_mm, tuple(accumulate(largest_first)))

    def most_mm(self, count: int) -> float:
        """Return the most that so many take up, however they stand in the roads."""
        if count == 0:
            return 0.0
        roads = min(count, len(self.fewest))
        if self.first_mm < 0:
            roads = bisect_left(self.fewest, count) + 1
        return count * self.pitch_mm + roads * self.first_mm
