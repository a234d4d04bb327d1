"""What is told of how long a headshunt, or an engine, must or may be: the case that it
rests on, the figures and the reasons.
"""

from collections.abc import Iterator
from typing import Annotated

import msgspec

from standage.questions.headshunt_length_answer import (
    HeadshuntLengthAnswer,
    LengthStep,
    OwnLength,
)
from standage.questions.shunting_plan import fewest_words
from standage.questions.yards_on_plans import YardCase
from standage.railway.shunting.fitting import unfit
from standage.railway.shunting.headshunts import lengths_that_matter
from standage.railway.shunting.length_steps import By, Step, Steps, with_length
from standage.railway.shunting.length_trials import of_train
from standage.railway.shunting.plans import measured
from standage.railway.shunting.search import Verdict
from standage.railway.shunting.shortfalls import engine_and, shortfall
from standage.railway.shunting.yard import Puzzle
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import (
    at_least,
    at_most,
    counted,
    exceeds,
    give_or_take,
    goes_into,
    listed,
    millimetres,
    search_stopped,
    tidy,
)
from standage.railway.terms.reasons import Assumed, Guess, Reason, told
from standage.railway.terms.senses import ITSELF

_LONGEST_NAMES = 100
"""So many letters of names go into a sentence."""
USUAL_MINUTES = 1.0
"""So long one visit is taken to last where nobody says."""

MinutesPerVisit = Annotated[float, msgspec.Meta(gt=0, le=60)]


class HeadshuntLengthCase(YardCase, frozen=True, kw_only=True):
    """All that the answer rests on; the puzzle's own length of what is asked, and of
    every train its goal's own train, are of no account.
    """

    puzzle: Annotated[Puzzle, ITSELF]
    by: By
    every_train_of: int | None
    up_to_mm: float | None
    own_mm: float | None
    """The length that the yard, or the engine, has; None where that is not known."""
    minutes_per_visit: float | None
    budget_steps: int
    guesses: tuple[Guess, ...] = ()
    warnings: tuple[Reason, ...] = ()
    stock: tuple[Vehicle, ...] = ()
    """The wagons as they were given, in whose figures slips are looked for."""


def answer_of(case: HeadshuntLengthCase, found: Steps) -> HeadshuntLengthAnswer:
    """Return the answer that was found for a case."""
    own = None if case.own_mm is None else _own(case, found, own_mm=case.own_mm)
    least_mm = found.steps[0].length_mm if found.steps else None
    by_headshunt = case.by == "headshunt"
    return HeadshuntLengthAnswer(
        verdict=_verdict(found),
        proved=found.proved,
        least_mm=least_mm if by_headshunt else None,
        longest_engine_mm=None if by_headshunt else least_mm,
        impossible_to_mm=found.impossible_to_mm,
        steps=tuple(_step(case, step) for step in found.steps),
        own=own,
        positions=found.searched,
        because=(*case.warnings, *_because(case, found, own)),
        assumed=(*told(case.guesses), *_assumed(case), *case.of_the_yard),
    )


def _verdict(found: Steps) -> Verdict:
    if found.steps:
        return "solved" if found.proved else "budget_spent"
    return "impossible" if found.impossible_to_mm is None else "budget_spent"


def _step(case: HeadshuntLengthCase, step: Step) -> LengthStep:
    minutes_per_visit = case.minutes_per_visit or USUAL_MINUTES
    visits = len(step.visits)
    return LengthStep(
        headshunt_usable_length_mm=step.puzzle.yard.headshunt_usable_length_mm,
        engine_length_mm=step.puzzle.engine_length_mm,
        plus_minus_mm=_plus_minus_mm(step),
        visits=visits,
        couplings=step.couplings,
        minutes=tidy(visits * minutes_per_visit),
        cut=step.cut,
        train=step.puzzle.goal.train or (),
        proved=step.proved,
        moves=step.visits,
    )


def _plus_minus_mm(step: Step) -> float:
    off_mm = {wagon.name: wagon.plus_minus_mm for wagon in step.puzzle.wagons}
    in_all_mm = sum(off_mm[name] for name in step.cut)
    return tidy(in_all_mm)


def _spare_mm(by: By, *, own_mm: float, limit_mm: float) -> float:
    """Return by how much one length has more room than another: a longer headshunt, a
    shorter engine.
    """
    longer_mm = tidy(own_mm - limit_mm)
    return longer_mm if by == "headshunt" else tidy(-longer_mm)


def _least_is_proved(found: Steps) -> bool:
    return bool(found.steps) and found.steps[0].length_mm == found.impossible_to_mm


def _own(case: HeadshuntLengthCase, found: Steps, *, own_mm: float) -> OwnLength:
    done = [
        step
        for step in found.steps
        if _spare_mm(case.by, own_mm=own_mm, limit_mm=step.length_mm) >= 0
    ]
    spare_mm: float | None = None
    if _least_is_proved(found):
        limit_mm = found.steps[0].length_mm
        spare_mm = _spare_mm(case.by, own_mm=own_mm, limit_mm=limit_mm)
    return OwnLength(
        length_mm=own_mm,
        is_enough=True if done else _is_too_short(case, found, own_mm=own_mm),
        spare_mm=spare_mm,
        visits=len(done[-1].visits) if done else None,
    )


def _is_too_short(
    case: HeadshuntLengthCase, found: Steps, *, own_mm: float
) -> bool | None:
    """Return False where a length is proved not to do, None where it is not known."""
    if found.impossible_to_mm is not None:
        limit_mm = found.impossible_to_mm
        is_short = _spare_mm(case.by, own_mm=own_mm, limit_mm=limit_mm) < 0
        return False if is_short else None
    if case.by == "engine" or case.up_to_mm is None:
        return False  # nothing does at any length
    return False if goes_into(own_mm, room_mm=case.up_to_mm) else None


def _assumed(case: HeadshuntLengthCase) -> Iterator[Assumed]:
    if case.minutes_per_visit is None:
        message = "one visit, in and out again, is taken to last a minute"
        yield Assumed(
            field="minutes_per_visit",
            message=message,
            source="default",
            value=f"{USUAL_MINUTES:g}",
        )


def _because(
    case: HeadshuntLengthCase, found: Steps, own: OwnLength | None
) -> Iterator[Reason]:
    if not found.steps and found.impossible_to_mm is None:
        yield from _impossible(case, found)
        return
    if own is not None:
        yield from _own_too_short(case, own, found)
    if not found.proved:
        yield _stopped(case, found)
    if not found.steps:
        return
    if not found.steps[0].visits:
        yield _as_wanted(case)
        return
    yield _least(case, found)
    yield from _fewest(case, found)


def _impossible(case: HeadshuntLengthCase, found: Steps) -> Iterator[Reason]:
    puzzle = case.puzzle
    if found.missing is not None:
        train = listed(found.missing)
        if len(train) > _LONGEST_NAMES:
            train = f"one of {counted(len(found.missing), 'wagon')}"
        message = f"not every train can be made: {train} cannot, for one"
        yield Reason(code="not_every_train", message=message)
        puzzle = of_train(puzzle, found.missing)
    if case.by == "engine":
        yield from _no_engine(puzzle)
        return
    roomiest_mm = case.up_to_mm
    if roomiest_mm is None:
        roomiest_mm = max(lengths_that_matter(puzzle, "headshunt"))
    longest = with_length(puzzle, "headshunt", length_mm=roomiest_mm)
    because = unfit(longest)
    yield from because
    if not because:
        yield from shortfall(longest, budget_steps=case.budget_steps)
    if case.up_to_mm is not None:
        message = f"no headshunt of up to {millimetres(case.up_to_mm)} will do"
        yield Reason(code="up_to", message=message, limit_mm=case.up_to_mm)


def _no_engine(puzzle: Puzzle) -> Iterator[Reason]:
    lengths_mm = lengths_that_matter(puzzle, "engine")
    if not lengths_mm:
        room = millimetres(puzzle.yard.headshunt_usable_length_mm)
        message = f"no engine goes into the headshunt of {room}"
        if puzzle.start.engine:
            message += " with what is on it at the start"
        yield Reason(code="no_engine_helps", message=message)
        return
    yield from unfit(with_length(puzzle, "engine", length_mm=min(lengths_mm)))
    message = (
        "no engine, however short, would help: in this yard the wagons cannot be"
        " brought to where they are wanted"
    )
    yield Reason(code="no_engine_helps", message=message)


def _own_too_short(
    case: HeadshuntLengthCase, own: OwnLength, found: Steps
) -> Iterator[Reason]:
    whose, wrong = "the yard's own headshunt", "short"
    if case.by == "engine":
        whose, wrong = "the engine", "long"
    spare_mm = own.spare_mm
    if own.is_enough is False and spare_mm is not None:
        message = f"{whose} is {at_least(-spare_mm)} too {wrong}"
        yield Reason(
            code="own_too_short" if case.by == "headshunt" else "engine_too_long",
            message=message,
            value_mm=own.length_mm,
            limit_mm=found.steps[0].length_mm,
            amount_mm=tidy(-spare_mm),
        )
    if spare_mm is None or spare_mm < 0:
        return
    off_mm = tidy(_plus_minus_mm(found.steps[0]) + _headshunt_off_mm(case))
    if exceeds(off_mm, limit=spare_mm):
        left = f"{millimetres(spare_mm)}{give_or_take(off_mm)}"
        message = f"{whose} has only {left} to spare: try it first"
        yield Reason(code="tight", message=message, amount_mm=spare_mm)


def _headshunt_off_mm(case: HeadshuntLengthCase) -> float:
    """Return how far off the yard's own headshunt may be, where it was measured as a
    place or on a plan.
    """
    for one in case.of_the_yard:
        if one.field == "yard/headshunt_usable_length_mm" and one.plus_minus_mm:
            return one.plus_minus_mm
    return 0.0


def _stopped(case: HeadshuntLengthCase, found: Steps) -> Reason:
    proved = "nothing is proved of the least"
    if found.impossible_to_mm is not None:
        proved = (
            f"it is proved that less than {at_most(found.impossible_to_mm)} will not do"
        )
        if case.by == "engine":
            limit = at_least(found.impossible_to_mm)
            proved = f"it is proved that an engine longer than {limit} will not do"
    message = f"{search_stopped(found.searched)}: {proved}"
    return Reason(code="budget_spent", message=message)


def _as_wanted(case: HeadshuntLengthCase) -> Reason:
    message = "the wagons stand as they are wanted: there is nothing to shunt"
    if case.by == "headshunt":
        message += ", and the headshunt need only hold the engine"
    return Reason(code="as_wanted", message=message)


def _least(case: HeadshuntLengthCase, found: Steps) -> Reason:
    first = found.steps[0]
    length = _length(case, first)
    what = "every train" if case.every_train_of is not None else "it"
    if not _least_is_proved(found):
        message = f"{what} can be made with {length}; less may do, too"
        if case.by == "engine":
            message = f"{what} can be made with an engine of {length}; more may do, too"
        return Reason(code="found", message=message, value_mm=first.length_mm)
    message = (
        f"{what} can be made from {length} on, and with no less: {engine_and(first.cut)}"
        " as long as that"
    )
    if case.by == "engine":
        message = f"{what} can be made with an engine of up to {length}, and no longer"
    return Reason(code="least", message=message, value_mm=first.length_mm)


def _length(case: HeadshuntLengthCase, step: Step) -> str:
    """Return the length of a step in words: to a tenth with which it does, too."""
    if case.by == "engine":
        return at_most(step.length_mm)
    return at_least(step.length_mm)


def _fewest(case: HeadshuntLengthCase, found: Steps) -> Iterator[Reason]:
    last = found.steps[-1]
    if case.up_to_mm is not None:
        return
    count = measured(last.puzzle, last.visits)
    does = f"{fewest_words(case.puzzle.fewest, count)} will do"
    length = _length(case, last)
    if case.by == "engine":
        so_far = f"with an engine of {length} {does}"
        proved = "and no shorter one does with fewer"
    else:
        so_far = f"from {length} on {does}"
        proved = "and no longer headshunt does with fewer"
    message = f"{so_far}, {proved}"
    if not last.proved:
        message = f"{so_far}; less room, or fewer, may do, too"
    yield Reason(code="fewest", message=message, value_mm=last.length_mm)
