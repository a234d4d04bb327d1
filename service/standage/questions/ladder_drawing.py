"""The sheet of a ladder."""

from standage.drawings.pointwork.figure_sheets import figure_pages
from standage.drawings.pointwork.ladders import LadderDrawn, ladder_figure
from standage.questions.asked_points import points_facts
from standage.questions.drawing_cases import OnSheet, notes_of, on_sheet
from standage.questions.ladder import QUESTION, LadderRequest, reckon
from standage.questions.plan_drawing import PaperQuery, on_paper
from standage.questions.question import Drawing, as_asked


def ladder_sheet(sheet: OnSheet[LadderRequest]) -> str:
    """Return the ladder as SVG, with the reasons of the answer beneath it."""
    asked = sheet.case
    answer = reckon(asked)
    drawn = LadderDrawn(
        ladder=asked.ladder,
        gauge_mm=asked.known_gauge_mm,
        radius_mm=asked.radius_mm,
        facts=points_facts(asked),
        notes=notes_of(answer),
    )
    pages = figure_pages(ladder_figure(drawn), sheet.look.paper)
    return on_paper(pages, sheet.look)


DRAWING = Drawing(
    id="drawLadder",
    at="/v1/checks/ladder/drawing",
    asks="Draw a ladder",
    tells=(
        "The same request as for the answer. The lead, the ladder, every road and the pitch"
        " along both, true to scale."
    ),
    request=LadderRequest,
    look=PaperQuery,
    gather=on_sheet(as_asked),
    draw=ladder_sheet,
    example=QUESTION.example,
    refused=QUESTION.refused,
)
