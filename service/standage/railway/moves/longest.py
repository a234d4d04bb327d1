"""How long a train may be for a move, and how long with no more reversals."""

from collections.abc import Callable
from typing import NamedTuple, TypeVar

from msgspec.structs import replace

from standage.railway.moves.facts import least_spare_mm
from standage.railway.moves.ground import Ground
from standage.railway.moves.search import Effort, searched
from standage.railway.moves.wanted import Finish, Wanted
from standage.railway.terms.figures import tidy

_EXACT_MM = 1e-7
_A_LITTLE_MM = 1e-6
_LEAST_MM = 0.001
_NOTHING_MM = 0.01
"""Where no longer one gets there, none does."""
_MOST_LEAPS = 12
MOST_STEPS = 120_000
"""So many courses are looked at for the longest of all trains."""


class Longest(NamedTuple):
    """The longest train that gets there, in mm; 0 where none does.

    ``gave_up`` where the budget of steps was spent before all was looked at: a longer
    one might get there. It took so many ``steps``; ``reversals`` are the fewest of that
    train, None for none.
    """

    mm: float
    gave_up: bool = False
    steps: int = 0
    reversals: int | None = None


def longest_train(
    ground: Ground, wanted: Wanted, *, most_reversals: int | None = None
) -> Longest:
    """Return the greatest length of train for which a move is possible.

    With at most so many reversals, where these are given. What is possible for a train
    is possible for every shorter one, with no more reversals: so from one that gets
    there it is asked for one that is as much longer as that one has to spare; where that
    fails, halfway again and again. Takes some searches, at most some fifty. **Source**
    the rules of moves.
    """
    asking = _Asking(ground, wanted, most_reversals)
    found_mm = asking.longest_mm()
    return Longest(
        found_mm,
        asking.gave_up,
        asking.steps,
        asking.reversals,
    )


class _Asking:
    def __init__(
        self, ground: Ground, wanted: Wanted, most_reversals: int | None
    ) -> None:
        self.ground = ground
        self.wanted = wanted
        self.effort = Effort(most_reversals=most_reversals, any_end=True)
        self.steps = 0
        self.gave_up = False
        self.reversals: int | None = None
        most_mm = wanted.start.length_mm
        if wanted.goal is not None:
            most_mm = min(most_mm, wanted.goal.length_mm)
        self.most_mm = most_mm

    def longest_mm(self) -> float:
        first_mm = self.wanted.train_mm
        return greatest_mm(
            self._best, self._spare_mm, first_mm=first_mm, most_mm=self.most_mm
        )

    def _best(self, train_mm: float) -> Finish | None:
        """Return the best way of a train so long; None too where the budget is spent."""
        if train_mm <= 0:
            return None
        if self.steps > MOST_STEPS:
            self.gave_up = True
            return None
        asked = replace(self.wanted, train_mm=train_mm)
        found = searched(self.ground, asked, self.effort)
        self.steps += found.steps
        if found.finishes:
            # Each train that gets there is longer than those before.
            self.reversals = found.finishes[0].reversals
            return found.finishes[0]
        self.gave_up = self.gave_up or found.gave_up
        return None

    def _spare_mm(self, best: Finish, train_mm: float) -> float | None:
        asked = replace(self.wanted, train_mm=train_mm)
        return least_spare_mm(self.ground, asked, best)


W = TypeVar("W")


def greatest_mm(
    best: Callable[[float], W | None],
    spare_mm: Callable[[W, float], float | None],
    *,
    first_mm: float,
    most_mm: float,
) -> float:
    """Return the greatest length up to ``most_mm`` for which there is a ``best`` way;
    0 for none.

    What is possible for a length is possible for every shorter one. ``spare_mm`` is how
    much more a way leaves room for, None where nothing stops it; ``first_mm`` is asked
    first. Asks some ten times, at most some fifty. **Source** derived.
    """
    if best(most_mm) is not None:
        return tidy(most_mm)
    possible_mm = min(max(first_mm, _LEAST_MM), most_mm)
    way = best(possible_mm)
    if way is None:
        most_mm, possible_mm = possible_mm, _LEAST_MM
        way = best(possible_mm)
    if way is None:
        return 0.0
    for _ in range(_MOST_LEAPS):
        spare = spare_mm(way, possible_mm)
        further_mm = most_mm if spare is None else possible_mm + spare
        if further_mm >= most_mm:
            break
        leapt = best(further_mm)
        if leapt is None:
            most_mm = further_mm
            break
        possible_mm, way = further_mm, leapt
        beyond = best(further_mm + _A_LITTLE_MM)
        if beyond is None:
            most_mm = further_mm
            break
        possible_mm, way = further_mm + _A_LITTLE_MM, beyond
    return _between(best, possible_mm, most_mm)


def _between(
    best: Callable[[float], object], possible_mm: float, most_mm: float
) -> float:
    """Return the longest between one that gets there and one that does not."""
    while most_mm - possible_mm > _EXACT_MM:
        middle_mm = (possible_mm + most_mm) / 2
        if best(middle_mm) is not None:
            possible_mm = middle_mm
        else:
            most_mm = middle_mm
    if possible_mm > _NOTHING_MM:
        return tidy(round(possible_mm, 5))
    return 0.0
