"""Records that lean on others: what may be named, and what may not be taken away from
under it.
"""

from typing import Any

import msgspec
import pytest

from standage.railway.stock.couplings import Coupling
from standage.registry.records.bodies import (
    CouplingTypeBody,
    MemberBody,
    TokenBody,
    TrainBody,
    TrainVehicle,
    VehicleBody,
)
from standage.registry.records.kinds import (
    COUPLING_TYPES,
    MEMBERS,
    TOKENS,
    TRAINS,
    VEHICLES,
    Kind,
)
from standage.registry.records.record import ANY_VERSION, Record
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from standage.shapes.refusals import Absent, InUse
from support.clubs import Club, renamed

INVENTED = "01932000-0000-7000-8000-00000000dead"


def remove(club: Club, kind: Kind[Any], record: Record) -> None:
    with club.writing() as writing:
        writing.remove(kind, club.permit, record.id, if_match=ANY_VERSION)


def change(club: Club, kind: Kind[Any], record: Record, **fields: Any) -> Record:
    def new(present: Record) -> msgspec.Struct:
        return msgspec.structs.replace(present.body, **fields)

    with club.writing() as writing:
        return writing.change(kind, club.permit, record.id, new, if_match=ANY_VERSION)


def train_of(*vehicles: Record, name: str = "Up goods", count: int = 1) -> TrainBody:
    return TrainBody(
        name=name,
        vehicles=tuple(
            TrainVehicle(vehicle_id=one.id, count=count) for one in vehicles
        ),
    )


def faults_of(refused: pytest.ExceptionInfo[Faulty]) -> list[tuple[str, str | None]]:
    return [(fault.code, fault.pointer) for fault in refused.value.faults]


def test_a_vehicle_in_a_train_cannot_be_deleted_until_the_train_is(club: Club) -> None:
    van = club.make(VEHICLES, VehicleBody(name="Van 12"))
    train = club.make(TRAINS, train_of(van))
    with pytest.raises(
        InUse, match="the vehicle Van 12 is still needed by the train Up goods"
    ):
        remove(club, VEHICLES, van)
    remove(club, TRAINS, train)
    remove(club, VEHICLES, van)


def test_a_vehicle_that_a_train_no_longer_holds_can_be_deleted(club: Club) -> None:
    van, coach = (
        club.make(VEHICLES, VehicleBody(name=name)) for name in ("Van", "Coach")
    )
    train = club.make(TRAINS, train_of(van, coach))
    change(club, TRAINS, train, vehicles=(TrainVehicle(vehicle_id=coach.id),))
    remove(club, VEHICLES, van)
    with pytest.raises(InUse):
        remove(club, VEHICLES, coach)


def test_at_most_five_that_lean_on_a_record_are_named(club: Club) -> None:
    van = club.make(VEHICLES, VehicleBody(name="Van", count=200))
    for number in range(7):
        club.make(TRAINS, train_of(van, name=f"Train {number}"))
    with pytest.raises(InUse) as refused:
        remove(club, VEHICLES, van)
    assert str(refused.value).count("the train Train") == 5
    assert "and others" in str(refused.value)


@pytest.mark.parametrize("by", ["id", "name", "name in capitals"])
@pytest.mark.parametrize("end", ["front_coupling", "rear_coupling"])
def test_a_coupling_type_that_a_vehicle_names_cannot_be_deleted(
    club: Club, by: str, end: str
) -> None:
    hook = club.make(COUPLING_TYPES, CouplingTypeBody(name="Große Hook"))
    named = {"id": hook.id, "name": "Große Hook", "name in capitals": "GROSSE  HOOK"}[
        by
    ]
    van = club.make(
        VEHICLES, convert({"name": "Van", end: {"type": named}}, VehicleBody)
    )
    with pytest.raises(InUse, match="the vehicle Van"):
        remove(club, COUPLING_TYPES, hook)
    change(club, VEHICLES, van, **{end: Coupling(type="three-link")})
    remove(club, COUPLING_TYPES, hook)


def test_a_coupling_type_is_renamed_only_while_no_vehicle_names_it_by_name(
    club: Club,
) -> None:
    hook = club.make(COUPLING_TYPES, CouplingTypeBody(name="Hook"))
    by_id = club.make(
        VEHICLES, VehicleBody(name="By id", front_coupling=Coupling(type=hook.id))
    )
    change(club, COUPLING_TYPES, hook, name="Claw")
    by_name = club.make(
        VEHICLES, VehicleBody(name="By name", front_coupling=Coupling(type="claw"))
    )
    with pytest.raises(InUse) as refused:
        change(club, COUPLING_TYPES, hook, name="Hook")
    assert "By name" in str(refused.value)
    assert "By id" not in str(refused.value)
    assert change(club, COUPLING_TYPES, hook, name="CLAW", reach_mm=2.0).version == 3
    remove(club, VEHICLES, by_name)
    change(club, COUPLING_TYPES, hook, name="Hook")
    with club.reading() as reading:
        assert reading.get(VEHICLES, club.club_id, by_id.id) == by_id


def test_a_vehicle_that_named_a_label_before_the_type_was_recorded_leans_on_it_too(
    club: Club,
) -> None:
    club.make(VEHICLES, VehicleBody(name="Van", rear_coupling=Coupling(type="Claw")))
    claw = club.make(COUPLING_TYPES, CouplingTypeBody(name="claw"))
    with pytest.raises(InUse, match="the vehicle Van"):
        remove(club, COUPLING_TYPES, claw)


@pytest.mark.parametrize(
    "label", ["three-link", "anything at all", "small hook-and-bar", "0192f000"]
)
def test_a_coupling_may_bear_any_label_that_is_no_id(club: Club, label: str) -> None:
    made = club.make(
        VEHICLES, VehicleBody(name="Van", front_coupling=Coupling(type=label))
    )
    assert isinstance(made.body, VehicleBody)
    assert made.body.front_coupling == Coupling(type=label)


def test_a_coupling_type_may_not_be_called_what_looks_like_an_id() -> None:
    with pytest.raises(Faulty) as refused:
        convert({"name": INVENTED}, CouplingTypeBody)
    assert faults_of(refused) == [("looks_like_id", "/name")]


def test_every_fault_that_other_records_show_is_reported_at_once(club: Club) -> None:
    van = club.make(VEHICLES, VehicleBody(name="Van", count=2))
    body = TrainBody(
        name="Goods",
        owner_id=INVENTED,
        vehicles=(
            TrainVehicle(vehicle_id=van.id, count=2),
            TrainVehicle(vehicle_id=INVENTED),
            TrainVehicle(vehicle_id="nonsense"),
            TrainVehicle(vehicle_id=van.id),
        ),
    )
    with pytest.raises(Faulty) as refused:
        club.make(TRAINS, body)
    assert faults_of(refused) == [
        ("no_such_member", "/owner_id"),
        ("no_such_vehicle", "/vehicles/1/vehicle_id"),
        ("no_such_vehicle", "/vehicles/2/vehicle_id"),
        ("more_than_there_are", "/vehicles/3/count"),
    ]


def test_a_train_may_hold_all_that_there_are_of_a_vehicle_but_no_more(
    club: Club,
) -> None:
    vans = club.make(VEHICLES, VehicleBody(name="Van", count=3))
    train = club.make(TRAINS, train_of(vans, count=3))
    with pytest.raises(Faulty) as refused:
        change(
            club, TRAINS, train, vehicles=(TrainVehicle(vehicle_id=vans.id, count=4),)
        )
    assert faults_of(refused) == [("more_than_there_are", "/vehicles/0/count")]


def test_a_vehicle_cannot_become_fewer_than_a_train_holds(club: Club) -> None:
    vans = club.make(VEHICLES, VehicleBody(name="Van", count=3))
    club.make(TRAINS, train_of(vans, vans))
    assert change(club, VEHICLES, vans, count=2).version == 2
    with pytest.raises(
        Faulty, match="fewer than the 2 that stand in the train Up goods"
    ) as refused:
        change(club, VEHICLES, vans, count=1)
    assert faults_of(refused) == [("fewer_than_in_use", "/count")]


def test_a_member_who_owns_stock_cannot_be_deleted(club: Club) -> None:
    kit = club.make(MEMBERS, MemberBody(name="Kit Marsh"))
    van = club.make(VEHICLES, VehicleBody(name="Van", owner_id=kit.id))
    train = club.make(TRAINS, msgspec.structs.replace(train_of(van), owner_id=kit.id))
    with pytest.raises(InUse, match="the member Kit Marsh is still needed by"):
        remove(club, MEMBERS, kit)
    change(club, TRAINS, train, owner_id=club.steward_id)
    change(club, VEHICLES, van, owner_id=club.steward_id)
    remove(club, MEMBERS, kit)


def test_deleting_a_member_deletes_the_members_tokens_each_with_its_history(
    club: Club,
) -> None:
    kit = club.make(MEMBERS, MemberBody(name="Kit Marsh"))
    tokens = [
        club.make(TOKENS, TokenBody(label=label, member_id=kit.id, scopes=("read",)))
        for label in ("Hall", "Home")
    ]
    remove(club, MEMBERS, kit)
    with club.reading() as reading:
        for token in tokens:
            with pytest.raises(Absent):
                reading.get(TOKENS, club.club_id, token.id)
            assert [
                row.action for row in reading.changes(TOKENS, club.club_id, token.id)
            ] == ["create", "delete"]


def test_a_deleted_train_leans_on_nothing(club: Club) -> None:
    kit = club.make(MEMBERS, MemberBody(name="Kit Marsh"))
    van = club.make(VEHICLES, VehicleBody(name="Van"))
    train = club.make(TRAINS, msgspec.structs.replace(train_of(van), owner_id=kit.id))
    remove(club, TRAINS, train)
    remove(club, MEMBERS, kit)
    remove(club, VEHICLES, van)


def test_a_name_given_by_a_change_is_checked_like_one_given_at_first(
    club: Club,
) -> None:
    van = club.make(VEHICLES, VehicleBody(name="Van"))
    with pytest.raises(Faulty) as refused:
        change(
            club,
            VEHICLES,
            van,
            owner_id=INVENTED,
            front_coupling=Coupling(type=INVENTED),
        )
    assert faults_of(refused) == [
        ("no_such_member", "/owner_id"),
        ("no_such_coupling_type", "/front_coupling/type"),
    ]


def test_renaming_what_others_name_by_id_is_free(club: Club) -> None:
    van = club.make(VEHICLES, VehicleBody(name="Van"))
    club.make(TRAINS, train_of(van))
    with club.writing() as writing:
        writing.change(
            VEHICLES, club.permit, van.id, renamed("Wagon"), if_match=ANY_VERSION
        )
