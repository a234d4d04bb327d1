"""Why a joint bears a curve or not, and what would cure it, in words."""

from collections.abc import Iterator
from math import degrees

import msgspec
from msgspec import structs

from standage.railway.curving.cures import Cures
from standage.railway.curving.joints import (
    JointEnd,
    missing_for_pulling,
    missing_for_pushing,
)
from standage.railway.curving.strains import (
    MARGINAL_FROM,
    Found,
    Strain,
    TriedJoint,
    both_verdicts,
)
from standage.railway.curving.verdicts import CurveVerdict
from standage.railway.stock.extents import lacking
from standage.railway.terms.figures import at_least, beside, tidy
from standage.railway.terms.reasons import Reason
from standage.railway.track.paths.alignment import Alignment

WORST_FIRST = (
    "cannot_stand",
    "swing_too_great",
    "buffers_lock",
    "missing_figure",
    "figures_disagree",
    "head_needed",
    "guided_couplings",
    "swing_near_limit",
)
ENTERING = " when running onto the curve or off it"


def unmated_reason(leading: JointEnd, following: JointEnd) -> Reason:
    """Return the reason why two couplings cannot be coupled at all. **Source** derived."""
    message = (
        f"{leading.vehicle} and {following.vehicle} cannot be coupled:"
        f" {leading.end.type} and {following.end.type} do not take hold of each other"
    )
    return _reason("do_not_mate", message, leading, following)


def joint_reasons(
    leading: JointEnd, following: JointEnd, found: Found
) -> Iterator[Reason]:
    """Yield the reasons for the verdict on a joint: those of the main figures, then
    those of the entry. **Source** derived.
    """
    told: list[Reason] = []
    for part, where in zip(found.parts, ("", ENTERING), strict=False):
        pulled, pushed = both_verdicts(found.joint, part)
        if part is None:
            told.append(_cannot_stand(leading, following, where))
            continue
        if pulled == "cannot_tell":
            told += _missing_for_pulling(leading, following, found.joint)
        told += _swings(leading, following, found.joint, part, where=where)
        if pushed == "cannot_tell":
            told += _cannot_tell_pushing(leading, following, found.joint)
            told += _head_that_would_do(
                leading, following, found.joint, part, where=where
            )
        if pushed == "does_not_run":
            told.append(_locked(leading, following, part, where=where))
    yield from sorted(
        dict.fromkeys(told), key=lambda reason: WORST_FIRST.index(reason.code)
    )


def cure_reasons(
    leading: JointEnd, following: JointEnd, cures: Cures, alignment: Alignment
) -> Iterator[Reason]:
    """Yield what would let a joint run, or what would help it, and what would not; each
    says what it brings. **Source** derived.
    """
    if alignment.reverse:
        yield _cure(leading, following, _straight(leading, following, cures))
    yield _cure(leading, following, _radius(leading, following, cures))


def cure_not_worked_out() -> Reason:
    """Return the remark on a joint beyond those whose cures are worked out. **Source**
    derived.
    """
    message = "no cure was worked out here: other joints are worse"
    return Reason(code="cure_not_worked_out", message=message)


def by_standard(
    leading: JointEnd, following: JointEnd, joint: TriedJoint, alignment: Alignment
) -> Iterator[Reason]:
    """Yield the standard's word on vehicles that run with touching buffers, as a second
    opinion.

    **Source** NEM 111 (2016), section 3.2.
    """
    radii_mm = [
        each
        for each in (leading.touching_radius_mm, following.touching_radius_mm)
        if each is not None
    ]
    if not joint.has_buffers or tidy(joint.pushed.gap_mm) > 0 or not radii_mm:
        return
    message = f"NEM 111 asks for a radius of {max(radii_mm):g} mm where buffers touch"
    if alignment.reverse:
        message += (
            ", with a straight longer than the longest vehicle between the curves, or a"
            " transition"
        )
    yield Reason(
        code="touching_buffers_by_standard",
        message=message,
        vehicle=leading.vehicle,
        other_vehicle=following.vehicle,
        value_mm=min(alignment.radii_mm),
        limit_mm=max(radii_mm),
    )


class _Advice(msgspec.Struct, frozen=True):
    code: str
    message: str
    least_mm: int | None = None
    brings: CurveVerdict | None = None


_COMES_TO: dict[CurveVerdict, str] = {
    "runs": "run well",
    "marginal": "only just run",
    "cannot_tell": "are no longer refused, but nobody can tell more",
    "does_not_run": "do not run",
}


def _straight(leading: JointEnd, following: JointEnd, cures: Cures) -> _Advice:
    both = _ends(leading, following)
    least_mm, brings = cures.least_straight_mm, cures.bare_straight_brings
    if least_mm is not None:
        message = f"with {least_mm} mm of straight between the curves {both} run well"
        return _Advice("straight_cures", message, least_mm, "runs")
    if cures.straight_helps and brings is not None:
        least_mm = cures.bare_straight_mm
        message = (
            f"with {least_mm} mm of straight between the curves {both}"
            f" {_COMES_TO[brings]}"
        )
        return _Advice("straight_helps", message, least_mm, brings)
    if brings is None:
        message = (
            f"more straight between the curves does not help {both}: they fail on the"
            " way into one curve as well"
        )
    else:
        message = (
            f"more straight between the curves does not make {both} run well: the way"
            " into one curve is no better"
        )
    return _Advice("straight_does_not_help", message)


def _radius(leading: JointEnd, following: JointEnd, cures: Cures) -> _Advice:
    both = _ends(leading, following)
    least_mm, brings = cures.least_radius_mm, cures.bare_radius_brings
    if least_mm is not None:
        return _Advice(
            "radius_cures",
            f"with no curve sharper than {least_mm} mm {both} run well",
            least_mm,
            "runs",
        )
    if cures.bare_radius_mm is not None and brings is not None:
        message = (
            f"with no curve sharper than {cures.bare_radius_mm} mm {both}"
            f" {_COMES_TO[brings]}"
        )
        return _Advice("radius_helps", message, cures.bare_radius_mm, brings)
    return _Advice("radius_does_not_help", f"no larger radius makes {both} run well")


def _ends(leading: JointEnd, following: JointEnd) -> str:
    """Return which joint it is: two vehicles may meet in more ways than one."""
    return f"{leading.vehicle} ({leading.at}) and {following.vehicle} ({following.at})"


def _cure(leading: JointEnd, following: JointEnd, advice: _Advice) -> Reason:
    return Reason(
        code=advice.code,
        message=advice.message,
        vehicle=leading.vehicle,
        other_vehicle=following.vehicle,
        limit_mm=advice.least_mm,
        brings=advice.brings,
    )


def _reason(
    code: str,
    message: str,
    leading: JointEnd,
    following: JointEnd,
    *,
    value_mm: float | None = None,
) -> Reason:
    return Reason(
        code=code,
        message=message,
        vehicle=leading.vehicle,
        other_vehicle=following.vehicle,
        value_mm=value_mm,
    )


def _cannot_stand(leading: JointEnd, following: JointEnd, where: str) -> Reason:
    message = (
        f"{leading.vehicle} and {following.vehicle} cannot stand coupled{where}: the"
        " curve is too sharp"
    )
    return _reason("cannot_stand", message, leading, following)


def _missing_for_pulling(
    leading: JointEnd, following: JointEnd, joint: TriedJoint
) -> Iterator[Reason]:
    yield from lacking(missing_for_pulling(leading, following))
    if not joint.pivots_apart:
        message = (
            f"{leading.vehicle} and {following.vehicle}: the pivots of their couplings"
            " would stand in one place; measure how far the couplings reach and where"
            " they swing from"
        )
        yield _reason("figures_disagree", message, leading, following)


def _swings(
    leading: JointEnd,
    following: JointEnd,
    joint: TriedJoint,
    part: Strain,
    *,
    where: str,
) -> Iterator[Reason]:
    swings_deg = part.swings_deg or (0.0, 0.0)
    sides = zip(
        (leading, following),
        (following, leading),
        swings_deg,
        joint.swings,
        part.shares,
        strict=True,
    )
    for end, other, swing_deg, most, share in sides:
        if most is None or share is None or share <= MARGINAL_FROM:
            continue
        most_deg = tidy(degrees(most))
        shown = (
            beside(swing_deg, limit=limit_deg)
            for limit_deg in (most_deg, MARGINAL_FROM * most_deg)
        )
        swing = max(shown, key=len)  # told apart from both
        much = (
            f"but can only swing {most_deg:g}°"
            if share > 1
            else f"more than four fifths of its {most_deg:g}°"
        )
        message = (
            f"{end.vehicle}'s {end.at} coupling has to swing {swing}°{where}, {much}"
        )
        yield Reason(
            code="swing_too_great" if share > 1 else "swing_near_limit",
            message=message,
            vehicle=end.vehicle,
            other_vehicle=other.vehicle,
            field=f"{end.at}_coupling.swing_deg",
            value_deg=swing_deg,
            limit_deg=most_deg,
        )


def _cannot_tell_pushing(
    leading: JointEnd, following: JointEnd, joint: TriedJoint
) -> Iterator[Reason]:
    missing = tuple(missing_for_pushing(leading, following))
    if missing:
        yield from lacking(missing)
    elif joint.guided:
        message = (
            f"{leading.vehicle} and {following.vehicle}: guided couplings hold them"
            " farther apart on a curve, by how much is not known; push them round to"
            " see whether the buffers lock"
        )
        yield _reason("guided_couplings", message, leading, following)


def _head_that_would_do(
    leading: JointEnd,
    following: JointEnd,
    joint: TriedJoint,
    part: Strain,
    *,
    where: str,
) -> Iterator[Reason]:
    if (
        part.head_needed_mm is not None
        and 0 < part.head_needed_mm < joint.widest_head_mm
    ):
        message = (
            f"pushed, {leading.vehicle} and {following.vehicle} need buffer heads of"
            f" {at_least(part.head_needed_mm)} or more, so that they do not lock{where}"
        )
        reason = _reason("head_needed", message, leading, following)
        yield structs.replace(reason, limit_mm=part.head_needed_mm)


def _locked(
    leading: JointEnd, following: JointEnd, part: Strain, *, where: str
) -> Reason:
    message = (
        f"pushed, the buffers of {leading.vehicle} and {following.vehicle} lock{where}:"
        " they can touch on the inside while the heads overlap by less than a third"
    )
    return _reason(
        "buffers_lock", message, leading, following, value_mm=part.buffer_gap_mm
    )
