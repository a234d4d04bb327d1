"""Erasing a member: the name and the contact go from every table and every row of history; what remains is an id.

What is gone over: the member's record and its history; the records that only serve the member (tokens and the like) and
their labels; other rows that are kept for the member; answers kept for repeated requests in which the id, the name or
the contact occurs; files that were taken in where either stands; and the name, number and notes of records that the
member owns, and of their history, where the whole name or the contact stands in them. Other members' records, layouts
and standards are not searched.
"""

import re
import zlib
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from typing import Any

import msgspec
from sqlalchemy import Select, delete, insert, or_, select, update

from standage.registry.bodies import MemberBody
from standage.registry.history import Told, tell, text_of
from standage.registry.kinds import KINDS, MEMBERS, Kind
from standage.registry.reading import kept, live, record_from
from standage.registry.records import Absent, Forbidden, Permit, Principal, Record
from standage.registry.store import Writing
from standage.registry.tables import (
    erasures,
    history,
    idempotency,
    metadata,
    name_key,
    stock_import_rows,
    stock_imports,
)

FORMER = MemberBody(name="Former member")
"""What is left of a member: nobody's name, no contact, no role of importance."""
NAMELESS_STEWARD = msgspec.structs.replace(FORMER, role="steward")
LABEL = "of a former member"
_STRUCK_OUT = "*"
"""No longer than what it stands for, so that no bound is broken."""
_FREE_TEXT = ("name", "number", "notes")
_OWNED = tuple(kind for kind in KINDS.values() if kind.owned)
_SERVING = tuple(KINDS[name] for name in MEMBERS.cascades)
"""The kinds whose records serve one member and go with them."""
Json = dict[str, Any]


class Erasing(Writing):
    """What erases a member, in one transaction and as one action."""

    def erase_member(self, permit: Permit, member_id: str) -> None:
        """Erase the member, deleted or not, and let nobody in for them any more.

        Raises ``Absent``, ``Forbidden`` where it is another member who asks, and ``InUse`` where no steward would be
        left who can get in.
        """
        by = permit.principal
        self.take_turn(by.club_id)
        member = self._member(by.club_id, member_id)
        if permit.whose == "own" and by.member_id != member_id:
            raise Forbidden("only a steward may erase another member; you may erase yourself")
        self.erase(by, member)
        self._require_way_in(MEMBERS, by)

    def erase_again(self, club_id: str, member_id: str) -> bool:
        """Erase a member who was erased before a backup was put back; tell whether there was one to erase.

        The club's last steward stays one, without a name: somebody must be let in.
        """
        nobody = Principal(
            club_id=club_id, member_id=member_id, role="member", token_id=self.action_id, scopes=frozenset()
        )
        try:
            member = self._member(club_id, member_id)
        except Absent:
            return False
        stewards = live(MEMBERS, club_id).where(MEMBERS.table.c.role == "steward", MEMBERS.table.c.id != member_id)
        is_last = self.connection.execute(stewards.limit(1)).first() is None
        self.erase(nobody, member, left=NAMELESS_STEWARD if is_last and _is_steward(member) else FORMER)
        return True

    def erase_in_document(self, club_id: str, member_id: str) -> bool:
        """Erase a member whom a club's document brought with a name; tell whether it did.

        A document holds no deleted records, but what was once in them stands in its history.
        """
        if next(self._words(club_id, member_id), None) is None:
            return False
        if not self.erase_again(club_id, member_id):
            self.forget(club_id, member_id)
            self.connection.execute(insert(erasures).values(member_id=member_id, club_id=club_id, at=self.now))
        return True

    def erase(self, by: Principal, member: Record, *, left: MemberBody = FORMER) -> None:
        """Erase a member whose row is held; ``left`` is what stays on record."""
        words = self.forget(member.club_id, member.id)
        ended = [told for kind in _SERVING for told in self._end(kind, member)]
        struck = [told for kind in _OWNED for told in self._strike_out(kind, member, words)]
        before = msgspec.structs.replace(member, body=_without_person(member.body))
        after = msgspec.structs.replace(before, version=member.version + 1, updated_at=self.now, body=left)
        filed = {"version": after.version, "updated_at": self.now, "body": text_of(after), **MEMBERS.filing(left)}
        self.connection.execute(update(MEMBERS.table).where(MEMBERS.table.c.id == member.id).values(filed))
        told = [Told("erase", before, after), *ended, *struck]
        tell(self.connection, by, told, at=self.now, action_id=self.action_id)
        self.connection.execute(delete(erasures).where(erasures.c.member_id == member.id))
        self.connection.execute(insert(erasures).values(member_id=member.id, club_id=member.club_id, at=self.now))

    def forget(self, club_id: str, member_id: str) -> list[str]:
        """Take a member's name and contact out of history and of all that is kept for them; return what they were."""
        words = sorted(set(self._words(club_id, member_id)), key=len, reverse=True)
        self._rewrite(self._history(club_id, MEMBERS, [member_id]), _former)
        for kind in _SERVING:
            self._relabel(kind, club_id, member_id)
        for kind in _OWNED if words else ():
            owner = f'%"owner_id":"{member_id}"%'
            theirs = select(history.c.id, history.c.before, history.c.after)
            theirs = theirs.where(history.c.club_id == club_id, history.c.kind == kind.name)
            theirs = theirs.where(or_(history.c.before.like(owner), history.c.after.like(owner)))
            self._rewrite(theirs, partial(_struck_out, words=words, owner_id=member_id))
        self._forget_answers(club_id, member_id, words)
        self._forget_imports(club_id, words)
        self._forget_what_is_kept_for(member_id)
        return words

    def _forget_what_is_kept_for(self, member_id: str) -> None:
        """Delete the member's rows of every table that is neither a kind's nor tells what was done."""
        of_kinds = {kind.table for kind in KINDS.values()}
        for table in metadata.sorted_tables:
            if "member_id" not in table.c or table in {history, erasures, *of_kinds}:
                continue
            mine = table.c.member_id == member_id
            for key in (key for other in metadata.sorted_tables for key in other.foreign_keys):
                if key.column.table is table:
                    beneath = key.parent.in_(select(key.column).where(mine))
                    self.connection.execute(delete(key.parent.table).where(beneath))
            self.connection.execute(delete(table).where(mine))

    def _member(self, club_id: str, member_id: str) -> Record:
        """Return the member, deleted or not, held until the transaction ends; raise ``Absent``."""
        mine = kept(MEMBERS, club_id).where(MEMBERS.table.c.id == member_id)
        row = self.connection.execute(mine.with_for_update(key_share=True)).first()
        if row is None:
            raise Absent("there is no such member")
        return record_from(MEMBERS, row)

    def _words(self, club_id: str, member_id: str) -> Iterator[str]:
        """Yield every name and contact that the member ever had here."""
        bodies = [self.connection.scalar(select(MEMBERS.table.c.body).where(MEMBERS.table.c.id == member_id))]
        for row in self.connection.execute(self._history(club_id, MEMBERS, [member_id])):
            bodies += (row.before, row.after)
        for text in filter(None, bodies):
            body = msgspec.json.decode(text)
            if body != _former(body):
                yield from (body[name] for name in ("name", "contact") if body.get(name))

    def _history(self, club_id: str, kind: Kind[Any], ids: Iterable[str]) -> Select[Any]:
        columns = select(history.c.id, history.c.before, history.c.after)
        return columns.where(
            history.c.club_id == club_id, history.c.kind == kind.name, history.c.record_id.in_(sorted(ids))
        )

    def _rewrite(self, rows: Select[Any], changed: Callable[[Json], Json]) -> None:
        """Put ``changed`` bodies in place of those that history has."""
        for row in self.connection.execute(rows).all():
            new = {side: _rewritten(getattr(row, side), changed) for side in ("before", "after")}
            if (new["before"], new["after"]) != (row.before, row.after):
                self.connection.execute(update(history).where(history.c.id == row.id).values(new))

    def _relabel(self, kind: Kind[Any], club_id: str, member_id: str) -> None:
        """Take the labels off all records that serve a member, deleted ones too, and off their history."""
        table, changed = kind.table, partial(_relabelled, name_field=kind.name_field)
        rows = self.connection.execute(select(table.c.id, table.c.body).where(table.c.member_id == member_id)).all()
        for row in rows:
            new = {"body": _rewritten(row.body, changed), "name_key": name_key(LABEL)}
            self.connection.execute(update(table).where(table.c.id == row.id).values(new))
        own = history.c.record_id.in_([row.id for row in rows])
        theirs = f'%"member_id":"{member_id}"%'
        told = select(history.c.id, history.c.before, history.c.after)
        told = told.where(history.c.club_id == club_id, history.c.kind == kind.name)
        self._rewrite(told.where(or_(own, history.c.before.like(theirs), history.c.after.like(theirs))), changed)

    def _end(self, kind: Kind[Any], member: Record) -> Iterator[Told]:
        """Delete the records that serve a member."""
        mine = live(kind, member.club_id).where(kind.table.c.member_id == member.id).order_by(kind.table.c.id)
        rows = self.connection.execute(mine.with_for_update(key_share=True)).all()
        records = [record_from(kind, row) for row in rows]
        if records:
            self._mark_deleted(records)
        yield from (Told("delete", record, None) for record in records)

    def _strike_out(self, kind: Kind[Any], member: Record, words: Sequence[str]) -> Iterator[Told]:
        """Strike the member's name and contact out of what the member owns; what is deleted stays so."""
        mine = kept(kind, member.club_id).where(kind.table.c.owner_id == member.id).order_by(kind.table.c.id)
        for row in self.connection.execute(mine.with_for_update(key_share=True)).all() if words else ():
            text = _rewritten(row.body, partial(_struck_out, words=words, owner_id=member.id))
            if text == row.body:
                continue
            stood = record_from(kind, row)
            before = msgspec.structs.replace(stood, body=kind.decode(text or ""))
            after = msgspec.structs.replace(before, version=stood.version + 1, updated_at=self.now)
            own = update(kind.table).where(kind.table.c.id == row.id)
            if row.deleted_at is None:
                self.connection.execute(own.values(version=after.version, updated_at=self.now))
                yield Told("erase", before, after)
            self.connection.execute(own.values(body=text_of(after), name_key=name_key(kind.title(after.body))))

    def _forget_answers(self, club_id: str, member_id: str, words: Sequence[str]) -> None:
        """Delete the answers kept for repeated requests in which the member occurs."""
        rows = select(idempotency).where(idempotency.c.club_id == club_id, idempotency.c.body.is_not(None))
        sought = [member_id.encode(), *(msgspec.json.encode(word)[1:-1] for word in words)]
        for row in self.connection.execute(rows).all():
            if any(one in row.body for one in sought):
                same = (idempotency.c[name] == getattr(row, name) for name in ("club_id", "member_id", "path", "key"))
                self.connection.execute(delete(idempotency).where(*same))

    def _forget_imports(self, club_id: str, words: Sequence[str]) -> None:
        """Delete what is kept of files that were taken in, by anybody, in which the name or the contact stands."""
        rows = select(stock_imports.c.id, stock_imports.c.sheet).where(stock_imports.c.club_id == club_id)
        sought = [msgspec.json.encode(word)[1:-1].lower() for word in words]
        sheets = [(row.id, zlib.decompress(row.sheet).lower()) for row in self.connection.execute(rows)]
        found = [import_id for import_id, sheet in sheets if any(one in sheet for one in sought)]
        self.connection.execute(delete(stock_import_rows).where(stock_import_rows.c.import_id.in_(found)))
        self.connection.execute(delete(stock_imports).where(stock_imports.c.id.in_(found)))


def _rewritten(text: str | None, changed: Callable[[Json], Json]) -> str | None:
    return None if text is None else msgspec.json.encode(changed(msgspec.json.decode(text))).decode()


def _former(body: Json) -> Json:
    return {name: value for name, value in body.items() if name != "contact"} | {"name": FORMER.name}


def _is_steward(member: Record) -> bool:
    return isinstance(member.body, MemberBody) and member.body.role == "steward"


def _without_person(body: msgspec.Struct) -> msgspec.Struct:
    return msgspec.structs.replace(body, name=FORMER.name, contact=None)


def _relabelled(body: Json, *, name_field: str) -> Json:
    return body | {name_field: LABEL}


def _struck_out(body: Json, *, words: Sequence[str], owner_id: str) -> Json:
    """Return a body without the words in its free text, where it is the owner's."""
    if body.get("owner_id") != owner_id:
        return body
    whole = re.compile("|".join(rf"(?<!\w){re.escape(word)}(?!\w)" for word in words), re.IGNORECASE)
    texts = {name: whole.sub(_STRUCK_OUT, body[name]) for name in _FREE_TEXT if isinstance(body.get(name), str)}
    return body | texts
