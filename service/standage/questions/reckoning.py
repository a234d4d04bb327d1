"""What stands around the reckoning of every question: inline figures that are exactly as
they are written, roads of track plans that are looked for when a case is reckoned, and
the likely slips that its answer names.

Without ``exact`` a length of which nobody says how far off it may be is taken as good
to 1 mm, so that twenty-one vehicles that fill a road are too close to call. A question's
request and case are ``MayBeExact``, and its ``gather`` is ``@as_written``; the answer
says so by ``@warned``. A question whose case has places in it is ``@surveying``; it is
heavy, as ``or_a_plan`` tells, where one of them is a road of a large plan.
"""

from collections.abc import Callable, Iterator
from functools import wraps
from typing import Annotated, Any, TypeVar

import msgspec

from standage.questions.asked import AskedPlace, AskedVehicle
from standage.questions.resolving.plan_roads import Ground, OnGround, Surveys
from standage.questions.sources import WholeLayout
from standage.railway.slips.judges import remarks_on
from standage.railway.slips.slip import Slip
from standage.railway.stock.trains import MeasuredRake
from standage.railway.terms.figures import says
from standage.railway.terms.reasons import Assumed
from standage.railway.track.plans.plan import Plan
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
M = TypeVar("M", bound=MayBeExact)


def as_written(gather: Callable[[S, R], M]) -> Callable[[S, R], M]:
    """Return ``gather`` of a request whose inline figures are exact where it says so;
    its case then says so too.
    """

    @wraps(gather)
    def gathered(sources: S, request: R) -> M:
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
    settled = _plus_minus_meant(value)
    return msgspec.structs.replace(value, **exact, **settled)


def _plus_minus_meant(value: msgspec.Struct) -> dict[str, float]:
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


MOST_LIGHT = 12
"""A plan of more pieces may take over 20 ms."""

V = TypeVar("V")


def surveying(reckon: Callable[[C], V]) -> Callable[[C], V]:
    """Return ``reckon`` of a case whose roads of plans have the figures of their plans.

    It then raises ``Faulty`` where a road that a caller names is on no plan.
    """

    @wraps(reckon)
    def reckoned(case: C) -> V:
        return reckon(surveyed(case))

    return reckoned


def surveyed(case: C) -> C:
    """Return a case in which every road of a plan has the figures that its plan gives;
    raises ``Faulty`` for every one that is on none.
    """
    if all(one.on_plan is None for one in _grounds(case)):
        return case
    surveys = Surveys()
    settled: C = _settled(case, surveys)
    surveys.require_found()
    return settled


def or_a_plan(heavy: Callable[[Any], bool] | None = None) -> Callable[[Any], bool]:
    """Return what tells of a case whether it is heavy, or has a large plan in it."""

    def is_heavy(case: msgspec.Struct) -> bool:
        if heavy is not None and heavy(case):
            return True
        roads = (one.on_plan for one in _grounds(case) if one.on_plan is not None)
        return any(one.plan is not None and is_large(one.plan) for one in roads)

    return is_heavy


def is_large(plan: Plan) -> bool:
    """Tell whether a plan has so many pieces that it may take over 20 ms."""
    inner = [one.plan for one in plan.modules.values() if one.plan is not None]
    return sum(len(one.pieces) for one in (plan, *inner)) > MOST_LIGHT


def _grounds(value: Any) -> Iterator[Ground]:
    """Yield every place in a case: itself, and what stands in rows and in layouts."""
    if _is_ground(value):
        yield value
    for name in value.__struct_fields__:
        within = getattr(value, name)
        if isinstance(within, WholeLayout):
            yield from _grounds(within)
        elif isinstance(within, OnGround):
            yield within
        elif _is_row_of_places(within):
            yield from within


def _settled(value: Any, surveys: Surveys) -> Any:
    inside: dict[str, Any] = {}
    for name in value.__struct_fields__:
        within = getattr(value, name)
        if isinstance(within, WholeLayout):
            inside[name] = _settled(within, surveys)
        elif isinstance(within, OnGround):
            inside[name] = surveys.settled(within)
        elif _is_row_of_places(within):
            inside[name] = tuple(map(surveys.settled, within))
    value = msgspec.structs.replace(value, **inside)
    return surveys.settled(value) if _is_ground(value) else value


def _is_ground(value: msgspec.Struct) -> bool:
    """Tell whether a value is about one place: some cases are themselves."""
    return "on_plan" in value.__struct_fields__


def _is_row_of_places(value: object) -> bool:
    if not isinstance(value, tuple):
        return False
    return bool(value) and isinstance(value[0], OnGround)
