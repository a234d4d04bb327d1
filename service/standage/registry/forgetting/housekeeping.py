"""What is done every hour so that nothing is kept longer than it is meant to be."""

import logging
from datetime import datetime

from standage.registry.database.engine import Database
from standage.registry.database.moments import note_clock
from standage.registry.database.wiping import is_to_be_wiped, wipe
from standage.registry.forgetting.erasing import Erasing
from standage.registry.forgetting.purging import purge
from standage.registry.people.attempts import forget_old_attempts
from standage.registry.people.sessions import forget_ended_sessions
from standage.registry.writing.answers import forget_old_answers
from standage.registry.writing.list_imports import forget_expired
from standage.registry.writing.refused_changes import forget_old_refused

log = logging.getLogger(__name__)


def tidy(database: Database, now: datetime) -> None:
    """Forget old answers and attempts, what has expired, records deleted long ago, and
    the erased in the files.

    Each in a transaction of its own. PostgreSQL's files are not wiped: its tables would
    be shut meanwhile. What is old only by a clock that has jumped ahead is kept on.
    """
    with database.write() as connection:
        jump = note_clock(connection, now)
    if jump is not None:
        log.warning(
            "the clock went ahead from %s to %s: nothing is thrown away for its"
            " age yet",
            *jump,
        )
    passing = (
        forget_old_answers,
        forget_old_refused,
        forget_expired,
        forget_ended_sessions,
        forget_old_attempts,
    )
    for step in (purge, *passing):
        with database.write() as connection:
            step(Erasing(connection, now))
    if database.dialect == "sqlite" and is_to_be_wiped(database):
        wipe(database, now)
