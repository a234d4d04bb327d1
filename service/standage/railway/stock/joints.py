"""The ends of vehicles, as far as their couplings are known, and the joint between two
of them.
"""

from standage.railway.stock.ends import End
from standage.railway.stock.extents import Extent, Missing, total
from standage.railway.terms.figures import exceeds, millimetres, tidy
from standage.railway.terms.reasons import Reason


def gap(leading: End, following: End) -> Extent:
    """Return the gap between two coupled ends, pulled out: reach and reach.

    What is known of a gap with an unknown part is 0, since nothing less is likely and
    nothing more is sure. So it is where the two would stand inside each other by more
    than their ±: one of the reaches is then to be measured again. **Source** derived.
    """
    if leading.reach.missing or following.reach.missing:
        return Extent(
            known_mm=0.0, missing=leading.reach.missing + following.reach.missing
        )
    apart = total((leading.reach, following.reach))
    if exceeds(0.0, limit=apart.known_mm + apart.plus_minus_mm):
        inside_mm = tidy(-apart.known_mm)
        return Extent(
            known_mm=0.0,
            missing=(_inside_each_other(leading, following, inside_mm=inside_mm),),
        )
    return apart


def meet(leading: End, following: End) -> bool:
    """Tell whether two coupled ends stand before each other, as far as is known, and
    not inside each other. **Source** derived.
    """
    apart = gap(leading, following)
    return all(missing.reason is None for missing in apart.missing)


def _inside_each_other(leading: End, following: End, *, inside_mm: float) -> Missing:
    """Return the reach that is to be measured again: the one that lies farther behind
    its face.
    """
    doubted, other = (
        (leading, following)
        if leading.reach.known_mm < following.reach.known_mm
        else (following, leading)
    )
    both = f"{leading.vehicle} and {following.vehicle}"
    if leading.vehicle == following.vehicle:
        both = f"two of {leading.vehicle} in a row"
    field, words = (
        f"{doubted.at}_coupling.reach_mm",
        f"the reach of its {doubted.at} coupling",
    )
    message = (
        f"{both} would stand {millimetres(inside_mm)} inside each other by how far"
        f" their couplings reach: measure {doubted.vehicle}'s {doubted.at} coupling"
        " again"
    )
    reason = Reason(
        code="figures_disagree",
        message=message,
        vehicle=doubted.vehicle,
        other_vehicle=other.vehicle,
        field=field,
        amount_mm=inside_mm,
    )
    return Missing(vehicle=doubted.vehicle, field=field, words=words, reason=reason)


def closing_mm(leading: End, following: End) -> float:
    """Return by how much the joint closes when buffered up: by the play of both, but no
    farther than face to face.

    A play that nobody knows counts as 0. Where an end is over its couplings there is no
    face to meet, and the play alone counts. **Source** derived.
    """
    play_mm = (leading.play_mm or 0.0) + (following.play_mm or 0.0)
    faces = leading.over_buffers and following.over_buffers
    if not play_mm or not faces:
        return play_mm
    apart_mm = gap(leading, following).known_mm
    return min(play_mm, max(0.0, apart_mm))
