"""Where a train stands clear on each leg of one set of points, a crossing or a slip."""

from collections.abc import Iterator
from typing import Annotated, Literal

import msgspec
from msgspec.structs import replace

from standage.questions.plan import MALT_HOUSE, PLAN_BYTES
from standage.questions.plan_reasons import (
    point_assumed,
    spacing_words,
    straight_reasons,
    unknown_leg,
)
from standage.questions.plan_report import ToldLeg, told_fouling
from standage.questions.question import NeverWarns, Question, always
from standage.questions.sources import Sources
from standage.railway.terms.figures import Length, says
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.track.fouling.fouling import FoulingPoint, Rules, fouling_point
from standage.railway.track.fouling.spacings import Spacing, spacing_of
from standage.railway.track.network.network import network
from standage.railway.track.placing.placing import placing
from standage.railway.track.plans.flat import Flat, flattened
from standage.railway.track.plans.near_names import NearNames, did_you_mean
from standage.railway.track.plans.plan import AnyName, Plan
from standage.shapes.faults import Fault, Faulty, Ruled

FoulingVerdict = Literal["clear", "too_close", "cannot_tell"]


class FoulingPointRequest(Ruled, frozen=True, kw_only=True):
    """Points of a plan, and how far apart tracks are to be."""

    plan: Annotated[Plan, says("The plan.")]
    points: Annotated[AnyName, says("The points, crossing or slip, by its name.")]
    spacing_mm: Annotated[
        Length | None,
        says(
            "Between centre lines where trains just pass, in mm; the plan's if not"
            " said, else its scale's."
        ),
    ] = None


class FoulingPointCase(msgspec.Struct, frozen=True, kw_only=True):
    """All that an answer rests on."""

    plan: Plan
    points: str
    spacing_mm: float | None = None


class FoulingPointAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The fouling point of each leg, and the mark to paint, which joins the first two.

    ``too_close`` where the tracks run on too near each other for trains to pass.
    """

    verdict: FoulingVerdict
    points: str
    legs: tuple[ToldLeg, ...]
    mark_length_mm: float | None
    spacing_mm: float | None
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]


def gather(_sources: Sources, request: FoulingPointRequest) -> FoulingPointCase:
    """Return the case; raises ``Faulty`` where the plan has no such points."""
    flat = flattened(request.plan)
    fault = _amiss(flat, request.points)
    if fault is not None:
        raise Faulty([fault])
    return FoulingPointCase(
        plan=request.plan, points=request.points, spacing_mm=request.spacing_mm
    )


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
    return FoulingPointAnswer(
        verdict=_verdict(told.legs),
        points=told.points,
        legs=told.legs,
        mark_length_mm=told.mark_length_mm,
        spacing_mm=told.spacing_mm,
        because=tuple(_because(point, told.legs)),
        assumed=tuple(_assumed(plan, spacing, point)),
    )


def _verdict(legs: tuple[ToldLeg, ...]) -> FoulingVerdict:
    if any(leg.too_close for leg in legs):
        return "too_close"
    is_known = all(leg.from_blades_mm is not None for leg in legs)
    return "clear" if is_known else "cannot_tell"


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
        " joins the two."
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
