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
from standage.railway.stock.extents import Extent, total
from standage.railway.stock.joints import End, meet
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

    def pieces(self) -> Iterable[Piece]:
        """Return every way in which one of them may add to a train."""
        return (
            piece
            for piece in (self.within, self.first, self.last, self.alone)
            if piece is not None
        )


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
    """Return one vehicle of each entry of ``pool``, every figure of it resolved
    once.
    """
    return tuple(_single(one.vehicle, types) for one in pool)


def front_of(engines: Sequence[Standing], *, types: CouplingTypes) -> Front | None:
    """Return the engines coupled up in that order; None where there are none."""
    return (
        _front(coupled(Train(vehicles=tuple(engines)), types=types))
        if engines
        else None
    )


def with_shortest(front: Front | None, *, types: CouplingTypes) -> Front | None:
    """Return the engines with the shortest of the couplings that may be meant."""
    if front is None:
        return None
    return _front(
        made_up_of([member.shortest() for member in front.members], types=types)
    )


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
    inside its neighbour.
    """
    ordered = sorted(places, key=lambda place: _settled(pool[place], members[place]))
    groups: dict[object, list[int]] = {}
    for place in ordered:
        groups.setdefault(_likeness(members[place]) if alike else place, []).append(
            place
        )
    cars = [_car(members[group[0]], group, pool) for group in groups.values()]
    return [
        car
        for car in cars
        if any(car.pieces()) and all(piece.weight_mm > 0 for piece in car.pieces())
    ]


def joined(leading: Member, following: Member, *, types: CouplingTypes) -> bool:
    """Tell whether two neighbours take hold for certain, and do not stand inside each
    other by their figures.
    """
    hold = take_hold(leading.tail, following.head, types=types)
    return hold is True and meet(leading.tail, following.head)


def unsure_joints(
    members: Iterable[Member], *, types: CouplingTypes
) -> Iterator[Reason]:
    """Yield a question for every two couplings of which nobody knows whether they take
    hold, by their names once.
    """
    ends = (end for member in members for end in (member.head, member.tail))
    by_name = {(end.type, end.scale): end for end in ends if end.type}
    for one, other in combinations(by_name.values(), 2):
        if take_hold(one, other, types=types) is None:
            yield same_coupling(one.vehicle, other.vehicle, (one.type, other.type))


def made_up_of(members: Iterable[Member], *, types: CouplingTypes) -> Coupled:
    """Return vehicles that are resolved already as one train."""
    return of_members(tuple(members), (), types)


def _single(vehicle: Standing, types: CouplingTypes) -> Member:
    one = msgspec.structs.replace(vehicle, count=1)
    return coupled(Train(vehicles=(one,)), types=types).members[0]


def _car(member: Member, group: Sequence[int], pool: Sequence[PoolVehicle]) -> Car:
    head, tail, length = member.head, member.tail, member.length.extent
    return Car(
        member=member,
        copies=tuple(
            place for place in group for _ in range(pool[place].vehicle.count)
        ),
        within=_piece(head.reach, length, tail.reach),
        first=_piece(head.projection, length, tail.reach),
        last=_piece(head.reach, length, tail.projection),
        alone=_piece(head.projection, length, tail.projection),
    )


def _piece(*parts: Extent) -> Piece | None:
    whole = total(parts)
    return (
        None
        if whole.missing
        else Piece(whole.known_mm, whole.known_mm + whole.plus_minus_mm)
    )


def _settled(one: PoolVehicle, member: Member) -> tuple[object, ...]:
    return (
        -member.length.extent.known_mm,
        one.vehicle.name,
        one.id or "",
        msgspec.json.encode(one.vehicle),
    )


def _likeness(member: Member) -> tuple[object, ...]:
    extent = member.length.extent
    return (
        extent.known_mm,
        extent.plus_minus_mm,
        bool(extent.missing),
        *_figures(member.head),
        *_figures(member.tail),
    )


def _figures(end: End) -> tuple[object, ...]:
    type_name = None if end.type is None else end.type.casefold()
    parts = (end.reach, end.projection)
    return (
        type_name,
        end.scale,
        *((part.known_mm, part.plus_minus_mm, bool(part.missing)) for part in parts),
    )
