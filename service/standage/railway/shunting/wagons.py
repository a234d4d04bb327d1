"""How long a vehicle is over its couplings, as the yard needs it."""

from collections.abc import Iterator, Sequence
from itertools import chain, combinations_with_replacement, permutations
from typing import NamedTuple

import msgspec

from standage.railway.shunting.yard import Wagon
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.ends import end_of
from standage.railway.stock.extents import Missing, length_of, total
from standage.railway.stock.joints import gap
from standage.railway.stock.mating import same_coupling
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import tidy
from standage.railway.terms.reasons import Guess, Reason
from standage.railway.terms.scales import ScaleName


class KnownWagon(msgspec.Struct, frozen=True, kw_only=True):
    """A vehicle's length over couplings, what had to be guessed for it, and what nobody
    has measured.
    """

    wagon: Wagon
    guesses: tuple[Guess, ...]
    missing: tuple[Missing, ...]


def known_wagon(vehicle: Vehicle, *, types: CouplingTypes) -> KnownWagon:
    """Return how long ``vehicle`` is over its couplings, pulled out: its own length and
    the reach of both ends.

    Where something is missing the length is only what is known of it; couplings that
    nobody has named count with the longest that may be meant. Play is left out.
    **Source** derived.
    """
    length = length_of(vehicle)
    front = end_of(
        vehicle,
        at="front",
        over=length.over,
        types=types,
    )
    rear = end_of(
        vehicle,
        at="rear",
        over=length.over,
        types=types,
    )
    extent = total((length.extent, front.reach, rear.reach)).longest()
    wagon = Wagon(
        name=vehicle.name,
        length_mm=tidy(max(0.0, extent.known_mm)),
        plus_minus_mm=tidy(extent.plus_minus_mm),
    )
    guesses = (*length.guesses, *front.reach_guesses, *rear.reach_guesses)
    return KnownWagon(
        wagon=wagon,
        guesses=guesses,
        missing=extent.missing,
    )


def inside_each_other(
    vehicles: Sequence[Vehicle], *, types: CouplingTypes
) -> Iterator[Missing]:
    """Yield the reach that is to be measured again of every two wagons that would stand
    inside each other.

    All wagons face the same way. No wagon meets itself. **Source** derived: two reaches
    that come to less than nothing, beyond their ±.
    """
    for leading, following in permutations(vehicles, 2):
        lead_over = length_of(leading).over
        follow_over = length_of(following).over
        rear = end_of(
            leading,
            at="rear",
            over=lead_over,
            types=types,
        )
        front = end_of(
            following,
            at="front",
            over=follow_over,
            types=types,
        )
        for missing in gap(rear, front).missing:
            if missing.reason is not None:
                yield missing


def unlike_couplings(
    vehicles: Sequence[Vehicle], *, types: CouplingTypes
) -> Iterator[Reason]:
    """Yield a reason for every two wagons whose couplings do not, or may not, take
    hold, by their types once each. **Source** common practice; see ``stock.mating``.
    """
    # wagons of one name, type and scale ask the same
    ends = dict.fromkeys(chain.from_iterable(map(_types, vehicles)))
    told: set[frozenset[str]] = set()
    for one, other in combinations_with_replacement(ends, 2):
        pair = frozenset((one.type.casefold(), other.type.casefold()))
        hold = types.mate(one.type, other.type, scale=one.scale or other.scale)
        if hold or pair in told:
            continue
        told.add(pair)
        if hold is None:
            yield same_coupling(one.wagon, other.wagon, (one.type, other.type))
        else:
            yield _do_not_hold(one, other)


class _Typed(NamedTuple):
    """An end of a wagon whose coupling is named."""

    wagon: str
    type: str
    scale: ScaleName | None


def _do_not_hold(one: _Typed, other: _Typed) -> Reason:
    message = (
        f"{one.wagon} ({one.type}) and {other.wagon} ({other.type}) do not take hold of"
        " each other, should they meet"
    )
    return Reason(
        code="couplings_do_not_mate",
        message=message,
        vehicle=one.wagon,
        other_vehicle=other.wagon,
    )


def _types(vehicle: Vehicle) -> Iterator[_Typed]:
    for end in (vehicle.front_coupling, vehicle.rear_coupling):
        if end is None or end.type is None:
            continue
        yield _Typed(vehicle.name, end.type, vehicle.scale)
