"""Inline figures that are exactly as they are written, for every question that takes
any.

Without it a length of which nobody says how far off it may be is taken as good to 1 mm,
so that twenty-one vehicles that fill a road are too close to call. A question's request
and case are ``MayBeExact``, and its ``gather`` is ``@as_written``; the answer says so
by ``@warned``.
"""

from collections.abc import Callable
from functools import wraps
from typing import Annotated, Any, TypeVar

import msgspec

from standage.questions.asked import AskedPlace, AskedVehicle
from standage.railway.stock.trains import MeasuredRake
from standage.railway.terms.figures import says
from standage.railway.terms.reasons import Assumed
from standage.shapes.open_fields import open_fields


class MayBeExact(msgspec.Struct, frozen=True, kw_only=True):
    """A question, or its case, in which inline figures may be exactly as they are
    written.
    """

    exact: Annotated[
        bool,
        says(
            "Whether figures given inline are exactly as written: a ± that is given"
            " with them still counts, and so does that of whatever is on record or"
            " scaled from the full size."
        ),
    ] = False


S = TypeVar("S")
R = TypeVar("R", bound=MayBeExact)
C = TypeVar("C", bound=MayBeExact)


def as_written(gather: Callable[[S, R], C]) -> Callable[[S, R], C]:
    """Return ``gather`` of a request whose inline figures are exact where it says so;
    its case then says so too.
    """

    @wraps(gather)
    def gathered(sources: S, request: R) -> C:
        if not request.exact:
            return gather(sources, request)
        return msgspec.structs.replace(
            gather(sources, without_doubt(request)), exact=True
        )

    return gathered


def without_doubt(request: R) -> R:
    """Return the request with ± 0 for every inline length of which it gives none."""
    exact: R = _without_doubt(request)
    return exact


def said_exact(case: msgspec.Struct) -> tuple[Assumed, ...]:
    """Return what a case says of its inline figures where they are exact."""
    if not (isinstance(case, MayBeExact) and case.exact):
        return ()
    message = (
        "lengths given with the question are taken exactly as written; a ± that is"
        " given with one counts"
    )
    return (Assumed(field="exact", message=message, source="taken_as_read"),)


def _without_doubt(value: Any) -> Any:
    if isinstance(value, tuple):
        return tuple(map(_without_doubt, value))
    if not isinstance(value, msgspec.Struct):
        return value
    exact = {}
    for name in open_fields(type(value)):
        inside = getattr(value, name)
        exact[name] = _without_doubt(inside)
    settled = _settled(value)
    return msgspec.structs.replace(value, **exact, **settled)


def _settled(value: msgspec.Struct) -> dict[str, float]:
    """Return the ± that counts where none is given; nothing for what is on record, or
    what is not measured.
    """
    if isinstance(value, AskedVehicle):
        measured = value.length_mm is not None or value.bodies is not None
        unsaid = (
            measured and value.vehicle_id is None and value.length_plus_minus_mm is None
        )
        return {"length_plus_minus_mm": 0.0} if unsaid else {}
    if isinstance(value, MeasuredRake):
        return (
            {"length_plus_minus_mm": 0.0} if value.length_plus_minus_mm is None else {}
        )
    if isinstance(value, AskedPlace):
        unsaid = value.usable_length_mm is not None and value.plus_minus_mm is None
        return {"plus_minus_mm": 0.0} if unsaid else {}
    return {}
