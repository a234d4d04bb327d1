"""Roads of track plans in what is asked: looked for when a case is reckoned.

A question whose case has places in it is ``@surveying``; it is heavy, as ``or_a_plan``
tells, where one of them is a road of a large plan.
"""

from collections.abc import Callable, Iterator
from functools import wraps
from typing import Any, TypeVar

import msgspec

from standage.questions.resolving.places import WholeLayout
from standage.questions.resolving.plan_roads import Ground, OnGround, Surveys
from standage.railway.track.plans.plan import Plan

MOST_LIGHT = 12
"""A plan of more pieces may take over 20 ms."""

C = TypeVar("C", bound=msgspec.Struct)
A = TypeVar("A")


def surveying(reckon: Callable[[C], A]) -> Callable[[C], A]:
    """Return ``reckon`` of a case whose roads of plans have the figures of their plans.

    It then raises ``Faulty`` where a road that a caller names is on no plan.
    """

    @wraps(reckon)
    def reckoned(case: C) -> A:
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
    return isinstance(value, tuple) and bool(value) and isinstance(value[0], OnGround)
