"""Points moved along, so that one road gains what the others lose."""

from collections.abc import Collection, Iterator, Sequence
from functools import partial, reduce
from math import floor
from typing import NamedTuple

from standage.railway.moves.alterations import (
    Change,
    Changes,
    Trials,
    each_alone,
    least_mm,
)
from standage.railway.moves.cures import MOST_MM
from standage.railway.moves.ground import Ground
from standage.railway.moves.wanted import Wanted
from standage.railway.track.network.network import Course, Network
from standage.railway.track.pieces.plain_pieces import (
    Curve,
    Flexible,
    Straight,
    Track,
    Transition,
)

MOST_STEPS = 150_000
"""So many courses are looked at for points that might be moved."""


_STRAIGHT = frozenset({"toe", "through", "middle"})
"""Ends of points along which these are moved."""


class Shift(NamedTuple):
    """Points to be moved by so many whole mm, to their toe's side or to their legs', and
    what of the plain track beside them is then longer or shorter.
    """

    points: str
    by_mm: int
    to_toe: bool
    changes: Changes


class Shifts(NamedTuple):
    """Each set of points that might be moved.

    ``gave_up`` where the budget of steps was spent before all was looked at.
    """

    each: tuple[Shift, ...]
    gave_up: bool = False


class _Joint(NamedTuple):
    """The end of plain track that points are moved along: a strand's start or its
    finish.
    """

    strand: int
    at_finish: bool

    def longer(self, by_mm: float) -> dict[int, Change]:
        if self.at_finish:
            return {self.strand: Change(at_finish_mm=by_mm)}
        return {self.strand: Change(at_start_mm=by_mm)}


class _Way(NamedTuple):
    """Points that can be moved one way by up to so much: what gains, and what loses."""

    points: str
    to_toe: bool
    gaining: tuple[_Joint, ...]
    losing: tuple[_Joint, ...]
    most_mm: int

    def changes(self, *, gained_mm: float, lost_mm: float) -> dict[int, Change]:
        """Return by how much each strand gets longer or shorter, by its number."""
        changes: dict[int, Change] = {}
        for joint in self.gaining:
            changes = _both(changes, joint.longer(gained_mm))
        for joint in self.losing:
            changes = _both(changes, joint.longer(-lost_mm))
        return changes


def _both(one: Changes, other: Changes) -> dict[int, Change]:
    changes = dict(one)
    for strand, change in other.items():
        changes[strand] = changes.get(strand, Change()).and_also(change)
    return changes


def shifts(ground: Ground, wanted: Wanted) -> Shifts:
    """Return by how much points alone must be moved along for the move, one way or the
    other: the least whole mm, up to ``MOST_MM`` and to the track that is there.

    Moved to its toe's side by so much, a set of points takes that from the plain track
    there and gives it to the plain track at each leg; what lies at their far ends stays.
    Only points with straight track at the toe and at the leg straight on can be moved,
    and nothing else may stand on them. **Source** the rules of moves.
    """
    trials = Trials(ground, wanted, most_steps=MOST_STEPS)
    ways = list(_ways(ground))
    hopeful = each_alone(ways, partial(_gains_help, trials))
    found = [shift for way in hopeful for shift in _least(trials, way)]
    return Shifts(tuple(found), trials.have_stopped())


def _gains_help(trials: Trials, ways: Sequence[_Way]) -> bool:
    """Tell whether the train would get there if nothing were lost."""
    gains = [way.changes(gained_mm=way.most_mm, lost_mm=0.0) for way in ways]
    return trials.helps(reduce(_both, gains, {}))


def _least(trials: Trials, way: _Way) -> Iterator[Shift]:
    """Yield the least shift that does, where there is one.

    More gained is never worse, nor is less lost. So no shift does that is less than
    what must be gained where as little is lost as is sure by now.
    """
    sure_mm = 1
    while sure_mm <= way.most_mm:
        helps = partial(_helps, trials, way, sure_mm)
        if not helps(way.most_mm) or trials.have_stopped():
            return
        gained_mm = least_mm(
            helps,
            too_little_mm=sure_mm - 1,
            enough_mm=way.most_mm,
        )
        if gained_mm == sure_mm:
            changes = way.changes(gained_mm=sure_mm, lost_mm=sure_mm)
            if not trials.have_stopped():
                yield Shift(way.points, sure_mm, way.to_toe, changes)
            return
        sure_mm = gained_mm


def _helps(trials: Trials, way: _Way, lost_mm: int, gained_mm: int) -> bool:
    return trials.helps(way.changes(gained_mm=gained_mm, lost_mm=lost_mm))


def _ways(ground: Ground) -> Iterator[_Way]:
    """Yield all points that can be moved, each way."""
    network = ground.network
    stood_on = {network.piece_of[span.strand] for span in ground.standing}
    for points, shape in network.shapes.items():
        if "toe" not in shape.ends or points in stood_on:
            continue
        toe = _joint(
            network,
            points,
            "toe",
            stood_on,
        )
        legs = [
            _joint(
                network,
                points,
                end,
                stood_on,
            )
            for end in shape.ends
            if end != "toe"
        ]
        known = tuple(leg for leg in legs if leg is not None)
        if toe is None or len(known) < len(legs):
            continue
        for to_toe, gaining, losing in ((True, known, (toe,)), (False, (toe,), known)):
            most_mm = min(MOST_MM, *_room_mm(ground, losing))
            if most_mm >= 1:
                yield _Way(
                    points,
                    to_toe,
                    gaining,
                    losing,
                    floor(most_mm),
                )


def _joint(
    network: Network, points: str, end: str, stood_on: Collection[str]
) -> _Joint | None:
    """Return where the plain track beyond an end of points is made longer or shorter.

    Curves beyond a leg that turns out move along with the points, if nothing stands on
    them.
    """
    pieces = network.flat.pieces
    course: Course = network.at_end[points, end] ^ 1
    for _ in range(len(network.strands)):
        ways = network.onwards(course)
        if len(ways) != 1:
            return None
        course = ways[0]
        name = network.piece(course)
        piece = pieces[name]
        is_fitted = isinstance(piece, Flexible) and piece.fitted
        if isinstance(piece, Straight | Track | Flexible) and not is_fitted:
            return _Joint(course >> 1, at_finish=bool(course & 1))
        is_curve = isinstance(piece, Curve | Transition)
        if end in _STRAIGHT or not is_curve or name in stood_on:
            return None
    return None


def _room_mm(ground: Ground, losing: Sequence[_Joint]) -> Iterator[float]:
    """Yield how much each joint can lose: up to what stands there, or shared by both
    ends of a piece.
    """
    strands = [joint.strand for joint in losing]
    for joint in losing:
        own_mm = ground.length_mm(2 * joint.strand)
        yield own_mm / strands.count(joint.strand)
        for span in ground.standing:
            if span.strand == joint.strand:
                yield own_mm - span.to_mm if joint.at_finish else span.from_mm
