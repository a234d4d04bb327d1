"""How long must the headshunt be, or how long may the engine be?"""

from collections.abc import Iterable, Sequence
from functools import partial
from typing import Annotated

import msgspec

from standage.questions.asked import AskedYard
from standage.questions.deal import WagonCount, known_siding
from standage.questions.example_stock import PLAN, SMALL_WAGONS
from standage.questions.headshunt_length_answer import HeadshuntLengthAnswer
from standage.questions.headshunt_length_report import (
    HeadshuntLengthCase,
    MinutesPerVisit,
    answer_of,
)
from standage.questions.question import PLAN_BYTES, REPEATABLE, Question, Shows, always
from standage.questions.reckoning import MayBeExact, as_written, warned
from standage.questions.shunting_plan import Budget
from standage.questions.sources import Sources
from standage.questions.yard_wagons import AskedWagon, resolved
from standage.questions.yards_on_plans import (
    Unfound,
    gathered,
    in_its_yard,
)
from standage.railway.shunting.census import Par, too_many_trains
from standage.railway.shunting.headshunts import DEFAULT_BUDGET, steps
from standage.railway.shunting.length_steps import By, with_length
from standage.railway.shunting.yard import (
    MOST_WAGONS,
    Puzzle,
    Rest,
    Yard,
    YardGoal,
    YardStart,
    made_sure,
)
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import (
    Length,
    Name,
    VehicleLengthMm,
    counted,
    says,
    tidy,
)
from standage.shapes.faults import Fault, Ruled, all_of

_SHORTEST_ENGINE_MM = 0.0
"""Goes in wherever anything does."""


class AskedFan(AskedYard, frozen=True, kw_only=True):
    """A yard on record by its id, one of a track plan, or one with its figures inline,
    which needs a headshunt only where the engine's length is asked.
    """

    def rules(self) -> Iterable[Fault]:
        """As any yard's, but that the headshunt may be left out."""
        for fault in super().rules():
            is_headshunt = fault.pointer == "/headshunt_usable_length_mm"
            if not (is_headshunt and fault.code == "missing"):
                yield fault


def _has_headshunt(yard: AskedYard) -> bool:
    """Tell whether the headshunt's length is known: on record and on a plan it is."""
    return yard.sidings is None or yard.headshunt_usable_length_mm is not None


class HeadshuntLengthRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """A yard, an engine, wagons where they stand, and where they are to stand; or every
    train of so many.
    """

    engine_length_mm: Annotated[
        VehicleLengthMm | None,
        says("The engine over its couplings, in mm; needed unless it is asked."),
    ] = None
    yard: Annotated[
        AskedFan, says("The sidings, here, on record or on a plan; and a headshunt.")
    ]
    wagons: Annotated[
        Annotated[tuple[AskedWagon, ...], msgspec.Meta(max_length=MOST_WAGONS)],
        says("Every wagon in the yard."),
    ]
    start: Annotated[YardStart, says("Where each wagon stands at the start.")]
    goal: Annotated[
        YardGoal | None, says("What is to stand where at the end; or every_train_of.")
    ] = None
    every_train_of: Annotated[
        WagonCount | None, says("Instead: every train of so many wagons, in siding.")
    ] = None
    siding: Annotated[
        Name | None, says("Where every train is to be made up, each alone.")
    ] = None
    rest: Annotated[
        Rest | None, says("Where its other wagons may be then; anywhere if not said.")
    ] = None
    by: Annotated[By, says("Whose length is asked: the headshunt's or engine's.")] = (
        "headshunt"
    )
    fewest: Annotated[Par, says("What is to be as few as can be.")] = "visits"
    up_to_mm: Annotated[Length | None, says("No longer one is asked about, in mm.")] = (
        None
    )
    minutes_per_visit: Annotated[
        MinutesPerVisit | None, says("How long one visit takes; 1 minute if not said.")
    ] = None
    budget_steps: Annotated[Budget, says("How many positions may be looked at.")] = (
        DEFAULT_BUDGET
    )

    def rules(self) -> Iterable[Fault]:
        """One train or every train; and the length that is not asked."""
        yield from self._one_or_every()
        if self.by == "headshunt" and self.engine_length_mm is None:
            yield _missing("engine_length_mm is missing", "/engine_length_mm")
        if self.by == "engine" and not _has_headshunt(self.yard):
            message = "headshunt_usable_length_mm is missing: how long is it?"
            yield _missing(message, "/yard/headshunt_usable_length_mm")

    def _one_or_every(self) -> Iterable[Fault]:
        if self.every_train_of is None:
            if self.goal is None:
                yield _missing("give goal, or every_train_of and siding", "/goal")
            for field in ("siding", "rest"):
                if getattr(self, field) is not None:
                    message = "says nothing without every_train_of"
                    yield _fault("contradiction", message, f"/{field}")
            return
        if self.goal is not None:
            message = "cannot be given beside every_train_of"
            yield _fault("one_or_the_other", message, "/goal")
        if self.siding is None:
            yield _missing("siding is missing: where are they made up?", "/siding")
        if self.every_train_of > len(self.wagons):
            message = f"the yard has only {counted(len(self.wagons), 'wagon')} in it"
            yield _fault("contradiction", message, "/every_train_of")
            return
        too_many = too_many_trains(len(self.wagons), self.every_train_of)
        if too_many is not None:
            yield _fault("too_many", too_many, "/every_train_of")


def _missing(message: str, pointer: str) -> Fault:
    return _fault("missing", message, pointer)


def _fault(code: str, message: str, pointer: str) -> Fault:
    return Fault(
        code=code,
        message=message,
        pointer=pointer,
    )


@as_written
def gather(
    sources: Sources, request: HeadshuntLengthRequest
) -> HeadshuntLengthCase | Unfound:
    """Return the case of what a caller asks.

    Raises ``Faulty`` for every id that is not on record, every figure that is missing
    and every contradiction.
    """
    return gathered(sources, request, case_of)


def case_of(
    request: HeadshuntLengthRequest,
    yard: Yard,
    vehicles: Sequence[Vehicle],
    types: tuple[CouplingKind, ...] = (),
) -> HeadshuntLengthCase:
    """Return the case that a request makes in ``yard``, its wagons given as
    ``vehicles`` in the same order.

    ``types`` are the club's own couplings. Raises ``Faulty`` with every figure that is
    missing and every contradiction.
    """
    siding = request.siding
    (wagons, guesses, warnings), _ = all_of(
        partial(resolved, vehicles, CouplingTypes(types)),
        partial(_require_siding, siding, yard),
    )
    has_headshunt = _has_headshunt(request.yard)
    goal = request.goal
    if goal is None:
        goal = YardGoal(siding=siding, train=(), rest=request.rest or "anywhere")
    in_all_mm = tidy(sum(wagon.length_mm for wagon in wagons))
    engine_mm = request.engine_length_mm
    puzzle = Puzzle(
        engine_length_mm=in_all_mm if engine_mm is None else engine_mm,
        yard=yard,
        wagons=wagons,
        start=request.start,
        goal=goal,
        fewest=request.fewest,
    )
    if not has_headshunt:
        room_mm = tidy(puzzle.engine_length_mm + in_all_mm)
        puzzle = with_length(puzzle, "headshunt", length_mm=room_mm)
    _require_sound(puzzle, request.by)
    own_mm: float | None = engine_mm
    if request.by == "headshunt":
        own_mm = yard.headshunt_usable_length_mm if has_headshunt else None
    return HeadshuntLengthCase(
        puzzle=puzzle,
        by=request.by,
        every_train_of=request.every_train_of,
        up_to_mm=request.up_to_mm,
        own_mm=own_mm,
        minutes_per_visit=request.minutes_per_visit,
        budget_steps=request.budget_steps,
        guesses=guesses,
        warnings=warnings,
        stock=tuple(vehicles),
    )


def _require_siding(siding: str | None, yard: Yard) -> None:
    if siding is not None:
        known_siding(siding, yard)


def _require_sound(puzzle: Puzzle, by: By) -> None:
    """Raise ``Faulty`` with every contradiction; the length that is asked is none."""
    harmless_mm = _SHORTEST_ENGINE_MM
    if by == "headshunt":
        wagons_mm = sum(wagon.length_mm for wagon in puzzle.wagons)
        harmless_mm = tidy(puzzle.engine_length_mm + wagons_mm)
    made_sure(with_length(puzzle, by, length_mm=harmless_mm))


@in_its_yard(case_of)
@warned
def reckon(case: HeadshuntLengthCase) -> HeadshuntLengthAnswer:
    """Return every length at which something changes, each replayed by the referee."""
    found = steps(
        case.puzzle,
        every_train_of=case.every_train_of,
        by=case.by,
        up_to_mm=case.up_to_mm,
        budget_steps=case.budget_steps,
    )
    return answer_of(case, found)


_ASKED = {**PLAN, "minutes_per_visit": 1.5}
QUESTION = Question(
    id="checkHeadshuntLength",
    at="/v1/checks/headshunt-length",
    asks="How long must the headshunt be, or how long may the engine be?",
    tells=(
        "The exact lengths from which fewer visits, or couplings, make the train, or"
        " every train of so many; the least that does; how long it takes."
    )
    + REPEATABLE,
    request=HeadshuntLengthRequest,
    answer=HeadshuntLengthAnswer,
    gather=gather,
    reckon=reckon,
    heavy=always,
    searches=True,
    most_bytes=PLAN_BYTES,
    tag="Shunting",
    example=_ASKED,
    refused={**_ASKED, "goal": None},
    warns=Shows("unit", "length_mm", SMALL_WAGONS),
)
