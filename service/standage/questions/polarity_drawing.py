"""The sheet of a plan's polarity: reversing circuits, and where gaps are to be cut."""

import msgspec

from standage.drawings.plans.looks import Look
from standage.drawings.plans.polarity_sheets import DrawnPolarity, polarity_pages
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
from standage.questions.sources import Sources
from standage.railway.track.survey.survey import survey


class PolaritySheetCase(msgspec.Struct, frozen=True, kw_only=True):
    """A sheet of a plan's polarity, and all that it rests on."""

    polarity: PolarityCase
    look: PaperQuery


def polarity_sheet(case: PolaritySheetCase) -> str:
    """Return the sheet as SVG; raises ``Faulty`` where there is no such page."""
    answer = reckon(case.polarity)
    drawn = DrawnPolarity(
        circuits=answer.reversing_circuits,
        to_gap=_to_gap(answer),
        notes=(
            *(slip.message for slip in answer.warnings),
            *(reason.message for reason in answer.because),
        ),
        cautions=answer.cautions,
    )
    look = Look(paper=case.look.paper)
    pages = polarity_pages(survey(case.polarity.plan), look, drawn)
    return on_paper(pages, case.look)


def _to_gap(answer: PolarityAnswer) -> tuple[tuple[str, ...], ...]:
    """Return the first of the smallest sets of joins to gap, for the longest length that
    is asked about and has one.
    """
    with_sets = [one for one in answer.smallest if one.sets]
    if not with_sets:
        return ()
    return max(with_sets, key=lambda one: one.for_mm).sets[0]


def _gather(
    sources: Sources, request: PolarityRequest, look: PaperQuery
) -> PolaritySheetCase:
    return PolaritySheetCase(polarity=gather(sources, request), look=look)


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
    gather=_gather,
    draw=polarity_sheet,
    heavy=always,
    most_bytes=PLAN_BYTES,
    example=QUESTION.example,
    refused=QUESTION.refused,
)
