"""Whether the couplings of a train bear a curve, a curve's entry or a reverse curve,
joint by joint.

Pulled, a coupling must swing as far as the line between the two couplings' pivots
stands from the axis of what carries it. Pushed, the buffers must not lock. All lengths
in mm of the model, all angles in degrees.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise

import msgspec

from standage.railway.curving.cures import Cures, cures
from standage.railway.curving.joints import (
    JointEnd,
    joint_ends,
    missing_for_shape,
    tried_joint,
)
from standage.railway.curving.strains import Found, JointFigures, TriedJoint, find
from standage.railway.curving.verdicts import WORST_FIRST, CurveVerdict
from standage.railway.curving.words import (
    by_standard,
    cure_not_worked_out,
    cure_reasons,
    joint_reasons,
    unmated_reason,
)
from standage.railway.stock.coupled import take_hold
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.extents import lacking
from standage.railway.stock.mating import same_coupling
from standage.railway.stock.vehicles import Standing
from standage.railway.terms.figures import tidy
from standage.railway.terms.reasons import Assumed, Reason, told, worst
from standage.railway.track.paths.alignment import Alignment

MOST_CURED = 8
"""So many joints that differ have their cures worked out, the hardest tried first; each
may take a second or two.
"""


class JointOnCurve(JointFigures, frozen=True, kw_only=True):
    """One joint on the alignment.

    ``joint`` counts from 1 at the head. The figures are those of the whole passage
    through a reverse curve or an entry, or of the curve by itself beside an
    ``on_entry``; ``verdict`` is the worst of both. ``steady_offset_mm`` is how far the
    ends stand aside on the curve by itself. ``cures`` is null where the joint needs
    none or they were not worked out.
    """

    joint: int
    between: tuple[str, str]
    steady_offset_mm: float | None = None
    gap_mm: float | None = None
    buffered_up_gap_mm: float | None = None
    on_entry: JointFigures | None = None
    cures: Cures | None = None
    because: tuple[Reason, ...] = ()
    assumed: tuple[Assumed, ...] = ()


class TrainOnCurve(msgspec.Struct, frozen=True, kw_only=True):
    """All the joints of a train on the alignment, and what would cure every joint whose
    cures were worked out.

    A cure is null where none is needed, or where none helps every joint.
    """

    verdict: CurveVerdict
    couplings: tuple[JointOnCurve, ...]
    least_straight_mm: int | None
    least_radius_mm: int | None


def couplings_on_curve(
    vehicles: Sequence[Standing], alignment: Alignment, *, types: CouplingTypes
) -> TrainOnCurve:
    """Return how each joint of ``vehicles``, in order from the head, bears the
    alignment, and what would cure it.

    A train of one vehicle has no joints and runs. Both ways over the alignment count:
    into a curve and out of it. **Source** derived.
    """
    joints = _joints(vehicles, alignment, types)
    found = _found(joints, alignment)
    holding = {
        joint.sort: found[joint.sort]
        for joint in joints
        if joint.sort is not None and joint.holds is not False
    }
    cured = _cured(holding, alignment)
    couplings = _placed_all(joints, found, cured, alignment)
    return TrainOnCurve(
        verdict=worst((joint.verdict for joint in couplings), order=WORST_FIRST),
        couplings=couplings,
        least_straight_mm=_for_all(each.least_straight_mm for each in cured.values()),
        least_radius_mm=_for_all(each.least_radius_mm for each in cured.values()),
    )


def joints_on_curve(
    vehicles: Sequence[Standing], alignment: Alignment, *, types: CouplingTypes
) -> tuple[JointOnCurve, ...]:
    """Return how each joint bears the alignment, without what would cure it. **Source**
    derived.
    """
    joints = _joints(vehicles, alignment, types)
    found = _found(joints, alignment)
    return _placed_all(joints, found, {}, alignment)


class _Joint(msgspec.Struct, frozen=True):
    """Two neighbouring ends; ``sort`` is the same for joints that are alike, None where
    they cannot be placed.

    ``holds`` is whether their couplings take hold of each other, None where nobody
    knows.
    """

    leading: JointEnd
    following: JointEnd
    sort: TriedJoint | None
    holds: bool | None


def _joints(
    vehicles: Sequence[Standing], alignment: Alignment, types: CouplingTypes
) -> list[_Joint]:
    ends: list[tuple[JointEnd, JointEnd]] = []
    for vehicle in vehicles:
        both = joint_ends(vehicle, types=types)
        ends += [both] * vehicle.count
    tried: dict[TriedJoint, Found] = {}
    joints: list[_Joint] = []
    for (_, rear), (front, _) in pairwise(ends):
        leading, following = _worse_way(rear, front, alignment, tried)
        sort = tried_joint(leading, following)
        holds = take_hold(leading.end, following.end, types=types)
        joints.append(_Joint(leading, following, sort, holds))
    return joints


def _worse_way(
    leading: JointEnd,
    following: JointEnd,
    alignment: Alignment,
    tried: dict[TriedJoint, Found],
) -> tuple[JointEnd, JointEnd]:
    """Return the two ends on those of the wheels they may have that try the joint
    hardest; ``tried`` is added to.
    """
    ways = [(one, other) for one in leading.ways for other in following.ways]
    if len(ways) == 1:
        return ways[0]

    def how_bad(way: tuple[JointEnd, JointEnd]) -> tuple[int, float, float]:
        sort = tried_joint(*way)
        if sort is None:
            return 0, 0.0, 0.0
        if sort not in tried:
            tried[sort] = find(sort, alignment)
        return _badness(tried[sort])

    return max(ways, key=how_bad)


def _badness(found: Found) -> tuple[int, float, float]:
    """Return how badly a joint bears the alignment: by its verdict, then how hard it is
    tried, then how far aside.
    """
    figures = [found.figures(part) for part in found.parts]
    verdicts = [each.verdict for each in figures]
    verdict = worst(verdicts, order=WORST_FIRST)
    goodness = WORST_FIRST.index(verdict)
    offsets_mm = [each.offset_mm or 0.0 for each in figures]
    return -goodness, found.hardness, max(offsets_mm)


def _found(joints: Sequence[_Joint], alignment: Alignment) -> dict[TriedJoint, Found]:
    sorts = dict.fromkeys(joint.sort for joint in joints)
    return {sort: find(sort, alignment) for sort in sorts if sort is not None}


def _placed_all(
    joints: Sequence[_Joint],
    found: Mapping[TriedJoint, Found],
    cured: Mapping[TriedJoint, Cures],
    alignment: Alignment,
) -> tuple[JointOnCurve, ...]:
    placed: list[JointOnCurve] = []
    for number, joint in enumerate(joints, start=1):
        if joint.sort is None:
            one = _unplaced(number, joint.leading, joint.following)
        else:
            ends = (joint.leading, joint.following)
            one = _placed(
                number, ends, found[joint.sort], cured.get(joint.sort), alignment
            )
        placed.append(one if joint.holds else _unmated(one, joint))
    return tuple(placed)


def _unmated(one: JointOnCurve, joint: _Joint) -> JointOnCurve:
    """Return a joint whose couplings do not take hold of each other: it does not run,
    and no curve would cure it.

    Where nobody knows whether they do, a joint that would run cannot be told.
    """
    leading, following = joint.leading, joint.following
    if joint.holds is None:
        types = (leading.end.type, following.end.type)
        question = same_coupling(leading.vehicle, following.vehicle, types)
        verdict = worst((one.verdict, "cannot_tell"), order=WORST_FIRST)
        because = (*one.because, question)
        return msgspec.structs.replace(one, verdict=verdict, because=because)
    kept = [reason for reason in one.because if reason.code != "cure_not_worked_out"]
    reason = unmated_reason(leading, following)
    return msgspec.structs.replace(
        one,
        verdict="does_not_run",
        because=(reason, *kept),
    )


def _for_all(figures: Iterable[int | None]) -> int | None:
    known: list[int] = []
    for figure in figures:
        if figure is None:
            return None
        known.append(figure)
    return max(known, default=None)


def _cured(
    found: Mapping[TriedJoint, Found], alignment: Alignment
) -> dict[TriedJoint, Cures]:
    """Return the cures of the joints that are tried hardest."""
    need_it = [each for each in found.values() if each.needs_cure]
    hardest_first = sorted(
        need_it,
        key=lambda each: each.hardness,
        reverse=True,
    )
    hardest = [each.joint for each in hardest_first[:MOST_CURED]]
    return {joint: cures(joint, alignment) for joint in hardest}


def _unplaced(number: int, leading: JointEnd, following: JointEnd) -> JointOnCurve:
    return JointOnCurve(
        joint=number,
        between=(leading.vehicle, following.vehicle),
        verdict="cannot_tell",
        pulling="cannot_tell",
        pushing="cannot_tell",
        because=lacking(missing_for_shape(leading, following)),
        assumed=told((*leading.guesses, *following.guesses)),
    )


def _placed(
    number: int,
    joint: tuple[JointEnd, JointEnd],
    found: Found,
    cured: Cures | None,
    alignment: Alignment,
) -> JointOnCurve:
    leading, following = joint
    main = found.figures(found.main)
    entry = found.figures(found.entry) if found.entry_counts else None
    parts = [main] if entry is None else [main, entry]
    return JointOnCurve(
        joint=number,
        between=(leading.vehicle, following.vehicle),
        verdict=worst((part.verdict for part in parts), order=WORST_FIRST),
        pulling=main.pulling,
        pushing=main.pushing,
        offset_mm=main.offset_mm,
        swing_deg=main.swing_deg,
        swing_limit_deg=main.swing_limit_deg,
        least_buffer_gap_mm=main.least_buffer_gap_mm,
        steady_offset_mm=None if found.steady is None else found.steady.offset_mm,
        gap_mm=tidy(found.joint.pulled.gap_mm),
        buffered_up_gap_mm=tidy(found.joint.pushed.gap_mm),
        on_entry=entry,
        cures=cured,
        because=tuple(_because(leading, following, found, cured, alignment)),
        assumed=told(
            (
                *leading.guesses,
                *following.guesses,
                *leading.end.reach_guesses,
                *following.end.reach_guesses,
            )
        ),
    )


def _because(
    leading: JointEnd,
    following: JointEnd,
    found: Found,
    cured: Cures | None,
    alignment: Alignment,
) -> Iterator[Reason]:
    yield from joint_reasons(leading, following, found)
    if cured is not None:
        yield from cure_reasons(leading, following, cured, alignment)
    elif found.needs_cure:
        yield cure_not_worked_out()
    yield from by_standard(leading, following, found.joint, alignment)
