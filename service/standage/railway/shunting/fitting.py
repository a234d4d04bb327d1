"""Goals that do not fit, told at once: no plan can help where the room itself is too
short.
"""

from collections.abc import Iterator

from standage.railway.shunting.yard import Puzzle, Yard
from standage.railway.terms.figures import millimetres, tidy
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
