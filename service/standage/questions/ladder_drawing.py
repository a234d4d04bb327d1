"""The sheet of a ladder."""

import msgspec

from standage.drawings.pointwork.figure_sheets import figure_pages
from standage.drawings.pointwork.ladders import LadderDrawn, ladder_figure
from standage.questions.asked_points import points_facts
from standage.questions.ladder import QUESTION, LadderRequest, reckon
from standage.questions.plan_drawing import PaperQuery, on_paper
from standage.questions.question import Drawing
from standage.questions.sources import Sources


class LadderSheetCase(msgspec.Struct, frozen=True, kw_only=True):
    """A ladder, and the paper that it is drawn on."""

    ladder: LadderRequest
    look: PaperQuery


def ladder_sheet(case: LadderSheetCase) -> str:
    """Return the ladder as SVG, with the reasons of the answer beneath it."""
    answer = reckon(case.ladder)
    drawn = LadderDrawn(
        ladder=case.ladder.ladder,
        gauge_mm=case.ladder.known_gauge_mm,
        radius_mm=case.ladder.radius_mm,
        facts=points_facts(case.ladder),
        notes=(
            *(slip.message for slip in answer.warnings),
            *(reason.message for reason in answer.because),
        ),
    )
    pages = figure_pages(ladder_figure(drawn), case.look.paper)
    return on_paper(pages, case.look)


def _gather(
    _sources: Sources, request: LadderRequest, look: PaperQuery
) -> LadderSheetCase:
    return LadderSheetCase(ladder=request, look=look)


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
    gather=_gather,
    draw=ladder_sheet,
    example=QUESTION.example,
    refused=QUESTION.refused,
)
