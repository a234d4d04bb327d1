"""Nothing of one club can be seen, changed, named or leaned on by another."""

from typing import Any

import msgspec
import pytest

from standage.railway.modules.standard_rules import BoardMass, LongestTrain, Waiver
from standage.railway.stock.couplings import Coupling
from standage.registry.database.engine import Database
from standage.registry.records.bodies import (
    ModuleBody,
    RakeBody,
    RakeVehicle,
    StandardBody,
    TokenBody,
    TrainBody,
    TrainVehicle,
    VehicleBody,
)
from standage.registry.records.kinds import (
    CLUBS,
    COUPLING_TYPES,
    MEMBERS,
    MODULES,
    RAKES,
    STANDARDS,
    TOKENS,
    TRAINS,
    VEHICLES,
    Kind,
)
from standage.registry.records.reading import Listing
from standage.registry.records.record import ANY_VERSION, UNCONDITIONAL
from standage.registry.records.references import Reference
from standage.shapes.faults import Faulty
from standage.shapes.refusals import Absent
from support.clubs import MADE, Club, new_club, renamed

INVENTED = "01932000-0000-7000-8000-00000000dead"


@pytest.fixture
def other(database: Database, club: Club) -> Club:
    return new_club(database, "Upland Light Railway Society")


@pytest.mark.parametrize("kind", MADE, ids=lambda kind: kind.name)
@pytest.mark.parametrize("if_match", [ANY_VERSION, UNCONDITIONAL], ids=["any", "none"])
def test_another_clubs_record_is_absent_to_every_operation(
    club: Club, other: Club, kind: Kind[Any], if_match: Any
) -> None:
    theirs = other.make_sample(kind)
    said = set()
    for record_id in (theirs.id, INVENTED):
        with club.reading() as reading, pytest.raises(Absent) as refused:
            reading.get(kind, club.club_id, record_id)
        said.add(str(refused.value))
        with pytest.raises(Absent) as refused, club.writing() as writing:
            writing.change(
                kind, club.permit, record_id, renamed("Ours now"), if_match=if_match
            )
        said.add(str(refused.value))
        with pytest.raises(Absent) as refused, club.writing() as writing:
            writing.remove(kind, club.permit, record_id, if_match=if_match)
        said.add(str(refused.value))
    assert len(said) == 1
    with other.reading() as reading:
        assert reading.get(kind, other.club_id, theirs.id) == theirs


@pytest.mark.parametrize(
    "kind", [kind for kind in MADE if kind.parent is None], ids=lambda kind: kind.name
)
def test_another_clubs_records_are_in_no_list_of_ours(
    club: Club, other: Club, kind: Kind[Any]
) -> None:
    ours, theirs = club.make_sample(kind), other.make_sample(kind)
    with club.reading() as reading:
        ids = {record.id for record in reading.page(kind, club.club_id)}
        assert reading.many(kind, club.club_id, [ours.id, theirs.id]) == {ours.id: ours}
        assert reading.changes(kind, club.club_id, theirs.id) == []
    assert ours.id in ids
    assert theirs.id not in ids


@pytest.mark.parametrize(
    "kind",
    [kind for kind in MADE if kind.parent is not None],
    ids=lambda kind: kind.name,
)
def test_what_lies_beneath_another_clubs_is_in_no_list_of_ours_and_nothing_can_be_put_there(
    club: Club, other: Club, kind: Kind[Any]
) -> None:
    theirs = other.make_sample(kind)
    with club.reading() as reading, pytest.raises(Absent):
        reading.page(kind, club.club_id, parent_id=theirs.parent_id)
    with pytest.raises(Absent):
        club.make(kind, theirs.body, parent_id=theirs.parent_id)


def test_another_club_itself_is_absent(club: Club, other: Club) -> None:
    with club.reading() as reading:
        for club_id in (other.club_id, INVENTED):
            with pytest.raises(Absent):
                reading.get(CLUBS, club.club_id, club_id)
        assert [record.id for record in reading.page(CLUBS, club.club_id)] == [
            club.club_id
        ]


def naming(
    kind: Kind[Any], target_id: str, club: Club
) -> list[tuple[Kind[Any], msgspec.Struct]]:
    """Return a body for each place in a body that can name a record of that kind."""
    if kind is MEMBERS:
        vehicle = club.make_sample(VEHICLES)
        return [
            (VEHICLES, VehicleBody(name="Van", owner_id=target_id)),
            (
                TRAINS,
                TrainBody(
                    name="Goods",
                    owner_id=target_id,
                    vehicles=(TrainVehicle(vehicle_id=vehicle.id),),
                ),
            ),
            (TOKENS, TokenBody(label="Hall", member_id=target_id, scopes=("read",))),
            (
                RAKES,
                RakeBody(
                    name="Set",
                    owner_id=target_id,
                    vehicles=(RakeVehicle(vehicle_id=vehicle.id),),
                ),
            ),
            (MODULES, ModuleBody(name="Oak end", owner_id=target_id)),
        ]
    if kind is VEHICLES:
        return [
            (
                TRAINS,
                TrainBody(name="Goods", vehicles=(TrainVehicle(vehicle_id=target_id),)),
            ),
            (
                RAKES,
                RakeBody(name="Set", vehicles=(RakeVehicle(vehicle_id=target_id),)),
            ),
        ]
    if kind is RAKES:
        return [
            (
                TRAINS,
                TrainBody(name="Goods", vehicles=(TrainVehicle(rake_id=target_id),)),
            )
        ]
    if kind in {MODULES, TRAINS}:
        rules = (BoardMass(mass_g=1.0), LongestTrain(length_mm=1.0))
        waiver = Waiver(rule=1, module_id=target_id, reason="old")
        if kind is TRAINS:
            waiver = Waiver(rule=2, train_id=target_id, reason="old")
        return [(STANDARDS, StandardBody(name="Ours", asks=rules, waivers=(waiver,)))]
    coupling = Coupling(type=target_id)
    return [
        (VEHICLES, VehicleBody(name="Van", front_coupling=coupling)),
        (VEHICLES, VehicleBody(name="Van", rear_coupling=coupling)),
    ]


@pytest.mark.parametrize(
    "kind",
    [MEMBERS, VEHICLES, COUPLING_TYPES, RAKES, TRAINS, MODULES],
    ids=lambda kind: kind.name,
)
def test_naming_another_clubs_record_or_a_deleted_one_is_refused_in_the_words_for_an_invented_one(
    club: Club, other: Club, kind: Kind[Any]
) -> None:
    deleted = club.make_sample(kind)
    with club.writing() as writing:
        writing.remove(kind, club.permit, deleted.id, if_match=ANY_VERSION)
    said: dict[str, list[Any]] = {}
    for target_id in (INVENTED, other.make_sample(kind).id, deleted.id):
        said[target_id] = []
        for source, body in naming(kind, target_id, club):
            with pytest.raises(Faulty) as refused:
                club.make(source, body)
            said[target_id].append(refused.value.faults)
            assert target_id not in str(refused.value)
    invented = said.pop(INVENTED)
    assert list(said.values()) == [invented, invented]
    pointers = [
        reference.pointer
        for source, body in naming(kind, INVENTED, club)
        for reference in named(source, body)
    ]
    assert [fault.pointer for faults in invented for fault in faults] == pointers
    assert {fault.code for faults in invented for fault in faults} == {
        f"no_such_{kind.one.replace(' ', '_')}"
    }


def named(source: Kind[Any], body: msgspec.Struct) -> list[Reference]:
    return [
        reference for reference in source.leaning.on(body) if reference.id == INVENTED
    ]


def test_a_name_in_another_club_takes_nothing_from_ours(
    club: Club, other: Club
) -> None:
    for kind in (COUPLING_TYPES,):
        body, _ = club.sample(kind, "Hook")
        assert club.make(kind, body).body == other.make(kind, body).body


def test_a_coupling_type_of_another_club_is_not_in_use_by_ours(
    club: Club, other: Club
) -> None:
    body, _ = other.sample(COUPLING_TYPES, "Hook")
    theirs = other.make(COUPLING_TYPES, body)
    club.make(VEHICLES, VehicleBody(name="Van", front_coupling=Coupling(type="Hook")))
    with other.writing() as writing:
        writing.remove(COUPLING_TYPES, other.permit, theirs.id, if_match=ANY_VERSION)


def test_a_filter_by_another_clubs_member_finds_nothing(
    club: Club, other: Club
) -> None:
    club.make_sample(VEHICLES)
    other.make_sample(VEHICLES)
    with club.reading() as reading:
        assert (
            reading.page(
                VEHICLES, club.club_id, Listing(filters={"owner_id": other.steward_id})
            )
            == []
        )
