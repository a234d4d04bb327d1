"""The sheet of a crossover."""

from standage.drawings.pointwork.crossovers import CrossoverDrawn, crossover_figure
from standage.drawings.pointwork.figure_sheets import figure_pages
from standage.questions.asked_points import points_facts
from standage.questions.crossover import QUESTION, CrossoverRequest, reckon
from standage.questions.drawing_cases import OnSheet, notes_of, on_sheet
from standage.questions.plan_drawing import PaperQuery, on_paper
from standage.questions.question import Drawing, as_asked


def crossover_sheet(sheet: OnSheet[CrossoverRequest]) -> str:
    """Return the crossover as SVG, with the reasons of the answer beneath it."""
    asked = sheet.case
    answer = reckon(asked)
    drawn = CrossoverDrawn(
        crossover=asked.crossover,
        radius_mm=asked.radius_mm,
        facts=points_facts(asked),
        notes=notes_of(answer),
    )
    pages = figure_pages(crossover_figure(drawn), sheet.look.paper)
    return on_paper(pages, sheet.look)


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
    gather=on_sheet(as_asked),
    draw=crossover_sheet,
    example=QUESTION.example,
    refused=QUESTION.refused,
)
