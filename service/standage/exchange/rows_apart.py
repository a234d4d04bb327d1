"""Rows of a list that are none of its things: totals, titles of sections, headings said
again, units below the headings.
"""

import re
from functools import cache
from statistics import median

from standage.exchange.cells import Row, Sheet, is_empty
from standage.exchange.fields import UNIT_WORDS, Unit
from standage.exchange.head_words import by_words
from standage.exchange.list_kinds import ListKind
from standage.exchange.numbers import Trouble
from standage.exchange.values import shown_cell

_DIGIT = re.compile(r"\d")
_FEWEST_USUAL = 3
_FEWEST_HEADS = 2


@cache
def _totals(things: str) -> re.Pattern[str]:
    """Return how lines of totals begin, where they may count so many ``things``."""
    return re.compile(
        r"(?:grand"
        r" |sub-?\s?)?totals?"
        rf"(?:\s+(?:of\b.*|for\b.*|number\b.*|no\b.*|{things}))?"
        r"(?:\s*[:=].*|\s+\d+)?"
        r"|sum:?|in all:?|altogether:?",
        re.IGNORECASE,
    )


def _of_totals(one: str) -> Trouble:
    return Trouble(
        code="totals",
        message=f"is a line of totals, as it seems, and no {one}",
        mend=f"delete the row; give the {one} a fuller name if it is one",
    )


def _heading_again(one: str) -> Trouble:
    return Trouble(
        code="heading_again",
        message=f"says the headings again, and is no {one}",
        mend="delete the row",
    )


def _title(one: str) -> Trouble:
    message = (
        f"holds one cell only, as a title or a remark does, and is taken for no {one}"
    )
    mend = f"delete the row; fill in one cell more if it is a {one}"
    return Trouble(code="title", message=message, mend=mend)


class RowsApart:
    """What tells such rows from the things that one sheet lists."""

    def __init__(self, sheet: Sheet, header_row: int, kind: ListKind) -> None:
        self._kind = kind
        self._heads: list[str] = []
        if 0 < header_row <= len(sheet.rows):
            self._heads = _words(sheet.rows[header_row - 1])
        self._first = header_row + 1
        self._other_heading = self._headed_anew(sheet, header_row)
        counts = [len(_words(row)) for row in sheet.rows[header_row:]]
        filled = [count for count in counts if count]
        several = [count for count in filled if count > 1]
        self._usual = median(several or [0])
        self._mostly_single = filled.count(1) * 2 > len(filled)
        """Then the list is one of names, of which a few say more."""

    def is_of_units(self, number: int, row: Row) -> bool:
        """Tell whether a row is the first below the headings, and says their units."""
        if number != self._first or not self._heads:
            return False
        return bool(units_of(row))

    def _headed_anew(self, sheet: Sheet, header_row: int) -> int | None:
        """Return the first row that heads other columns than the list's heading
        does.
        """
        if not self._heads:
            return None
        below = sheet.rows[header_row:]
        for number, row in enumerate(below, start=header_row + 1):
            if _heads_columns(row, self._kind) and _words(row) != self._heads:
                return number
        return None

    def trouble(self, number: int, row: Row) -> Trouble | None:
        """Return why a row that is not empty is nothing that can be read; None where it
        is one of the list's things.
        """
        if self._other_heading is not None and number >= self._other_heading:
            message = (
                f"stands at or below row {self._other_heading}, which heads other"
                " columns than the list's heading"
            )
            return Trouble(
                code="other_headings",
                message=message,
                mend="put that list on a sheet or in a file of its own",
            )
        words, one = _words(row), self._kind.one
        if is_of_totals(row, self._kind):
            return _of_totals(one)
        if len(words) > 1 and words == self._heads:
            return _heading_again(one)
        if len(words) == 1 and self._has_titles():
            return _title(one)
        return None

    def _has_titles(self) -> bool:
        return (
            bool(self._heads)
            and self._usual >= _FEWEST_USUAL
            and not self._mostly_single
        )


def _words(row: Row) -> list[str]:
    filled = [shown_cell(cell) for cell in row if not is_empty(cell)]
    return [text.strip().casefold() for text in filled]


def _heads_columns(row: Row, kind: ListKind) -> bool:
    """Tell whether a row heads columns: half of its cells are known to, for unlike
    things, and none has a figure.
    """
    words = _words(row)
    if len(words) < _FEWEST_HEADS:
        return False
    known: list[str] = []
    for word in words:
        if _DIGIT.search(word):
            return False
        head = by_words(word, kind.fields)
        if head is not None:
            known.append(head.field.name)
    return len(set(known)) >= _FEWEST_HEADS and len(known) * 2 >= len(words)


def is_of_totals(row: Row, kind: ListKind) -> bool:
    """Tell whether a row adds up the ones above it: that is what it says first."""
    filled = (cell for cell in row if not is_empty(cell))
    first = next(filled, None)
    if not isinstance(first, str):
        return False
    return _totals(kind.totalled).fullmatch(first.strip()) is not None


def units_of(row: Row) -> list[Unit | None]:
    """Return the units that a row holds below the headings, by position; none where
    anything else stands in it.

    >>> units_of(("", "mm", "(g)")), units_of(("Van", "mm"))
    ([None, 'mm', 'g'], [])
    """
    units: list[Unit | None] = []
    for cell in row:
        word = shown_cell(cell).casefold().strip(" .()[]")
        unit = UNIT_WORDS.get(word)
        if unit is None and not is_empty(cell):
            return []
        units.append(unit)
    if any(units):
        return units
    return []
