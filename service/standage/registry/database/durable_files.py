"""Files that stay whatever happens: a new one is there whole or not at all, and nobody
but its owner may read it.
"""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """Give the name of a file beside ``path`` to be written; at the end it is called
    ``path``. Of one that was not finished nothing stays.

    Raises ``OSError`` where it cannot have that name.
    """
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        yield part
        part.rename(path)
        sync_folder(path.parent)
    finally:
        part.unlink(missing_ok=True)


@contextmanager
def new_private_file(path: Path) -> Iterator[IO[bytes]]:
    """Give a new file to write to; it is on the disk at the end. Raises
    ``OSError``.
    """
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(descriptor, "wb") as stream:
        yield stream
        stream.flush()
        os.fsync(stream.fileno())


def sync_folder(folder: Path) -> None:
    """Put down which files a folder has: until then a power cut could take away the
    name of a new one.
    """
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
