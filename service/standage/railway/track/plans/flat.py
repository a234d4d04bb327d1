"""A plan as one list of pieces and joins, those of its modules included.

In a layout a module's pieces bear its name in front: west/T1. An end is told as a pair,
the piece and the end's name there.
"""

from collections.abc import Iterable, Iterator, Mapping

import msgspec

from standage.railway.terms.scales import Practice
from standage.railway.track.pieces.piece_kinds import AnyPiece
from standage.railway.track.pieces.shapes import Shape
from standage.railway.track.plans.plan import ModulePlan, Plan, PlanModuleEnd

End = tuple[str, str]
"""A piece's name, and one of its ends."""
EndJoin = tuple[End, End]


class Mating(msgspec.Struct, frozen=True, kw_only=True):
    """Two module ends that are put together: which ends of pieces meet, and which do
    not.

    ``number`` is that of the module join.
    """

    number: int
    ends: tuple[End, End]
    joins: tuple[EndJoin, ...]
    unmet: tuple[End, ...]


class Flat(msgspec.Struct, frozen=True, kw_only=True):
    """All pieces by their names in the whole, and all joins between them.

    ``bodies`` are the modules' names with their pieces; the plan's own go by "".
    """

    pieces: dict[str, AnyPiece]
    shapes: dict[str, Shape]
    joins: tuple[EndJoin, ...]
    matings: tuple[Mating, ...]
    bodies: dict[str, tuple[str, ...]]
    joint: dict[End, End]


def end_of(text: str) -> End:
    """Return an end as a pair. The end's name follows the last point; piece names have
    none. **Source** derived.

    >>> end_of("west/P1.toe")
    ('west/P1', 'toe')
    """
    piece, _, end = text.rpartition(".")
    return piece, end


def written(end: End) -> str:
    """Return an end as it is written in a plan. **Source** derived.

    >>> written(("P1", "toe"))
    'P1.toe'
    """
    return f"{end[0]}.{end[1]}"


def flattened(plan: Plan) -> Flat:
    """Return all pieces and sound joins of a plan and of its modules' plans.

    A join with an end that does not exist, or that is joined already, is left out:
    ``plan_faults`` tells of it. Modules whose plan is not given here have no pieces.
    **Source** derived.
    """
    pieces: dict[str, AnyPiece] = dict(plan.pieces)
    shapes = shapes_of(plan.pieces, practice=plan.practice)
    bodies = {"": tuple(plan.pieces)}
    wanted = list(joins_of(plan, prefix=""))
    for name, inner in inner_plans(plan):
        prefix = f"{name}/"
        own = {prefix + piece: one for piece, one in inner.pieces.items()}
        pieces |= own
        shapes |= shapes_of(own, practice=inner.practice)
        bodies[name] = tuple(own)
        wanted += joins_of(inner, prefix=prefix)
    joint: dict[End, End] = {}
    joins = tuple(_sound(wanted, shapes, joint))
    matings = tuple(_matings(plan, shapes, joint))
    return Flat(
        pieces=pieces,
        shapes=shapes,
        joins=joins + tuple(join for one in matings for join in one.joins),
        matings=matings,
        bodies=bodies,
        joint=joint,
    )


def inner_plans(plan: Plan) -> Iterator[tuple[str, ModulePlan]]:
    """Yield the modules of which the plan is given, by their names. **Source** derived."""
    for name, module in plan.modules.items():
        if module.plan is not None:
            yield name, module.plan


def shapes_of(
    pieces: Mapping[str, AnyPiece], *, practice: Practice
) -> dict[str, Shape]:
    """Return the shapes of pieces; like pieces share one. Lengths in mm. **Source**
    derived; each shape names its own in ``pieces``.
    """
    known: dict[AnyPiece, Shape] = {}
    shapes: dict[str, Shape] = {}
    for name, piece in pieces.items():
        shape = known.get(piece)
        if shape is None:
            shape = known[piece] = piece.shape(practice)
        shapes[name] = shape
    return shapes


def joins_of(plan: ModulePlan, *, prefix: str) -> Iterator[EndJoin]:
    """Yield the joins of one plan by their ends. ``prefix`` is the module's name and a
    stroke; nothing for a plan's own. **Source** derived.
    """
    for text, other_text in plan.joins:
        piece, end = end_of(text)
        other_piece, other_end = end_of(other_text)
        one = (prefix + piece, end)
        other = (prefix + other_piece, other_end)
        yield one, other


def _sound(
    wanted: Iterable[EndJoin], shapes: Mapping[str, Shape], joint: dict[End, End]
) -> Iterator[EndJoin]:
    """Yield the joins of ends that are there and free; note them in ``joint``."""
    for one, other in wanted:
        if one == other or one in joint or other in joint:
            continue
        if _exists(one, shapes) and _exists(other, shapes):
            joint[one] = other
            joint[other] = one
            yield one, other


def _exists(end: End, shapes: Mapping[str, Shape]) -> bool:
    piece, name = end
    shape = shapes.get(piece)
    if shape is None:
        return False
    return name in shape.ends


def module_end(plan: Plan, end: End) -> PlanModuleEnd | None:
    """Return the end of a module by the module's name and its own; None for no such.
    **Source** derived.
    """
    module = plan.modules.get(end[0])
    if module is None or module.plan is None:
        return None
    ends = (one for one in module.plan.module_ends if one.name == end[1])
    return next(ends, None)


def _matings(
    plan: Plan, shapes: Mapping[str, Shape], joint: dict[End, End]
) -> Iterator[Mating]:
    used: set[End] = set()
    for number, (first, second) in enumerate(plan.module_joins):
        one, other = end_of(first), end_of(second)
        near = module_end(plan, one)
        far = module_end(plan, other)
        if near is None or far is None or one == other or {one, other} & used:
            continue
        used |= {one, other}
        tracks = tracks_of(one[0], near)
        opposite = tracks_of(other[0], far)[::-1]
        pairs = list(zip(tracks, opposite, strict=False))
        unmet = tracks[len(pairs) :] + opposite[len(pairs) :]
        joins = tuple(_sound(pairs, shapes, joint))
        yield Mating(
            number=number,
            ends=(one, other),
            joins=joins,
            unmet=unmet,
        )


def tracks_of(module: str, end: PlanModuleEnd) -> tuple[End, ...]:
    """Return the tracks that cross a module's end, as the layout names them. **Source**
    derived.
    """
    found = [end_of(track) for track in end.tracks]
    return tuple((f"{module}/{piece}", name) for piece, name in found)
