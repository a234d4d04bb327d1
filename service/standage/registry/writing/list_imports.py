"""Lists that were sent in: as they were read, what each row would do, and until when
they are kept. Of which kind a list is, its name says: ``kind`` is that of its records.
"""

from collections.abc import Iterable, Iterator, Sequence
from datetime import timedelta
from typing import Any, Literal, TypeVar

import msgspec
from sqlalchemy import Connection, Row, delete, insert, select, update

from standage.registry.database.moments import keeping_moment
from standage.registry.database.tables import list_import_rows as rows_table
from standage.registry.database.tables import list_imports as imports_table
from standage.registry.records.reading import Reading
from standage.registry.records.record import Permit, entity_tag
from standage.registry.writing.store import Writing, new_id
from standage.shapes.refusals import Absent, Forbidden

PREVIEW_KEPT = timedelta(hours=24)
COMMITTED_KEPT = timedelta(days=30)
State = Literal["preview", "committed", "undone"]
_LOT = 250
T = TypeVar("T")


class KeptImport(msgspec.Struct, frozen=True, kw_only=True):
    """A file that was sent in; ``head`` is what is told of it, as JSON text."""

    id: str
    kind: str
    club_id: str
    member_id: str
    version: int
    state: State
    created_at: Any
    expires_at: Any
    head: str

    @property
    def etag(self) -> str:
        """The strong entity tag of this import as it stands."""
        return entity_tag(self.version, self)


_COLUMNS = [imports_table.c[name] for name in KeptImport.__struct_fields__]


class KeptRow(msgspec.Struct, frozen=True, kw_only=True):
    """What becomes of one row; ``content`` is all that is told of it, as JSON text."""

    sheet_row: int
    outcome: str
    content: str
    record_id: str | None = None
    record_version: int | None = None


class RecordText(msgspec.Struct, frozen=True, kw_only=True):
    """A record, its body still as text; it may have no owner."""

    id: str
    version: int
    body: str
    owner_id: str = ""


class Asked(msgspec.Struct, frozen=True, kw_only=True):
    """Which imports are wanted: of one state, those ``before`` one of them, so many."""

    state: State | None = None
    before: str | None = None
    limit: int


class Sort(msgspec.Struct, frozen=True, kw_only=True):
    """One sort of import: of which kind its records are, and what it is called."""

    kind: str
    called: str


def find(
    reading: Reading,
    permit: Permit,
    import_id: str,
    sort: Sort,
    *,
    now: Any,
    hold: bool = False,
) -> KeptImport:
    """Return the import; raises ``Absent`` where there is none any more, ``Forbidden``
    where it is another's.
    """
    wanted = select(*_COLUMNS).where(
        imports_table.c.id == import_id,
        imports_table.c.kind == sort.kind,
        imports_table.c.club_id == permit.principal.club_id,
        imports_table.c.expires_at > keeping_moment(reading.connection, now),
    )
    row = reading.connection.execute(
        wanted.with_for_update() if hold else wanted
    ).first()
    if row is None:
        raise Absent(f"there is no such {sort.called}")
    if permit.whose == "own" and row.member_id != permit.principal.member_id:
        raise Forbidden(f"this {sort.called} is not yours")
    return _import_from(row)


def listed(
    reading: Reading,
    permit: Permit,
    sort: Sort,
    asked: Asked,
    *,
    now: Any,
) -> list[KeptImport]:
    """Return the imports of one sort that are kept still, newest first, as far as they
    may be seen.

    Their ids tell the order in which they came.
    """
    wanted = select(*_COLUMNS).where(
        imports_table.c.club_id == permit.principal.club_id,
        imports_table.c.kind == sort.kind,
        imports_table.c.expires_at > keeping_moment(reading.connection, now),
    )
    if permit.whose == "own":
        wanted = wanted.where(imports_table.c.member_id == permit.principal.member_id)
    if asked.state is not None:
        wanted = wanted.where(imports_table.c.state == asked.state)
    if asked.before is not None:
        wanted = wanted.where(imports_table.c.id < asked.before)
    rows = reading.connection.execute(
        wanted.order_by(imports_table.c.id.desc()).limit(asked.limit)
    )
    return [_import_from(row) for row in rows]


def in_lots(things: Sequence[Any]) -> tuple[bytes, ...]:
    """Return things in lots of bytes: what goes from process to process lot by lot
    holds nobody else up for long.
    """
    lots: list[bytes] = []
    for start in range(0, len(things), _LOT):
        lot = things[start : start + _LOT]
        lots.append(msgspec.msgpack.encode(lot))
    return tuple(lots)


def from_lots(lots: Iterable[bytes], type_: type[T]) -> Iterator[T]:
    """Yield the things that came in lots, in their order."""
    for lot in lots:
        yield from msgspec.msgpack.decode(lot, type=list[type_])  # type: ignore[valid-type]  # known when it runs


class Looked(msgspec.Struct, frozen=True, kw_only=True):
    """A file once it was looked at, ready to be kept: ``head`` is what is told of it,
    as JSON text.
    """

    head: str
    sheet: bytes
    wanted: bytes
    rows: tuple[bytes, ...]
    """Lots of ``KeptRow``."""


def keep(writing: Writing, permit: Permit, sort: Sort, looked: Looked) -> KeptImport:
    """Keep a new import; return it."""
    kept = KeptImport(
        id=new_id(),
        kind=sort.kind,
        club_id=permit.principal.club_id,
        member_id=permit.principal.member_id,
        version=1,
        state="preview",
        created_at=writing.now,
        expires_at=writing.now + PREVIEW_KEPT,
        head=looked.head,
    )
    values = {
        **msgspec.structs.asdict(kept),
        "sheet": looked.sheet,
        "wanted": looked.wanted,
    }
    writing.connection.execute(insert(imports_table), values)
    _keep_rows(writing.connection, kept.id, looked.rows)
    return kept


def preview_anew(writing: Writing, before: KeptImport, looked: Looked) -> KeptImport:
    """Put another preview in place of the one there was; it is kept for as long
    again.
    """
    after = changed(
        writing,
        before,
        head=looked.head,
        state="preview",
    )
    mine = update(imports_table).where(imports_table.c.id == before.id)
    writing.connection.execute(mine.values(wanted=looked.wanted))
    writing.connection.execute(
        delete(rows_table).where(rows_table.c.import_id == before.id)
    )
    _keep_rows(writing.connection, before.id, looked.rows)
    return after


def changed(
    writing: Writing, before: KeptImport, *, head: str, state: State
) -> KeptImport:
    """Keep an import in another state, and for as long as that is kept."""
    kept_for = PREVIEW_KEPT if state == "preview" else COMMITTED_KEPT
    after = msgspec.structs.replace(
        before,
        version=before.version + 1,
        state=state,
        head=head,
        expires_at=writing.now + kept_for,
    )
    mine = update(imports_table).where(imports_table.c.id == before.id)
    values = {
        name: getattr(after, name)
        for name in ("version", "state", "head", "expires_at")
    }
    writing.connection.execute(mine.values(values))
    return after


def undone_by_history(writing: Writing, club_id: str, action_id: str) -> None:
    """Put down that an import is undone, where history took back the action by which it
    was carried out.
    """
    carried_out = select(*_COLUMNS).where(
        imports_table.c.club_id == club_id,
        imports_table.c.state == "committed",
        imports_table.c.head.contains(f'"action_id":"{action_id}"', autoescape=True),
    )
    row = writing.connection.execute(carried_out.with_for_update()).first()
    if row is not None:
        changed(
            writing,
            _import_from(row),
            head=row.head,
            state="undone",
        )


def _keep_rows(connection: Connection, import_id: str, lots: Iterable[bytes]) -> None:
    for lot in lots:
        rows = msgspec.msgpack.decode(lot, type=list[KeptRow])
        connection.execute(
            insert(rows_table),
            [{"import_id": import_id, **_with_id(one)} for one in rows],
        )


def _with_id(row: KeptRow) -> dict[str, Any]:
    """Return a row as it is kept: one that makes a record has its id from the
    start.
    """
    made = {"record_id": new_id()} if row.outcome == "create" else {}
    return msgspec.structs.asdict(row) | made


def sheet_of(reading: Reading, kept: KeptImport) -> bytes:
    """Return the sheet as it was read."""
    sheet: bytes = reading.connection.execute(
        select(imports_table.c.sheet).where(imports_table.c.id == kept.id)
    ).one()[0]
    return sheet


def wanted_of(reading: Reading, kept: KeptImport) -> bytes | None:
    """Return what the rows name records by as it was kept; None of a file that was
    sent before that was.
    """
    kept_row = reading.connection.execute(
        select(imports_table.c.wanted).where(imports_table.c.id == kept.id)
    ).one()
    wanted: bytes | None = kept_row[0]
    return wanted


def rows_of(
    reading: Reading,
    kept: KeptImport,
    *,
    outcomes: Sequence[str] = (),
    after: int = 0,
    limit: int | None = None,
) -> list[KeptRow]:
    """Return the rows with such outcomes, those after a row, in order."""
    columns = [rows_table.c[name] for name in KeptRow.__struct_fields__]
    wanted = select(*columns).where(
        rows_table.c.import_id == kept.id, rows_table.c.sheet_row > after
    )
    if outcomes:
        wanted = wanted.where(rows_table.c.outcome.in_(outcomes))
    found = reading.connection.execute(
        wanted.order_by(rows_table.c.sheet_row).limit(limit)
    )
    return [KeptRow(**row._mapping) for row in found]  # noqa: SLF001 - Row's public way


def forget_expired(writing: Writing) -> int:
    """Delete the imports that are kept no longer, of every club; return how many."""
    expired = imports_table.c.expires_at <= keeping_moment(
        writing.connection, writing.now
    )
    old = select(imports_table.c.id).where(expired)
    writing.connection.execute(
        delete(rows_table).where(rows_table.c.import_id.in_(old))
    )
    return writing.connection.execute(delete(imports_table).where(expired)).rowcount


def _import_from(row: Row[Any]) -> KeptImport:
    return KeptImport(**row._mapping)  # noqa: SLF001 - Row's public way
