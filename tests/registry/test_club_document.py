"""A whole club as one document: out of one instance and into another, on either
database, ids and all.
"""

import gzip
import hashlib
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest
from sqlalchemy import insert, select

from standage.exchange.json_parts import parts
from standage.registry.database.engine import Database
from standage.registry.database.wiping import is_to_be_wiped
from standage.registry.forgetting.erasing import FORMER, Erasing
from standage.registry.forgetting.erasures import Erasure, append
from standage.registry.moving.backup import back_up
from standage.registry.moving.club_arrival import Arrived, arrive
from standage.registry.moving.club_document import KEPT_BACK, written
from standage.registry.people.credentials import principal_for
from standage.registry.records.bodies import (
    LayoutBody,
    MemberBody,
    PlaceBody,
    VehicleBody,
    YardBody,
)
from standage.registry.records.kinds import (
    CLUBS,
    LAYOUTS,
    MEMBERS,
    PLACES,
    TOKENS,
    VEHICLES,
    YARDS,
    Kind,
)
from standage.registry.records.reading import Reading
from standage.registry.records.record import ANY_VERSION
from standage.registry.records.yard_roads import YardSiding
from standage.shapes.faults import Faulty
from standage.shapes.refusals import Unready
from support.clubs import MADE, NOW, Club, new_club, renamed
from support.databases import contents


def told(database: Database, club_id: str) -> bytes:
    with database.read() as connection:
        return b"".join(written(Reading(connection), club_id))


def taken(database: Database, document: bytes, lot: int = 1000) -> Arrived:
    lots = (document[at : at + lot] for at in range(0, len(document), lot))
    return arrive(database, parts(lots), NOW)


def filled(database: Database) -> Club:
    club = new_club(database)
    for kind in MADE:
        if kind.name not in KEPT_BACK:
            club.make_sample(kind, f"Sample of {kind.name}")
    with_a_yard(club)
    club.make_sample(
        VEHICLES, "Up\u202e wagon"
    )  # of before names were looked at so closely
    vehicle = club.make_sample(VEHICLES, "Ore wagon")
    with club.writing() as writing:
        writing.change(
            VEHICLES,
            club.permit,
            vehicle.id,
            renamed("Tar wagon"),
            if_match=ANY_VERSION,
        )
    return club


def with_a_yard(club: Club) -> None:
    """Record a yard whose headshunt is a place of its layout, and another layout."""
    for name in ("Quarry", "Harbour"):
        layout = club.make(LAYOUTS, LayoutBody(name=name))
        neck = PlaceBody(name="Neck", kind="headshunt", usable_length_mm=300.0)
        place = club.make(PLACES, neck, parent_id=layout.id)
    goods = YardBody(
        name="Goods",
        headshunt_place_id=place.id,
        sidings=(YardSiding(name="Long", usable_length_mm=400.0),),
    )
    club.make(YARDS, goods, parent_id=layout.id)


@pytest.fixture
def both(
    sqlite_database: Database, postgresql_database: Database
) -> tuple[Database, Database]:
    return sqlite_database, postgresql_database


@pytest.mark.parametrize("way", ["to postgresql", "to sqlite"])
def test_a_club_arrives_equal_ids_and_all(
    both: tuple[Database, Database], way: str
) -> None:
    there, here = both if way == "to postgresql" else both[::-1]
    club = filled(there)
    document = told(there, club.club_id)
    arrived = taken(here, document)
    assert told(here, club.club_id) == document
    assert (arrived.club_id, arrived.member_id) == (club.club_id, club.steward_id)
    with here.read() as connection:
        assert principal_for(Reading(connection), arrived.token, NOW) is not None
    assert arrived.records == len(json.loads(document)["records"])


def test_a_yard_whose_headshunt_is_a_place_of_another_layout_does_not_arrive(
    both: tuple[Database, Database],
) -> None:
    there, here = both
    document = json.loads(told(there, filled(there).club_id))
    of_kind: dict[str, list[Any]] = {}
    for one in document["records"]:
        of_kind.setdefault(one["kind"], []).append(one)
    [goods] = [one for one in of_kind["yards"] if one["body"]["name"] == "Goods"]
    [neck] = [
        one
        for one in of_kind["places"]
        if one["body"]["name"] == "Neck" and one["parent_id"] != goods["parent_id"]
    ]
    goods["body"]["headshunt_place_id"] = neck["id"]
    with pytest.raises(Faulty) as refused:
        taken(here, json.dumps(document).encode())
    [fault] = refused.value.faults
    assert (fault.code, fault.pointer) == ("no_such_place", "/headshunt_place_id")


def test_no_secret_goes_out(database: Database) -> None:
    club = filled(database)
    document = json.loads(told(database, club.club_id))
    kinds = {one["kind"] for one in (*document["records"], *document["history"])}
    assert kinds & KEPT_BACK == set()
    assert TOKENS.name in KEPT_BACK
    assert club.token not in json.dumps(document)


def test_a_backup_holds_digests_of_tokens_and_every_club_and_a_document_neither(
    database: Database, tmp_path: Path
) -> None:
    club, other = filled(database), new_club(database)
    digest = hashlib.sha256(club.token.encode()).hexdigest()
    back_up(database, tmp_path / "backup", NOW)
    backup = gzip.decompress((tmp_path / "backup").read_bytes()).decode()
    document = told(database, club.club_id).decode()
    for without in (digest, other.club_id):
        assert without in backup
        assert without not in document


def test_where_some_of_it_is_here_already_every_conflict_is_told_and_nothing_recorded(
    database: Database,
) -> None:
    club = filled(database)
    document = told(database, club.club_id)
    with pytest.raises(Faulty) as refused:
        taken(database, document)
    assert {fault.code for fault in refused.value.faults} == {"conflict"}
    assert len(refused.value.faults) == len(json.loads(document)["records"])
    assert any("Tar wagon" in fault.message for fault in refused.value.faults)
    assert told(database, club.club_id) == document


@pytest.mark.parametrize(
    "kind", [CLUBS, MEMBERS, VEHICLES], ids=lambda kind: str(kind.name)
)
def test_where_one_record_is_here_already_it_alone_is_told_and_nothing_recorded(
    sqlite_database: Database, postgresql_database: Database, kind: Kind[Any]
) -> None:
    """Another club's, and deleted: an id is one record's for good."""
    club = filled(sqlite_database)
    document = told(sqlite_database, club.club_id)
    other = new_club(postgresql_database, "Upland Light")
    with sqlite_database.read() as connection:
        row = dict(
            connection.execute(select(kind.table).order_by(kind.table.c.id.desc()))
            .mappings()
            .first()
            or {}
        )
    if kind is not CLUBS:
        row |= {"club_id": other.club_id, "deleted_at": NOW}
    with postgresql_database.write() as connection:
        connection.execute(insert(kind.table).values(row))
    before = contents(postgresql_database)
    with pytest.raises(Faulty) as refused:
        taken(postgresql_database, document)
    (fault,) = refused.value.faults
    assert (fault.code, fault.pointer) == ("conflict", f"/records/{row['id']}")
    assert fault.message.startswith(f"the {kind.one} ")
    assert contents(postgresql_database) == before


def test_of_very_many_conflicts_the_first_are_told_and_the_others_counted(
    sqlite_database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("standage.registry.moving.club_arrival._MOST_CONFLICTS", 3)
    document = told(sqlite_database, filled(sqlite_database).club_id)
    with pytest.raises(Faulty) as refused:
        taken(sqlite_database, document)
    *_, last = refused.value.faults
    assert len(refused.value.faults) == 3 + 1
    assert (
        last.message
        == f"and {len(json.loads(document)['records']) - 3} more of its records are"
        " here already"
    )


def test_whoever_was_erased_since_it_was_written_does_not_come_back_with_a_document(
    sqlite_database: Database, postgresql_database: Database
) -> None:
    """Neither as a member nor in the history, where those stand who had left; nobody
    else is touched.
    """
    club = filled(sqlite_database)
    here, left, stays = (
        club.make(MEMBERS, MemberBody(name=name, contact=f"{name}@quay.example"))
        for name in ("Kit Marsh", "Hazel Weir", "Wren Lock")
    )
    theirs = VehicleBody(name="Kit Marsh's van", owner_id=here.id)
    van = club.make(VEHICLES, theirs)
    with club.writing() as writing:
        writing.remove(MEMBERS, club.permit, left.id, if_match=ANY_VERSION)
    document = told(sqlite_database, club.club_id)
    assert b"Kit Marsh" in document
    assert b"Hazel Weir" in document
    for gone in (here, left, stays):
        club_id = (
            club.club_id
            if gone is not stays
            else new_club(sqlite_database, "Upland Light").club_id
        )
        append(
            postgresql_database.erasures_file,
            Erasure(club_id=club_id, member_id=gone.id, at=NOW),
        )
    arrived = taken(postgresql_database, document)
    assert (arrived.erased_again, arrived.list_found) == (2, True)
    on_record = str(contents(postgresql_database))
    for word in ("Kit Marsh", "Hazel Weir"):
        assert word not in on_record
    with postgresql_database.read() as connection:
        reading = Reading(connection)
        assert reading.get(MEMBERS, club.club_id, here.id).body == FORMER
        assert reading.get(MEMBERS, club.club_id, stays.id) == stays
        assert reading.get(
            VEHICLES, club.club_id, van.id
        ).body == msgspec.structs.replace(theirs, name="*'s van")
    assert is_to_be_wiped(postgresql_database)


def test_a_document_written_after_an_erasure_arrives_as_it_is(
    sqlite_database: Database, postgresql_database: Database
) -> None:
    club = filled(sqlite_database)
    gone = club.make(MEMBERS, MemberBody(name="Kit Marsh"))
    with sqlite_database.write() as connection:
        Erasing(connection, NOW).erase_member(club.permit, gone.id)
    document = told(sqlite_database, club.club_id)
    append(
        postgresql_database.erasures_file,
        Erasure(club_id=club.club_id, member_id=gone.id, at=NOW),
    )
    assert taken(postgresql_database, document).erased_again == 0
    assert told(postgresql_database, club.club_id) == document


def test_a_list_of_erasures_that_cannot_be_read_lets_no_club_in(
    sqlite_database: Database, postgresql_database: Database
) -> None:
    document = told(sqlite_database, filled(sqlite_database).club_id)
    assert postgresql_database.erasures_file is not None
    postgresql_database.erasures_file.mkdir()
    before = contents(postgresql_database)
    with pytest.raises(Unready, match="cannot be read; nothing was changed"):
        taken(postgresql_database, document)
    assert contents(postgresql_database) == before


def bent(document: bytes, **changes: Any) -> bytes:
    return json.dumps(json.loads(document) | changes).encode()


def test_what_is_no_sound_document_is_refused_and_nothing_is_recorded(
    sqlite_database: Database, postgresql_database: Database
) -> None:
    club = filled(sqlite_database)
    document = told(sqlite_database, club.club_id)
    whole = json.loads(document)
    orphan = [one for one in whole["records"] if one["kind"] != "layouts"]
    unowned = [one for one in whole["records"] if one["kind"] != "vehicles"]
    wrong = [
        {**one, "version": 0} if one["kind"] == "trains" else one
        for one in whole["records"]
    ]
    for raw in (
        b"",
        b"[]",
        document[:-5],
        document + b"{}",
        bent(document, version=2),
        bent(document, format="another"),
        bent(document, more=1),
        bent(document, records=orphan),
        bent(document, records=unowned),
        bent(document, records=wrong),
        bent(document, records=[*whole["records"], whole["records"][-1]]),
        bent(document, records=whole["records"][1:]),
    ):
        with pytest.raises(Faulty):
            taken(postgresql_database, raw)
    taken(postgresql_database, bent(document), lot=7)
    assert told(postgresql_database, club.club_id) == document


def test_no_more_than_64_mb_are_read() -> None:
    def endless() -> Iterator[bytes]:
        yield b'{"records":['
        while True:
            yield (b'"' + b"x" * 100_000 + b'",') * 10

    with pytest.raises(Faulty) as refused:
        for _ in parts(endless()):
            pass
    assert refused.value.faults[0].code == "too_large"
