"""What an XLSX workbook holds, looked at before it is read: its sheets, its formulas, and what makes it unsafe."""

import re

import msgspec

from standage.exchange.cells import unreadable
from standage.exchange.xml_walk import Attributes, Counted, Walk
from standage.exchange.zip_parts import Parts

Place = tuple[int, int]
_BOOK = "xl/workbook.xml"
_LINKS = "xl/_rels/workbook.xml.rels"
_TYPES = "[Content_Types].xml"
_AROUND = (_TYPES, "_rels/.rels", _BOOK, _LINKS, "xl/styles.xml", "xl/sharedStrings.xml")
_ADDRESS = re.compile(r"([A-Z]{1,3})([1-9]\d{0,6})")
_MOST_SHEETS = 100


class Page(msgspec.Struct, frozen=True, kw_only=True):
    """One sheet of a workbook: its name and its part."""

    name: str
    part: str
    hidden: bool


class Looked(msgspec.Struct, frozen=True, kw_only=True):
    """What was seen in one sheet: where formulas and errors stand, by row and column from 1."""

    filled: int
    formulas: frozenset[Place]
    errors: frozenset[Place]


def around(parts: Parts) -> dict[str, bytes]:
    """Return the parts that every sheet needs, each looked through; raises ``Faulty`` for what is unsafe or no XLSX."""
    if _BOOK not in parts or _LINKS not in parts or _TYPES not in parts:
        raise unreadable(
            "not_a_workbook", "is no XLSX workbook, whatever it was sent as: is it an ODS or another file?"
        )
    _require_plain(parts)
    found = {name: parts.whole(name) for name in _AROUND if name in parts}
    for name, part in found.items():
        walk = _TextWalk() if name.endswith("sharedStrings.xml") else Walk(_nothing)
        walk.through([part], part=name)
    if b"macroEnabled" in found[_TYPES]:
        raise _macros()
    return found


def _require_plain(parts: Parts) -> None:
    names = [name.casefold() for name in parts.names]
    if any(name.endswith(("vbaproject.bin", "vbadata.xml")) or "/macrosheets/" in name for name in names):
        raise _macros()
    if any(name.startswith(("xl/externallinks/", "xl/connections.xml", "xl/querytables/")) for name in names):
        message = "takes figures from other files or from the net: paste those as values, and save it anew"
        raise unreadable("external_links", message)


def _macros() -> Exception:
    return unreadable("macros", "holds macros (programs): save it as an ordinary XLSX file without them")


def _nothing(_name: str, _attributes: Attributes) -> None:
    return None


class _TextWalk(Walk):
    """A walk through the texts of a workbook: each is of one cell."""

    def __init__(self) -> None:
        super().__init__(self._of_a_text)

    def _of_a_text(self, name: str, _attributes: Attributes) -> None:
        if name == "si":
            self.forget_text()


def pages(found: dict[str, bytes]) -> tuple[Page, ...]:
    """Return the sheets in their order."""
    targets: dict[str, str] = {}
    sheets: list[tuple[str, str, bool]] = []

    def of_links(name: str, attributes: Attributes) -> None:
        if name == "Relationship" and attributes.get("TargetMode") != "External":
            targets[attributes.get("Id", "")] = attributes.get("Target", "")

    def of_book(name: str, attributes: Attributes) -> None:
        if name == "sheet":
            link = next((value for key, value in attributes.items() if key.rpartition(":")[2] == "id"), "")
            sheets.append((attributes.get("name", ""), link, attributes.get("state", "visible") != "visible"))

    Walk(of_links).through([found[_LINKS]], part=_LINKS)
    Walk(of_book).through([found[_BOOK]], part=_BOOK)
    return tuple(
        Page(name=name, part=_part(targets.get(link, "")), hidden=hidden)
        for name, link, hidden in sheets[:_MOST_SHEETS]
    )


def _part(target: str) -> str:
    return target.removeprefix("/") if target.startswith("/") else f"xl/{target}"


class _SheetWalk(Walk):
    """A walk through one sheet: where its cells stand and what is in them."""

    def __init__(self) -> None:
        super().__init__(self._start_of)
        self.counted = Counted()
        self.filled = 0
        self.formulas: set[Place] = set()
        self.errors: set[Place] = set()
        self._row = self._column = 0
        self._is_error = self._is_filled = False

    def _start_of(self, name: str, attributes: Attributes) -> None:
        if name == "c":
            self._cell(attributes)
        elif name in {"v", "is", "f"}:
            self._fill(name)
        elif name == "row":
            self.forget_text()
            self._row = _number(attributes.get("r"), self._row + 1)
            self._column = 0

    def _cell(self, attributes: Attributes) -> None:
        self.forget_text()
        self._is_error, self._is_filled = attributes.get("t") == "e", False
        address = attributes.get("r")
        if address is None:
            self._column += 1
            return
        found = _ADDRESS.fullmatch(address)
        if found is None:
            raise unreadable("not_a_workbook", f"has a cell at {address[:20]!r}, where there is none")
        column = 0
        for letter in found[1]:
            column = column * 26 + ord(letter) - ord("A") + 1
        self._row, self._column = int(found[2]), column

    def _fill(self, name: str) -> None:
        if not self._is_filled:
            self._is_filled = True
            self.filled += 1
            self.counted.at(self._row, self._column)
        if name == "f":
            self.formulas.add((self._row, self._column))
        if self._is_error:
            self.errors.add((self._row, self._column))


def _number(text: str | None, otherwise: int) -> int:
    return int(text) if text is not None and text.isascii() and text.isdigit() and len(text) < 8 else otherwise  # noqa: PLR2004 - no sheet has ten million rows


def looked_through(parts: Parts, page: Page) -> Looked:
    """Return what stands in a sheet; raises ``Faulty`` where it is not there, or is beyond the bounds."""
    if page.part not in parts:
        raise unreadable("not_a_workbook", f"is damaged: its sheet {page.name[:60]!r} is missing")
    walk = _SheetWalk()
    walk.through(parts.lots(page.part), part=page.part)
    return Looked(filled=walk.filled, formulas=frozenset(walk.formulas), errors=frozenset(walk.errors))
