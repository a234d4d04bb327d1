"""Many records written at once are held to every rule that one is held to, in as many
statements.
"""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import msgspec
import pytest

from standage.railway.stock.couplings import Coupling
from standage.registry.database.ids import new_id
from standage.registry.records.bodies import (
    CouplingTypeBody,
    LayoutBody,
    MemberBody,
    PlaceBody,
    RakeBody,
    RakeVehicle,
    TokenBody,
    TrainBody,
    TrainVehicle,
    VehicleBody,
)
from standage.registry.records.kinds import (
    COUPLING_TYPES,
    LAYOUTS,
    MEMBERS,
    PLACES,
    RAKES,
    TOKENS,
    TRAINS,
    VEHICLES,
    Kind,
)
from standage.registry.records.record import ANY_VERSION, IfMatch, Record
from standage.shapes.faults import Faulty
from standage.shapes.refusals import Forbidden, InUse, Stale
from support.clubs import Club
from support.databases import statements


def create(
    club: Club, kind: Kind[Any], *bodies: Any, parent_id: str | None = None
) -> list[Record]:
    with club.writing() as writing:
        return writing.create_all(
            kind, club.permit, {new_id(): body for body in bodies}, parent_id=parent_id
        )


def change(
    club: Club, kind: Kind[Any], records: list[Record], **fields: Any
) -> list[Record]:
    with club.writing() as writing:
        held = writing.held(kind, club.permit, [record.id for record in records])
        changes = [
            (held[record.id], msgspec.structs.replace(record.body, **fields))
            for record in records
        ]
        return writing.change_all(kind, club.permit, changes, if_match=ANY_VERSION)


def fields(record: Record) -> dict[str, Any]:
    return msgspec.structs.asdict(record.body)


def codes(refused: pytest.ExceptionInfo[Faulty]) -> list[str]:
    return [fault.code for fault in refused.value.faults]


def test_rakes_made_together_hold_no_more_of_a_vehicle_than_there_are(
    club: Club,
) -> None:
    van = club.make(VEHICLES, VehicleBody(name="Van", count=1))
    sound = RakeBody(name="Pair", vehicles=(RakeVehicle(vehicle_id=van.id),))
    too_many = RakeBody(name="Set", vehicles=(RakeVehicle(vehicle_id=van.id, count=3),))
    with pytest.raises(Faulty) as refused:
        create(club, RAKES, sound, too_many)
    assert codes(refused) == ["more_than_there_are"]
    assert (
        refused.value.faults[0].message == "Set: makes 3 of Van, but there are only 1"
    )
    with club.reading() as reading:
        assert reading.every(RAKES, club.club_id) == []


def test_rakes_changed_together_leave_their_trains_enough_vehicles(club: Club) -> None:
    van = club.make(VEHICLES, VehicleBody(name="Van", count=3))
    entry = RakeVehicle(vehicle_id=van.id, count=2)
    first, second = create(
        club,
        RAKES,
        *(RakeBody(name=name, vehicles=(entry,)) for name in ("One", "Two")),
    )
    club.make(
        TRAINS,
        TrainBody(
            name="Milk",
            vehicles=(TrainVehicle(rake_id=first.id), TrainVehicle(vehicle_id=van.id)),
        ),
    )
    with pytest.raises(Faulty) as refused:
        change(
            club,
            RAKES,
            [first, second],
            vehicles=(RakeVehicle(vehicle_id=van.id, count=3),),
        )
    assert codes(refused) == ["more_than_there_are"]
    assert (refused.value.faults[0].pointer or "").startswith(f"/{first.id}/")


def test_vehicles_changed_together_stay_as_many_as_stand_in_trains_and_in_their_rakes(
    club: Club,
) -> None:
    vans = create(
        club, VEHICLES, *(VehicleBody(name=f"Van {n}", count=4) for n in range(3))
    )
    rake = club.make(
        RAKES,
        RakeBody(name="Set", vehicles=(RakeVehicle(vehicle_id=vans[0].id, count=2),)),
    )
    entries = (
        TrainVehicle(rake_id=rake.id),
        TrainVehicle(vehicle_id=vans[0].id),
        TrainVehicle(vehicle_id=vans[1].id),
    )
    club.make(TRAINS, TrainBody(name="Goods", vehicles=entries))
    with pytest.raises(Faulty) as refused:
        change(club, VEHICLES, vans, count=1)
    assert [fault.message for fault in refused.value.faults] == [
        "Van 0: is fewer than the 2 that stand in the rake Set",
        "Van 0: is fewer than the 3 that stand in the train Goods",
    ]


def test_tokens_made_and_changed_together_are_kept_in_utc_and_keep_their_member(
    club: Club,
) -> None:
    ends = datetime(2031, 5, 1, 12, tzinfo=timezone(timedelta(hours=2)))
    other = club.make(MEMBERS, MemberBody(name="Other"))
    body = TokenBody(
        label="Hall", member_id=club.steward_id, scopes=("read",), expires_at=ends
    )
    made = create(club, TOKENS, body, msgspec.structs.replace(body, label="Stall"))
    assert [fields(one)["expires_at"].tzinfo for one in made] == [UTC, UTC]
    with pytest.raises(Faulty) as refused:
        change(club, TOKENS, made, member_id=other.id)
    assert codes(refused) == ["fixed", "fixed"]


def test_whoever_records_many_vehicles_owns_them(club: Club) -> None:
    made = create(club, VEHICLES, VehicleBody(name="Van"), VehicleBody(name="Tank"))
    owners = {fields(one)["owner_id"] for one in made}
    assert owners == {club.steward_id}


def test_names_that_must_be_the_only_ones_are_so_among_many_too(club: Club) -> None:
    club.make(LAYOUTS, LayoutBody(name="Harbour"))
    with pytest.raises(Faulty) as refused:
        create(
            club,
            LAYOUTS,
            LayoutBody(name="Moor"),
            LayoutBody(name="HARBOUR"),
            LayoutBody(name="moor"),
        )
    assert codes(refused) == ["name_taken", "name_taken"]
    first, second = create(
        club, LAYOUTS, LayoutBody(name="Moor"), LayoutBody(name="Quarry")
    )
    with pytest.raises(Faulty):
        change(club, LAYOUTS, [first, second], name="Fen")
    assert [one.version for one in change(club, LAYOUTS, [first], name="MOOR")] == [2]


def test_places_made_together_share_names_with_another_layouts_only(club: Club) -> None:
    here, there = create(
        club, LAYOUTS, LayoutBody(name="Here"), LayoutBody(name="There")
    )
    bodies = [
        PlaceBody(name=name, kind="loop", usable_length_mm=900)
        for name in ("Up", "Down")
    ]
    create(club, PLACES, *bodies, parent_id=here.id)
    create(club, PLACES, *bodies, parent_id=there.id)
    with pytest.raises(Faulty):
        create(club, PLACES, *bodies, parent_id=here.id)


def test_members_write_many_only_of_their_own(club: Club) -> None:
    own = club.member_permit(club.make(MEMBERS, MemberBody(name="Jo")))
    theirs = club.make(VEHICLES, VehicleBody(name="Tank"))
    with club.writing() as writing:
        [van] = writing.create_all(VEHICLES, own, {new_id(): VehicleBody(name="Van")})
    given_away = msgspec.structs.replace(van.body, owner_id=club.steward_id)
    for changes in ([(theirs, theirs.body)], [(van, given_away)]):
        with pytest.raises(Forbidden), club.writing() as writing:
            writing.change_all(VEHICLES, own, changes, if_match=ANY_VERSION)
    with pytest.raises(Forbidden), club.writing() as writing:
        writing.remove_all(VEHICLES, own, [van, theirs], if_match=ANY_VERSION)
    with pytest.raises(Forbidden), club.writing() as writing:
        writing.create_all(
            VEHICLES, own, {new_id(): VehicleBody(name="X", owner_id=club.steward_id)}
        )


def test_many_are_changed_and_deleted_from_the_version_that_was_seen(
    club: Club,
) -> None:
    vans = create(club, VEHICLES, VehicleBody(name="Van"), VehicleBody(name="Tank"))
    old = IfMatch(given=True, tags=frozenset({'"gone"'}))
    with pytest.raises(Stale), club.writing() as writing:
        writing.change_all(
            VEHICLES, club.permit, [(one, one.body) for one in vans], if_match=old
        )
    with pytest.raises(Stale), club.writing() as writing:
        writing.remove_all(VEHICLES, club.permit, vans, if_match=old)
    change(club, VEHICLES, vans, notes="seen")
    with pytest.raises(Stale), club.writing() as writing:
        writing.change_all(
            VEHICLES,
            club.permit,
            [(one, one.body) for one in vans],
            if_match=ANY_VERSION,
        )


def test_what_others_lean_on_is_neither_renamed_nor_deleted_among_many(
    club: Club,
) -> None:
    types = create(
        club,
        COUPLING_TYPES,
        CouplingTypeBody(name="Hook"),
        CouplingTypeBody(name="Link"),
    )
    van = VehicleBody(
        name="Van",
        front_coupling=Coupling(type="Link"),
        rear_coupling=Coupling(type=types[0].id),
    )
    club.make(VEHICLES, van)
    changes = [(types[0], types[0].body), (types[1], CouplingTypeBody(name="Chain"))]
    with pytest.raises(InUse), club.writing() as writing:
        writing.change_all(COUPLING_TYPES, club.permit, changes, if_match=ANY_VERSION)
    with pytest.raises(InUse), club.writing() as writing:
        writing.remove_all(COUPLING_TYPES, club.permit, types, if_match=ANY_VERSION)


def test_layouts_deleted_together_take_their_places_with_them(club: Club) -> None:
    layouts = create(club, LAYOUTS, LayoutBody(name="Here"), LayoutBody(name="There"))
    place = PlaceBody(name="Up", kind="loop", usable_length_mm=900)
    places = [create(club, PLACES, place, parent_id=one.id)[0] for one in layouts]
    with club.writing() as writing:
        writing.remove_all(LAYOUTS, club.permit, layouts, if_match=ANY_VERSION)
    with club.reading() as reading:
        for one in places:
            assert [
                row.action for row in reading.changes(PLACES, club.club_id, one.id)
            ] == ["create", "delete"]


def test_the_last_steward_is_not_lowered_among_many(club: Club) -> None:
    other = club.make(MEMBERS, MemberBody(name="Jo", role="steward"))
    with club.writing() as writing:
        held = writing.held(MEMBERS, club.permit, [other.id, club.steward_id])
    with pytest.raises(InUse):
        change(club, MEMBERS, list(held.values()), role="member")


def creating(club: Club, number: int) -> Callable[[], object]:
    return lambda: create(
        club, VEHICLES, *(VehicleBody(name=f"Van {n}") for n in range(number))
    )


def changing(club: Club, number: int) -> Callable[[], object]:
    vans = create(
        club, VEHICLES, *(VehicleBody(name=f"Van {n}", count=3) for n in range(number))
    )
    entries = tuple(TrainVehicle(vehicle_id=van.id) for van in vans)
    for name in ("Up", "Down"):
        club.make(TRAINS, TrainBody(name=name, vehicles=entries))
    return lambda: change(club, VEHICLES, vans, count=2)


def removing(club: Club, number: int) -> Callable[[], object]:
    vans = create(
        club, VEHICLES, *(VehicleBody(name=f"Van {n}") for n in range(number))
    )

    def remove() -> None:
        with club.writing() as writing:
            writing.remove_all(VEHICLES, club.permit, vans, if_match=ANY_VERSION)

    return remove


@pytest.mark.parametrize("writing", [creating, changing, removing])
def test_a_hundred_cost_as_many_statements_as_two(
    club: Club, writing: Callable[[Club, int], Callable[[], object]]
) -> None:
    costs = []
    for number in (2, 100):
        work = writing(club, number)
        with statements(club.database) as sent:
            work()
        costs.append(len(sent))
        for name in ("Up", "Down"):
            with club.writing() as clearing:
                for row in clearing.every(TRAINS, club.club_id):
                    if name == fields(row)["name"]:
                        clearing.remove(
                            TRAINS, club.permit, row.id, if_match=ANY_VERSION
                        )
    assert costs[0] == costs[1]
