"""A program that writes in one thread through the one write path, and tells each write
once it is committed.

It is told the database's address and how many rounds to make; a third word stands for
SQLite's ``synchronous``, of which a wrong one shows that the tests can fail. A line of
JSON on standard output is one acknowledged write.
"""

import json
import os
import sys
from datetime import UTC, datetime, timedelta
from typing import Any

import msgspec
from sqlalchemy import event

from standage.registry.database.engine import Database, open_database
from standage.registry.people.clubs import found_club
from standage.registry.records.bodies import LayoutBody, PlaceBody, VehicleBody
from standage.registry.records.kinds import LAYOUTS, PLACES, VEHICLES
from standage.registry.records.record import ANY_VERSION, Permit, Principal, Record
from standage.registry.writing.answers import KeyedRequest, StoredAnswer, claim, settle
from standage.registry.writing.store import Writing
from standage.shapes.refusals import Unready

NOW = datetime(2026, 5, 1, 10, 0, tzinfo=UTC)


def tell(
    method: str,
    path: str,
    status: int,
    record: Record | None = None,
    key: str | None = None,
) -> None:
    """Say that a write is committed, in one go."""
    line = {
        "method": method,
        "path": path,
        "body": None,
        "key": key,
        "status": status,
        "answer": answer_of(record),
    }
    os.write(1, json.dumps(line).encode() + b"\n")


def answer_of(record: Record | None) -> Any:
    if record is None:
        return None
    return msgspec.to_builtins(record.body) | {
        "id": record.id,
        "version": record.version,
    }


def write(database: Database, permit: Permit, round_: int) -> None:
    """Make a vehicle under a key, change it, make a layout with a place, delete it:
    four transactions.
    """
    now, key = NOW + timedelta(seconds=round_), f"k-{round_}"
    request = KeyedRequest(
        principal=permit.principal, path="/v1/vehicles", key=key, payload_sha256="aa"
    )
    with database.write() as connection:
        writing = Writing(connection, now)
        claim(writing, request)
        van = writing.create(
            VEHICLES, permit, VehicleBody(name=f"Van {round_}", notes="x" * 1500)
        )
        body = json.dumps(answer_of(van)).encode()
        settle(writing, request, StoredAnswer(status=201, headers={}, body=body))
    tell("POST", "/v1/vehicles", 201, van, key)
    with database.write() as connection:
        other = msgspec.structs.replace(van.body, name="Brown van")
        van = Writing(connection, now).change(
            VEHICLES, permit, van.id, lambda _: other, if_match=ANY_VERSION
        )
    tell("PATCH", f"/v1/vehicles/{van.id}", 200, van)
    with database.write() as connection:
        writing = Writing(connection, now)
        layout = writing.create(LAYOUTS, permit, LayoutBody(name=f"Layout {round_}"))
        writing.create(
            PLACES, permit, PlaceBody(name="Up loop", kind="loop"), parent_id=layout.id
        )
    tell("POST", "/v1/layouts", 201, layout)
    with database.write() as connection:
        Writing(connection, now).remove(
            LAYOUTS, permit, layout.id, if_match=ANY_VERSION
        )
    tell("DELETE", f"/v1/layouts/{layout.id}", 204)


def main(url: str, rounds: str, synchronous: str = "FULL") -> None:
    """Found a club and write; a write that is refused because of the disk is not told,
    and the next is tried.
    """
    database = open_database(url)
    if synchronous != "FULL":

        def weaken(connection: Any, _record: object) -> None:
            connection.execute(f"PRAGMA synchronous = {synchronous}").close()

        event.listen(database._writing, "connect", weaken)
    founded = found_club(database, "Harbour Bridge", "Robin Vale", NOW)
    principal = Principal(
        club_id=founded.club_id,
        member_id=founded.member_id,
        role="steward",
        token_id="0192f000-0000-7000-8000-000000000000",
        scopes=frozenset({"read", "write"}),
    )
    for round_ in range(int(rounds)):
        try:
            write(database, Permit(principal=principal, whose="club"), round_)
        except Unready as refusal:
            os.write(2, f"{refusal}\n".encode())
    os._exit(0)  # without the tidy end that a crash does not have either


if __name__ == "__main__":
    main(*sys.argv[1:])
