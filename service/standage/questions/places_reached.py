"""What a plan on record makes of the moves between its named places: the longest train
for each, and what limits it. It is worked out once for all trains.
"""

from collections.abc import Iterator
from functools import cached_property
from typing import NamedTuple

import msgspec

from standage.questions.move_words import unknown_pieces
from standage.questions.moves_ground import (
    MOST_TOLD,
    OF_THE_TRACK,
    MovesGround,
    Surveyed,
    place_called,
    surveyed_ground,
    told_faults,
)
from standage.questions.moves_track import plain_roads
from standage.questions.plan_reasons import assumed_of
from standage.railway.moves.limiting import limits
from standage.railway.moves.reach import unknown_in_reach
from standage.railway.moves.reaching import MOST_STEPS, Pair, reaching
from standage.railway.moves.standing import Stand
from standage.railway.moves.wanted import Wanted
from standage.railway.terms.figures import search_stopped
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.track.plans.plan import PlusMinus
from standage.shapes.faults import Faulty

MOST_PLACES = 100
_OF_PLACES = ("/places",)


class PlacesReached(msgspec.Struct, frozen=True, kw_only=True):
    """The longest train from each named place of a plan to each other one, in mm.

    Places in the plan's order; None where it cannot be told, for what is ``missing``.
    ``gave_up`` where the budget of steps was spent before all were worked out.
    """

    places: tuple[str, ...]
    longest_mm: tuple[tuple[float | None, ...], ...]
    plus_minus: PlusMinus | None
    missing: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]
    gave_up: bool = False

    def pairs(self) -> Iterator[tuple[Pair, float | None]]:
        """Yield every place with every other one, and the longest train."""
        for start, row in enumerate(self.longest_mm):
            for goal, longest_mm in enumerate(row):
                if start != goal:
                    yield (start, goal), longest_mm


class LimitedBy(msgspec.Struct, frozen=True, kw_only=True):
    """What limits the longest train for a move: pieces, each alone, or roads together.

    ``gave_up`` where the budget of steps was spent before that was found.
    """

    pieces: tuple[str, ...] = ()
    roads: tuple[str, ...] = ()
    gave_up: bool = False
    steps: int = 0


class _Known(NamedTuple):
    """A named place: where trains stand in it, or why nobody can tell."""

    stand: Stand | None
    missing: tuple[Reason, ...]


class PlanOfMoves:
    """A plan on record of which moves are asked, surveyed once it has to be."""

    def __init__(self, asked: MovesGround) -> None:
        self._asked = asked

    @cached_property
    def _surveyed(self) -> Surveyed:
        return surveyed_ground(self._asked)

    @cached_property
    def _places(self) -> dict[str, _Known]:
        named = self._surveyed.found.plan.places
        names = list(dict.fromkeys(place.name for place in named))
        return {name: self._place(name) for name in names[:MOST_PLACES]}

    def _place(self, name: str) -> _Known:
        known = self._surveyed
        try:
            place = place_called(known, name, "")
        except Faulty as faulty:
            message = faulty.faults[0].message
            return _Known(None, (Reason(code="no_such_road", message=message),))
        if place.stand is None:
            unknown = (place.unknown or name,)
            return _Known(None, tuple(unknown_pieces(known, unknown)))
        pieces = unknown_in_reach(known.ground, place.stand.courses)[:MOST_TOLD]
        return _Known(place.stand, tuple(unknown_pieces(known, pieces)))

    def reached(self) -> PlacesReached:
        """Return the longest train for every move between its places."""
        known = self._surveyed
        found = known.found
        case = self._asked.plan
        missing = [*told_faults(case, found, OF_THE_TRACK)]
        is_sound = not missing
        missing += told_faults(case, found, _OF_PLACES)
        missing += dict.fromkeys(
            reason for place in self._places.values() for reason in place.missing
        )
        names = tuple(self._places)
        stands: dict[int, Stand] = {}
        for number, place in enumerate(self._places.values()):
            if is_sound and place.stand is not None and not place.missing:
                stands[number] = place.stand
        told = reaching(known.ground, list(stands.values()))
        if told.gave_up:
            message = f"{search_stopped(MOST_STEPS)}: not all moves were worked out"
            missing.append(Reason(code="search_stopped", message=message))
        if len(found.plan.places) > MOST_PLACES:
            message = f"the first {MOST_PLACES} places of the plan are looked at"
            missing.append(Reason(code="too_many", message=message))
        order = {number: place for place, number in enumerate(stands)}
        rows = [
            tuple(
                told.longest_mm.get((order.get(start, -1), order.get(goal, -1)))
                for goal in range(len(names))
            )
            for start in range(len(names))
        ]
        return PlacesReached(
            places=names,
            longest_mm=tuple(rows),
            plus_minus=found.plan.plus_minus,
            missing=tuple(missing),
            assumed=(*case.assumed, *assumed_of(found)),
            gave_up=told.gave_up,
        )

    def limited_by(self, pair: Pair, longest_mm: float) -> LimitedBy:
        """Return what limits the longest train for a move between two of its places."""
        known = self._surveyed
        places = list(self._places.values())
        start, goal = (places[number].stand for number in pair)
        if start is None or goal is None:
            raise AssertionError("a move has its longest train between known places")
        wanted = Wanted(
            start=start,
            engine_towards=1,
            train_mm=longest_mm,
            goal=goal,
        )
        roads = plain_roads(known, wanted.start.courses)
        found = limits(known.ground, wanted, roads, longest_mm=longest_mm)
        pieces = [known.network.piece_of[strand] for strand in found.strands]
        return LimitedBy(
            pieces=tuple(pieces),
            roads=found.roads,
            gave_up=found.gave_up,
            steps=found.steps,
        )
