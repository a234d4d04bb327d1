"""A backup as a file: lines of JSON, compressed; a head says what it holds, a tail
proves that it is whole.

The head is an object with the schema's revision and every table with its columns. Then
each table follows: an object that names it, and an array for each of its rows. The tail
holds the number of rows of each table and the SHA-256 of every line before it. Nothing
in it is one database's own, so a backup can be restored into the other.
"""

import gzip
import hashlib
import zlib
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import IO, Any, ClassVar, Literal

import msgspec

from standage.shapes.refusals import Refusal

FORMAT = 1
_LONGEST_LINE = 64 * 1024 * 1024
_QUICK_COMPRESSION = 4

Sort = Literal["text", "integer", "number", "boolean", "moment", "bytes"]
_TYPES: dict[Sort, Any] = {
    "text": str | None,
    "integer": int | None,
    "number": float | None,
    "boolean": bool | None,
    "moment": datetime | None,
    "bytes": bytes | None,
}


class BadBackup(Refusal):
    """A backup that cannot be made, or a file that cannot be restored from; the message
    says why.
    """

    code: ClassVar[str] = "bad_backup"


class Column(msgspec.Struct, frozen=True, kw_only=True):
    """A column of a table, and what sort of values it has."""

    name: str
    sort: Sort


class Table(msgspec.Struct, frozen=True, kw_only=True):
    """A table and its columns, in the order of the values in its rows."""

    name: str
    columns: tuple[Column, ...]


class Head(msgspec.Struct, frozen=True, kw_only=True):
    """What a backup holds: of which revision of the tables, made when, and the tables,
    the referred-to ones first.
    """

    standage_backup: int
    revision: str
    made_at: datetime
    tables: tuple[Table, ...]


class _Marker(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    table: str


class _Tail(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    rows: dict[str, int]
    sha256: str


Row = tuple[Any, ...]


def write(
    stream: IO[bytes], head: Head, rows: Iterable[tuple[str, Iterable[Row]]]
) -> dict[str, int]:
    """Write a whole backup: the head, then the rows of each table, in the head's order;
    return the counts.
    """
    sum_, counts = hashlib.sha256(), {}
    with gzip.GzipFile(
        fileobj=stream,
        mode="wb",
        compresslevel=_QUICK_COMPRESSION,
        mtime=0,
        filename="",
    ) as packed:

        def put(value: object) -> None:
            line = msgspec.json.encode(value) + b"\n"
            sum_.update(line)
            packed.write(line)

        put(head)
        for name, of_table in rows:
            put(_Marker(name))
            counts[name] = 0
            for row in of_table:
                put(row)
                counts[name] += 1
        put(_Tail(rows=counts, sha256=sum_.hexdigest()))
    return counts


def read_head(path: Path) -> Head:
    """Return a backup's head. Raises ``BadBackup`` where the file is none, or of
    another version.
    """
    with _opened(path) as lines:
        return _head(lines.next())


def read_rows(path: Path) -> Iterator[tuple[Table, Row]]:
    """Yield every row with its table. Raises ``BadBackup``, at the latest at the end,
    where the file is not whole.
    """
    with _opened(path) as lines:
        counts: dict[str, int] = {}
        head = _head(lines.next())
        line = lines.next()
        for table in head.tables:
            if msgspec.json.decode(line, type=_Marker).table != table.name:
                raise EOFError(table.name)
            of_row = msgspec.json.Decoder(_row_type(table))
            counts[table.name] = 0
            while (line := lines.next()).startswith(b"["):
                yield table, of_row.decode(line)
                counts[table.name] += 1
        tail = msgspec.json.decode(line, type=_Tail)
        if (
            tail != _Tail(rows=counts, sha256=lines.sha256_before())
            or not lines.at_end()
        ):
            raise EOFError


def check(path: Path) -> dict[str, int]:
    """Read a backup from beginning to end; return how many rows each table has. Raises
    ``BadBackup``.
    """
    head = read_head(path)
    counts = {table.name: 0 for table in head.tables}
    for table, _ in read_rows(path):
        counts[table.name] += 1
    return counts


def _head(line: bytes) -> Head:
    head = msgspec.json.decode(line, type=Head)
    if head.standage_backup != FORMAT:
        raise BadBackup(
            "this backup was made by a newer version of Standage than this one; install"
            " that version first"
        )
    return head


def _row_type(table: Table) -> Any:
    return tuple.__class_getitem__(
        tuple(_TYPES[column.sort] for column in table.columns)
    )


class _Lines:
    """The lines of a backup, one after the other, and the sum of all before the last
    one read.
    """

    def __init__(self, packed: gzip.GzipFile) -> None:
        self._packed = packed
        self._sum = hashlib.sha256()
        self._last = b""

    def next(self) -> bytes:
        """Return the next line; raises ``EOFError`` where there is no whole one."""
        self._sum.update(self._last)
        self._last = self._packed.readline(_LONGEST_LINE)
        if not self._last.endswith(b"\n"):
            raise EOFError
        return self._last

    def sha256_before(self) -> str:
        return self._sum.hexdigest()

    def at_end(self) -> bool:
        return not self._packed.read(1)


@contextmanager
def _opened(path: Path) -> Iterator[_Lines]:
    try:
        with path.open("rb") as file, gzip.GzipFile(fileobj=file, mode="rb") as packed:
            yield _Lines(packed)
    except (
        gzip.BadGzipFile,
        EOFError,
        zlib.error,
        UnicodeDecodeError,
        msgspec.DecodeError,
    ) as error:
        raise _damaged(path) from error
    except OSError as error:
        raise BadBackup(f"{path} cannot be read: {error.strerror}") from error


def _damaged(path: Path) -> BadBackup:
    return BadBackup(
        f"{path} is not a whole backup of Standage: it is damaged, cut short, or"
        " something else. Nothing was changed; take another backup"
    )
