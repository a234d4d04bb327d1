"""A train that is taken to its goal in parts: the engine draws one after the other."""

from collections.abc import Sequence
from typing import NamedTuple

from msgspec.structs import replace

from standage.railway.moves.ground import Ground, with_standing
from standage.railway.moves.search import ANY_END, searched
from standage.railway.moves.standing import Stand, free_parts, spans_on
from standage.railway.moves.wanted import End, Wanted

_TOUCHING_MM = 1e-6


class Part(NamedTuple):
    """What is taken at once: its length, and that with the engine, in mm; how many
    vehicles it has, where that is known.
    """

    own_mm: float
    with_engine_mm: float
    vehicles: int = 0


def goes_in_parts(
    ground: Ground, wanted: Wanted, parts: Sequence[Part], *, engine_mm: float
) -> bool:
    """Tell whether an engine takes a train to its goal in parts, those next to it first.

    The rest waits at the end of the place to which the engine does not point, and what
    has been taken stands at the end of the goal away from the engine, so that
    it comes back as the next part goes. Told for a goal that is empty and holds the
    whole train; out of the plan, where each part gets out. Takes a search for each part.
    Lengths in mm. **Source** the rules of moves.
    """
    goal = wanted.goal
    if goal is None:
        return all(_gets_there(ground, wanted, part) for part in parts)
    own_mm = sum(part.own_mm for part in parts)
    if not _strands(wanted.start).isdisjoint(_strands(goal)):
        return False
    if own_mm + engine_mm > goal.length_mm or not _is_empty(ground, goal):
        return False
    if own_mm + engine_mm > wanted.start.length_mm or not _is_empty(
        ground, wanted.start
    ):
        return False
    return _Drawing(ground, wanted, goal).is_through(parts)


def _strands(stand: Stand) -> frozenset[int]:
    return frozenset(course >> 1 for course in stand.courses)


def _gets_there(ground: Ground, wanted: Wanted, part: Part) -> bool:
    asked = replace(
        wanted,
        train_mm=part.with_engine_mm,
        stands_against=None,
    )
    return bool(searched(ground, asked, ANY_END).finishes)


def _is_empty(ground: Ground, stand: Stand) -> bool:
    free = free_parts(ground, stand)
    return len(free) == 1 and free[0].length_mm >= stand.length_mm - _TOUCHING_MM


class _Drawing:
    def __init__(self, ground: Ground, wanted: Wanted, goal: Stand) -> None:
        self.ground = ground
        self.wanted = wanted
        self.goal = goal
        self._far: End | None = None

    def is_through(self, parts: Sequence[Part]) -> bool:
        """Tell whether every part in its turn gets there beside those before it."""
        waiting_mm = sum(part.own_mm for part in parts)
        taken_mm = 0.0
        for part in parts:
            waiting_mm -= part.own_mm
            if not self._is_taken(part, taken_mm, waiting_mm):
                return False
            taken_mm += part.own_mm
        return True

    def _is_taken(self, part: Part, taken_mm: float, waiting_mm: float) -> bool:
        """Tell whether a part gets there, the engine at the same end as before."""
        asked = replace(
            self.wanted,
            train_mm=part.with_engine_mm,
            stands_against=None,
        )
        for finish in searched(self._with(taken_mm, waiting_mm), asked).finishes:
            far: End = 0 if finish.engine_towards else 1
            if self._far in {None, far}:
                self._far = far
                return True
        return False

    def _with(self, taken_mm: float, waiting_mm: float) -> Ground:
        """Return the ground with what waits and what has been taken."""
        start = self.wanted.start
        rest = _at_end(start, 1 - self.wanted.engine_towards, waiting_mm)
        stock = list(spans_on(self.ground, rest))
        if self._far is not None:
            gone = _at_end(self.goal, self._far, taken_mm)
            stock += spans_on(self.ground, gone)
        return with_standing(self.ground, stock)


def _at_end(stand: Stand, end: int, length_mm: float) -> Stand:
    """Return so much of a place at one of its ends."""
    if end == 0:
        return replace(stand, to_mm=stand.from_mm + length_mm)
    return replace(stand, from_mm=stand.to_mm - length_mm)
