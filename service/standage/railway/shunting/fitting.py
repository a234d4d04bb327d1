"""Goals that do not fit, told at once: no plan can help where the room itself is too
short.
"""

from collections.abc import Iterator

from standage.railway.shunting.yard import Puzzle, Siding, Yard
from standage.railway.terms.figures import counted, millimetres, tidy
from standage.railway.terms.reasons import Reason


def unfit(puzzle: Puzzle) -> tuple[Reason, ...]:
    """Return why the engine or what the goal names fits nowhere it must; nothing where
    all of it fits. Lengths in mm; what is equal to its room fits. **Source** derived.
    """
    return tuple(_reasons(puzzle))


def engine_unfit(yard: Yard, *, engine_length_mm: float) -> Iterator[Reason]:
    """Yield why the engine does not even go into the headshunt alone; nothing where it
    does. Lengths in mm; what is equal to its room fits. **Source** derived.
    """
    yield from _too_short(
        "headshunt_too_short",
        "the headshunt",
        yard.headshunt_usable_length_mm,
        engine_length_mm,
        "the engine",
    )


def _reasons(puzzle: Puzzle) -> Iterator[Reason]:
    yard, goal = puzzle.yard, puzzle.goal
    headshunt_mm = yard.headshunt_usable_length_mm
    yield from engine_unfit(yard, engine_length_mm=puzzle.engine_length_mm)
    contents = goal.contents(yard.sidings)
    for siding, train in zip(yard.sidings, contents, strict=True):
        yield from _too_short(
            "goal_does_not_fit",
            siding.name,
            siding.usable_length_mm,
            puzzle.length_mm(train or ()),
            "the train",
        )
    if goal.engine:
        yield from _too_short(
            "goal_does_not_fit",
            "the headshunt",
            headshunt_mm,
            puzzle.engine_length_mm + puzzle.length_mm(goal.engine),
            "the engine and what is to be on it",
        )
    yield from _rest_too_long(puzzle)


def _rest_too_long(puzzle: Puzzle) -> Iterator[Reason]:
    """Yield by how much the other wagons are too long for where the goal lets them
    stand, where their length alone says it.
    """
    goal = puzzle.goal
    named = {name for name, _ in goal.named()}
    others = [one.name for one in puzzle.wagons if one.name not in named]
    sidings = [one for one in puzzle.yard.sidings if one.name != goal.siding]
    if goal.siding is None or goal.rest == "anywhere" or not others or not sidings:
        return
    # none of them may be on the engine
    rest = "the other wagon"
    if len(others) > 1:
        rest = f"the other {counted(len(others), 'wagon')}"
    place = "the rest of the yard"
    hold_mm = sum(tidy(one.usable_length_mm) for one in sidings)
    if goal.rest == "one_siding":
        longest = max(sidings, key=_usable_mm)
        place, hold_mm = longest.name, longest.usable_length_mm
        rest += ", and no other siding is longer"
    yield from _too_short(
        "rest_does_not_fit", place, hold_mm, puzzle.length_mm(others), rest
    )


def _usable_mm(siding: Siding) -> float:
    return siding.usable_length_mm


def _too_short(
    code: str, place: str, hold_mm: float, length_mm: float, what: str
) -> Iterator[Reason]:
    over_mm = tidy(tidy(length_mm) - tidy(hold_mm))
    if over_mm > 0:
        message = f"{place} is {millimetres(over_mm)} too short for {what}"
        yield Reason(
            code=code,
            message=message,
            place=place,
            value_mm=tidy(length_mm),
            limit_mm=tidy(hold_mm),
            amount_mm=over_mm,
        )
