"""Where a train stands clear on each leg of one set of points, a crossing or a slip."""

from collections.abc import Iterable, Iterator
from typing import Annotated

import msgspec
from msgspec.structs import replace

from standage.questions.asked import AskedVehicle
from standage.questions.fouling_stock import (
    DecidingStock,
    FoulingVerdict,
    MetStock,
    judged_stock,
)
from standage.questions.plan import MALT_HOUSE
from standage.questions.plan_reasons import (
    point_assumed,
    spacing_words,
    straight_reasons,
    unknown_leg,
)
from standage.questions.plan_report import ToldLeg, told_fouling
from standage.questions.question import PLAN_BYTES, NeverWarns, Question, always
from standage.questions.reckoning import MayBeExact, as_written, said_exact
from standage.questions.sources import Sources
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.terms.figures import Length, Room, listed, says
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.track.fouling.fouling import FoulingPoint, Rules, fouling_point
from standage.railway.track.fouling.spacings import Spacing, spacing_of
from standage.railway.track.fouling.stock_bodies import BodyEnd
from standage.railway.track.network.network import Network, network
from standage.railway.track.placing.placing import placing
from standage.railway.track.plans.flat import Flat, flattened
from standage.railway.track.plans.near_names import NearNames, did_you_mean
from standage.railway.track.plans.plan import AnyName, Plan
from standage.shapes.faults import Fault, Faulty, Ruled


class StandingStock(Ruled, frozen=True, kw_only=True):
    """The vehicle that stands on a leg."""

    leg: Annotated[AnyName, says("The leg that it stands on: through, branch, a1 …")]
    vehicle: Annotated[AskedVehicle, says("The vehicle.")]
    end_towards_blades: Annotated[
        BodyEnd | None,
        says("Which of its ends is nearer the blades; the worse if not said."),
    ] = None


class MovingStock(Ruled, frozen=True, kw_only=True):
    """The vehicle that moves over the whole other way."""

    vehicle: Annotated[AskedVehicle, says("The vehicle.")]
    end_towards_blades: Annotated[
        BodyEnd | None,
        says(
            "Which of its ends is nearer the blades when it is beyond them; the worse"
            " if not said."
        ),
    ] = None


class FoulingPointRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """Points of a plan, and how far apart tracks are to be, or what stands and moves."""

    plan: Annotated[Plan, says("The plan.")]
    points: Annotated[AnyName, says("The points, crossing or slip, by its name.")]
    spacing_mm: Annotated[
        Length | None,
        says(
            "Between centre lines where trains just pass, in mm; the plan's if not"
            " said, else its scale's."
        ),
    ] = None
    standing: Annotated[
        StandingStock | None,
        says("What stands on a leg, to find the point by stock and not by spacing."),
    ] = None
    moving: Annotated[
        MovingStock | None, says("What moves over the other way while that stands.")
    ] = None
    margin_mm: Annotated[
        Room | None,
        says(
            "What must be left between the two, in mm; an eighth of the gauge if not"
            " said."
        ),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """What stands and what moves go together, and leave no room for a spacing."""
        if self.standing is None and self.moving is None:
            if self.margin_mm is not None:
                message = "goes with standing and moving: say what stands and moves"
                yield Fault(
                    code="one_or_the_other", message=message, pointer="/margin_mm"
                )
            return
        for field in ("standing", "moving"):
            if getattr(self, field) is None:
                message = f"{field} is missing: say what stands and what moves"
                yield Fault(code="missing", message=message, pointer=f"/{field}")
        if self.spacing_mm is not None:
            message = "is not for standing and moving: leave it out, or both of those"
            yield Fault(code="one_or_the_other", message=message, pointer="/spacing_mm")


class FoulingPointCase(MayBeExact, frozen=True, kw_only=True):
    """All that an answer rests on; ``types`` are the club's couplings."""

    plan: Plan
    points: str
    spacing_mm: float | None = None
    met: MetStock | None = None
    types: tuple[CouplingKind, ...] = ()


class FoulingPointAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The fouling point of each leg, and the mark to paint, which joins the first two.

    By stock, that of the leg on which the vehicle stands, and which way round the two
    decided it. ``too_close`` where the tracks run on too near each other for trains to
    pass.
    """

    verdict: FoulingVerdict
    points: str
    legs: tuple[ToldLeg, ...]
    mark_length_mm: float | None
    spacing_mm: float | None
    margin_mm: float | None
    standing: DecidingStock | None
    moving: DecidingStock | None
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]


@as_written
def gather(sources: Sources, request: FoulingPointRequest) -> FoulingPointCase:
    """Return the case; raises ``Faulty`` where the plan has no such points or leg."""
    flat = flattened(request.plan)
    fault = _amiss(flat, request.points) or _leg_amiss(flat, request)
    if fault is not None:
        raise Faulty([fault])
    case = FoulingPointCase(
        plan=request.plan, points=request.points, spacing_mm=request.spacing_mm
    )
    standing, moving = request.standing, request.moving
    if standing is None or moving is None:
        return case
    met = MetStock(
        leg=standing.leg,
        standing=sources.trains.vehicle(standing.vehicle, "/standing/vehicle"),
        standing_end=standing.end_towards_blades,
        moving=sources.trains.vehicle(moving.vehicle, "/moving/vehicle"),
        moving_end=moving.end_towards_blades,
        margin_mm=request.margin_mm,
    )
    return replace(case, met=met, types=sources.couplings.types())


def _amiss(flat: Flat, name: str) -> Fault | None:
    shape = flat.shapes.get(name)
    if shape is None:
        hint = did_you_mean(NearNames(flat.pieces).near(name))
        message = f"there is no piece {name}{hint}"
        return Fault(
            code="unknown_piece",
            message=message,
            pointer="/points",
        )
    if not shape.pairs:
        message = f"{name} has no two ways that part from each other"
        return Fault(
            code="no_points",
            message=message,
            pointer="/points",
        )
    return None


def _leg_amiss(flat: Flat, request: FoulingPointRequest) -> Fault | None:
    if request.standing is None:
        return None
    legs = dict.fromkeys(
        leg for pair in flat.shapes[request.points].pairs for leg in pair
    )
    leg = request.standing.leg
    if leg in legs:
        return None
    message = f"{request.points} has no leg {leg}; it has {listed(list(legs))}"
    return Fault(
        code="unknown_leg",
        message=message,
        pointer="/standing/leg",
    )


def reckon(case: FoulingPointCase) -> FoulingPointAnswer:
    """Return where trains stand clear on every leg of the points of ``case``."""
    plan = case.plan
    if case.spacing_mm is not None:
        plan = replace(plan, fouling_spacing_mm=case.spacing_mm)
    spacing = spacing_of(plan)
    placed = placing(plan)
    laid = network(placed.flat, placed.shapes)
    rules = Rules(spacing=spacing, gauge_mm=plan.laid_gauge_mm)
    point = fouling_point(laid, case.points, rules)
    told = told_fouling(laid, plan, point)
    if case.met is not None:
        return _by_stock(case, case.met, laid, point)
    return FoulingPointAnswer(
        verdict=_verdict(told.legs),
        points=told.points,
        legs=told.legs,
        mark_length_mm=told.mark_length_mm,
        spacing_mm=told.spacing_mm,
        margin_mm=None,
        standing=None,
        moving=None,
        because=tuple(_because(point, told.legs)),
        assumed=tuple(_assumed(plan, spacing, point)),
    )


def _by_stock(
    case: FoulingPointCase, met: MetStock, laid: Network, point: FoulingPoint
) -> FoulingPointAnswer:
    """Return the point of the leg on which a vehicle stands, by what it meets there."""
    judged = judged_stock(case.plan, laid, point, met, CouplingTypes(case.types))
    return FoulingPointAnswer(
        verdict=judged.verdict,
        points=case.points,
        legs=(judged.leg,),
        mark_length_mm=None,
        spacing_mm=None,
        margin_mm=judged.margin_mm,
        standing=judged.standing,
        moving=judged.moving,
        because=judged.because,
        assumed=(*judged.assumed, *said_exact(case)),
    )


def _verdict(legs: tuple[ToldLeg, ...]) -> FoulingVerdict:
    if any(leg.too_close for leg in legs):
        return "too_close"
    is_known = all(leg.from_blades_mm is not None for leg in legs)
    if is_known:
        return "clear"
    return "cannot_tell"


def _because(point: FoulingPoint, legs: tuple[ToldLeg, ...]) -> Iterator[Reason]:
    for leg in point.legs:
        if leg.farthest.from_blades_mm is None:
            yield unknown_leg(leg.farthest)
    yield from straight_reasons(point)
    for told in legs:
        if told.too_close:
            message = (
                f"{point.points}: beyond its {told.leg} the tracks are too close all"
                " along"
            )
            yield Reason(code="too_close", message=message)
        elif told.from_blades_mm is not None:
            message = (
                f"a train on {point.points}'s {told.leg} stands clear"
                f" {told.from_blades_mm:.0f} mm from the blades"
            )
            yield Reason(
                code="fouling_point", message=message, value_mm=told.from_blades_mm
            )


def _assumed(
    plan: Plan, spacing: Spacing | None, point: FoulingPoint
) -> Iterator[Assumed]:
    if spacing is not None:
        yield from spacing_words(plan, spacing)
    yield from point_assumed(point)


QUESTION = Question(
    id="checkFoulingPoint",
    at="/v1/checks/fouling-point",
    asks="Where is a train clear on each leg of points?",
    tells=(
        "Measured from the blades along each leg, over every way on; the mark to paint"
        " joins the two. With what stands and what moves, where the one is clear of"
        " everything that the other sweeps."
    ),
    request=FoulingPointRequest,
    answer=FoulingPointAnswer,
    gather=gather,
    reckon=reckon,
    heavy=always,
    most_bytes=PLAN_BYTES,
    example={"plan": MALT_HOUSE, "points": "P1"},
    refused={"plan": MALT_HOUSE, "points": "P2"},
    warns=NeverWarns("a plan's figures have every size, and a spacing is told back"),
)
