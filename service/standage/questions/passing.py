"""Whether trains pass each other on two tracks side by side."""

from collections.abc import Sequence
from math import inf
from typing import Annotated

import msgspec

from standage.questions.asked import Vehicles
from standage.questions.example_stock import COACH
from standage.questions.question import Question, Shows
from standage.questions.reckoning import (
    NOT_YET,
    MayBeExact,
    Warnings,
    as_written,
    warned,
)
from standage.questions.sources import Sources
from standage.railway.passing.gaps import (
    Pair,
    Passer,
    PassingVerdict,
    Tracks,
    least_inner_radius_mm,
    nearest_pairs,
    spacing_needed_mm,
    verdict_of,
)
from standage.railway.passing.passers import (
    PassingStock,
    cannot_stand,
    may_not_stand,
    never_there,
    passing_stock,
    said,
)
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import (
    GaugeMm,
    RadiusMm,
    Room,
    SpacingMm,
    says,
    tidy,
)
from standage.railway.terms.reasons import Assumed, Reason, told
from standage.railway.terms.scales import ScaleName, scale
from standage.shapes.faults import Ruled

MARGIN_OF_GAUGE = 8
"""The default margin is the gauge divided by this. **Source** common practice."""
PAIRS_SHOWN = 5


class PassingRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """Which vehicles are to pass each other, on which two tracks."""

    inner_radius_mm: Annotated[
        RadiusMm | None,
        says(
            "Radius of the inner track to its centre line, in mm; null for straight"
            " track."
        ),
    ]
    spacing_mm: Annotated[
        SpacingMm, says("Between the centre lines of the two tracks, in mm.")
    ]
    margin_mm: Annotated[
        Room | None,
        says(
            "What must be left between two bodies, in mm; an eighth of the gauge if not"
            " said."
        ),
    ] = None
    scale: Annotated[
        ScaleName | None,
        says("The scale of the tracks, and of every vehicle that gives none."),
    ] = None
    gauge_mm: Annotated[
        GaugeMm | None, says("The gauge, where it is not the scale's usual one, in mm.")
    ] = None
    vehicles: Annotated[
        Vehicles, says("The vehicles that may meet there: any of them on either track.")
    ]


class PassingCase(MayBeExact, frozen=True, kw_only=True):
    """All that is needed to answer; a radius of None is straight track. ``types`` are
    the club's own couplings.
    """

    vehicles: tuple[Vehicle, ...]
    inner_radius_mm: RadiusMm | None
    spacing_mm: SpacingMm
    margin_mm: float | None = None
    scale: ScaleName | None = None
    gauge_mm: GaugeMm | None = None
    types: tuple[CouplingKind, ...] = ()


class PassingAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Whether any of the vehicles pass any other; the worst pair decides and is named.

    ``least_gap_mm`` is negative where bodies overlap. ``spacing_needed_mm`` would keep
    the margin at this radius, and every inner radius from ``least_radius_mm`` on keeps
    it at this spacing (null where not even straight track does); both allow for the ±.
    ``pairs`` are the worst few. Null is what cannot be had.
    """

    verdict: PassingVerdict
    least_gap_mm: float | None
    on_outer: str | None
    on_inner: str | None
    margin_mm: float
    plus_minus_mm: float | None
    spacing_needed_mm: float | None
    spacing_needed_brings: Annotated[
        PassingVerdict | None, says("The verdict with that spacing.")
    ]
    least_radius_mm: float | None
    least_radius_brings: Annotated[
        PassingVerdict | None, says("The verdict with that inner radius.")
    ]
    pairs: tuple[Pair, ...]
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]
    warnings: Warnings = NOT_YET


@as_written
def gather(sources: Sources, request: PassingRequest) -> PassingCase:
    """Return the case that a request makes, with all it names on record resolved."""
    return PassingCase(
        vehicles=sources.trains.vehicles(request.vehicles, "/vehicles"),
        inner_radius_mm=request.inner_radius_mm,
        spacing_mm=request.spacing_mm,
        margin_mm=request.margin_mm,
        scale=request.scale,
        gauge_mm=request.gauge_mm,
        types=sources.couplings.types(),
    )


@warned
def reckon(case: PassingCase) -> PassingAnswer:
    """Return whether every vehicle of ``case`` passes every other and its own like,
    both ways round.
    """
    straight = case.inner_radius_mm is None
    tracks = Tracks(
        inner_radius_mm=case.inner_radius_mm or inf, spacing_mm=case.spacing_mm
    )
    stock = passing_stock(
        case.vehicles, scale=case.scale, types=CouplingTypes(case.types)
    )
    margin_mm, assumed = _margin(case)
    passers = tuple(
        passer for one in stock for passer in one.passers(straight=straight)
    )
    never = tuple(cannot_stand(passers, tracks))
    lacks = (lack for one in stock for lack in one.lacks(straight=straight))
    unknown = (*lacks, *may_not_stand(passers, tracks))
    verdict, because = _judged(passers, tracks, margin_mm=margin_mm, unknown=unknown)
    spacing_mm = (
        None
        if never or unknown
        else _spacing_needed(passers, tracks, margin_mm=margin_mm)
    )
    pairs = tuple(
        pair.tidied() for pair in nearest_pairs(passers, tracks, most=PAIRS_SHOWN)
    )
    nearest = pairs[0] if pairs else None
    least_radius_mm, no_radius = _least_radius(stock, case, margin_mm=margin_mm)
    return PassingAnswer(
        verdict="fouls" if never else verdict,
        least_gap_mm=None if nearest is None else nearest.gap_mm,
        on_outer=None if nearest is None else nearest.on_outer,
        on_inner=None if nearest is None else nearest.on_inner,
        margin_mm=margin_mm,
        plus_minus_mm=None if nearest is None else nearest.plus_minus_mm,
        spacing_needed_mm=spacing_mm,
        spacing_needed_brings=_brought(
            passers, tracks, spacing_mm=spacing_mm, margin_mm=margin_mm
        ),
        least_radius_mm=least_radius_mm,
        least_radius_brings=_brought_on(
            stock, tracks, radius_mm=least_radius_mm, margin_mm=margin_mm
        ),
        pairs=pairs,
        because=(*never, *because, *never_there(stock, tracks), *no_radius),
        assumed=assumed + told(guess for one in stock for guess in one.guesses),
    )


def _brought(
    passers: Sequence[Passer],
    tracks: Tracks,
    *,
    spacing_mm: float | None,
    margin_mm: float,
) -> PassingVerdict | None:
    if spacing_mm is None:
        return None
    wider = msgspec.structs.replace(tracks, spacing_mm=spacing_mm)
    return verdict_of(passers, wider, margin_mm=margin_mm)[0]


def _brought_on(
    stock: Sequence[PassingStock],
    tracks: Tracks,
    *,
    radius_mm: float | None,
    margin_mm: float,
) -> PassingVerdict | None:
    if radius_mm is None:
        return None
    easier = msgspec.structs.replace(tracks, inner_radius_mm=radius_mm)
    passers = [passer for one in stock for passer in one.passers(straight=False)]
    return verdict_of(passers, easier, margin_mm=margin_mm)[0]


def _judged(
    passers: Sequence[Passer],
    tracks: Tracks,
    *,
    margin_mm: float,
    unknown: tuple[Reason, ...],
) -> tuple[PassingVerdict, tuple[Reason, ...]]:
    """Return the verdict and its reasons, those that decide first; what is not known
    matters unless some pair fouls.
    """
    verdict, decides = verdict_of(passers, tracks, margin_mm=margin_mm)
    decided: tuple[Reason, ...] = ()
    if decides is not None:
        decided = (said(decides, margin_mm=margin_mm),)
    if unknown and verdict != "fouls":
        return "cannot_tell", unknown + decided
    return verdict, decided + unknown


def _margin(case: PassingCase) -> tuple[float, tuple[Assumed, ...]]:
    """Return the margin: as given, else an eighth of the greatest gauge that is known,
    else none.
    """
    if case.margin_mm is not None:
        return case.margin_mm, ()
    gauge_mm = _gauge_of(case)
    margin_mm = tidy((gauge_mm or 0.0) / MARGIN_OF_GAUGE)
    if gauge_mm is None:
        message = (
            "neither a margin nor a scale is given, so bodies may pass as near as they"
            " like: a margin of 0 mm"
        )
    else:
        message = (
            f"the margin is taken to be an eighth of the gauge of {gauge_mm:g} mm:"
            f" {margin_mm:.2f} mm"
        )
    return margin_mm, (
        Assumed(
            field="margin_mm", message=message, source="default", value_mm=margin_mm
        ),
    )


def _gauge_of(case: PassingCase) -> float | None:
    if case.gauge_mm is not None:
        return case.gauge_mm
    if case.scale is not None:
        return scale(case.scale).gauge_mm
    known = (
        vehicle.gauge_mm
        or (None if vehicle.scale is None else scale(vehicle.scale).gauge_mm)
        for vehicle in case.vehicles
    )
    return max((gauge_mm for gauge_mm in known if gauge_mm is not None), default=None)


def _spacing_needed(
    passers: Sequence[Passer], tracks: Tracks, *, margin_mm: float
) -> float:
    return spacing_needed_mm(
        passers, inner_radius_mm=tracks.inner_radius_mm, margin_mm=margin_mm
    )


def _least_radius(
    stock: Sequence[PassingStock], case: PassingCase, *, margin_mm: float
) -> tuple[float | None, tuple[Reason, ...]]:
    """Return the least inner radius that keeps the margin, or why there is none to be
    had.
    """
    lacks = tuple(lack for one in stock for lack in one.lacks_for_curves())
    if lacks:
        return None, lacks if case.inner_radius_mm is None else ()
    passers = [passer for one in stock for passer in one.passers(straight=False)]
    if len(passers) < sum(len(one.ways) for one in stock):
        return None, ()
    radius_mm = least_inner_radius_mm(
        passers, spacing_mm=case.spacing_mm, margin_mm=margin_mm
    )
    if radius_mm is not None:
        return radius_mm, ()
    message = (
        f"no curve keeps the margin of {margin_mm:.1f} mm at a spacing of"
        f" {case.spacing_mm:g} mm"
    )
    return None, (
        Reason(
            code="no_radius_keeps_margin",
            message=message,
            value_mm=case.spacing_mm,
            limit_mm=margin_mm,
        ),
    )


_SIDE_BY_SIDE = {
    "inner_radius_mm": 505,
    "spacing_mm": 60,
    "scale": "00",
    "vehicles": [COACH],
}
QUESTION = Question(
    id="checkPassing",
    at="/v1/checks/passing",
    asks="Do trains clear each other on two tracks side by side?",
    tells=(
        "Every vehicle is tried on the outer track against every one on the inner; the"
        " worst pair decides and is named."
    ),
    request=PassingRequest,
    answer=PassingAnswer,
    gather=gather,
    reckon=reckon,
    example=_SIDE_BY_SIDE,
    refused=_SIDE_BY_SIDE | {"spacing_mm": "60 mm"},
    warns=Shows("spacing_or_gap", "spacing_mm", {"spacing_mm": 30.0, "scale": "H0"}),
)
