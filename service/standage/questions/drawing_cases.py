"""What the drawing of an answer rests on: the answer's own case, and the paper."""

from collections.abc import Callable
from typing import Generic, Protocol, TypeVar

import msgspec

from standage.questions.plan_drawing import PaperQuery
from standage.questions.sources import Sources
from standage.railway.slips.slip import Slip
from standage.railway.terms.reasons import Reason

R = TypeVar("R")
C = TypeVar("C")


class Answered(Protocol):
    """An answer of which there is a drawing."""

    @property
    def because(self) -> tuple[Reason, ...]:
        """Its reasons."""

    @property
    def warnings(self) -> tuple[Slip, ...]:
        """Figures that were probably meant otherwise."""


def notes_of(answer: Answered) -> tuple[str, ...]:
    """Return what is said beneath a drawing: slips, then the reasons."""
    return (
        *(slip.message for slip in answer.warnings),
        *(reason.message for reason in answer.because),
    )


class OnSheet(msgspec.Struct, Generic[C], frozen=True, kw_only=True):
    """All that an answer rests on, and the paper that it is drawn on."""

    case: C
    look: PaperQuery


def on_sheet(
    gather: Callable[[Sources, R], C],
) -> Callable[[Sources, R, PaperQuery], OnSheet[C]]:
    """Return how the case of a sheet is gathered, where that of its answer is so."""

    def gathered(sources: Sources, request: R, look: PaperQuery) -> OnSheet[C]:
        return OnSheet(case=gather(sources, request), look=look)

    return gathered


def as_answered(
    gather: Callable[[Sources, R], C],
) -> Callable[[Sources, R, None], C]:
    """Return how the case of a drawing is gathered that is shown in one way only."""

    def gathered(sources: Sources, request: R, _look: None) -> C:
        return gather(sources, request)

    return gathered
