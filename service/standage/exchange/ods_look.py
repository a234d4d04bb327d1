"""What an ODS workbook holds, looked at before it is read: its formulas, and what makes
it unsafe.
"""

import re

import msgspec

from standage.exchange.cells import MOST_ROWS, Joined, Place, place, unreadable
from standage.exchange.fields import UNIT_WORDS
from standage.exchange.xlsx_look import Looked
from standage.exchange.xml_walk import Attributes, Counted, Walk
from standage.exchange.zip_parts import Parts

CONTENT = "content.xml"
_TYPE = b"application/vnd.oasis.opendocument.spreadsheet"
_VALUES = ("value-type", "formula")
_NUMBERS = frozenset({"float", "percentage"})
_MORE = re.compile(
    rf"0\d+|-?[\d.,]+ ?(?:%|{'|'.join(map(re.escape, UNIT_WORDS))})\.?", re.IGNORECASE
)
"""What is shown of a number that says more than the number: noughts before it, a unit
or a percent sign behind it.
"""

_LINKED = frozenset({"table-source", "cell-range-source", "dde-source", "dde-link"})
_NOT_SHOWN = frozenset({"collapse", "filter"})
_MOST_REPEATED = 10_000_000


def require_plain(parts: Parts) -> None:
    """Raise ``Faulty`` for what is no ODS workbook, or holds programs."""
    if (
        CONTENT not in parts
        or "mimetype" not in parts
        or parts.whole("mimetype").strip() != _TYPE
    ):
        raise unreadable(
            "not_a_workbook", "is not an ODS workbook: is it an XLSX or another file?"
        )
    if any(name.startswith(("Basic/", "Scripts/")) for name in parts.names):
        raise unreadable(
            "macros",
            "holds macros (programs): save it as an ordinary ODS file without them",
        )


class _Sheet(msgspec.Struct, kw_only=True):
    """What has been seen of one sheet so far."""

    name: str
    filled: int = 0
    formulas: set[Place] = msgspec.field(default_factory=set)
    shown: dict[Place, str] = {}
    joined: list[Joined] = []
    hidden_rows: list[int] = []
    style: str = ""


class _ContentWalk(Walk):
    """A walk through all sheets: where their cells stand, those that are said once for
    many included.
    """

    def __init__(self) -> None:
        super().__init__(self._start_of)
        self.sheets: list[_Sheet] = []
        self.hidden: set[str] = set()
        """The styles of hidden sheets."""
        self._style = ""
        self._number: tuple[range, range, list[str]] | None = None
        self._counted = Counted()
        self._row = self._rows = self._column = 0

    def _start_of(self, name: str, attributes: Attributes) -> None:
        if name in {"table-cell", "covered-table-cell"}:
            self._cell(_said(attributes))
        elif name == "table-row":
            said = _said(attributes)
            self._row += self._rows
            self._rows = _repeated(said.get("number-rows-repeated"))
            self._column = 1
            if said.get("visibility") in _NOT_SHOWN:
                self._hide()
        elif name == "table":
            said = _said(attributes)
            self.end_cell()
            sheet = _Sheet(name=said.get("name", ""), style=said.get("style-name", ""))
            self.sheets.append(sheet)
            self._row, self._rows = 1, 0
        elif name in {"style", "table-properties"}:
            self._styled(name, _said(attributes))
        elif name in _LINKED:
            message = (
                "takes figures from other files or from the net: paste those as values,"
                " and save it again"
            )
            raise unreadable("external_links", message)

    def _hide(self) -> None:
        """Keep which rows are not shown, as far as a list of stock reaches."""
        if not self.sheets:
            return
        behind = min(self._row + self._rows, MOST_ROWS + 1)
        hidden = self.sheets[-1].hidden_rows
        if len(hidden) < MOST_ROWS:
            hidden.extend(range(self._row, behind))

    def _styled(self, name: str, said: Attributes) -> None:
        """Keep the name of a style that hides its sheet: what it does stands
        within it.
        """
        if name == "style":
            self._style = said.get("name", "")
        elif said.get("display") == "false":
            self.hidden.add(self._style)

    def _cell(self, said: Attributes) -> None:
        self.end_cell()
        self.forget_text()
        columns = _repeated(said.get("number-columns-repeated"))
        holds = any(name in said for name in _VALUES)
        if self.sheets and holds:
            self._counted.at(
                self._row,
                self._column,
                rows=self._rows,
                columns=columns,
            )
            self._filled(self.sheets[-1], said, columns)
        self._column += columns

    def _filled(self, sheet: _Sheet, said: Attributes, columns: int) -> None:
        sheet.filled += 1
        over = range(self._row, self._row + self._rows)
        along = range(self._column, self._column + columns)
        if "formula" in said:
            for row in over:
                sheet.formulas.update(place(row, column) for column in along)
        elif said.get("value-type") in _NUMBERS:
            self._number = (over, along, self.hear())
        height = _repeated(said.get("number-rows-spanned"))
        if height > 1 and len(sheet.joined) < MOST_ROWS:
            bottom = min(self._row + height - 1, MOST_ROWS)
            joined = Joined(
                column=self._column,
                top=self._row,
                bottom=bottom,
            )
            sheet.joined.append(joined)

    def end_cell(self) -> None:
        """Keep what was shown of a number, where it says more than the number."""
        if self._number is not None:
            over, along, heard = self._number
            shown = "".join(heard).strip()
            if _MORE.fullmatch(shown):
                for row in over:
                    here = (place(row, column) for column in along)
                    self.sheets[-1].shown.update(dict.fromkeys(here, shown))
            self._number = None


def _repeated(text: str | None) -> int:
    if text is None:
        return 1
    if (
        not (text.isascii() and text.isdigit())
        or not 1 <= int(text[:9]) <= _MOST_REPEATED
    ):
        raise unreadable("not_a_workbook", f"says a cell {text[:20]!r} times over")
    return int(text[:9])


def looked_through(parts: Parts) -> dict[str, Looked]:
    """Return what stands in each sheet, in order; raises ``Faulty`` where anything is
    beyond the bounds.
    """
    walk = _ContentWalk()
    walk.through(parts.lots(CONTENT), part=CONTENT)
    walk.end_cell()
    return {
        one.name: Looked(
            filled=one.filled,
            formulas=one.formulas,
            shown=one.shown,
            joined=tuple(one.joined),
            hidden_rows=tuple(one.hidden_rows),
            hidden=one.style in walk.hidden,
        )
        for one in walk.sheets
    }


def _said(attributes: Attributes) -> Attributes:
    """Return attributes by their names, whatever their name spaces are called."""
    return {key.rpartition(":")[2]: value for key, value in attributes.items()}
