"""Files of text into rows: whatever their characters, whatever stands between their
columns.
"""

import codecs
import csv
import io
from collections import Counter
from itertools import islice

from standage.exchange.cells import (
    LONGEST_CELL,
    MOST_COLUMNS,
    MOST_ROWS,
    Row,
    Sheet,
    bounded,
    unreadable,
)
from standage.exchange.guarded_text import unguarded

_BETWEEN = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
_MARKED = {
    codecs.BOM_UTF8: "utf-8-sig",
    codecs.BOM_UTF16_LE: "utf-16",
    codecs.BOM_UTF16_BE: "utf-16",
}
_LOOKED_AT = 30
_SAMPLE = 4096
_SNIFFED = 64 * 1024
CHARACTER_SETS = {
    **dict.fromkeys(("utf-8", "utf8", "us-ascii", "ascii"), "utf-8"),
    **dict.fromkeys(("utf-16", "utf16"), "utf-16"),
    "utf-16le": "utf-16-le",
    "utf-16be": "utf-16-be",
    **dict.fromkeys(("windows-1252", "cp1252"), "cp1252"),
    **dict.fromkeys(("iso-8859-1", "latin-1", "latin1", "iso-8859-15"), "cp1252"),
}
"""The character sets that a sender may name, and what each is read as."""


def read_csv(raw: bytes, *, charset: str | None = None) -> Sheet:
    """Return the rows of a file of text; raises ``Faulty`` where it cannot be read
    without guessing at its cells.
    """
    text, characters = _text(raw, charset)
    if "\0" in text:
        raise unreadable(
            "not_a_table",
            "holds characters that no table of text has: is it really a CSV file?",
        )
    text, told = _told(text)
    between = told or _between(text)
    rows = _rows(text, between)
    return Sheet(
        format="csv",
        rows=bounded(rows),
        read_as=f"{characters}, columns parted by {_BETWEEN[between]}",
    )


def _text(raw: bytes, charset: str | None) -> tuple[str, str]:
    for mark, codec in _MARKED.items():
        if raw.startswith(mark):
            return _decoded(raw, codec), codec.removesuffix("-sig").upper()
    if charset is not None:
        codec = CHARACTER_SETS[charset]
        return _decoded(raw, codec), codec.upper()
    if (unmarked := _unmarked_utf_16(raw)) is not None:
        return _decoded(raw, unmarked), "UTF-16"
    try:
        return raw.decode("utf-8"), "UTF-8"
    except UnicodeDecodeError:
        return _decoded(raw, "cp1252"), "Windows-1252"


def _decoded(raw: bytes, codec: str) -> str:
    try:
        return raw.decode(codec)
    except UnicodeDecodeError as error:
        message = (
            f"byte {error.start} is no character in {codec}: save the file as CSV in"
            " UTF-8 and send that"
        )
        raise unreadable("bad_characters", message) from error


def _unmarked_utf_16(raw: bytes) -> str | None:
    """Return the codec where every other byte of the beginning is nought, as of Latin
    letters in UTF-16.
    """
    sample = raw[: _SAMPLE - _SAMPLE % 2]
    half = len(sample) // 2
    if half == 0:
        return None
    first = sample[::2].count(0)
    second = sample[1::2].count(0)
    mostly, hardly = half * 9, half
    if second * 10 > mostly and first * 10 < hardly:
        return "utf-16-le"
    if first * 10 > mostly and second * 10 < hardly:
        return "utf-16-be"
    return None


def _told(text: str) -> tuple[str, str | None]:
    """Return the text and what parts its columns, where its first line says so as some
    spreadsheets write it.
    """
    first, _, rest = text.partition("\n")
    said = first.strip().strip('"')
    between = said[4:]
    if said.casefold().startswith("sep=") and between in _BETWEEN:
        # an empty line in its place, so that rows keep their numbers
        return "\n" + rest, between
    return text, None


def _between(text: str) -> str:
    """Return what parts the columns: what gives most of the first rows one and the same
    number of several cells.
    """
    return max(_BETWEEN, key=lambda mark: _likelihood(text, mark))


def _likelihood(text: str, mark: str) -> tuple[int, int]:
    sniffed = io.StringIO(text[:_SNIFFED], newline="")
    reader = csv.reader(sniffed, delimiter=mark)
    widths: Counter[int] = Counter()
    try:
        for row in islice(reader, _LOOKED_AT):
            if any(map(str.strip, row)):
                widths[len(row)] += 1
    except csv.Error:
        return (0, 0)
    likeliest = [(rows, width) for width, rows in widths.items()]
    rows, width = max(likeliest, default=(0, 0))
    if width <= 1:
        return (0, 0)
    return (rows, width)


def _rows(text: str, between: str) -> list[Row]:
    if any(
        line.count(between) > LONGEST_CELL + MOST_COLUMNS
        for line in islice(io.StringIO(text), MOST_ROWS * 2)
    ):
        raise unreadable(
            "too_many_columns",
            f"has rows of far more than {MOST_COLUMNS} columns: is it really a table?",
        )
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=between, strict=True)
    rows: list[Row] = []
    try:
        for row in reader:
            if any(len(cell) > LONGEST_CELL for cell in row):
                raise _too_long(len(rows) + 1)
            rows.append(tuple(unguarded(cell) or None for cell in row))
            if len(row) > MOST_COLUMNS * 10 or len(rows) > MOST_ROWS * 2:
                break
    except csv.Error as error:
        if "field larger" in str(error):
            raise _too_long(len(rows) + 1) from error
        message = (
            f"row {len(rows) + 1} (near line {reader.line_num}) has quotation marks"
            " that do not close as they open: double a mark inside a quoted cell"
            ' ("12"" long"), or save the file again from the spreadsheet'
        )
        raise unreadable("bad_quotes", message) from error
    return rows


def _too_long(row: int) -> Exception:
    message = (
        f"row {row} has a cell of more than {LONGEST_CELL} characters: is a quotation"
        " mark left open before it?"
    )
    return unreadable("cell_too_long", message)
