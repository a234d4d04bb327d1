"""Which pieces the faults of a plan are about."""

from collections.abc import Iterator, Sequence

from standage.railway.track.plans.plan import ModulePlan, Plan
from standage.railway.track.survey.survey import Survey
from standage.shapes.faults import Fault, unescaped

_OF_A_MODULE = 3
"""So many parts of a pointer lead to a module's plan: ``/modules/west/plan``."""


def touched_pieces(found: Survey) -> tuple[str, ...]:
    """Return the pieces that faults are about, or whose joins they are about, each
    once; a module's by their names in the layout.

    Tracks that meet a module of which there is no plan are among them. What is wrong
    with places, heights and whatever lies beside the track is left out. **Source**
    derived.
    """
    touched: dict[str, None] = {}
    for fault in found.faults:
        touched |= dict.fromkeys(_touched(found.plan, fault))
    return tuple(touched)


def _touched(plan: Plan, fault: Fault) -> Iterator[str]:
    parts = [unescaped(part) for part in (fault.pointer or "").split("/")[1:]]
    if parts[:1] != ["modules"]:
        yield from _named(plan, parts)
        if parts[:1] == ["module_joins"]:
            for end in plan.module_joins[int(parts[1])]:
                yield from _tracks_at(plan, end)
        return
    name, below = parts[1], parts[_OF_A_MODULE:]
    inner = plan.modules[name].plan
    if inner is None:
        yield from _tracks_beside(plan, name)
        return
    for piece in _named(inner, below):
        yield f"{name}/{piece}"


def _named(plan: ModulePlan, parts: Sequence[str]) -> Iterator[str]:
    """Yield the pieces that a pointer into one plan names."""
    if parts[:1] == ["pieces"]:
        yield from parts[1:2]
    elif parts[:1] == ["joins"]:
        for end in plan.joins[int(parts[1])]:
            yield end.rpartition(".")[0]


def _tracks_beside(plan: Plan, name: str) -> Iterator[str]:
    """Yield the pieces of other modules that are to meet those of one."""
    for join in plan.module_joins:
        if any(end.startswith(f"{name}.") for end in join):
            for end in join:
                yield from _tracks_at(plan, end)


def _tracks_at(plan: Plan, end: str) -> Iterator[str]:
    """Yield the pieces whose tracks cross a module's end, as a layout names them."""
    module, _, name = end.partition(".")
    laid = plan.modules.get(module)
    if laid is None or laid.plan is None:
        return
    for one in laid.plan.module_ends:
        if one.name == name:
            for track in one.tracks:
                piece = track.rpartition(".")[0]
                yield f"{module}/{piece}"
