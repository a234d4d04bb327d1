"""What is said where a vehicle stands on a leg of points while another passes."""

from collections.abc import Iterable, Iterator
from math import inf
from typing import Annotated, Literal, NamedTuple

import msgspec

from standage.questions.plan_reasons import point_assumed
from standage.questions.plan_report import ToldLeg, told_leg
from standage.railway.passing.fouling_stock import fouling_stock
from standage.railway.passing.passers import (
    PassingStock,
    at_their_widest,
    passing_stock,
)
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import millimetres, says, tidy
from standage.railway.terms.reasons import Assumed, Reason, named_once, told
from standage.railway.track.fouling.by_stock import StockLimit, stock_limit
from standage.railway.track.fouling.fouling import FoulingPoint, LegFouling, Reach
from standage.railway.track.fouling.stock_bodies import BodyEnd, Clearance, Stock
from standage.railway.track.network.network import Network
from standage.railway.track.plans.plan import Plan

FoulingVerdict = Literal["clear", "too_close", "cannot_tell"]
MARGIN_OF_GAUGE = 8
"""The margin is the gauge divided by this, unless given. **Source** common practice."""


class MetStock(msgspec.Struct, frozen=True, kw_only=True):
    """What stands on which leg, and what moves past it; None for either end."""

    leg: str
    standing: Vehicle
    moving: Vehicle
    standing_end: BodyEnd | None = None
    moving_end: BodyEnd | None = None
    margin_mm: float | None = None


class DecidingStock(msgspec.Struct, frozen=True, kw_only=True):
    """A vehicle that decided, and which way round it did."""

    vehicle: str
    end_towards_blades: Annotated[
        BodyEnd | None, says("Null where both its ends are alike.")
    ]


class JudgedStock(NamedTuple):
    """What is answered of the leg on which a vehicle stands."""

    verdict: FoulingVerdict
    leg: ToldLeg
    margin_mm: float
    standing: DecidingStock
    moving: DecidingStock
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]


class _Known(NamedTuple):
    """The two vehicles as far as they are known."""

    standing: PassingStock
    moving: PassingStock

    @property
    def names(self) -> tuple[str, str]:
        return self.standing.vehicle.name, self.moving.vehicle.name


def judged_stock(
    plan: Plan,
    network: Network,
    point: FoulingPoint,
    met: MetStock,
    types: CouplingTypes,
) -> JudgedStock:
    """Return where a vehicle stands clear on a leg, with what that rests on."""
    known = _Known(*_passing(plan, (met.standing, met.moving), types))
    margin_mm, margin_assumed = _margin(plan, met)
    lacks = [lack for one in known for lack in one.lacks(straight=False)]
    standing = fouling_stock(known.standing, met.standing_end)
    moving = fouling_stock(known.moving, met.moving_end)
    limit = StockLimit(outcome="no_shape")
    if standing is not None and moving is not None:
        wanted = Clearance(
            leg=met.leg, standing=standing, moving=moving, margin_mm=margin_mm
        )
        limit = stock_limit(network, point.points, wanted)
        lacks.append(
            _reason(
                point.points,
                met.leg,
                known,
                limit,
            )
        )
    reach = _reach(point, met.leg, limit)
    leg = LegFouling(
        leg=met.leg,
        farthest=reach,
    )
    told_guesses = told(guess for one in known for guess in one.guesses)
    by_way = (
        *point_assumed(msgspec.structs.replace(point, legs=(leg,))),
        *_taken_on(point.points, limit),
    )
    return JudgedStock(
        verdict=_verdict(limit),
        leg=told_leg(network, plan, leg),
        margin_mm=margin_mm,
        standing=_deciding(known.standing, standing, limit.standing_end),
        moving=_deciding(known.moving, moving, limit.moving_end),
        because=named_once(lacks),
        assumed=(*margin_assumed, *told_guesses, *by_way),
    )


def _passing(
    plan: Plan, vehicles: Iterable[Vehicle], types: CouplingTypes
) -> Iterator[PassingStock]:
    """Yield what is known of each vehicle, also of two that are alike."""
    for vehicle in vehicles:
        alone = passing_stock(
            (vehicle,),
            scale=plan.scale,
            types=types,
        )
        for known in alone:
            yield at_their_widest(known)


def _margin(plan: Plan, met: MetStock) -> tuple[float, tuple[Assumed, ...]]:
    if met.margin_mm is not None:
        return met.margin_mm, ()
    gauge_mm = plan.laid_gauge_mm
    margin_mm = tidy((gauge_mm or 0.0) / MARGIN_OF_GAUGE)
    message = (
        f"the margin is taken to be an eighth of the gauge of {gauge_mm:g} mm:"
        f" {margin_mm:.2f} mm"
        if gauge_mm is not None
        else "neither a margin nor a scale is given: a margin of 0 mm"
    )
    assumed = Assumed(
        field="margin_mm", message=message, source="default", value_mm=margin_mm
    )
    return margin_mm, (assumed,)


def _verdict(limit: StockLimit) -> FoulingVerdict:
    if limit.outcome in {"clear", "too_close"}:
        if limit.outcome == "clear":
            return "clear"
        return "too_close"
    return "cannot_tell"


def _reach(point: FoulingPoint, leg: str, limit: StockLimit) -> Reach:
    """Return the limit as those by spacing are told, with how far it is from the
    nose."""
    from_blades_mm = limit.from_blades_mm
    nose_mm = _nose_mm(point, leg)
    from_nose_mm = None
    if nose_mm is not None and from_blades_mm is not None:
        from_nose_mm = from_blades_mm - nose_mm
    return Reach(
        points=point.points,
        leg=leg,
        courses=limit.courses,
        along_mm=limit.along_mm,
        from_blades_mm=from_blades_mm,
        by="stock",
        other=limit.other or "",
        from_nose_mm=from_nose_mm,
        runs_off_the_end=limit.runs_off_the_end,
    )


def _nose_mm(point: FoulingPoint, leg: str) -> float | None:
    """Return how far from the blades the nose is, as the point by spacing has it."""
    for one in point.legs:
        reach = one.farthest
        if one.leg != leg or reach.from_blades_mm is None:
            continue
        if reach.from_nose_mm is not None and reach.from_blades_mm < inf:
            return reach.from_blades_mm - reach.from_nose_mm
    return None


def _deciding(
    known: PassingStock, stock: Stock | None, end: BodyEnd | None
) -> DecidingStock:
    is_alike = stock is not None and stock.end is None and stock.is_alike_both_ways
    return DecidingStock(
        vehicle=known.vehicle.name,
        end_towards_blades=None if is_alike else end,
    )


def _reason(points: str, leg: str, known: _Known, limit: StockLimit) -> Reason:
    standing, moving = known.names
    if limit.outcome == "clear":
        return _clear(points, leg, known, limit)
    if limit.outcome == "too_close":
        message = (
            f"{standing} on {points}'s {leg} is in the way of {moving} on its"
            f" {limit.other} all along"
        )
        return Reason(
            code="too_close", message=message, vehicle=standing, other_vehicle=moving
        )
    if limit.outcome in {"cannot_stand", "cannot_move"}:
        is_standing = limit.outcome == "cannot_stand"
        name = standing if is_standing else moving
        way = leg if is_standing else limit.other
        message = (
            f"{name} cannot stand all along {points}'s {way}: a curve there is too"
            " sharp for its wheels"
        )
        return Reason(code="cannot_stand", message=message, vehicle=name)
    return Reason(
        code="missing_figure" if limit.outcome == "no_shape" else limit.outcome,
        message=_cannot_tell(points, leg, limit),
        field=limit.because,
    )


def _cannot_tell(points: str, leg: str, limit: StockLimit) -> str:
    what = f"{points}: where a vehicle on its {leg} stands clear cannot be told"
    if limit.outcome == "trap":
        return f"{points}: its {leg} leads to a trap, and nothing stands there"
    if limit.outcome == "too_much":
        return f"{what}: there is too much track to try; measure it"
    if limit.because == points:
        return f"{what}: give its radius and angle"
    return f"{what}, since the shape of {limit.because} is not known"


def _clear(points: str, leg: str, known: _Known, limit: StockLimit) -> Reason:
    standing, moving = known.names
    from_blades_mm = limit.from_blades_mm or 0.0
    message = (
        f"{standing} on {points}'s {leg} stands clear of {moving}"
        f" {millimetres(from_blades_mm)} from the blades"
    )
    return Reason(
        code="fouling_point",
        message=message,
        vehicle=standing,
        other_vehicle=moving,
        value_mm=tidy(from_blades_mm),
    )


def _taken_on(points: str, limit: StockLimit) -> Iterator[Assumed]:
    if limit.taken_on is None or limit.outcome != "clear":
        return
    message = (
        f"beyond {limit.taken_on}, whose shape is not known, the ways out of {points}"
        " are taken to stay apart"
    )
    yield Assumed(field=f"pieces/{limit.taken_on}", message=message, source="default")
