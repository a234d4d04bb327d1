"""Undoing what was done: always by new versions, and never by rewriting history.

What a set of changes made is taken back as a whole or not at all. First it is looked
whether all of it still stands as the changes left it, and whether the caller may; then
all of it is put as it was; then it is looked whether that is as right as anything newly
written must be. A refusal leaves the transaction fit only to be rolled back.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any, Literal, NamedTuple

import msgspec

from standage.registry.database.moments import keeping_moment
from standage.registry.records.kinds import KINDS, Kind
from standage.registry.records.reading import kept, live, record_from
from standage.registry.records.record import Action, Change, Permit, Principal, Record
from standage.registry.records.references import Reference
from standage.registry.writing.faults_on_record import faults_of
from standage.registry.writing.history import (
    Told,
    change_of,
    changes_of_action,
    deletion_of,
    names_of_members,
    tell,
)
from standage.registry.writing.links import keep_links, refuse_while_leaned_on
from standage.registry.writing.list_imports import undone_by_history
from standage.registry.writing.ownership import require_right, require_right_above
from standage.registry.writing.store import Writing
from standage.shapes.faults import Faulty
from standage.shapes.refusals import Absent, InTheWay, InUse

KEPT_FOR = timedelta(days=30)
"""How long a deleted record can be brought back."""

_MOST_REASONS = 5

Verb = Literal["create", "update", "delete"]
PermitFor = Callable[[Kind[Any], Verb], Permit]
"""Gives the permit for such a write on such a record; raises where the caller has
none.
"""


class _Step(NamedTuple):
    """What is to be done with one record: from what a set of changes left of it, back
    to what there was before.
    """

    kind: Kind[Any]
    last: Change
    left: msgspec.Struct | None
    target: msgspec.Struct | None

    @property
    def verb(self) -> Verb:
        if self.target is None:
            return "delete"
        if self.left is None:
            return "create"
        return "update"

    @property
    def spoken(self) -> str:
        """What the record is called now, or was called before it was deleted."""
        body = self.left or self.target
        return _spoken(self.kind, body)


class _Kept(NamedTuple):
    record: Record
    deleted_at: datetime | None


_Done = tuple[_Step, Record, Record | None]
"""A step, the record as it stood, and as it stands now."""
_ACTIONS: Mapping[Verb, Action] = {
    "create": "restore",
    "update": "update",
    "delete": "delete",
}


class Undoing(Writing):
    """What can be taken back, in one transaction and as one action."""

    def undo_change(self, by: Principal, change_id: str, permit_for: PermitFor) -> None:
        """Take one change back. Raises ``Absent``, ``Forbidden``, ``InTheWay``, in that
        order.
        """
        change = change_of(self.connection, by.club_id, change_id)
        self._undo(by, [change], permit_for)

    def undo_action(self, by: Principal, action_id: str, permit_for: PermitFor) -> None:
        """Take back all that one action did. Raises ``Absent``, ``Forbidden``,
        ``InTheWay``, in that order.
        """
        self._undo(
            by, changes_of_action(self.connection, by.club_id, action_id), permit_for
        )
        undone_by_history(self, by.club_id, action_id)

    def restore(self, by: Principal, record_id: str, permit_for: PermitFor) -> Record:
        """Bring a deleted record back, with what went with it; return it.

        Raises ``Absent`` where none by that id was deleted in the last 30 days,
        ``Forbidden``, ``InTheWay``.
        """
        deletion = deletion_of(
            self.connection, by.club_id, record_id, since=self._kept_since()
        )
        kind = KINDS[deletion.kind]
        at_once = changes_of_action(self.connection, by.club_id, deletion.action_id)
        beneath = [
            one
            for one in at_once
            if one.action == "delete" and one.kind in kind.life.cascades
        ]
        kept_beneath = self._kept(by.club_id, beneath)
        own = [
            one
            for one in beneath
            if _lies_beneath(kept_beneath.get(one.record_id), record_id)
        ]
        self._undo(by, [deletion, *own], permit_for)
        return self.get(kind, by.club_id, record_id)

    def _undo(
        self, by: Principal, changes: Sequence[Change], permit_for: PermitFor
    ) -> None:
        """Take ``changes`` back together."""
        steps = _steps(changes)
        if not steps:
            raise InTheWay("it left nothing behind that could be undone")
        _require_rights(steps, permit_for)
        self.take_turn(by.club_id)
        found = self._kept(by.club_id, changes)
        for step in steps:
            if (one := found.get(step.last.record_id)) is not None:
                permit = permit_for(step.kind, step.verb)
                require_right_above(self.connection, step.kind, permit, [one.record])
        _refuse(
            reason
            for step in steps
            for reason in self._not_as_left(
                by.club_id, step, found.get(step.last.record_id)
            )
        )
        stood = {
            step.last.record_id: found[step.last.record_id].record for step in steps
        }
        ended: list[_Done] = [
            (step, stood[step.last.record_id], None)
            for step in steps
            if step.target is None
        ]
        for _, record, _ in ended:
            self._mark_deleted([record])
        put = [
            self._put(step, stood[step.last.record_id])
            for step in steps
            if step.target is not None
        ]
        _refuse([*self._wrong_with(put), *self._needed_still(ended)])
        tell(
            self.connection,
            by,
            map(_told, put + ended),
            at=self.now,
            action_id=self.action_id,
        )
        for kind in {step.kind.name: step.kind for step in steps}.values():
            self._require_way_in(kind, by)

    def _kept_since(self) -> datetime:
        reckoned_by = keeping_moment(self.connection, self.now)
        return reckoned_by - KEPT_FOR

    def _kept(self, club_id: str, changes: Iterable[Change]) -> dict[str, _Kept]:
        """Return the records that were changed, deleted ones too, by id, held until the
        transaction ends.
        """
        found: dict[str, _Kept] = {}
        by_kind: dict[str, set[str]] = {}
        for change in changes:
            by_kind.setdefault(change.kind, set()).add(change.record_id)
        for name in sorted(by_kind):
            kind = KINDS[name]
            ids = sorted(by_kind[name])
            theirs = kept(kind, club_id).where(kind.table.c.id.in_(ids))
            held = theirs.order_by(kind.table.c.id).with_for_update(key_share=True)
            for row in self.connection.execute(held):
                record = record_from(kind, row)
                found[row.id] = _Kept(record, row.deleted_at)
        return found

    def _not_as_left(
        self, club_id: str, step: _Step, found: _Kept | None
    ) -> Iterator[str]:
        """Yield why a record is no longer as the changes left it, or cannot be put back
        from that at all.
        """
        if step.last.action == "erase":
            yield "what was erased is kept nowhere and cannot be brought back"
        elif step.kind.life.shown_once and step.verb == "create":
            yield (
                f"{step.spoken} was deleted, and a {step.kind.one} stays deleted; make"
                " a new one"
            )
        elif not step.kind.life.removable and step.verb == "delete":
            yield f"the {step.kind.one} itself cannot be deleted"
        elif found is None or (
            found.deleted_at is not None and found.deleted_at <= self._kept_since()
        ):
            yield (
                f"{step.spoken} was deleted more than {KEPT_FOR.days} days ago and is"
                " gone for good"
            )
        elif found.record.version != step.last.version:
            yield f"{step.spoken} {self._later(club_id, step)}"

    def _later(self, club_id: str, step: _Step) -> str:
        """Return what happened to a record last, after what is to be undone."""
        last = self.changes(step.kind, club_id, step.last.record_id)[-1]
        names = names_of_members(self.connection, club_id, [last.member_id])
        name = names.get(last.member_id, "somebody who is gone")
        what = {"delete": "deleted", "erase": "erased"}.get(last.action, "changed")
        at = f"{last.at:%Y-%m-%d at %H:%M}"
        return f"has been {what} since, by {name} on {at} UTC"

    def _put(self, step: _Step, stood: Record) -> _Done:
        """Put a record as it was, and what it names; whether that is right is looked at
        when all of them are put.
        """
        target = step.target or stood.body
        after = msgspec.structs.replace(
            stood, version=stood.version + 1, updated_at=self.now, body=target
        )
        try:
            self._update(step.kind, [(stood, after)])
        except Faulty as faulty:
            raise InTheWay(
                f"{step.spoken}: {faulty.faults[0].message}; give that one another name"
                " first"
            ) from faulty
        keep_links(self.connection, [after])
        return step, stood, after

    def _wrong_with(self, put: Iterable[_Done]) -> Iterator[str]:
        """Yield all that is wrong with records as they are put now, in words that name
        the record.
        """
        for step, stood, after in put:
            if after is None:
                continue
            yield from self._without_parent(step, after)
            is_update = step.verb == "update"
            before = stood if is_update else None
            leaning = step.kind.leaning
            references = {one.pointer: one for one in leaning.on(after.body)}
            for _, fault in faults_of(self, step.kind, [(before, after)]):
                words = fault.message
                missing = references.get(fault.pointer or "")
                if fault.code.startswith("no_such_") and missing is not None:
                    words = self._missing(after, missing)
                yield f"{step.spoken}: {words}"
            was_leaned_on_as = step.kind.naming.leaned_on_as(stood.body)
            is_leaned_on_as = step.kind.naming.leaned_on_as(after.body)
            if is_update and was_leaned_on_as != is_leaned_on_as:
                yield from self._leaned_on(stood, by_id=False)

    def _without_parent(self, step: _Step, record: Record) -> Iterator[str]:
        if step.kind.parent is None:
            return
        above = KINDS[step.kind.parent]
        try:
            self.get(above, record.club_id, record.parent_id or "", hold="shared")
        except Absent:
            name = self._name_of(above, record.club_id, record.parent_id or "")
            yield (
                f"{step.spoken} lies beneath the {above.one}{name}, which is deleted;"
                " bring that back first"
            )

    def _missing(self, record: Record, reference: Reference) -> str:
        kind = KINDS[reference.kind]
        return (
            "names the"
            f" {kind.one}{self._name_of(kind, record.club_id, reference.id or '')},"
            " which is deleted"
        )

    def _name_of(self, kind: Kind[Any], club_id: str, record_id: str) -> str:
        mine = kept(kind, club_id).where(kind.table.c.id == record_id)
        row = self.connection.execute(mine).first()
        if row is None:
            return ""
        record = record_from(kind, row)
        return f" {kind.title(record.body)}"

    def _needed_still(self, ended: Iterable[_Done]) -> Iterator[str]:
        """Yield what leans on records that are no more, or lies beneath them."""
        for step, record, _ in ended:
            yield from self._leaned_on(record, by_id=True)
            for name, column in step.kind.life.cascades.items():
                child = KINDS[name]
                is_beneath = child.table.c[column] == record.id
                beneath = live(child, record.club_id).where(is_beneath)
                first_few = beneath.order_by(child.table.c.id).limit(_MOST_REASONS)
                for row in self.connection.execute(first_few):
                    lies_beneath = record_from(child, row)
                    its_name = _spoken(child, lies_beneath.body)
                    yield f"{its_name} belongs to {step.spoken}"

    def _leaned_on(self, record: Record, *, by_id: bool) -> Iterator[str]:
        try:
            refuse_while_leaned_on(self, [record], by_id=by_id, going=[])
        except InUse as refusal:
            yield str(refusal)


def _spoken(kind: Kind[Any], body: msgspec.Struct | None) -> str:
    if body is None:
        return f"the {kind.one}"
    return f"the {kind.one} {kind.title(body)}"


def _lies_beneath(found: _Kept | None, record_id: str) -> bool:
    if found is None:
        return False
    return found.record.parent_id == record_id


def _told(done: _Done) -> Told:
    step, before, after = done
    return Told(
        _ACTIONS[step.verb],
        None if step.verb == "create" else before,
        after,
        step.last.id,
    )


def _steps(changes: Sequence[Change]) -> list[_Step]:
    """Return one step for each record; of a record changed several times its first and
    last state count.

    Of what went with a record, what cannot come back is left out.
    """
    by_record: dict[tuple[str, str], list[Change]] = {}
    for change in changes:
        by_record.setdefault((change.kind, change.record_id), []).append(change)
    steps = [_step(one) for one in by_record.values()]
    coming_back = [one for one in steps if not _is_gone_for_good(one)]
    asked = coming_back or steps
    return [one for one in asked if one.left is not None or one.target is not None]


def _is_gone_for_good(step: _Step) -> bool:
    return bool(step.kind.life.shown_once) and step.verb == "create"


def _step(changes: Sequence[Change]) -> _Step:
    first, last = changes[0], changes[-1]
    kind = KINDS[first.kind]
    left = _body(kind, last.after)
    target = _body(kind, first.before)
    return _Step(
        kind,
        last,
        left=left,
        target=target,
    )


def _body(kind: Kind[Any], text: str | None) -> msgspec.Struct | None:
    if text is None:
        return None
    try:
        body: msgspec.Struct = kind.decode(text)
    except msgspec.DecodeError as error:
        raise InTheWay(
            f"the {kind.one} was recorded in a form that is no longer kept"
        ) from error
    return body


def _require_rights(steps: Iterable[_Step], permit_for: PermitFor) -> None:
    """Raise ``Forbidden``, or what ``permit_for`` raises, unless every one of the
    writes is the caller's to make.
    """
    for step in steps:
        permit = permit_for(step.kind, step.verb)
        for body in (step.left, step.target):
            if body is not None:
                require_right(step.kind, permit, body)


def _refuse(reasons: Iterable[str]) -> None:
    """Raise ``InTheWay`` where there is any reason; the first few are told."""
    found = list(dict.fromkeys(reasons))
    if not found:
        return
    told = found[:_MOST_REASONS]
    others = len(found) - len(told)
    if others:
        told.append(f"and {others} more")
    raise InTheWay("; ".join(told))
