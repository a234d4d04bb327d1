"""The sheet of a crossover."""

import msgspec

from standage.drawings.pointwork.crossovers import CrossoverDrawn, crossover_figure
from standage.drawings.pointwork.figure_sheets import figure_pages
from standage.questions.asked_points import points_facts
from standage.questions.crossover import QUESTION, CrossoverRequest, reckon
from standage.questions.plan_drawing import PaperQuery, on_paper
from standage.questions.question import Drawing
from standage.questions.sources import Sources


class CrossoverSheetCase(msgspec.Struct, frozen=True, kw_only=True):
    """A crossover, and the paper that it is drawn on."""

    crossover: CrossoverRequest
    look: PaperQuery


def crossover_sheet(case: CrossoverSheetCase) -> str:
    """Return the crossover as SVG, with the reasons of the answer beneath it."""
    answer = reckon(case.crossover)
    drawn = CrossoverDrawn(
        crossover=case.crossover.crossover,
        radius_mm=case.crossover.radius_mm,
        facts=points_facts(case.crossover),
        notes=(
            *(slip.message for slip in answer.warnings),
            *(reason.message for reason in answer.because),
        ),
    )
    pages = figure_pages(crossover_figure(drawn), case.look.paper)
    return on_paper(pages, case.look)


def _gather(
    _sources: Sources, request: CrossoverRequest, look: PaperQuery
) -> CrossoverSheetCase:
    return CrossoverSheetCase(crossover=request, look=look)


DRAWING = Drawing(
    id="drawCrossover",
    at="/v1/checks/crossover/drawing",
    asks="Draw a crossover",
    tells=(
        "The same request as for the answer. Both roads, the crossover, its noses and what"
        " is measured, true to scale."
    ),
    request=CrossoverRequest,
    look=PaperQuery,
    gather=_gather,
    draw=crossover_sheet,
    example=QUESTION.example,
    refused=QUESTION.refused,
)
