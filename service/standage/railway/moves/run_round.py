"""An engine that leaves its train where that stands, and goes round it or away from it:
where the train stands best, how it is done, and how long both may be.
"""

from collections.abc import Iterator
from heapq import heappop, heappush
from typing import NamedTuple

import msgspec

from standage.railway.moves.alterations import altered_ground, altered_stand, longer
from standage.railway.moves.coupled_engine import CoupledEngine, coupled_engine
from standage.railway.moves.facts import NOTHING_STOPS_MM, least_spare_mm
from standage.railway.moves.ground import Ground, Span, span_on, with_stock
from standage.railway.moves.longest import greatest_mm
from standage.railway.moves.room import TOUCHING_MM
from standage.railway.moves.search import Effort, searched
from standage.railway.moves.standing import Stand, clear_parts
from standage.railway.moves.wanted import Finish, Touch, Wanted
from standage.railway.terms.figures import tidy
from standage.railway.track.network.network import Course

_MOST_LENGTHS = 200
"""So many lengths of train are tried at one place."""
_NOTHING_MM = 0.01
"""Where no longer train lets its engine out, none does."""


class Leaving(msgspec.Struct, frozen=True, kw_only=True):
    """A train without its engine in a place, and the engine that leaves it.

    The ``place`` is as it is run over from the engine's end. The engine goes round to
    the train's other end; or, where ``goals`` are given, to any of those roads. Where
    the joint is parted at ``fittings`` alone they are stretches of no length.
    """

    place: Stand
    train_mm: float
    engine_mm: float
    margin_mm: float = 0.0
    goals: tuple[Stand, ...] | None = None
    fittings: tuple[Span, ...] | None = None


class Left(msgspec.Struct, frozen=True, kw_only=True):
    """How an engine leaves its train, whose joint is ``joint_mm`` from the start of the
    place's courses; ``ground`` has the train on it.
    """

    joint_mm: float
    train_mm: float
    ground: Ground
    wanted: Wanted
    finish: Finish

    @property
    def costs(self) -> tuple[int, float]:
        """What is to be least: reversals, then the distance."""
        return self.finish.reversals, round(self.finish.distance_mm, 6)


class WaysLeft(NamedTuple):
    """The ``best`` way for an engine to leave its train, and the longest train that lets
    it out; ``gave_up`` where not all was looked at.
    """

    best: Left | None
    longest_train_mm: float
    gave_up: bool = False


class LongestEngine(NamedTuple):
    """The longest engine, in mm: 0 for none, None where nothing stops one of five
    metres; ``gave_up`` where not all was looked at.
    """

    mm: float | None
    gave_up: bool = False


class _Tried(NamedTuple):
    """How an engine leaves a train that stands just there, if it does; by how much the
    train was too long for it, and the strands on which it was stopped.
    """

    left: Left | None
    over_mm: frozenset[float] = frozenset()
    gave_up: bool = False
    near: frozenset[int] = frozenset()


def room_mm(ground: Ground, place: Stand) -> float:
    """Return how long a train may be that stands clear in a place, in mm. **Source** the
    rules of moves.
    """
    parts = clear_parts(ground, place)
    return max((part.length_mm for part in parts), default=0.0)


def ways_left(ground: Ground, leaving: Leaving) -> WaysLeft:
    """Return how an engine best leaves its train, wherever in the place that stands.

    The train stands against the engine's end of the place, or with its joint over each
    fitting: farther in, its engine goes the same ways, and just as far or farther; to
    turn back between the train and its own end saves nothing, as it may stand at first
    on any way out. Takes a search or two for each. **Source** the rules of moves; a
    simulation in the tests tries all places.
    """
    best: Left | None = None
    longest_mm = 0.0
    gave_up = False
    for joint_mm, most_mm in _joints(ground, leaving):
        at = _At(ground, leaving, joint_mm)
        if leaving.train_mm <= most_mm + TOUCHING_MM:
            left = at.tried(leaving.train_mm).left
            if left and (best is None or left.costs < best.costs):
                best = left
        longest_mm = max(longest_mm, at.longest_train_mm(most_mm))
        gave_up = gave_up or at.gave_up
    return WaysLeft(best, tidy(longest_mm), gave_up)


def gets_away(ground: Ground, leaving: Leaving) -> bool:
    """Tell whether an engine leaves its train at all: as ``ways_left``, but without the
    longest train. **Source** the rules of moves.
    """
    return any(
        _At(ground, leaving, joint_mm).tried(leaving.train_mm).left is not None
        for joint_mm, most_mm in _joints(ground, leaving)
        if leaving.train_mm <= most_mm + TOUCHING_MM
    )


def _joints(ground: Ground, leaving: Leaving) -> Iterator[tuple[float, float]]:
    """Yield where the joint may be, each with the longest train that has room there."""
    for part in clear_parts(ground, leaving.place):
        for joint_mm in _first_joints(ground, leaving, part):
            most_mm = part.to_mm - joint_mm
            if most_mm > _NOTHING_MM:
                yield joint_mm, most_mm


def _first_joints(ground: Ground, leaving: Leaving, part: Stand) -> list[float]:
    """Return where the joint may be: against the part's end, or over each fitting."""
    if leaving.fittings is None:
        return [part.from_mm]
    over_fittings = (
        base_mm + (own_mm - span.from_mm if course & 1 else span.from_mm)
        for course, base_mm, own_mm in _each_course(ground, part)
        for span in leaving.fittings
        if span.strand == course >> 1
    )
    least_mm = part.from_mm - TOUCHING_MM
    return sorted(mm for mm in over_fittings if least_mm <= mm <= part.to_mm)


def _each_course(ground: Ground, place: Stand) -> Iterator[tuple[Course, float, float]]:
    """Yield a place's courses, each with where it begins and how long it is, in mm."""
    base_mm = 0.0
    for course in place.courses:
        own_mm = ground.length_mm(course)
        yield course, base_mm, own_mm
        base_mm += own_mm


class _At:
    """A train tried with its joint just there, long or short."""

    def __init__(
        self,
        ground: Ground,
        leaving: Leaving,
        joint_mm: float,
        near_mm: float = 0.0,
    ) -> None:
        self.ground = ground
        self.leaving = leaving
        self.joint_mm = joint_mm
        self.near_mm = near_mm
        self.place = leaving.place
        self.turned = leaving.place.turned(ground)
        self._whole_mm = sum(ground.length_mm(one) for one in self.place.courses)
        self.gave_up = False
        self._known: dict[tuple[Stand, ...], _Tried] = {}

    def longest_train_mm(self, most_mm: float) -> float:
        """Return how long the train may be: where it is in the way of its own engine, as
        much shorter as lets that out, or turn back at its other end.
        """
        waiting = [-most_mm]
        for _ in range(_MOST_LENGTHS):
            train_mm = -heappop(waiting) if waiting else 0.0
            if train_mm <= _NOTHING_MM:
                return 0.0
            tried = self._known_or_tried(train_mm)
            if tried.left is not None:
                return train_mm
            for over_mm in tried.over_mm:
                heappush(waiting, over_mm - train_mm)
        self.gave_up = True
        return 0.0

    def _known_or_tried(self, train_mm: float) -> _Tried:
        """Return what is known of the same engine at a train of another length, which
        makes no difference to one that goes round from where it may stand.
        """
        if self.leaving.goals is not None:
            return self.tried(train_mm)
        engine = self._engine(train_mm)
        known = self._known.get(engine.stands)
        if known is None:
            return self.tried(train_mm)
        return known._replace(over_mm=frozenset(engine.over_mm))

    def most_mm(self, train_mm: float) -> float:
        """Return how much of the engine has room to stand at its train."""
        engine = self._engine(train_mm)
        if engine.stands:
            return self.leaving.engine_mm
        left_mm = min((*engine.lacking_mm, *engine.over_mm), default=0.0)
        return self.leaving.engine_mm - left_mm

    def _ends(self, train_mm: float) -> tuple[Ground, Touch]:
        """Return the ground with the train on it, and where one comes upon it from its
        other side.
        """
        end_mm = self.joint_mm + train_mm
        under = tuple(
            _under(
                self.ground,
                self.place,
                self.joint_mm,
                end_mm,
            )
        )
        from_mm = self._whole_mm - end_mm
        other_end = _met(self.ground, self.turned, from_mm, is_ahead=True)
        return with_stock(self.ground, under), other_end

    def _engine(self, train_mm: float) -> CoupledEngine:
        on, other_end = self._ends(train_mm)
        from_mm = self._whole_mm - self.joint_mm
        joint = _met(on, self.turned, from_mm, is_ahead=False)
        return coupled_engine(
            on,
            joint,
            self.leaving.engine_mm,
            other_end,
        )

    def tried(self, train_mm: float) -> _Tried:
        """Return how an engine leaves a train that is so long."""
        engine = self._engine(train_mm)
        over_mm = frozenset(engine.over_mm)
        if not engine.stands or self.leaving.goals == ():
            self.gave_up = self.gave_up or engine.gave_up
            return _Tried(None, over_mm, engine.gave_up, engine.stopped_on)
        on, other_end = self._ends(train_mm)
        wanted = Wanted(
            start=engine.stands[0],
            also_starts=engine.stands[1:],
            engine_towards=1,
            train_mm=self.leaving.engine_mm,
            margin_mm=self.leaving.margin_mm,
            goals=self.leaving.goals or (),
            touches=None if self.leaving.goals else other_end,
        )
        effort = Effort(before=other_end, near_mm=self.near_mm)
        found = searched(on, wanted, effort)
        left: Left | None = None
        if found.finishes:
            left = Left(
                joint_mm=self.joint_mm,
                train_mm=train_mm,
                ground=on,
                wanted=wanted,
                finish=found.finishes[0],
            )
        tried = _Tried(
            left=left,
            over_mm=over_mm | found.lacking_mm,
            gave_up=engine.gave_up or found.gave_up,
            near=found.near | engine.stopped_on,
        )
        if left is None:
            self.gave_up = self.gave_up or tried.gave_up
        self._known[engine.stands] = tried
        return tried


def _under(
    ground: Ground, place: Stand, from_mm: float, to_mm: float
) -> Iterator[Span]:
    for course, base_mm, own_mm in _each_course(ground, place):
        begins_mm = max(0.0, from_mm - base_mm)
        ends_mm = min(own_mm, to_mm - base_mm)
        if ends_mm > begins_mm:
            yield span_on(course, begins_mm, ends_mm, own_mm=own_mm)


def _met(ground: Ground, place: Stand, at_mm: float, *, is_ahead: bool) -> Touch:
    """Return a point of a place on the course that lies ahead of it, or that leads up
    to it.
    """
    for course, base_mm, own_mm in _each_course(ground, place):
        past_mm = base_mm + own_mm - at_mm
        if past_mm > TOUCHING_MM or (not is_ahead and past_mm >= -TOUCHING_MM):
            return Touch(course, max(0.0, at_mm - base_mm))
    raise ValueError(f"a place has nothing at {at_mm:g} mm")


def longest_engine(ground: Ground, leaving: Leaving) -> LongestEngine:
    """Return how long an engine may be to leave its train.

    What is possible for an engine is possible for a shorter one. **Source** the rules
    of moves.
    """
    longest_mm = 0.0
    gave_up = False
    for joint_mm, most_mm in _joints(ground, leaving):
        if leaving.train_mm <= most_mm + TOUCHING_MM:
            engines = _Engines(ground, leaving, joint_mm)
            longest_mm = max(longest_mm, engines.longest_mm())
            gave_up = gave_up or engines.gave_up
    mm = None if longest_mm >= NOTHING_STOPS_MM else longest_mm
    return LongestEngine(mm, gave_up)


class _Engines:
    """Engines of any length tried at a train whose joint is just there."""

    def __init__(self, ground: Ground, leaving: Leaving, joint_mm: float) -> None:
        self.ground = ground
        self.leaving = leaving
        self.joint_mm = joint_mm
        self.gave_up = False

    def longest_mm(self) -> float:
        most_mm = self._at(NOTHING_STOPS_MM).most_mm(self.leaving.train_mm)
        if most_mm < _NOTHING_MM:
            return 0.0
        first_mm = min(self.leaving.engine_mm, most_mm)
        return greatest_mm(
            self._best, self._spare_mm, first_mm=first_mm, most_mm=most_mm
        )

    def _at(self, engine_mm: float) -> "_At":
        asked = msgspec.structs.replace(self.leaving, engine_mm=engine_mm)
        return _At(self.ground, asked, self.joint_mm)

    def _best(self, engine_mm: float) -> Left | None:
        tried = self._at(engine_mm).tried(self.leaving.train_mm)
        if tried.left is None:
            self.gave_up = self.gave_up or tried.gave_up
        return tried.left

    def _spare_mm(self, left: Left, _engine_mm: float) -> float | None:
        return least_spare_mm(left.ground, left.wanted, left.finish)


def near_strands(ground: Ground, leaving: Leaving, *, near_mm: float) -> frozenset[int]:
    """Return the strands about which an engine is stopped that lacks no more than so
    many mm. **Source** derived.
    """
    near: set[int] = set()
    for joint_mm, most_mm in _joints(ground, leaving):
        if leaving.train_mm <= most_mm + TOUCHING_MM:
            at = _At(
                ground,
                leaving,
                joint_mm,
                near_mm,
            )
            near |= at.tried(leaving.train_mm).near
    return frozenset(near)


def with_longer_track(
    ground: Ground, leaving: Leaving, strand: int, *, by_mm: float
) -> tuple[Ground, Leaving]:
    """Return the ground and what is asked once a strand is so many mm longer at its
    finish. **Source** the rules of moves.
    """
    changes = longer((strand,), by_mm=by_mm)
    on = altered_ground(ground, changes)
    place, *moved = (
        altered_stand(ground, on, stand, changes)
        for stand in (leaving.place, *(leaving.goals or ()))
    )
    goals = None if leaving.goals is None else tuple(moved)
    return on, msgspec.structs.replace(
        leaving,
        place=place,
        goals=goals,
    )
