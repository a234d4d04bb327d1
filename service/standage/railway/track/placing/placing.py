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
    end_of,
    flattened,
    inner_plans,
)
from standage.railway.track.plans.parts import Parts
from standage.railway.track.plans.plan import ModulePlan, Plan

WhyNot = Literal["no_shape", "not_joined", "beyond_no_shape"]


class Unplaced(msgspec.Struct, frozen=True, kw_only=True):
    """A piece that has no place: it has no shape, or nothing placed is joined to it.

    ``part`` stands for all that hang together without a place: the module where it is
    that which has none.
    """

    piece: str
    because: WhyNot
    part: str
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
    """Return where a spot of a frame lies in the plane. **Source** derived: a rotation
    and a shift.
    """
    turn = frame.direction
    point = frame.point + turn * own.point
    direction = turn * own.direction
    return Spot(point, direction)


def frame_for(own: Spot, target: Spot) -> Spot:
    """Return the frame in which the spot ``own`` lies at ``target``. It undoes
    ``within``. **Source** derived.
    """
    turn = target.direction * own.direction.conjugate()
    # of size 1 again, or errors would grow from piece to piece
    turn /= abs(turn)
    point = target.point - turn * own.point
    return Spot(point, turn)


def placing(plan: Plan) -> Placing:
    """Return where the pieces of a plan lie, those of its modules included.

    Begins at what is ``placed``, else with the first piece of the first join, at 0 and
    to the right. What nothing joins to that has no place and is named. Takes n log n
    steps for n joins. In mm. **Source** derived.
    """
    flat = flattened(plan)
    within_bodies = _joins_within_bodies(flat)
    inner: dict[str, Spot] = {}
    tree: list[EndJoin] = []
    for name, module in inner_plans(plan):
        prefix = f"{name}/"
        walk = _Walk(flat, within_bodies)
        walk.place(_given(module, flat, prefix) or _first(module, flat, prefix))
        inner |= walk.frames
        tree += walk.tree
    whole = _Walk(flat, _joins_of(flat, between_bodies(flat)), inner)
    whole.place(_given(plan, flat, ""))
    if not whole.bodies:
        whole.place(_first_module(plan))
    if not whole.frames:
        whole.place(_first(plan, flat, ""))
    tree += whole.tree
    frames = whole.frames
    shapes = dict(flat.shapes)
    fits = _fitted(flat, shapes, frames)
    shared = set(tree)
    return Placing(
        flat=flat,
        shapes=shapes,
        frames=frames,
        tree=tuple(tree),
        left_over=tuple(
            _left_over(
                flat,
                frames,
                fits,
                shared,
            )
        ),
        unplaced=tuple(_unplaced(flat, frames, whole.bodies)),
        fits=fits,
        bodies=whole.bodies,
    )


class _Walk:
    """Places pieces, each from the first join that reaches it, and modules whole.

    ``inner`` has the frames that the modules' pieces have in their modules; None for a
    walk within one of them.
    """

    def __init__(
        self,
        flat: Flat,
        joins_of: Mapping[str, Sequence[int]],
        inner: Mapping[str, Spot] | None = None,
    ) -> None:
        self.frames: dict[str, Spot] = {}
        self.bodies: dict[str, Spot] = {}
        self.tree: list[EndJoin] = []
        self._flat = flat
        self._shapes = flat.shapes
        self._joins_of = joins_of
        self._inner = inner or {}
        self._has_bodies = inner is not None
        self._waiting: list[int] = []

    def place(self, seeds: Iterable[tuple[str, Spot]]) -> None:
        """Place each seed that has no place yet, and all that is joined to it.

        A module's name ends with a stroke.
        """
        for name, frame in seeds:
            if name.endswith("/"):
                if name[:-1] not in self.bodies:
                    self._lay(name[:-1], frame)
            elif name not in self.frames and self._shapes[name].has_shape:
                self._put(name, frame)
            while self._waiting:
                self._follow(self._flat.joins[heappop(self._waiting)])

    def _lay(self, module: str, body: Spot) -> None:
        """Place a module's pieces as they lie in it."""
        self.bodies[module] = body
        for piece in self._flat.bodies.get(module, ()):
            if piece in self._inner:
                self._put(piece, within(body, self._inner[piece]))

    def _put(self, piece: str, frame: Spot) -> None:
        self.frames[piece] = frame
        for number in self._joins_of.get(piece, ()):
            heappush(self._waiting, number)

    def _follow(self, join: EndJoin) -> None:
        known, new = join
        if known[0] not in self.frames:
            known, new = new, known
        own = self._shapes[new[0]].ends[new[1]]
        here = self._shapes[known[0]].ends[known[1]]
        if new[0] in self.frames or own is None or here is None:
            return
        spot = within(self.frames[known[0]], here)
        frame = frame_for(own, spot.turned_about)
        module = module_of(new[0])
        if not self._has_bodies or not module:
            self._put(new[0], frame)
        elif new[0] in self._inner:
            self._lay(module, _body_of(self._inner[new[0]], frame))
        else:
            return
        self.tree.append(join)


def module_of(piece: str) -> str:
    """Return the module that a piece is of; nothing for one of the layout's own.
    **Source** derived.

    >>> module_of("west/T1"), module_of("T1")
    ('west', '')
    """
    return piece.rpartition("/")[0]


def _body_of(inner: Spot, frame: Spot) -> Spot:
    """Return the frame of a body in which what lies at ``inner`` in it has that
    frame."""
    turn = frame.direction * inner.direction.conjugate()
    turn /= abs(turn)
    return Spot(frame.point - turn * inner.point, turn)


def between_bodies(flat: Flat) -> list[int]:
    """Return the numbers of the joins that are not within one module. **Source**
    derived.
    """
    mated = {join for mating in flat.matings for join in mating.joins}
    return [
        number
        for number, join in enumerate(flat.joins)
        if join in mated or not _is_within(join)
    ]


def _is_within(join: EndJoin) -> bool:
    one, other = (module_of(piece) for piece, _ in join)
    return one == other != ""


def _joins_within_bodies(flat: Flat) -> dict[str, list[int]]:
    """Return the numbers of the joins at each piece that a module has within itself."""
    between = set(between_bodies(flat))
    inside = [number for number in range(len(flat.joins)) if number not in between]
    return _joins_of(flat, inside)


def _joins_of(flat: Flat, numbers: Iterable[int]) -> dict[str, list[int]]:
    """Return, of the joins with these numbers, those at each piece."""
    joins_of: dict[str, list[int]] = {}
    for number in numbers:
        for piece, _ in flat.joins[number]:
            joins_of.setdefault(piece, []).append(number)
    return joins_of


_Seeds = list[tuple[str, Spot]]


def _given(plan: ModulePlan, flat: Flat, prefix: str) -> _Seeds:
    """Return what is ``placed``, each with its frame."""
    modules = plan.modules if isinstance(plan, Plan) else {}
    seeds: _Seeds = []
    for placed in plan.placed:
        spot = Spot(complex(placed.x_mm, placed.y_mm), towards(placed.heading_deg))
        piece = prefix + placed.piece
        if placed.piece in modules:
            seeds.append((f"{placed.piece}/", spot))
        elif piece in flat.pieces:
            seeds.append((piece, _frame_at(flat.shapes[piece], spot)))
    return seeds


def _first_module(plan: Plan) -> _Seeds:
    """Return the module that keeps its frame where none is placed: the first one in
    ``module_joins``; with nothing else to begin at, the first by name.
    """
    named = (end_of(text)[0] for join in plan.module_joins for text in join)
    first = next((name for name in named if name in plan.modules), None)
    if first is None and not plan.pieces:
        first = min(plan.modules, default=None)
    if first is None:
        return []
    return [(f"{first}/", ORIGIN)]


def _first(plan: ModulePlan, flat: Flat, prefix: str) -> _Seeds:
    """Return the first piece in the first join; with none joined, the first by name."""
    shaped = {
        prefix + name for name in plan.pieces if flat.shapes[prefix + name].has_shape
    }
    named = (prefix + end_of(text)[0] for join in plan.joins for text in join)
    first = next((name for name in named if name in shaped), min(shaped, default=None))
    if first is None:
        return []
    return [(first, _frame_at(flat.shapes[first], ORIGIN))]


def _frame_at(shape: Shape, into: Spot) -> Spot:
    """Return the frame of a piece whose first end is entered at ``into``."""
    own = next(iter(shape.ends.values()), None)
    if own is None:
        return into
    return frame_for(own, into.turned_about)


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
    piece, name = mate
    own = flat.shapes[piece].ends[name]
    if own is None:
        return None
    return within(frames[piece], own)


def is_fitted(piece: AnyPiece) -> bool:
    """Tell whether a piece is laid between its joined ends, wherever they lie.
    **Source** derived.
    """
    if not isinstance(piece, Flexible):
        return False
    return piece.fitted


def _left_over(
    flat: Flat, frames: Mapping[str, Spot], fits: Mapping[str, Fit], tree: set[EndJoin]
) -> Iterable[EndJoin]:
    for join in flat.joins:
        names = {join[0][0], join[1][0]}
        if join in tree or names & fits.keys() or not names <= frames.keys():
            continue
        yield join


def _unplaced(
    flat: Flat, frames: Mapping[str, Spot], bodies: Mapping[str, Spot]
) -> Iterable[Unplaced]:
    """Yield the pieces without a place, each with what keeps it from having one."""
    over: dict[str, str] = {}
    waiting = [
        name
        for name, shape in flat.shapes.items()
        if name not in frames
        and not shape.has_shape
        and not is_fitted(flat.pieces[name])
    ]
    neighbours = _neighbours(flat)
    for name in waiting:
        yield Unplaced(
            piece=name,
            because="no_shape",
            part=name,
        )
        reached = [name]
        while reached:
            for other in neighbours.get(reached.pop(), ()):
                is_free = other not in frames and flat.shapes[other].has_shape
                if is_free and other not in over:
                    over[other] = name
                    reached.append(other)
    parts = _parts_without_a_place(flat, frames, bodies)
    for name, shape in flat.shapes.items():
        if name in frames or not shape.has_shape:
            continue
        because: WhyNot = "beyond_no_shape" if name in over else "not_joined"
        part = parts.of(_moves_with(name, bodies))
        yield Unplaced(
            piece=name,
            because=because,
            part=part,
            over=over.get(name),
        )


def _parts_without_a_place(
    flat: Flat, frames: Mapping[str, Spot], bodies: Mapping[str, Spot]
) -> Parts:
    parts = Parts()
    for one, other in flat.joins:
        names = one[0], other[0]
        if all(name not in frames and flat.shapes[name].has_shape for name in names):
            parts.join(*(_moves_with(name, bodies) for name in names))
    return parts


def _moves_with(piece: str, bodies: Mapping[str, Spot]) -> str:
    """Return a piece's module, if that has no place, else the piece itself."""
    module = module_of(piece)
    if module and module not in bodies:
        return module
    return piece


def _neighbours(flat: Flat) -> dict[str, list[str]]:
    neighbours: dict[str, list[str]] = {}
    for (piece, _), (other, _) in flat.joins:
        neighbours.setdefault(piece, []).append(other)
        neighbours.setdefault(other, []).append(piece)
    return neighbours
