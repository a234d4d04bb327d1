"""Whether requests are let through to the database: once it is as the service needs it,
and never to a damaged one.
"""

from threading import Lock

from standage.registry.database.engine import Database
from standage.registry.database.migrate import prepare, require_sound
from standage.shapes.refusals import Busy, Unready


class Gate:
    """Lets requests through once the database is as the service needs it; until then it
    looks again each time.
    """

    def __init__(self, database: Database) -> None:
        self._database = database
        self._damage: Unready | None = None
        self._lock = Lock()
        self.is_open = False

    def require(self) -> None:
        """Raise ``Unready`` or ``Busy`` with the reason where the database cannot be
        used yet.
        """
        prepare(self._database)
        with self._lock:
            if self._damage is not None:
                raise Unready(str(self._damage))
            self.is_open = True

    def look_through(self) -> None:
        """Look through the whole of a SQLite file. Where it is damaged, nobody is let
        through until the next start.

        Raises ``Unready`` with the reason where it is.
        """
        try:
            with self._database.read_anew() as connection:
                require_sound(connection)
        except Busy:
            return
        except Unready as damage:
            with self._lock:
                self._damage, self.is_open = damage, False
            raise
