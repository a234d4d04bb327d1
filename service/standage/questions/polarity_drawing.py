"""The sheet of a plan's polarity: reversing circuits, and where gaps are to be cut."""

from standage.drawings.plans.looks import Look
from standage.drawings.plans.polarity_sheets import DrawnPolarity, polarity_pages
from standage.questions.drawing_cases import OnSheet, notes_of, on_sheet
from standage.questions.plan_drawing import PaperQuery, on_paper
from standage.questions.polarity import (
    QUESTION,
    PolarityCase,
    PolarityRequest,
    gather,
    reckon,
)
from standage.questions.polarity_answer import PolarityAnswer
from standage.questions.question import PLAN_BYTES, Drawing, always
from standage.railway.track.survey.survey import survey


def polarity_sheet(sheet: OnSheet[PolarityCase]) -> str:
    """Return the sheet as SVG; raises ``Faulty`` where there is no such page."""
    answer = reckon(sheet.case)
    drawn = DrawnPolarity(
        circuits=answer.reversing_circuits,
        to_gap=_to_gap(answer),
        notes=notes_of(answer),
        cautions=answer.cautions,
    )
    look = Look(paper=sheet.look.paper)
    pages = polarity_pages(survey(sheet.case.plan), look, drawn)
    return on_paper(pages, sheet.look)


def _to_gap(answer: PolarityAnswer) -> tuple[tuple[str, ...], ...]:
    """Return the first of the smallest sets of joins to gap, for the longest length that
    is asked about and has one.
    """
    with_sets = [one for one in answer.smallest if one.sets]
    if not with_sets:
        return ()
    return max(with_sets, key=lambda one: one.for_mm).sets[0]


DRAWING = Drawing(
    id="drawPolarity",
    at="/v1/checks/polarity/drawing",
    asks="Draw where rails meet the wrong way, and where to gap them",
    tells=(
        "The same request as for the answer. Grey under every circuit that brings the"
        " left rail back as the right one, its gaps and feeds, and rings where the"
        " smallest set of further gaps goes, for the longest of smallest_for_mm."
    ),
    request=PolarityRequest,
    look=PaperQuery,
    gather=on_sheet(gather),
    draw=polarity_sheet,
    heavy=always,
    most_bytes=PLAN_BYTES,
    example=QUESTION.example,
    refused=QUESTION.refused,
)
