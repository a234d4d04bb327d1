"""How long a train may be for a move, and how long with no more reversals."""

from typing import NamedTuple

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
    one might get there. It took so many ``steps``.
    """

    mm: float
    gave_up: bool = False
    steps: int = 0


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
    return Longest(found_mm, asking.gave_up, asking.steps)


class _Asking:
    def __init__(
        self, ground: Ground, wanted: Wanted, most_reversals: int | None
    ) -> None:
        self.ground = ground
        self.wanted = wanted
        self.effort = Effort(most_reversals=most_reversals, any_end=True)
        self.steps = 0
        self.gave_up = False
        most_mm = wanted.start.length_mm
        if wanted.goal is not None:
            most_mm = min(most_mm, wanted.goal.length_mm)
        self.most_mm = most_mm

    def longest_mm(self) -> float:
        most_mm = self.most_mm
        if self._best(most_mm) is not None:
            return tidy(most_mm)
        possible_mm = min(self.wanted.train_mm, most_mm)
        best = self._best(possible_mm)
        if best is None:
            most_mm, possible_mm = possible_mm, _LEAST_MM
            best = self._best(possible_mm)
        if best is None:
            return 0.0
        for _ in range(_MOST_LEAPS):
            further_mm = possible_mm + self._spare_mm(best, possible_mm)
            if further_mm >= most_mm:
                break
            leapt = self._best(further_mm)
            if leapt is None:
                most_mm = further_mm
                break
            possible_mm, best = further_mm, leapt
            beyond = self._best(further_mm + _A_LITTLE_MM)
            if beyond is None:
                most_mm = further_mm
                break
            possible_mm, best = further_mm + _A_LITTLE_MM, beyond
        return self._between(possible_mm, most_mm)

    def _between(self, possible_mm: float, most_mm: float) -> float:
        """Return the longest between one that gets there and one that does not."""
        while most_mm - possible_mm > _EXACT_MM:
            middle_mm = (possible_mm + most_mm) / 2
            if self._best(middle_mm) is not None:
                possible_mm = middle_mm
            else:
                most_mm = middle_mm
        return tidy(round(possible_mm, 5)) if possible_mm > _NOTHING_MM else 0.0

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
            return found.finishes[0]
        self.gave_up = self.gave_up or found.gave_up
        return None

    def _spare_mm(self, best: Finish, train_mm: float) -> float:
        asked = replace(self.wanted, train_mm=train_mm)
        spare_mm = least_spare_mm(self.ground, asked, best)
        return self.most_mm if spare_mm is None else spare_mm
