"""A program that changes a database's tables, or restores it, and dies, by SIGKILL, at
the statement that it is told.

A line is a JSON object: the database's address, whether up, down or back, to which
revision or from which backup, and the number of the statement. Each is done by a
process of its own; the answer says whether it died or came to its end, and at which
statement.
"""

import json
import os
import signal
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, event

from standage.registry.database.engine import Database, open_database
from standage.registry.database.migrate import downgrade, migrate
from standage.registry.moving.restore import restore

BEFORE_COMMIT = -1
NEVER = 0


def _restore(database: Database, aim: str) -> None:
    restore(
        database,
        Path(aim),
        datetime.now(UTC),
        keep_present_in=Path(f"{aim}.{os.getpid()}.kept"),
    )


WAYS: dict[str, Callable[[Database, str], None]] = {
    "up": migrate,
    "down": downgrade,
    "back": _restore,
}


def change(order: dict[str, Any], counting: int) -> None:
    """Do what is asked, as far as the statement at which to die; put down how many were
    reached.
    """
    asked = 0

    def die() -> None:
        os.write(counting, str(asked).encode())
        os.kill(os.getpid(), signal.SIGKILL)

    def count(*_: object) -> None:
        nonlocal asked
        asked += 1
        if asked == order["statement"]:
            die()

    def commit(*_: object) -> None:
        if order["statement"] == BEFORE_COMMIT:
            die()

    event.listen(Engine, "before_cursor_execute", count)
    event.listen(Engine, "commit", commit)
    database = open_database(order["url"])
    WAYS[order["way"]](database, order["aim"])
    database.dispose()
    os.write(counting, str(asked).encode())


def main() -> None:
    """Fork at each line until the input ends."""
    for line in sys.stdin:
        counted, counting = os.pipe()
        process_id = os.fork()
        if process_id == 0:
            change(json.loads(line), counting)
            os._exit(0)
        os.close(counting)
        _, status = os.waitpid(process_id, 0)
        how = "died" if os.WIFSIGNALED(status) else "ended" if status == 0 else "failed"
        print(how, (os.read(counted, 20) or b"0").decode(), flush=True)
        os.close(counted)


if __name__ == "__main__":
    main()
