"""The list of erasures, which is kept outside the database and outside its backups: ids
and times, no names.

A backup that is put back brings back whoever was erased after it was made; ``replay``
erases them again.
"""

import os
from collections.abc import Iterable
from datetime import datetime, timedelta
from pathlib import Path

import msgspec

from standage.registry.database.durable_files import sync_folder
from standage.registry.forgetting.erasing import Erasing
from standage.shapes.refusals import Unready

BACKUPS_KEPT_FOR = timedelta(days=30)
"""Backups older than this are to be thrown away; then no backup holds whoever was
erased before.
"""


class Erasure(msgspec.Struct, frozen=True, kw_only=True):
    """That a member was erased."""

    club_id: str
    member_id: str
    at: datetime


def append(file: Path | None, erasure: Erasure) -> None:
    """Put an erasure down, so that it is on the disk when this returns.

    Raises ``Unready`` where there is no such file to be had.
    """
    if file is None:
        raise Unready(
            "whoever runs the service must say in STANDAGE_ERASURES_FILE where the list"
            " of erasures is kept"
        )
    line = msgspec.json.encode(erasure) + b"\n"
    try:
        torn = file.exists() and file.read_bytes()[-1:] not in {b"", b"\n"}
        kept = os.open(file, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
        try:
            os.write(kept, (b"\n" if torn else b"") + line)
            os.fsync(kept)
        finally:
            os.close(kept)
        sync_folder(file.parent)
    except OSError as error:
        raise Unready(
            "the list of erasures cannot be written; nobody was erased"
        ) from error


def exists(file: Path | None) -> bool:
    """Tell whether there is a list: where nobody was ever erased there is none."""
    if file is None:
        return False
    return file.exists()


def read(file: Path | None) -> list[Erasure]:
    """Return the list, oldest first; nothing where there is none. A line torn by a
    power cut is left out.

    Raises ``Unready`` where it is there and cannot be read.
    """
    if file is None or not file.exists():
        return []
    try:
        kept = file.read_bytes()
    except OSError as error:
        raise Unready(
            f"the list of erasures, {file}, cannot be read; nothing was changed"
        ) from error
    found = []
    for line in kept.splitlines():
        try:
            found.append(msgspec.json.decode(line, type=Erasure))
        except msgspec.DecodeError:
            continue
    return found


def replay(writing: Erasing, erasures: Iterable[Erasure]) -> int:
    """Erase everybody again who is on the list; return how many there were to erase."""
    # once each, however often the list names them
    listed = dict.fromkeys((one.club_id, one.member_id) for one in erasures)
    erased = 0
    for club_id, member_id in listed:
        erased += writing.erase_again(club_id, member_id)
    return erased
