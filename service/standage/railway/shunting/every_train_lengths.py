"""The steps of what a yard does for every train of so many wagons: no fewer do than of
the hardest.
"""

from collections.abc import Sequence

import msgspec

from standage.railway.shunting.length_steps import By, LengthSearch
from standage.railway.shunting.length_trials import (
    NEVER,
    UNTRIED,
    Trial,
    every_train,
    of_train,
    plan_of_par,
)
from standage.railway.shunting.like_wagons import with_like_wagons
from standage.railway.shunting.yard import Puzzle, Visit, Yard
from standage.railway.terms.figures import grains

_PART_OF_ONE_CENSUS = 4
"""One census of wagons of many lengths may take so small a part of the budget that is
left: where it does not get through, none with more room does.
"""


class EveryTrainSearch(LengthSearch):
    """A census of all trains takes long where wagons are of many lengths. So first it is
    seen what every train does with at most, if as many wagons go in as surely do: then
    all are alike. Some trains are looked at by themselves, the hardest of those: of
    every train no fewer do. A census of the wagons' own lengths is taken only where
    these differ, as long as the budget reaches.
    """

    def __init__(
        self,
        puzzle: Puzzle,
        by: By,
        lengths_mm: Sequence[float],
        budget_steps: int,
        train_wagons: int,
    ) -> None:
        super().__init__(puzzle, by, lengths_mm, budget_steps)
        self._train_wagons = train_wagons
        self._of_some: dict[tuple[str, ...], LengthSearch] = {}
        self._of_alike: dict[Yard, Trial] = {}

    @property
    def spent(self) -> int:
        """How many positions were looked at, those of single trains and of wagons all
        alike among them.
        """
        of_some = sum(search.spent for search in self._of_some.values())
        of_alike = sum(trial.steps for trial in self._of_alike.values())
        return super().spent + of_some + of_alike

    def run(self) -> None:
        """Say what surely does, and then what is between, from the tightest on."""
        names = [wagon.name for wagon in self._puzzle.wagons]
        last_first = names[::-1]
        self._look_at_one(tuple(last_first[: self._train_wagons]))
        if not self._all_alike():
            self._rule_out()
            self._outline()
        self._refine()

    def _all_alike(self) -> bool:
        lengths = {grains(wagon.length_mm) for wagon in self._puzzle.wagons}
        return len(lengths) < 2  # noqa: PLR2004 - or no wagon

    def _rule_out(self) -> None:
        """Try how few wagons may go in, until every train can perhaps be made."""
        first = 0
        while first <= self.last and self.left > 0:
            perhaps = self._census_of(self._like_wagons(first, surely=False))
            first = self._next_that_holds_more(first, surely=False)
            # no more go in up to there
            self._trials[first - 1] = msgspec.structs.replace(
                perhaps,
                at_most=NEVER,
                steps=0,
            )
            if perhaps.at_least < NEVER:
                return

    def _outline(self) -> None:
        """Try where one more wagon surely goes in, until no more help."""
        number = self._next_that_holds_more(-1, surely=True)
        while number <= self.last and self.left > 0:
            surely = self._census_of(self._like_wagons(number, surely=True))
            if surely.at_most < self.at_most(number):
                self._trials[number] = msgspec.structs.replace(
                    surely,
                    at_least=self.at_least(number),
                    steps=0,
                )
                self._require_of_one(surely.trains, number)
            if self.at_least(self.last) >= self.at_most(number):
                return
            number = self._next_that_holds_more(number, surely=True)

    def _require_of_one(self, trains: Sequence[tuple[str, ...]], number: int) -> None:
        """See what these trains need at a length, and what at the roomiest."""
        for train in trains:
            self._look_at_one(train)
            search = self._of_some[train]
            for at in (number, self.last):
                search.allow(self.left)
                search.see(at)

    def _refine(self) -> None:
        number = self._next_with_less_than(NEVER, beyond=-1)
        while number <= self.last and self.left > 0:
            if not self._settled(number):
                trial = self._look_closer(number)
                self._trials[number] = trial
                for train in trial.trains:
                    self._look_at_one(train)
            if not self._settled(number):
                return  # the budget did not reach
            number = self._next_with_less_than(self.at_most(number), beyond=number)

    def _settled(self, number: int) -> bool:
        return self.at_least(number) >= self.at_most(number)

    def _look_at_one(self, train: tuple[str, ...]) -> None:
        if train not in self._of_some:
            puzzle = of_train(self._puzzle, train)
            search = LengthSearch(puzzle, self._by, self._lengths_mm, 0)
            self._of_some[train] = search

    def _next_with_less_than(self, count: int, *, beyond: int) -> int:
        """Return the first length beyond one at which all trains that were looked at
        need less.
        """
        known = [at for at, one in self._trials.items() if one.at_least >= count]
        number = max(beyond, *known, -1) + 1
        for search in self._of_some.values():
            search.allow(self.left)
            number = search.first_with_less_than(count, beyond=number - 1)
        return number

    def _next_that_holds_more(self, number: int, *, surely: bool) -> int:
        """Return the first length at which one more wagon goes in, surely or perhaps."""
        here = self._like_wagons(number, surely=surely)
        same, more = number, self.last + 1
        while more - same > 1:
            middle = (same + more) // 2
            if self._like_wagons(middle, surely=surely) == here:
                same = middle
            else:
                more = middle
        return more

    def _like_wagons(self, number: int, *, surely: bool) -> Puzzle | None:
        if number < 0:
            return None
        return with_like_wagons(self.puzzle_at(number), surely=surely)

    def at_least(self, number: int) -> int:
        """Return what is needed at a length: what is needed for any of the trains."""
        of_some = [search.at_least(number) for search in self._of_some.values()]
        return max(super().at_least(number), *of_some)

    def _look_closer(self, number: int) -> Trial:
        """Return how few every train does with: as many wagons as may go in say it, if
        as many surely do, or else a census.
        """
        perhaps = self._census_of(self._like_wagons(number, surely=False))
        surely = self._census_of(self._like_wagons(number, surely=True))
        if perhaps.at_least >= min(surely.at_most, self.at_most(number)):
            return msgspec.structs.replace(perhaps, at_most=surely.at_most, steps=0)
        counted = every_train(
            self.puzzle_at(number),
            train_wagons=self._train_wagons,
            budget_steps=self.left // _PART_OF_ONE_CENSUS,
        )
        if counted.at_most < NEVER or counted.at_least == NEVER:
            return counted
        return msgspec.structs.replace(
            surely,
            at_least=max(counted.at_least, perhaps.at_least),
            steps=counted.steps,
        )

    def _census_of(self, alike: Puzzle | None) -> Trial:
        if alike is None:
            return UNTRIED
        found = self._of_alike.get(alike.yard)
        if found is None:
            found = every_train(
                alike,
                train_wagons=self._train_wagons,
                budget_steps=max(self.left, 0),
            )
            self._of_alike[alike.yard] = found
        return found

    def _missing(self) -> tuple[str, ...] | None:
        for train, search in self._of_some.items():
            if search.at_least(self.last) == NEVER:
                return train
        roomiest = self._trials.get(self.last, UNTRIED)
        if roomiest.at_least == NEVER:
            return roomiest.trains[0]
        return None

    def _planned(self, number: int, trial: Trial) -> tuple[Puzzle, tuple[Visit, ...]]:
        puzzle = of_train(self.puzzle_at(number), self._hardest(number, trial))
        solved = puzzle
        alike = with_like_wagons(puzzle, surely=True)
        if alike is not None and self._census_of(alike).at_most == trial.at_most:
            # the same visits are a plan for the puzzle's own wagons
            solved = alike
        return puzzle, plan_of_par(puzzle, par=trial.at_most, solved=solved)

    def _hardest(self, number: int, trial: Trial) -> tuple[str, ...]:
        """Return a train that is known to need so many, or else one that is."""
        for train, search in self._of_some.items():
            if search.at_least(number) == trial.at_most:
                return train
        return trial.trains[0]
