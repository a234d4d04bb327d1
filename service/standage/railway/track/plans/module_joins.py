"""How modules are joined: what is wrong with that, and what it holds together."""

from collections.abc import Iterable, Iterator, Mapping

from standage.railway.terms.figures import listed
from standage.railway.track.pieces.piece_kinds import AnyPiece
from standage.railway.track.plans.flat import (
    End,
    EndJoin,
    end_of,
    inner_plans,
    joins_of,
    module_end,
    tracks_of,
    written,
)
from standage.railway.track.plans.near_names import NearNames, did_you_mean
from standage.railway.track.plans.parts import Parts
from standage.railway.track.plans.plan import ModulePlan, Plan
from standage.shapes.faults import Fault


def joined_in_modules(layout: Plan | None) -> dict[End, str]:
    """Return the ends that modules join within themselves, as the layout names them,
    each with what it is joined to. **Source** derived.
    """
    joined: dict[End, str] = {}
    if layout is None:
        return joined
    for name, inner in inner_plans(layout):
        for one, other in joins_of(inner, prefix=f"{name}/"):
            joined.setdefault(one, written(other))
            joined.setdefault(other, written(one))
    return joined


def is_loose(piece: AnyPiece) -> bool:
    """Tell whether a piece holds what is joined to it in no place. **Source** derived."""
    return piece.without_shape or getattr(piece, "fitted", False)


def rigid_parts(plan: ModulePlan, layout: Plan | None) -> Parts:
    """Return the parts of a plan that hold together, by joins whose shape is known.

    A module is one part, by its name with a stroke. **Source** derived.
    """
    parts = Parts()
    pieces: dict[str, AnyPiece] = dict(plan.pieces)
    wanted = list(joins_of(plan, prefix=""))
    if layout is not None:
        for name, inner in inner_plans(layout):
            pieces |= {f"{name}/{own}": one for own, one in inner.pieces.items()}
        wanted += _mated(layout)
    rigid = {name for name, piece in pieces.items() if not is_loose(piece)}
    for one, other in wanted:
        if one[0] in rigid and other[0] in rigid:
            parts.join(_body(one[0]), _body(other[0]))
    return parts


def _body(piece: str) -> str:
    """Return what a piece moves with: its module, or itself alone."""
    module, stroke, _ = piece.rpartition("/")
    if stroke:
        return module + stroke
    return piece


def _mated(layout: Plan) -> Iterator[EndJoin]:
    for first, second in layout.module_joins:
        one, other = end_of(first), end_of(second)
        near, far = module_end(layout, one), module_end(layout, other)
        if near is not None and far is not None:
            opposite = tracks_of(other[0], far)[::-1]
            yield from zip(tracks_of(one[0], near), opposite, strict=False)


def module_join_faults(plan: Plan) -> Iterator[Fault]:
    """Yield what is wrong with the joins of modules. **Source** derived."""
    used: dict[str, str] = {}
    near = NearNames(plan.modules)
    laid = {end for join in joins_of(plan, prefix="") for end in join}
    for number, join in enumerate(plan.module_joins):
        pointer = f"/module_joins/{number}"
        unknown = [
            fault
            for place, text in enumerate(join)
            for fault in _end_amiss(
                plan,
                text,
                near,
                f"{pointer}/{place}",
            )
        ]
        yield from unknown
        if join[0] == join[1]:
            message = f"{join[0]} is joined to itself"
            yield Fault(
                code="joined_to_itself",
                message=message,
                pointer=pointer,
            )
            continue
        yield from _joined_before(join, used, pointer)
        used.setdefault(join[0], join[1])
        used.setdefault(join[1], join[0])
        for place, text in enumerate(join):
            yield from _track_joined(
                plan,
                text,
                laid,
                f"{pointer}/{place}",
            )


def _joined_before(
    join: tuple[str, ...], used: Mapping[str, str], pointer: str
) -> Iterator[Fault]:
    for place, text in enumerate(join):
        before, now = used.get(text), join[1 - place]
        if before is None:
            continue
        if before == now:
            message = f"{text} and {now} are joined already"
            yield Fault(
                code="joined_twice",
                message=message,
                pointer=pointer,
            )
            return
        message = f"{text} is joined twice: to {before} and to {now}"
        at = f"{pointer}/{place}"
        yield Fault(
            code="joined_twice",
            message=message,
            pointer=at,
        )


def _track_joined(
    plan: Plan, text: str, laid: set[End], pointer: str
) -> Iterator[Fault]:
    """Yield the tracks of a module's end that the layout's own track is joined to."""
    end = end_of(text)
    found = module_end(plan, end)
    for track in () if found is None else tracks_of(end[0], found):
        if track in laid:
            message = f"{written(track)} is joined twice: to track, and at {text}"
            yield Fault(
                code="joined_twice",
                message=message,
                pointer=pointer,
            )


def _end_amiss(plan: Plan, text: str, near: NearNames, pointer: str) -> Iterable[Fault]:
    name, own = end_of(text)
    module = plan.modules.get(name)
    if text in plan.modules:
        message = f"say which end of {text} it is, as {text}.east"
        yield Fault(
            code="unknown_end",
            message=message,
            pointer=pointer,
        )
        return
    if module is None:
        hint = did_you_mean(near.near(name or text))
        message = f"there is no module {name or text}{hint}"
        yield Fault(
            code="unknown_module",
            message=message,
            pointer=pointer,
        )
        return
    if module.plan is None or module_end(plan, (name, own)) is not None:
        return
    ends = [one.name for one in module.plan.module_ends]
    message = f"{name} has no end {own}{_ends_hint(own, ends)}"
    yield Fault(
        code="unknown_end",
        message=message,
        pointer=pointer,
    )


def _ends_hint(own: str, ends: list[str]) -> str:
    """Return which end was meant, else those that there are."""
    if not ends:
        return ": its plan names no module_ends"
    return did_you_mean(NearNames(ends).near(own)) or f"; it has {listed(ends)}"
