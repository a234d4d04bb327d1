"""Whether trains pass each other on two tracks side by side."""

from collections.abc import Iterable, Sequence
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
    inner_radius_needed_mm,
    least_inner_radius_mm,
    nearest_pairs,
    spacing_needed_mm,
    verdict_of,
)
from standage.railway.passing.passers import (
    PassingStock,
    at_their_widest,
    cannot_stand,
    may_not_stand,
    never_there,
    passing_stock,
    said,
)
from standage.railway.passing.published_spacings import published_spacings
from standage.railway.published.tables import ByTable
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import (
    GaugeMm,
    RadiusMm,
    Room,
    SpacingMm,
    exceeds,
    millimetres,
    says,
    tidy,
)
from standage.railway.terms.reasons import Assumed, Reason, told
from standage.railway.terms.scales import ScaleName, scale
from standage.shapes.faults import Fault, Ruled

MARGIN_OF_GAUGE = 8
"""The default margin is the gauge divided by this. **Source** common practice."""
PAIRS_SHOWN = 5


class PassingRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """Which vehicles are to pass each other, on which two tracks."""

    inner_radius_mm: Annotated[
        RadiusMm | msgspec.UnsetType | None,
        says(
            "Radius of the inner track to its centre line, in mm; null for straight"
            " track."
        ),
    ] = msgspec.UNSET
    outer_radius_mm: Annotated[
        RadiusMm | None,
        says("Radius of the outer track, in mm, in place of the inner one's."),
    ] = None
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

    def rules(self) -> Iterable[Fault]:
        """The radius of one of the two tracks, or null for straight ones."""
        if self.outer_radius_mm is None:
            if self.inner_radius_mm is msgspec.UNSET:
                message = (
                    "give inner_radius_mm (null for straight track) or outer_radius_mm"
                )
                yield Fault(code="missing", message=message, pointer="/inner_radius_mm")
            return
        if self.inner_radius_mm:
            message = "give inner_radius_mm or outer_radius_mm, not both"
            yield Fault(
                code="one_or_the_other", message=message, pointer="/outer_radius_mm"
            )
        elif not exceeds(self.outer_radius_mm, limit=self.spacing_mm):
            message = (
                f"must be less than the outer track's radius of"
                f" {self.outer_radius_mm:.10g} mm: nothing is left of the inner track"
            )
            yield Fault(code="contradiction", message=message, pointer="/spacing_mm")


class PassingCase(MayBeExact, frozen=True, kw_only=True):
    """All that is needed to answer; without a radius it is straight track. ``types``
    are the club's own couplings.
    """

    vehicles: tuple[Vehicle, ...]
    inner_radius_mm: RadiusMm | None
    outer_radius_mm: RadiusMm | None = None
    spacing_mm: SpacingMm
    margin_mm: float | None = None
    scale: ScaleName | None = None
    gauge_mm: GaugeMm | None = None
    types: tuple[CouplingKind, ...] = ()

    @property
    def tracks(self) -> Tracks:
        """The two tracks, of which one radius may be given."""
        radius_mm = self.inner_radius_mm or inf
        if self.outer_radius_mm is not None:
            radius_mm = tidy(self.outer_radius_mm - self.spacing_mm)
        return Tracks(inner_radius_mm=radius_mm, spacing_mm=self.spacing_mm)


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
    inner_radius_mm: Annotated[
        float | None, says("The inner track's radius, in mm; null where straight.")
    ]
    inner_radius_needed_mm: Annotated[
        float | None,
        says("The largest inner radius that would do beside the same outer track."),
    ]
    inner_radius_needed_brings: Annotated[
        PassingVerdict | None, says("The verdict with that inner radius.")
    ]
    by_table: Annotated[
        tuple[ByTable, ...], says("What published tables say of the spacing.")
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
        inner_radius_mm=_written(request.inner_radius_mm),
        outer_radius_mm=request.outer_radius_mm,
        spacing_mm=request.spacing_mm,
        margin_mm=request.margin_mm,
        scale=request.scale,
        gauge_mm=request.gauge_mm,
        types=sources.couplings.types(),
    )


def _written(radius_mm: float | msgspec.UnsetType | None) -> float | None:
    return None if radius_mm is msgspec.UNSET else radius_mm


@warned
def reckon(case: PassingCase) -> PassingAnswer:
    """Return whether every vehicle of ``case`` passes every other and its own like,
    both ways round.
    """
    tracks = case.tracks
    straight = tracks.inner_radius_mm == inf
    known = passing_stock(
        case.vehicles, scale=case.scale, types=CouplingTypes(case.types)
    )
    stock = tuple(at_their_widest(one) for one in known)
    margin_mm, assumed = _margin(case)
    passers = _passers(stock, tracks)
    never = tuple(cannot_stand(passers, tracks))
    lacks = (lack for one in stock for lack in one.lacks(straight=straight))
    unknown = (*lacks, *may_not_stand(passers, tracks))
    verdict, because = _judged(passers, tracks, margin_mm=margin_mm, unknown=unknown)
    spacing_mm = inner_mm = None
    no_inner: tuple[Reason, ...] = ()
    if not unknown:
        # a sharper inner track than they can stand on may be eased towards the outer
        inner_mm, no_inner = _inner_needed(passers, tracks, margin_mm=margin_mm)
    if not (never or unknown):
        spacing_mm = _spacing_needed(passers, tracks, margin_mm=margin_mm)
    pairs = tuple(
        pair.tidied() for pair in nearest_pairs(passers, tracks, most=PAIRS_SHOWN)
    )
    nearest = pairs[0] if pairs else None
    least_radius_mm, no_radius = _least_radius(stock, case, margin_mm=margin_mm)
    inside = _inside_the_outer(tracks, inner_mm)
    return PassingAnswer(
        verdict="fouls" if never else verdict,
        least_gap_mm=None if nearest is None else nearest.gap_mm,
        on_outer=None if nearest is None else nearest.on_outer,
        on_inner=None if nearest is None else nearest.on_inner,
        margin_mm=margin_mm,
        plus_minus_mm=None if nearest is None else nearest.plus_minus_mm,
        spacing_needed_mm=spacing_mm,
        spacing_needed_brings=_brought(
            stock, _with_spacing(tracks, spacing_mm), margin_mm=margin_mm
        ),
        least_radius_mm=least_radius_mm,
        least_radius_brings=_brought(
            stock, _with_radius(tracks, least_radius_mm), margin_mm=margin_mm
        ),
        inner_radius_mm=None if straight else tracks.inner_radius_mm,
        inner_radius_needed_mm=inner_mm,
        inner_radius_needed_brings=_brought(stock, inside, margin_mm=margin_mm),
        by_table=published_spacings(
            stock, tracks, scale=case.scale, needed_mm=spacing_mm
        ),
        pairs=pairs,
        because=(*never, *because, *never_there(stock, tracks), *no_radius, *no_inner),
        assumed=assumed + told(guess for one in stock for guess in one.guesses),
    )


def _passers(stock: Sequence[PassingStock], tracks: Tracks) -> tuple[Passer, ...]:
    straight = tracks.inner_radius_mm == inf
    return tuple(passer for one in stock for passer in one.passers(straight=straight))


def _brought(
    stock: Sequence[PassingStock], tracks: Tracks | None, *, margin_mm: float
) -> PassingVerdict | None:
    """Return the verdict on tracks that are advised; None where none are."""
    if tracks is None:
        return None
    return verdict_of(_passers(stock, tracks), tracks, margin_mm=margin_mm)[0]


def _with_spacing(tracks: Tracks, spacing_mm: float | None) -> Tracks | None:
    if spacing_mm is None:
        return None
    return msgspec.structs.replace(tracks, spacing_mm=spacing_mm)


def _with_radius(tracks: Tracks, radius_mm: float | None) -> Tracks | None:
    if radius_mm is None:
        return None
    return msgspec.structs.replace(tracks, inner_radius_mm=radius_mm)


def _inside_the_outer(tracks: Tracks, radius_mm: float | None) -> Tracks | None:
    """Return an inner track of that radius beside the outer one where it is."""
    if radius_mm is None:
        return None
    spacing_mm = tidy(tracks.outer_radius_mm - radius_mm)
    return Tracks(inner_radius_mm=radius_mm, spacing_mm=spacing_mm)


def _inner_needed(
    passers: Sequence[Passer], tracks: Tracks, *, margin_mm: float
) -> tuple[float | None, tuple[Reason, ...]]:
    """Return the largest inner radius beside the same outer track, or why there is none
    to be had; neither on straight track.
    """
    if tracks.inner_radius_mm == inf:
        return None, ()
    outer_mm = tracks.outer_radius_mm
    radius_mm = inner_radius_needed_mm(
        passers, outer_radius_mm=outer_mm, margin_mm=margin_mm
    )
    if radius_mm is not None:
        return radius_mm, ()
    message = (
        "no inner track that they can stand on keeps the margin of"
        f" {millimetres(margin_mm)} beside an outer one of {outer_mm:.10g} mm"
    )
    return None, (
        Reason(
            code="no_inner_track_keeps_margin",
            message=message,
            value_mm=outer_mm,
            limit_mm=margin_mm,
        ),
    )


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
        return None, lacks if case.tracks.inner_radius_mm == inf else ()
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
