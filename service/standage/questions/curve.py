"""Whether stock goes round a curve, and how far it stands out there."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Annotated

import msgspec

from standage.questions.asked import Vehicles
from standage.questions.example_stock import COACH
from standage.questions.question import OnRecord, Question, Shows
from standage.questions.reckoning import (
    NOT_YET,
    MayBeExact,
    Warnings,
    as_written,
    warned,
)
from standage.questions.sources import Sources
from standage.railway.curving.curves import OnCurve, Weighed, weigh
from standage.railway.curving.joints_on_curves import (
    JointOnCurve,
    couplings_on_curve,
    joints_on_curve,
)
from standage.railway.curving.straights import (
    Straight,
    StraightBy,
    straight_needed,
)
from standage.railway.curving.verdicts import WORST_FIRST, CurveVerdict
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.vehicles import Standing
from standage.railway.terms.figures import RadiusMm, Room, Tolerance, says
from standage.railway.terms.reasons import Assumed, Reason, named_once, told, worst
from standage.railway.terms.senses import ITSELF
from standage.railway.track.paths.alignment import Alignment
from standage.shapes.faults import Fault, Ruled


class AskedCurve(Alignment, frozen=True, kw_only=True):
    """A curve of one radius, by itself or followed by one the other way."""

    radius_plus_minus_mm: Annotated[
        Tolerance | None,
        says("How far off the radius may be, either way, in mm; 0 if not said."),
    ] = None
    couplings: Annotated[
        bool,
        says(
            "Whether the vehicles are a train in order from the head, whose couplings"
            " are judged too; also where the curve is said to be reverse, or something"
            " is said of its entry."
        ),
    ] = False

    def rules(self) -> Iterable[Fault]:
        """The curve is still a curve at the sharp end of its ±."""
        yield from super().rules()
        if self.radius_plus_minus_mm is not None and self.radius_plus_minus_mm >= min(
            self.radii_mm
        ):
            message = "must be less than the radius itself"
            yield Fault(
                code="contradiction", message=message, pointer="/radius_plus_minus_mm"
            )

    @property
    def judges_couplings(self) -> bool:
        """Whether the couplings are in question."""
        return self.couplings or self.reverse or self.entry is not None


class CurveRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """Which vehicles are to go round which curve."""

    vehicles: Annotated[
        Vehicles,
        says(
            "The vehicles in question, each judged by itself; in order from the head"
            " where couplings are."
        ),
    ]
    curve: Annotated[AskedCurve, says("The curve they are to go round."), ITSELF]


class OnCurveQuery(Ruled, frozen=True, kw_only=True):
    """Which curve the stock on record is to go round."""

    radius_mm: Annotated[
        RadiusMm,
        says("The radius of the curve to the centre line of the track, in mm."),
    ]
    radius_plus_minus_mm: Annotated[
        Tolerance | None,
        says("How far off the radius may be, either way, in mm; 0 if not said."),
    ] = None

    @property
    def curve(self) -> AskedCurve:
        """The curve that is asked about."""
        return AskedCurve(**msgspec.structs.asdict(self))

    def rules(self) -> Iterable[Fault]:
        """Those of the curve."""
        return self.curve.rules()


class TrainOnCurveQuery(OnCurveQuery, frozen=True, kw_only=True):
    """Which curve, or two, the train on record is to go round."""

    couplings: Annotated[bool, says("Whether the couplings are judged too.")] = False
    reverse: Annotated[
        bool,
        says("Whether a curve the other way follows; the couplings are judged too."),
    ] = False
    reverse_radius_mm: Annotated[
        RadiusMm | None,
        says("Of the curve the other way, in mm; as sharp as the first if not given."),
    ] = None
    straight_between_mm: Annotated[
        Room | None, says("Straight between the two curves, in mm; 0 if not given.")
    ] = None


class CurveCase(MayBeExact, frozen=True, kw_only=True):
    """All that is needed to answer: the vehicles with their figures, the curve, and the
    club's own couplings.
    """

    vehicles: tuple[Standing, ...]
    curve: Annotated[AskedCurve, ITSELF]
    types: tuple[CouplingKind, ...] = ()


class CurveAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Whether all of them run; then each vehicle, in the order asked. ``because`` has
    the worst first.

    ``couplings`` has the joints from the head, if they are in question.
    ``least_straight_mm`` and ``least_radius_mm`` would cure all of those that do not
    run well; null where none is needed or none helps. The straight is by the joints as
    they are swept along it, else as long as the longest vehicle, which is a rule of
    thumb and refuses nothing. What each ``brings`` is the verdict of the whole question
    asked again with it.
    """

    verdict: CurveVerdict
    vehicles: tuple[OnCurve, ...]
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]
    couplings: tuple[JointOnCurve, ...] = ()
    least_straight_mm: int | None = None
    least_straight_by: StraightBy | None = None
    least_straight_brings: CurveVerdict | None = None
    least_radius_mm: int | None = None
    least_radius_brings: CurveVerdict | None = None
    warnings: Warnings = NOT_YET


@warned
def reckon(case: CurveCase) -> CurveAnswer:
    """Return whether every vehicle of ``case`` runs on its curve, and every joint if
    asked; like ones reckoned once.

    Of a reverse curve each vehicle is judged on the sharper of the two.
    """
    types = CouplingTypes(case.types)
    joints = (
        couplings_on_curve(case.vehicles, case.curve, types=types)
        if case.curve.judges_couplings
        else None
    )
    couplings = () if joints is None else joints.couplings
    weighed = _weighed(case, couplings, types)
    judged: list[OnCurve | JointOnCurve] = [
        *dict.fromkeys(each.answer for each in weighed),
        *couplings,
    ]
    verdict = worst((each.verdict for each in judged), order=WORST_FIRST)
    straight = Straight()
    if joints is not None:
        straight = straight_needed(case.vehicles, joints, case.curve, types=types)
    straight_mm = straight.straight_mm
    radius_mm = None if joints is None else joints.least_radius_mm
    return CurveAnswer(
        verdict=verdict,
        vehicles=tuple(each.answer for each in weighed),
        because=named_once((*_reasons(judged, verdict=verdict), *straight.because)),
        assumed=tuple(
            dict.fromkeys(
                (
                    *told(
                        guess
                        for each in dict.fromkeys(weighed)
                        for guess in each.guesses
                    ),
                    *(note for joint in couplings for note in joint.assumed),
                )
            )
        ),
        couplings=couplings,
        least_straight_mm=straight_mm,
        least_straight_by=straight.by,
        least_straight_brings=(
            None
            if straight_mm is None
            else _brings(case, case.curve.with_straight(straight_mm))
        ),
        least_radius_mm=radius_mm,
        least_radius_brings=(
            None
            if radius_mm is None
            else _brings(case, case.curve.no_sharper_than(radius_mm))
        ),
    )


def _weighed(
    case: CurveCase, couplings: Sequence[JointOnCurve], types: CouplingTypes
) -> tuple[Weighed, ...]:
    """Return each vehicle weighed; the advice by its length gives way where every joint
    it has is swept.
    """
    radius_mm, plus_minus_mm = (
        min(case.curve.radii_mm),
        case.curve.radius_plus_minus_mm or 0.0,
    )
    alone = {
        vehicle: weigh(
            vehicle,
            radius_mm=radius_mm,
            radius_plus_minus_mm=plus_minus_mm,
            types=types,
        )
        for vehicle in dict.fromkeys(case.vehicles)
    }
    found: list[Weighed] = []
    first = 0
    for vehicle in case.vehicles:
        behind = first + vehicle.count
        own = couplings[max(0, first - 1) : behind]
        found.append(_swept(alone[vehicle], own))
        first = behind
    return tuple(found)


def _swept(weighed: Weighed, joints: Sequence[JointOnCurve]) -> Weighed:
    if (
        not weighed.by_length
        or not joints
        or any(joint.pulling == "cannot_tell" for joint in joints)
    ):
        return weighed
    name = weighed.answer.name
    message = (
        f"{name} is judged by its couplings, which is better than by its length: see"
        " the joints"
    )
    reason = Reason(
        code="judged_by_couplings",
        message=message,
        vehicle=name,
        ratio=weighed.answer.ratio,
    )
    because = (
        reason,
        *(each for each in weighed.answer.because if each.code in _OF_THROWS),
    )
    answer = msgspec.structs.replace(weighed.answer, verdict="runs", because=because)
    return msgspec.structs.replace(weighed, answer=answer)


_OF_THROWS = {"missing_figure", "cannot_stand"}


def _brings(case: CurveCase, curve: Alignment) -> CurveVerdict:
    """Return the verdict of the whole question on another curve, what would cure it
    left out.
    """
    types = CouplingTypes(case.types)
    eased = msgspec.structs.replace(case, curve=curve)
    couplings = joints_on_curve(case.vehicles, curve, types=types)
    weighed = _weighed(eased, couplings, types)
    vehicles = [each.answer.verdict for each in weighed]
    joints = [joint.verdict for joint in couplings]
    return worst([*vehicles, *joints], order=WORST_FIRST)


def _overswing_deg(answer: OnCurve | JointOnCurve) -> float:
    swings = [(reason.value_deg, reason.limit_deg) for reason in answer.because]
    over = (
        value_deg - limit_deg
        for value_deg, limit_deg in swings
        if value_deg is not None and limit_deg is not None
    )
    return max(over, default=0.0)


def _reasons(
    answers: Iterable[OnCurve | JointOnCurve], *, verdict: CurveVerdict
) -> Iterator[Reason]:
    """Yield the reasons of the worst vehicles and joints first; those that run say why
    only where all run.

    Of joints with one verdict that comes first whose couplings are asked to swing
    farthest beyond what they can.
    """
    for answer in sorted(
        answers,
        key=lambda each: (WORST_FIRST.index(each.verdict), -_overswing_deg(each)),
    ):
        if answer.verdict != "runs" or verdict == "runs":
            yield from answer.because
        else:
            yield from (reason for reason in answer.because if reason.field is not None)


@as_written
def gather(sources: Sources, request: CurveRequest) -> CurveCase:
    """Return the case that a request makes, with all it names on record resolved."""
    return CurveCase(
        vehicles=sources.trains.vehicles(request.vehicles, "/vehicles"),
        curve=request.curve,
        types=sources.couplings.types(),
    )


def gather_vehicle(
    sources: Sources, ids: Mapping[str, str], query: OnCurveQuery
) -> CurveCase:
    """Return the case of one vehicle on record."""
    return CurveCase(
        vehicles=(sources.trains.vehicle_at(ids["vehicle_id"]),),
        curve=query.curve,
        types=sources.couplings.types(),
    )


def gather_train(
    sources: Sources, ids: Mapping[str, str], query: TrainOnCurveQuery
) -> CurveCase:
    """Return the case of a train on record, in its own order."""
    sources.records.read_ahead(ids["train_id"])
    return CurveCase(
        vehicles=sources.trains.at(ids["train_id"]).vehicles,
        curve=query.curve,
        types=sources.couplings.types(),
    )


def is_heavy(case: CurveCase) -> bool:
    """Tell whether couplings are in question: their cures may take seconds."""
    return case.curve.judges_couplings


QUESTION = Question(
    id="checkCurve",
    at="/v1/checks/curve",
    asks="Can this stock run on this curve?",
    tells=(
        "For each vehicle: whether it runs, and how far its middle and its ends stand"
        " out from the track's centre line."
    ),
    request=CurveRequest,
    answer=CurveAnswer,
    gather=gather,
    reckon=reckon,
    heavy=is_heavy,
    example={"vehicles": [COACH], "curve": {"radius_mm": 572}},
    refused={"vehicles": [], "curve": {"radius_mm": 0}},
    warns=Shows("unit", "radius_mm", {"curve": {"radius_mm": 24.0}}),
    others=(
        OnRecord(
            id="getVehicleCurve",
            at="/v1/vehicles/{vehicle_id}/curve",
            asks="Can a vehicle on record run on a curve?",
            tells="As the inline question, with the figures on record.",
            parameters=OnCurveQuery,
            answer=CurveAnswer,
            gather=gather_vehicle,
            reckon=reckon,
            example={"radius_mm": 438},
            refused={"radius": 438},
            warns=Shows("unit", "radius_mm", {"radius_mm": 24}),
        ),
        OnRecord(
            id="getTrainCurve",
            at="/v1/trains/{train_id}/curve",
            asks="Can a train on record run on a curve?",
            tells=(
                "As the inline question, for every vehicle of the train, and for its"
                " couplings if asked."
            ),
            parameters=TrainOnCurveQuery,
            answer=CurveAnswer,
            gather=gather_train,
            reckon=reckon,
            heavy=is_heavy,
            example={"radius_mm": 438},
            refused={"radius": 438},
            warns=Shows("unit", "radius_mm", {"radius_mm": 24}),
        ),
    ),
)
