"""The sheet of a mark beyond points."""

import msgspec

from standage.drawings.pointwork.figure_sheets import figure_pages
from standage.drawings.pointwork.points_marks import MarkDrawn, mark_figure
from standage.questions.asked_points import points_facts
from standage.questions.plan_drawing import PaperQuery, on_paper
from standage.questions.points_mark import (
    QUESTION,
    WITH_A_MARK,
    PointsMarkRequest,
    reckon,
)
from standage.questions.question import Drawing
from standage.questions.sources import Sources


class PointsMarkSheetCase(msgspec.Struct, frozen=True, kw_only=True):
    """A mark, and the paper that it is drawn on."""

    mark: PointsMarkRequest
    look: PaperQuery


def points_mark_sheet(case: PointsMarkSheetCase) -> str:
    """Return the mark as SVG, with the reasons of the answer beneath it."""
    answer = reckon(case.mark)
    drawn = MarkDrawn(
        wanted=case.mark.wanted,
        is_known=answer.verdict in WITH_A_MARK,
        facts=points_facts(case.mark),
        notes=(
            *(slip.message for slip in answer.warnings),
            *(reason.message for reason in answer.because),
        ),
    )
    pages = figure_pages(mark_figure(drawn), case.look.paper)
    return on_paper(pages, case.look)


def _gather(
    _sources: Sources, request: PointsMarkRequest, look: PaperQuery
) -> PointsMarkSheetCase:
    return PointsMarkSheetCase(mark=request, look=look)


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
    gather=_gather,
    draw=points_mark_sheet,
    example=QUESTION.example,
    refused=QUESTION.refused,
)
