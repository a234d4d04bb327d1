"""A whole club as one document: out of one instance and into another, on either database, ids and all."""

import json
from collections.abc import Iterator
from typing import Any

import pytest

from standage.exchange.json_parts import parts
from standage.railway.terms.faults import Faulty
from standage.registry.club_arrival import Arrived, arrive
from standage.registry.club_document import KEPT_BACK, written
from standage.registry.credentials import principal_for
from standage.registry.engine import Database
from standage.registry.kinds import TOKENS, VEHICLES
from standage.registry.reading import Reading
from standage.registry.records import ANY_VERSION
from support.clubs import MADE, NOW, Club, new_club, renamed


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
    vehicle = club.make_sample(VEHICLES, "Ore wagon")
    with club.writing() as writing:
        writing.change(VEHICLES, club.permit, vehicle.id, renamed("Tar wagon"), if_match=ANY_VERSION)
    return club


@pytest.fixture
def both(sqlite_database: Database, postgresql_database: Database) -> tuple[Database, Database]:
    return sqlite_database, postgresql_database


@pytest.mark.parametrize("way", ["to postgresql", "to sqlite"])
def test_a_club_arrives_equal_ids_and_all(both: tuple[Database, Database], way: str) -> None:
    there, here = both if way == "to postgresql" else both[::-1]
    club = filled(there)
    document = told(there, club.club_id)
    arrived = taken(here, document)
    assert told(here, club.club_id) == document
    assert (arrived.club_id, arrived.member_id) == (club.club_id, club.steward_id)
    with here.read() as connection:
        assert principal_for(Reading(connection), arrived.token, NOW) is not None
    assert arrived.records == len(json.loads(document)["records"])


def test_no_secret_goes_out(database: Database) -> None:
    club = filled(database)
    document = json.loads(told(database, club.club_id))
    kinds = {one["kind"] for one in (*document["records"], *document["history"])}
    assert kinds & KEPT_BACK == set()
    assert TOKENS.name in KEPT_BACK
    assert club.token not in json.dumps(document)


def test_where_some_of_it_is_here_already_every_conflict_is_told_and_nothing_recorded(database: Database) -> None:
    club = filled(database)
    document = told(database, club.club_id)
    with pytest.raises(Faulty) as refused:
        taken(database, document)
    assert {fault.code for fault in refused.value.faults} == {"conflict"}
    assert len(refused.value.faults) == len(json.loads(document)["records"])
    assert any("Tar wagon" in fault.message for fault in refused.value.faults)
    assert told(database, club.club_id) == document


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
    wrong = [{**one, "version": 0} if one["kind"] == "trains" else one for one in whole["records"]]
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
