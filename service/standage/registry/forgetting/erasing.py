"""Erasing a member: the name and the contact go from every table and every row of
history; what remains is an id.

What is gone over: the member's record and its history; the records that only serve the
member (tokens and the like) and their labels; other rows that are kept for the member;
answers kept for repeated requests in which the id, the name or the contact occurs;
files that were taken in where either stands, in a row or in what was made of it; and
every string of records that the member owns and of what lies beneath those, of their
history and of their revisions, and every remark of the member's on a revision, where
the whole name or the contact stands in it. Of a plan that is gone for good nobody knows
any more whose module it was: its history is searched whoever is erased. Other members'
records, layouts and standards are not searched.
"""

from collections.abc import Callable, Iterable, Iterator
from functools import partial, reduce
from operator import getitem
from typing import Any

import msgspec
from sqlalchemy import ColumnElement, Select, delete, insert, or_, select, update

from standage.registry.database.tables import (
    erasures,
    history,
    name_key,
    revisions,
)
from standage.registry.forgetting.passing_traces import forget_traces
from standage.registry.records.bodies import MemberBody
from standage.registry.records.kinds import KINDS, MEMBERS, Kind
from standage.registry.records.reading import kept, live, record_from
from standage.registry.records.record import Permit, Principal, Record, to_text
from standage.registry.writing.history import Told, tell
from standage.registry.writing.links import hold_targets, keep_links
from standage.registry.writing.names_struck import (
    STRUCK_OUT,
    Json,
    Struck,
    rewritten,
    written,
)
from standage.registry.writing.ownership import belongs_to, ids_beneath
from standage.registry.writing.store import Writing
from standage.shapes.refusals import Absent, Forbidden

FORMER = MemberBody(name="Former member")
"""What is left of a member: nobody's name, no contact, no role of importance."""
NAMELESS_STEWARD = msgspec.structs.replace(FORMER, role="steward")
LABEL = "of a former member"
_REVISION = ("kind", "record_id", "number")
_SERVING = tuple(KINDS[name] for name in MEMBERS.life.cascades)
"""The kinds whose records serve one member and go with them."""


class Erasing(Writing):
    """What erases a member, in one transaction and as one action."""

    def erase_member(self, permit: Permit, member_id: str) -> None:
        """Erase the member, deleted or not, and let nobody in for them any more.

        Raises ``Absent``, ``Forbidden`` where it is another member who asks, and
        ``InUse`` where no steward would be left who can get in.
        """
        by = permit.principal
        self.take_turn(by.club_id)
        member = self._member(by.club_id, member_id)
        if permit.whose == "own" and by.member_id != member_id:
            raise Forbidden(
                "only a steward may erase another member; you may erase yourself"
            )
        self.erase(by, member)
        self._require_way_in(MEMBERS, by)

    def erase_again(self, club_id: str, member_id: str) -> bool:
        """Erase a member who was erased before a backup was put back; tell whether
        there was one to erase.

        The club's last steward stays one, without a name: somebody must be let in.
        """
        nobody = Principal(
            club_id=club_id,
            member_id=member_id,
            role="member",
            token_id=self.action_id,
            scopes=frozenset(),
        )
        try:
            member = self._member(club_id, member_id)
        except Absent:
            return False
        stewards = live(MEMBERS, club_id).where(
            MEMBERS.table.c.role == "steward", MEMBERS.table.c.id != member_id
        )
        is_last = self.connection.execute(stewards.limit(1)).first() is None
        stays = is_last and _is_steward(member)
        self.erase(nobody, member, left=NAMELESS_STEWARD if stays else FORMER)
        return True

    def erase_in_document(self, club_id: str, member_id: str) -> bool:
        """Erase a member whom a club's document brought with a name; tell whether it
        did.

        A document holds no deleted records, but what was once in them stands in its
        history.
        """
        if next(self._words(club_id, member_id), None) is None:
            return False
        if not self.erase_again(club_id, member_id):
            self.forget(club_id, member_id)
            self.connection.execute(
                insert(erasures).values(
                    member_id=member_id, club_id=club_id, at=self.now
                )
            )
        return True

    def erase(
        self, by: Principal, member: Record, *, left: MemberBody = FORMER
    ) -> None:
        """Erase a member whose row is held; ``left`` is what stays on record."""
        words = self.forget(member.club_id, member.id)
        ended = [told for kind in _SERVING for told in self._end(kind, member)]
        struck = (
            [
                told
                for kind in _owned()
                for told in self._strike_out(kind, member, words)
            ]
            if words
            else []
        )
        before = msgspec.structs.replace(
            member, body=MEMBERS.decode(_rewritten(to_text(member.body), _former))
        )
        after = msgspec.structs.replace(
            before, version=member.version + 1, updated_at=self.now, body=left
        )
        filed = {
            "version": after.version,
            "updated_at": self.now,
            "body": to_text(after.body),
            **MEMBERS.filing(left),
        }
        self.connection.execute(
            update(MEMBERS.table).where(MEMBERS.table.c.id == member.id).values(filed)
        )
        told = [Told("erase", before, after), *ended, *struck]
        tell(self.connection, by, told, at=self.now, action_id=self.action_id)
        self.connection.execute(
            delete(erasures).where(erasures.c.member_id == member.id)
        )
        self.connection.execute(
            insert(erasures).values(
                member_id=member.id, club_id=member.club_id, at=self.now
            )
        )

    def forget(self, club_id: str, member_id: str) -> Struck:
        """Take a member's name and contact out of history and of all that is kept for
        them; return what they were.
        """
        words = Struck(self._words(club_id, member_id))
        self._rewrite(self._history(club_id, MEMBERS, [member_id]), _former)
        for kind in _SERVING:
            self._relabel(kind, club_id, member_id)
        for kind in _owned() if words else ():
            theirs = select(history.c.id, history.c.before, history.c.after)
            theirs = theirs.where(
                history.c.club_id == club_id, history.c.kind == kind.name
            )
            self._rewrite(
                theirs.where(_told_of(kind, club_id, member_id)),
                partial(_struck_out, kind, words=words, owner_id=member_id),
            )
        for kind in _revised() if words else ():
            self._strike_out_of_revisions(kind, club_id, member_id, words)
        forget_traces(self.connection, club_id, member_id, words)
        return words

    def _member(self, club_id: str, member_id: str) -> Record:
        """Return the member, deleted or not, held until the transaction ends; raise
        ``Absent``.
        """
        mine = kept(MEMBERS, club_id).where(MEMBERS.table.c.id == member_id)
        row = self.connection.execute(mine.with_for_update(key_share=True)).first()
        if row is None:
            raise Absent("there is no such member")
        return record_from(MEMBERS, row)

    def _words(self, club_id: str, member_id: str) -> Iterator[str]:
        """Yield every name and contact that the member ever had here."""
        bodies = [
            self.connection.scalar(
                select(MEMBERS.table.c.body).where(MEMBERS.table.c.id == member_id)
            )
        ]
        for row in self.connection.execute(
            self._history(club_id, MEMBERS, [member_id])
        ):
            bodies += (row.before, row.after)
        for text in filter(None, bodies):
            body = msgspec.json.decode(text)
            if body != _former(body):
                yield from written(MemberBody, body)

    def _history(
        self, club_id: str, kind: Kind[Any], ids: Iterable[str]
    ) -> Select[Any]:
        columns = select(history.c.id, history.c.before, history.c.after)
        return columns.where(
            history.c.club_id == club_id,
            history.c.kind == kind.name,
            history.c.record_id.in_(sorted(ids)),
        )

    def _rewrite(self, rows: Select[Any], changed: Callable[[Json], Json]) -> None:
        """Put ``changed`` bodies in place of those that history has."""
        for row in self.connection.execute(rows).all():
            told = {"before": row.before, "after": row.after}
            new = dict(told)
            for side, text in told.items():
                if text is not None:
                    new[side] = _rewritten(text, changed)
            if new != told:
                is_it = history.c.id == row.id
                self.connection.execute(update(history).where(is_it).values(new))

    def _relabel(self, kind: Kind[Any], club_id: str, member_id: str) -> None:
        """Take the labels off all records that serve a member, deleted ones too, and
        off their history.
        """
        table, changed = kind.table, partial(_relabelled, kind)
        rows = self.connection.execute(
            select(table.c.id, table.c.body).where(table.c.member_id == member_id)
        ).all()
        for row in rows:
            new = {"body": _rewritten(row.body, changed), "name_key": name_key(LABEL)}
            self.connection.execute(
                update(table).where(table.c.id == row.id).values(new)
            )
        own = history.c.record_id.in_([row.id for row in rows])
        theirs = f'%"member_id":"{member_id}"%'
        told = select(history.c.id, history.c.before, history.c.after)
        told = told.where(history.c.club_id == club_id, history.c.kind == kind.name)
        self._rewrite(
            told.where(
                or_(own, history.c.before.like(theirs), history.c.after.like(theirs))
            ),
            changed,
        )

    def _end(self, kind: Kind[Any], member: Record) -> Iterator[Told]:
        """Delete the records that serve a member."""
        mine = (
            live(kind, member.club_id)
            .where(kind.table.c.member_id == member.id)
            .order_by(kind.table.c.id)
        )
        rows = self.connection.execute(mine.with_for_update(key_share=True)).all()
        records = [record_from(kind, row) for row in rows]
        if records:
            self._mark_deleted(records)
        yield from (Told("delete", record, None) for record in records)

    def _strike_out(
        self, kind: Kind[Any], member: Record, words: Struck
    ) -> Iterator[Told]:
        """Strike the member's name and contact out of what the member owns; what is
        deleted stays so.
        """
        theirs = belongs_to(kind, member.club_id, member.id)
        if theirs is None:
            return
        mine = kept(kind, member.club_id).where(theirs).order_by(kind.table.c.id)
        for row in self.connection.execute(mine.with_for_update(key_share=True)).all():
            changed = partial(_struck_out, kind, words=words, owner_id=member.id)
            if _rewritten(row.body, changed) == row.body:
                continue
            stood = record_from(kind, row)
            text = _rewritten(self._naming_by_id(stood, words), changed)
            before = msgspec.structs.replace(stood, body=kind.decode(text))
            after = msgspec.structs.replace(
                before, version=stood.version + 1, updated_at=self.now
            )
            own = update(kind.table).where(kind.table.c.id == row.id)
            if row.deleted_at is None:
                self.connection.execute(
                    own.values(version=after.version, updated_at=self.now)
                )
                keep_links(self.connection, [after])
                yield Told("erase", before, after)
            self.connection.execute(
                own.values(body=to_text(after.body), **kind.filing(after.body))
            )

    def _strike_out_of_revisions(
        self, kind: Kind[Any], club_id: str, member_id: str, words: Struck
    ) -> None:
        """Strike a member's name and contact out of what they remarked on revisions,
        and out of revisions of what was theirs.
        """
        mine = revisions.c.author_id == member_id
        beneath: frozenset[str] = frozenset()
        if kind.rights.owned:
            mine |= revisions.c.body.like(f'%"owner_id":"{member_id}"%')
        elif kind.rights.as_above:
            beneath = ids_beneath(self.connection, club_id, member_id)
            mine |= revisions.c.record_id.in_(sorted(beneath))
        rows = select(revisions).where(
            revisions.c.club_id == club_id, revisions.c.kind == kind.name, mine
        )
        changed = partial(_struck_out, kind, words=words, owner_id=member_id)
        for row in self.connection.execute(rows).all():
            of_another = kind.rights.as_above and row.record_id not in beneath
            text = row.body if of_another else _rewritten(row.body, changed)
            body = kind.decode(text)
            is_it = (revisions.c[name] == row._mapping[name] for name in _REVISION)  # noqa: SLF001 - Row's public way
            new = {
                "remark": words.out_of(row.remark),
                "summary": kind.summary_text(body),
                "body": to_text(body),
            }
            self.connection.execute(update(revisions).where(*is_it).values(new))

    def _naming_by_id(self, record: Record, words: Struck) -> str:
        """Return a record's body as text, in which it names by its id what is on record
        and is called after the member.

        A coupling type that is goes on supplying its figures.
        """
        body = msgspec.json.decode(to_text(record.body))
        named = [
            (one, one.name)
            for one in KINDS[record.kind].leaning.on(record.body)
            if one.name is not None
        ]
        after_member = [one for one, name in named if words.out_of(name) != name]
        found = hold_targets(self.connection, [record], after_member)
        ids = {
            (name, KINDS[name].naming.leaned_on_as(target.body)): target.id
            for (name, _), target in found.items()
        }
        for one in after_member:
            *above, field = one.pointer.split("/")[1:]
            holder = reduce(getitem, above, body)
            holder[field] = ids.get((one.kind, one.name), holder[field])
        return msgspec.json.encode(body).decode()


def _owned() -> Iterator[Kind[Any]]:
    for kind in KINDS.values():
        if kind.rights.owned or kind.rights.as_above:
            yield kind


def _told_of(kind: Kind[Any], club_id: str, member_id: str) -> ColumnElement[bool]:
    """Return what is true of the history of a member's records of that kind, and of
    what was theirs then.
    """
    owner = f'%"owner_id":"{member_id}"%'
    names_them = or_(history.c.before.like(owner), history.c.after.like(owner))
    if kind.rights.owned:
        return names_them
    above = select(history.c.record_id).where(
        history.c.club_id == club_id, history.c.kind == kind.parent, names_them
    )
    table = kind.table.c
    beneath = select(table.id).where(table.parent_id.in_(above))
    still_there = select(table.id).where(table.club_id == club_id)
    return or_(
        history.c.record_id.in_(beneath), history.c.record_id.not_in(still_there)
    )


def _revised() -> Iterator[Kind[Any]]:
    return (kind for kind in KINDS.values() if kind.room.revised)


def _rewritten(text: str, changed: Callable[[Json], Json]) -> str:
    body = msgspec.json.decode(text)
    return msgspec.json.encode(changed(body)).decode()


def _former(body: Json) -> Json:
    """Return the body of a member's history with nothing in it that was written of a
    person.
    """
    impersonal = {
        name: value
        for name, value in body.items()
        if not written(MemberBody, {name: value})
    }
    return impersonal | {"name": FORMER.name}


def _is_steward(member: Record) -> bool:
    body = member.body
    if not isinstance(body, MemberBody):
        return False
    return body.role == "steward"


def _relabelled(kind: Kind[Any], body: Json) -> Json:
    struck_out = rewritten(kind.body, body, lambda _: STRUCK_OUT)
    return struck_out | {kind.naming.field: LABEL}


def _struck_out(kind: Kind[Any], body: Json, *, words: Struck, owner_id: str) -> Json:
    """Return a body without the names in whatever was written in it, where it is the
    owner's.
    """
    if kind.rights.as_above:
        return rewritten(kind.body, body, words.out_of)
    if body.get("owner_id") != owner_id:
        return body
    return rewritten(kind.body, body, words.out_of)
