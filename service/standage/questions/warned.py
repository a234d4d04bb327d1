"""Every answer names the figures that were probably meant otherwise; it is done here for all questions alike."""

from collections.abc import Callable
from functools import wraps
from typing import Annotated, TypeVar

import msgspec

from standage.railway.slips.case import likely_slips
from standage.railway.slips.slip import Slip
from standage.railway.terms.figures import says


def _none() -> tuple[Slip, ...]:
    return ()


class Warned(msgspec.Struct, frozen=True, kw_only=True):
    """An answer that names the likely slips in what it rests on. They never change it."""

    warnings: Annotated[tuple[Slip, ...], says("Figures that were probably meant otherwise.")] = msgspec.field(
        default_factory=_none
    )


C = TypeVar("C", bound=msgspec.Struct)
A = TypeVar("A", bound=Warned)


def warned(reckon: Callable[[C], A]) -> Callable[[C], A]:
    """Return ``reckon`` with the likely slips in its case told in its answer."""

    @wraps(reckon)
    def reckoned(case: C) -> A:
        return with_warnings(reckon(case), case)

    return reckoned


def with_warnings(answer: A, case: msgspec.Struct) -> A:
    """Return ``answer`` with the likely slips in ``case``."""
    return msgspec.structs.replace(answer, warnings=likely_slips(case))
