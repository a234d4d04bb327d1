"""The ends of vehicles, as far as their couplings are known."""

from collections.abc import Iterator
from typing import Literal, NamedTuple, TypeVar

import msgspec

from standage.railway.stock.couplings import (
    Bearer,
    Coupling,
    CouplingKind,
    CouplingTypes,
    Span,
    TypicalKind,
    bearer,
)
from standage.railway.stock.extents import Extent, Missing, is_over_couplings
from standage.railway.stock.typical_reaches import GUIDED
from standage.railway.stock.unnamed import halfway, reaching, standing_out
from standage.railway.stock.vehicles import LengthOver, Vehicle
from standage.railway.terms.figures import give_or_take, millimetres, tidy
from standage.railway.terms.reasons import Guess
from standage.railway.terms.scales import ScaleName
from standage.shapes.faults import Fault

At = Literal["front", "rear"]


V = TypeVar("V", bound=Vehicle)


class End(msgspec.Struct, frozen=True, kw_only=True):
    """One end of a vehicle. ``reach`` and ``projection`` are extents beyond what its
    length was measured over.

    ``play_mm`` is None where nobody knows it. ``over_buffers`` tells whether there is a
    buffer face to come up against.
    """

    vehicle: str
    at: At
    type: str | None
    scale: ScaleName | None = None
    reach: Extent
    projection: Extent
    play_mm: float | None
    over_buffers: bool
    reach_guesses: tuple[Guess, ...] = ()
    projection_guesses: tuple[Guess, ...] = ()
    joint_guesses: tuple[Guess, ...] = ()
    """What is taken of it where it is coupled, and nobody says it."""


_NOTHING = Extent(known_mm=0.0)


_ENDS: tuple[At, ...] = ("front", "rear")


_UNSAID = Coupling()


def coupling_at(vehicle: Vehicle, at: At) -> Coupling | None:
    """Return the coupling at one end of ``vehicle`` as it is given; None where nothing
    is said of it. **Source** derived.
    """
    if at == "front":
        return vehicle.front_coupling
    return vehicle.rear_coupling


class _Told(NamedTuple):
    """A length at an end, and what is guessed of it."""

    extent: Extent
    guesses: tuple[Guess, ...]


def end_of(vehicle: Vehicle, *, at: At, over: LengthOver, types: CouplingTypes) -> End:
    """Return one end of ``vehicle``, whose length was measured over its buffers or over
    its couplings.

    Its own figures count before its type's, and those before what is typical of the
    scale. Of a coupling whose type nobody knows the reach lies in the span of what is
    typical. Over couplings reach and projection are 0 and a given one is ignored, which
    is said. A projection that nobody gives is the reach, and no less than 0. **Source**
    derived.
    """
    own = coupling_at(vehicle, at) or _UNSAID
    kind = kind_of(vehicle, own, types=types)
    play_mm = own.play_mm
    if play_mm is None and kind is not None:
        play_mm = kind.play_mm
    if over == "couplings":
        ignored = _ignored(vehicle, at, own)
        reach = projection = _Told(_NOTHING, ignored)
    else:
        span = _span(vehicle, own, kind, types)
        reach = _reach_of(vehicle, at, own, kind, span)
        projection = _projection_of(vehicle, at, own, kind, span) or _as_the_reach(
            vehicle, at, reach
        )
    return End(
        vehicle=vehicle.name,
        at=at,
        type=own.type,
        scale=vehicle.scale,
        reach=reach.extent,
        projection=projection.extent,
        play_mm=play_mm,
        over_buffers=over != "couplings",
        reach_guesses=reach.guesses,
        projection_guesses=projection.guesses,
        joint_guesses=tuple(_taken_at_a_joint(vehicle, at, own, play_mm)),
    )


def _reach_of(
    vehicle: Vehicle,
    at: At,
    own: Coupling,
    kind: CouplingKind | None,
    span: Span | None,
) -> _Told:
    if span is None:
        return _Told(*_reach(vehicle, at, own, kind))
    return _Told(
        *halfway(
            vehicle,
            at,
            own,
            span=span,
            within=reaching(span),
        )
    )


def _projection_of(
    vehicle: Vehicle,
    at: At,
    own: Coupling,
    kind: CouplingKind | None,
    span: Span | None,
) -> _Told | None:
    given = _given_projection(vehicle, at, own, kind)
    if given is not None:
        return _Told(*given)
    if span is None:
        return None
    return _Told(
        *halfway(
            vehicle,
            at,
            own,
            span=span,
            within=standing_out(span),
        )
    )


def _as_the_reach(vehicle: Vehicle, at: At, reach: _Told) -> _Told:
    extent = Extent(
        known_mm=max(0.0, reach.extent.known_mm),
        plus_minus_mm=reach.extent.plus_minus_mm,
        missing=reach.extent.missing,
    )
    taken = _as_far_as_the_reach(vehicle, at, reach.extent)
    return _Told(extent, (*reach.guesses, *taken))


def bearer_of(vehicle: Vehicle) -> Bearer:
    """Return what decides which typical couplings ``vehicle`` may have. **Source**
    derived.
    """
    american = None if vehicle.practice is None else vehicle.practice == "american"
    from_body = vehicle.length_over == "body"
    if vehicle.is_american and is_over_couplings(vehicle):
        # without buffers its couplings reach from the end of the body
        from_body = True
    return bearer(vehicle.scale, american=american, from_body=from_body)


def kind_of(
    vehicle: Vehicle, own: Coupling, *, types: CouplingTypes
) -> CouplingKind | None:
    """Return the type whose figures count at an end; a coupling that is said to be
    guided is the guided one. None where nobody knows such a type. **Source** derived.
    """
    name = own.type
    if name is None and own.mounting == "guided":
        name = GUIDED
    return types.kind(name, on=bearer_of(vehicle))


def settled(end: End) -> End:
    """Return ``end`` with a reach that is only known by its span as one that is not
    known at all. **Source** derived.
    """
    if not end.reach.unsaid:
        return end
    missing = _missing_reach(end.vehicle, end.at)
    return msgspec.structs.replace(
        end, reach=Extent(known_mm=0.0, missing=(missing,)), reach_guesses=()
    )


def with_shortest(end: End) -> End:
    """Return ``end`` with the shortest of the couplings that may be meant. **Source**
    derived.
    """
    return msgspec.structs.replace(
        end, reach=end.reach.shortest(), projection=end.projection.shortest()
    )


def _span(
    vehicle: Vehicle, own: Coupling, kind: CouplingKind | None, types: CouplingTypes
) -> Span | None:
    if own.reach_mm is not None:
        return None
    if kind is not None and kind.reach_mm is not None:
        return None
    return types.span(own.type, on=bearer_of(vehicle))


def _missing_reach(vehicle: str, at: At) -> Missing:
    return Missing(
        vehicle=vehicle,
        field=f"{at}_coupling.reach_mm",
        words=f"the reach of its {at} coupling",
    )


def _taken_at_a_joint(
    vehicle: Vehicle, at: At, own: Coupling, play_mm: float | None
) -> Iterator[Guess]:
    if own.type is None:
        about = "couplings without a type are taken to couple to their neighbours"
        yield Guess(
            vehicle=vehicle.name,
            field=f"{at}_coupling.type",
            about=about,
            source="taken_as_read",
        )
    if play_mm is None:
        about = (
            "the play of the couplings is not given and counts as 0 in the length"
            " buffered up"
        )
        field = f"{at}_coupling.play_mm"
        yield Guess(
            vehicle=vehicle.name,
            field=field,
            about=about,
            source="default",
            value_mm=0.0,
        )


def swallowed_by_types(vehicle: Vehicle, *, types: CouplingTypes) -> Iterator[Fault]:
    """Yield a fault where a type's reach lies so far behind the faces that nothing is
    left of the vehicle.

    It points to the ``type`` that supplies the reach; a reach of the vehicle's own is
    found when it is sent. Reaches in mm; less than 0 lies behind the face. **Source**
    derived.
    """
    reaches_mm: dict[str, float] = {}
    by_a_type = False
    for at in _ENDS:
        own = coupling_at(vehicle, at)
        if own is None:
            continue
        if own.reach_mm is not None:
            reaches_mm[f"/{at}_coupling/reach_mm"] = own.reach_mm
            continue
        kind = None if own.type is None else kind_of(vehicle, own, types=types)
        if kind is not None and kind.reach_mm is not None:
            reaches_mm[f"/{at}_coupling/type"] = kind.reach_mm
            by_a_type = True
    if by_a_type:
        yield from vehicle.swallowed(reaches_mm)


def with_types(vehicle: V, *, types: CouplingTypes) -> tuple[V, tuple[Guess, ...]]:
    """Return ``vehicle`` with the reach and the mounting that its couplings' types
    supply, and what that guesses.

    What is given of the vehicle's own couplings stays as it is, and the reach of one
    that nobody has named unknown. **Source** derived.
    """
    filled: dict[str, Coupling] = {}
    guesses: list[Guess] = []
    for at in _ENDS:
        own = coupling_at(vehicle, at) or _UNSAID
        kind = kind_of(vehicle, own, types=types)
        if kind is None:
            continue
        _, reach_guesses = _reach(
            vehicle,
            at,
            own,
            kind,
        )
        guesses += reach_guesses
        guesses += _mounting(
            vehicle,
            at,
            own,
            kind,
        )
        filled[f"{at}_coupling"] = _filled(own, kind)
    if not filled:
        return vehicle, tuple(guesses)
    return msgspec.structs.replace(vehicle, **filled), tuple(guesses)


def _filled(own: Coupling, kind: CouplingKind) -> Coupling:
    reach_mm, mounting = own.reach_mm, own.mounting
    if reach_mm is None:
        reach_mm = kind.reach_mm
    if mounting is None:
        mounting = kind.mounting
    return msgspec.structs.replace(
        own,
        reach_mm=reach_mm,
        mounting=mounting,
    )


def _reach(
    vehicle: Vehicle, at: At, own: Coupling, kind: CouplingKind | None
) -> tuple[Extent, tuple[Guess, ...]]:
    if own.reach_mm is not None:
        return (
            Extent(
                known_mm=tidy(own.reach_mm),
                plus_minus_mm=tidy(own.reach_plus_minus_mm or 0.0),
            ),
            (),
        )
    field = f"{at}_coupling.reach_mm"
    if kind is None or kind.reach_mm is None:
        return Extent(known_mm=0.0, missing=(_missing_reach(vehicle.name, at),)), ()
    # A ± without a reach of its own is no measurement: it may only widen the type's.
    plus_minus_mm = max(own.reach_plus_minus_mm or 0.0, kind.reach_plus_minus_mm or 0.0)
    about = (
        f"the coupling's reach is taken as {_figure(kind.reach_mm, plus_minus_mm)},"
        f" {_whose(kind)}"
    )
    guess = Guess(
        vehicle=vehicle.name,
        field=field,
        about=about,
        source="typical",
        value_mm=kind.reach_mm,
        plus_minus_mm=plus_minus_mm,
    )
    return Extent(
        known_mm=tidy(kind.reach_mm), plus_minus_mm=tidy(plus_minus_mm)
    ), _if_typical(kind, guess)


def _mounting(
    vehicle: Vehicle, at: At, own: Coupling, kind: CouplingKind
) -> tuple[Guess, ...]:
    if own.mounting is not None or kind.mounting is None:
        return ()
    about = (
        f"the coupling is taken to be carried as its type says: {kind.mounting},"
        f" {_whose(kind)}"
    )
    field = f"{at}_coupling.mounting"
    return _if_typical(
        kind, Guess(vehicle=vehicle.name, field=field, about=about, source="typical")
    )


def _given_projection(
    vehicle: Vehicle, at: At, own: Coupling, kind: CouplingKind | None
) -> tuple[Extent, tuple[Guess, ...]] | None:
    if own.projection_mm is not None:
        return Extent(known_mm=tidy(own.projection_mm)), ()
    if kind is None or kind.projection_mm is None:
        return None
    guess = Guess(
        vehicle=vehicle.name,
        field=f"{at}_coupling.projection_mm",
        about=(
            "the free coupling is taken to stand out"
            f" {millimetres(kind.projection_mm)}, {_whose(kind)}"
        ),
        source="typical",
        value_mm=kind.projection_mm,
    )
    return Extent(known_mm=tidy(kind.projection_mm)), _if_typical(kind, guess)


def _as_far_as_the_reach(vehicle: Vehicle, at: At, reach: Extent) -> tuple[Guess, ...]:
    if reach.missing:
        return ()
    about = "the free coupling is taken to stand out as far as it reaches"
    field = f"{at}_coupling.projection_mm"
    return (
        Guess(
            vehicle=vehicle.name,
            field=field,
            about=about,
            source="default",
            value_mm=max(0.0, reach.known_mm),
            plus_minus_mm=reach.plus_minus_mm,
        ),
    )


def _ignored(vehicle: Vehicle, at: At, own: Coupling) -> tuple[Guess, ...]:
    if own.reach_mm is None and own.projection_mm is None:
        return ()
    about = "its length is over the couplings, so their reach is in it already"
    guess = Guess(
        vehicle=vehicle.name,
        field=f"{at}_coupling.reach_mm",
        about=about,
        source="taken_as_read",
        value_mm=0.0,
    )
    return (guess,)


def _figure(value_mm: float, plus_minus_mm: float) -> str:
    return f"{millimetres(value_mm)}{give_or_take(plus_minus_mm)}"


def _whose(kind: CouplingKind) -> str:
    return f"as is typical of {kind.name}"


def _if_typical(kind: CouplingKind, guess: Guess) -> tuple[Guess, ...]:
    """Return what is guessed by a typical type; what the club recorded of its own types
    is no guess.
    """
    if isinstance(kind, TypicalKind):
        return (guess,)
    return ()
