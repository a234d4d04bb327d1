"""A vehicle as far as a curve needs to know it: its couplings' types looked up, its
bodies, its coupled length.
"""

from collections.abc import Iterator

import msgspec

from standage.railway.stock.bodies import BodyShape, length_over_buffers, shapes
from standage.railway.stock.couplings import (
    Coupling,
    CouplingTypes,
    Mounting,
    TypicalKind,
)
from standage.railway.stock.ends import At, coupling_at, kind_of, with_types
from standage.railway.stock.extents import is_over_couplings, length_of
from standage.railway.stock.vehicles import Running, Vehicle
from standage.railway.terms.figures import tidy
from standage.railway.terms.reasons import Guess

_ENDS: tuple[At, At] = ("front", "rear")


class KnownVehicle(msgspec.Struct, frozen=True, kw_only=True):
    """A vehicle with what its couplings' types supply, and its bodies from the front.

    ``reaches_mm`` are those that count in its coupled length: its own or its club's,
    never one that is only typical.
    """

    vehicle: Vehicle
    bodies: tuple[BodyShape, ...]
    reaches_mm: tuple[float | None, float | None]
    by_type: tuple[Guess, ...]

    @property
    def name(self) -> str:
        """What it is called."""
        return self.vehicle.name

    @property
    def runnings(self) -> tuple[Running, ...]:
        """The wheels of each body, from the front."""
        return runnings(self.vehicle)

    @property
    def mountings(self) -> tuple[Mounting | None, Mounting | None]:
        """What carries the coupling at its front and at its rear; None is not known."""
        front, rear = (_mounting(self.vehicle, at) for at in _ENDS)
        return front, rear


def known_vehicle(vehicle: Vehicle, *, types: CouplingTypes) -> KnownVehicle:
    """Return a vehicle as a curve sees it; ``types`` supply what is not given of its
    couplings. **Source** derived.
    """
    filled, by_type = with_types(vehicle, types=types)
    front, rear = (_counted_reach(vehicle, at, types) for at in _ENDS)
    return KnownVehicle(
        vehicle=filled,
        bodies=shapes(filled),
        reaches_mm=(front, rear),
        by_type=tuple(_used(vehicle, by_type)),
    )


def runnings(vehicle: Vehicle) -> tuple[Running, ...]:
    """Return the wheels of each body of a vehicle, from the front. **Source** derived."""
    return (vehicle,) if vehicle.bodies is None else vehicle.bodies


def has_bogie_at(vehicle: Vehicle, at: At) -> bool:
    """Tell whether a vehicle may have a bogie at that end: it is not known to be rigid
    there. **Source** derived.
    """
    return runnings(vehicle)[0 if at == "front" else -1].rigid_wheelbase_mm is None


def longest_body_mm(known: KnownVehicle) -> float | None:
    """Return how long the longest of a vehicle's bodies is, in mm, where they end short
    of the buffers up to there; None where one is not known. **Source** derived.
    """
    lengths_mm = [_body_mm(known, body) for body in known.bodies]
    longest_mm = 0.0
    for length_mm in lengths_mm:
        if length_mm is None:
            return None
        longest_mm = max(longest_mm, length_mm)
    return longest_mm


def _body_mm(known: KnownVehicle, body: BodyShape) -> float | None:
    if body.half_front_mm is not None and body.half_rear_mm is not None:
        return tidy(body.half_front_mm + body.half_rear_mm)
    vehicle = known.vehicle
    if vehicle.bodies is None:
        # as long as it is whatever wheels it stands on
        return vehicle.body_length_mm or length_over_buffers(vehicle).value_mm
    return max(one.body_length_mm or one.length_mm for one in vehicle.bodies)


class CoupledLength(msgspec.Struct, frozen=True, kw_only=True):
    """How long a vehicle is from coupling to coupling, and what was assumed for it.

    ``scaled`` tells whether it is only the full-size length scaled down.
    """

    length_mm: float
    guesses: tuple[Guess, ...] = ()
    scaled: bool = False


def coupled_length(known: KnownVehicle) -> CoupledLength | None:
    """Return the length that the advice by ratio divides by, or None where none is
    known.

    Of several bodies the longest one counts, since each swings by itself. Where the
    length disagrees with the overhangs and the pivots between them, the greater counts.
    A reach that is not known adds nothing, nor one behind the buffers: so no figure
    that is added later makes it shorter, but one that is measured in place of a scaled
    one. **Source** derived.
    """
    vehicle = known.vehicle
    if vehicle.bodies is not None:
        return CoupledLength(length_mm=max(body.length_mm for body in vehicle.bodies))
    reaching_mm = sum(max(0.0, reach_mm or 0.0) for reach_mm in known.reaches_mm)
    by_ends_mm = _over_known_ends(vehicle)
    lengths_mm = [] if by_ends_mm is None else [by_ends_mm + reaching_mm]
    if vehicle.length_mm is not None and vehicle.length_over == "couplings":
        return CoupledLength(length_mm=max([vehicle.length_mm, *lengths_mm]))
    if is_over_couplings(vehicle):
        return _by_its_class(vehicle, lengths_mm)
    over_buffers = length_over_buffers(vehicle)
    guesses = over_buffers.guesses + tuple(_reaches_left_out(known))
    scaled = vehicle.length_mm is None and by_ends_mm is None
    if over_buffers.value_mm is not None and (scaled or vehicle.length_mm is not None):
        lengths_mm.append(over_buffers.value_mm + reaching_mm)
    return (
        CoupledLength(
            length_mm=max(lengths_mm),
            guesses=guesses,
            scaled=scaled,
        )
        if lengths_mm
        else None
    )


def _by_its_class(vehicle: Vehicle, lengths_mm: list[float]) -> CoupledLength | None:
    by_class = length_of(vehicle)
    scaled = not lengths_mm
    if by_class.extent.length_mm is not None:
        lengths_mm = [*lengths_mm, by_class.extent.length_mm]
    if not lengths_mm:
        return None
    return CoupledLength(
        length_mm=max(lengths_mm), guesses=by_class.guesses, scaled=scaled
    )


def _reaches_left_out(known: KnownVehicle) -> Iterator[Guess]:
    if None in known.reaches_mm:
        about = "the reach of its couplings is not given and counts as 0"
        yield Guess(
            vehicle=known.name,
            field="reach_mm",
            about=about,
            source="default",
            value_mm=0.0,
        )


def _over_known_ends(vehicle: Vehicle) -> float | None:
    pivots_mm = vehicle.bogie_centres_mm or vehicle.rigid_wheelbase_mm
    front_mm, rear_mm = vehicle.front_overhang_mm, vehicle.rear_overhang_mm
    if pivots_mm is None or front_mm is None or rear_mm is None:
        return None
    over_mm = pivots_mm + front_mm + rear_mm
    return over_mm if over_mm > 0 else None


def _own(vehicle: Vehicle, at: At) -> Coupling:
    return coupling_at(vehicle, at) or Coupling()


def _mounting(vehicle: Vehicle, at: At) -> Mounting | None:
    mounting = _own(vehicle, at).mounting
    if mounting == "bogie" and not has_bogie_at(vehicle, at):
        return "body"
    return mounting


def _counted_reach(vehicle: Vehicle, at: At, types: CouplingTypes) -> float | None:
    own = _own(vehicle, at)
    kind = kind_of(vehicle, own, types=types)
    if own.reach_mm is not None or kind is None or isinstance(kind, TypicalKind):
        return own.reach_mm
    return kind.reach_mm


def _used(vehicle: Vehicle, by_type: tuple[Guess, ...]) -> Iterator[Guess]:
    """Yield what was taken from the types, without the typical reaches that nothing
    rests on.
    """
    over_couplings = is_over_couplings(vehicle)
    for guess in by_type:
        counts = over_couplings or guess.source != "typical"
        if counts or not guess.field.endswith("reach_mm"):
            yield guess
