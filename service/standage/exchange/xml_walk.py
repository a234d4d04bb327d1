"""Looking through a part of a workbook before anything else reads it: no entities, no
endless text, no far cells.
"""

from collections.abc import Callable, Iterable
from xml.parsers import expat

from standage.exchange.cells import LONGEST_CELL, MOST_COLUMNS, MOST_ROWS, unreadable

MOST_ELEMENTS = 800_000
MOST_CELLS = 260_000
_MOST_HEARD = 3
_LONGEST_HEARD = 120
Attributes = dict[str, str]
Start = Callable[[str, Attributes], None]


class Walk:
    """One walk through one part: counts what it meets, and stops at the first thing
    that no stock list has.
    """

    def __init__(self, start: Start) -> None:
        """Take what is told of the start of each element, by its name without
        prefix.
        """
        self._start = start
        self._locals: dict[str, str] = {}
        self._elements = 0
        self._text = 0
        self._heard: list[str] | None = None
        parser = expat.ParserCreate()
        parser.buffer_text = True
        parser.buffer_size = 64 * 1024
        parser.StartElementHandler = self._met
        parser.CharacterDataHandler = self._read
        parser.StartDoctypeDeclHandler = self._declared
        parser.EntityDeclHandler = self._declared
        self._parser = parser

    def through(self, lots: Iterable[bytes], *, part: str) -> None:
        """Walk through all of it; raises ``Faulty`` where it is not sound XML, or
        beyond the bounds.
        """
        try:
            for lot in lots:
                self._parser.Parse(lot, False)  # noqa: FBT003 - expat's own signature
            self._parser.Parse(b"", True)  # noqa: FBT003 - expat's own signature
        except expat.ExpatError as error:
            raise unreadable(
                "not_a_workbook", f"is damaged: its part {part[:60]!r} is no sound XML"
            ) from error

    def forget_text(self) -> None:
        """Begin to count the text of another cell."""
        self._text = 0
        self._heard = None

    def hear(self, beginning: str = "") -> list[str]:
        """Return a list with a beginning, into which the first of the text to come is
        put, until the next cell.
        """
        self._heard = [beginning]
        return self._heard

    def hear_no_more(self) -> None:
        """Put no more into the list that was given last."""
        self._heard = None

    def _met(self, name: str, attributes: Attributes) -> None:
        self._elements += 1
        if self._elements > MOST_ELEMENTS:
            raise unreadable(
                "too_large",
                "holds far more than a list of stock: keep the list alone in a file",
            )
        local = self._locals.get(name)
        if local is None:
            local = self._locals[name] = name.rpartition(":")[2]
        self._start(local, attributes)

    def _read(self, text: str) -> None:
        self._text += len(text)
        if self._text > LONGEST_CELL:
            message = (
                f"has a cell of more than {LONGEST_CELL} characters, which no"
                " spreadsheet makes"
            )
            raise unreadable("cell_too_long", message)
        if self._heard is not None and len(self._heard) < _MOST_HEARD:
            self._heard.append(text[:_LONGEST_HEARD])

    def _declared(self, *_: object) -> None:
        message = (
            "declares entities of its own, as no spreadsheet does: it may be meant to"
            " do harm"
        )
        raise unreadable("entities", message)


class Counted:
    """Cells with something in them, counted and kept within the bounds."""

    def __init__(self) -> None:
        self._cells = 0

    def at(self, row: int, column: int, *, rows: int = 1, columns: int = 1) -> None:
        """Count cells from a place on, both counted from 1; raises ``Faulty`` beyond
        the bounds.
        """
        if row + rows - 1 > MOST_ROWS or column + columns - 1 > MOST_COLUMNS:
            message = (
                f"has a cell with something in it at row {row + rows - 1}, column"
                f" {column + columns - 1}, far beyond {MOST_ROWS} rows and"
                f" {MOST_COLUMNS} columns: delete what lies out there"
            )
            raise unreadable("too_far_out", message)
        self._cells += rows * columns
        if self._cells > MOST_CELLS:
            raise unreadable(
                "too_many_cells",
                f"has more than {MOST_CELLS} cells filled in: divide the file",
            )
