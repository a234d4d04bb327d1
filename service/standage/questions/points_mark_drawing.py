"""The sheet of a mark beyond points."""

from standage.drawings.pointwork.figure_sheets import figure_pages
from standage.drawings.pointwork.points_marks import MarkDrawn, mark_figure
from standage.questions.asked_points import points_facts
from standage.questions.drawing_cases import OnSheet, notes_of, on_sheet
from standage.questions.plan_drawing import PaperQuery, on_paper
from standage.questions.points_mark import (
    QUESTION,
    WITH_A_MARK,
    PointsMarkRequest,
    reckon,
)
from standage.questions.question import Drawing, as_asked


def points_mark_sheet(sheet: OnSheet[PointsMarkRequest]) -> str:
    """Return the mark as SVG, with the reasons of the answer beneath it."""
    asked = sheet.case
    answer = reckon(asked)
    drawn = MarkDrawn(
        wanted=asked.wanted,
        is_known=answer.verdict in WITH_A_MARK,
        facts=points_facts(asked),
        notes=notes_of(answer),
    )
    pages = figure_pages(mark_figure(drawn), sheet.look.paper)
    return on_paper(pages, sheet.look)


DRAWING = Drawing(
    id="drawPointsMark",
    at="/v1/checks/points-mark/drawing",
    asks="Draw the mark beyond points",
    tells=(
        "The same request as for the answer. Both legs, the mark between them and what is"
        " measured, true to scale."
    ),
    request=PointsMarkRequest,
    look=PaperQuery,
    gather=on_sheet(as_asked),
    draw=points_mark_sheet,
    example=QUESTION.example,
    refused=QUESTION.refused,
)
