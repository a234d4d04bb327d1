"""A track plan as a drawing, true to scale; a plan with faults as far as it goes."""

from collections.abc import Iterator
from math import inf

from standage.drawings.track_plans import (
    DrawnName,
    DrawnPlan,
    DrawnRoad,
    Line,
    plan_drawing,
)
from standage.questions.plan import (
    PLAN_BYTES,
    QUESTION,
    PlanCase,
    PlanRequest,
    gather,
    is_large,
    surveyed,
)
from standage.questions.plan_reasons import (
    gap_reasons,
    most,
    unknown_reasons,
    unplaced_reasons,
)
from standage.questions.question import Drawing
from standage.questions.sources import Sources
from standage.railway.terms.phrases import millimetres
from standage.railway.track.fouling.fouling import LegFouling
from standage.railway.track.paths.spots import Spot
from standage.railway.track.pieces.shapes import is_knot
from standage.railway.track.placing.placing import within
from standage.railway.track.plans.flat import inner_plans
from standage.railway.track.roads.limits import Usable
from standage.railway.track.survey.lying import at, between, lying, road_lying
from standage.railway.track.survey.survey import Survey

_HALF_A_STOP = 0.6
"""Of the gauge: a stop's face stands out beyond the rails."""
_USUAL_GAUGE_MM = 16.5
_MOST_NOTES = 20


def plan_sheet(case: PlanCase) -> str:
    """Return the plan of a case as SVG."""
    return plan_drawing(drawn(surveyed(case)))


def drawn(found: Survey) -> DrawnPlan:
    """Return what is drawn of a plan."""
    faulty = {
        (fault.pointer or "").removeprefix("/pieces/").split("/")[0]
        for fault in found.faults
        if (fault.pointer or "").startswith("/pieces/")
    }
    sound: list[Line] = []
    doubtful: list[Line] = []
    for number, piece in enumerate(found.network.piece_of):
        places = tuple(one.spot.point for one in lying(found, 2 * number))
        if places:
            (doubtful if piece in faulty else sound).append(places)
    return DrawnPlan(
        title=found.plan.name or "Track plan",
        tracks=tuple(sound),
        doubtful=tuple(doubtful),
        roads=tuple(_road(found, usable) for usable in found.usable),
        points=tuple(_names(found)),
        marks=tuple(_marks(found)),
        stops=tuple(_stops(found)),
        gaps=tuple(_gaps(found)),
        boards=tuple(_boards(found)),
        notes=tuple(_notes(found)),
    )


def _road(found: Survey, usable: Usable) -> DrawnRoad:
    road = usable.road
    places = road_lying(found, road.courses)
    left_mm = usable.usable_length_mm
    line: Line = ()
    if places and left_mm:
        from_mm = (usable.limits[0].from_blades_mm or 0.0) if usable.limits else 0.0
        kept = between(places, from_mm, from_mm + left_mm)
        line = tuple(one.spot.point for one in kept)
    return DrawnRoad(
        name=_called(found, road.name),
        usable=line,
        usable_mm=left_mm,
        too_close=usable.is_too_close,
    )


def _called(found: Survey, road: str) -> str:
    """Return what the builder calls a road, where a place is pinned to it alone."""
    for place in found.places:
        if place.roads == (road,):
            return place.place.name
    return road


def _names(found: Survey) -> Iterator[DrawnName]:
    for piece, shape in found.network.shapes.items():
        if not shape.pairs:
            continue
        places = lying(found, 2 * found.network.first_of[piece])
        if places:
            # The first strand leads out from the blades, or from a crossing's middle.
            from_knot = is_knot(shape.strands[0].start)
            knot = places[0] if from_knot else places[-1]
            yield DrawnName(name=piece, place=knot.spot.point)


def _marks(found: Survey) -> Iterator[Line]:
    for point in found.points:
        spots = [_leg_spot(found, leg) for leg in point.legs[:2]]
        known = tuple(spot.point for spot in spots if spot is not None)
        if len(known) == len(spots):
            yield known


def _leg_spot(found: Survey, leg: LegFouling) -> Spot | None:
    """Return where a leg's fouling point lies, along the way on that sets it."""
    reach = leg.farthest
    if reach.along_mm is None or reach.along_mm == inf:
        return None
    left_mm = reach.along_mm
    for course in reach.courses:
        length_mm = found.network.strand(course).length_mm or 0.0
        if left_mm <= length_mm or course == reach.courses[-1]:
            places = lying(found, course)
            return at(places, left_mm).spot if places else None
        left_mm -= length_mm
    return None


def _stops(found: Survey) -> Iterator[Line]:
    gauge_mm = found.plan.laid_gauge_mm or _USUAL_GAUGE_MM
    for number, strand in enumerate(found.network.strands):
        if strand.limit != "buffer_stop":
            continue
        places = lying(found, 2 * number)
        if places:
            spot = places[-1].spot
            aside = 1j * spot.direction * gauge_mm * _HALF_A_STOP
            yield (spot.point + aside, spot.point - aside)


def _gaps(found: Survey) -> Iterator[DrawnName]:
    for circuit in found.closed.circuits:
        spot = found.placed.spot(circuit.closing_join[0])
        if circuit.gap.is_open(found.plan) and spot is not None:
            name = f"gap {millimetres(circuit.gap.mm)}"
            yield DrawnName(name=name, place=spot.point)


def _boards(found: Survey) -> Iterator[Line]:
    if found.plan.board is not None:
        yield tuple(complex(x, y) for x, y in found.plan.board.outline)
    for name, inner in inner_plans(found.plan):
        body = found.placed.bodies.get(name)
        if body is not None and inner.board is not None:
            corners = [Spot(complex(x, y), 1 + 0j) for x, y in inner.board.outline]
            yield tuple(within(body, corner).point for corner in corners)


def _notes(found: Survey) -> Iterator[str]:
    for fault in found.faults[:_MOST_NOTES]:
        yield f"wrong: {fault.message}"
    reasons = (
        *most(gap_reasons(found)),
        *most(unknown_reasons(found)),
        *most(unplaced_reasons(found)),
    )
    for reason in reasons[:_MOST_NOTES]:
        yield reason.message


def _gather(sources: Sources, request: PlanRequest, _look: None) -> PlanCase:
    return gather(sources, request)


DRAWING = Drawing(
    id="drawPlan",
    at="/v1/checks/plan/drawing",
    asks="Draw a track plan true to scale",
    tells=(
        "The same request as for the plan. Track with its points and roads by name,"
        " grey where trains may stand, with fouling marks, boards and a bar to measure"
        " by; what is wrong stands beneath."
    ),
    request=PlanRequest,
    gather=_gather,
    draw=plan_sheet,
    heavy=is_large,
    most_bytes=PLAN_BYTES,
    example=QUESTION.example,
    refused=QUESTION.refused,
)
