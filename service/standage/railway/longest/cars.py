"""What each vehicle of a pool adds to a train, wherever in it the vehicle stands; like
ones are counted together.
"""

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations
from typing import NamedTuple

import msgspec

from standage.railway.stock.coupled import (
    Coupled,
    Member,
    coupled,
    of_members,
    take_hold,
)
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.ends import End
from standage.railway.stock.extents import Extent, total
from standage.railway.stock.joints import meet
from standage.railway.stock.mating import same_coupling
from standage.railway.stock.trains import Train
from standage.railway.stock.vehicles import Standing
from standage.railway.terms.reasons import Reason


class PoolVehicle(msgspec.Struct, frozen=True, kw_only=True):
    """A vehicle that may go into the train, the way round it stands; its ``count`` says
    how many like it there are.
    """

    vehicle: Standing
    id: str | None = None


class Piece(NamedTuple):
    """What a vehicle adds to a train: its length, and its weight, which is that length
    and its ± together.
    """

    length_mm: float
    weight_mm: float


class Car(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """Like vehicles of a pool, ``copies`` by their places in it, and what one adds;
    None where that is not known.

    ``within`` others it adds its length and the reach of both couplings; as the train's
    first or last, or alone, what a free coupling stands out instead of the reach there.
    """

    member: Member
    copies: tuple[int, ...]
    within: Piece | None
    first: Piece | None
    last: Piece | None
    alone: Piece | None

    def pieces(self) -> Iterator[Piece]:
        """Return every way in which one of them may add to a train."""
        for piece in (self.within, self.first, self.last, self.alone):
            if piece is not None:
                yield piece

    def can_stand(self) -> bool:
        """Tell whether anything is known of it, and it takes room wherever it stands:
        by its figures none stands inside its neighbour.
        """
        weights_mm = [piece.weight_mm for piece in self.pieces()]
        return min(weights_mm, default=0.0) > 0


class Front(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """The engines in front: what they come to with vehicles behind them, and by
    themselves.
    """

    members: tuple[Member, ...]
    leading: Piece | None
    alone: Piece | None


def members_of(
    pool: Iterable[PoolVehicle], *, types: CouplingTypes
) -> tuple[Member, ...]:
    """Return one vehicle of each entry of ``pool``, every figure of it resolved once.
    **Source** derived.
    """
    members = [_single(one.vehicle, types) for one in pool]
    return tuple(members)


def front_of(engines: Sequence[Standing], *, types: CouplingTypes) -> Front | None:
    """Return the engines coupled up in that order; None where there are none.
    **Source** derived.
    """
    if not engines:
        return None
    train = Train(vehicles=tuple(engines))
    return _front(coupled(train, types=types))


def with_shortest(front: Front | None, *, types: CouplingTypes) -> Front | None:
    """Return the engines with the shortest of the couplings that may be meant.
    **Source** derived.
    """
    if front is None:
        return None
    members = [member.shortest() for member in front.members]
    return _front(made_up_of(members, types=types))


def _front(made_up: Coupled) -> Front:
    head, tail = made_up.outer_ends()
    span = made_up.span(0, len(made_up.members) - 1)
    return Front(
        members=made_up.members,
        leading=_piece(span, head.projection, tail.reach),
        alone=_piece(span, head.projection, tail.projection),
    )


def cars_of(
    pool: Sequence[PoolVehicle],
    members: Sequence[Member],
    *,
    places: Iterable[int],
    alike: bool,
) -> list[Car]:
    """Return the vehicles at those ``places`` of the pool, the longest first, in an
    order that is not the pool's own.

    With ``alike`` those that count alike in every train are one car with several
    copies. Left out is what no figure is known of, and what by its figures would stand
    inside its neighbour. Lengths are those pulled out, in mm. **Source** derived.
    """

    def settled(place: int) -> tuple[object, ...]:
        return _settled(pool[place], members[place])

    groups: dict[object, list[int]] = {}
    # not the pool's own order, so that listing it otherwise changes no answer
    for place in sorted(places, key=settled):
        sort: object = place
        if alike:
            sort = _likeness(members[place])
        groups.setdefault(sort, []).append(place)
    cars: list[Car] = []
    for group in groups.values():
        car = _car(members[group[0]], group, pool)
        if car.can_stand():
            cars.append(car)
    return cars


def joined(leading: Member, following: Member, *, types: CouplingTypes) -> bool:
    """Tell whether two neighbours take hold for certain, and do not stand inside each
    other by their figures. **Source** common practice; see ``stock.mating``.
    """
    tail, head = leading.tail, following.head
    if take_hold(tail, head, types=types) is not True:
        return False
    return meet(tail, head)


def unsure_joints(
    members: Iterable[Member], *, types: CouplingTypes
) -> Iterator[Reason]:
    """Yield a question for every two couplings of which nobody knows whether they take
    hold, by their names once. **Source** common practice.
    """
    by_name: dict[object, End] = {}
    for member in members:
        for end in (member.head, member.tail):
            if end.type:
                by_name[end.type, end.scale] = end
    for one, other in combinations(by_name.values(), 2):
        if take_hold(one, other, types=types) is None:
            yield same_coupling(one.vehicle, other.vehicle, (one.type, other.type))


def made_up_of(members: Iterable[Member], *, types: CouplingTypes) -> Coupled:
    """Return vehicles that are resolved already as one train. There is one at least.
    **Source** derived.
    """
    return of_members(tuple(members), (), types)


def _single(vehicle: Standing, types: CouplingTypes) -> Member:
    one = msgspec.structs.replace(vehicle, count=1)
    train = coupled(Train(vehicles=(one,)), types=types)
    return train.members[0]


def _car(member: Member, group: Sequence[int], pool: Sequence[PoolVehicle]) -> Car:
    head, tail, length = member.head, member.tail, member.length.extent
    copies: list[int] = []
    for place in group:
        copies += [place] * pool[place].vehicle.count
    return Car(
        member=member,
        copies=tuple(copies),
        within=_piece(head.reach, length, tail.reach),
        first=_piece(head.projection, length, tail.reach),
        last=_piece(head.reach, length, tail.projection),
        alone=_piece(head.projection, length, tail.projection),
    )


def _piece(*parts: Extent) -> Piece | None:
    whole = total(parts)
    if whole.missing:
        return None
    weight_mm = whole.known_mm + whole.plus_minus_mm
    return Piece(whole.known_mm, weight_mm)


def _settled(one: PoolVehicle, member: Member) -> tuple[object, ...]:
    return (
        -member.length.extent.known_mm,
        one.vehicle.name,
        one.id or "",
        msgspec.json.encode(one.vehicle),
    )


def _likeness(member: Member) -> tuple[object, ...]:
    return (
        _figures(member.length.extent),
        _coupling(member.head),
        _coupling(member.tail),
    )


def _coupling(end: End) -> tuple[object, ...]:
    return (
        end.type and end.type.casefold(),
        end.scale,
        _figures(end.reach),
        _figures(end.projection),
    )


def _figures(extent: Extent) -> tuple[float, float, bool]:
    return (extent.known_mm, extent.plus_minus_mm, bool(extent.missing))
