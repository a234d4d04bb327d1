"""Rakes on record: as many of a vehicle as there are, however a train is made up of
them.
"""

from typing import Any

import msgspec
import pytest

from standage.registry.records.bodies import (
    RakeBody,
    RakeVehicle,
    TrainBody,
    TrainVehicle,
    VehicleBody,
)
from standage.registry.records.kinds import RAKES, TRAINS, VEHICLES, Kind
from standage.registry.records.record import ANY_VERSION, Record
from standage.shapes.faults import Faulty
from standage.shapes.refusals import InUse
from support.clubs import Club
from support.databases import statements


@pytest.fixture
def vans(club: Club) -> Record:
    """Put three vans alike on record."""
    return club.make(VEHICLES, VehicleBody(name="Van", count=3))


def rake_of(vehicle: Record, count: int, name: str = "Set") -> RakeBody:
    return RakeBody(
        name=name, vehicles=(RakeVehicle(vehicle_id=vehicle.id, count=count),)
    )


def train_of(
    *rakes: Record, vehicle: Record | None = None, name: str = "Milk"
) -> TrainBody:
    alone = () if vehicle is None else (TrainVehicle(vehicle_id=vehicle.id),)
    return TrainBody(
        name=name, vehicles=(*(TrainVehicle(rake_id=one.id) for one in rakes), *alone)
    )


def change(club: Club, kind: Kind[Any], record: Record, **fields: Any) -> Record:
    with club.writing() as writing:
        return writing.change(
            kind,
            club.permit,
            record.id,
            lambda present: msgspec.structs.replace(present.body, **fields),
            if_match=ANY_VERSION,
        )


def told(refused: pytest.ExceptionInfo[Faulty]) -> list[tuple[str, str | None, str]]:
    return [
        (fault.code, fault.pointer, fault.message) for fault in refused.value.faults
    ]


def test_a_rake_holds_no_more_of_a_vehicle_than_there_are(
    club: Club, vans: Record
) -> None:
    with pytest.raises(Faulty) as refused:
        club.make(RAKES, rake_of(vans, 4))
    message = "makes 4 of Van, but there are only 3"
    assert told(refused) == [("more_than_there_are", "/vehicles/0/count", message)]


def test_a_train_counts_its_vehicles_through_its_rakes(
    club: Club, vans: Record
) -> None:
    rake = club.make(RAKES, rake_of(vans, 2))
    club.make(TRAINS, train_of(rake, vehicle=vans))
    with pytest.raises(Faulty) as refused:
        club.make(TRAINS, train_of(rake, rake, vehicle=vans))
    assert told(refused) == [
        (
            "more_than_there_are",
            "/vehicles/1/rake_id",
            "makes 4 of Van, but there are only 3",
        ),
        (
            "more_than_there_are",
            "/vehicles/2/count",
            "makes 5 of Van, but there are only 3",
        ),
    ]


def test_a_rake_does_not_outgrow_the_trains_it_is_in(club: Club, vans: Record) -> None:
    rake = club.make(RAKES, rake_of(vans, 1))
    train = club.make(TRAINS, train_of(rake, vehicle=vans))
    assert change(club, RAKES, rake, vehicles=rake_of(vans, 2).vehicles).version == 2
    with pytest.raises(Faulty) as refused:
        change(club, RAKES, rake, vehicles=rake_of(vans, 3).vehicles)
    message = (
        "cannot be so in the train Milk: that then makes 4 of Van, but there are only 3"
    )
    assert told(refused) == [("more_than_there_are", "/vehicles", message)]
    change(club, TRAINS, train, vehicles=train_of(rake).vehicles)
    change(club, RAKES, rake, vehicles=rake_of(vans, 3).vehicles)


def test_a_rake_may_take_in_another_vehicle_of_which_its_trains_have_enough(
    club: Club, vans: Record
) -> None:
    coach = club.make(VEHICLES, VehicleBody(name="Coach"))
    rake = club.make(RAKES, rake_of(vans, 1))
    club.make(TRAINS, train_of(rake))
    with_coach = club.make(TRAINS, train_of(rake, vehicle=coach, name="Mail"))
    with pytest.raises(Faulty, match="the train Mail: that then makes 2 of Coach"):
        change(club, RAKES, rake, vehicles=rake_of(coach, 1).vehicles)
    change(club, TRAINS, with_coach, vehicles=train_of(rake).vehicles)
    change(club, RAKES, rake, vehicles=rake_of(coach, 1).vehicles)


def test_a_vehicle_does_not_become_fewer_than_a_rake_or_a_train_through_it_holds(
    club: Club, vans: Record
) -> None:
    rake = club.make(RAKES, rake_of(vans, 2))
    with pytest.raises(Faulty) as refused:
        change(club, VEHICLES, vans, count=1)
    assert told(refused) == [
        (
            "fewer_than_in_use",
            "/count",
            "is fewer than the 2 that stand in the rake Set",
        )
    ]
    club.make(TRAINS, train_of(rake, vehicle=vans))
    with pytest.raises(Faulty) as refused:
        change(club, VEHICLES, vans, count=2)
    assert told(refused) == [
        (
            "fewer_than_in_use",
            "/count",
            "is fewer than the 3 that stand in the train Milk",
        )
    ]
    change(club, VEHICLES, vans, count=3)


def test_a_train_gets_no_longer_through_its_rakes_than_it_may_be(club: Club) -> None:
    many = [club.make(VEHICLES, VehicleBody(name="Van", count=200)) for _ in range(2)]
    vehicles = tuple(RakeVehicle(vehicle_id=one.id) for one in many) * 50
    rake = club.make(RAKES, RakeBody(name="Set", vehicles=vehicles))
    train = club.make(TRAINS, train_of(rake, rake))
    with pytest.raises(Faulty) as refused:
        change(
            club, TRAINS, train, vehicles=train_of(rake, rake, vehicle=many[0]).vehicles
        )
    message = "holds 201 once its rakes are made up, but at most 200 are allowed"
    assert told(refused) == [("too_many", "/vehicles", message)]
    with pytest.raises(Faulty) as refused:
        change(club, RAKES, rake, vehicles=(*vehicles, vehicles[0]))
    assert [fault.code for fault in refused.value.faults] == ["too_many"]


def test_a_vehicle_in_a_rake_and_a_rake_in_a_train_cannot_be_deleted(
    club: Club, vans: Record
) -> None:
    rake = club.make(RAKES, rake_of(vans, 1))
    club.make(TRAINS, train_of(rake))
    for kind, record, user in (
        (VEHICLES, vans, "the rake Set"),
        (RAKES, rake, "the train Milk"),
    ):
        with pytest.raises(InUse, match=user), club.writing() as writing:
            writing.remove(kind, club.permit, record.id, if_match=ANY_VERSION)


def test_changing_a_rake_takes_as_many_statements_whatever_leans_on_it(
    club: Club, vans: Record
) -> None:
    rake = club.make(RAKES, rake_of(vans, 1))

    def sent() -> int:
        with statements(club.database) as told:
            change(club, RAKES, rake, notes="oiled")
        return len(told)

    club.make(TRAINS, train_of(rake, vehicle=vans))
    few = sent()
    for number in range(20):
        other = club.make(RAKES, rake_of(vans, 1, name=f"Set {number}"))
        club.make(TRAINS, train_of(rake, other, vehicle=vans, name=f"Train {number}"))
    assert sent() == few
