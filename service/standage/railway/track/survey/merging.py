"""A layout and what its modules have on their track, as one plan."""

from collections.abc import Sequence
from typing import Any

import msgspec

from standage.railway.track.plans.flat import inner_plans
from standage.railway.track.plans.plan import ModulePlan, Plan, PlannedPlace
from standage.shapes.faults import Fault, escaped

_LISTS = ("heights", "fittings", "places")


class Merged(msgspec.Struct, frozen=True, kw_only=True):
    """One plan, and where each entry of its lists was written."""

    plan: Plan
    pointers: dict[str, Sequence[str]]

    def pointing(self, fault: Fault) -> Fault:
        """Return a fault of the one plan with the pointer of what was sent."""
        _, field, number, *rest = (fault.pointer or "").split("/")
        at = self.pointers[field][int(number)]
        pointer = "/".join((at, *rest))
        return msgspec.structs.replace(fault, pointer=pointer)


def merged(plan: Plan) -> Merged:
    """Return a plan with its modules' heights, fittings and places beside its own.

    The pieces of a module's are told by the module's name in front. Takes as many steps
    as there are entries. **Source** derived.
    """
    lists: dict[str, list[Any]] = {}
    pointers: dict[str, list[str]] = {}
    for field in _LISTS:
        own = getattr(plan, field)
        lists[field] = list(own)
        pointers[field] = [f"/{field}/{number}" for number in range(len(own))]
    for name, inner in inner_plans(plan):
        for field in _LISTS:
            added = _entries(inner, field, prefix=f"{name}/")
            lists[field] += added
            at = f"/modules/{escaped(name)}/plan/{field}"
            pointers[field] += [f"{at}/{number}" for number in range(len(added))]
    whole = {field: tuple(entries) for field, entries in lists.items()}
    return Merged(
        plan=msgspec.structs.replace(plan, **whole),
        pointers={**pointers},
    )


def _entries(plan: ModulePlan, field: str, *, prefix: str) -> list[Any]:
    return [_under(entry, prefix) for entry in getattr(plan, field)]


def _under(entry: Any, prefix: str) -> Any:
    """Return an entry that names the pieces as the layout does."""
    if not isinstance(entry, PlannedPlace):
        return _named_under(entry, prefix)
    on: tuple[str, ...] | None = None
    if entry.on is not None:
        on = tuple(prefix + name for name in entry.on)
    stretch = [_named_under(part, prefix) for part in entry.stretch or ()]
    return msgspec.structs.replace(
        entry,
        on=on,
        stretch=tuple(stretch) or None,
    )


def _named_under(entry: Any, prefix: str) -> Any:
    return msgspec.structs.replace(entry, piece=prefix + entry.piece)
