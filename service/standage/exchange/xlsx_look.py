"""What an XLSX workbook holds, looked at before it is read: its sheets, its formulas,
and what makes it unsafe.
"""

import re
from collections.abc import Mapping
from collections.abc import Set as AbstractSet

import msgspec

from standage.exchange.cells import MOST_ROWS, Joined, Place, place, unreadable
from standage.exchange.number_formats import says_more
from standage.exchange.xml_walk import Attributes, Counted, Walk
from standage.exchange.zip_parts import Parts

_BOOK = "xl/workbook.xml"
_LINKS = "xl/_rels/workbook.xml.rels"
_TYPES = "[Content_Types].xml"
_STYLES = "xl/styles.xml"
_AROUND = (_TYPES, "_rels/.rels", _BOOK, _LINKS, _STYLES, "xl/sharedStrings.xml")
_ADDRESS = re.compile(r"([A-Z]{1,3})([1-9]\d{0,6})")
_MOST_SHEETS = 100
_MOST_FORMATS = 1000
_LONGEST_FORMAT = 100
_MOST_HEARD = 2000


class Page(msgspec.Struct, frozen=True, kw_only=True):
    """One sheet of a workbook: its name and its part."""

    name: str
    part: str
    hidden: bool


class Looked(msgspec.Struct, frozen=True, kw_only=True):
    """What was seen in one sheet: how many cells have something in them, and where
    formulas and errors stand.
    """

    filled: int
    formulas: AbstractSet[Place]
    errors: AbstractSet[Place] = frozenset()
    said: Mapping[Place, str] = {}
    """What the first of those say."""
    formats: Mapping[Place, str] = {}
    """The formats that show more than the number."""
    shown: Mapping[Place, str] = {}
    """What is shown of a number, where that is more than the number."""
    joined: tuple[Joined, ...] = ()
    hidden: bool = False
    """Whether the sheet is hidden, where that stands beside its cells."""
    hidden_rows: tuple[int, ...] = ()


def around(parts: Parts) -> dict[str, bytes]:
    """Return the parts that every sheet needs, each looked through; raises ``Faulty``
    for what is unsafe or no XLSX.
    """
    if _BOOK not in parts or _LINKS not in parts or _TYPES not in parts:
        raise unreadable(
            "not_a_workbook", "is not an XLSX workbook: is it an ODS or another file?"
        )
    _require_plain(parts)
    found = {name: parts.whole(name) for name in _AROUND if name in parts}
    for name, part in found.items():
        walk = _TextWalk() if name.endswith("sharedStrings.xml") else Walk(_nothing)
        walk.through([part], part=name)
    if b"macroEnabled" in found[_TYPES]:
        raise _macros()
    return found


_MACROS = ("vbaproject.bin", "vbadata.xml")
_OUTSIDE = ("xl/externallinks/", "xl/connections.xml", "xl/querytables/")


def _require_plain(parts: Parts) -> None:
    for part in parts.names:
        name = part.casefold()
        if name.endswith(_MACROS) or "/macrosheets/" in name:
            raise _macros()
    for part in parts.names:
        if part.casefold().startswith(_OUTSIDE):
            message = (
                "takes figures from other files or from the net: paste those as values,"
                " and save it again"
            )
            raise unreadable("external_links", message)


def _macros() -> Exception:
    return unreadable(
        "macros",
        "holds macros (programs): save it as an ordinary XLSX file without them",
    )


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
            hidden = attributes.get("state", "visible") != "visible"
            sheets.append((attributes.get("name", ""), _link_of(attributes), hidden))

    Walk(of_links).through([found[_LINKS]], part=_LINKS)
    Walk(of_book).through([found[_BOOK]], part=_BOOK)
    return tuple(
        Page(
            name=name,
            part=_part(targets.get(link, "")),
            hidden=hidden,
        )
        for name, link, hidden in sheets[:_MOST_SHEETS]
    )


def _link_of(attributes: Attributes) -> str:
    """Return the id of the link to a sheet's part, whatever its name space is called."""
    for key, value in attributes.items():
        if key.rpartition(":")[2] == "id":
            return value
    return ""


def _part(target: str) -> str:
    if target.startswith("/"):
        return target.removeprefix("/")
    return f"xl/{target}"


_BUILT_IN = {"9": "0%", "10": "0.00%"}
"""The formats that have a number and stand nowhere, as far as they show more than a
number.
"""


def telling_styles(found: Mapping[str, bytes]) -> dict[str, str]:
    """Return the formats that show more than a number, by the number of the style that
    has one.
    """
    codes = dict(_BUILT_IN)
    styles: dict[str, str] = {}
    within: list[str] = []

    def of_styles(name: str, attributes: Attributes) -> None:
        if name in {"cellXfs", "cellStyleXfs", "cellStyles"}:
            within.append(name)
        elif name == "numFmt" and len(codes) < _MOST_FORMATS:
            code = attributes.get("formatCode", "")
            if len(code) <= _LONGEST_FORMAT and says_more(code):
                codes[attributes.get("numFmtId", "")] = code
        elif name == "xf" and within[-1:] == ["cellXfs"]:
            code = codes.get(attributes.get("numFmtId", ""), "")
            if code:
                styles[str(counted[0])] = code
            counted[0] += 1

    counted = [0]
    part = found.get(_STYLES, b"<none/>")
    Walk(of_styles).through([part], part=_STYLES)
    return styles


class _SheetWalk(Walk):
    """A walk through one sheet: where its cells stand and what is in them."""

    def __init__(self, styles: Mapping[str, str]) -> None:
        super().__init__(self._start_of)
        self.counted = Counted()
        self.filled = 0
        self.formulas: set[Place] = set()
        self.errors: set[Place] = set()
        self.said: dict[Place, list[str]] = {}
        self.formats: dict[Place, str] = {}
        self.joined: list[Joined] = []
        self.hidden_rows: list[int] = []
        self._styles = styles
        self._row = self._column = 0
        self._is_error = self._is_filled = False
        self._format: str | None = None

    def _start_of(self, name: str, attributes: Attributes) -> None:
        if name == "c":
            self._cell(attributes)
        elif name in {"v", "is", "f"}:
            self._fill(name)
        elif name == "mergeCell":
            self._join(attributes.get("ref", ""))
        elif name == "row":
            self.forget_text()
            self._row = _number(attributes.get("r"), self._row + 1)
            if (
                attributes.get("hidden") in {"1", "true"}
                and len(self.hidden_rows) < MOST_ROWS
            ):
                self.hidden_rows.append(self._row)
            self._column = 0

    def _cell(self, attributes: Attributes) -> None:
        self.forget_text()
        self._is_error, self._is_filled = attributes.get("t") == "e", False
        self._format = (
            self._styles.get(attributes.get("s", ""))
            if attributes.get("t", "n") == "n"
            else None
        )
        address = attributes.get("r")
        if address is None:
            self._column += 1
            return
        self._row, self._column = _row_and_column(address)

    def _fill(self, name: str) -> None:
        if not self._is_filled:
            self._is_filled = True
            self.filled += 1
            self.counted.at(self._row, self._column)
        here = place(self._row, self._column)
        self.hear_no_more()
        is_formula = name == "f"
        if is_formula:
            self.formulas.add(here)
        elif self._is_error:
            self.errors.add(here)
        if (is_formula or self._is_error) and len(self.said) < _MOST_HEARD:
            begins = "=" if is_formula else ""
            self.said[here] = self.hear(begins)
        if self._format is not None:
            self.formats[here] = self._format

    def _join(self, ref: str) -> None:
        first, _, last = ref.partition(":")
        if not last or len(self.joined) >= MOST_ROWS:
            return
        top, column = _row_and_column(first)
        bottom, _ = _row_and_column(last)
        if bottom > top:
            self.joined.append(
                Joined(
                    column=column,
                    top=top,
                    bottom=bottom,
                )
            )


def _row_and_column(address: str) -> tuple[int, int]:
    found = _ADDRESS.fullmatch(address)
    if found is None:
        raise unreadable(
            "not_a_workbook", f"has a cell at {address[:20]!r}, outside any sheet"
        )
    column = 0
    for letter in found[1]:
        column = column * 26 + ord(letter) - ord("A") + 1
    return int(found[2]), column


_MOST_DIGITS = 7
"""No sheet has ten million rows."""


def _number(text: str | None, otherwise: int) -> int:
    if text is None or len(text) > _MOST_DIGITS:
        return otherwise
    if text.isascii() and text.isdigit():
        return int(text)
    return otherwise


def looked_through(parts: Parts, page: Page, styles: Mapping[str, str]) -> Looked:
    """Return what stands in a sheet; raises ``Faulty`` where it is not there, or is
    beyond the bounds.
    """
    if page.part not in parts:
        raise unreadable(
            "not_a_workbook", f"is damaged: its sheet {page.name[:60]!r} is missing"
        )
    walk = _SheetWalk(styles)
    walk.through(parts.lots(page.part), part=page.part)
    return Looked(
        filled=walk.filled,
        formulas=walk.formulas,
        errors=walk.errors,
        said={here: "".join(texts) for here, texts in walk.said.items()},
        formats=walk.formats,
        joined=tuple(walk.joined),
        hidden_rows=tuple(walk.hidden_rows),
    )
