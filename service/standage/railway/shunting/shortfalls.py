"""Why there is no plan, in lengths: what is too long for which road, before it is said
that everything was looked at.
"""

from collections.abc import Iterator, Sequence
from itertools import islice

import msgspec

from standage.railway.shunting.headshunts import least
from standage.railway.shunting.length_steps import Step
from standage.railway.shunting.yard import Puzzle, Wagon, Yard
from standage.railway.terms.figures import (
    at_least,
    counted,
    exceeds,
    listed,
    millimetres,
    tidy,
)
from standage.railway.terms.reasons import Reason

TOO_SHORT = "headshunt_too_short"
_BUDGET = 500_000
"""Of what a search may look at, so much at most goes on why it found nothing."""
_LONGEST_NAMES = 60
"""So many letters go into a sentence besides its figures."""
_LONGEST_MESSAGE = 200


def shortfall(puzzle: Puzzle, *, budget_steps: int) -> Iterator[Reason]:
    """Yield by how much the headshunt is too short for a puzzle that is proved
    impossible, or that none would help.

    Lengths in mm. Nothing is yielded where the budget, or the usual part of it, does
    not reach. **Source** derived: the shortest headshunt with which there is a plan.
    """
    own_mm = puzzle.yard.headshunt_usable_length_mm
    puzzle = msgspec.structs.replace(puzzle, fewest="visits")
    budget = min(budget_steps, _BUDGET)
    first, impossible_to_mm = least(puzzle, longer_than_mm=own_mm, budget_steps=budget)
    if impossible_to_mm is None:
        message = (
            "no headshunt, however long, would help: in these sidings the wagons cannot"
            " be brought to where they are wanted"
        )
        yield Reason(code="sidings_too_short", message=message)
    elif first is not None and first.length_mm == impossible_to_mm:
        yield _too_long(first, limit_mm=own_mm)
    elif first is not None:
        over_mm = tidy(impossible_to_mm - own_mm)
        message = (
            f"the headshunt is at least {millimetres(over_mm)} too short: it cannot be"
            f" done with less than {millimetres(impossible_to_mm)}"
        )
        yield _reason(message, length_mm=impossible_to_mm, limit_mm=own_mm)


def nothing_moves(
    yard: Yard, wagons: Sequence[Wagon], *, engine_length_mm: float
) -> Reason | None:
    """Return by how much the engine and the shortest wagon are too long for every way
    in the yard; None where they go in, or there is no wagon.

    Lengths in mm; what is equal to its room fits. **Source** derived.
    """
    if not wagons:
        return None
    room_mm = yard.headshunt_usable_length_mm
    place = "the headshunt"
    for room in yard.rooms:
        if exceeds(room.room_mm, limit=room_mm):
            room_mm = room.room_mm
            place = f"the way between {listed(room.between)}"
    shortest_mm = min(wagon.length_mm for wagon in wagons)
    length_mm = tidy(engine_length_mm + shortest_mm)
    if not exceeds(length_mm, limit=room_mm):
        return None
    over = at_least(tidy(length_mm - room_mm))
    if len(place) > _LONGEST_NAMES:
        place = "the longest way between two sidings"
    message = f"the engine and one wagon are {over} too long for {place}"
    return _reason(message, length_mm=length_mm, limit_mm=room_mm)


def train_too_long(
    yard: Yard, wagons: Sequence[Wagon], *, train_wagons: int, siding: str
) -> Reason | None:
    """Return by how much the shortest train of so many wagons is too long for its
    siding; None where it goes in.

    Lengths in mm. **Source** derived.
    """
    shortest_first = sorted(wagon.length_mm for wagon in wagons)
    length_mm = tidy(sum(islice(shortest_first, train_wagons)))
    [limit_mm] = [one.usable_length_mm for one in yard.sidings if one.name == siding]
    over_mm = tidy(length_mm - limit_mm)
    if over_mm <= 0:
        return None
    message = (
        f"{siding} is {at_least(over_mm)} too short for any train of"
        f" {counted(train_wagons, 'wagon')}"
    )
    return Reason(
        code="goal_does_not_fit",
        message=message,
        place=siding,
        value_mm=length_mm,
        limit_mm=tidy(limit_mm),
        amount_mm=over_mm,
    )


def engine_and(cut: Sequence[str]) -> str:
    """Return the engine and so many wagons in words. **Source** the trade's words.

    >>> engine_and(["Coal"]), engine_and(["Coal", "Salt"]), engine_and([])
    ('the engine and one wagon are', 'the engine and 2 wagons are', 'the engine is')
    """
    if not cut:
        return "the engine is"
    if len(cut) == 1:
        return "the engine and one wagon are"
    return f"the engine and {counted(len(cut), 'wagon')} are"


def by_name(cut: Sequence[str]) -> str:
    """Return the wagons by their names where they are few and short, else as them.
    **Source** plain English.

    >>> by_name(["Coal", "Salt"]), by_name(["A wagon of a long name"] * 4)
    ('Coal and Salt', 'them')
    """
    names = listed(cut)
    if not cut or len(names) > _LONGEST_NAMES:
        return "them"
    return names


def for_one(train: Sequence[str], why: Reason) -> Reason:
    """Return why one train of many cannot be made, with which one is meant where its
    names are few and short. **Source** plain English.
    """
    names = by_name(train)
    message = f"{why.message} (to make {names}, for one)"
    if not train or names == "them" or len(message) > _LONGEST_MESSAGE:
        return why
    return msgspec.structs.replace(why, message=message)


def _too_long(first: Step, *, limit_mm: float) -> Reason:
    over = at_least(tidy(first.length_mm - limit_mm))
    message = (
        f"{engine_and(first.cut)} {over} too long for the headshunt: with"
        f" {by_name(first.cut)} it would have to be {at_least(first.length_mm)}"
    )
    return _reason(message, length_mm=first.length_mm, limit_mm=limit_mm)


def _reason(message: str, *, length_mm: float, limit_mm: float) -> Reason:
    return Reason(
        code=TOO_SHORT,
        message=message,
        place="the headshunt",
        value_mm=tidy(length_mm),
        limit_mm=tidy(limit_mm),
        amount_mm=tidy(length_mm - limit_mm),
    )
