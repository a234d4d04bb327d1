"""How long a straight has to be between two opposite curves: by the joints as they are
swept along it, else by the longest vehicle.
"""

from collections.abc import Iterator, Sequence
from math import ceil
from typing import Literal

import msgspec

from standage.railway.curving.joints_on_curves import JointOnCurve, TrainOnCurve
from standage.railway.curving.known_vehicles import known_vehicle, longest_body_mm
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import millimetres
from standage.railway.terms.reasons import Reason
from standage.railway.track.paths.alignment import Alignment

StraightBy = Literal["swept_joint", "longest_vehicle"]


class Straight(msgspec.Struct, frozen=True, kw_only=True):
    """The least straight in whole mm, None where none is needed or none helps, by what
    it is, and why.
    """

    straight_mm: int | None = None
    by: StraightBy | None = None
    because: tuple[Reason, ...] = ()


def straight_needed(
    vehicles: Sequence[Vehicle],
    joints: TrainOnCurve,
    alignment: Alignment,
    *,
    types: CouplingTypes,
) -> Straight:
    """Return the straight between the curves of ``alignment`` that ``vehicles`` need.

    Where every joint can be told it is what cures them all. Where one cannot, or there
    is none, it is at least as long as the longest vehicle over its body: a rule of
    thumb, which refuses nothing. None where such a straight is there already.

    **Source** of the second: common practice among module builders; with touching
    buffers NEM 111 (2016), section 3.2.
    """
    if not alignment.reverse:
        return Straight()
    swept_mm = joints.least_straight_mm
    if joints.couplings and all(map(_is_told, joints.couplings)):
        return _by_joints(swept_mm)
    missing, longest = _longest(vehicles, types)
    if longest is None:
        return Straight(because=missing)
    name, long_mm = longest
    whole_mm = ceil(long_mm)
    if swept_mm is not None and swept_mm > whole_mm:
        return _by_joints(swept_mm)
    if whole_mm <= (alignment.straight_between_mm or 0.0):
        # it is there already
        return Straight()
    return Straight(
        straight_mm=whole_mm,
        by="longest_vehicle",
        because=(_by_practice(name, long_mm), *_by_standard(vehicles, joints)),
    )


def _is_told(joint: JointOnCurve) -> bool:
    """Tell whether all is known of a joint, pulled and pushed."""
    return "cannot_tell" not in {joint.verdict, joint.pulling, joint.pushing}


def _by_joints(straight_mm: int | None) -> Straight:
    if straight_mm is None:
        return Straight()
    return Straight(straight_mm=straight_mm, by="swept_joint")


def _longest(
    vehicles: Sequence[Vehicle], types: CouplingTypes
) -> tuple[tuple[Reason, ...], tuple[str, float] | None]:
    """Return what has to be measured; else the longest body's vehicle, and how long it
    is.
    """
    missing: list[Reason] = []
    longest: tuple[str, float] | None = None
    for vehicle in dict.fromkeys(vehicles):
        long_mm = longest_body_mm(known_vehicle(vehicle, types=types))
        if long_mm is None:
            missing.append(_lacks_length(vehicle.name))
        elif longest is None or long_mm > longest[1]:
            longest = (vehicle.name, long_mm)
    return tuple(missing), None if missing else longest


def _by_practice(name: str, long_mm: float) -> Reason:
    message = (
        "module builders lay a straight as long as the longest vehicle between opposite"
        f" curves: the body of {name} is {millimetres(long_mm)} long"
    )
    return Reason(
        code="straight_by_practice", message=message, vehicle=name, limit_mm=long_mm
    )


def _by_standard(vehicles: Sequence[Vehicle], joints: TrainOnCurve) -> Iterator[Reason]:
    """Yield the standard's word where vehicles are coupled that may have buffers."""
    if joints.couplings and any(map(_may_have_buffers, vehicles)):
        message = (
            "where buffers touch, NEM 111 (2016) asks for a straight longer than the"
            " longest vehicle, or for a transition"
        )
        yield Reason(code="straight_by_standard", message=message)


def _may_have_buffers(vehicle: Vehicle) -> bool:
    return vehicle.buffer_centres_mm != 0 and not vehicle.is_american


def _lacks_length(name: str) -> Reason:
    message = (
        f"{name}: measure its length, to know how long a straight between opposite"
        " curves has to be"
    )
    return Reason(
        code="missing_figure", message=message, vehicle=name, field="length_mm"
    )
