"""What an ODS workbook holds, looked at before it is read: its formulas, and what makes it unsafe."""

from standage.exchange.cells import unreadable
from standage.exchange.xlsx_look import Looked, Place
from standage.exchange.xml_walk import Attributes, Counted, Walk
from standage.exchange.zip_parts import Parts

CONTENT = "content.xml"
_TYPE = b"application/vnd.oasis.opendocument.spreadsheet"
_VALUES = ("value-type", "formula")
_LINKED = frozenset({"table-source", "cell-range-source", "dde-source", "dde-link"})
_MOST_REPEATED = 10_000_000


def require_plain(parts: Parts) -> None:
    """Raise ``Faulty`` for what is no ODS workbook, or holds programs."""
    if CONTENT not in parts or "mimetype" not in parts or parts.whole("mimetype").strip() != _TYPE:
        raise unreadable(
            "not_a_workbook", "is no ODS workbook, whatever it was sent as: is it an XLSX or another file?"
        )
    if any(name.startswith(("Basic/", "Scripts/")) for name in parts.names):
        raise unreadable("macros", "holds macros (programs): save it as an ordinary ODS file without them")


class _ContentWalk(Walk):
    """A walk through all sheets: where their cells stand, those that are said once for many included."""

    def __init__(self) -> None:
        super().__init__(self._start_of)
        self.sheets: list[tuple[str, set[Place], list[int]]] = []
        self._counted = Counted()
        self._row = self._rows = self._column = 0

    def _start_of(self, name: str, attributes: Attributes) -> None:
        if name in {"table-cell", "covered-table-cell"}:
            self._cell({key.rpartition(":")[2]: value for key, value in attributes.items()})
        elif name == "table-row":
            said = {key.rpartition(":")[2]: value for key, value in attributes.items()}
            self._row += self._rows
            self._rows, self._column = _repeated(said.get("number-rows-repeated")), 1
        elif name == "table":
            said = {key.rpartition(":")[2]: value for key, value in attributes.items()}
            self.sheets.append((said.get("name", ""), set(), [0]))
            self._row, self._rows = 1, 0
        elif name in _LINKED:
            message = "takes figures from other files or from the net: paste those as values, and save it anew"
            raise unreadable("external_links", message)

    def _cell(self, said: Attributes) -> None:
        self.forget_text()
        columns = _repeated(said.get("number-columns-repeated"))
        if self.sheets and any(name in said for name in _VALUES):
            self._counted.at(self._row, self._column, rows=self._rows, columns=columns)
            _, formulas, filled = self.sheets[-1]
            filled[0] += 1
            if "formula" in said:
                over = range(self._row, self._row + self._rows)
                along = range(self._column, self._column + columns)
                formulas.update((row, column) for row in over for column in along)
        self._column += columns


def _repeated(text: str | None) -> int:
    if text is None:
        return 1
    if not (text.isascii() and text.isdigit()) or not 1 <= int(text[:9]) <= _MOST_REPEATED:
        raise unreadable("not_a_workbook", f"says a cell {text[:20]!r} times over")
    return int(text[:9])


def looked_through(parts: Parts) -> dict[str, Looked]:
    """Return what stands in each sheet, in order; raises ``Faulty`` where anything is beyond the bounds."""
    walk = _ContentWalk()
    walk.through(parts.lots(CONTENT), part=CONTENT)
    return {
        name: Looked(filled=filled[0], formulas=frozenset(formulas), errors=frozenset())
        for name, formulas, filled in walk.sheets
    }
