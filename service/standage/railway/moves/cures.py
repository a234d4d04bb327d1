"""What limits the train of a move, and what lengthening of one piece would do."""

from collections.abc import Mapping, Sequence
from functools import cached_property
from typing import NamedTuple

from msgspec.structs import replace

from standage.railway.moves.ground import Ground, lengthened
from standage.railway.moves.room import TOUCHING_MM
from standage.railway.moves.search import Effort, searched
from standage.railway.moves.wanted import Wanted

MOST_MM = 2_000
"""Nobody lengthens a piece by more."""
MOST_CURING_STEPS = 150_000
"""So many courses are looked at for what would help."""
MOST_STEPS = 40_000
"""So many courses are looked at for what limits a train."""
_A_LITTLE_MM = 0.5
_NOTICED_MM = 1e-3


class Cure(NamedTuple):
    """By how much each of some strands alone must be longer for a move, in whole mm.

    ``gave_up`` where the budget of steps was spent before all were looked at.
    """

    lengthen_mm: Mapping[int, int]
    gave_up: bool = False


class Limits(NamedTuple):
    """What limits the longest train: strands of which each alone, a little longer, lets
    a longer one through; or else the roads that limit it together.

    ``gave_up`` where the budget of steps was spent before all was looked at.
    """

    strands: tuple[int, ...]
    roads: tuple[str, ...] = ()
    gave_up: bool = False


def limits(
    ground: Ground,
    wanted: Wanted,
    roads: Mapping[str, Sequence[int]],
    *,
    longest_mm: float,
) -> Limits:
    """Return what of some roads, each by its strands of plain track, limits the longest
    train.

    Nothing where no train gets through at all, or where something else limits it. Takes
    one search for each strand about which a longer train lacks little. **Source** the
    rules of moves.
    """
    if longest_mm == 0:
        return Limits(())
    return _Limiting(ground, wanted, longest_mm).found(roads)


class _Limiting:
    def __init__(self, ground: Ground, wanted: Wanted, longest_mm: float) -> None:
        self.ground = ground
        self.asked = replace(wanted, train_mm=longest_mm + _NOTICED_MM)
        self.steps = 0

    def found(self, roads: Mapping[str, Sequence[int]]) -> Limits:
        effort = Effort(near_mm=_A_LITTLE_MM + _NOTICED_MM)
        near = searched(self.ground, self.asked, effort).near
        close = {name: near.intersection(own) for name, own in roads.items()}
        each = [strand for own in roads.values() for strand in own if strand in near]
        alone = tuple(strand for strand in each if self._lets_through([strand]))
        if alone or self.steps > MOST_STEPS or not self._lets_through(each):
            return Limits(alone, gave_up=self.steps > MOST_STEPS)
        needed = [
            name
            for name, own in close.items()
            if own and not self._lets_through([one for one in each if one not in own])
        ]
        if self.steps > MOST_STEPS:
            return Limits((), gave_up=True)
        return Limits((), tuple(needed))

    def _lets_through(self, strands: Sequence[int]) -> bool:
        """Tell whether a longer train gets through once some strands are a little
        longer.
        """
        if not strands or self.steps > MOST_STEPS:
            return False
        by_mm = _A_LITTLE_MM
        asked = _asked_with_more(self.ground, self.asked, strands, by_mm=by_mm)
        if not has_room(asked):
            return False
        longer = lengthened(self.ground, strands, by_mm=by_mm)
        found = searched(longer, asked)
        self.steps += found.steps
        return bool(found.finishes)


def has_room(wanted: Wanted) -> bool:
    """Tell whether a train is no longer than its place and its goal. **Source** the
    rules of moves.
    """
    room_mm = wanted.start.length_mm
    if wanted.goal is not None:
        room_mm = min(room_mm, wanted.goal.length_mm)
    return wanted.train_mm <= room_mm + TOUCHING_MM


def cures(ground: Ground, wanted: Wanted, roads: Mapping[str, Sequence[int]]) -> Cure:
    """Return by how much each strand of some roads alone must be longer for the move.

    In whole mm up to ``MOST_MM``; those that do not help so far are left out. Added
    track bars no move: so it is asked halfway again and again, once for a road, as all
    of it is alike unless something is told of a part of it. **Source** the rules of
    moves.
    """
    return _Curing(ground, wanted).found(roads)


class _Curing:
    def __init__(self, ground: Ground, wanted: Wanted) -> None:
        self.ground = ground
        self.wanted = wanted
        self.steps = 0

    def found(self, roads: Mapping[str, Sequence[int]]) -> Cure:
        by_mm: dict[int, int] = {}
        for own in roads.values():
            is_alike = not self._told_apart.intersection(own)
            asked = own[:1] if is_alike else own
            for strand in asked:
                least_mm = self._least_mm(strand)
                if least_mm is not None:
                    alike = own if is_alike else [strand]
                    by_mm |= dict.fromkeys(alike, least_mm)
        return Cure(by_mm, gave_up=self.steps > MOST_CURING_STEPS)

    @cached_property
    def _told_apart(self) -> frozenset[int]:
        """The strands on which something lies that counts from one of their ends."""
        wanted = self.wanted
        spans = (*self.ground.standing, *wanted.no_propelling)
        stands = [one for one in (wanted.start, wanted.goal) if one is not None]
        courses = [course for one in stands if one.measured for course in one.courses]
        own = [span.strand for span in spans]
        return frozenset([*own, *(course >> 1 for course in courses)])

    def _least_mm(self, strand: int) -> int | None:
        if not self._helps(strand, MOST_MM):
            return None
        too_little, enough = 0, MOST_MM
        while enough - too_little > 1:
            middle = (too_little + enough) // 2
            if self._helps(strand, middle):
                enough = middle
            else:
                too_little = middle
        return None if self.steps > MOST_CURING_STEPS else enough

    def _helps(self, strand: int, by_mm: int) -> bool:
        if self.steps > MOST_CURING_STEPS:
            return False
        strands = (strand,)
        asked = _asked_with_more(self.ground, self.wanted, strands, by_mm=by_mm)
        if not has_room(asked):
            return False
        longer = lengthened(self.ground, strands, by_mm=by_mm)
        found = searched(longer, asked)
        self.steps += found.steps
        return bool(found.finishes)


def with_more(
    ground: Ground, wanted: Wanted, strands: Sequence[int], *, by_mm: float
) -> tuple[Ground, Wanted]:
    """Return the ground and what is wanted once some strands are so many mm longer.

    **Source** the rules of moves.
    """
    longer = lengthened(ground, strands, by_mm=by_mm)
    return longer, _asked_with_more(ground, wanted, strands, by_mm=by_mm)


def _asked_with_more(
    ground: Ground, wanted: Wanted, strands: Sequence[int], *, by_mm: float
) -> Wanted:
    start, goal = wanted.start, wanted.goal
    barred = list(wanted.no_propelling)
    lengths_mm = list(ground.lengths_mm)
    for strand in strands:
        start = start.lengthened(lengths_mm, strand, by_mm=by_mm)
        if goal is not None:
            goal = goal.lengthened(lengths_mm, strand, by_mm=by_mm)
        own_mm = lengths_mm[strand]
        barred = [
            span.with_more(own_mm, by_mm=by_mm) if span.strand == strand else span
            for span in barred
        ]
        lengths_mm[strand] = own_mm + by_mm
    return replace(wanted, start=start, goal=goal, no_propelling=tuple(barred))
