"""A puzzle dealt from the club's own wagons by a seed: never trivial, with its par and
how hard it is among all.

The same seed and the same figures deal the same puzzle, on any machine and for ever:
chance is drawn from SHA-256.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from hashlib import sha256
from itertools import count
from typing import Annotated, Literal, TypeVar

import msgspec

from standage.railway.shunting.census import DEFAULT_BUDGET, Census, Par, census
from standage.railway.shunting.fitting import engine_unfit
from standage.railway.shunting.shortfalls import nothing_moves, train_too_long
from standage.railway.shunting.yard import (
    Puzzle,
    Rest,
    Wagon,
    Yard,
    YardGoal,
    YardStart,
)
from standage.railway.terms.figures import VehicleLengthMm, goes_into, tidy
from standage.railway.terms.reasons import Reason
from standage.railway.terms.senses import ITSELF

Difficulty = Literal["easy", "medium", "hard"]

TRIVIAL: dict[Par, int] = {"visits": 3, "couplings": 5}
"""A puzzle whose par is no more than this is seen through at a glance, and never
dealt.
"""

_STARTS = 12  # so many starts are tried before it is said that there is no such puzzle
# so often wagons are shared out among the sidings before it is said that they have no
# room
_LAYINGS = 200
_NO_ROOM = "the wagons do not all find room in the sidings: use fewer, or shorter ones"
_NO_PUZZLE = (
    "no train that is asked for is worth a puzzle here: too easy, of another"
    " difficulty, or impossible"
)
_OF_THREE: tuple[Difficulty, ...] = ("easy", "medium", "hard")

T = TypeVar("T")


class Chance:
    """Draws that follow from a seed alone."""

    def __init__(self, seed: int) -> None:
        self._seed = seed
        self._drawn = count()

    def below(self, limit: int) -> int:
        """Return a whole number from 0 to ``limit`` - 1."""
        drawn = f"{self._seed}/{next(self._drawn)}"
        digest = sha256(drawn.encode()).digest()
        return int.from_bytes(digest, "big") % limit

    def one_of(self, values: Sequence[T]) -> T:
        """Return one of the values, of which there is at least one."""
        return values[self.below(len(values))]

    def some_of(self, values: Sequence[T], number: int) -> list[T]:
        """Return so many of the values, each at most once, in an order of chance."""
        left = list(values)
        drawn: list[T] = []
        while len(drawn) < number:
            place = self.below(len(left))
            drawn.append(left.pop(place))
        return drawn


class Wish(msgspec.Struct, frozen=True, kw_only=True):
    """What sort of puzzle is wanted. At most 12 of the wagons are used."""

    engine_length_mm: VehicleLengthMm
    yard: Annotated[Yard, ITSELF]
    wagons: tuple[Wagon, ...]
    used_wagons: int
    train_wagons: int
    siding: str
    seed: int
    rest: Rest = "anywhere"
    fewest: Par = "visits"
    difficulty: Difficulty | None = None


class Dealt(msgspec.Struct, frozen=True, kw_only=True):
    """A puzzle with its par and where that stands among all trains that could have been
    asked for.
    """

    puzzle: Puzzle
    par: int
    difficulty: Difficulty
    easier_percent: float
    """Of all trains that can be made, or may be as far as was looked: those with a
    lower par.
    """

    harder_percent: float
    census: Census


class NotDealt(msgspec.Struct, frozen=True, kw_only=True):
    """Why there is no such puzzle; ``proved`` where no seed could deal one."""

    because: tuple[Reason, ...]
    proved: bool


def deal(wish: Wish, *, budget_steps: int = DEFAULT_BUDGET) -> Dealt | NotDealt:
    """Return the puzzle that the seed deals, or why there is none. The budget is for
    all starts tried together. The same wish deals the same puzzle on every machine.
    Raises as ``census`` does. **Source** derived.
    """
    because = tuple(_never(wish))
    chance = Chance(wish.seed)
    for _ in range(_STARTS):
        puzzle = _laid_out(wish, chance)
        if puzzle is None:
            return _not_dealt("no_room", _NO_ROOM)
        if because:
            return NotDealt(because=because, proved=True)
        found = census(
            puzzle, train_wagons=wish.train_wagons, budget_steps=budget_steps
        )
        budget_steps -= found.steps
        dealt = _chosen(wish, puzzle, found, chance)
        if dealt is not None:
            return dealt
        if budget_steps <= 0:
            break
    return _not_dealt("no_puzzle", _NO_PUZZLE)


def _never(wish: Wish) -> Iterator[Reason]:
    """Yield by how much something is too long for any puzzle to be dealt here."""
    yard = wish.yard
    alone = tuple(engine_unfit(yard, engine_length_mm=wish.engine_length_mm))
    if alone:
        yield from alone
        return
    reasons = (
        nothing_moves(yard, wish.wagons, engine_length_mm=wish.engine_length_mm),
        train_too_long(
            yard,
            wish.wagons,
            train_wagons=wish.train_wagons,
            siding=wish.siding,
        ),
    )
    yield from (reason for reason in reasons if reason is not None)


def _not_dealt(code: str, message: str) -> NotDealt:
    # another seed might deal one, so nothing is proved
    reason = Reason(
        code=code,
        message=message,
    )
    return NotDealt(
        because=(reason,),
        proved=False,
    )


def _laid_out(wish: Wish, chance: Chance) -> Puzzle | None:
    """Return the wagons shared out among the sidings by chance, a train of the first
    few as the goal.
    """
    for _ in range(_LAYINGS):
        wagons = chance.some_of(wish.wagons, wish.used_wagons)
        sidings = _shared_out(wish, wagons, chance)
        if sidings is None:
            continue
        used = {wagon.name for wagon in wagons}
        return Puzzle(
            engine_length_mm=wish.engine_length_mm,
            yard=wish.yard,
            wagons=tuple(wagon for wagon in wish.wagons if wagon.name in used),
            start=YardStart(sidings=tuple(map(tuple, sidings))),
            goal=YardGoal(siding=wish.siding, train=(), rest=wish.rest),
            fewest=wish.fewest,
        )
    return None


def _shared_out(
    wish: Wish, wagons: Sequence[Wagon], chance: Chance
) -> list[list[str]] | None:
    left_mm = [siding.usable_length_mm for siding in wish.yard.sidings]
    sidings: list[list[str]] = [[] for _ in left_mm]
    for wagon in wagons:
        roomy = [
            number
            for number, room_mm in enumerate(left_mm)
            if goes_into(wagon.length_mm, room_mm=room_mm)
        ]
        if not roomy:
            return None
        number = chance.one_of(roomy)
        sidings[number].append(wagon.name)
        left_mm[number] -= tidy(wagon.length_mm)
    return sidings


def _chosen(wish: Wish, puzzle: Puzzle, found: Census, chance: Chance) -> Dealt | None:
    standings = _standings(found)
    wanted = {
        par for par in standings if _is_wanted(wish, par=par, standing=standings[par])
    }
    # in order, so that the draw does not hang on the order in which they were found
    worthy = sorted(entry for entry in found.pars.items() if entry[1] in wanted)
    if not worthy:
        return None
    train, par = chance.one_of(worthy)
    easier_percent, harder_percent = standings[par]
    goal = YardGoal(siding=wish.siding, train=train, rest=wish.rest)
    return Dealt(
        puzzle=msgspec.structs.replace(puzzle, goal=goal),
        par=par,
        difficulty=difficulty_of(easier_percent, harder_percent),
        easier_percent=easier_percent,
        harder_percent=harder_percent,
        census=found,
    )


def _is_wanted(wish: Wish, *, par: int, standing: tuple[float, float]) -> bool:
    if par <= TRIVIAL[wish.fewest]:
        return False
    return wish.difficulty is None or wish.difficulty == difficulty_of(*standing)


def _standings(found: Census) -> dict[int, tuple[float, float]]:
    """Return by par how many per cent of all trains have a lower one, and how many a
    higher one.
    """
    by_par = Counter(found.pars.values())
    possible = len(found.pars) if found.complete else found.trains
    standings: dict[int, tuple[float, float]] = {}
    easier = 0
    for par, same in sorted(by_par.items()):
        harder = possible - easier - same
        easier_percent = tidy(100 * easier / possible)
        harder_percent = tidy(100 * harder / possible)
        standings[par] = (easier_percent, harder_percent)
        easier += same
    return standings


def difficulty_of(easier_percent: float, harder_percent: float) -> Difficulty:
    """Return in which third of all trains a par stands, by the middle of those that
    share it. In per cent of all trains. **Source** derived.

    >>> difficulty_of(20.0, 60.0), difficulty_of(80.0, 0.0)
    ('easy', 'hard')
    """
    middle_percent = (easier_percent + 100 - harder_percent) / 2
    third = int(middle_percent * 3 / 100)
    # the last third is shut at its end
    return _OF_THREE[min(2, third)]
