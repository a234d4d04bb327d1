"""How far couplings reach, from a train that was measured coupled up and pulled out."""

from collections.abc import Sequence
from itertools import chain, pairwise
from typing import NamedTuple

import msgspec

from standage.railway.stock.coupled import Coupled, Member
from standage.railway.stock.couplings import Coupling
from standage.railway.stock.ends import coupling_at
from standage.railway.stock.extents import Missing
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
    vehicle: str
    field: str


def measured_reach(train: Coupled, measured: MeasuredTrain) -> MeasuredReach:
    """Return how far each coupling of which no reach was measured reaches, all taken to
    be alike.

    ``train`` holds every vehicle; a reach of a vehicle's own is taken off first, and so
    is none where the vehicle's length is over its couplings. The ± is that of the
    measurement and of all the vehicles, shared out. Over buffers an outer end that is in
    its vehicle's length is taken off again, and must be known. **Source** derived: the
    length pulled out is that of the vehicles and two reaches for every joint.
    """
    known: list[Coupling] = []
    wanted: list[Coupling] = []
    beyond = _beyond(train, measured.over)
    for end in _counted_ends(train, measured.over):
        if end.over_couplings:
            continue
        if end.own.reach_mm is None:
            wanted.append(end.own)
        else:
            known.append(end.own)
    types = dict.fromkeys(own.type for own in wanted if own.type is not None)
    lengths = [member.length.extent for member in train.members]
    unknown = [length.missing for length in lengths]
    if wanted:
        unknown.append(_unknown(beyond))
    missing = dict.fromkeys(chain.from_iterable(unknown))
    if missing or not wanted:
        return MeasuredReach(
            ends=len(wanted), types=tuple(types), missing=tuple(missing)
        )
    taken_mm = sum(length.known_mm for length in lengths)
    taken_mm += sum(own.reach_mm or 0.0 for own in known)
    off_mm = sum(length.plus_minus_mm for length in lengths)
    taken_mm -= sum(end.own.reach_mm or 0.0 for end in beyond)
    off_mm += sum(own.reach_plus_minus_mm or 0.0 for own in known)
    off_mm += sum(end.own.reach_plus_minus_mm or 0.0 for end in beyond)
    rest_mm = tidy(measured.length_mm - taken_mm)
    off_mm += measured.plus_minus_mm
    return MeasuredReach(
        reach_mm=tidy(rest_mm / len(wanted)),
        plus_minus_mm=tidy(off_mm / len(wanted)),
        rest_mm=rest_mm,
        ends=len(wanted),
        types=tuple(types),
    )


def _counted_ends(train: Coupled, over: EndsOver) -> Sequence[_End]:
    members = train.members
    joints: list[_End] = []
    for one, two in pairwise(members):
        joints.append(_end(one, at_head=False))
        joints.append(_end(two, at_head=True))
    if over == "buffers":
        return joints
    return [_end(members[0], at_head=True), *joints, _end(members[-1], at_head=False)]


def _end(member: Member, *, at_head: bool) -> _End:
    end = member.head if at_head else member.tail
    own = coupling_at(member.vehicle, end.at) or Coupling()
    over_couplings = member.length.over == "couplings"
    field = f"{end.at}_coupling.reach_mm"
    return _End(own, over_couplings, member.vehicle.name, field)


def _beyond(train: Coupled, over: EndsOver) -> Sequence[_End]:
    """Return the outer ends that a train's length leaves out, and their vehicles' do
    not.
    """
    if over == "couplings":
        return ()
    outer = (
        _end(train.members[0], at_head=True),
        _end(train.members[-1], at_head=False),
    )
    return tuple(end for end in outer if end.over_couplings)


def _unknown(beyond: Sequence[_End]) -> tuple[Missing, ...]:
    words = (
        "how far its outer coupling reaches, or the train over its couplings, as its own"
        " length is over them"
    )
    return tuple(
        Missing(vehicle=end.vehicle, field=end.field, words=words)
        for end in beyond
        if end.own.reach_mm is None
    )
