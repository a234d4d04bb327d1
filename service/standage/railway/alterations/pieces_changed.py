"""Which pieces of a plan an alteration adds, takes up, moves or makes otherwise."""

from collections.abc import Iterator, Sequence
from math import inf

import msgspec

from standage.railway.terms.figures import tidy
from standage.railway.track.paths.spots import ORIGIN, Spot
from standage.railway.track.pieces.pieces import State
from standage.railway.track.placing.placing import Placing, frame_for, within
from standage.railway.track.plans.plan import Plan
from standage.railway.track.survey.survey import Survey

_STANDS_MM = 0.01
"""A piece stands where no end of it lies so far from where it lay: nobody could tell."""
_STEP_MM = 0.05
_STEP_OF_A_TURN = 1e-6
"""Motions that differ by less are counted as one: a metre away it makes 0.001 mm."""
LAID: frozenset[State] = frozenset({"laid", "fixed"})


class ChangedPiece(msgspec.Struct, frozen=True, kw_only=True):
    """A piece that is not as it was, in the state that it had, or has if it is new.

    ``by_mm`` is how far the end that moves most lies from where it was; None where the
    piece has no place in one of the plans.
    """

    piece: str
    state: State
    by_mm: float | None = None

    @property
    def is_laid(self) -> bool:
        """Whether there is track to be taken up for it."""
        return self.state in LAID


class PiecesChanged(msgspec.Struct, frozen=True, kw_only=True):
    """What is done to the pieces of a plan, laid ones first.

    ``altered`` have other figures than they had; ``rejoined`` are as and where they
    were, and joined otherwise.
    """

    added: tuple[ChangedPiece, ...]
    removed: tuple[ChangedPiece, ...]
    moved: tuple[ChangedPiece, ...]
    altered: tuple[ChangedPiece, ...]
    rejoined: tuple[ChangedPiece, ...]

    @property
    def coming_up(self) -> tuple[ChangedPiece, ...]:
        """What is laid and has to come up, by its name."""
        touched = (*self.removed, *self.moved, *self.altered)
        laid = {one.piece: one for one in touched if one.is_laid}
        return tuple(laid[name] for name in sorted(laid))


def pieces_changed(before: Survey, after: Survey) -> PiecesChanged:
    """Return what is done to the pieces of the plan ``before`` to make it ``after``.

    Pieces are known by their names. In mm. **Source** derived.
    """
    was, now = before.placed.flat.pieces, after.placed.flat.pieces
    shared = _shared(before, after)
    alike = _alike(before, after)
    motion = _common_motion(before, after, alike)
    moves = {name: _moved_by_mm(before, after, name, motion) for name in shared}
    states = {name: was[name].state or "planned" for name in was}
    others = set(shared).difference(alike)
    went = [name for name in alike if _has_moved(moves[name])]
    stood = set(alike).difference(went)
    return PiecesChanged(
        added=_listed(
            ChangedPiece(piece=name, state=now[name].state or "planned")
            for name in now
            if name not in was
        ),
        removed=_listed(
            ChangedPiece(piece=name, state=states[name])
            for name in was
            if name not in now
        ),
        moved=_listed(
            ChangedPiece(piece=name, state=states[name], by_mm=moves[name])
            for name in went
        ),
        altered=_listed(
            ChangedPiece(piece=name, state=states[name], by_mm=moves[name])
            for name in others
        ),
        rejoined=_listed(
            ChangedPiece(piece=name, state=states[name])
            for name in _rejoined(before.placed, after.placed)
            if name in stood
        ),
    )


def common_motion(before: Survey, after: Survey) -> Spot:
    """Return what lays the plan ``before`` upon the plan ``after``, so that what stands
    lies where it is: a turn, and a shift in mm. **Source** derived.
    """
    return _common_motion(before, after, _alike(before, after))


def _shared(before: Survey, after: Survey) -> list[str]:
    """Return the pieces that both plans have, in the order of the first."""
    now = after.placed.flat.pieces
    return [name for name in before.placed.flat.pieces if name in now]


def _alike(before: Survey, after: Survey) -> list[str]:
    """Return the pieces that have the same figures in both plans."""
    was, now = before.placed.flat.pieces, after.placed.flat.pieces

    def is_alike(name: str) -> bool:
        return _figures(was[name]) == _figures(now[name])

    return list(filter(is_alike, _shared(before, after)))


def _listed(pieces: Iterator[ChangedPiece]) -> tuple[ChangedPiece, ...]:
    """Return pieces with those that are laid first, then by name."""
    return tuple(sorted(pieces, key=lambda one: (not one.is_laid, one.piece)))


def _figures(piece: msgspec.Struct) -> msgspec.Struct:
    """Return a piece without its state: laying it as planned changes no figure."""
    return msgspec.structs.replace(piece, state=None)


def _has_moved(by_mm: float | None) -> bool:
    return by_mm is not None and by_mm > _STANDS_MM


def _common_motion(before: Survey, after: Survey, alike: Sequence[str]) -> Spot:
    """Return the motion of the plane that as many pieces as can be have in common,
    laid ones above all; none where the ground itself has a place.
    """
    if _has_ground(before.plan) and _has_ground(after.plan):
        return ORIGIN
    weights: dict[tuple[int, ...], list[int]] = {}
    motions: dict[tuple[int, ...], Spot] = {}
    for name in sorted(alike):
        motion = _motion(before.placed, after.placed, name)
        if motion is None:
            continue
        key = _rounded(motion)
        motions.setdefault(key, motion)
        weight = weights.setdefault(key, [0, 0])
        state = before.placed.flat.pieces[name].state
        weight[0] += state in LAID
        weight[1] += 1
    if not weights:
        return ORIGIN
    at_rest = _rounded(ORIGIN)

    def how_many(key: tuple[int, ...]) -> tuple[list[int], bool]:
        return weights[key], key == at_rest

    return motions[max(weights, key=how_many)]


def _has_ground(plan: Plan) -> bool:
    return bool(plan.board or plan.obstacles or plan.placed)


def _motion(before: Placing, after: Placing, name: str) -> Spot | None:
    """Return what brings a piece from where it was to where it is."""
    was, now = before.frames.get(name), after.frames.get(name)
    if was is None or now is None:
        return None
    return frame_for(was, now)


def _rounded(motion: Spot) -> tuple[int, ...]:
    point, direction = motion
    return (
        round(point.real / _STEP_MM),
        round(point.imag / _STEP_MM),
        round(direction.real / _STEP_OF_A_TURN),
        round(direction.imag / _STEP_OF_A_TURN),
    )


def _moved_by_mm(
    before: Survey, after: Survey, name: str, motion: Spot
) -> float | None:
    """Return how far the end of a piece that moves most lies from where it was."""
    farthest_mm = -inf
    for end in before.placed.flat.pieces[name].ends:
        if end not in after.placed.flat.pieces[name].ends:
            continue
        was, now = before.placed.spot((name, end)), after.placed.spot((name, end))
        if was is None or now is None:
            return None
        moved_mm = abs(now.point - within(motion, was).point)
        farthest_mm = max(farthest_mm, moved_mm)
    return None if farthest_mm < 0 else tidy(farthest_mm)


def _rejoined(before: Placing, after: Placing) -> Iterator[str]:
    """Yield the pieces of which some end is joined to another one than it was."""
    for name, piece in before.flat.pieces.items():
        ends = [(name, end) for end in piece.ends]
        was = [before.flat.joint.get(end) for end in ends]
        now = [after.flat.joint.get(end) for end in ends]
        if was != now:
            yield name
