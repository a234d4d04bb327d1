"""What the commands that take a club out of a database and into another do and say."""

import json
import sys
from functools import partial
from pathlib import Path

from standage.exchange.json_parts import MOST_BYTES, parts
from standage.registry.database.engine import Database
from standage.registry.database.moments import now_of
from standage.registry.moving.club_arrival import Arrived, arrive
from standage.registry.moving.club_document import export_club
from standage.shapes.faults import Fault, Faulty
from standage.shapes.refusals import Refusal

_LOT = 64 * 1024


class BadDocument(Refusal):
    """A club's document cannot be written, or cannot be taken in; the message
    says why.
    """

    code = "bad_document"


def write_club(database: Database, club_id: str, file: Path) -> None:
    """Write a club's document into a new file, and say so. Raises ``Absent``,
    ``BadDocument``.
    """
    try:
        size = export_club(database, club_id, file)
    except FileExistsError as error:
        raise BadDocument(
            f"there is a file {file} already; it was left as it was. Choose another"
            " name"
        ) from error
    except OSError as error:
        raise BadDocument(f"{file} cannot be written: {error.strerror}") from error
    print(f"The club is in {file} ({size:,} bytes).", file=sys.stderr)
    if size > MOST_BYTES:
        print(
            f"That is more than import-club takes ({MOST_BYTES // 2**20} MB); move it"
            " by a backup.",
            file=sys.stderr,
        )


def take_club(database: Database, file: Path) -> None:
    """Take a club's document in, say so, and print its steward's new token. Raises
    ``BadDocument``, ``Unready``.
    """
    try:
        if file.stat().st_size > MOST_BYTES:
            raise BadDocument(
                f"{file} is longer than {MOST_BYTES // 2**20} MB; nothing of it was"
                " recorded"
            )
        with file.open("rb") as stream:
            arrived = arrive(
                database, parts(iter(partial(stream.read, _LOT), b"")), now_of(database)
            )
    except OSError as error:
        raise BadDocument(f"{file} cannot be read: {error.strerror}") from error
    except Faulty as faulty:
        told = "".join(f"\n  {_place(one)}{one.message}" for one in faulty.faults)
        raise BadDocument(f"nothing of {file} was recorded:{told}") from faulty
    _tell(arrived, database)
    print(
        json.dumps(
            {
                "club_id": arrived.club_id,
                "member_id": arrived.member_id,
                "token": arrived.token,
            }
        )
    )


def _tell(arrived: Arrived, database: Database) -> None:
    print(
        f"{arrived.records:,} records and {arrived.changes:,} changes came.",
        file=sys.stderr,
    )
    if not arrived.list_found:
        where = database.erasures_file or "STANDAGE_ERASURES_FILE is not set"
        print(
            f"There is no list of erasures ({where}). If members were erased since the"
            " document was written, they are back: erase them again.",
            file=sys.stderr,
        )
    tell_of_erased(arrived.erased_again)


def tell_of_erased(count: int) -> None:
    """Say how many members were erased again, and what is left to do, where there were
    any.
    """
    if count:
        print(
            f"Members in it who had been erased since are erased again ({count}); run:"
            " standage wipe",
            file=sys.stderr,
        )


def _place(fault: Fault) -> str:
    """Return where in a document a fault lies, as a person counts; a conflict's message
    says that itself.
    """
    _, part, number, *inner = [*(fault.pointer or "").split("/"), "", "", ""]
    if not number.isdecimal():
        return ""
    where = "/".join(filter(None, inner))
    return (
        f"{'record' if part == 'records' else 'change'}"
        f" {int(number) + 1}{where and f', {where}'}: "
    )
