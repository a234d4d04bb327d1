"""How near to the track may a platform, a wall or a pier stand?"""

from collections.abc import Iterable
from typing import Annotated, Literal

import msgspec

from standage.questions.asked import Vehicles
from standage.questions.example_stock import COACH
from standage.questions.lineside_case import (
    Known,
    LinesideCase,
    LinesideFigures,
    height_of,
    island_width_of,
    known_of,
    margin_of,
)
from standage.questions.lineside_words import assumed, because
from standage.questions.question import Question, Shows
from standage.questions.reckoning import NOT_YET, Warnings, as_written, warned
from standage.questions.sources import Sources
from standage.railway.lineside.by_standard import (
    Asked,
    ByStock,
    LinesideTable,
    by_standard,
)
from standage.railway.lineside.edges import Reach
from standage.railway.terms.figures import says, tidy
from standage.railway.terms.reasons import Assumed, Reason
from standage.shapes.faults import Fault, Ruled

LinesideVerdict = Literal["found", "does_not_run", "cannot_tell"]


class LinesideRequest(LinesideFigures, Ruled, frozen=True, kw_only=True):
    """What stands beside the track, and what passes it."""

    vehicles: Annotated[Vehicles, says("The vehicles that pass it, either way round.")]

    def rules(self) -> Iterable[Fault]:
        """A curve ends where there is one, and an island alone has a width."""
        if self.radius_mm is None and self.ends_at_mm is not None:
            message = "is where a curve ends: give radius_mm, or leave it out"
            yield Fault(code="contradiction", message=message, pointer="/ends_at_mm")
        if self.what != "island" and self.island_width_mm is not None:
            message = "is an island's width: say what is island, or leave it out"
            yield Fault(
                code="contradiction",
                message=message,
                pointer="/island_width_mm",
            )


class LinesideAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """How near to the track it may stand, by the stock that passes and by standards.

    Null is what cannot be told, or is not of what was asked about.
    """

    verdict: Annotated[LinesideVerdict, says("Whether it could be worked out.")]
    inside_mm: Annotated[
        float | None,
        says("From the centre line to the edge inside the curve at least, in mm."),
    ]
    outside_mm: Annotated[
        float | None,
        says("From the centre line to the edge outside the curve at least, in mm."),
    ]
    ends_beyond_middle_mm: Annotated[
        float | None,
        says(
            "How much farther out than on straight track an end swings, in mm: with"
            " ends_at_mm over the straight, its leading bogie off the curve."
        ),
    ]
    track_centres_mm: Annotated[
        float | None, says("Between the centre lines of an island's tracks, in mm.")
    ]
    island_width_mm: Annotated[float | None, says("The island's width, in mm.")]
    height_mm: Annotated[
        float | None, says("A platform's or a portal's height above the rail, in mm.")
    ]
    margin_mm: Annotated[float, says("What is left beside the stock, in mm.")]
    worst: Annotated[Reach | None, says("What reaches farthest of all.")]
    worst_inside: Annotated[Reach | None, says("The same inside the curve.")]
    worst_outside: Annotated[Reach | None, says("The same outside the curve.")]
    by_table: Annotated[LinesideTable, says("What published standards have.")]
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    warnings: Warnings = NOT_YET


@as_written
def gather(sources: Sources, request: LinesideRequest) -> LinesideCase:
    """Return the case that a request makes, with all it names on record resolved."""
    return LinesideCase(
        vehicles=sources.trains.vehicles(request.vehicles, "/vehicles"),
        what=request.what,
        radius_mm=request.radius_mm,
        ends_at_mm=request.ends_at_mm,
        scale=request.scale,
        margin_mm=request.margin_mm,
        island_width_mm=request.island_width_mm,
        types=sources.couplings.types(),
    )


@warned
def reckon(case: LinesideCase) -> LinesideAnswer:
    """Return how near to the track of ``case`` something may stand."""
    known = known_of(case)
    margin_mm = margin_of(case)
    high = height_of(case)
    table = _table(case, known)
    inside = outside = worst = None
    swing_mm = None
    if known.found is not None:
        inside, outside = known.found.inside, known.found.reached.outside
        worst = known.found.reached._replace(inside=inside).worse
        swing_mm = tidy(known.found.reached.ends_mm)
    return LinesideAnswer(
        verdict=_verdict(known),
        inside_mm=_edge_mm(inside, margin_mm),
        outside_mm=_edge_mm(outside, margin_mm),
        ends_beyond_middle_mm=swing_mm,
        track_centres_mm=None if known.found is None else known.found.centres_mm,
        island_width_mm=island_width_of(case),
        height_mm=high.height_mm,
        margin_mm=margin_mm,
        worst=worst,
        worst_inside=inside,
        worst_outside=outside,
        by_table=table,
        because=tuple(because(case, known, high, table)),
        assumed=tuple(assumed(case, known, high)),
    )


def _verdict(known: Known) -> LinesideVerdict:
    if known.never:
        return "does_not_run"
    return "cannot_tell" if known.lacking else "found"


def _edge_mm(reach: Reach | None, margin_mm: float) -> float | None:
    if reach is None:
        return None
    return tidy(reach.reach_mm + margin_mm)


def _table(case: LinesideCase, known: Known) -> LinesideTable:
    by_stock = None
    if known.found is not None:
        reached = known.found.reached
        edge_mm = tidy(reached.worse.reach_mm + margin_of(case))
        thrown_mm = tidy(reached.worse.reach_mm - reached.straight_mm)
        by_stock = ByStock(edge_mm, thrown_mm)
    asked = Asked(case.what, case.scale, case.radius_mm, island_width_of(case))
    bodies = (body for one in known.stock for body in one.ways)
    return by_standard(asked, bodies, by_stock)


def _is_swept(case: LinesideCase) -> bool:
    """Tell whether bodies are swept out of a curve, which may take over 20 ms."""
    return case.ends_at_mm is not None


_BESIDE_THE_DAIRY = {
    "what": "platform",
    "radius_mm": 610,
    "scale": "00",
    "vehicles": [COACH],
    "margin_mm": 1,
}
QUESTION = Question(
    id="checkLineside",
    at="/v1/checks/lineside",
    asks="How near to the track may a platform, a wall or a pier stand?",
    tells=(
        "By the stock that passes it, inside and outside of a curve and beyond where it"
        " ends, with the vehicle that decides; and by published standards."
    ),
    request=LinesideRequest,
    answer=LinesideAnswer,
    gather=gather,
    reckon=reckon,
    heavy=_is_swept,
    example=_BESIDE_THE_DAIRY,
    refused=_BESIDE_THE_DAIRY | {"ends_at_mm": 0, "radius_mm": None},
    warns=Shows("unit", "radius_mm", {"radius_mm": 61}),
)
