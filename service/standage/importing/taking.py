"""An import carried out, all of it or its good rows, and undone again as one action."""

from collections.abc import Sequence
from typing import Any, Literal, TypeVar

import msgspec

from standage.exchange.cells import Cell, Row, Strange, letters, spread
from standage.exchange.headings import SheetMapping
from standage.exchange.rows import WHY, RowFault
from standage.exchange.values import shown_cell
from standage.importing.description import Described
from standage.importing.preview import Content, Head, Taken, digest, unpacked
from standage.registry.records.kinds import Kind
from standage.registry.records.record import ANY_VERSION, Permit, Record
from standage.registry.writing import list_imports
from standage.registry.writing.history import changes_of_action
from standage.registry.writing.list_imports import KeptImport, KeptRow
from standage.registry.writing.names_listed import listed
from standage.registry.writing.store import Writing
from standage.shapes.faults import Fault, Faulty
from standage.shapes.refusals import Outdated, OutOfTurn

Which = Literal["all", "good"]
_MOST_NAMED = 5
M = TypeVar("M", bound=SheetMapping)


def head_of(described: Described[M], kept: KeptImport) -> Head[M]:
    """Return what is told of an import."""
    return msgspec.json.decode(kept.head, type=Head[described.mapping])  # type: ignore[name-defined]  # known when it runs


def _anew(described: Described[M]) -> Outdated:
    return Outdated(
        f"{described.words.on_record} has changed since this preview: send the file"
        " again, look, then import"
    )


def commit(
    described: Described[M],
    writing: Writing,
    permit: Permit,
    import_id: str,
    which: Which,
) -> KeptImport:
    """Carry an import out in one transaction; done already in the same way, it stays as
    it is.

    Raises ``Absent``, ``Forbidden``, ``OutOfTurn``, ``Faulty`` where all rows are
    wanted and some are at fault and where there is none to take, ``Outdated`` where the
    records that the rows can mean are not those, or not as they were, when
    the preview was made.
    """
    writing.take_turn(permit.principal.club_id)
    kept = list_imports.find(
        writing, permit, import_id, described.sort, now=writing.now, hold=True
    )
    head = head_of(described, kept)
    if (
        kept.state == "committed"
        and head.taken is not None
        and head.taken.rows == which
    ):
        return kept
    if kept.state != "preview":
        raise OutOfTurn(f"this import is {kept.state} already")
    if which == "all" and head.counts.fault:
        raise Faulty([_at_fault(writing, kept, head.counts.fault)])
    if not head.counts.taken:
        raise Faulty([_nothing_to_take(head)])
    if not _is_as_seen(described, writing, kept, head):
        raise _anew(described)
    rows = list_imports.rows_of(writing, kept, outcomes=("create", "update"))
    _take(described, writing, permit, rows)
    counts = head.counts
    taken = Taken(
        rows=which,
        created=counts.create,
        updated=counts.update,
        unchanged=counts.unchanged,
        rejected=counts.fault,
        action_id=writing.action_id if rows else None,
    )
    told = msgspec.json.encode(msgspec.structs.replace(head, taken=taken)).decode()
    return list_imports.changed(writing, kept, head=told, state="committed")


def _is_as_seen(
    described: Described[M], writing: Writing, kept: KeptImport, head: Head[M]
) -> bool:
    """Tell whether the records that the rows can mean are the ones that they were
    judged by.

    Of a file that was sent before it was kept what rows can mean, nobody knows.
    """
    wanted = list_imports.wanted_of(writing, kept)
    if wanted is None:
        return False
    return digest(described.meant(writing, kept.club_id, wanted)) == head.seen


def _at_fault(writing: Writing, kept: KeptImport, count: int) -> Fault:
    first = list_imports.rows_of(
        writing, kept, outcomes=("fault",), limit=_MOST_NAMED + 1
    )
    where = listed([str(row.sheet_row) for row in first], most=_MOST_NAMED)
    which = f"row {where} is" if count == 1 else f"{count} rows ({where}) are"
    message = (
        f"{which} at fault: mend the file and send it again, or import the good rows"
        " only"
    )
    return Fault(code="rows_at_fault", message=message, pointer="/rows")


def _nothing_to_take(head: Head[M]) -> Fault:
    if head.counts.fault:
        message = (
            "every row is at fault, so none can be imported: mend the file, then send"
            " it again"
        )
    else:
        message = (
            "there is no row below the heading, so nothing can be imported: fill the"
            " list in, then send it again"
        )
    return Fault(code="nothing_to_take", message=message, pointer="/rows")


def _take(
    described: Described[M], writing: Writing, permit: Permit, rows: Sequence[KeptRow]
) -> None:
    kind = described.kind
    bodies = {
        row.record_id or "": _body(kind, row) for row in rows if row.outcome == "create"
    }
    writing.create_all(kind, permit, bodies)
    changed = [row for row in rows if row.outcome == "update"]
    held = writing.held(kind, permit, (row.record_id or "" for row in changed))
    if not all(_is_as_held(held, row) for row in changed):
        raise _anew(described)
    pairs = [(held[row.record_id or ""], _body(kind, row)) for row in changed]
    writing.change_all(kind, permit, pairs, if_match=ANY_VERSION)


def _body(kind: Kind[Any], row: KeptRow) -> Any:
    return _decoded(kind, _content(row).body)


def _decoded(kind: Kind[Any], body: msgspec.Raw) -> Any:
    return msgspec.json.decode(body, type=kind.body | None)


def _content(row: KeptRow) -> Content:
    return msgspec.json.decode(row.content, type=Content)


def _is_as_held(held: dict[str, Record], row: KeptRow) -> bool:
    record = held.get(row.record_id or "")
    if record is None:
        return False
    return record.version == row.record_version


def undo(
    described: Described[M], writing: Writing, permit: Permit, import_id: str
) -> KeptImport:
    """Take an import back as one action: what it made is deleted, what it changed is as
    it was before.

    Raises ``Absent``, ``Forbidden``, ``OutOfTurn``; ``Outdated`` where any of it was
    changed since, ``InUse`` where other records lean on what it made. Nothing is undone
    then.
    """
    kind = described.kind
    writing.take_turn(permit.principal.club_id)
    kept = list_imports.find(
        writing, permit, import_id, described.sort, now=writing.now, hold=True
    )
    head = head_of(described, kept)
    if kept.state != "committed":
        words = (
            "has been undone already"
            if kept.state == "undone"
            else "has not been carried out yet"
        )
        raise OutOfTurn(f"this import {words}")
    rows = list_imports.rows_of(writing, kept, outcomes=("create", "update"))
    held = writing.held(kind, permit, (row.record_id or "" for row in rows))
    _require_untouched(rows, held)
    action_id = None if head.taken is None else head.taken.action_id
    done = {} if action_id is None else _done_by(writing, kept, action_id)
    back = [
        (held[row.record_id or ""], _before(kind, row))
        for row in rows
        if row.outcome == "update"
    ]
    writing.change_all(
        kind,
        permit,
        back,
        if_match=ANY_VERSION,
        undoes=done,
    )
    gone = [held[row.record_id or ""] for row in rows if row.outcome == "create"]
    writing.remove_all(
        kind,
        permit,
        gone,
        if_match=ANY_VERSION,
        undoes=done,
    )
    return list_imports.changed(
        writing,
        kept,
        head=kept.head,
        state="undone",
    )


def _done_by(writing: Writing, kept: KeptImport, action_id: str) -> dict[str, str]:
    """Return the change that the import made of each record, by the record's id."""
    return {
        change.record_id: change.id
        for change in changes_of_action(writing.connection, kept.club_id, action_id)
    }


def _before(kind: Kind[Any], row: KeptRow) -> Any:
    return _decoded(kind, _content(row).before)


def _require_untouched(rows: Sequence[KeptRow], held: dict[str, Record]) -> None:
    touched = []
    for row in rows:
        record = held.get(row.record_id or "")
        if record is None or record.version != (row.record_version or 0) + 1:
            touched.append(_content(row).told.name or f"row {row.sheet_row}")
    if touched:
        names = listed(touched, most=_MOST_NAMED)
        raise Outdated(
            f"changed or deleted since the import: {names}. Nothing was undone; change"
            " those by hand"
        )


class Rejects(msgspec.Struct, frozen=True, kw_only=True):
    """What a file of rejected rows is made of."""

    sheet: bytes
    header_row: int
    rows: tuple[KeptRow, ...]


def rejected(rejects: Rejects) -> list[list[str | float | None]]:
    """Return the rows that were not taken as they came, with their heading and a last
    column that says why.
    """
    header_row = rejects.header_row
    sheet, _ = spread(unpacked(rejects.sheet), below=header_row)
    heads = sheet.rows[header_row - 1] if header_row else ()
    width = max(map(len, sheet.rows))
    titles = [
        *_padded(tuple(_title(heads, at) for at in range(width)), width),
        WHY.capitalize(),
    ]
    lines = [
        [*_padded(sheet.rows[row.sheet_row - 1], width), _why(row)]
        for row in rejects.rows
    ]
    return [titles, *lines]


def _title(heads: Row, at: int) -> Cell:
    cell = heads[at] if at < len(heads) else None
    if cell:
        return cell
    return f"Column {letters(at + 1)}"


def _padded(row: Row, width: int) -> list[str | float | None]:
    missing = [None] * (width - len(row))
    return [*map(_plain, row), *missing]


def _plain(cell: Cell) -> str | float | None:
    if isinstance(cell, Strange):
        return shown_cell(cell)
    return cell


def _why(row: KeptRow) -> str:
    faults = _content(row).told.faults
    return "; ".join(map(_worded, faults))


def _worded(fault: RowFault) -> str:
    where = fault.header or "the row"
    if not fault.header and fault.letters:
        where = f"column {fault.letters}"
    value = f" “{fault.value}”" if fault.value else ""
    why = f"{fault.message} ({fault.mend})"
    return f"{where}{value}: {why}"
