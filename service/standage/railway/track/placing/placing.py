"""Where every piece of a plan lies, walked from join to join; nothing is moved to
close.

A piece's *frame* is where its own 0 lies and which way its own right points. Modules
are placed whole, as rigid bodies.
"""

from collections.abc import Iterable, Mapping, Sequence
from heapq import heappop, heappush
from typing import Literal

import msgspec

from standage.railway.track.paths.spots import ORIGIN, Spot, towards
from standage.railway.track.pieces.piece_kinds import AnyPiece
from standage.railway.track.pieces.plain_pieces import Flexible, plain_shape
from standage.railway.track.pieces.shapes import Shape
from standage.railway.track.placing.fitting import Fit, fit
from standage.railway.track.plans.flat import (
    End,
    EndJoin,
    Flat,
    Mating,
    end_of,
    flattened,
    inner_plans,
)
from standage.railway.track.plans.plan import ModulePlan, Placed, Plan

WhyNot = Literal["no_shape", "not_joined", "beyond_no_shape"]


class Unplaced(msgspec.Struct, frozen=True, kw_only=True):
    """A piece that has no place: it has no shape, or nothing placed is joined to it."""

    piece: str
    because: WhyNot
    over: str | None = None


class Placing(msgspec.Struct, frozen=True, kw_only=True):
    """A plan with its pieces in their places.

    ``shapes`` has fitted track as it came out, by ``fits``; ``tree`` are the joins
    along which pieces were placed, ``left_over`` the others between placed pieces, in
    order.
    """

    flat: Flat
    shapes: dict[str, Shape]
    frames: dict[str, Spot]
    tree: tuple[EndJoin, ...]
    left_over: tuple[EndJoin, ...]
    unplaced: tuple[Unplaced, ...]
    fits: dict[str, Fit]
    bodies: dict[str, Spot]

    def spot(self, end: End) -> Spot | None:
        """Return where an end lies, pointing out of its piece; None without a place."""
        frame = self.frames.get(end[0])
        own = self.shapes[end[0]].ends[end[1]]
        if frame is None or own is None:
            return None
        return within(frame, own)


def within(frame: Spot, own: Spot) -> Spot:
    """Return where a spot of a frame lies in the plane."""
    turn = frame.direction
    return Spot(frame.point + turn * own.point, turn * own.direction)


def frame_for(own: Spot, target: Spot) -> Spot:
    """Return the frame in which the spot ``own`` lies at ``target``."""
    turn = target.direction * own.direction.conjugate()
    turn /= abs(turn)
    return Spot(target.point - turn * own.point, turn)


def placing(plan: Plan) -> Placing:
    """Return where the pieces of a plan lie, those of its modules included.

    Begins at what is ``placed``, else with the first piece of the first join, at 0 and
    to the right. What nothing joins to that has no place and is named. Takes n log n
    steps for n joins.
    """
    flat = flattened(plan)
    frames: dict[str, Spot] = {}
    tree: list[EndJoin] = []
    joins_of = _joins_within_bodies(flat)
    for name, inner in (("", plan), *inner_plans(plan)):
        walk = _Walk(flat, joins_of)
        walk.place(_seeds(inner, flat, name))
        frames |= walk.frames
        tree += walk.tree
    bodies = _module_seeds(plan)
    tree += _place_modules(flat, frames, bodies)
    shapes = dict(flat.shapes)
    fits = _fitted(flat, shapes, frames)
    shared = set(tree)
    return Placing(
        flat=flat,
        shapes=shapes,
        frames=frames,
        tree=tuple(tree),
        left_over=tuple(_left_over(flat, frames, fits, shared)),
        unplaced=tuple(_unplaced(flat, frames)),
        fits=fits,
        bodies=bodies,
    )


class _Walk:
    """Places the pieces of one body, each from the first join that reaches it."""

    def __init__(self, flat: Flat, joins_of: Mapping[str, Sequence[int]]) -> None:
        self.frames: dict[str, Spot] = {}
        self.tree: list[EndJoin] = []
        self._shapes = flat.shapes
        self._joins = flat.joins
        self._joins_of = joins_of
        self._waiting: list[int] = []

    def place(self, seeds: Iterable[tuple[str, Spot]]) -> None:
        """Place each seed that has no place yet, and all that is joined to it."""
        for piece, frame in seeds:
            if piece in self.frames or not self._shapes[piece].has_shape:
                continue
            self._put(piece, frame)
            while self._waiting:
                self._follow(self._joins[heappop(self._waiting)])

    def _put(self, piece: str, frame: Spot) -> None:
        self.frames[piece] = frame
        for number in self._joins_of.get(piece, ()):
            heappush(self._waiting, number)

    def _follow(self, join: EndJoin) -> None:
        known, new = join
        if known[0] not in self.frames:
            known, new = new, known
        own = self._shapes[new[0]].ends[new[1]]
        if new[0] in self.frames or own is None:
            return
        here = self._shapes[known[0]].ends[known[1]]
        if here is None:
            return
        spot = within(self.frames[known[0]], here)
        self.tree.append(join)
        self._put(new[0], frame_for(own, spot.turned_about))


def _joins_within_bodies(flat: Flat) -> dict[str, list[int]]:
    """Return the numbers of the joins at each piece, those between modules left out."""
    between = {join for mating in flat.matings for join in mating.joins}
    joins_of: dict[str, list[int]] = {}
    for number, join in enumerate(flat.joins):
        if join in between:
            continue
        for piece, _ in join:
            joins_of.setdefault(piece, []).append(number)
    return joins_of


def _seeds(plan: ModulePlan, flat: Flat, body: str) -> list[tuple[str, Spot]]:
    """Return what a body's walk begins at, with its frame."""
    prefix = f"{body}/" if body else ""
    placed = [one for one in plan.placed if prefix + one.piece in flat.pieces]
    if placed:
        return [_seed(one, prefix + one.piece, flat.shapes) for one in placed]
    first = _first_piece(plan, flat.shapes, prefix)
    if first is None:
        return []
    return [(first, _frame_at(flat.shapes[first], ORIGIN))]


def _first_piece(
    plan: ModulePlan, shapes: Mapping[str, Shape], prefix: str
) -> str | None:
    """Return the first piece in the first join; with none joined, the first by name."""
    named = (prefix + end_of(text)[0] for join in plan.joins for text in join)
    for piece in named:
        if piece in shapes and shapes[piece].has_shape:
            return piece
    shaped = [prefix + name for name in plan.pieces if shapes[prefix + name].has_shape]
    return min(shaped, default=None)


def _seed(placed: Placed, piece: str, shapes: Mapping[str, Shape]) -> tuple[str, Spot]:
    spot = _spot_of(placed)
    return piece, _frame_at(shapes[piece], spot)


def _spot_of(placed: Placed) -> Spot:
    return Spot(complex(placed.x_mm, placed.y_mm), towards(placed.heading_deg))


def _frame_at(shape: Shape, into: Spot) -> Spot:
    """Return the frame of a piece whose first end is entered at ``into``."""
    own = next(iter(shape.ends.values()), None)
    if own is None:
        return into
    return frame_for(own, into.turned_about)


def _place_modules(
    flat: Flat, frames: dict[str, Spot], bodies: dict[str, Spot]
) -> list[EndJoin]:
    """Move the modules' pieces to where the modules lie; return the joins that did it.

    ``bodies`` has the frames of the modules that have a place, and takes the others'.
    """
    tree: list[EndJoin] = []
    waiting = list(flat.matings)
    while (mating := _next_mating(waiting, bodies)) is not None:
        waiting.remove(mating)
        join = _first_known(mating.joins, flat.shapes, frames)
        if join is None:
            continue
        tree.append(join)
        one, other = (end[0] for end in mating.ends)
        known, new = join
        if other in bodies:
            one, other = other, one
            known, new = new, known
        target = within(bodies[one], _inner_spot(known, flat.shapes, frames))
        own = _inner_spot(new, flat.shapes, frames)
        bodies[other] = frame_for(own, target.turned_about)
    for name, pieces in flat.bodies.items():
        if name:
            _move_body(pieces, bodies.get(name), frames)
    return tree


def _next_mating(
    waiting: Iterable[Mating], bodies: Mapping[str, Spot]
) -> Mating | None:
    """Return the first of which one module has a place and the other none."""
    for mating in waiting:
        one, other = (end[0] for end in mating.ends)
        if (one in bodies) != (other in bodies):
            return mating
    return None


def _module_seeds(plan: Plan) -> dict[str, Spot]:
    """Return the frames of the modules that are placed; else the first one's own."""
    given = {one.piece: one for one in plan.placed if one.piece in plan.modules}
    if given:
        return {name: _spot_of(placed) for name, placed in given.items()}
    named = [end_of(text)[0] for join in plan.module_joins for text in join]
    known = [name for name in named if name in plan.modules]
    first = known[:1] or list(plan.modules)[:1]
    return dict.fromkeys(first, ORIGIN)


def _first_known(
    joins: Sequence[EndJoin], shapes: Mapping[str, Shape], frames: Mapping[str, Spot]
) -> EndJoin | None:
    for one, other in joins:
        is_known = one[0] in frames and other[0] in frames
        if is_known and shapes[one[0]].has_shape and shapes[other[0]].has_shape:
            return one, other
    return None


def _inner_spot(
    end: End, shapes: Mapping[str, Shape], frames: Mapping[str, Spot]
) -> Spot:
    own = shapes[end[0]].ends[end[1]]
    return within(frames[end[0]], own or ORIGIN)


def _move_body(
    pieces: Iterable[str], body: Spot | None, frames: dict[str, Spot]
) -> None:
    for piece in pieces:
        frame = frames.pop(piece, None)
        if frame is not None and body is not None:
            frames[piece] = within(body, frame)


def _fitted(
    flat: Flat, shapes: dict[str, Shape], frames: dict[str, Spot]
) -> dict[str, Fit]:
    """Lay fitted track between the ends it is joined to, where both have a place."""
    fits: dict[str, Fit] = {}
    for name, piece in flat.pieces.items():
        if not is_fitted(piece):
            continue
        spots = [_joined_spot((name, end), flat, frames) for end in ("a", "b")]
        start, finish = spots
        if start is None or finish is None:
            continue
        found = fit(start, finish.turned_about)
        fits[name] = found
        if found.runs is not None:
            shapes[name] = plain_shape(found.runs)
            frames[name] = start
    return fits


def _joined_spot(end: End, flat: Flat, frames: Mapping[str, Spot]) -> Spot | None:
    """Return the spot of what is joined to an end, looking out of it."""
    mate = flat.joint.get(end)
    if mate is None or mate[0] not in frames:
        return None
    own = flat.shapes[mate[0]].ends[mate[1]]
    return None if own is None else within(frames[mate[0]], own)


def is_fitted(piece: AnyPiece) -> bool:
    """Tell whether a piece is laid between its joined ends, wherever they lie."""
    return isinstance(piece, Flexible) and piece.fitted


def _left_over(
    flat: Flat, frames: Mapping[str, Spot], fits: Mapping[str, Fit], tree: set[EndJoin]
) -> Iterable[EndJoin]:
    for join in flat.joins:
        names = {join[0][0], join[1][0]}
        if join in tree or names & fits.keys() or not names <= frames.keys():
            continue
        yield join


def _unplaced(flat: Flat, frames: Mapping[str, Spot]) -> Iterable[Unplaced]:
    """Yield the pieces without a place, each with what keeps it from having one."""
    over: dict[str, str] = {}
    waiting = [
        name
        for name, shape in flat.shapes.items()
        if name not in frames and not shape.has_shape
    ]
    neighbours = _neighbours(flat)
    for name in waiting:
        yield Unplaced(piece=name, because="no_shape")
        reached = [name]
        while reached:
            for other in neighbours.get(reached.pop(), ()):
                is_free = other not in frames and flat.shapes[other].has_shape
                if is_free and other not in over:
                    over[other] = name
                    reached.append(other)
    for name, shape in flat.shapes.items():
        if name in frames or not shape.has_shape:
            continue
        because: WhyNot = "beyond_no_shape" if name in over else "not_joined"
        yield Unplaced(
            piece=name,
            because=because,
            over=over.get(name),
        )


def _neighbours(flat: Flat) -> dict[str, list[str]]:
    neighbours: dict[str, list[str]] = {}
    for one, other in flat.joins:
        neighbours.setdefault(one[0], []).append(other[0])
        neighbours.setdefault(other[0], []).append(one[0])
    return neighbours
