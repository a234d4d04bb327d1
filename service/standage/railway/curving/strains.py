"""How hard an alignment tries a joint: how much of their swing the couplings use, and
whether the buffers lock.

Joints that are alike are tried once: the names are left out.
"""

from collections.abc import Iterable, Sequence
from math import degrees, inf

import msgspec

from standage.railway.curving.buffers import Faces
from standage.railway.curving.pairs import CoupledPair, PairStanding
from standage.railway.curving.passages import Measure, greatest
from standage.railway.curving.verdicts import WORST_FIRST, CurveVerdict
from standage.railway.terms.figures import tidy
from standage.railway.terms.reasons import worst
from standage.railway.track.paths.alignment import (
    Alignment,
    entry_paths,
    has_entry_apart,
    judged_paths,
    steady_paths,
)
from standage.railway.track.paths.endless import EndlessPath

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
        # less than anything known
        known = [-1.0 if share is None else share for share in self.shares]
        if max(known) < 0:
            return max(self.swings_deg), None
        telling = 0
        if known[1] > known[0]:
            telling = 1
        most = joint.swings[telling]
        most_deg = None if most is None else tidy(degrees(most))
        return self.swings_deg[telling], most_deg


def strain(paths: Iterable[EndlessPath], joint: TriedJoint) -> Strain | None:
    """Return the worst of ``joint`` on all of ``paths``, or None where it cannot stand
    on one of them. **Source** derived.
    """
    found = [_on_one(each, joint) for each in paths]
    known = [each for each in found if each is not None]
    if len(known) < len(found):
        return None
    columns = zip(*known, strict=True)
    offset_mm, one, other, bend, lock = (max(figures) for figures in columns)
    found_strain = Strain(
        offset_mm=tidy(offset_mm),
        swings_deg=None,
        shares=(None, None),
        buffer_gap_mm=_buffer_gap(joint, bend),
        outermost_gap_mm=_outermost_gap(joint, bend),
        locking_margin_mm=None,
        head_needed_mm=None,
    )
    return _with_lock(_with_swings(found_strain, joint, (one, other)), joint, lock)


def _with_swings(
    found: Strain, joint: TriedJoint, swings: tuple[float, float]
) -> Strain:
    if not (joint.pivots_known and joint.pivots_apart):
        return found
    one, other = swings
    most_one, most_other = joint.swings
    return msgspec.structs.replace(
        found,
        swings_deg=(tidy(degrees(one)), tidy(degrees(other))),
        shares=(share(one, most_one), share(other, most_other)),
    )


def _with_lock(found: Strain, joint: TriedJoint, lock: float) -> Strain:
    """Return the strain with what ``_lock`` measured: a margin, or a width of head."""
    if joint.heads_known:
        return msgspec.structs.replace(found, locking_margin_mm=tidy(-lock))
    if joint.faces is None:
        return found
    return msgspec.structs.replace(found, head_needed_mm=tidy(lock))


def _buffer_gap(joint: TriedJoint, bend: float) -> float | None:
    if joint.faces is None:
        return None
    gap_mm = joint.faces.gap_mm(joint.pushed.gap_mm, bend=bend)
    return tidy(gap_mm)


def share(swing: float, most: float | None) -> float | None:
    """Return how much of the swing it has a coupling uses; infinite where it can swing
    none and must. **Source** derived.
    """
    if most is None:
        return None
    if most > 0:
        return tidy(swing / most)
    return 0.0 if tidy(swing) == 0 else inf


def hardest(paths: Iterable[EndlessPath], joint: TriedJoint) -> float:
    """Return the greatest share of its swing that any coupling uses; infinite where
    buffers lock or it cannot stand.

    What is not known counts as nothing, nor whether buffers lock that guided couplings
    hold apart. **Source** derived.
    """
    most = 0.0
    swings = _swing_measures(joint) if joint.pivots_apart else []
    for path in paths:
        if _locks_on(path, joint):
            return inf
        found = greatest(path, joint.pulled, swings) if swings else ()
        if found is None:
            return inf
        most = max((most, *found))
    return tidy(most)


def _locks_on(path: EndlessPath, joint: TriedJoint) -> bool:
    """Tell whether buffers are known to lock, or cannot stand so, on one path."""
    if joint.guided or not joint.heads_known:
        return False
    locking = greatest(path, joint.pushed, [_lock(joint)])
    return locking is None or tidy(locking[0]) > 0


class JointFigures(msgspec.Struct, frozen=True, kw_only=True):
    """The worst of one joint somewhere; null is what cannot be told.

    ``swing_deg`` is that of the coupling that uses most of its ``swing_limit_deg``; it
    and ``offset_mm`` are of the pair pulled out, ``least_buffer_gap_mm`` of it buffered
    up: on the inside, at the heads' outer edge where their width is known, else in
    their middle; less than 0 where they would have to pass into each other.
    """

    verdict: CurveVerdict
    pulling: CurveVerdict
    pushing: CurveVerdict
    offset_mm: float | None = None
    swing_deg: float | None = None
    swing_limit_deg: float | None = None
    least_buffer_gap_mm: float | None = None


class Found(msgspec.Struct, frozen=True, kw_only=True):
    """The strains of a joint: where the main figures come from, on the entry where that
    is judged apart, and steady.

    A strain of None means that the pair cannot stand there.
    """

    joint: TriedJoint
    main: Strain | None
    entry: Strain | None
    entry_counts: bool
    steady: Strain | None

    @property
    def parts(self) -> tuple[Strain | None, ...]:
        """The strains that the verdict rests on."""
        return (self.main, self.entry) if self.entry_counts else (self.main,)

    @property
    def hardness(self) -> float:
        """How hard the joint is tried: the share of its swing, or infinite where
        buffers lock or it cannot stand.
        """
        hardness = 0.0
        for part in self.parts:
            if part is None or pushing(self.joint, part) == "does_not_run":
                return inf
            hardness = max(
                hardness, *(share for share in part.shares if share is not None), 0.0
            )
        return hardness

    @property
    def needs_cure(self) -> bool:
        """Whether anything that is known of it keeps it from running well."""
        verdicts = [
            verdict
            for part in self.parts
            for verdict in both_verdicts(self.joint, part)
        ]
        return "does_not_run" in verdicts or "marginal" in verdicts

    def figures(self, part: Strain | None) -> JointFigures:
        """Return one of the strains as figures with their verdict."""
        pulled, pushed = both_verdicts(self.joint, part)
        verdict = worst((pulled, pushed), order=WORST_FIRST)
        if part is None:
            return JointFigures(verdict=verdict, pulling=pulled, pushing=pushed)
        swing_deg, limit_deg = part.telling_swing(self.joint)
        return JointFigures(
            verdict=verdict,
            pulling=pulled,
            pushing=pushed,
            offset_mm=part.offset_mm,
            swing_deg=swing_deg,
            swing_limit_deg=limit_deg,
            least_buffer_gap_mm=part.buffer_gap_mm,
        )


def find(joint: TriedJoint, alignment: Alignment) -> Found:
    """Return what the alignment does to a joint. **Source** derived."""
    longest_mm = max(joint.pulled.wheels_mm, joint.pushed.wheels_mm)
    steady = strain(steady_paths(alignment), joint)
    alone = not alignment.reverse and not alignment.entry
    entry_counts = has_entry_apart(alignment)
    return Found(
        joint=joint,
        main=(
            steady
            if alone
            else strain(judged_paths(alignment, longest_mm=longest_mm), joint)
        ),
        entry=strain(entry_paths(alignment), joint) if entry_counts else None,
        entry_counts=entry_counts,
        steady=steady,
    )


def both_verdicts(
    joint: TriedJoint, part: Strain | None
) -> tuple[CurveVerdict, CurveVerdict]:
    """Return the verdict of pulling and of pushing. **Source** derived."""
    if part is None:
        return "does_not_run", "does_not_run"
    return part.pulling, pushing(joint, part)


def pushing(joint: TriedJoint, found: Strain) -> CurveVerdict:
    """Return what the buffers make of a joint that is pushed: they lock, or not, or
    nobody can tell.

    Where faces cannot touch even as far out as buffers can stand, or no width of head
    would let them lock, nothing locks whatever else is not known. Guided couplings hold
    the vehicles farther apart on a curve, nobody knows by how much, so that they are
    never refused. **Source** derived.
    """
    if not joint.has_buffers or (
        found.outermost_gap_mm is not None and found.outermost_gap_mm > 0
    ):
        return "runs"
    if found.head_needed_mm == 0 or (
        found.locking_margin_mm is not None and found.locking_margin_mm >= 0
    ):
        return "runs"
    return (
        "cannot_tell"
        if found.locking_margin_mm is None or joint.guided
        else "does_not_run"
    )


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


def _on_one(path: EndlessPath, joint: TriedJoint) -> tuple[float, ...] | None:
    """Return the greatest offset, swings, bend and what tells of locking on one
    path.
    """
    of_pulling: Sequence[Measure] = [_offset, _leading, _following]
    of_pushing: Sequence[Measure] = [_bend, _lock(joint)]
    if joint.pulled == joint.pushed:
        both = [*of_pulling, *of_pushing]
        return greatest(path, joint.pulled, both)
    pulled = greatest(path, joint.pulled, of_pulling)
    pushed = greatest(path, joint.pushed, of_pushing)
    if pulled is None or pushed is None:
        return None
    return pulled + pushed


def _outermost_gap(joint: TriedJoint, bend: float) -> float | None:
    if joint.outermost_mm is None:
        return None
    widest = Faces(centres_mm=(joint.outermost_mm, joint.outermost_mm))
    return tidy(widest.gap_mm(joint.pushed.gap_mm, bend=bend))
