"""What limits the train of a move: plain track that lets a longer one through as soon as
it is a little longer.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import NamedTuple

from msgspec.structs import replace

from standage.railway.moves.alterations import Changes, Trials, each_alone, longer
from standage.railway.moves.ground import Ground
from standage.railway.moves.search import Effort
from standage.railway.moves.standing import Stand
from standage.railway.moves.wanted import Wanted

MOST_STEPS = 40_000
"""So many courses are looked at for what limits a train."""
_A_LITTLE_MM = 0.5
_NOTICED_MM = 1e-3
_NOTING = Effort(near_mm=0.01, any_end=True)
"""The train is longer than it may be by 0.001 mm: what stops it lacks no more."""


class Limits(NamedTuple):
    """What limits the longest train: strands of which each alone, a little longer, lets
    a longer one through; or else the roads that limit it together.

    ``gave_up`` where the budget of steps was spent before all was looked at. It took so
    many ``steps``.
    """

    strands: tuple[int, ...]
    roads: tuple[str, ...] = ()
    gave_up: bool = False
    steps: int = 0


def limits(
    ground: Ground,
    wanted: Wanted,
    roads: Mapping[str, Sequence[int]],
    *,
    longest_mm: float,
) -> Limits:
    """Return what of some roads, each by its strands of plain track, limits the longest
    train.

    Nothing where no train gets through at all, or where something else limits it. Only
    strands are looked at about which a longer train lacks little. **Source** the rules
    of moves.
    """
    if longest_mm == 0:
        return Limits(())
    asked = replace(wanted, train_mm=longest_mm + _NOTICED_MM)
    trials = Trials(ground, asked, most_steps=MOST_STEPS)

    def helps(strands: Sequence[int]) -> bool:
        return trials.helps(longer(strands, by_mm=_A_LITTLE_MM))

    def told(strands: Sequence[int] = (), roads: Sequence[str] = ()) -> Limits:
        stopped = trials.have_stopped()
        return Limits(
            tuple(strands),
            tuple(roads),
            stopped,
            trials.steps,
        )

    each: list[int] = []
    under = [_under(ground, place) for place in _too_short(asked)]
    if under:
        in_all = frozenset.intersection(*under)
        hopeful = [one for own in roads.values() for one in own if one in in_all]
    else:
        hopeful = each = _noted(trials, roads, {})
    alone = list(each_alone(hopeful, helps))
    if alone or trials.have_stopped():
        return told(alone)
    # What binds farther on comes to light once what binds before it is longer.
    while not helps(each):
        then = _noted(trials, roads, longer(each, by_mm=_A_LITTLE_MM))
        more = [strand for strand in then if strand not in each]
        if not more:
            return told()
        each = [*each, *more]
    close = [name for name, own in roads.items() if not set(own).isdisjoint(each)]

    def helps_without(names: Sequence[str]) -> bool:
        gone = {strand for name in names for strand in roads[name]}
        return helps([one for one in each if one not in gone])

    needed = list(_each_needed(close, helps_without))
    if trials.have_stopped():
        return told()
    return told(roads=needed)


def _each_needed(
    names: Sequence[str], helps_without: Callable[[Sequence[str]], bool]
) -> Iterator[str]:
    """Yield those of some roads without which the others do not help.

    Where the others help without several of them, none of these is needed: so it is
    asked of all, then of each half.
    """
    if not names or helps_without(names):
        return
    if len(names) == 1:
        yield names[0]
        return
    middle = len(names) // 2
    yield from _each_needed(names[:middle], helps_without)
    yield from _each_needed(names[middle:], helps_without)


def _noted(
    trials: Trials, roads: Mapping[str, Sequence[int]], changes: Changes
) -> list[int]:
    """Return the strands of roads about which a train lacks next to nothing."""
    near = trials.searched(changes, _NOTING).near
    return [strand for own in roads.values() for strand in own if strand in near]


def _too_short(asked: Wanted) -> list[Stand]:
    places = [one for one in (asked.start, asked.goal) if one is not None]
    return [one for one in places if one.length_mm < asked.train_mm]


def _under(ground: Ground, place: Stand) -> frozenset[int]:
    """Return the strands that a place lies on, and those that its limits lie beyond: no
    other gives it room.
    """
    courses = [*place.courses]
    for entered in (place.courses[0], place.courses[-1] ^ 1):
        for reach in ground.reaches.get(entered, ()):
            courses += reach.courses
    return frozenset(course >> 1 for course in courses)
