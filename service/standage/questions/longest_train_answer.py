"""What the question of the longest train answers: the train, what is left out, and
why.
"""

from collections.abc import Iterator, Sequence
from itertools import groupby, islice
from typing import Annotated

import msgspec

from standage.questions.reckoning import NOT_YET, Warnings
from standage.questions.resolving.trains import NamedVehicle
from standage.railway.curving.verdicts import CurveVerdict
from standage.railway.longest.choice import Choice, ChoiceVerdict
from standage.railway.longest.room import By
from standage.railway.roads.allowances import Allowance
from standage.railway.standing.verdicts import FitVerdict
from standage.railway.stock.coupled import Coupled
from standage.railway.terms.figures import (
    agreeing,
    counted,
    listed,
    millimetres,
    says,
    tidy,
)
from standage.railway.terms.reasons import Assumed, Reason

MOST_TO_MEASURE = 5
"""Vehicles of the pool that are named where nobody can tell of any; the others stand
among those left out.
"""


class InTheTrain(msgspec.Struct, frozen=True, kw_only=True):
    """Like vehicles in a row, as they stand in the train."""

    name: Annotated[str, says("What it is called.")]
    vehicle_id: Annotated[str | None, says("Its id, where it is on record.")]
    count: Annotated[int, says("How many like it stand there in a row.")]
    reversed: Annotated[bool, says("Whether its rear leads.")]
    engine: Annotated[bool, says("Whether it is one of the engines that were given.")]


class NotInTheTrain(msgspec.Struct, frozen=True, kw_only=True):
    """A vehicle of the pool that may not go in, and why."""

    name: Annotated[str, says("What it is called.")]
    vehicle_id: Annotated[str | None, says("Its id, where it is on record.")]
    verdict: Annotated[FitVerdict, says("What was found of it.")]
    because: Annotated[Reason, says("The worst reason.")]


class LongestTrainAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The longest train of those that may be made up, and what that rests on."""

    verdict: Annotated[
        ChoiceVerdict, says("Whether there is a train that stands there for certain.")
    ]
    reaching: Annotated[
        CurveVerdict | None,
        says("Whether all of it gets there, as far as the place says."),
    ]
    by: Annotated[By, says("What counted.")]
    vehicles: Annotated[
        tuple[InTheTrain, ...],
        says("The train in order from its head; empty where there is none."),
    ]
    from_pool: Annotated[
        int | None,
        says("How many vehicles of the pool are in it; null where there is no train."),
    ]
    train_length_mm: Annotated[
        float | None, says("The train pulled out, free couplings included, in mm.")
    ]
    spare_mm: Annotated[
        float | None, says("What is left in the place, margin taken off, in mm.")
    ]
    plus_minus_mm: Annotated[
        float | None, says("How far off the spare may be, either way, in mm.")
    ]
    usable_length_mm: Annotated[
        float | None, says("The usable length of the place, in mm.")
    ]
    stopping_margin_mm: Annotated[
        float, says("What was taken off for stopping, both ends together, in mm.")
    ]
    proved: Annotated[
        bool,
        says(
            "Whether no train of the pool has more vehicles, or none is longer, as was"
            " asked."
        ),
    ]
    at_most_vehicles: Annotated[
        int | None, says("By number: no train has more of the pool; null if not known.")
    ]
    at_most_mm: Annotated[
        float | None,
        says("By length: no train can be longer than this, in mm; null if not known."),
    ]
    left_out: Annotated[
        tuple[NotInTheTrain, ...],
        says("What does not get to the place, or whose length is not known."),
    ]
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    warnings: Warnings = NOT_YET


def in_order(
    engines: Sequence[NamedVehicle], pool: Sequence[NamedVehicle], choice: Choice
) -> Iterator[InTheTrain]:
    """Yield the train from its head, like vehicles that follow each other as one;
    nothing where there is no train.
    """
    if choice.taken is None:
        return
    for one in engines:
        yield _stood(
            one,
            count=one.vehicle.count,
            engine=True,
        )
    for place, alike in groupby(choice.taken):
        count = sum(1 for _ in alike)
        yield _stood(
            pool[place],
            count=count,
            engine=False,
        )


def _stood(one: NamedVehicle, *, count: int, engine: bool) -> InTheTrain:
    return InTheTrain(
        name=one.vehicle.name,
        vehicle_id=one.id,
        count=count,
        reversed=one.vehicle.reversed,
        engine=engine,
    )


def left_out(pool: Sequence[NamedVehicle], choice: Choice) -> Iterator[NotInTheTrain]:
    """Yield the vehicles of the pool that may not go in, each with its worst reason."""
    for one in choice.left_out:
        kept = pool[one.place]
        yield NotInTheTrain(
            name=kept.vehicle.name,
            vehicle_id=kept.id,
            verdict=one.verdict,
            because=one.reason,
        )


def longest_reason(
    engines: Sequence[NamedVehicle], choice: Choice, made_up: Coupled
) -> Reason:
    """Return in words how many vehicles go in behind the engines, and how long all of
    it is.
    """
    behind = ""
    if engines:
        behind = f" behind {_names(engines)}"
    length_mm = tidy(made_up.pulled_out().known_mm)
    length = millimetres(length_mm)
    many = len(choice.taken or ())
    if many == 0:
        message = (
            f"no vehicle of the pool fits{behind}; by itself that is {length} long"
            " pulled out"
        )
        return Reason(code="nothing_goes_in", message=message, value_mm=length_mm)
    come = agreeing(many, "comes", "come")
    message = f"{counted(many, 'vehicle')}{behind} {come} to {length} pulled out"
    return Reason(code="longest_train", message=message, value_mm=length_mm)


def why_none(
    engines: Sequence[NamedVehicle], choice: Choice, given: Allowance
) -> Iterator[Reason]:
    """Yield why there is no train, where the choice itself does not say it."""
    if choice.because:
        return
    what, known = "no vehicle of the pool", "is"
    if engines:
        what = _names(engines)
        known = agreeing(len(engines), "is not", "are not")
    message = f"{what} {known} certain to fit in {given.place}, alone or with others"
    yield Reason(
        code="nothing_stands",
        message=message,
        place=given.place,
        limit_mm=given.room_mm,
    )
    if not engines:
        unsure = (one.reason for one in choice.left_out if one.verdict == "cannot_tell")
        yield from islice(unsure, MOST_TO_MEASURE)


def _names(engines: Sequence[NamedVehicle]) -> str:
    return listed([one.vehicle.name for one in engines])
