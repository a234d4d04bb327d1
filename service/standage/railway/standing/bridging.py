"""A train in a reversing section: from the first axle that bridges a gap in the rails
to the last, no overhang.
"""

import msgspec

from standage.railway.stock.axles import axles_of
from standage.railway.stock.coupled import Coupled, Member
from standage.railway.stock.extents import Extent, Missing
from standage.railway.terms.reasons import Guess


class Bridging(msgspec.Struct, frozen=True, kw_only=True):
    """The stretch of a train that bridges: at most ``most``, and at least ``least``;
    alike where all is known.

    ``to_measure`` names what would bring the two together.
    """

    most: Extent
    least: Extent
    to_measure: tuple[Missing, ...] = ()
    guesses: tuple[Guess, ...] = ()


class _Bridges(msgspec.Struct, frozen=True, kw_only=True):
    """How far behind a vehicle's two ends its outermost bridging axles stand, or may
    stand where not ``exact``.
    """

    head_mm: float
    tail_mm: float
    exact: bool
    guesses: tuple[Guess, ...] = ()


def bridging_of(train: Coupled) -> Bridging:
    """Return the stretch of ``train`` that bridges; nothing at all where no vehicle has
    an axle that does.

    Wheels bridge unless a vehicle's bridging axles say otherwise. Where they are not
    given and not known to be all its wheels, the vehicle bridges from its first axle to
    its last at most, or from end to end where its axles are unknown too: a safe bound.
    **Source** derived.
    """
    return train.once(_bridging)


def _bridging(train: Coupled) -> Bridging:
    found: list[tuple[int, _Bridges]] = []
    for position, member in enumerate(train.members):
        bridges = _bridges(member)
        if bridges is not None:
            found.append((position, bridges))
    if not found:
        nothing = Extent(known_mm=0.0)
        return Bridging(
            most=nothing,
            least=nothing,
        )
    (first, ahead), (last, behind) = found[0], found[-1]
    axles_mm = train.members[first].vehicle.bridging_axles_mm
    if first == last and axles_mm:
        within = Extent(known_mm=max(axles_mm) - min(axles_mm))
        return Bridging(
            most=within,
            least=within,
        )
    span = train.span(first, last)
    most_mm = max(0.0, span.known_mm - ahead.head_mm - behind.tail_mm)
    # one vehicle may be both the first and the last
    ends = {first: ahead, last: behind}
    unsure = [place for place, end in ends.items() if not end.exact]
    inside_mm = train.lying_in_mm(unsure, first=first, last=last)
    least_mm = max(0.0, most_mm - inside_mm)
    guesses: list[Guess] = []
    for _, bridges in found:
        guesses += bridges.guesses
    return Bridging(
        most=msgspec.structs.replace(span, known_mm=most_mm),
        least=msgspec.structs.replace(span, known_mm=least_mm),
        to_measure=tuple(_axles_of(train.members[place]) for place in unsure),
        guesses=tuple(guesses),
    )


def _bridges(member: Member) -> _Bridges | None:
    vehicle = member.vehicle
    if vehicle.bridging_axles_mm is not None:
        return _as_given(member, vehicle.bridging_axles_mm)
    axles = axles_of(vehicle, member.length)
    if axles.sure and axles.front_mm is not None and axles.rear_mm is not None:
        front_mm, rear_mm = axles.front_mm, axles.rear_mm
    else:
        front_mm = rear_mm = 0.0
    exact = axles.sure and vehicle.kind not in {"engine", None}
    head_mm, tail_mm = (rear_mm, front_mm) if vehicle.reversed else (front_mm, rear_mm)
    return _Bridges(
        head_mm=head_mm,
        tail_mm=tail_mm,
        exact=exact,
        guesses=(_guess(member, exact=exact),),
    )


def _as_given(member: Member, axles_mm: tuple[float, ...]) -> _Bridges | None:
    if not axles_mm:
        return None
    front_mm, rear_mm = (
        min(axles_mm),
        max(0.0, member.length.extent.known_mm - max(axles_mm)),
    )
    head_mm, tail_mm = (
        (rear_mm, front_mm) if member.vehicle.reversed else (front_mm, rear_mm)
    )
    return _Bridges(head_mm=head_mm, tail_mm=tail_mm, exact=True)


def _guess(member: Member, *, exact: bool) -> Guess:
    where = "from its first axle to its last" if exact else "anywhere along it"
    about = f"its wheels are taken to bridge a gap in the rails, {where}"
    return Guess(
        vehicle=member.name,
        field="bridging_axles_mm",
        about=about,
        source="common_practice",
    )


def _axles_of(member: Member) -> Missing:
    words = "where its axles stand that bridge a gap in the rails"
    return Missing(vehicle=member.name, field="bridging_axles_mm", words=words)
