"""The wagons of a question about a yard, over couplings, with what was taken for them."""

from collections.abc import Iterable, Iterator, Sequence
from functools import partial

import msgspec

from standage.questions.asked import AskedVehicle, AskedYard
from standage.questions.resolving.plan_yards import YardOnPlan
from standage.questions.resolving.yards_of_places import YardOfPlaces
from standage.questions.sources import Sources
from standage.railway.shunting.wagons import (
    inside_each_other,
    known_wagon,
    unlike_couplings,
)
from standage.railway.shunting.yard import (
    Wagon,
    Yard,
)
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.extents import Missing
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.reasons import Guess, Reason
from standage.shapes.faults import Fault, Faulty, all_of


class AskedWagon(AskedVehicle, frozen=True, kw_only=True):
    """A wagon: a vehicle on record by its id, or one with its figures inline; over
    couplings unless it says buffers.

    Beside an id a name tells several alike, that are one record, from each other.
    """

    def rules(self) -> Iterable[Fault]:
        """Each wagon has a name of its own, so it stands for one only."""
        for fault in super().rules():
            renamed = fault.pointer == "/name" and fault.code == "one_or_the_other"
            if not renamed and fault.pointer != "/length_over":
                yield fault
        if self.count != 1:
            yield Fault(
                code="contradiction",
                message="must be 1: every wagon has a name of its own",
                pointer="/count",
            )


def yard_and_wagons(
    sources: Sources, yard: AskedYard, wagons: Sequence[AskedWagon]
) -> tuple[Yard | YardOnPlan | YardOfPlaces, tuple[Vehicle, ...]]:
    """Return the yard, or where it is still to be found, and the wagons that a caller
    names; raises ``Faulty`` for every id that is not on record.
    """
    found, vehicles = all_of(
        partial(sources.yards.of, yard, "/yard"),
        partial(sources.trains.vehicles, wagons, "/wagons"),
    )
    return found, tuple(map(_named, vehicles, wagons))


def _named(vehicle: Vehicle, asked: AskedWagon) -> Vehicle:
    return (
        vehicle
        if asked.name is None
        else msgspec.structs.replace(vehicle, name=asked.name)
    )


def resolved(
    vehicles: Sequence[Vehicle], types: CouplingTypes
) -> tuple[tuple[Wagon, ...], tuple[Guess, ...], tuple[Reason, ...]]:
    """Return the vehicles as wagons over couplings, what was guessed for them, and what
    may not take hold.

    Raises ``Faulty`` with every figure that is missing, at its place under ``/wagons``.
    """
    taken = [_over_couplings(vehicle) for vehicle in vehicles]
    known = [known_wagon(vehicle, types=types) for vehicle, _ in taken]
    faults = [
        _to_measure(place, one)
        for place, wagon in enumerate(known)
        for one in wagon.missing
    ]
    faults = faults or list(_to_measure_again([vehicle for vehicle, _ in taken], types))
    if faults:
        raise Faulty(faults)
    guesses = [
        guess
        for (_, said), wagon in zip(taken, known, strict=True)
        for guess in (*said, *wagon.guesses)
    ]
    return (
        tuple(wagon.wagon for wagon in known),
        tuple(guesses),
        tuple(unlike_couplings(vehicles, types=types)),
    )


def _over_couplings(vehicle: Vehicle) -> tuple[Vehicle, tuple[Guess, ...]]:
    if vehicle.length_mm is None or vehicle.length_over is not None:
        return vehicle, ()
    about = "the length is taken as over couplings, as it does not say"
    guess = Guess(
        vehicle=vehicle.name, field="length_over", about=about, source="taken_as_read"
    )
    return msgspec.structs.replace(vehicle, length_over="couplings"), (guess,)


def _to_measure(place: int, missing: Missing) -> Fault:
    pointer = f"/wagons/{place}/{missing.field.replace('.', '/')}"
    return Fault(
        code="missing",
        message=f"{missing.vehicle}: measure {missing.words}",
        pointer=pointer,
    )


def _to_measure_again(
    vehicles: Sequence[Vehicle], types: CouplingTypes
) -> Iterator[Fault]:
    """Yield a fault for every reach by which a wagon would stand inside another, once
    each.
    """
    places = {vehicle.name: place for place, vehicle in enumerate(vehicles)}
    found = {
        (one.vehicle, one.field): one.reason
        for one in inside_each_other(vehicles, types=types)
    }
    for (vehicle, field), reason in found.items():
        if reason is not None:
            pointer = f"/wagons/{places[vehicle]}/{field.replace('.', '/')}"
            yield Fault(
                code=reason.code,
                message=reason.message,
                pointer=pointer,
            )
