"""What a database must hold after whatever happened to it: every acknowledged write
whole, and nothing in halves.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, select

from durability.writers import Attempt
from standage.registry.database.engine import open_database
from standage.registry.database.tables import history, idempotency, links
from standage.registry.records.kinds import KINDS

Version = tuple[str, str, int]


@dataclass(frozen=True)
class Kept:
    """Everything that a database holds of what the writers write."""

    records: Mapping[str, Row[Any]]
    versions: Mapping[tuple[str, int], Row[Any]]
    keys: Mapping[str, Row[Any]]
    links: frozenset[tuple[str, str]]
    lived_in: frozenset[str]
    """The records beneath which something is there that is not deleted."""

    def holds(self, attempt: Attempt) -> bool:
        """Tell whether an acknowledged write is there whole, with its row of history
        and its answer kept.
        """
        if attempt.method == "DELETE":
            return self.is_deleted(attempt.path)
        answer = attempt.answer
        row = self.versions.get((answer["id"], answer["version"]))
        if row is None or not _same(answer, row.after):
            return False
        kept = self.keys.get(attempt.key) if attempt.key else None
        return attempt.key is None or (
            kept is not None and json.loads(kept.body) == answer
        )

    def is_deleted(self, path: str) -> bool:
        record = self.records.get(path.rpartition("/")[2])
        return (
            record is not None
            and record.deleted_at is not None
            and record.id not in self.lived_in
        )

    def halves(self) -> list[str]:
        """Return everything that is there only in part; nothing may be."""
        return [
            *self._records_without_history(),
            *self._history_without_records(),
            *self._unsettled_keys(),
        ]

    def _records_without_history(self) -> Iterable[str]:
        for record in self.records.values():
            versions = [
                self.versions.get((record.id, number))
                for number in range(1, record.version + 1)
            ]
            if None in versions:
                yield f"{record.id} has versions without history"
            last = versions[-1]
            if last is not None and last.after != (
                None if record.deleted_at else record.body
            ):
                yield f"{record.id} is not as its history says"
            for vehicle in (
                json.loads(record.body).get("vehicles", [])
                if record.deleted_at is None
                else []
            ):
                if (record.id, vehicle["vehicle_id"]) not in self.links:
                    yield f"{record.id} leans on {vehicle['vehicle_id']} without a link"

    def _history_without_records(self) -> Iterable[str]:
        for record_id, version in self.versions:
            record = self.records.get(record_id)
            if record is None or record.version < version:
                yield (
                    f"history has version {version} of {record_id}, which is not there"
                )

    def _unsettled_keys(self) -> Iterable[str]:
        for key, row in self.keys.items():
            if row.status != 201 or json.loads(row.body)["id"] not in self.records:
                yield f"{key} is kept without what it made"


def kept(url: str) -> Kept:
    """Read everything, from one snapshot."""
    database = open_database(url)
    try:
        with database.read() as connection:
            return read(connection)
    finally:
        database.dispose()


def read(connection: Connection) -> Kept:
    records = {
        row.id: row
        for kind in KINDS.values()
        for row in connection.execute(select(kind.table))
    }
    versions = {
        (row.record_id, row.version): row for row in connection.execute(select(history))
    }
    keys = {row.key: row for row in connection.execute(select(idempotency))}
    linked = frozenset(
        (row.source_id, row.target_id)
        for row in connection.execute(select(links))
        if row.target_id is not None
    )
    beneath = frozenset(
        one.parent_id
        for one in records.values()
        if "parent_id" in one._fields and not one.deleted_at
    )
    return Kept(
        records=records, versions=versions, keys=keys, links=linked, lived_in=beneath
    )


def _same(answer: Mapping[str, Any], stored: str | None) -> bool:
    """Tell whether every field on record came in the answer as it stands on record."""
    return stored is not None and all(
        answer.get(name) == value for name, value in json.loads(stored).items()
    )


def lost(found: Kept, attempts: Iterable[Attempt]) -> list[Attempt]:
    """Return the acknowledged writes that are not there whole."""
    return [
        attempt
        for attempt in attempts
        if attempt.acknowledged and not found.holds(attempt)
    ]
