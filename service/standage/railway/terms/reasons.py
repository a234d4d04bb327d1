"""What stands behind an answer: its reasons, and the figures in it that nobody
measured.
"""

from collections.abc import Iterable
from typing import Literal, TypeVar

import msgspec


class Reason(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One reason for a verdict: a stable code, plain words, and the figures it rests
    on.

    ``brings`` is the verdict that a piece of advice brings.
    """

    code: str
    message: str
    vehicle: str | None = None
    other_vehicle: str | None = None
    place: str | None = None
    field: str | None = None
    value_mm: float | None = None
    limit_mm: float | None = None
    amount_mm: float | None = None
    value_deg: float | None = None
    limit_deg: float | None = None
    value_percent: float | None = None
    limit_percent: float | None = None
    ratio: float | None = None
    brings: str | None = None


class Assumed(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A figure in the answer that nobody measured, and where it was taken from."""

    field: str
    message: str
    # "given_by_type" is told no more, since what the club recorded is no guess; callers
    # were promised that it may come.
    source: Literal[
        "typical",
        "scaled",
        "default",
        "common_practice",
        "given_by_type",
        "taken_as_read",
    ]
    vehicle: str | None = None
    value_mm: float | None = None
    plus_minus_mm: float | None = None
    value_percent: float | None = None
    value: str | None = None


def named_once(reasons: Iterable[Reason]) -> tuple[Reason, ...]:
    """Return the reasons in their order, each once; a figure that is missing only as it
    is first asked for. **Source** derived.
    """
    once: dict[object, Reason] = {}
    for reason in reasons:
        same: object = reason
        if reason.code == "missing_figure":
            same = (
                reason.vehicle,
                reason.other_vehicle,
                reason.place,
                reason.field,
            )
        once.setdefault(same, reason)
    return tuple(once.values())


V = TypeVar("V", bound=str)


def worst(verdicts: Iterable[V], *, order: tuple[V, ...]) -> V:
    """Return the verdict that stands first in ``order`` (worst first); ``order[-1]``
    when there is none. **Source** derived.
    """
    mildest = order[-1]
    return min(
        verdicts,
        key=order.index,
        default=mildest,
    )
