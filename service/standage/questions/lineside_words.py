"""What is said of how near to the track something may stand, and what is assumed."""

from collections.abc import Iterator

from standage.questions.lineside_case import (
    FoundBeside,
    Height,
    Known,
    LinesideCase,
    island_width_of,
    margin_of,
)
from standage.railway.lineside.bodies_beside import do_not_run
from standage.railway.lineside.by_standard import PLATFORMS, LinesideTable
from standage.railway.lineside.edges import Reach
from standage.railway.published.platforms import platform_heights
from standage.railway.published.tables import Held
from standage.railway.terms.figures import at_least, cut, millimetres, tidy
from standage.railway.terms.reasons import Assumed, Reason, told
from standage.railway.terms.scales import scale

_SHOWN_MM = 0.05
"""What differs by less is printed alike."""


def because(
    case: LinesideCase, known: Known, high: Height, table: LinesideTable
) -> Iterator[Reason]:
    yield from known.never
    yield from known.lacking
    if known.found is not None:
        yield from _edges(case, known.found)
    if case.what == "portal" and high.height_mm is not None:
        message = (
            f"it is clear up to {at_least(high.height_mm)} above the rail at least, the"
            " margin counted"
        )
        yield Reason(code="portal_height", message=message, value_mm=high.height_mm)
    for row in table.rows:
        differs = abs(row.difference_mm or 0.0) >= _SHOWN_MM
        if row.outcome == "not_allowed" or differs:
            yield Reason(
                code="by_table", message=row.message, value_mm=row.difference_mm
            )
    if case.radius_mm is not None:
        yield from do_not_run(known.stock, radius_mm=case.radius_mm)


def _edges(case: LinesideCase, found: FoundBeside) -> Iterator[Reason]:
    margin_mm = margin_of(case)
    inside, outside = found.inside, found.reached.outside
    if case.radius_mm is None:
        yield _edge_reason(inside, "on straight track", margin_mm)
    else:
        sides = [
            _edge_reason(inside, "inside the curve", margin_mm),
            _edge_reason(outside, "outside the curve", margin_mm),
        ]
        if outside.reach_mm > inside.reach_mm:
            sides.reverse()
        yield from sides
    if case.ends_at_mm is not None:
        yield _swings(found.reached.ends_mm)
    if found.centres_mm is not None:
        width = millimetres(island_width_of(case) or 0.0)
        message = (
            f"with an island of {width} between them the tracks lie"
            f" {at_least(found.centres_mm)} apart at least, centre line to centre line"
        )
        yield Reason(code="island", message=message, value_mm=found.centres_mm)


_PARTS = {
    "front": "the front of",
    "rear": "the rear of",
    "either": "either end of",
    "middle": "the middle of",
    "side": "the side of",
}


def _edge_reason(reach: Reach, where: str, margin_mm: float) -> Reason:
    edge_mm = tidy(reach.reach_mm + margin_mm)
    part = f"{_PARTS[reach.part]} {cut(reach.body)}"
    left = f"{millimetres(margin_mm)} is left"
    if margin_mm == 0:
        left = "no margin is counted"
    message = (
        f"{where} the edge lies {at_least(edge_mm)} from the centre line at least: {part}"
        f" reaches {at_least(reach.reach_mm)}, and {left}"
    )
    return Reason(
        code=f"edge_{reach.side}",
        message=message,
        vehicle=reach.vehicle,
        value_mm=edge_mm,
        limit_mm=margin_mm,
    )


def _swings(swing_mm: float) -> Reason:
    value_mm = tidy(swing_mm)
    if value_mm == 0:
        message = "on the straight beyond the curve no end swings out any more"
    else:
        message = (
            f"over the straight beyond the curve an end still swings {at_least(value_mm)}"
            " farther out than the vehicle's side, its leading bogie or axle off the curve"
        )
    return Reason(code="ends_swing", message=message, value_mm=value_mm)


def assumed(case: LinesideCase, known: Known, high: Height) -> Iterator[Assumed]:
    guesses = [guess for one in known.stock for guess in one.guesses]
    yield from told((*guesses, *high.stock.guesses))
    margin_mm = margin_of(case)
    if case.margin_mm is None:
        gauge_mm = scale(case.scale).gauge_mm
        message = (
            f"the margin is taken to be an eighth of the gauge of {gauge_mm:g} mm:"
            f" {margin_mm:.2f} mm"
        )
        yield Assumed(
            field="margin_mm",
            message=message,
            source="default",
            value_mm=margin_mm,
        )
    width_mm = island_width_of(case)
    if width_mm is not None and case.island_width_mm is None:
        message = (
            f"the island is taken to be {millimetres(width_mm)} wide, as one of 48 mm in"
            " 00 is"
        )
        yield Assumed(
            field="island_width_mm",
            message=message,
            source="common_practice",
            value_mm=width_mm,
        )
    yield from _of_several_heights(case, high)


def _of_several_heights(case: LinesideCase, high: Height) -> Iterator[Assumed]:
    if case.what not in PLATFORMS or high.height_mm is None:
        return
    higher = [
        millimetres(one.value_mm)
        for one in platform_heights(case.scale)[1:]
        if isinstance(one, Held)
    ]
    if not higher:
        return
    message = (
        f"the platform is taken to be a low one, {millimetres(high.height_mm)} above the"
        f" rail; high ones are {higher[0]}"
    )
    yield Assumed(
        field="height_mm",
        message=message,
        source="common_practice",
        value_mm=high.height_mm,
    )
