"""A club that comes from another instance: all of it in one transaction, ids and all,
or none of it.
"""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from itertools import chain, groupby
from typing import Any, NamedTuple

import msgspec
from sqlalchemy import Connection, insert, select
from sqlalchemy.exc import IntegrityError

from standage.railway.terms.synonyms import TRADE_WORDS
from standage.registry.database import tables
from standage.registry.database.engine import Database
from standage.registry.database.lots import lots
from standage.registry.forgetting.erasing import Erasing
from standage.registry.forgetting.erasures import Erasure, exists, read
from standage.registry.moving.club_document import (
    CARRIED,
    FORMAT,
    VERSION,
    Entry,
    PastChange,
    PastRevision,
)
from standage.registry.people.first_tokens import first_token, steward_of
from standage.registry.records.kinds import KINDS, MEMBERS
from standage.registry.records.reading import live, record_from
from standage.registry.records.record import Record, to_text
from standage.registry.writing.links import hold_targets, keep_links, unresolved
from standage.registry.writing.store import row_of
from standage.shapes.decoding import convert
from standage.shapes.faults import UNFIT, Fault, Faulty

_MOST_CONFLICTS = 50
Part = tuple[str, Any]


class Arrived(NamedTuple):
    """What came, and the one way in: tokens do not travel.

    ``erased_again`` is how many members came with a name who had been erased since, so
    far as the list of erasures was found.
    """

    club_id: str
    records: int
    changes: int
    member_id: str
    token: str
    erased_again: int
    list_found: bool


class _Conflicts:
    """What the instance has already of what comes, as far as it is told."""

    def __init__(self) -> None:
        self.faults: list[Fault] = []
        self._count = 0

    def add(self, records: Iterable[Record], there: set[str]) -> None:
        for record in records:
            self._count += record.id in there
            if record.id in there and len(self.faults) < _MOST_CONFLICTS:
                kind = KINDS[record.kind]
                message = (
                    f"the {kind.one} {kind.title(record.body)} ({record.id}) is here"
                    " already"
                )
                self.faults.append(
                    Fault(
                        code="conflict",
                        message=message,
                        pointer=f"/records/{record.id}",
                    )
                )

    def require_none(self) -> None:
        """Raise ``Faulty`` with those that are told, and how many more there are."""
        if untold := self._count - len(self.faults):
            message = f"and {untold:,} more of its records are here already"
            self.faults.append(
                Fault(code="conflict", message=message, pointer="/records")
            )
        if self.faults:
            raise Faulty(self.faults)


def arrive(database: Database, parts: Iterable[Part], now: datetime) -> Arrived:
    """Record the club that a document's ``parts`` hold, and issue its oldest steward a
    token.

    Raises ``Faulty`` where the document is of another form or unsound, or with every
    conflict, up to fifty, where the instance has some of it already. Nothing is
    recorded then. Whoever is on the list of erasures is erased again; raises
    ``Unready`` where that cannot be read.
    """
    erased = read(database.erasures_file)
    with database.write() as connection:
        return (
            _Arrival(connection, now, erased)
            .take(parts)
            ._replace(list_found=exists(database.erasures_file))
        )


class _Arrival:
    def __init__(
        self, connection: Connection, now: datetime, erased: Iterable[Erasure]
    ) -> None:
        self._connection = connection
        self._writing = Erasing(connection, now)
        self._erased = {(one.club_id, one.member_id) for one in erased}
        self._head: dict[str, Any] = {}
        self._conflicts = _Conflicts()
        self._ids: dict[str, list[str]] = {name: [] for name in CARRIED}
        self._changes = 0

    def take(self, parts: Iterable[Part]) -> Arrived:
        """Take everything in, in the order in which it comes."""
        for name, group in groupby(parts, key=lambda part: part[0]):
            elements = (element for _, element in group)
            if name == "records":
                self._require_head()
                self._take_records(elements)
            elif name == "history":
                self._require_head()
                self._take_history(elements)
            elif name == "revisions":
                self._take_revisions(elements)
            elif name in {"format", "version", "club_id"}:
                self._head[name] = next(elements)
            else:
                raise _unsound(
                    f"it has a field {name!r}, which is not known", f"/{name}"
                )
        self._require_head()
        if not self._ids["clubs"]:
            raise _unsound("it holds no club", "/records")
        self._require_sound_references()
        erased_again = sum(
            self._writing.erase_in_document(*one)
            for one in sorted(self._of_this_club())
        )
        member_id, token = self._way_in()
        return Arrived(
            club_id=self._head["club_id"],
            records=sum(map(len, self._ids.values())),
            changes=self._changes,
            member_id=member_id,
            token=token,
            erased_again=erased_again,
            list_found=False,
        )

    def _of_this_club(self) -> set[tuple[str, str]]:
        ours = self._head["club_id"]
        return {one for one in self._erased if one[0] == ours}

    def _require_head(self) -> None:
        if self._head.get("format") != FORMAT:
            raise _unsound("it is not the document of a whole club", "/format")
        if self._head.get("version") != VERSION:
            raise _unsound(
                f"it is of form {self._head.get('version')}; form {VERSION} is read"
                " here",
                "/version",
            )
        if not isinstance(self._head.get("club_id"), str):
            raise _unsound("club_id does not come before the records", "/club_id")

    def _take_records(self, elements: Iterator[Any]) -> None:
        number = 0
        for lot in lots(elements):
            records = [
                self._record(element, number + at) for at, element in enumerate(lot)
            ]
            number += len(lot)
            for name, some in groupby(records, key=lambda record: record.kind):
                self._keep(name, list(some))
        self._conflicts.require_none()

    def _record(self, element: Any, number: int) -> Record:
        entry = _sound(element, Entry, f"/records/{number}")
        kind = str(element["kind"])
        club_id = self._head["club_id"]
        if kind == "clubs" and entry.id != club_id:
            raise _unsound(
                "it holds another club than it says", f"/records/{number}/id"
            )
        return Record(
            id=entry.id,
            kind=kind,
            club_id=club_id,
            parent_id=getattr(entry, "parent_id", None),
            version=entry.version,
            created_at=entry.created_at,
            updated_at=entry.updated_at,
            body=entry.body,
        )

    def _keep(self, name: str, records: Sequence[Record]) -> None:
        kind = CARRIED[name]
        ids = [record.id for record in records]
        there: set[str] = set()
        for some in lots(ids):
            same = select(kind.table.c.id).where(kind.table.c.id.in_(some))
            there.update(self._connection.scalars(same))
        self._conflicts.add(records, there)
        self._ids[name] += ids
        if self._conflicts.faults:
            return
        rows = [row_of(kind, record) for record in records]
        with _unless_twice(kind.one):
            self._connection.execute(insert(kind.table), rows)
        # as of a first version, nothing is put down of it here yet
        fresh = [msgspec.structs.replace(one, version=1) for one in records]
        keep_links(self._connection, fresh)

    def _take_history(self, elements: Iterator[Any]) -> None:
        for lot in lots(elements):
            changes = [
                _sound(element, PastChange, f"/history/{self._changes + at}")
                for at, element in enumerate(lot)
            ]
            rows = [
                msgspec.structs.asdict(one)
                | {
                    "club_id": self._head["club_id"],
                    "before": _text(one.before),
                    "after": _text(one.after),
                }
                for one in changes
            ]
            with _unless_twice("change"):
                self._connection.execute(insert(tables.history), rows)
            self._changes += len(rows)

    def _take_revisions(self, elements: Iterator[Any]) -> None:
        for number, element in enumerate(elements):
            pointer = f"/revisions/{number}"
            one = _sound(element, PastRevision, pointer)
            kind = CARRIED.get(one.kind)
            if kind is None or one.record_id not in self._ids[one.kind]:
                raise _unsound("it is of a record that is not in it", pointer)
            body = _sound(one.body, kind.body, f"{pointer}/body")
            row = msgspec.structs.asdict(one) | {
                "club_id": self._head["club_id"],
                "summary": kind.summary_text(body),
                "body": to_text(body),
            }
            with _unless_twice("revision"):
                self._connection.execute(insert(tables.revisions), row)

    def _require_sound_references(self) -> None:
        """Raise ``Faulty`` where a record names another that did not come with it."""
        club_id = self._head["club_id"]
        for name, ids in self._ids.items():
            kind = CARRIED[name]
            for some in lots(ids):
                theirs = live(kind, club_id).where(kind.table.c.id.in_(some))
                rows = self._connection.execute(theirs)
                records = [record_from(kind, row) for row in rows]
                named = [list(kind.leaning.on(record.body)) for record in records]
                every = chain.from_iterable(named)
                targets = hold_targets(self._connection, records, every)
                faults: list[Fault] = []
                for record, references in zip(records, named, strict=True):
                    faults += unresolved(record, references, targets)
                if faults:
                    raise Faulty(faults[:_MOST_CONFLICTS])

    def _way_in(self) -> tuple[str, str]:
        members = MEMBERS.table.c
        stewards = live(MEMBERS, self._head["club_id"]).where(members.role == "steward")
        oldest_first = stewards.order_by(members.created_at, members.id)
        row = self._connection.execute(oldest_first).first()
        if row is None:
            raise _unsound("it has no steward, so that nobody could get in", "/records")
        steward = steward_of(row.club_id, row.id)
        text = first_token(self._writing, steward, "first token after the move")
        return row.id, text


class _unless_twice:  # noqa: N801 - read as words in a with
    """Turns what the database says of a row that is there already, or lies beneath
    nothing, into the fault it is.
    """

    def __init__(self, one: str) -> None:
        self._one = one

    def __enter__(self) -> None:
        return None

    def __exit__(
        self, _type: object, error: BaseException | None, _traceback: object
    ) -> None:
        if isinstance(error, IntegrityError):
            message = (
                f"a {self._one} is in it twice, is here already, or its parent is"
                " missing"
            )
            raise _unsound(message, "/records") from error


def _sound(element: Any, kind: Any, pointer: str) -> Any:
    """Return an element as a ``kind``; a name that was on record before it was looked
    at so closely stays.
    """
    try:
        return convert(element, kind, words=TRADE_WORDS)
    except Faulty as faulty:
        if all(one.code == UNFIT for one in faulty.faults):
            return msgspec.convert(element, kind)
        moved = [
            msgspec.structs.replace(one, pointer=f"{pointer}{one.pointer or ''}")
            for one in faulty.faults
        ]
        raise Faulty(moved) from faulty


def _text(body: dict[str, Any] | None) -> str | None:
    if body is None:
        return None
    return msgspec.json.encode(body).decode()


def _unsound(message: str, pointer: str) -> Faulty:
    fault = Fault(
        code="unsound",
        message=message,
        pointer=pointer,
    )
    return Faulty([fault])
