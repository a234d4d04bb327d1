"""A database made from a backup: all of it in one transaction, and nobody gets in as
before.
"""

from collections.abc import Iterable, Iterator
from datetime import datetime
from itertools import groupby
from operator import itemgetter
from pathlib import Path
from typing import NamedTuple

from sqlalchemy import Connection, delete, func, insert, inspect, select, update

from standage.registry.database import tables
from standage.registry.database.engine import Database
from standage.registry.database.lots import lots
from standage.registry.database.migrate import (
    REVISION_TABLE,
    knows,
    one_at_a_time,
    require_sound,
    require_sound_references,
    revision_of,
    upgrade_within,
)
from standage.registry.database.moments import newest_on_record, note_clock
from standage.registry.forgetting.erasing import Erasing
from standage.registry.forgetting.erasures import exists, read, replay
from standage.registry.moving.backup import FORGOTTEN, as_selectable, back_up_within
from standage.registry.moving.backup_file import (
    BadBackup,
    Head,
    Row,
    Table,
    check,
    read_head,
    read_rows,
)
from standage.registry.people.first_tokens import first_token, steward_of
from standage.registry.people.rights_left import (
    Rights,
    lower_again,
    rights_left,
    stewards_of,
)
from standage.registry.records.kind import SECRET_COLUMN
from standage.registry.records.kinds import KINDS, MEMBERS
from standage.registry.records.reading import live, record_from
from standage.registry.records.record import ANY_VERSION, Permit, Principal, Record
from standage.registry.writing.store import Writing

_SHOWN_ONCE = [kind for kind in KINDS.values() if kind.life.shown_once]
"""Tokens, invitations, links: whatever lets somebody in who holds its secret."""


class _Opened(NamedTuple):
    """A way in as it is printed, and who may now do everything in the club."""

    printed: "WayIn"
    principal: Principal


class WayIn(NamedTuple):
    """The one token that lets anybody into a club after a restore: its oldest
    steward's.
    """

    club_id: str
    member_id: str
    token: str


class Restored(NamedTuple):
    """What was restored: when the backup was made, how many rows each table had in it,
    and a way in for each club.

    ``stewards`` are who is steward now, ``lowered`` who was one in the backup and is
    none, since the database that was replaced had taken it from them; both by name.
    ``erased_again`` is how many members were in it who had been erased since, so far as
    the list of erasures was found.
    """

    made_at: datetime
    rows: dict[str, int]
    ways_in: list[WayIn]
    stewards: list[str]
    lowered: list[str]
    erased_again: int
    list_found: bool


def restore(
    database: Database,
    path: Path,
    now: datetime,
    *,
    keep_present_in: Path | None = None,
) -> Restored:
    """Make the database what the backup at ``path`` holds, brought up to this version
    of the tables.

    A database that holds a club is only replaced where ``keep_present_in`` names a new
    file that it is backed up into first. No token, passphrase, session, invitation or
    share link works any more, and every kept answer is forgotten. Whoever is on the
    list of erasures is erased again, and whoever was deleted or lowered in the database
    that is replaced may do no more than that leaves them. Each club is given one new
    token of a steward. Whatever goes wrong, the database stays as it was.

    Raises ``BadBackup`` where the file cannot be restored from or the database holds
    something, ``Busy`` where it is in use, ``Unready`` where it cannot be used.
    """
    head = _usable_head(path)
    rows = check(path)
    with database.alone() as connection:
        one_at_a_time(connection)
        taken_away = rights_left(connection)
        _clear(connection, keep_present_in, now)
        upgrade_within(connection, head.revision)
        _load(connection, head, path)
        upgrade_within(connection)
        now = max(now, newest_on_record(connection) or now)
        note_clock(connection, now)
        erased_again = replay(Erasing(connection, now), read(database.erasures_file))
        ways_in = list(_ways_in_anew(connection, now, taken_away))
        lowered = [
            name
            for way_in in ways_in
            for name in lower_again(connection, now, way_in.principal, taken_away)
        ]
        stewards = [
            name
            for way_in in ways_in
            for name in stewards_of(connection, way_in.principal.club_id)
        ]
        require_sound_references(connection)
        require_sound(connection)
    return Restored(
        made_at=head.made_at,
        rows=rows,
        ways_in=[one.printed for one in ways_in],
        stewards=stewards,
        lowered=lowered,
        erased_again=erased_again,
        list_found=exists(database.erasures_file),
    )


def _usable_head(path: Path) -> Head:
    head = read_head(path)
    if not knows(head.revision):
        raise BadBackup(
            f"{path} was made by a newer version of Standage than this one (its tables"
            f" are of revision {head.revision}); install that version, then restore"
        )
    return head


def _clear(connection: Connection, keep_present_in: Path | None, now: datetime) -> None:
    """Drop every table of ours, having backed up what they hold, if anything."""
    there = set(inspect(connection).get_table_names())
    ours = there & (set(tables.metadata.tables) | {REVISION_TABLE})
    if "clubs" in ours:
        _hold(connection, ours)
        revision_of(connection)
        if connection.scalar(select(func.count()).select_from(tables.clubs)):
            if keep_present_in is None:
                raise BadBackup(
                    "the database holds a club already, and nothing was changed;"
                    " restore into a new database, or say --replace and a file to keep"
                    " the present contents in"
                )
            back_up_within(connection, keep_present_in, now)
    for table in reversed(tables.metadata.sorted_tables):
        if table.name in ours:
            connection.exec_driver_sql(f'DROP TABLE "{table.name}"')
    if REVISION_TABLE in ours:
        connection.exec_driver_sql(f'DROP TABLE "{REVISION_TABLE}"')


def _hold(connection: Connection, names: Iterable[str]) -> None:
    """Let nobody write between the backup of what is there and its end; SQLite has
    nobody else.
    """
    if connection.dialect.name == "postgresql":
        listed = ", ".join(f'"{name}"' for name in sorted(names))
        connection.exec_driver_sql(f"LOCK TABLE {listed} IN ACCESS EXCLUSIVE MODE")


def _load(connection: Connection, head: Head, path: Path) -> None:
    inspector = inspect(connection)
    for table in head.tables:
        there: set[str] = set()
        if inspector.has_table(table.name):
            there = {one["name"] for one in inspector.get_columns(table.name)}
        if there != {one.name for one in table.columns}:
            raise BadBackup(
                f"{path} has a table {table.name} that revision {head.revision} does"
                " not have like that"
            )
    for table, rows in groupby(read_rows(path), key=itemgetter(0)):
        for some in lots(row for _, row in rows):
            _insert(connection, table, some)


def _insert(connection: Connection, table: Table, rows: list[Row]) -> None:
    names = [one.name for one in table.columns]
    named = [dict(zip(names, row, strict=True)) for row in rows]
    connection.execute(insert(as_selectable(table)), named)


def _ways_in_anew(
    connection: Connection, now: datetime, taken_away: Rights
) -> Iterator[_Opened]:
    """Shut every way in that there was, and give each club one to begin with."""
    for table in FORGOTTEN:
        connection.execute(delete(table))
    clubs = tables.clubs
    standing = select(clubs.c.id).where(clubs.c.deleted_at.is_(None))
    issued = []
    for club_id in connection.scalars(standing.order_by(clubs.c.id)):
        steward = _oldest_steward(connection, club_id, taken_away)
        if steward is not None:
            opened = _way_in(Writing(connection, now), steward)
            issued.append(opened.principal.token_id)
            yield opened
    for kind in _SHOWN_ONCE:
        columns = kind.table.c
        others = update(kind.table).where(columns.id.not_in(issued))
        connection.execute(others.values({SECRET_COLUMN: None}))


def _way_in(writing: Writing, steward: Record) -> _Opened:
    """Issue a steward's new token and revoke all else by which the club can be seen,
    each with its row of history.
    """
    club_id = steward.club_id
    principal = steward_of(club_id, steward.id)
    permit = Permit(principal=principal, whose="club")
    old = [
        (kind, row.id)
        for kind in _SHOWN_ONCE
        for row in writing.connection.execute(live(kind, club_id))
    ]
    text = first_token(writing, principal, "first token after a restore")
    for kind, record_id in old:
        writing.remove(kind, permit, record_id, if_match=ANY_VERSION)
    return _Opened(
        WayIn(
            club_id=club_id,
            member_id=steward.id,
            token=text,
        ),
        principal,
    )


def _oldest_steward(
    connection: Connection, club_id: str, taken_away: Rights
) -> Record | None:
    """Return the oldest steward who still was one in what is replaced; where nobody
    was, the oldest of the backup.
    """
    table = MEMBERS.table
    found = (
        live(MEMBERS, club_id)
        .where(table.c.role == "steward")
        .order_by(table.c.created_at, table.c.id)
    )
    stewards = [record_from(MEMBERS, row) for row in connection.execute(found)]
    still = [
        one
        for one in stewards
        if taken_away.role_left(club_id, one.id, "steward") == "steward"
    ]
    return next(iter(still or stewards), None)
