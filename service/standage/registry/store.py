"""The only write path. Every write is checked in one order and leaves one history row for each record it changed.

The order: is it there (``Absent``), may they (``Forbidden``), is what they send right (``Faulty``), was it made from
the present version (``Unconditional``, ``Stale``), does anything lean on it (``InUse``). A refusal leaves the
transaction fit only to be rolled back, which ``Database.write`` does.
"""

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

import msgspec
from sqlalchemy import Connection, insert, select, update
from sqlalchemy.exc import IntegrityError

from standage.railway.terms.faults import Fault, Faulty
from standage.registry import tables
from standage.registry.bodies import TokenBody
from standage.registry.history import Told, tell, text_of
from standage.registry.ids import new_id
from standage.registry.kinds import KINDS, MEMBERS, TOKENS, Kind
from standage.registry.links import drop_links, keep_links, leaning_on, named_by, refuse_while_leaned_on, unresolved
from standage.registry.passphrases import forget_sign_ins
from standage.registry.reading import Listing, Reading, live, position, record_from
from standage.registry.records import Forbidden, IfMatch, InUse, Permit, Principal, Record, Stale
from standage.registry.references import Reference
from standage.registry.tables import name_key

__all__ = ["Listing", "Reading", "Writing", "new_id", "position"]


class Writing(Reading):
    """What can be done to the records of a club, over one connection and so in one transaction, all at one moment.

    All that is done through one of these is one action: its rows of history bear one ``action_id``, and it can be
    undone as a whole.
    """

    def __init__(
        self, connection: Connection, now: datetime, *, action_id: str | None = None, erasures_file: Path | None = None
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
        club_id = permit.principal.club_id
        if kind.parent is not None:
            self.get(KINDS[kind.parent], club_id, parent_id or "", hold="shared")
        record = Record(
            id=record_id or new_id(),
            kind=kind.name,
            club_id=club_id,
            parent_id=parent_id,
            version=1,
            created_at=self.now,
            updated_at=self.now,
            body=_settled(kind, permit, body, before=None),
        )
        references = self._checked(kind, record, before=None)
        self._insert(kind, record)
        keep_links(self.connection, record, references)
        self._tell(permit.principal, Told("create", None, record))
        return record

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
        """Return the record with the body that ``new`` makes of the present one; ``new`` may raise ``Faulty``.

        A body equal to the present one is a change like any other: a version and a history row.
        Raises ``Absent``, ``Forbidden``, ``Faulty``, ``Unconditional``, ``Stale``, ``InUse``, in that order.
        """
        before = self._held(kind, permit, record_id, parent_id)
        body = _settled(kind, permit, new(before), before=before)
        after = msgspec.structs.replace(before, version=before.version + 1, updated_at=self.now, body=body)
        references = self._checked(kind, after, before=before)
        if_match.require(before.etag)
        if kind.named_by(before.body) != kind.named_by(after.body):
            refuse_while_leaned_on(self, [before], by_id=False, going=[])
        self._update(kind, before, after)
        keep_links(self.connection, after, references)
        self._tell(permit.principal, Told("update", before, after))
        self._require_way_in(kind, permit.principal)
        return after

    def remove(
        self, kind: Kind[Any], permit: Permit, record_id: str, *, if_match: IfMatch, parent_id: str | None = None
    ) -> None:
        """Delete the record and what goes with it.

        Raises ``Absent``, ``Forbidden``, ``Unconditional``, ``Stale``, ``InUse``, in that order; ``ValueError`` for a
        kind that cannot be deleted.
        """
        if not kind.removable:
            raise ValueError(f"{kind.name} cannot be deleted")
        record = self._held(kind, permit, record_id, parent_id)
        if_match.require(record.etag)
        going = [[record], *self._cascades(kind, record)]
        everything = [one for group in going for one in group]
        for group in going:
            refuse_while_leaned_on(self, group, by_id=True, going=everything)
        for group in going:
            self._mark_deleted(group)
        self._tell(permit.principal, *(Told("delete", one, None) for one in everything))
        self._require_way_in(kind, permit.principal)

    def keep_secret(self, kind: Kind[Any], record: Record, *, sha256: str, **besides: str) -> None:
        """Put down the hash of a record's secret, by which it is found, and what else goes with it."""
        kept = update(kind.table).where(kind.table.c.id == record.id)
        self.connection.execute(kept.values(secret_sha256=sha256, **besides))

    def take_turn(self, club_id: str) -> None:
        """Wait until no other transaction has its turn in that club, and have it until this one ends."""
        clubs = tables.clubs
        self.connection.execute(select(clubs.c.id).where(clubs.c.id == club_id).with_for_update(key_share=True))

    def _held(self, kind: Kind[Any], permit: Permit, record_id: str, parent_id: str | None) -> Record:
        """Return the record, kept from anybody else's changes until the transaction ends.

        Where whether a change is right hangs on others of its kind, they are changed one after the other in a club:
        two that hold a record each and then look at the other's would lock each other out.
        """
        club_id = permit.principal.club_id
        if kind.in_turn:
            self.take_turn(club_id)
        record = self.get(kind, club_id, record_id, parent_id=parent_id, hold="alone")
        require_right(kind, permit, record.body)
        return record

    def _checked(self, kind: Kind[Any], record: Record, *, before: Record | None) -> list[Reference]:
        """Return what the record names; raise ``Faulty`` with every fault that only other records can show."""
        references = list(kind.references(record.body))
        targets = named_by(self.connection, [record])
        faults = [
            *_fixed(kind, record, before),
            *unresolved(references, targets),
            *kind.faults(record.body, targets),
            *self._name_taken(kind, record),
        ]
        if before is not None and kind.outgrown is not None:
            faults += kind.outgrown(record.body, record.id, *leaning_on(self, record, targets))
        if faults:
            raise Faulty(faults)
        return references

    def _name_taken(self, kind: Kind[Any], record: Record) -> Iterator[Fault]:
        if not kind.unique_name:
            return
        table = kind.table
        same = live(kind, record.club_id).where(table.c.id != record.id)
        same = same.where(table.c.name_key == name_key(kind.title(record.body)))
        if kind.parent is not None:
            same = same.where(table.c.parent_id == record.parent_id)
        if self.connection.execute(same.limit(1)).first() is not None:
            yield _taken(kind, record)

    def _insert(self, kind: Kind[Any], record: Record) -> None:
        values = {
            "id": record.id,
            "club_id": record.club_id,
            "created_at": record.created_at,
            **columns_of(kind, record),
        }
        if kind.parent is not None:
            values["parent_id"] = record.parent_id
        with _NameRace(kind, record):
            self.connection.execute(insert(kind.table), values)

    def _update(self, kind: Kind[Any], before: Record, after: Record) -> None:
        table = kind.table
        mine = update(table).where(table.c.id == before.id, table.c.version == before.version)
        with _NameRace(kind, after):
            changed = self.connection.execute(mine.values(columns_of(kind, after)))
        if changed.rowcount != 1:
            raise Stale("it was changed by somebody else at the same moment")

    def _cascades(self, kind: Kind[Any], record: Record) -> Iterator[list[Record]]:
        for name, column in kind.cascades.items():
            child = KINDS[name]
            statement = live(child, record.club_id).where(child.table.c[column] == record.id)
            rows = self.connection.execute(statement.order_by(child.table.c.id).with_for_update(key_share=True))
            if children := [record_from(child, row) for row in rows]:
                yield children

    def _mark_deleted(self, records: Sequence[Record]) -> None:
        table = KINDS[records[0].kind].table
        gone = update(table).where(table.c.id.in_([record.id for record in records]))
        gone = gone.values(deleted_at=self.now, updated_at=self.now, version=table.c.version + 1)
        self.connection.execute(gone.values(dict.fromkeys(KINDS[records[0].kind].shed)))
        if KINDS[records[0].kind] is MEMBERS:
            forget_sign_ins(self.connection, [record.id for record in records])
        drop_links(self.connection, records)

    def _tell(self, by: Principal, *changes: Told) -> None:
        tell(self.connection, by, changes, at=self.now, action_id=self.action_id)

    def _require_way_in(self, kind: Kind[Any], by: Principal) -> None:
        """Raise ``InUse`` where no steward is left with a token that lets them in to mend things."""
        if not kind.way_in:
            return
        members, tokens = tables.members, tables.tokens
        stewards = (
            select(tokens.c.body)
            .join(members, members.c.id == tokens.c.member_id)
            .where(tokens.c.club_id == by.club_id, tokens.c.deleted_at.is_(None), tokens.c.secret_sha256.is_not(None))
            .where(members.c.club_id == by.club_id, members.c.deleted_at.is_(None), members.c.role == "steward")
        )
        if not any(self._opens(TOKENS.decode(body)) for body in self.connection.scalars(stewards)):
            raise InUse("the club must keep a steward with a working token; see to another one first")

    def _opens(self, token: TokenBody) -> bool:
        return "write" in token.scopes and (token.expires_at is None or token.expires_at > self.now)


def require_right(kind: Kind[Any], permit: Permit, body: Any) -> None:
    """Raise ``Forbidden`` where the permit is for one's own records only, and this is another's."""
    if permit.whose == "own" and not (kind.owned and body.owner_id == permit.principal.member_id):
        raise Forbidden(f"this {kind.one} is not yours to change" if kind.owned else f"you may not change a {kind.one}")


def _settled(kind: Kind[Any], permit: Permit, body: Any, *, before: Record | None) -> msgspec.Struct:
    """Return the body as it is kept: its owner, where none is named, stays or is whoever creates it.

    Raises ``Forbidden`` where a member puts down, or gives away, to another.
    """
    if kind.owned and body.owner_id is None:
        owner_id = permit.principal.member_id if before is None else getattr(before.body, "owner_id", None)
        body = msgspec.structs.replace(body, owner_id=owner_id)
    require_right(kind, permit, body)
    kept: msgspec.Struct = kind.kept(body)
    return kept


def _fixed(kind: Kind[Any], record: Record, before: Record | None) -> Iterator[Fault]:
    if before is None:
        return
    for name in kind.fixed:
        if getattr(record.body, name) != getattr(before.body, name):
            yield Fault(code="fixed", message=f"stays as it was when the {kind.one} was made", pointer=f"/{name}")


def _taken(kind: Kind[Any], record: Record) -> Fault:
    message = f"there is a {kind.one} called {kind.title(record.body)} already"
    return Fault(code="name_taken", message=message, pointer=f"/{kind.name_field}")


def columns_of(kind: Kind[Any], record: Record) -> dict[str, Any]:
    """Return the columns of a record that a change gives new values."""
    return {
        "version": record.version,
        "updated_at": record.updated_at,
        "deleted_at": None,
        "body": text_of(record),
        **kind.filing(record.body),
    }


class _NameRace:
    """Turns a name that another transaction took at the same moment into the fault it is."""

    def __init__(self, kind: Kind[Any], record: Record) -> None:
        self._kind = kind
        self._record = record

    def __enter__(self) -> None:
        return None

    def __exit__(self, _type: object, error: BaseException | None, _traceback: object) -> None:
        if isinstance(error, IntegrityError) and self._kind.unique_name and "name_key" in str(error.orig):
            raise Faulty([_taken(self._kind, self._record)]) from error
