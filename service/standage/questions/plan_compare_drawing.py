"""The sheet of an alteration: the plan as altered over the plan as it is."""

from standage.drawings.plans.alteration_sheets import DrawnAlteration, alteration_pages
from standage.drawings.plans.looks import Look
from standage.questions.drawing_cases import OnSheet, notes_of, on_sheet
from standage.questions.plan import surveyed
from standage.questions.plan_compare import (
    QUESTION,
    PlanCompareCase,
    PlanCompareRequest,
    gather,
    reckon,
)
from standage.questions.plan_drawing import PaperQuery, on_paper
from standage.questions.question import PLAN_BYTES, Drawing, always
from standage.railway.alterations.pieces_changed import pieces_changed


def alteration_sheet(sheet: OnSheet[PlanCompareCase]) -> str:
    """Return the sheet as SVG; raises ``Faulty`` where there is no such page."""
    case = sheet.case
    before, after = surveyed(case.before.case), surveyed(case.after.case)
    drawn = DrawnAlteration(
        before=before,
        after=after,
        pieces=pieces_changed(before, after),
        notes=notes_of(reckon(case)),
    )
    pages = alteration_pages(drawn, Look(paper=sheet.look.paper))
    return on_paper(pages, sheet.look)


DRAWING = Drawing(
    id="drawPlanAlteration",
    at="/v1/checks/plan-compare/drawing",
    asks="Draw what an alteration changes of a track plan",
    tells=(
        "The same request as for the answer. Both plans over each other: grey under what"
        " is new or altered, broken where track goes, a ring where it is laid."
    ),
    request=PlanCompareRequest,
    look=PaperQuery,
    gather=on_sheet(gather),
    draw=alteration_sheet,
    heavy=always,
    most_bytes=2 * PLAN_BYTES,
    example=QUESTION.example,
    refused=QUESTION.refused,
)
