"""The only write path. Every write is checked in one order and leaves one history row
for each record it changed.

The order: is it there (``Absent``), may they (``Forbidden``), is what they send right
(``Faulty``), was it made from the present version (``Unconditional``, ``Stale``), does
anything lean on it (``InUse``). A refusal leaves the transaction fit only to be rolled
back, which ``Database.write`` does.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from types import MappingProxyType
from typing import Any

import msgspec
from sqlalchemy import Connection, bindparam, insert, select, update

from standage.registry.database import tables
from standage.registry.database.ids import new_id
from standage.registry.database.lots import lots
from standage.registry.records.kind import SECRET_COLUMN
from standage.registry.records.kinds import KINDS, MEMBERS, Kind
from standage.registry.records.passphrases import forget_sign_ins
from standage.registry.records.reading import (
    Listing,
    Reading,
    live,
    position,
    record_from,
)
from standage.registry.records.record import (
    IfMatch,
    Permit,
    Principal,
    Record,
    to_text,
)
from standage.registry.writing.faults_on_record import Pair, faults_of
from standage.registry.writing.history import Told, tell
from standage.registry.writing.links import (
    drop_links,
    keep_links,
    refuse_while_leaned_on,
)
from standage.registry.writing.ownership import (
    require_right,
    require_right_above,
    settled,
)
from standage.registry.writing.unique_names import NameRace
from standage.registry.writing.way_in import require_way_in
from standage.shapes.faults import Fault, Faulty
from standage.shapes.refusals import Stale

__all__ = ["Listing", "Reading", "Writing", "new_id", "position"]


class Writing(Reading):
    """What can be done to the records of a club, over one connection and so in one
    transaction, all at one moment.

    There is one path for one record and for many: one record is a list of one. All that
    is done through one of these is one action: its rows of history bear one
    ``action_id``, and it can be undone as a whole.
    """

    def __init__(
        self,
        connection: Connection,
        now: datetime,
        *,
        action_id: str | None = None,
        erasures_file: Path | None = None,
    ) -> None:
        super().__init__(connection)
        self.now = now
        self.action_id = action_id or new_id()
        self.erasures_file = erasures_file

    def create(
        self,
        kind: Kind[Any],
        permit: Permit,
        body: msgspec.Struct,
        *,
        parent_id: str | None = None,
        record_id: str | None = None,
    ) -> Record:
        """Return the new record; its id is made up unless given.

        Raises ``Absent`` where there is no such parent, ``Forbidden``, ``Faulty``.
        """
        [record] = self.create_all(
            kind, permit, {record_id or new_id(): body}, parent_id=parent_id
        )
        return record

    def create_all(
        self,
        kind: Kind[Any],
        permit: Permit,
        bodies: Mapping[str, msgspec.Struct],
        *,
        parent_id: str | None = None,
    ) -> list[Record]:
        """Return new records of one kind, by the ids that ``bodies`` are given for.
        Raises as ``create`` does.
        """
        club_id = permit.principal.club_id
        if kind.parent is not None:
            self.get(KINDS[kind.parent], club_id, parent_id or "", hold="shared")
        records = [
            Record(
                id=record_id,
                kind=kind.name,
                club_id=club_id,
                parent_id=parent_id,
                version=1,
                created_at=self.now,
                updated_at=self.now,
                body=settled(kind, permit, body, before=None, now=self.now),
            )
            for record_id, body in bodies.items()
        ]
        require_right_above(self.connection, kind, permit, records)
        self._require_sound(kind, [(None, record) for record in records])
        for some in lots(records):
            self._insert(kind, some)
            keep_links(self.connection, some)
            self._tell(
                permit.principal, *(Told("create", None, record) for record in some)
            )
        return records

    def change(
        self,
        kind: Kind[Any],
        permit: Permit,
        record_id: str,
        new: Callable[[Record], msgspec.Struct],
        *,
        if_match: IfMatch,
        parent_id: str | None = None,
    ) -> Record:
        """Return the record with the body that ``new`` makes of the present one;
        ``new`` may raise ``Faulty``.

        A body equal to the present one is a change like any other: a version and a
        history row. Raises ``Absent``, ``Forbidden``, ``Faulty``, ``Unconditional``,
        ``Stale``, ``InUse``, in that order.
        """
        before = self.hold_one(kind, permit, record_id, parent_id)
        body = new(before)
        changes = [(before, body)]
        [after] = self.change_all(kind, permit, changes, if_match=if_match)
        return after

    def change_all(
        self,
        kind: Kind[Any],
        permit: Permit,
        changes: Sequence[tuple[Record, msgspec.Struct]],
        *,
        if_match: IfMatch,
        undoes: Mapping[str, str] = MappingProxyType({}),
    ) -> list[Record]:
        """Return records, held before (``held``), with new bodies; ``undoes`` names the
        change that each undoes.

        Raises ``Forbidden``, ``Faulty``, ``Unconditional``, ``Stale``, ``InUse``, in
        that order.
        """
        pairs = [
            (
                before,
                self._after(
                    before, settled(kind, permit, body, before=before, now=self.now)
                ),
            )
            for before, body in changes
        ]
        held = [before for before, _ in pairs]
        require_right_above(self.connection, kind, permit, held)
        self._require_sound(kind, pairs)
        for before, _ in pairs:
            if_match.require(before.etag)
        for some in lots(pairs):
            renamed = [
                before
                for before, after in some
                if kind.naming.leaned_on_as(before.body)
                != kind.naming.leaned_on_as(after.body)
            ]
            refuse_while_leaned_on(self, renamed, by_id=False, going=[])
            self._update(kind, some)
            keep_links(self.connection, [after for _, after in some])
            self._tell(
                permit.principal,
                *(Told("update", old, one, undoes.get(one.id)) for old, one in some),
            )
        self._require_way_in(kind, permit.principal)
        return [after for _, after in pairs]

    def remove(
        self,
        kind: Kind[Any],
        permit: Permit,
        record_id: str,
        *,
        if_match: IfMatch,
        parent_id: str | None = None,
    ) -> None:
        """Delete the record and what goes with it.

        Raises ``Absent``, ``Forbidden``, ``Unconditional``, ``Stale``, ``InUse``, in
        that order; ``ValueError`` for a kind that cannot be deleted.
        """
        if not kind.life.removable:
            raise ValueError(f"{kind.name} cannot be deleted")
        record = self.hold_one(kind, permit, record_id, parent_id)
        self.remove_all(kind, permit, [record], if_match=if_match)

    def remove_all(
        self,
        kind: Kind[Any],
        permit: Permit,
        records: Sequence[Record],
        *,
        if_match: IfMatch,
        undoes: Mapping[str, str] = MappingProxyType({}),
    ) -> None:
        """Delete records of one kind, held before, and what goes with them. Raises as
        ``remove`` does.
        """
        if not kind.life.removable:
            raise ValueError(f"{kind.name} cannot be deleted")
        require_right_above(self.connection, kind, permit, records)
        for record in records:
            require_right(kind, permit, record.body)
            if_match.require(record.etag)
        for some in lots(records):
            going = [some, *self._cascades(kind, some)]
            everything = [one for group in going for one in group]
            for group in going:
                refuse_while_leaned_on(self, group, by_id=True, going=everything)
            for group in going:
                self._mark_deleted(group)
            self._tell(
                permit.principal,
                *(Told("delete", one, None, undoes.get(one.id)) for one in everything),
            )
        self._require_way_in(kind, permit.principal)

    def held(
        self, kind: Kind[Any], permit: Permit, ids: Iterable[str]
    ) -> dict[str, Record]:
        """Return those records that there are, by id, held against anybody else's
        changes.

        Where whether a change is right hangs on others of its kind, they are changed
        one after the other in a club: two that hold a record each and then look at the
        other's would lock each other out.
        """
        club_id = permit.principal.club_id
        if kind.in_turn:
            self.take_turn(club_id)
        table = kind.table
        found: dict[str, Record] = {}
        for some in lots(sorted(ids)):
            theirs = live(kind, club_id).where(table.c.id.in_(some))
            held = theirs.order_by(table.c.id).with_for_update(key_share=True)
            for row in self.connection.execute(held):
                found[row.id] = record_from(kind, row)
        return found

    def keep_secret(
        self, kind: Kind[Any], record: Record, *, sha256: str, **besides: str
    ) -> None:
        """Put down the hash of a record's secret, by which it is found, and what else
        goes with it.
        """
        mine = kind.table.c.id == record.id
        values = {SECRET_COLUMN: sha256, **besides}
        self.connection.execute(update(kind.table).where(mine).values(values))

    def take_turn(self, club_id: str) -> None:
        """Wait until no other transaction has its turn in that club, and have it until
        this one ends.
        """
        clubs = tables.clubs
        self.connection.execute(
            select(clubs.c.id)
            .where(clubs.c.id == club_id)
            .with_for_update(key_share=True)
        )

    def hold_one(
        self,
        kind: Kind[Any],
        permit: Permit,
        record_id: str,
        parent_id: str | None = None,
    ) -> Record:
        """Return one record that the caller may change, held as ``held`` does; raises
        ``Absent``, ``Forbidden``.
        """
        if kind.in_turn:
            self.take_turn(permit.principal.club_id)
        record = self.get(
            kind, permit.principal.club_id, record_id, parent_id=parent_id, hold="alone"
        )
        require_right(kind, permit, record.body)
        require_right_above(self.connection, kind, permit, [record])
        return record

    def _after(self, before: Record, body: msgspec.Struct) -> Record:
        return msgspec.structs.replace(
            before, version=before.version + 1, updated_at=self.now, body=body
        )

    def _require_sound(self, kind: Kind[Any], pairs: Sequence[Pair]) -> None:
        """Raise ``Faulty`` with every fault; where there are many records, each fault
        says in which it lies.
        """
        found = list(faults_of(self, kind, pairs))
        if len(pairs) > 1:
            found = [(one, _placed(kind, one, fault)) for one, fault in found]
        if found:
            raise Faulty([fault for _, fault in found])

    def _insert(self, kind: Kind[Any], records: Sequence[Record]) -> None:
        rows = [row_of(kind, record) for record in records]
        with NameRace(kind, records):
            self.connection.execute(insert(kind.table), rows)

    def _update(self, kind: Kind[Any], pairs: Sequence[tuple[Record, Record]]) -> None:
        values = []
        rows = []
        for old, new in pairs:
            columns = columns_of(kind, new)
            values.append(columns)
            rows.append({"its_id": old.id, "seen": old.version, **columns})
        table = kind.table
        is_it = table.c.id == bindparam("its_id")
        is_as_seen = table.c.version == bindparam("seen")
        as_seen = update(table).where(is_it, is_as_seen)
        bound: dict[str, Any] = {name: bindparam(name) for name in values[0]}
        with NameRace(kind, [new for _, new in pairs]):
            changed = self.connection.execute(as_seen.values(bound), rows)
        if changed.rowcount != len(pairs):
            raise Stale("it was changed by somebody else at the same moment")

    def _cascades(
        self, kind: Kind[Any], records: Sequence[Record]
    ) -> Iterator[list[Record]]:
        ids = [record.id for record in records]
        for name, column in kind.life.cascades.items():
            child = KINDS[name]
            columns = child.table.c
            beneath = live(child, records[0].club_id).where(columns[column].in_(ids))
            held = beneath.order_by(columns.id).with_for_update(key_share=True)
            rows = self.connection.execute(held)
            children = [record_from(child, row) for row in rows]
            if children:
                yield children

    def _mark_deleted(self, records: Sequence[Record]) -> None:
        """Delete records, all of one kind, so that they can be brought back."""
        kind = KINDS[records[0].kind]
        table = kind.table
        ids = [record.id for record in records]
        gone = update(table).where(table.c.id.in_(ids))
        gone = gone.values(
            deleted_at=self.now,
            updated_at=self.now,
            version=table.c.version + 1,
        )
        if kind.life.shown_once:
            gone = gone.values({SECRET_COLUMN: None})
        self.connection.execute(gone)
        if kind is MEMBERS:
            forget_sign_ins(self.connection, ids)
        drop_links(self.connection, records)

    def _require_way_in(self, kind: Kind[Any], by: Principal) -> None:
        require_way_in(self.connection, kind, by.club_id, self.now)

    def _tell(self, by: Principal, *changes: Told) -> None:
        tell(self.connection, by, changes, at=self.now, action_id=self.action_id)


def _placed(kind: Kind[Any], record: Record, fault: Fault) -> Fault:
    """Return the fault of one record among many, so that it says which."""
    title = kind.title(record.body)
    within = fault.pointer or ""
    return msgspec.structs.replace(
        fault,
        message=f"{title}: {fault.message}",
        pointer=f"/{record.id}{within}",
    )


def row_of(kind: Kind[Any], record: Record) -> dict[str, Any]:
    """Return the row of a new record."""
    row = {
        "id": record.id,
        "club_id": record.club_id,
        "created_at": record.created_at,
        **columns_of(kind, record),
    }
    if kind.parent is not None:
        row["parent_id"] = record.parent_id
    return row


def columns_of(kind: Kind[Any], record: Record) -> dict[str, Any]:
    """Return the columns of a record that a change gives new values."""
    return {
        "version": record.version,
        "updated_at": record.updated_at,
        "deleted_at": None,
        "body": to_text(record.body),
        **kind.filing(record.body),
    }
