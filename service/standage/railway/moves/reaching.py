"""The longest train for every move between some places, asked of few of them."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, pairwise
from typing import NamedTuple

from standage.railway.moves.ground import Ground
from standage.railway.moves.longest import longest_train
from standage.railway.moves.search import ANY_END, searched
from standage.railway.moves.standing import Stand, lying
from standage.railway.moves.starts import is_foul_of_itself
from standage.railway.moves.wanted import Wanted
from standage.railway.terms.figures import tidy

MOST_STEPS = 500_000
"""So many courses are looked at for all moves together."""
_A_LITTLE_MM = 1e-6
_NEAR_MM = 1e-4
"""Longest trains that are no farther apart may be the same."""
Pair = tuple[int, int]
"""The numbers of the place where a train stands and of the one where it is to go."""


class Reaching(NamedTuple):
    """The longest train for each move that was worked out, in mm; 0 where none gets
    there. ``gave_up`` where the budget of steps was spent before all were.
    """

    longest_mm: Mapping[Pair, float]
    gave_up: bool


def reaching(
    ground: Ground, places: Sequence[Stand], *, most_steps: int = MOST_STEPS
) -> Reaching:
    """Return the longest train for the move from each of some places to each other one.

    The train points either way and may be propelled everywhere; it stands wherever suits
    best, with nothing else on the ground. It can then undo whatever it did, and go on
    from a place that it came to. So both ways between two places take the same train;
    and of the longest trains between three places the least two are equal, or a way
    over the third place would beat the least. What one place has to do with all others
    thus settles most of what these have to do with each other. **Source** derived from
    the rules of moves.
    """
    asking = _Asking(ground, places, most_steps)
    asking.ask_all()
    return Reaching(asking.longest_mm, asking.gave_up)


class _Asking:
    def __init__(
        self, ground: Ground, places: Sequence[Stand], most_steps: int
    ) -> None:
        self.ground = ground
        self.places = places
        self.most_steps = most_steps
        self.longest_mm: dict[Pair, float] = {}
        self.steps = 0
        self.gave_up = False

    def ask_all(self) -> None:
        numbers = range(len(self.places))
        alone = [one for one in numbers if _is_odd(self.ground, self.places[one])]
        self._ask_among([one for one in numbers if one not in alone], least_mm=0.0)
        for one in alone:
            for other in numbers:
                if other != one:
                    self._ask_alone(one, other)
                    self._ask_alone(other, one)

    def _ask_alone(self, one: int, other: int) -> None:
        found_mm = self._asked_mm(one, other, least_mm=0.0)
        if found_mm is not None:
            self.longest_mm[one, other] = found_mm

    def _ask_among(self, numbers: Sequence[int], *, least_mm: float) -> None:
        """Work out every move between some places, each good for ``least_mm``."""
        if not numbers:
            return
        first, *others = numbers
        to_first_mm: dict[int, float] = {}
        for other in others:
            found_mm = self._asked_mm(first, other, least_mm=least_mm)
            if found_mm is not None:
                to_first_mm[other] = found_mm
                self._note(first, other, found_mm)
        for one, other in combinations(to_first_mm, 2):
            over_first_mm = min(to_first_mm[one], to_first_mm[other])
            self._note(one, other, over_first_mm)
        for alike in _alike(to_first_mm):
            over_first_mm = min(to_first_mm[one] for one in alike)
            for pair in combinations(alike, 2):
                self._forget(*pair)
            self._ask_among(alike, least_mm=over_first_mm)

    def _note(self, one: int, other: int, found_mm: float) -> None:
        self.longest_mm[one, other] = found_mm
        self.longest_mm[other, one] = found_mm

    def _forget(self, one: int, other: int) -> None:
        del self.longest_mm[one, other]
        del self.longest_mm[other, one]

    def _asked_mm(self, one: int, other: int, *, least_mm: float) -> float | None:
        """Return the longest train from one place to another, where ``least_mm`` is
        known to be possible; None where the budget is spent.
        """
        start, goal = self.places[one], self.places[other]
        most_mm = tidy(min(start.length_mm, goal.length_mm))
        if most_mm <= least_mm:
            return most_mm
        if self.steps > self.most_steps:
            self.gave_up = True
            return None
        train_mm = least_mm + _A_LITTLE_MM if least_mm else most_mm / 2
        wanted = Wanted(
            start=start,
            engine_towards=1,
            train_mm=train_mm,
            goal=goal,
        )
        if least_mm:
            beyond = searched(self.ground, wanted, ANY_END)
            self.steps += beyond.steps
            if not beyond.finishes:
                return self._unless_given_up(least_mm, gave_up=beyond.gave_up)
        longest = longest_train(self.ground, wanted)
        self.steps += longest.steps
        return self._unless_given_up(longest.mm, gave_up=longest.gave_up)

    def _unless_given_up(self, found_mm: float, *, gave_up: bool) -> float | None:
        if gave_up:
            self.gave_up = True
            return None
        return found_mm


def _alike(longest_mm: Mapping[int, float]) -> Iterator[list[int]]:
    """Yield the places to which the longest trains are alike, each lot together."""
    if not longest_mm:
        return
    by_length = sorted(longest_mm, key=lambda one: longest_mm[one])
    lot = by_length[:1]
    for one, other in pairwise(by_length):
        if longest_mm[other] - longest_mm[one] > _NEAR_MM:
            yield lot
            lot = []
        lot.append(other)
    yield lot


def _is_odd(ground: Ground, place: Stand) -> bool:
    """Tell whether a train that stands in a place may be unable to move from its one
    end to the other, or to come back to it.
    """
    strands = [course >> 1 for course in place.courses]
    courses = (*place.courses, *(course ^ 1 for course in place.courses))
    is_met_twice = len(set(strands)) < len(strands)
    is_trapped = not ground.network.trapped.isdisjoint(courses)
    whole = lying(ground, place.courses, rear_mm=place.from_mm)
    is_foul = is_foul_of_itself(ground, whole, train_mm=place.length_mm)
    return is_met_twice or is_trapped or is_foul
