"""Whether there are as many of a vehicle as trains and rakes make use of, whatever the
way they are made up.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence

import msgspec

from standage.railway.stock.trains import MOST_VEHICLES
from standage.registry.records.bodies import (
    RakeBody,
    RakeVehicle,
    TrainBody,
    TrainVehicle,
    VehicleBody,
)
from standage.registry.records.record import Record
from standage.registry.records.references import Reference, Targets
from standage.shapes.faults import Fault


def vehicles_in_rakes(body: TrainBody, targets: Targets) -> Iterable[Reference]:
    """Yield the vehicles in the rakes that a train is made up of, each at the rake's
    place.
    """
    for position, entry in enumerate(body.vehicles):
        for one in _rake_of(entry, targets):
            yield Reference(
                pointer=f"/vehicles/{position}/rake_id",
                kind="vehicles",
                id=one.vehicle_id,
            )


def more_than_there_are(
    body: TrainBody | RakeBody, targets: Targets
) -> Iterator[Fault]:
    """Yield a fault where a train or a rake uses more of a vehicle than there are, or
    gets too long to reckon with.
    """
    used: dict[str, int] = {}
    entries: Sequence[TrainVehicle | RakeVehicle] = body.vehicles
    for position, entry in enumerate(entries):
        field = "count" if entry.vehicle_id is not None else "rake_id"
        for vehicle_id, count in _used(entry, targets).items():
            used[vehicle_id] = used.get(vehicle_id, 0) + count
            vehicle = targets.get(("vehicles", vehicle_id))
            if vehicle is None or not isinstance(vehicle.body, VehicleBody):
                continue
            if used[vehicle_id] > vehicle.body.count:
                message = (
                    f"makes {used[vehicle_id]} of {vehicle.body.name}, but there are"
                    f" only {vehicle.body.count}"
                )
                yield Fault(
                    code="more_than_there_are",
                    message=message,
                    pointer=f"/vehicles/{position}/{field}",
                )
    made_up = sum(len(_rake_of(entry, targets)) or 1 for entry in body.vehicles)
    if made_up > MOST_VEHICLES:
        message = (
            f"holds {made_up} once its rakes are made up, but at most {MOST_VEHICLES}"
            " are allowed"
        )
        yield Fault(
            code="too_many",
            message=message,
            pointer="/vehicles",
        )


def fewer_than_in_use(
    body: VehicleBody, vehicle_id: str, leaning: Sequence[Record], targets: Targets
) -> Iterator[Fault]:
    """Yield a fault for every train and rake that uses more of the vehicle than there
    are by ``body``.
    """
    for record in leaning:
        if not isinstance(record.body, TrainBody | RakeBody):
            continue
        used = sum(
            _used(entry, targets).get(vehicle_id, 0) for entry in record.body.vehicles
        )
        if used > body.count:
            what = "train" if isinstance(record.body, TrainBody) else "rake"
            message = (
                f"is fewer than the {used} that stand in the {what} {record.body.name}"
            )
            yield Fault(code="fewer_than_in_use", message=message, pointer="/count")


def more_than_its_trains_can_have(
    _body: RakeBody, _rake_id: str, leaning: Sequence[Record], targets: Targets
) -> Iterator[Fault]:
    """Yield a fault for all that would go wrong with a train made up of the rake as it
    is in ``targets``.
    """
    for record in leaning:
        if isinstance(record.body, TrainBody):
            for fault in more_than_there_are(record.body, targets):
                message = (
                    f"cannot be so in the train {record.body.name}: that then"
                    f" {fault.message}"
                )
                yield msgspec.structs.replace(
                    fault, message=message, pointer="/vehicles"
                )


def _used(entry: TrainVehicle | RakeVehicle, targets: Targets) -> Mapping[str, int]:
    if entry.vehicle_id is not None:
        return {entry.vehicle_id: entry.count}
    used: dict[str, int] = {}
    for one in _rake_of(entry, targets):
        used[one.vehicle_id] = used.get(one.vehicle_id, 0) + one.count
    return used


def _rake_of(
    entry: TrainVehicle | RakeVehicle, targets: Targets
) -> Sequence[RakeVehicle]:
    """Return what the rake that an entry names is made up of; nothing where it is a
    vehicle, or not known.
    """
    if not isinstance(entry, TrainVehicle) or entry.rake_id is None:
        return ()
    rake = targets.get(("rakes", entry.rake_id))
    if rake is None or not isinstance(rake.body, RakeBody):
        return ()
    return rake.body.vehicles
