"""The sheet of a move: each run on the plan, with the train at its end."""

from collections.abc import Iterator

from standage.drawings.plans.drawn_runs import DrawnMove, DrawnRun
from standage.drawings.plans.lettering import kept_apart
from standage.drawings.plans.looks import Look
from standage.drawings.plans.move_sheets import move_pages
from standage.questions.drawing_cases import OnSheet, notes_of, on_sheet
from standage.questions.move import (
    QUESTION,
    MoveCase,
    Moved,
    MoveRequest,
    gather,
    moved,
)
from standage.questions.move_words import leading_end
from standage.questions.plan_drawing import PaperQuery, on_paper
from standage.questions.question import PLAN_BYTES, Drawing, always
from standage.questions.reckoning import with_warnings
from standage.railway.terms.figures import cut, millimetres


def move_sheet(sheet: OnSheet[MoveCase]) -> str:
    """Return the sheet as SVG; where the train does not get there it says why. Raises
    ``Faulty`` where there is no such page.
    """
    found = moved(sheet.case)
    look = Look(paper=sheet.look.paper)
    pages = move_pages(found.known.found, look, _drawn(sheet.case, found))
    return on_paper(pages, sheet.look)


def _drawn(case: MoveCase, found: Moved) -> DrawnMove:
    answer = with_warnings(found.answer, case)
    return DrawnMove(
        title=_title(case, found),
        train_mm=found.train_mm,
        runs=tuple(_runs(found)),
        notes=notes_of(answer),
    )


def _title(case: MoveCase, found: Moved) -> str:
    """Return which train goes from where to where, or that it does not."""
    length_mm = found.answer.train_length_mm
    train = "A train" if length_mm is None else f"A train of {millimetres(length_mm)}"
    start = _named(case.start.place)
    if case.to.place is not None:
        way = f"from {start} to {_named(case.to.place)}"
    else:
        way = f"from {start}, out at {_named(case.to.open_end or '')}"
    if found.answer.verdict == "impossible":
        return f"Impossible: {train.lower()} {way}"
    return f"{train} {way}"


def _named(name: str) -> str:
    """Return a name as it stands in a title: not too long, and apart from its words."""
    return kept_apart(cut(name))


def _runs(found: Moved) -> Iterator[DrawnRun]:
    for facts, told in zip(found.runs, found.answer.runs, strict=True):
        yield DrawnRun(
            message=told.message,
            courses=facts.run.courses,
            from_mm=facts.run.from_mm,
            to_mm=facts.run.to_mm,
            engine_leads=leading_end(facts.run) == "engine",
            leaves=not told.to,
            spare_mm=facts.spare_mm,
        )


DRAWING = Drawing(
    id="drawMove",
    at="/v1/checks/move/drawing",
    asks="Draw a move, run by run",
    tells=(
        "The same request as for the answer. Each run on the plan, with the train where"
        " it stands after it and how to get there; a plan without a shape is drawn"
        " straightened. Where the train does not get there the sheet says why."
    ),
    request=MoveRequest,
    look=PaperQuery,
    gather=on_sheet(gather),
    draw=move_sheet,
    heavy=always,
    most_bytes=PLAN_BYTES,
    example=QUESTION.example,
    refused=QUESTION.refused,
)
