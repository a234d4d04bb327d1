"""A saw-by: how two trains get by each other in a loop that is too short for either, by
dividing one of them once.

Both parts stand in the loop in turn, each on a road of its own. The part without an
engine is taken there by the train that is kept whole. To change from one road to the
other this one stands wholly beyond the blades, with the part that has the engine farther
out: so much room one side must have, whichever. The other side holds either train.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from standage.railway.moves.ground import Ground
from standage.railway.moves.meeting.loops import (
    Loop,
    loops_of,
    room_beyond_mm,
    strands_beyond,
)
from standage.railway.moves.meeting.met_runs import Both, Which
from standage.railway.moves.wanted import Wanted
from standage.railway.track.network.network import Course

_CLOSE_MM = 1e-6
_WHICH: tuple[Which, Which] = (0, 1)
_PLACES = 6


class SawnTrain(NamedTuple):
    """A train as it may be divided: its length, and that of its engine, which stays
    with one part; ``engine_leads`` where that end comes first to the loop.
    """

    train_mm: float
    engine_mm: float
    engine_leads: bool


class SawBy(NamedTuple):
    """Which train is divided, and what room that needs beyond the loop's points, in mm:
    on the side where the first train stands, and on the other.

    ``engine_road`` is the road of the loop, by its number, on which the engine's part
    stands, and ``shared_at`` the side where the whole train stands beside it. Of the
    ``loop`` its first end is that of the first train's side; ``rooms_mm`` is what room
    there is on both.
    """

    divided: Which
    engine_leads: bool
    engine_part_mm: float
    other_part_mm: float
    engine_road: Which
    shared_at: Which
    needed_mm: tuple[float, float]

    @property
    def is_plain(self) -> bool:
        """Whether it takes the fewest moves: the engine's part need not go back past
        the loop.
        """
        is_where_whole_began = self.shared_at == 1 - self.divided
        return self.engine_leads == is_where_whole_began


class SawByThere(NamedTuple):
    """A saw-by at a loop, the first end of which is that of the first train's side, and
    what room there is beyond either.
    """

    way: SawBy
    loop: Loop
    rooms_mm: tuple[float, float]

    @property
    def lacking_mm(self) -> float:
        """How much room is lacking at the one side or the other, at the most."""
        pairs = zip(self.way.needed_mm, self.rooms_mm, strict=True)
        return max(0.0, *(needed - room for needed, room in pairs))

    @property
    def is_possible(self) -> bool:
        """Whether both sides have the room."""
        return self.lacking_mm <= _CLOSE_MM


def saw_by(
    ground: Ground, both: Both, engines_mm: tuple[float, float]
) -> SawByThere | None:
    """Return the saw-by that lacks least room, then needs least; None where no loop
    lies between two trains that are each to go where the other stands, or none holds
    the parts of either.

    ``engines_mm`` is what of each train stays with its engine; 0 where nobody knows.
    Lengths in mm. **Source** derived; a simulation in the tests moves the parts cell by
    cell.
    """
    found: list[SawByThere] = []
    for loop in _between(ground, both):
        trains = [
            SawnTrain(
                train_mm=both[which].train_mm,
                engine_mm=engines_mm[which],
                engine_leads=_leads_into(
                    ground,
                    loop,
                    which,
                    both[which],
                ),
            )
            for which in _WHICH
        ]
        rooms_mm = (room_beyond_mm(ground, loop, 0), room_beyond_mm(ground, loop, 1))
        ways = sawn(loop.rooms_mm, trains, margin_mm=both[0].margin_mm)
        found += [SawByThere(way, loop, rooms_mm) for way in ways]
    return min(
        found,
        key=_least,
        default=None,
    )


def _least(there: SawByThere) -> tuple[float, float, bool]:
    needed_mm = round(sum(there.way.needed_mm), _PLACES)
    return round(there.lacking_mm, _PLACES), needed_mm, not there.way.is_plain


def sawn(
    loop_mm: tuple[float, float], trains: Sequence[SawnTrain], *, margin_mm: float
) -> Iterator[SawBy]:
    """Yield the ways to divide either of two trains that meet in a loop with so much
    room on its roads, with the shortest part that its engine stays with. Lengths in mm.
    **Source** derived.
    """
    for divided in _WHICH:
        train, whole = trains[divided], trains[1 - divided]
        for road in _WHICH:
            part_mm = max(train.train_mm - loop_mm[1 - road], train.engine_mm)
            other_mm = train.train_mm - part_mm
            is_divided = part_mm > _CLOSE_MM and other_mm > _CLOSE_MM
            if not is_divided or part_mm > loop_mm[road] + _CLOSE_MM:
                continue
            shared_mm = whole.train_mm + part_mm + margin_mm
            longer_mm = max(whole.train_mm, train.train_mm)
            for shared_at in _WHICH:
                needed_mm = (shared_mm, longer_mm)
                if shared_at:
                    needed_mm = (longer_mm, shared_mm)
                yield SawBy(
                    divided=divided,
                    engine_leads=train.engine_leads,
                    engine_part_mm=part_mm,
                    other_part_mm=other_mm,
                    engine_road=road,
                    shared_at=shared_at,
                    needed_mm=needed_mm,
                )


def _between(ground: Ground, both: Both) -> Iterator[Loop]:
    """Yield every loop over which two trains change sides, its first end first where
    the first train stands.
    """
    for loop in loops_of(ground):
        for turned in (loop, loop.turned()):
            here = strands_beyond(ground, turned, 0)
            there = strands_beyond(ground, turned, 1)
            first, second = both
            if (
                not here & there
                and _lies_on(first.start.courses, here)
                and _lies_on(_goal_of(first), there)
                and _lies_on(second.start.courses, there)
                and _lies_on(_goal_of(second), here)
            ):
                yield turned


def _goal_of(wanted: Wanted) -> tuple[Course, ...]:
    if wanted.goal is not None:
        return wanted.goal.courses
    if wanted.out_at is None:
        return ()
    return (wanted.out_at,)


def _lies_on(courses: Sequence[Course], strands: frozenset[int]) -> bool:
    return bool(courses) and all(course >> 1 in strands for course in courses)


def _leads_into(ground: Ground, loop: Loop, end: int, wanted: Wanted) -> bool:
    """Tell whether a train's engine comes first to the loop from beyond one end."""
    into = loop.ends[end].out ^ 1
    waiting = [wanted.start.courses[-1]]
    seen: set[Course] = set()
    while waiting:
        course = waiting.pop()
        if course in seen or course >> 1 in loop.inside:
            continue
        seen.add(course)
        waiting += ground.onwards(course)
    towards = 1 if into in seen else 0
    return wanted.engine_towards == towards
