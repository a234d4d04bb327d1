"""On how sharp a curve does this stock just run?"""

from collections.abc import Iterable, Iterator, Sequence
from typing import Annotated, Literal

import msgspec

from standage.questions.asked import AskedTrain, Vehicles
from standage.questions.example_stock import MILK_TRAIN, MILK_VAN, SMALL_COACH
from standage.questions.question import Question, Shows
from standage.questions.reckoning import (
    NOT_YET,
    MayBeExact,
    Warnings,
    as_written,
    warned,
)
from standage.questions.sources import Sources
from standage.railway.curving.joint_radii import JointRadii, joint_radii
from standage.railway.curving.least_radii import (
    LeastRadius,
    RadiusRule,
    least_radius,
)
from standage.railway.curving.published_radii import RadiusByTable, published_radii
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.vehicles import Standing
from standage.railway.terms.figures import LONGEST_MM, exceeds, says
from standage.railway.terms.reasons import Assumed, Reason, named_once, told
from standage.shapes.faults import Fault, Ruled

LeastRadiusVerdict = Literal["found", "none", "cannot_tell"]
Couplings = Literal["all", "in_part", "none"]


class LeastRadiusRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """Which vehicles, each by itself, or which train."""

    vehicles: Annotated[
        Vehicles | None, says("The vehicles in question, each by itself.")
    ] = None
    train: Annotated[
        AskedTrain | None,
        says("A train instead, whose couplings are tried where enough is known."),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """Either vehicles or a train."""
        if self.vehicles is None and self.train is None:
            message = "give vehicles or train"
            yield Fault(code="missing", message=message, pointer="/vehicles")
        elif self.vehicles is not None and self.train is not None:
            message = "give vehicles or train, not both"
            yield Fault(code="one_or_the_other", message=message, pointer="/train")


class LeastRadiusCase(MayBeExact, frozen=True, kw_only=True):
    """All that the answer rests on. ``types`` are the club's own couplings."""

    vehicles: tuple[Standing, ...]
    coupled: bool = False
    types: tuple[CouplingKind, ...] = ()


class LeastRadiusAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The least radius on which all of them run, and what each rule asks for."""

    verdict: Annotated[
        LeastRadiusVerdict,
        says("Whether there is one; none: not even a kilometre will do."),
    ]
    radius_mm: Annotated[
        float | None,
        says("From this radius on, to the centre line, they run."),
    ]
    at_least_mm: Annotated[float, says("What they ask for by all that is known.")]
    by: Annotated[
        tuple[RadiusRule, ...],
        says("What each rule asks for, the one that decides first."),
    ]
    couplings: Annotated[
        Couplings,
        says("Whether a train's couplings were tried."),
    ]
    by_table: Annotated[
        tuple[RadiusByTable, ...], says("What published tables say of least radii.")
    ]
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    warnings: Warnings = NOT_YET


@warned
def reckon(case: LeastRadiusCase) -> LeastRadiusAnswer:
    """Return the least radius on which every vehicle of ``case`` runs, and every joint
    of a train as far as it can be told.
    """
    types = CouplingTypes(case.types)
    alone = _alone(case.vehicles, types, by_length=True)
    joints = JointRadii()
    if case.coupled:
        bare = _alone(case.vehicles, types, by_length=False)
        from_mm = _largest_mm(_counting(bare))
        joints = joint_radii(case.vehicles, types=types, from_mm=from_mm)
        if joints.rules and joints.all_swept:
            # the joints are better evidence than the vehicles' lengths
            alone = bare
    rules = [rule for one in alone for rule in one.rules] + [*joints.rules]
    rules.sort(key=lambda rule: (not rule.counts, -rule.radius_mm))
    at_least_mm = _largest_mm(rule for rule in rules if rule.counts)
    missing = tuple(reason for one in alone for reason in one.because)
    never = joints.never + tuple(_too_large(rules))
    known = not missing and not never
    radius_mm = at_least_mm if known and at_least_mm > 0 else None
    return LeastRadiusAnswer(
        verdict=_verdict(radius_mm, never),
        radius_mm=radius_mm,
        at_least_mm=at_least_mm,
        by=tuple(rules),
        couplings=_couplings(joints),
        by_table=published_radii(case.vehicles, types=types, radius_mm=radius_mm),
        because=named_once(
            (*never, *missing, *_deciding(rules, known=known), *_not_tried(joints))
        ),
        assumed=_assumed(alone, joints),
    )


def _alone(
    vehicles: Sequence[Standing], types: CouplingTypes, *, by_length: bool
) -> tuple[LeastRadius, ...]:
    """Return each different vehicle's least radius by itself."""
    single = (
        msgspec.structs.replace(vehicle, count=1, reversed=False)
        for vehicle in vehicles
    )
    return tuple(
        least_radius(vehicle, types=types, by_length=by_length)
        for vehicle in dict.fromkeys(single)
    )


def _counting(alone: Iterable[LeastRadius]) -> Iterator[RadiusRule]:
    for one in alone:
        yield from (rule for rule in one.rules if rule.counts)


def _largest_mm(rules: Iterable[RadiusRule]) -> float:
    return max((rule.radius_mm for rule in rules), default=0.0)


def _too_large(rules: Iterable[RadiusRule]) -> Iterator[Reason]:
    for rule in rules:
        if rule.counts and exceeds(rule.radius_mm, limit=LONGEST_MM):
            message = f"{rule.message}: no curve here is easier than a kilometre"
            yield _reason("no_curve_so_easy", rule, message)


def _verdict(radius_mm: float | None, never: Sequence[Reason]) -> LeastRadiusVerdict:
    if never:
        return "none"
    return "cannot_tell" if radius_mm is None else "found"


def _couplings(joints: JointRadii) -> Couplings:
    if not joints.rules:
        return "none"
    return "all" if joints.all_swept else "in_part"


def _deciding(rules: Sequence[RadiusRule], *, known: bool) -> Iterator[Reason]:
    """Yield the rules that ask for the most, of those by which a curve is judged."""
    code = "decides" if known else "at_least"
    counting = [rule for rule in rules if rule.counts]
    most_mm = _largest_mm(counting)
    for rule in counting:
        if rule.radius_mm == most_mm:
            yield _reason(code, rule, rule.message)


def _not_tried(joints: JointRadii) -> Iterator[Reason]:
    if joints.unknown and not joints.never:
        message = (
            "not every coupling could be tried on a curve, for want of figures: the"
            " radius rests on lengths where it could not"
        )
        yield Reason(code="couplings_not_tried", message=message)
    yield from joints.unknown


def _reason(code: str, rule: RadiusRule, message: str) -> Reason:
    return Reason(
        code=code,
        message=message,
        vehicle=rule.vehicle,
        other_vehicle=rule.other_vehicle,
        value_mm=rule.radius_mm,
    )


def _assumed(alone: Iterable[LeastRadius], joints: JointRadii) -> tuple[Assumed, ...]:
    of_vehicles = told(guess for one in alone for guess in one.guesses)
    return tuple(dict.fromkeys((*of_vehicles, *joints.assumed)))


@as_written
def gather(sources: Sources, request: LeastRadiusRequest) -> LeastRadiusCase:
    """Return the case that a request makes, with all it names on record resolved."""
    types = sources.couplings.types()
    if request.train is not None:
        train = sources.trains.of(request.train, "/train")
        return LeastRadiusCase(vehicles=train.vehicles, coupled=True, types=types)
    vehicles = sources.trains.vehicles(request.vehicles or (), "/vehicles")
    return LeastRadiusCase(vehicles=vehicles, types=types)


def is_heavy(case: LeastRadiusCase) -> bool:
    """Tell whether joints are swept: each may take a second or two."""
    return case.coupled


QUESTION = Question(
    id="checkLeastRadius",
    at="/v1/checks/least-radius",
    asks="On how sharp a curve does this stock just run?",
    tells=("What each rule asks for; the largest by which a curve is judged decides."),
    request=LeastRadiusRequest,
    answer=LeastRadiusAnswer,
    gather=gather,
    reckon=reckon,
    heavy=is_heavy,
    example={"vehicles": [MILK_VAN]},
    refused={"vehicles": [MILK_VAN], "train": MILK_TRAIN},
    warns=Shows("unit", "length_mm", {"vehicles": [SMALL_COACH]}),
)
