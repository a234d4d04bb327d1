"""A backup's file says so itself where it is damaged, cut short, something else, or of
a newer version.
"""

import gzip
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from standage.registry.moving.backup_file import (
    FORMAT,
    BadBackup,
    Column,
    Head,
    Table,
    check,
    read_head,
    read_rows,
    write,
)

NOW = datetime(2026, 5, 1, 10, 0, 0, 7, tzinfo=UTC)
HEAD = Head(
    standage_backup=FORMAT,
    revision="0003",
    made_at=NOW,
    tables=(
        Table(
            name="clubs",
            columns=tuple(
                Column(name=sort, sort=sort)
                for sort in ("text", "integer", "number", "boolean", "moment", "bytes")
            ),
        ),
        Table(name="empty", columns=(Column(name="id", sort="text"),)),
        Table(
            name="vans",
            columns=(Column(name="id", sort="text"), Column(name="body", sort="text")),
        ),
    ),
)
ROWS: dict[str, list[tuple[Any, ...]]] = {
    "clubs": [("Æ – 💤\n\u2028", 2**53 + 1, 0.1, True, NOW, b"\x00\xff{"), (None,) * 6],
    "empty": [],
    "vans": [(f"van {number}", '{"rows":[[],{}]}') for number in range(50)],
}
COUNTS = {"clubs": 2, "empty": 0, "vans": 50}


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "club.backup"
    with path.open("wb") as stream:
        assert write(stream, HEAD, ROWS.items()) == COUNTS
    return path


def refused(path: Path, why: str = "not a whole backup") -> None:
    with pytest.raises(BadBackup, match=why):
        check(path)


def test_every_sort_of_value_comes_back_as_it_was(file: Path) -> None:
    assert (read_head(file), check(file)) == (HEAD, COUNTS)
    back: dict[str, list[tuple[Any, ...]]] = {name: [] for name in ROWS}
    for table, row in read_rows(file):
        back[table.name].append(row)
    assert back == ROWS


def test_a_file_that_is_cut_short_anywhere_is_refused(file: Path) -> None:
    whole = file.read_bytes()
    for size in range(len(whole)):
        file.write_bytes(whole[:size])
        refused(file)


def test_a_file_with_one_wrong_byte_anywhere_is_refused_or_reads_as_it_was(
    file: Path,
) -> None:
    """Ten bytes of the compression's own head say when and where it was made, which
    nothing hangs on.
    """
    whole = file.read_bytes()
    harmless = []
    for place in range(len(whole)):
        damaged = bytearray(whole)
        damaged[place] ^= 0x10
        file.write_bytes(damaged)
        try:
            assert [row for _, row in read_rows(file)] == [
                row for rows in ROWS.values() for row in rows
            ]
        except BadBackup:
            continue
        harmless.append(place)
    assert set(harmless) <= set(range(4, 10))


def test_lines_that_were_changed_by_hand_are_refused(file: Path) -> None:
    lines = gzip.decompress(file.read_bytes()).splitlines(keepends=True)
    vans = lines.index(b'{"table":"vans"}\n')
    for changed in (
        [*lines[: vans + 1], *lines[vans + 2 :]],  # a row less
        [*lines[: vans + 2], *lines[vans + 1 :]],  # a row twice
        [
            *lines[: vans + 1],
            lines[vans + 2],
            lines[vans + 1],
            *lines[vans + 3 :],
        ],  # two in another order
        [lines[0].replace(b"2026", b"2027"), *lines[1:]],
        [line.replace(b"van 7", b"van 8") for line in lines],
        [*lines[:vans], *lines[vans + 1 :]],  # a table's name less
        [*lines[:vans], b'{"table":"coaches"}\n', *lines[vans + 1 :]],
        [lines[0], *lines[2:]],
        lines[:-1],
        [*lines, b"\n"],
        [*lines, *lines],
        [*lines[:-1], lines[-1].rstrip(b"\n")],
    ):
        file.write_bytes(gzip.compress(b"".join(changed)))
        refused(file)


def test_the_file_that_the_lines_make_is_taken_where_none_is_changed(
    file: Path,
) -> None:
    file.write_bytes(gzip.compress(gzip.decompress(file.read_bytes())))
    assert check(file) == COUNTS


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"The minutes of the meeting",
        gzip.compress(b"The minutes\n", mtime=0),
        b"\x1f\x8b",
    ],
)
def test_a_file_that_is_something_else_is_refused(file: Path, content: bytes) -> None:
    file.write_bytes(content)
    refused(file)


def test_a_file_that_cannot_be_read_says_why(tmp_path: Path) -> None:
    refused(tmp_path / "missing", r"cannot be read: No such file")
    refused(tmp_path, r"cannot be read: Is a directory")


def test_a_newer_form_of_file_is_refused_as_such(file: Path) -> None:
    text = gzip.decompress(file.read_bytes())
    file.write_bytes(
        gzip.compress(text.replace(b'"standage_backup":1', b'"standage_backup":2', 1))
    )
    refused(file, r"made by a newer version of Standage")
