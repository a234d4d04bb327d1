"""Whether trains pass each other on two tracks side by side."""

from collections.abc import Iterable, Iterator, Sequence
from math import inf
from typing import Annotated

import msgspec

from standage.questions.asked import Vehicles
from standage.questions.sources import Sources
from standage.railway.bodies import BodyShape, shapes
from standage.railway.curves import on_curve
from standage.railway.extents import Missing
from standage.railway.faults import Ruled
from standage.railway.figures import Length, Radius, Room, says, tidy
from standage.railway.guesses import told
from standage.railway.passing import (
    Pair,
    Passer,
    PassingVerdict,
    Tracks,
    least_inner_radius_mm,
    nearest_pairs,
    spacing_needed_mm,
    verdict_of,
)
from standage.railway.reasons import Assumed, Reason
from standage.railway.scales import ScaleName, scale
from standage.railway.vehicles import Vehicle

MARGIN_OF_GAUGE = 8
"""The default margin is the gauge divided by this. **Source** common practice."""
PAIRS_SHOWN = 5
_WIDTH = "width_mm"


class PassingRequest(Ruled, frozen=True, kw_only=True):
    """Which vehicles are to pass each other, on which two tracks."""

    inner_radius_mm: Annotated[
        Radius | None, says("Radius of the inner track to its centre line, in mm; null for straight track.")
    ]
    spacing_mm: Annotated[Length, says("Between the centre lines of the two tracks, in mm.")]
    margin_mm: Annotated[
        Room | None, says("What must be left between two bodies, in mm; an eighth of the gauge if not said.")
    ] = None
    scale: Annotated[ScaleName | None, says("The scale of the tracks, and of every vehicle that gives none.")] = None
    gauge_mm: Annotated[Length | None, says("The gauge, where it is not the scale's usual one, in mm.")] = None
    vehicles: Annotated[Vehicles, says("The vehicles that may meet there: any of them on either track.")]


class PassingCase(msgspec.Struct, frozen=True, kw_only=True):
    """All that is needed to answer; a radius of None is straight track."""

    vehicles: tuple[Vehicle, ...]
    inner_radius_mm: float | None
    spacing_mm: float
    margin_mm: float | None = None
    scale: ScaleName | None = None
    gauge_mm: float | None = None


class PassingAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Whether any of the vehicles pass any other; the worst pair decides and is named.

    ``least_gap_mm`` is negative where bodies overlap. ``spacing_needed_mm`` would keep the margin at this radius, and
    ``least_radius_mm`` is the least inner radius from which on every larger one keeps it at this spacing (null where
    not even straight track does); both allow for the ±. ``pairs`` are the worst few. Null is what cannot be had.
    """

    verdict: PassingVerdict
    least_gap_mm: float | None
    on_outer: str | None
    on_inner: str | None
    margin_mm: float
    plus_minus_mm: float | None
    spacing_needed_mm: float | None
    least_radius_mm: float | None
    pairs: tuple[Pair, ...]
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]


class _Stock(msgspec.Struct, frozen=True, kw_only=True):
    """One vehicle with its bodies as far as they are known."""

    vehicle: Vehicle
    bodies: tuple[BodyShape, ...]

    def lacks(self, *, straight: bool) -> Iterator[Reason]:
        """Yield what has to be measured; on straight track the widths alone count."""
        for missing in self._missing():
            if not straight or missing.field.endswith(_WIDTH):
                yield _lack(missing, "to know what it passes")

    def lacks_for_curves(self) -> Iterator[Reason]:
        """Yield what has to be measured besides the widths."""
        for missing in self._missing():
            if not missing.field.endswith(_WIDTH):
                yield _lack(missing, "to know on which curves it passes")

    def _missing(self) -> Iterator[Missing]:
        return (missing for body in self.bodies for missing in body.missing)

    def passers(self, *, straight: bool) -> Iterator[Passer]:
        """Yield those bodies whose figures are known; on straight track the widths alone count."""
        for body in self.bodies:
            half_mm = body.half_length_mm
            if body.width_mm is None or (not straight and (body.pivots_mm is None or half_mm is None)):
                continue
            yield Passer(
                vehicle=self.vehicle.name,
                width_mm=body.width_mm,
                width_plus_minus_mm=body.width_plus_minus_mm,
                pivots_mm=body.pivots_mm or 0.0,
                bogie_wheelbase_mm=body.bogie_wheelbase_mm,
                half_length_mm=half_mm or 0.0,
            )


def gather(sources: Sources, request: PassingRequest) -> PassingCase:
    """Return the case that a request makes, with all it names on record resolved."""
    return PassingCase(
        vehicles=sources.vehicles(request.vehicles, "/vehicles"),
        inner_radius_mm=request.inner_radius_mm,
        spacing_mm=request.spacing_mm,
        margin_mm=request.margin_mm,
        scale=request.scale,
        gauge_mm=request.gauge_mm,
    )


def reckon(case: PassingCase) -> PassingAnswer:
    """Return whether every vehicle of ``case`` passes every other and its own like, both ways round."""
    straight = case.inner_radius_mm is None
    tracks = Tracks(inner_radius_mm=case.inner_radius_mm or inf, spacing_mm=case.spacing_mm)
    vehicles = dict.fromkeys(_of_scale(vehicle, case.scale) for vehicle in case.vehicles)
    stock = tuple(_Stock(vehicle=vehicle, bodies=shapes(vehicle)) for vehicle in vehicles)
    margin_mm, assumed = _margin(case)
    passers = tuple(passer for one in stock for passer in one.passers(straight=straight))
    lacks = tuple(lack for one in stock for lack in one.lacks(straight=straight))
    astray = tuple(_cannot_stand(passers, tracks))
    verdict, decides = verdict_of(passers, tracks, margin_mm=margin_mm)
    unsure = bool(lacks or astray)
    if unsure and verdict != "fouls":
        verdict = "cannot_tell"
    pairs = nearest_pairs(passers, tracks, most=PAIRS_SHOWN)
    nearest = pairs[0] if pairs else None
    decided = () if decides is None else (_said(decides, margin_mm=margin_mm),)
    least_radius_mm, no_radius = _least_radius(stock, case, margin_mm=margin_mm)
    return PassingAnswer(
        verdict=verdict,
        least_gap_mm=None if nearest is None else nearest.gap_mm,
        on_outer=None if nearest is None else nearest.on_outer,
        on_inner=None if nearest is None else nearest.on_inner,
        margin_mm=margin_mm,
        plus_minus_mm=None if nearest is None else nearest.plus_minus_mm,
        spacing_needed_mm=None if unsure else _spacing_needed(passers, tracks, margin_mm=margin_mm),
        least_radius_mm=least_radius_mm,
        pairs=pairs,
        because=(
            *_in_order(verdict, decided, lacks + astray),
            *_never_there(vehicles, case.inner_radius_mm),
            *no_radius,
        ),
        assumed=assumed + told(guess for one in stock for body in one.bodies for guess in body.guesses),
    )


def _lack(missing: Missing, why: str) -> Reason:
    message = f"{missing.vehicle}: measure {missing.words}, {why}"
    return Reason(code="missing_figure", message=message, vehicle=missing.vehicle, field=missing.field)


def _of_scale(vehicle: Vehicle, name: ScaleName | None) -> Vehicle:
    return vehicle if vehicle.scale is not None else msgspec.structs.replace(vehicle, scale=name)


def _margin(case: PassingCase) -> tuple[float, tuple[Assumed, ...]]:
    """Return the margin: as given, else an eighth of the greatest gauge that is known, else none."""
    if case.margin_mm is not None:
        return case.margin_mm, ()
    gauge_mm = _gauge_of(case)
    margin_mm = tidy((gauge_mm or 0.0) / MARGIN_OF_GAUGE)
    if gauge_mm is None:
        message = "neither a margin nor a scale is given, so bodies may pass as near as they like: a margin of 0 mm"
    else:
        message = f"the margin is taken to be an eighth of the gauge of {gauge_mm:g} mm: {margin_mm:.2f} mm"
    return margin_mm, (Assumed(field="margin_mm", message=message, source="default", value_mm=margin_mm),)


def _gauge_of(case: PassingCase) -> float | None:
    if case.gauge_mm is not None:
        return case.gauge_mm
    if case.scale is not None:
        return scale(case.scale).gauge_mm
    known = (
        vehicle.gauge_mm or (None if vehicle.scale is None else scale(vehicle.scale).gauge_mm)
        for vehicle in case.vehicles
    )
    return max((gauge_mm for gauge_mm in known if gauge_mm is not None), default=None)


def _cannot_stand(passers: Sequence[Passer], tracks: Tracks) -> Iterator[Reason]:
    for passer in passers:
        if not passer.stands_on(tracks.inner_radius_mm):
            message = f"{passer.vehicle} cannot stand on the inner track: its wheels span more than the curve is across"
            yield Reason(code="cannot_stand", message=message, vehicle=passer.vehicle, value_mm=passer.pivots_mm)


def _said(pair: Pair, *, margin_mm: float) -> Reason:
    """Return the reason in plain words that the worst pair gives."""
    where = f"{pair.on_outer} on the outer track and {pair.on_inner} on the inner one"
    doubt = f" (± {pair.plus_minus_mm:.1f})" if pair.plus_minus_mm else ""
    if tidy(pair.gap_mm + pair.plus_minus_mm) < 0:
        code, message = "bodies_overlap", f"{where} overlap by {-pair.gap_mm:.1f} mm{doubt}"
    elif tidy(pair.gap_mm - pair.plus_minus_mm) >= tidy(margin_mm):
        code, message = "margin_kept", f"{where} leave {pair.gap_mm:.1f} mm{doubt} between them"
    else:
        code = "less_than_margin"
        message = f"{where} leave {pair.gap_mm:.1f} mm{doubt}: the margin of {margin_mm:.1f} mm is not certain"
    return Reason(
        code=code,
        message=message,
        vehicle=pair.on_outer,
        other_vehicle=pair.on_inner,
        value_mm=pair.gap_mm,
        limit_mm=margin_mm,
        amount_mm=pair.plus_minus_mm,
    )


def _in_order(verdict: PassingVerdict, decided: tuple[Reason, ...], unknown: tuple[Reason, ...]) -> tuple[Reason, ...]:
    return unknown + decided if verdict == "cannot_tell" else decided + unknown


def _never_there(vehicles: Iterable[Vehicle], radius_mm: float | None) -> Iterator[Reason]:
    """Say which of the vehicles will not be met on the inner track, since they do not run there."""
    if radius_mm is None:
        return
    for vehicle in vehicles:
        if on_curve(vehicle, radius_mm=radius_mm).verdict == "does_not_run":
            message = (
                f"{vehicle.name} does not run on the inner track's {radius_mm:g} mm: leave it out if it stays away"
            )
            yield Reason(code="does_not_run_there", message=message, vehicle=vehicle.name, value_mm=radius_mm)


def _spacing_needed(passers: Sequence[Passer], tracks: Tracks, *, margin_mm: float) -> float:
    return spacing_needed_mm(passers, inner_radius_mm=tracks.inner_radius_mm, margin_mm=margin_mm)


def _least_radius(
    stock: Sequence[_Stock], case: PassingCase, *, margin_mm: float
) -> tuple[float | None, tuple[Reason, ...]]:
    """Return the least inner radius that keeps the margin, or why there is none to be had."""
    lacks = tuple(lack for one in stock for lack in one.lacks_for_curves())
    if lacks:
        return None, lacks if case.inner_radius_mm is None else ()
    passers = [passer for one in stock for passer in one.passers(straight=False)]
    if len(passers) < sum(len(one.bodies) for one in stock):
        return None, ()
    radius_mm = least_inner_radius_mm(passers, spacing_mm=case.spacing_mm, margin_mm=margin_mm)
    if radius_mm is not None:
        return radius_mm, ()
    message = f"no curve keeps the margin of {margin_mm:.1f} mm at a spacing of {case.spacing_mm:g} mm"
    return None, (Reason(code="no_radius_keeps_margin", message=message, value_mm=case.spacing_mm, limit_mm=margin_mm),)
