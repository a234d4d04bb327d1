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
    has been taken stands at the far end of the goal, pushed there; after each part but
    the last the engine comes back light. Told for a goal that is empty and holds the
    whole train; out of the plan, where each part gets out. Takes two searches for each
    part. Lengths in mm. **Source** the rules of moves.
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
    return _Drawing(ground, wanted, goal, engine_mm).is_through(parts)


def _strands(stand: Stand) -> frozenset[int]:
    return frozenset(course >> 1 for course in stand.courses)


def _gets_there(ground: Ground, wanted: Wanted, part: Part) -> bool:
    asked = replace(wanted, train_mm=part.with_engine_mm, stands_against=None)
    return bool(searched(ground, asked, ANY_END).finishes)


def _is_empty(ground: Ground, stand: Stand) -> bool:
    free = free_parts(ground, stand)
    return len(free) == 1 and free[0].length_mm >= stand.length_mm - _TOUCHING_MM


class _Drawing:
    def __init__(
        self, ground: Ground, wanted: Wanted, goal: Stand, engine_mm: float
    ) -> None:
        self.ground = ground
        self.wanted = wanted
        self.goal = goal
        self.engine_mm = engine_mm
        self._far: End | None = None

    def is_through(self, parts: Sequence[Part]) -> bool:
        waiting_mm = sum(part.own_mm for part in parts)
        taken_mm = 0.0
        for number, part in enumerate(parts, start=1):
            waiting_mm -= part.own_mm
            is_last = number == len(parts)
            if not self._taken(part, taken_mm, waiting_mm, is_last=is_last):
                return False
            taken_mm += part.own_mm
            if not is_last and not self._back(taken_mm, waiting_mm):
                return False
        return True

    def _taken(
        self, part: Part, taken_mm: float, waiting_mm: float, *, is_last: bool
    ) -> bool:
        """Tell whether a part gets there; all but the last are pushed in, so that the
        engine gets away again.
        """
        asked = replace(self.wanted, train_mm=part.with_engine_mm, stands_against=None)
        for finish in searched(self._with(taken_mm, waiting_mm), asked).finishes:
            far: End = 0 if finish.engine_towards else 1
            is_pushed = not finish.engine_leads
            if self._far in {None, far} and (is_pushed or is_last):
                self._far = far
                return True
        return False

    def _back(self, taken_mm: float, waiting_mm: float) -> bool:
        """Tell whether the engine gets back to what waits, alone."""
        toward: End = 0 if self._far else 1
        asked = replace(
            self.wanted,
            start=self.goal,
            engine_towards=toward,
            stands_against=None,
            goal=self._before_what_waits(waiting_mm),
            train_mm=self.engine_mm,
            ends_towards=None,
            propels=True,
            no_propelling=(),
        )
        on = self._with(taken_mm, waiting_mm)
        return bool(searched(on, asked, ANY_END).finishes)

    def _with(self, taken_mm: float, waiting_mm: float) -> Ground:
        """Return the ground with what waits and what has been taken."""
        start = self.wanted.start
        rest = _at_end(start, 1 - self.wanted.engine_towards, waiting_mm)
        stock = list(spans_on(self.ground, rest))
        if self._far is not None:
            gone = _at_end(self.goal, self._far, taken_mm)
            stock += spans_on(self.ground, gone)
        return with_standing(self.ground, stock)

    def _before_what_waits(self, waiting_mm: float) -> Stand:
        start = self.wanted.start
        left_mm = start.length_mm - waiting_mm
        return _at_end(start, self.wanted.engine_towards, left_mm)


def _at_end(stand: Stand, end: int, length_mm: float) -> Stand:
    """Return so much of a place at one of its ends."""
    if end == 0:
        return replace(stand, to_mm=stand.from_mm + length_mm)
    return replace(stand, from_mm=stand.to_mm - length_mm)
