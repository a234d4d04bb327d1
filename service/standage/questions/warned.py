"""Every answer names the figures that were probably meant otherwise; it is done here
for all questions alike.

An answer has a last field ``warnings: Warnings = NOT_YET``, and its ``reckon`` is
``@warned``, which fills it.
"""

from collections.abc import Callable
from functools import wraps
from typing import Annotated, TypeVar

import msgspec

from standage.questions.exactness import said_exact
from standage.railway.slips.case import remarks_on
from standage.railway.slips.slip import Slip
from standage.railway.terms.figures import says


def _none() -> tuple[Slip, ...]:
    return ()


Warnings = Annotated[
    tuple[Slip, ...], says("Figures that were probably meant otherwise.")
]
NOT_YET: tuple[Slip, ...] = msgspec.field(default_factory=_none)
"""No default that an answer could leave out where it leaves defaults out: nothing was
found is told, too.
"""

C = TypeVar("C", bound=msgspec.Struct)
A = TypeVar("A", bound=msgspec.Struct)


def warned(reckon: Callable[[C], A]) -> Callable[[C], A]:
    """Return ``reckon`` with the likely slips in its case told in its answer."""

    @wraps(reckon)
    def reckoned(case: C) -> A:
        return with_warnings(reckon(case), case)

    return reckoned


def with_warnings(answer: A, case: msgspec.Struct) -> A:
    """Return ``answer`` with the likely slips in ``case``, and how its words and its
    exact figures are taken.
    """
    slips, words = remarks_on(case)
    taken = (*words, *said_exact(case))
    if taken and hasattr(answer, "assumed"):
        return msgspec.structs.replace(
            answer, warnings=slips, assumed=(*answer.assumed, *taken)
        )
    return msgspec.structs.replace(answer, warnings=slips)


def is_warned(answer: object) -> bool:
    """Tell whether a type is that of an answer which always names slips."""
    return (
        isinstance(answer, type)
        and issubclass(answer, msgspec.Struct)
        and any(
            field.default_factory is _none for field in msgspec.structs.fields(answer)
        )
    )
