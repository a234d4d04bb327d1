"""Many records of one kind written at once: the same checks and the same history as one by one, in few statements."""

from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import Any

import msgspec
from sqlalchemy import bindparam, insert, update

from standage.railway.terms.faults import Fault, Faulty
from standage.registry.history import Told
from standage.registry.kinds import Kind
from standage.registry.links import (
    hold_targets,
    in_turn,
    keep_links_of_many,
    leaning_on,
    named_by,
    refuse_while_leaned_on,
    unresolved,
)
from standage.registry.reading import live, record_from
from standage.registry.records import Forbidden, Permit, Record, Stale
from standage.registry.store import Writing, columns_of

_LOT = 500


class WritingMany(Writing):
    """Writes of many records, in one transaction."""

    def held(self, kind: Kind[Any], club_id: str, ids: Iterable[str]) -> dict[str, Record]:
        """Return those records that there are, held against anybody else's changes."""
        found: dict[str, Record] = {}
        for some in in_turn(sorted(ids)):
            statement = live(kind, club_id).where(kind.table.c.id.in_(some)).order_by(kind.table.c.id)
            rows = self.connection.execute(statement.with_for_update(key_share=True))
            found |= {row.id: record_from(kind, row) for row in rows}
        return found

    def create_many(self, kind: Kind[Any], permit: Permit, bodies: Mapping[str, msgspec.Struct]) -> None:
        """Create records with the given ids. Raises ``Forbidden``, ``Faulty``."""
        records = [
            Record(
                id=record_id,
                kind=kind.name,
                club_id=permit.principal.club_id,
                parent_id=None,
                version=1,
                created_at=self.now,
                updated_at=self.now,
                body=body,
            )
            for record_id, body in bodies.items()
        ]
        self._require_right_to(permit, records)
        self._require_sound(kind, records)
        for some in _lots(records):
            rows = [
                {"id": one.id, "club_id": one.club_id, "created_at": self.now, **columns_of(kind, one)} for one in some
            ]
            self.connection.execute(insert(kind.table), rows)
            keep_links_of_many(self.connection, some)
            self._tell(permit.principal, *(Told("create", None, one) for one in some))

    def change_many(
        self,
        kind: Kind[Any],
        permit: Permit,
        changes: Sequence[tuple[Record, msgspec.Struct]],
        *,
        undoes: Mapping[str, str] = MappingProxyType({}),
    ) -> None:
        """Give records, held before, new bodies; ``undoes`` names the change of each that is undone.

        Raises ``Forbidden``, ``Faulty``.
        """
        pairs = [
            (before, msgspec.structs.replace(before, version=before.version + 1, updated_at=self.now, body=body))
            for before, body in changes
        ]
        self._require_right_to(permit, [one for pair in pairs for one in pair])
        self._require_sound(kind, [after for _, after in pairs])
        if faults := [fault for before, after in pairs for fault in self.outgrown(kind, before, after)]:
            raise Faulty(faults)
        table = kind.table
        for some in _lots(pairs):
            rows = [{"its_id": one.id, "seen": old.version, **columns_of(kind, one)} for old, one in some]
            names: dict[str, Any] = {name: bindparam(name) for name in rows[0] if name not in {"its_id", "seen"}}
            mine = update(table).where(table.c.id == bindparam("its_id"), table.c.version == bindparam("seen"))
            self.connection.execute(mine.values(names), rows)
            keep_links_of_many(self.connection, [one for _, one in some])
            self._tell(permit.principal, *(Told("update", old, one, undoes.get(one.id)) for old, one in some))

    def outgrown(self, kind: Kind[Any], before: Record, after: Record) -> list[Fault]:
        """Return what a change does to records that lean on this one; nothing where it takes nothing from them."""
        if kind.outgrown is None or getattr(after.body, "count", 1) >= getattr(before.body, "count", 1):
            return []
        targets = named_by(self.connection, [after])
        return list(kind.outgrown(after.body, after.id, *leaning_on(self, after, targets)))

    def remove_many(self, permit: Permit, records: Sequence[Record], *, undoes: Mapping[str, str]) -> None:
        """Delete records of one kind, held before. Raises ``Forbidden``, ``InUse``."""
        self._require_right_to(permit, records)
        for some in _lots(records):
            refuse_while_leaned_on(self, some, by_id=True, going=some)
            self._mark_deleted(some)
            self._tell(permit.principal, *(Told("delete", one, None, undoes.get(one.id)) for one in some))

    def _require_right_to(self, permit: Permit, records: Iterable[Record]) -> None:
        mine = permit.principal.member_id
        if permit.whose == "own" and any(getattr(one.body, "owner_id", None) != mine for one in records):
            raise Forbidden("some of these are not yours to change")

    def _require_sound(self, kind: Kind[Any], records: Sequence[Record]) -> None:
        """Raise ``Faulty`` where a record names what is not there."""
        for some in _lots(records):
            references = [one for record in some for one in kind.references(record.body)]
            targets = hold_targets(self.connection, some, references)
            if faults := list(unresolved(references, targets)):
                raise Faulty(faults)


def require_version(record: Record | None, version: int, *, message: str) -> Record:
    """Return the record where it is there in that version; raise ``Stale`` where it is not."""
    if record is None or record.version != version:
        raise Stale(message)
    return record


def _lots(things: Sequence[Any]) -> Iterable[Sequence[Any]]:
    return (things[start : start + _LOT] for start in range(0, len(things), _LOT))
