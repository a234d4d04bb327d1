"""What is kept for a while and may name a member: answers, files taken in, changes that
were refused, and whatever is kept for the member alone.
"""

import zlib
from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, delete, select

from standage.registry.database.tables import (
    erasures,
    history,
    idempotency,
    list_import_rows,
    list_imports,
    metadata,
)
from standage.registry.records.kinds import KINDS
from standage.registry.writing.names_struck import Struck
from standage.registry.writing.refused_changes import forget_refused_about


def forget_traces(
    connection: Connection, club_id: str, member_id: str, words: Struck
) -> None:
    """Delete what is kept for a while where a member's id, name or contact stands in
    it.
    """
    _forget_answers(
        connection,
        club_id,
        member_id,
        words,
    )
    _forget_imports(connection, club_id, words)
    forget_refused_about(
        connection,
        club_id,
        member_id,
        words,
    )
    _forget_what_is_kept_for(connection, member_id)


def _forget_what_is_kept_for(connection: Connection, member_id: str) -> None:
    """Delete the member's rows of every table that is neither a kind's nor tells what
    was done.
    """
    kept_apart = {history, erasures}
    kept_apart |= {kind.table for kind in KINDS.values()}
    for table in metadata.sorted_tables:
        if "member_id" not in table.c or table in kept_apart:
            continue
        mine = table.c.member_id == member_id
        _delete_beneath(connection, table, mine)
        connection.execute(delete(table).where(mine))


def _delete_beneath(
    connection: Connection, table: Any, wanted: ColumnElement[bool]
) -> None:
    """Delete the rows of other tables that refer to those of a table."""
    for other in metadata.sorted_tables:
        for key in other.foreign_keys:
            if key.column.table is not table:
                continue
            those = select(key.column).where(wanted)
            refers = key.parent.in_(those)
            connection.execute(delete(other).where(refers))


def _forget_answers(
    connection: Connection, club_id: str, member_id: str, words: Struck
) -> None:
    """Delete the answers kept for repeated requests in which the member occurs."""
    has_answer = idempotency.c.body.is_not(None)
    rows = select(idempotency).where(idempotency.c.club_id == club_id, has_answer)
    for row in connection.execute(rows).all():
        body = bytes(row.body).decode()
        text = f"{row.headers}{body}"
        if member_id in text or words.stands_in(text):
            is_it = _is(row)
            connection.execute(delete(idempotency).where(*is_it))


def _is(row: Row[Any]) -> list[ColumnElement[bool]]:
    names = ("club_id", "member_id", "path", "key")
    return [idempotency.c[name] == getattr(row, name) for name in names]


def _forget_imports(connection: Connection, club_id: str, words: Struck) -> None:
    """Delete what is kept of files that were taken in, by anybody, in which the name or
    the contact stands.

    It may stand in what was made of a row alone: there a row is beside the vehicle that
    it would change.
    """
    theirs = list_imports.c.club_id == club_id
    heads = select(list_imports.c.id, list_imports.c.head, list_imports.c.sheet)
    rows = select(list_import_rows.c.import_id, list_import_rows.c.content)
    is_of = list_imports.c.id == list_import_rows.c.import_id
    found: set[str] = set()
    for row in connection.execute(heads.where(theirs)):
        sheet = zlib.decompress(row.sheet).decode()
        if words.stands_in(row.head + sheet):
            found.add(row.id)
    for of_import in connection.execute(rows.join(list_imports, is_of).where(theirs)):
        if words.stands_in(of_import.content):
            found.add(of_import.import_id)
    ids = sorted(found)
    # rows first: they refer to their import
    its_rows = list_import_rows.c.import_id.in_(ids)
    connection.execute(delete(list_import_rows).where(its_rows))
    is_one = list_imports.c.id.in_(ids)
    connection.execute(delete(list_imports).where(is_one))
