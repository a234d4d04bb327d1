"""What time it is: never before the newest moment on record, whatever the clock says.

The computer in a hall may have a clock that starts anew whenever it was without power,
and is set right an hour later. Nothing may be put down as older than what is on record;
and where the clock jumps far ahead, what is kept for a time is kept on, since nobody
knows which of the two times was right. Nothing but the clock tells a jump from a
computer that was in a cupboard between two shows, so that a jump heals by itself.
"""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import NamedTuple

from sqlalchemy import Connection, func, select, update

from standage.registry.database.engine import Database
from standage.registry.database.tables import (
    clock,
    clubs,
    erasures,
    history,
    idempotency,
    list_imports,
    revisions,
    sessions,
)
from standage.registry.database.upserts import insert_into

FARTHEST_STEP = timedelta(days=30)
"""A clock that goes further ahead than this between two looks has jumped."""
STEADY_AFTER = timedelta(hours=24)
"""A jump is over where the clock has run on for this long."""
_SEEN_RUNNING = timedelta(hours=1)
"""Where the clock ran on for this long, and was later still at the next start, the next
jump begins from there.
"""
_FOLLOWING = timedelta(microseconds=1)
_ROW = "clock"


class Jump(NamedTuple):
    """That the clock went far ahead: from when, and to when."""

    before: datetime
    after: datetime


def utc_now() -> datetime:
    """Return what the computer's clock says."""
    return datetime.now(UTC)


class SteadyClock:
    """A clock that does not go back behind what is on record in a database, by any
    process.
    """

    def __init__(self, reading: Callable[[], datetime], database: Database) -> None:
        self._reading = reading
        self._database = database

    def __call__(self) -> datetime:
        """Return what time it is, as far as this process knows what is on record."""
        says = self._reading()
        newest = self._database.newest_moment or says
        self._database.clock_is_behind = max(newest - says, timedelta(0))
        return max(says, newest)

    def look(self) -> None:
        """Look for the newest moment in the whole database."""
        with self._database.read() as connection:
            self._note(newest_on_record(connection))

    def within(self, connection: Connection, club_id: str) -> datetime:
        """Return what time it is for a change in a transaction, after whatever is in
        the club's history by now.

        Where the clock is behind, each change comes a little later than the one before
        it, so that their order stays.
        """
        mine = select(func.max(history.c.at)).where(history.c.club_id == club_id)
        self._note(connection.scalar(mine))
        following = self()
        if self._database.clock_is_behind:
            following += _FOLLOWING
        self._note(following)
        return following

    def _note(self, moment: datetime | None) -> None:
        newest = self._database.newest_moment
        if moment is not None and (newest is None or moment > newest):
            self._database.newest_moment = moment


def now_of(database: Database) -> datetime:
    """Return what time it is, after all that is on record in a database."""
    steady = SteadyClock(utc_now, database)
    steady.look()
    return steady()


def newest_on_record(connection: Connection) -> datetime | None:
    """Return the newest moment at which anything was put down in the database; None
    where nothing was.
    """
    of_a_club = (
        select(func.max(history.c.at))
        .where(history.c.club_id == clubs.c.id)
        .scalar_subquery()
    )
    every = [
        select(func.max(of_a_club)).select_from(clubs),
        *(
            select(func.max(column))
            for column in (
                func.coalesce(
                    clock.c.jumped_from, clock.c.noted_at
                ),  # nobody knows yet whether a jump was right
                *(
                    erasures.c.at,
                    idempotency.c.created_at,
                    revisions.c.at,
                    sessions.c.last_used_at,
                    list_imports.c.created_at,
                ),
            )
        ),
    ]
    found = [connection.scalar(one) for one in every]
    return max((moment for moment in found if moment is not None), default=None)


def note_clock(connection: Connection, now: datetime) -> Jump | None:
    """Put down what time it is, and return the jump that is not over yet; to be asked
    at every start and every hour.
    """
    held = select(clock).with_for_update()
    row = connection.execute(held).first()
    if row is None:
        noted_at = newest_on_record(connection) or now
        first = insert_into(connection, clock).values(id=_ROW, noted_at=noted_at)
        # several processes start at once
        connection.execute(first.on_conflict_do_nothing())
        row = connection.execute(held).one()
    jump = _jump_after(
        _jump_noted(row.jumped_from, row.jumped_at), noted_at=row.noted_at, now=now
    )
    columns: dict[str, datetime | None] = {
        "noted_at": now,
        "jumped_from": None,
        "jumped_at": None,
    }
    if jump is not None:
        columns |= {"jumped_from": jump.before, "jumped_at": jump.after}
    connection.execute(update(clock).values(columns))
    return jump


def _jump_after(jump: Jump | None, *, noted_at: datetime, now: datetime) -> Jump | None:
    """Return the jump that is not over, from the one that was not when the clock was
    noted last.
    """
    if now - noted_at > FARTHEST_STEP:
        if jump is None or noted_at - jump.after >= _SEEN_RUNNING:
            return Jump(noted_at, now)
        return Jump(jump.before, now)
    if jump is None or now < jump.after or now - jump.after >= STEADY_AFTER:
        return None  # none, one that was set right, or one that was right itself
    return jump


def clock_is_right(connection: Connection, now: datetime) -> None:
    """Put down that somebody has looked at the clock and it is right: a jump is
    over.
    """
    note_clock(connection, now)
    no_jump = update(clock).values(jumped_from=None, jumped_at=None)
    connection.execute(no_jump)


def jump_of(connection: Connection) -> Jump | None:
    """Return the jump of the clock that is not over yet."""
    row = connection.execute(select(clock.c.jumped_from, clock.c.jumped_at)).first()
    if row is None:
        return None
    return _jump_noted(row.jumped_from, row.jumped_at)


def keeping_moment(connection: Connection, now: datetime) -> datetime:
    """Return the moment by which to reckon how long something was kept: the one before
    a jump that is not over.
    """
    row = connection.execute(select(clock)).first()
    if row is None:
        return now
    last: datetime = row.noted_at
    jump = _jump_after(
        _jump_noted(row.jumped_from, row.jumped_at), noted_at=last, now=now
    )
    if jump is None:
        return now
    return jump.before


def _jump_noted(before: datetime | None, after: datetime | None) -> Jump | None:
    if before is None or after is None:
        return None
    return Jump(before, after)
