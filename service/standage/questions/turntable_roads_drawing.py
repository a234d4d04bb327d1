"""The sheet of the roads off a turntable."""

from standage.drawings.pointwork.figure_sheets import figure_pages
from standage.drawings.pointwork.turntables import TurntableDrawn, turntable_figure
from standage.questions.drawing_cases import OnSheet, notes_of, on_sheet
from standage.questions.plan_drawing import PaperQuery, on_paper
from standage.questions.question import Drawing, as_asked
from standage.questions.turntable_roads import QUESTION, TurntableRoadsRequest, reckon
from standage.railway.terms.scales import scale


def turntable_roads_sheet(sheet: OnSheet[TurntableRoadsRequest]) -> str:
    """Return the roads as SVG, with the reasons of the answer beneath them."""
    asked = sheet.case
    answer = reckon(asked)
    drawn = TurntableDrawn(
        roads=asked.roads,
        gauge_mm=_gauge_mm(asked),
        facts=_facts(asked),
        notes=notes_of(answer),
    )
    pages = figure_pages(turntable_figure(drawn), sheet.look.paper)
    return on_paper(pages, sheet.look)


def _gauge_mm(request: TurntableRoadsRequest) -> float | None:
    if request.scale is None:
        return None
    return scale(request.scale).gauge_mm


def _facts(request: TurntableRoadsRequest) -> tuple[tuple[str, str], ...]:
    if request.scale is None:
        return ()
    return (("scale", request.scale), ("gauge", f"{_gauge_mm(request):g} mm"))


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
    gather=on_sheet(as_asked),
    draw=turntable_roads_sheet,
    example=QUESTION.example,
    refused=QUESTION.refused,
)
