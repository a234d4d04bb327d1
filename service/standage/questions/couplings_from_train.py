"""How far do our couplings reach, by a train that was measured?"""

from collections.abc import Iterable, Iterator
from typing import Annotated, Literal

import msgspec

from standage.questions.asked import Vehicles
from standage.questions.question import Question, Shows
from standage.questions.reckoning import (
    NOT_YET,
    MayBeExact,
    Warnings,
    as_written,
    warned,
)
from standage.questions.sources import Sources
from standage.railway.stock.coupled import Coupled, coupled
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.extents import lacking
from standage.railway.stock.measured_reach import (
    MeasuredReach,
    MeasuredTrain,
    measured_reach,
)
from standage.railway.stock.trains import Train, too_many_in_all
from standage.railway.stock.typical_reaches import farthest_typical_mm
from standage.railway.stock.vehicles import EndsOver, Standing
from standage.railway.terms.figures import (
    Tolerance,
    TrainLengthMm,
    exceeds,
    give_or_take,
    listed,
    millimetres,
    says,
    tidy,
)
from standage.railway.terms.reasons import Assumed, Reason, told
from standage.shapes.faults import Fault, Ruled

MEASURED_PLUS_MINUS_MM = 0.5
"""How far off a measured train is taken to be. **Source** common practice."""
OUR_COUPLING = "Our coupling"
_FAR = 1.5
"""So many times what is typical is far. **Source** common practice, whose scatter is
wide.
"""
_VAGUE_MM = 1.0


class CouplingsFromTrainRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """The vehicles of a train with lengths of their own, and how long it was measured
    coupled up and pulled out.
    """

    vehicles: Annotated[
        Vehicles,
        says("The vehicles in order, inline or on record, each with its own length."),
    ]
    measured_length_mm: Annotated[
        TrainLengthMm, says("Of the whole train, coupled up and pulled out, in mm.")
    ]
    length_over: Annotated[
        EndsOver,
        says(
            "What that is measured over: the outer buffers, or the pulling faces of the"
            " outer couplings."
        ),
    ]
    plus_minus_mm: Annotated[
        Tolerance | None,
        says(
            "How far off the measured length may be, either way, in mm; 0.5 if not"
            " said."
        ),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """There is at least one joint, and no more vehicles than a train may hold."""
        counts = [one.count for one in self.vehicles]
        yield from too_many_in_all(counts)
        if sum(counts) == 1:
            message = "give two vehicles or more: one by itself has no joint"
            yield Fault(
                code="too_few",
                message=message,
                pointer="/vehicles",
            )


class CouplingsFromTrainCase(MayBeExact, frozen=True, kw_only=True):
    """All that the answer rests on. ``types`` are the club's own couplings."""

    vehicles: tuple[Standing, ...]
    measured_length_mm: TrainLengthMm
    length_over: EndsOver
    plus_minus_mm: float | None = None
    types: tuple[CouplingKind, ...] = ()


class OfferedType(msgspec.Struct, frozen=True, kw_only=True):
    """A coupling type as it may be recorded."""

    name: Annotated[str, says("What it may be called; change it as you like.")]
    reach_mm: Annotated[float, says("How far it reaches, in mm.")]
    reach_plus_minus_mm: Annotated[
        float, says("How far off that may be, either way, in mm.")
    ]


class CouplingsFromTrainAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """How far each end reaches, and how that becomes the club's own figure."""

    verdict: Annotated[
        Literal["found", "cannot_tell"], says("Whether the reach could be worked out.")
    ]
    reach_mm: Annotated[
        float | None,
        says("How far each end reaches, in mm; null where that cannot be told."),
    ]
    plus_minus_mm: Annotated[
        float | None, says("How far off that may be, either way, in mm.")
    ]
    joint_mm: Annotated[
        float | None, says("The gap of one joint of two such ends, in mm.")
    ]
    ends: Annotated[int, says("How many ends share what the measured length leaves.")]
    record: Annotated[
        OfferedType | None,
        says(
            "The club's own figure: send it to POST /v1/coupling-types, or PUT it in"
            " one's place."
        ),
    ]
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    warnings: Warnings = NOT_YET


@warned
def reckon(case: CouplingsFromTrainCase) -> CouplingsFromTrainAnswer:
    """Return how far each coupling of the case's train reaches, all taken to be
    alike.
    """
    train = coupled(Train(vehicles=case.vehicles), types=CouplingTypes(case.types))
    measured = MeasuredTrain(case.measured_length_mm, case.length_over, _off_mm(case))
    found = measured_reach(train, measured)
    against = tuple(_against(train, found))
    reach_mm = None if against else found.reach_mm
    return CouplingsFromTrainAnswer(
        verdict="found" if reach_mm is not None else "cannot_tell",
        reach_mm=reach_mm,
        plus_minus_mm=None if reach_mm is None else found.plus_minus_mm,
        joint_mm=None if reach_mm is None else 2 * reach_mm,
        ends=found.ends,
        record=None if reach_mm is None else _offered(found, reach_mm),
        because=against or tuple(_because(case, found)),
        assumed=(
            *told(guess for member in train.members for guess in member.length.guesses),
            *_assumed(case),
        ),
    )


def _off_mm(case: CouplingsFromTrainCase) -> float:
    if case.plus_minus_mm is not None:
        return case.plus_minus_mm
    return 0.0 if case.exact else MEASURED_PLUS_MINUS_MM


def _against(train: Coupled, found: MeasuredReach) -> Iterator[Reason]:
    yield from lacking(found.missing)
    if not found.ends:
        message = (
            "no coupling is left to be found: every end has a reach of its own, or its"
            " vehicle is measured over its couplings; give lengths over buffers, and"
            " leave out the reach"
        )
        yield Reason(code="nothing_to_find", message=message, field="reach_mm")
    if found.reach_mm is None or found.rest_mm is None:
        return
    if exceeds(-found.reach_mm, limit=found.plus_minus_mm or 0.0):
        message = (
            f"the train was measured {millimetres(-found.rest_mm)} shorter than its"
            " vehicles together: measure them and the train again, coupled up and"
            " pulled out"
        )
        yield Reason(
            code="figures_disagree",
            message=message,
            field="measured_length_mm",
            amount_mm=-found.rest_mm,
        )
    shortest_mm = min(member.length.extent.known_mm for member in train.members)
    joint_mm = tidy(2 * found.reach_mm)
    if exceeds(joint_mm, limit=shortest_mm):
        message = (
            f"a joint would be {millimetres(joint_mm)}, longer than the shortest vehicle:"
            " is every vehicle in the list, and is the train's length right?"
        )
        yield Reason(
            code="figures_disagree",
            message=message,
            field="measured_length_mm",
            value_mm=joint_mm,
            limit_mm=shortest_mm,
        )


def _because(case: CouplingsFromTrainCase, found: MeasuredReach) -> Iterator[Reason]:
    reach_mm, off_mm = found.reach_mm or 0.0, found.plus_minus_mm or 0.0
    yield from _doubtful(case, found)
    off = give_or_take(off_mm)
    rest_mm = found.rest_mm or 0.0
    share, each = f"{found.ends} ends", "each reaches"
    if found.ends == 1:
        share, each = "1 end", "it reaches"
    message = (
        f"the measured length leaves {_signed(rest_mm)} for {share}: {each}"
        f" {_hundredths(reach_mm)}{off}, {_hundredths(2 * reach_mm)} for a joint of two"
    )
    yield Reason(
        code="reach_found", message=message, value_mm=reach_mm, amount_mm=rest_mm
    )
    if len(found.types) > 1:
        message = (
            f"{listed(found.types)} are taken to be alike: measure a train of each for"
            " a reach of each"
        )
        yield Reason(code="several_types", message=message)
    message = (
        "record it as a coupling type of the club (POST /v1/coupling-types), and name"
        " that type at the ends"
    )
    yield Reason(code="record_it", message=message)


def _doubtful(case: CouplingsFromTrainCase, found: MeasuredReach) -> Iterator[Reason]:
    """Yield why what was found is hardly of use: far from what is typical, or vague."""
    reach_mm, off_mm = found.reach_mm or 0.0, found.plus_minus_mm or 0.0
    scales = {one.scale for one in case.vehicles if one.scale is not None}
    typical_mm = [farthest_typical_mm(one) for one in scales]
    farthest_mm = max((one for one in typical_mm if one is not None), default=None)
    surely_mm = reach_mm - off_mm
    if farthest_mm is not None and exceeds(surely_mm, limit=_FAR * farthest_mm):
        message = (
            f"that is far for a coupling, where {millimetres(farthest_mm)} is much: is"
            " every vehicle in the list?"
        )
        yield Reason(
            code="far_from_typical",
            message=message,
            value_mm=reach_mm,
            limit_mm=farthest_mm,
        )
    if off_mm > max(reach_mm, _VAGUE_MM):
        message = (
            "it may be off by more than it is: measure more vehicles coupled together,"
            " and each of them more finely"
        )
        yield Reason(code="vague", message=message, value_mm=off_mm, limit_mm=reach_mm)


def _signed(rest_mm: float) -> str:
    """Return what is left, in words; less than nothing within the ±."""
    if rest_mm < 0:
        return f"{millimetres(-rest_mm)} less than nothing"
    return millimetres(rest_mm)


def _hundredths(value_mm: float) -> str:
    return f"{round(value_mm, 2) + 0.0:g} mm"


def _offered(found: MeasuredReach, reach_mm: float) -> OfferedType:
    name = found.types[0] if len(found.types) == 1 else OUR_COUPLING
    return OfferedType(
        name=name, reach_mm=reach_mm, reach_plus_minus_mm=found.plus_minus_mm or 0.0
    )


def _assumed(case: CouplingsFromTrainCase) -> Iterator[Assumed]:
    if case.plus_minus_mm is None and not case.exact:
        message = (
            "the measured train is taken as good to"
            f" {millimetres(MEASURED_PLUS_MINUS_MM)} either way"
        )
        yield Assumed(
            field="plus_minus_mm",
            message=message,
            source="default",
            plus_minus_mm=MEASURED_PLUS_MINUS_MM,
        )
    message = "all couplings whose reach is not given are taken to reach equally far"
    yield Assumed(field="reach_mm", message=message, source="default")


@as_written
def gather(
    sources: Sources, request: CouplingsFromTrainRequest
) -> CouplingsFromTrainCase:
    """Return the case that a request makes, with all it names on record resolved."""
    vehicles = sources.trains.vehicles(request.vehicles, "/vehicles")
    return CouplingsFromTrainCase(
        vehicles=vehicles,
        measured_length_mm=request.measured_length_mm,
        length_over=request.length_over,
        plus_minus_mm=request.plus_minus_mm,
        types=sources.couplings.types_of(vehicles),
    )


_ORE_WAGON = {
    "name": "Ore wagon",
    "scale": "N",
    "length_mm": 104,
    "length_over": "buffers",
}
_MEASURED = {"measured_length_mm": 1009.6, "length_over": "buffers"}
_SMALL_WAGON = {"length_mm": 10.4, "rigid_wheelbase_mm": 4.0}
QUESTION = Question(
    id="checkCouplingsFromTrain",
    at="/v1/checks/couplings-from-train",
    asks="How far do our couplings reach, by a train that was measured?",
    tells=(
        "From the vehicles' own lengths and that of the train coupled up and pulled"
        " out: the reach of each end with its ±, offered as a coupling type of the"
        " club."
    ),
    request=CouplingsFromTrainRequest,
    answer=CouplingsFromTrainAnswer,
    gather=gather,
    reckon=reckon,
    example={"vehicles": [_ORE_WAGON | {"count": 9}], **_MEASURED},
    refused={"vehicles": [_ORE_WAGON | {"count": 1}], **_MEASURED},
    warns=Shows(
        "unit",
        "length_mm",
        {"vehicles": [_ORE_WAGON | _SMALL_WAGON | {"count": 9}]},
    ),
)
