"""From the ends of two neighbours to the joint that a curve tries, and what is missing
for a verdict.
"""

from collections.abc import Iterator
from math import inf, radians

import msgspec

from standage.railway.curving.buffers import Faces
from standage.railway.curving.joint_ends import EndBuffers, JointEnd
from standage.railway.curving.pairs import CoupledPair, PairBody
from standage.railway.curving.strains import Strain, TriedJoint
from standage.railway.curving.verdicts import CurveVerdict
from standage.railway.stock.extents import Missing
from standage.railway.stock.joints import closing_mm, gap
from standage.railway.terms.figures import tidy


def tried_joint(leading: JointEnd, following: JointEnd) -> TriedJoint | None:
    """Return the joint of two neighbouring ends; None where a body or a reach is not
    known.

    A play that nobody knows counts as 0.
    """
    coupled = gap(leading.end, following.end)
    if leading.body is None or following.body is None or coupled.missing:
        return None
    both = (leading.buffers, following.buffers)
    has_buffers = None not in both
    pulled = _pair(leading.body, following.body, gap_mm=coupled.known_mm)
    return TriedJoint(
        pulled=msgspec.structs.replace(
            pulled, linked=_is_link(leading, following, pulled)
        ),
        pushed=_pair(
            leading.body,
            following.body,
            gap_mm=coupled.known_mm - closing_mm(leading.end, following.end),
        ),
        swings=(_radians(leading.swing_deg), _radians(following.swing_deg)),
        has_buffers=has_buffers,
        faces=_faces(*both),
        heads_known=has_buffers
        and all(each is not None and _head_known(each) for each in both),
        outermost_mm=_outermost(*both),
        widest_head_mm=_widest_head(*both),
        guided=leading.mounting == following.mounting == "guided",
    )


def missing_for_shape(leading: JointEnd, following: JointEnd) -> tuple[Missing, ...]:
    """Return what has to be measured before the two vehicles can be placed at all."""
    return leading.lacks + following.lacks + gap(leading.end, following.end).missing


def missing_for_pulling(leading: JointEnd, following: JointEnd) -> Iterator[Missing]:
    """Yield what has to be measured to know whether the couplings swing far enough."""
    for end in (leading, following):
        if end.body is None or end.body.pivot_behind_mm is None:
            yield end.missing("pivot_behind_mm")
        if end.swing_deg is None:
            yield end.missing("swing_deg")


def missing_for_pushing(leading: JointEnd, following: JointEnd) -> Iterator[Missing]:
    """Yield what has to be measured to know whether the buffers lock."""
    for end in (leading, following):
        if end.buffers is not None and end.buffers.centres_mm is None:
            words = "the distance between the middles of its buffers (0 for none)"
            yield Missing(vehicle=end.vehicle, field="buffer_centres_mm", words=words)
        if end.buffers is not None and end.buffers.head_width_mm is None:
            words = "the width of its buffers' heads"
            yield Missing(
                vehicle=end.vehicle, field="buffer_head_width_mm", words=words
            )


def pushing(joint: TriedJoint, found: Strain) -> CurveVerdict:
    """Return what the buffers make of a joint that is pushed: they lock, or not, or
    nobody can tell.

    Where faces cannot touch even as far out as buffers can stand, or no width of head
    would let them lock, nothing locks whatever else is not known. Guided couplings hold
    the vehicles farther apart on a curve, nobody knows by how much, so that they are
    never refused.
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


def _pair(leading: PairBody, following: PairBody, *, gap_mm: float) -> CoupledPair:
    return CoupledPair(leading=leading, following=following, gap_mm=gap_mm)


def _is_link(leading: JointEnd, following: JointEnd, pulled: CoupledPair) -> bool:
    """Tell whether the coupling is a link between two pivots: a guided one lengthens on
    a curve.
    """
    if "guided" in (leading.mounting, following.mounting):
        return False
    link_mm = msgspec.structs.replace(pulled, linked=True).link_mm
    return link_mm is not None and tidy(link_mm) > 0


def _radians(angle_deg: float | None) -> float | None:
    return None if angle_deg is None else radians(angle_deg)


def _head_known(buffers: EndBuffers) -> bool:
    return buffers.centres_mm is not None and buffers.head_width_mm is not None


def _faces(leading: EndBuffers | None, following: EndBuffers | None) -> Faces | None:
    if (
        leading is None
        or following is None
        or leading.centres_mm is None
        or following.centres_mm is None
    ):
        return None
    return Faces(
        centres_mm=(leading.centres_mm, following.centres_mm),
        heads_mm=(leading.head_width_mm or 0.0, following.head_width_mm or 0.0),
    )


def _outermost(
    leading: EndBuffers | None, following: EndBuffers | None
) -> float | None:
    if leading is None or following is None:
        return None
    edges = (_edges(leading), _edges(following))
    if edges[0] is None or edges[1] is None:
        return None
    return (edges[0] + edges[1]) / 2


def _widest_head(leading: EndBuffers | None, following: EndBuffers | None) -> float:
    """Return the widest head that the vehicles' widths leave room for, taken to be
    alike at both ends.
    """
    ends = [each for each in (leading, following) if each is not None]
    return min(
        (
            each.width_mm - each.centres_mm
            for each in ends
            if each.width_mm and each.centres_mm
        ),
        default=inf,
    )


def _edges(buffers: EndBuffers) -> float | None:
    """Return how far apart the outer edges are: by the buffers themselves, else no more
    than the vehicle's width.
    """
    if buffers.centres_mm is not None and buffers.head_width_mm is not None:
        return buffers.centres_mm + buffers.head_width_mm
    return buffers.width_mm
