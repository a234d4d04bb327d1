"""How hard an alignment tries a joint: how much of their swing the couplings use, and
whether the buffers lock.
"""

from collections.abc import Iterable, Sequence
from math import degrees, inf

import msgspec

from standage.railway.curving.buffers import Faces
from standage.railway.curving.pairs import CoupledPair, PairStanding
from standage.railway.curving.passages import Measure, greatest
from standage.railway.curving.path import Path
from standage.railway.curving.verdicts import CurveVerdict
from standage.railway.terms.figures import tidy

MARGINAL_FROM = 0.8
"""Of the swing a coupling has, above which it is marginal. **Source** common
practice.
"""


class TriedJoint(msgspec.Struct, frozen=True, kw_only=True):
    """All that decides how a joint bears a curve, without the names: two joints that
    are alike are equal.

    ``pulled`` is the pair pulled out, ``pushed`` buffered up. ``swings`` are the most
    that the leading coupling and the following one can swing, in radians; None is not
    known. ``faces`` are the buffers that face each other, None where an end has none or
    their places are not known; ``heads_known`` tells whether the width of both heads
    is. ``outermost_mm`` is the most that there can be between the outer edges of an
    end's two buffers, the mean of both ends; None is not known. No head is wider than
    ``widest_head_mm``.
    """

    pulled: CoupledPair
    pushed: CoupledPair
    swings: tuple[float | None, float | None]
    has_buffers: bool
    faces: Faces | None = None
    heads_known: bool = False
    outermost_mm: float | None = None
    widest_head_mm: float = inf
    guided: bool = False

    @property
    def pivots_known(self) -> bool:
        """Whether both couplings' own pivots are known."""
        return (
            self.pulled.leading.pivot_behind_mm is not None
            and self.pulled.following.pivot_behind_mm is not None
        )

    @property
    def pulling_known(self) -> bool:
        """Whether all is known that tells whether the couplings swing too far."""
        return self.pivots_known and self.pivots_apart and None not in self.swings

    @property
    def pushing_known(self) -> bool:
        """Whether all is known that tells whether the buffers lock."""
        return not self.has_buffers or (self.heads_known and not self.guided)

    @property
    def pivots_apart(self) -> bool:
        """Whether the two pivots stand apart on straight track, so that a line joins
        them.
        """
        behind_mm = (self.pulled.leading.pivot_behind_mm or 0.0) + (
            self.pulled.following.pivot_behind_mm or 0.0
        )
        return not self.pivots_known or tidy(self.pulled.gap_mm + behind_mm) > 0


class Strain(msgspec.Struct, frozen=True, kw_only=True):
    """The worst of a joint on some paths. Angles in degrees; None is what cannot be
    told.

    ``shares`` are how much of their swing the leading coupling and the following one
    use. ``buffer_gap_mm`` is the least gap on the inside, ``outermost_gap_mm`` what it
    would be with buffers as far out as they can be. With heads of known width
    ``locking_margin_mm`` is how far the buffers are from locking, else
    ``head_needed_mm`` the least width of head that does not lock.
    """

    offset_mm: float
    swings_deg: tuple[float, float] | None
    shares: tuple[float | None, float | None]
    buffer_gap_mm: float | None
    outermost_gap_mm: float | None
    locking_margin_mm: float | None
    head_needed_mm: float | None

    @property
    def pulling(self) -> CurveVerdict:
        """What the couplings' swing makes of it."""
        known = [share for share in self.shares if share is not None]
        if any(share > 1 for share in known):
            return "does_not_run"
        if len(known) < len(self.shares):
            return "cannot_tell"
        return "marginal" if any(share > MARGINAL_FROM for share in known) else "runs"

    def telling_swing(self, joint: TriedJoint) -> tuple[float | None, float | None]:
        """Return the swing of the coupling that uses most of what it has, and what that
        one has; else the greater.
        """
        if self.swings_deg is None:
            return None, None
        known = [-1.0 if each is None else each for each in self.shares]
        if max(known) < 0:
            return max(self.swings_deg), None
        telling = 0 if known[0] >= known[1] else 1
        most = joint.swings[telling]
        return self.swings_deg[telling], None if most is None else tidy(degrees(most))


def strain(paths: Iterable[Path], joint: TriedJoint) -> Strain | None:
    """Return the worst of ``joint`` on all of ``paths``, or None where it cannot stand
    on one of them.
    """
    found = [_on_one(each, joint) for each in paths]
    known = [each for each in found if each is not None]
    if len(known) < len(found):
        return None
    offset_mm, one, other, bend, lock = (
        max(figures) for figures in zip(*known, strict=True)
    )
    swings = (
        (degrees(one), degrees(other))
        if joint.pivots_known and joint.pivots_apart
        else None
    )
    return Strain(
        offset_mm=tidy(offset_mm),
        swings_deg=None if swings is None else (tidy(swings[0]), tidy(swings[1])),
        shares=(
            (None, None)
            if swings is None
            else (share(one, joint.swings[0]), share(other, joint.swings[1]))
        ),
        buffer_gap_mm=(
            None
            if joint.faces is None
            else tidy(joint.faces.gap_mm(joint.pushed.gap_mm, bend=bend))
        ),
        outermost_gap_mm=_outermost_gap(joint, bend),
        locking_margin_mm=tidy(-lock) if joint.heads_known else None,
        head_needed_mm=None if joint.heads_known or joint.faces is None else tidy(lock),
    )


def share(swing: float, most: float | None) -> float | None:
    """Return how much of the swing it has a coupling uses; infinite where it can swing
    none and must.
    """
    if most is None:
        return None
    if most > 0:
        return tidy(swing / most)
    return 0.0 if tidy(swing) == 0 else inf


def hardest(paths: Iterable[Path], joint: TriedJoint) -> float:
    """Return the greatest share of its swing that any coupling uses; infinite where
    buffers lock or it cannot stand.

    What is not known counts as nothing, nor whether buffers lock that guided couplings
    hold apart.
    """
    worst = 0.0
    swings = _swing_measures(joint) if joint.pivots_apart else []
    locks = joint.heads_known and not joint.guided
    for path in paths:
        found = greatest(path, joint.pulled, swings) if swings else ()
        locking = greatest(path, joint.pushed, [_lock(joint)]) if locks else (-inf,)
        if found is None or locking is None or tidy(locking[0]) > 0:
            return inf
        worst = max((worst, *found))
    return tidy(worst)


def _swing_measures(joint: TriedJoint) -> list[Measure]:
    if not joint.pivots_known:
        return []
    most_leading, most_following = joint.swings

    def leading(standing: PairStanding) -> float:
        return share(abs(standing.leading_swing or 0.0), most_leading) or 0.0

    def following(standing: PairStanding) -> float:
        return share(abs(standing.following_swing or 0.0), most_following) or 0.0

    return [leading, following]


def _lock(joint: TriedJoint) -> Measure:
    """Return what tells whether buffers lock: how far beyond it they are, or the width
    of head that it takes.
    """
    faces, gap_mm, widest_mm = joint.faces, joint.pushed.gap_mm, joint.widest_head_mm
    if faces is None:
        return lambda _: 0.0
    if joint.heads_known:
        return lambda standing: -faces.locking_margin_mm(standing, gap_mm=gap_mm)
    return lambda standing: faces.head_needed_mm(
        standing, gap_mm=gap_mm, widest_mm=widest_mm
    )


def _offset(standing: PairStanding) -> float:
    return abs(standing.offset_mm)


def _leading(standing: PairStanding) -> float:
    return abs(standing.leading_swing or 0.0)


def _following(standing: PairStanding) -> float:
    return abs(standing.following_swing or 0.0)


def _bend(standing: PairStanding) -> float:
    return abs(standing.bend)


def _on_one(path: Path, joint: TriedJoint) -> tuple[float, ...] | None:
    """Return the greatest offset, swings, bend and what tells of locking on one
    path.
    """
    pulling: Sequence[Measure] = [_offset, _leading, _following]
    pushing: Sequence[Measure] = [_bend, _lock(joint)]
    if joint.pulled == joint.pushed:
        return greatest(path, joint.pulled, [*pulling, *pushing])
    pulled, pushed = (
        greatest(path, joint.pulled, pulling),
        greatest(path, joint.pushed, pushing),
    )
    return None if pulled is None or pushed is None else pulled + pushed


def _outermost_gap(joint: TriedJoint, bend: float) -> float | None:
    if joint.outermost_mm is None:
        return None
    widest = Faces(centres_mm=(joint.outermost_mm, joint.outermost_mm))
    return tidy(widest.gap_mm(joint.pushed.gap_mm, bend=bend))
