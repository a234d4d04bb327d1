"""The sheet of what stands beside the track."""

from standage.drawings.lineside_plans import Curve
from standage.drawings.lineside_sections import Section
from standage.drawings.lineside_sheets import DrawnLineside, lineside_drawing
from standage.questions.drawing_cases import as_answered, notes_of
from standage.questions.lineside import (
    QUESTION,
    LinesideAnswer,
    LinesideRequest,
    gather,
    reckon,
)
from standage.questions.lineside_case import Known, LinesideCase, known_of
from standage.questions.question import Drawing, always
from standage.railway.lineside.bodies_beside import BodyBeside
from standage.railway.lineside.edges import Reach
from standage.railway.terms.figures import millimetres
from standage.railway.terms.nem import ample_height_mm
from standage.railway.terms.scales import scale


def lineside_sheet(case: LinesideCase) -> str:
    """Return what stands beside the track of ``case`` as SVG, with the reasons of the
    answer beneath it.
    """
    answer = reckon(case)
    known = known_of(case)
    drawn = DrawnLineside(
        called=_called(case),
        section=_section(case, known, answer),
        curve=_curve(case, known, answer),
        notes=(*notes_of(answer),),
    )
    return lineside_drawing(drawn)


def _called(case: LinesideCase) -> str:
    what = case.what.capitalize()
    if case.radius_mm is None:
        return f"{what} beside straight track, {case.scale}"
    beyond = "beside a curve"
    if case.ends_at_mm is not None:
        beyond = "where a curve ends"
    return f"{what} {beyond}, R {millimetres(case.radius_mm)}, {case.scale}"


def _section(
    case: LinesideCase, known: Known, answer: LinesideAnswer
) -> Section | None:
    inside, outside = answer.worst_inside, answer.worst_outside
    if answer.worst is None or inside is None or outside is None:
        return None
    return Section(
        what=case.what,
        gauge_mm=scale(case.scale).gauge_mm,
        vehicle=answer.worst.vehicle,
        half_width_mm=_body(known, answer.worst).half_width_mm,
        stock_mm=_height_mm(case, answer.worst),
        inside_mm=answer.inside_mm or 0.0,
        outside_mm=answer.outside_mm or 0.0,
        inside_reach_mm=inside.reach_mm,
        outside_reach_mm=outside.reach_mm,
        height_mm=answer.height_mm,
        centres_mm=answer.track_centres_mm,
    )


def _curve(case: LinesideCase, known: Known, answer: LinesideAnswer) -> Curve | None:
    """Return the plan of a curve; beyond one, with what swings out the farthest."""
    shown = answer.worst
    if case.ends_at_mm is not None:
        shown = answer.worst_outside
    if shown is None or case.radius_mm is None:
        return None
    outline = _body(known, shown).outline
    if outline is None:
        return None
    if shown.part == "rear":
        outline = outline.turned_about
    return Curve(
        outline=outline,
        radius_mm=case.radius_mm,
        gauge_mm=scale(case.scale).gauge_mm,
        inside_mm=answer.inside_mm or 0.0,
        outside_mm=answer.outside_mm or 0.0,
        ends_at_mm=case.ends_at_mm,
        centres_mm=answer.track_centres_mm,
    )


def _body(known: Known, reach: Reach) -> BodyBeside:
    return next(
        body
        for body in known.bodies
        if (body.passer.vehicle, body.name) == (reach.vehicle, reach.body)
    )


def _height_mm(case: LinesideCase, reach: Reach) -> float:
    """Return how high a vehicle is drawn: where nobody measured it, as any may be."""
    vehicle = next(one for one in case.vehicles if one.name == reach.vehicle)
    if vehicle.height_mm is not None:
        return vehicle.height_mm
    return ample_height_mm(vehicle.scale or case.scale, practice=vehicle.practice)


DRAWING = Drawing(
    id="drawLineside",
    at="/v1/checks/lineside/drawing",
    asks="Draw what stands beside the track",
    tells=(
        "The same request as for the answer. A cross-section with the edges and how far"
        " the stock reaches, and on a curve a plan with the vehicle that decides; beneath"
        " them the reasons."
    ),
    request=LinesideRequest,
    gather=as_answered(gather),
    draw=lineside_sheet,
    heavy=always,
    example=QUESTION.example,
    refused=QUESTION.refused,
)
