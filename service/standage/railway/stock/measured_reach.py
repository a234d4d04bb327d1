"""How far couplings reach, from a train that was measured coupled up and pulled out."""

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import msgspec

from standage.railway.stock.coupled import Coupled, Member
from standage.railway.stock.couplings import Coupling
from standage.railway.stock.extents import Missing
from standage.railway.stock.joints import coupling_at
from standage.railway.stock.vehicles import EndsOver
from standage.railway.terms.figures import tidy


class MeasuredTrain(NamedTuple):
    """The length of a train over its outer buffers, or over the pulling faces of its
    outer couplings, in mm.
    """

    length_mm: float
    over: EndsOver
    plus_minus_mm: float


class MeasuredReach(msgspec.Struct, frozen=True, kw_only=True):
    """What one end reaches, the same for ``ends`` of them; None where that cannot be
    told.

    ``rest_mm`` is what the measured length leaves when the vehicles and the reaches
    that are known are taken off it.
    """

    reach_mm: float | None = None
    plus_minus_mm: float | None = None
    rest_mm: float | None = None
    ends: int
    types: tuple[str, ...]
    missing: tuple[Missing, ...] = ()


class _End(NamedTuple):
    own: Coupling
    over_couplings: bool


def measured_reach(train: Coupled, measured: MeasuredTrain) -> MeasuredReach:
    """Return how far each coupling of which no reach was measured reaches, all taken to
    be alike.

    ``train`` holds every vehicle; a reach of a vehicle's own is taken off first, and so
    is none where the vehicle's length is over its couplings. The ± is that of the
    measurement and of all the vehicles, shared out. **Source** derived: the length
    pulled out is that of the vehicles and two reaches for every joint.
    """
    ends = _counted_ends(train, measured.over)
    known = [
        end.own
        for end in ends
        if end.own.reach_mm is not None and not end.over_couplings
    ]
    wanted = [
        end.own for end in ends if end.own.reach_mm is None and not end.over_couplings
    ]
    types = tuple(dict.fromkeys(own.type for own in wanted if own.type is not None))
    lengths = [member.length.extent for member in train.members]
    missing = tuple(dict.fromkeys(one for length in lengths for one in length.missing))
    if missing or not wanted:
        return MeasuredReach(ends=len(wanted), types=types, missing=missing)
    taken_mm = sum(length.known_mm for length in lengths) + sum(
        own.reach_mm or 0.0 for own in known
    )
    off_mm = sum(length.plus_minus_mm for length in lengths) + sum(
        own.reach_plus_minus_mm or 0.0 for own in known
    )
    rest_mm = tidy(measured.length_mm - taken_mm)
    return MeasuredReach(
        reach_mm=tidy(rest_mm / len(wanted)),
        plus_minus_mm=tidy((off_mm + measured.plus_minus_mm) / len(wanted)),
        rest_mm=rest_mm,
        ends=len(wanted),
        types=types,
    )


def _counted_ends(train: Coupled, over: EndsOver) -> Sequence[_End]:
    members = train.members
    joints = [
        end
        for one, two in pairwise(members)
        for end in (_end(one, at_head=False), _end(two, at_head=True))
    ]
    if over == "buffers":
        return joints
    return [_end(members[0], at_head=True), *joints, _end(members[-1], at_head=False)]


def _end(member: Member, *, at_head: bool) -> _End:
    end = member.head if at_head else member.tail
    own = coupling_at(member.vehicle, end.at)
    return _End(own or Coupling(), member.length.over == "couplings")
