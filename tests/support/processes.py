"""What this machine runs: as /proc tells it."""

import os
from collections.abc import Iterator
from pathlib import Path

_ENDED = {"Z", "X"}


def runs(process_id: int) -> bool:
    """Tell whether a process is there and has not ended."""
    fields = _fields(process_id)
    return bool(fields) and fields[0] not in _ENDED


def stands_still(process_id: int) -> bool:
    """Tell whether a process that was told to stop has: from then on it does nothing,
    and starts nobody.
    """
    return _fields(process_id)[:1] == ["T"]


def children_of(process_id: int) -> list[int]:
    """Return the ids of a process's children that run."""
    return [
        one for one in _all() if runs(one) and _fields(one)[1:2] == [str(process_id)]
    ]


def of_session(session_id: int) -> list[int]:
    """Return the ids of all that runs in a session: whatever its first process started,
    and it too.
    """
    return [
        one for one in _all() if runs(one) and _fields(one)[3:4] == [str(session_id)]
    ]


def resident_bytes(process_id: int) -> int:
    """Return how much memory of the machine a process takes."""
    pages = int(Path(f"/proc/{process_id}/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE")


def _all() -> Iterator[int]:
    return (
        int(entry.name) for entry in Path("/proc").iterdir() if entry.name.isdigit()
    )


def _fields(process_id: int) -> list[str]:
    """Return what /proc says of a process from its state on: state, parent, group,
    session …; nothing if it is gone.
    """
    try:
        return Path(f"/proc/{process_id}/stat").read_text().rpartition(")")[2].split()
    except (FileNotFoundError, ProcessLookupError):
        return []
