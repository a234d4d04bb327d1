"""In how few parts does this train go onto that traverser, sector plate, turntable or
cassette?
"""

from collections.abc import Iterator, Sequence
from typing import Annotated, Literal

import msgspec

from standage.questions.asked import AskedPlace, AskedTrain
from standage.questions.example_stock import MILK_TRAIN, SMALL_COACH
from standage.questions.question import PLAN_BYTES, Question, Shows
from standage.questions.reckoning import (
    NOT_YET,
    MayBeExact,
    Warnings,
    as_written,
    or_a_plan,
    surveying,
    warned,
)
from standage.questions.resolving.plan_roads import RoadOnPlan
from standage.questions.sources import Sources
from standage.railway.curving.verdicts import CurveVerdict
from standage.railway.roads.allowances import GIVEN, Allowance, Provenance, allowance
from standage.railway.roads.places import Place
from standage.railway.standing.spare import stand
from standage.railway.standing.suitability import reaching_of, suited
from standage.railway.standing.verdicts import (
    Finding,
    of_vehicle,
    overall,
    sorted_reasons,
)
from standage.railway.stock.coupled import Coupled, coupled
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.trains import Train
from standage.railway.storing.parts import Part, Parts, cut_out, fewest_parts
from standage.railway.terms.figures import Room, listed, says, tidy
from standage.railway.terms.reasons import Assumed, Reason, told
from standage.shapes.faults import Ruled, all_of

HEAVY_VEHICLES = 30
"""A longer train is taken apart in a process of its own."""

MOST_HEADS = 4
"""Of so many parts it is told what they begin with."""

PartsVerdict = Literal["not_at_all", "cannot_tell", "in_parts", "whole"]


class PartsRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """A train and the place it is to go onto, each inline or on record."""

    train: Annotated[AskedTrain, says("The train.")]
    place: Annotated[
        AskedPlace,
        says("The traverser, sector plate, turntable or cassette; any place will do."),
    ]
    stopping_margin_mm: Annotated[
        Room | None,
        says(
            "Room left for stopping, both ends together, in mm; the place's own, or a"
            " stated default."
        ),
    ] = None


class PartsCase(MayBeExact, frozen=True, kw_only=True):
    """All that the answer rests on."""

    train: Train
    place: Place
    known_by: Provenance = GIVEN
    on_plan: RoadOnPlan | None = None
    stopping_margin_mm: float | None = None
    types: tuple[CouplingKind, ...] = ()


class PartAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Vehicles that go on together."""

    vehicles: Annotated[tuple[str, ...], says("In order from the head.")]
    length_mm: Annotated[
        float | None, says("Pulled out, free couplings at both ends included, in mm.")
    ]
    counted_length_mm: Annotated[
        float | None,
        says(
            "The length that counts there, in mm: on a turntable from the first axle to"
            " the last."
        ),
    ]
    spare_mm: Annotated[
        float | None, says("What is left over, margin taken off, in mm.")
    ]
    plus_minus_mm: Annotated[
        float | None, says("How far off that may be, either way, in mm.")
    ]


class PartsAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The fewest parts, proved: there is no way of taking the train apart into fewer
    that stand for certain.
    """

    verdict: Annotated[
        PartsVerdict, says("Whether it goes on whole, in parts, or not at all.")
    ]
    reaching: Annotated[
        CurveVerdict,
        says("Whether every vehicle gets there, as far as the place says."),
    ]
    parts: Annotated[
        tuple[PartAnswer, ...],
        says("In order from the head; none where it does not go on for certain."),
    ]
    usable_length_mm: Annotated[
        float | None, says("The usable length of the place, in mm.")
    ]
    stopping_margin_mm: Annotated[
        float, says("What was taken off for stopping, both ends together, in mm.")
    ]
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    warnings: Warnings = NOT_YET


def is_heavy(case: PartsCase) -> bool:
    """Tell whether there are many ways of taking the train apart."""
    return sum(vehicle.count for vehicle in case.train.vehicles) > HEAVY_VEHICLES


@surveying
@warned
def reckon(case: PartsCase) -> PartsAnswer:
    """Return the train of ``case`` in the fewest parts that stand in its place for
    certain.

    A vehicle that is known not to get there goes into no part.
    """
    types = CouplingTypes(case.types)
    train = coupled(case.train, types=types)
    given = allowance(
        case.place, known_by=case.known_by, stopping_margin_mm=case.stopping_margin_mm
    )
    suits = {
        member.vehicle: suited(member.vehicle, case.place, types=types)
        for member in train.members
    }
    unfit = {
        place: overall(suits[one.vehicle].findings)
        for place, one in enumerate(train.members)
        if suits[one.vehicle].barred
    }
    found = fewest_parts(train, case.place, given, unfit=unfit)
    against = [finding for one in suits.values() for finding in one.against()]
    guesses = (
        *train.guesses(),
        *(guess for one in suits.values() for guess in one.guesses),
    )
    return PartsAnswer(
        verdict=_verdict(found),
        reaching=reaching_of(suits.values()),
        parts=tuple(map(_part, found.parts or ())),
        usable_length_mm=given.usable_mm,
        stopping_margin_mm=given.margin_mm,
        because=tuple(
            _because(
                case,
                train,
                given,
                found,
                against,
            )
        ),
        assumed=(*told(guesses), *given.assumed),
    )


def _verdict(found: Parts) -> PartsVerdict:
    if found.parts is not None:
        if len(found.parts) == 1:
            return "whole"
        return "in_parts"
    if found.verdict == "does_not_fit":
        return "not_at_all"
    return "cannot_tell"


def _part(part: Part) -> PartAnswer:
    length_mm, counted = part.train.pulled_out().length_mm, part.stood.counted
    counted_mm = None if counted is None else counted.length_mm
    return PartAnswer(
        vehicles=tuple(member.name for member in part.train.members),
        length_mm=None if length_mm is None else tidy(length_mm),
        counted_length_mm=None if counted_mm is None else tidy(counted_mm),
        spare_mm=part.stood.fit.spare_mm,
        plus_minus_mm=part.stood.fit.plus_minus_mm,
    )


def _because(
    case: PartsCase,
    train: Coupled,
    given: Allowance,
    found: Parts,
    against: list[Finding],
) -> Iterator[Reason]:
    if found.parts is None:
        stuck = found.stuck or 0
        alone = stand(cut_out(train, first=stuck, last=stuck), case.place, given)
        name = train.members[stuck].name
        yield from sorted_reasons(
            (
                *against,
                *(
                    of_vehicle(one, name)
                    for one in alone.findings
                    if one.verdict != "fits"
                ),
            )
        )
    elif len(found.parts) == 1:
        yield from sorted_reasons((*against, *found.parts[0].stood.findings))
    else:
        heads = _heads(found.parts)
        # Fewer may do where a length is in doubt; the parts are the fewest that stand
        # for certain.
        fewest = f"{len(found.parts)} parts, in no fewer for certain"
        message = f"it goes onto {given.place} in {fewest}; they begin with {heads}"
        yield Reason(code="in_parts", message=message, place=given.place)
        yield from sorted_reasons(against)


def _heads(parts: Sequence[Part]) -> str:
    """Return what the first few parts begin with: of many like parts the names alone
    would fill the line.
    """
    names = [part.train.members[0].name for part in parts]
    rest = len(names) - MOST_HEADS
    if rest <= 0:
        return listed(names)
    first_few = ", ".join(names[:MOST_HEADS])
    return f"{first_few} and {rest} more"


@as_written
def gather(sources: Sources, request: PartsRequest) -> PartsCase:
    """Return the case that a request makes, with all it names on record resolved."""
    train, place = all_of(
        lambda: sources.trains.of(request.train, "/train"),
        lambda: sources.places.of(request.place, "/place"),
    )
    return PartsCase(
        train=train,
        place=place.place,
        known_by=place.known_by,
        on_plan=place.on_plan,
        stopping_margin_mm=request.stopping_margin_mm,
        types=sources.couplings.types(),
    )


_PLATE = {"name": "Sector plate", "usable_length_mm": 320}
QUESTION = Question(
    id="checkParts",
    at="/v1/checks/parts",
    asks="In how few parts does a train go onto a traverser?",
    tells=(
        "Onto a traverser, a sector plate, a turntable or a cassette, part after part,"
        " its vehicles in order: the fewest parts, proved, with what each leaves over."
    ),
    request=PartsRequest,
    answer=PartsAnswer,
    gather=gather,
    reckon=reckon,
    heavy=or_a_plan(is_heavy),
    most_bytes=PLAN_BYTES,
    example={"train": MILK_TRAIN, "place": {**_PLATE, "kind": "sector_plate"}},
    refused={"train": MILK_TRAIN, "place": {"usable_length_mm": 320}},
    warns=Shows("unit", "length_mm", {"train": {"vehicles": [SMALL_COACH]}}),
)
