"""Boards of unlike scale or gauge that are put together."""

from collections.abc import Iterator, Mapping

from standage.railway.terms.figures import millimetres, tidy
from standage.railway.terms.scales import same_scale
from standage.railway.track.placing.placing import Placing
from standage.railway.track.plans.flat import End, inner_plans
from standage.railway.track.plans.plan import ModulePlan, Plan

_SAME_GAUGE_MM = 0.05
"""Gauges that differ by less are one gauge, written with fewer figures."""


def unlike_boards(plan: Plan, placed: Placing) -> Iterator[str]:
    """Yield in words which modules do not suit what they are joined to, each pair once.

    The layout's own track is looked at as a module is. What does not say its scale or
    gauge suits everything. **Source** derived.
    """
    if not plan.modules:
        return
    boards: dict[str, ModulePlan] = {"": plan, **dict(inner_plans(plan))}
    order = {name: number for number, name in enumerate(boards)}
    seen: set[frozenset[str]] = set()
    for one, other in placed.flat.joins:
        pair = frozenset((_board(one, boards), _board(other, boards)))
        if len(pair) == 1 or pair in seen:
            continue
        seen.add(pair)
        near, far = sorted(pair, key=order.__getitem__)
        yield from _unlike(
            near,
            boards[near],
            far,
            boards[far],
        )


def _board(end: End, boards: Mapping[str, ModulePlan]) -> str:
    """Return the module that an end is of; nothing for the layout itself."""
    module, _, _ = end[0].rpartition("/")
    if module in boards:
        return module
    return ""


def _unlike(
    near: str, near_plan: ModulePlan, far: str, far_plan: ModulePlan
) -> Iterator[str]:
    near_gauge, far_gauge = near_plan.laid_gauge_mm, far_plan.laid_gauge_mm
    if near_gauge is not None and far_gauge is not None:
        apart_mm = abs(near_gauge - far_gauge)
        if apart_mm > _SAME_GAUGE_MM:
            gauges = f"{_gauge(near_gauge)} on {_name(near)}, {_gauge(far_gauge)} on"
            yield f"the rails do not meet: their gauge is {gauges} {_name(far)}"
    if near_plan.scale is None or far_plan.scale is None:
        return
    if not same_scale(near_plan.scale, far_plan.scale):
        scales = f"{_name(near)} is {near_plan.scale} and {_name(far)} {far_plan.scale}"
        yield f"{scales}: what stands clear on one may not do so on the other"


def _gauge(gauge_mm: float) -> str:
    return millimetres(tidy(gauge_mm))


def _name(module: str) -> str:
    return module or "the layout's own track"
