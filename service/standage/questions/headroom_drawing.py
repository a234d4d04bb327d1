"""The sheet of one track over another."""

from standage.drawings.headroom_stacks import DrawnLayer, DrawnStack, stack_drawing
from standage.questions.drawing_cases import as_answered, notes_of
from standage.questions.headroom import (
    QUESTION,
    HeadroomCase,
    HeadroomRequest,
    gather,
    reckon,
)
from standage.questions.question import Drawing


def headroom_sheet(case: HeadroomCase) -> str:
    """Return the stack of ``case`` as SVG, with the reasons of the answer beneath it."""
    answer = reckon(case)
    layers = [
        DrawnLayer(layer=one.layer, height_mm=one.height_mm, from_mm=one.from_mm)
        for one in answer.stack
    ]
    drawn = DrawnStack(
        layers=tuple(layers),
        needed_mm=answer.rail_to_rail_mm,
        there_mm=case.rail_to_rail_mm,
        notes=(
            *notes_of(answer),
            *answer.cautions,
        ),
    )
    return stack_drawing(drawn)


DRAWING = Drawing(
    id="drawHeadroom",
    at="/v1/checks/headroom/drawing",
    asks="Draw one track over another",
    tells=(
        "The same request as for the answer. Rail, deck, reserve, a wire's room and the"
        " stock as a stack true to scale, with what there is from rail to rail; beneath"
        " it the sum and the reasons."
    ),
    request=HeadroomRequest,
    gather=as_answered(gather),
    draw=headroom_sheet,
    example=QUESTION.example,
    refused=QUESTION.refused,
)
