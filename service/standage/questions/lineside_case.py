"""What is asked of something beside the track, what is known of the vehicles that pass
it, and how far they reach.
"""

from math import inf
from typing import Annotated, NamedTuple

import msgspec

from standage.questions.reckoning import MayBeExact
from standage.railway.lineside.bodies_beside import (
    BodyBeside,
    bodies_beside,
    cannot_stand,
    may_not_stand,
)
from standage.railway.lineside.by_standard import PLATFORMS, What
from standage.railway.lineside.edges import (
    Beside,
    Reach,
    Reaches,
    reaches,
    track_centres_mm,
)
from standage.railway.lineside.headroom import Tallest, tallest
from standage.railway.passing.passers import PassingStock, passing_stock
from standage.railway.published.platforms import platform_heights
from standage.railway.published.tables import Held
from standage.railway.roads.limits import MARGIN_OF_GAUGE
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import (
    LONGEST_MM,
    Length,
    RadiusMm,
    Room,
    says,
    tidy,
)
from standage.railway.terms.reasons import Reason
from standage.railway.terms.scales import ScaleName, scale

CurveEndMm = Annotated[float, msgspec.Meta(ge=-LONGEST_MM, le=LONGEST_MM)]

ISLAND_MM = 48.0
ISLAND_RATIO = 76.2
"""An island platform's width in 00, if not said. **Source** common practice."""


class LinesideFigures(MayBeExact, frozen=True, kw_only=True):
    """What stands beside which track."""

    what: Annotated[What, says("What stands beside the track.")]
    radius_mm: Annotated[
        RadiusMm | None,
        says(
            "Of the track beside it, of an island's two the inner one, in mm; null for"
            " straight track."
        ),
    ]
    ends_at_mm: Annotated[
        CurveEndMm | None,
        says(
            "Where the curve ends and straight track begins, in mm along from where it"
            " begins; less than 0 where the curve ends before that."
        ),
    ] = None
    scale: Annotated[
        ScaleName, says("The track's scale, and of every vehicle that gives none.")
    ]
    margin_mm: Annotated[
        Room | None,
        says("What must be left beside the stock, in mm; an eighth of the gauge else."),
    ] = None
    island_width_mm: Annotated[
        Length | None, says("An island's width, in mm; 48 in 00 if not said.")
    ] = None


class LinesideCase(LinesideFigures, frozen=True, kw_only=True):
    """All that the answer rests on. ``types`` are the club's own couplings."""

    vehicles: tuple[Vehicle, ...]
    types: tuple[CouplingKind, ...] = ()


class FoundBeside(NamedTuple):
    """How far the vehicles reach, how far apart an island's tracks are, and what reaches
    inside: to an island from the outer of its tracks.
    """

    reached: Reaches
    centres_mm: float | None
    inside: Reach


class Known(NamedTuple):
    """What is known of the vehicles, what is against any figure, and what was found."""

    stock: tuple[PassingStock, ...]
    bodies: tuple[BodyBeside, ...]
    never: tuple[Reason, ...]
    lacking: tuple[Reason, ...]
    found: FoundBeside | None


def known_of(case: LinesideCase) -> Known:
    """Return what is known of the vehicles, and how far they reach where that can be
    told of every one.
    """
    straight = case.radius_mm is None
    radius_mm = inf if case.radius_mm is None else case.radius_mm
    types = CouplingTypes(case.types)
    stock = passing_stock(case.vehicles, scale=case.scale, types=types)
    bodies: list[BodyBeside] = []
    lacking: list[Reason] = []
    for one in stock:
        bodies += bodies_beside(one, straight=straight)
        lacking += one.lacks(straight=straight)
    never = tuple(cannot_stand(bodies, radius_mm=radius_mm))
    lacking += may_not_stand(bodies, radius_mm=radius_mm)
    found = None
    if bodies and not never and not lacking:
        found = _found(case, bodies)
    return Known(stock, tuple(bodies), never, tuple(lacking), found)


def _found(case: LinesideCase, bodies: list[BodyBeside]) -> FoundBeside:
    radius_mm = inf if case.radius_mm is None else case.radius_mm
    beside = Beside(radius_mm, case.ends_at_mm)
    reached = reaches(bodies, beside)
    width_mm = island_width_of(case)
    if width_mm is None:
        return FoundBeside(reached, None, reached.inside)
    between_mm = width_mm + 2 * margin_of(case)
    centres_mm = track_centres_mm(bodies, beside, between_mm=between_mm)
    outer = reaches(bodies, beside.at(radius_mm + centres_mm))
    return FoundBeside(reached, tidy(centres_mm), outer.inside)


def margin_of(case: LinesideCase) -> float:
    """Return the margin: as given, else an eighth of the scale's gauge."""
    if case.margin_mm is not None:
        return case.margin_mm
    return tidy(scale(case.scale).gauge_mm / MARGIN_OF_GAUGE)


def island_width_of(case: LinesideCase) -> float | None:
    """Return an island's width: as given, else 48 mm in 00 and to scale elsewhere; None
    for what is no island.
    """
    if case.what != "island":
        return None
    if case.island_width_mm is not None:
        return case.island_width_mm
    return tidy(ISLAND_MM * ISLAND_RATIO / scale(case.scale).ratio)


class Height(NamedTuple):
    """How high it is, with the vehicles that say so."""

    height_mm: float | None
    stock: Tallest


def height_of(case: LinesideCase) -> Height:
    """Return a platform's height by the standard, a portal's by the stock."""
    if case.what in PLATFORMS:
        lowest = platform_heights(case.scale)[0]
        height_mm = lowest.value_mm if isinstance(lowest, Held) else None
        return Height(height_mm, Tallest())
    if case.what != "portal":
        return Height(None, Tallest())
    stock = tallest(case.vehicles, scale=case.scale)
    if stock.height_mm is None:
        return Height(None, stock)
    return Height(tidy(stock.height_mm + margin_of(case)), stock)
