"""The audit itself can fail: it sees each way in which a write can be there in part, or
not at all.
"""

import json
from contextlib import suppress

import pytest
from sqlalchemy import Executable, delete, insert, select, update

from durability import audit
from durability.writers import Attempt
from standage.registry.database import tables
from standage.registry.database.engine import Database
from standage.registry.records.bodies import LayoutBody, PlaceBody, VehicleBody
from standage.registry.records.kinds import LAYOUTS, PLACES, TRAINS, VEHICLES
from standage.registry.records.record import ANY_VERSION
from standage.registry.writing.answers import KeyedRequest, StoredAnswer, claim, settle
from support.clubs import Club, new_club, renamed


@pytest.fixture
def club(sqlite_database: Database) -> Club:
    return new_club(sqlite_database)


@pytest.fixture
def attempts(club: Club) -> list[Attempt]:
    """Make what writers make; return it as they would have put it down."""
    request = KeyedRequest(
        principal=club.permit.principal,
        path="/v1/vehicles",
        key="k",
        payload_sha256="aa",
    )
    with club.writing() as writing:
        claim(writing, request)
        van = writing.create(VEHICLES, club.permit, VehicleBody(name="Van", mass_g=7))
        answer = {
            "id": van.id,
            "version": 1,
            "name": "Van",
            "mass_g": 7.0,
            "owner_id": club.steward_id,
        }
        settle(
            writing,
            request,
            StoredAnswer(status=201, headers={}, body=json.dumps(answer).encode()),
        )
    with club.writing() as writing:
        writing.change(
            VEHICLES, club.permit, van.id, renamed("Brown van"), if_match=ANY_VERSION
        )
    club.make_sample(TRAINS)
    layout = club.make(LAYOUTS, LayoutBody(name="Gone"))
    club.make(PLACES, PlaceBody(name="Up loop", kind="loop"), parent_id=layout.id)
    with club.writing() as writing:
        writing.remove(LAYOUTS, club.permit, layout.id, if_match=ANY_VERSION)
    return [
        Attempt(
            method="POST",
            path="/v1/vehicles",
            body={},
            key="k",
            status=201,
            answer=answer,
        ),
        Attempt(
            method="PATCH",
            path=f"/v1/vehicles/{van.id}",
            body={},
            status=200,
            answer=answer | {"version": 2, "name": "Brown van"},
        ),
        Attempt(
            method="DELETE", path=f"/v1/layouts/{layout.id}", body=None, status=204
        ),
    ]


def found(club: Club) -> audit.Kept:
    with club.database.read() as connection:
        return audit.read(connection)


def found_after(club: Club, statement: Executable) -> audit.Kept:
    """Return what is found once something was spoilt; it is mended again."""
    with suppress(ZeroDivisionError), club.database.write() as connection:
        connection.execute(statement)
        kept = audit.read(connection)
        raise ZeroDivisionError
    return kept


def test_what_is_whole_is_found_whole(club: Club, attempts: list[Attempt]) -> None:
    assert audit.lost(found(club), attempts) == []
    assert found(club).halves() == []


def test_a_write_that_is_gone_is_missed(club: Club, attempts: list[Attempt]) -> None:
    history, vehicles, keys = tables.history, tables.vehicles, tables.idempotency
    created, changed, deleted = attempts
    (van_id,) = {attempt.answer["id"] for attempt in (created, changed)}
    layouts = update(tables.layouts).values(deleted_at=None)
    for statement, missed in (
        (update(keys).values(body=b"{}"), [created]),
        (delete(keys), [created]),
        (
            delete(history).where(
                history.c.record_id == van_id, history.c.version == 2
            ),
            [changed],
        ),
        (delete(history).where(history.c.record_id == van_id), [created, changed]),
        (update(tables.places).values(deleted_at=None), [deleted]),
        (layouts, [deleted]),
        (delete(vehicles).where(vehicles.c.id == van_id), []),
    ):
        assert audit.lost(found_after(club, statement), attempts) == missed, str(
            statement
        )


def test_what_is_there_in_halves_is_told(club: Club, attempts: list[Attempt]) -> None:
    history, vehicles, keys = tables.history, tables.vehicles, tables.idempotency
    van_id = attempts[0].answer["id"]
    with club.database.read() as connection:
        some = dict(connection.execute(select(history).limit(1)).one()._mapping)
    for statement in (
        delete(history).where(history.c.record_id == van_id, history.c.version == 1),
        delete(history).where(history.c.record_id == van_id, history.c.version == 2),
        delete(vehicles).where(vehicles.c.id == van_id),
        update(vehicles).where(vehicles.c.id == van_id).values(version=1),
        update(vehicles).where(vehicles.c.id == van_id).values(body='{"name":"Van"}'),
        update(tables.layouts).values(deleted_at=None),
        delete(tables.links).where(tables.links.c.source_kind == "trains"),
        update(keys).values(status=None),
        insert(history).values(some | {"id": "other", "record_id": "nobody"}),
    ):
        assert found_after(club, statement).halves() != [], str(statement)
