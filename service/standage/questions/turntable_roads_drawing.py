"""The sheet of the roads off a turntable."""

import msgspec

from standage.drawings.pointwork.figure_sheets import figure_pages
from standage.drawings.pointwork.turntables import TurntableDrawn, turntable_figure
from standage.questions.plan_drawing import PaperQuery, on_paper
from standage.questions.question import Drawing
from standage.questions.sources import Sources
from standage.questions.turntable_roads import QUESTION, TurntableRoadsRequest, reckon
from standage.railway.terms.scales import scale


class TurntableRoadsSheetCase(msgspec.Struct, frozen=True, kw_only=True):
    """Two roads off a turntable, and the paper that they are drawn on."""

    roads: TurntableRoadsRequest
    look: PaperQuery


def turntable_roads_sheet(case: TurntableRoadsSheetCase) -> str:
    """Return the roads as SVG, with the reasons of the answer beneath them."""
    answer = reckon(case.roads)
    drawn = TurntableDrawn(
        roads=case.roads.roads,
        gauge_mm=_gauge_mm(case.roads),
        facts=_facts(case.roads),
        notes=(
            *(slip.message for slip in answer.warnings),
            *(reason.message for reason in answer.because),
        ),
    )
    pages = figure_pages(turntable_figure(drawn), case.look.paper)
    return on_paper(pages, case.look)


def _gauge_mm(request: TurntableRoadsRequest) -> float | None:
    if request.scale is None:
        return None
    return scale(request.scale).gauge_mm


def _facts(request: TurntableRoadsRequest) -> tuple[tuple[str, str], ...]:
    if request.scale is None:
        return ()
    return (("scale", request.scale), ("gauge", f"{_gauge_mm(request):g} mm"))


def _gather(
    _sources: Sources, request: TurntableRoadsRequest, look: PaperQuery
) -> TurntableRoadsSheetCase:
    return TurntableRoadsSheetCase(roads=request, look=look)


DRAWING = Drawing(
    id="drawTurntableRoads",
    at="/v1/checks/turntable-roads/drawing",
    asks="Draw two roads off a turntable",
    tells=(
        "The same request as for the answer. The rim, both roads and from where they are"
        " clear of each other, true to scale."
    ),
    request=TurntableRoadsRequest,
    look=PaperQuery,
    gather=_gather,
    draw=turntable_roads_sheet,
    example=QUESTION.example,
    refused=QUESTION.refused,
)
