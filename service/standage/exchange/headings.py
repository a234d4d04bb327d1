"""Which row of a sheet heads its columns, what each column holds, and in which unit: a suggestion, never a decision."""

import re
from collections.abc import Iterable
from difflib import SequenceMatcher
from typing import Annotated, Literal

import msgspec

from standage.exchange.cells import MOST_COLUMNS, Cell, Row, Sheet, is_empty, letters
from standage.exchange.fields import BY_ALIAS, BY_NAME, RANKS, UNIT_WORDS, UNITS, Field, FieldName, Unit, plain
from standage.exchange.numbers import Decimal
from standage.exchange.values import shown_cell
from standage.railway.stock.vehicles import LengthFrom, LengthOver, VehicleKind
from standage.railway.terms.faults import Fault, Ruled
from standage.railway.terms.figures import Identifier, says
from standage.railway.terms.scales import Practice, ScaleName

_HEADINGS_WITHIN = 20
_WHOSE = frozenset({"engine", "wagon", "coach", "vehicle", "model"})
_SAMPLES = 3
_LONGEST_SAMPLE = 60
_LONGEST_HEAD = 200
_LEAST_ALIKE = 0.8
_SHORTEST_MISSPELT = 4
_WORSE = 1000
NAMING = frozenset({"name", "number", "external_key", "id"})
"""The fields by which a vehicle is named."""
_ID = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")
_IN_BRACKETS = re.compile(r"\s*[(\[{]\s*(?:in )?([^()\[\]{}]*?)\s*[)\]}]", re.IGNORECASE)
_AT_END = re.compile(r"(?:\s*[,/:]\s*|\s+(?:in )?)([a-z]+|[\"″'])\.?$", re.IGNORECASE)
_COMMA = re.compile(r"\d,\d{1,2}(?!\d)|\d,\d{4}")
_POINT = re.compile(r"\d\.\d")


class ColumnUse(Ruled, frozen=True, kw_only=True):
    """That a column holds one field of the vehicles."""

    column: Annotated[int, msgspec.Meta(ge=1, le=MOST_COLUMNS), says("The column, counted from 1 at the left.")]
    field: Annotated[FieldName, says("What it holds.")]
    unit: Annotated[Unit | None, says("The unit of its bare figures; the service's own if not said.")] = None

    def rules(self) -> Iterable[Fault]:
        """The unit is one of the field's."""
        known = UNITS.get(BY_NAME[self.field].sort, ())
        if self.unit is not None and self.unit not in known:
            message = f"is no unit of {self.field}" + (f": use {', '.join(known)}" if known else ", which has none")
            yield Fault(code="not_a_choice", message=message, pointer="/unit")


class Mapping(Ruled, frozen=True, kw_only=True):
    """What the columns of a sheet hold, and what holds for all rows that do not say it themselves."""

    header_row: Annotated[
        Annotated[int, msgspec.Meta(ge=0, le=1000)], says("The row that heads the columns; 0 where none does.")
    ] = 1
    columns: Annotated[
        tuple[ColumnUse, ...], msgspec.Meta(max_length=MOST_COLUMNS), says("The columns that are taken, in any order.")
    ] = ()
    decimal: Annotated[
        Decimal, says("What stands before the tenths; with either, what can be read in two ways is a fault.")
    ] = "either"
    owner_id: Annotated[Identifier | None, says("Whose vehicles they are where no column says; else yours.")] = None
    scale: Annotated[ScaleName | None, says("The scale of rows that do not say it.")] = None
    kind: Annotated[VehicleKind | None, says("The kind of vehicles of which neither row nor record says it.")] = None
    practice: Annotated[Practice | None, says("Whose railways, where neither row nor record says it.")] = None
    length_over: Annotated[LengthOver | None, says("What lengths are over, where neither row nor record says it.")] = (
        None
    )
    length_from: Annotated[LengthFrom | None, says("How lengths were found, where the rows do not say it.")] = None

    def rules(self) -> Iterable[Fault]:
        """A column is used once, and a field stands in one column."""
        for name in ("column", "field"):
            seen = set()
            for position, use in enumerate(self.columns):
                value = getattr(use, name)
                if value in seen:
                    message = f"{value} is used twice" if name == "field" else f"column {value} is used twice"
                    yield Fault(code="repeated", message=message, pointer=f"/columns/{position}/{name}")
                seen.add(value)


class Column(msgspec.Struct, frozen=True, kw_only=True):
    """One column of the sheet as it was found, and what it was taken to hold."""

    column: Annotated[int, says("Counted from 1 at the left.")]
    letters: Annotated[str, says("As a spreadsheet letters it.")]
    header: Annotated[str, says("What stands at its head; empty where nothing does.")]
    samples: Annotated[tuple[str, ...], says("What stands in its first rows.")]
    field: Annotated[str | None, says("What it is taken to hold; null where it is left out.")] = None
    unit: Annotated[str | None, says("The unit that its head names.")] = None
    how: Annotated[
        Literal["named", "nearly", "taken_already", "unknown", "no_header"],
        says("Why: its head names it, or nearly does; another column holds it already; nothing known; no head."),
    ] = "unknown"


class Suggestion(msgspec.Struct, frozen=True, kw_only=True):
    """A mapping found by the sheet's own words, and each column's part in it."""

    mapping: Mapping
    columns: tuple[Column, ...]


def suggested(sheet: Sheet, *, scale: ScaleName | None = None) -> Suggestion:
    """Return the likeliest mapping of ``sheet``; ``scale`` is the one that its club works in."""
    header_row = _header_row(sheet.rows)
    columns = found_columns(sheet, header_row)
    uses = tuple(
        ColumnUse(column=one.column, field=one.field, unit=one.unit)  # type: ignore[arg-type]  # both from the tables
        for one in columns
        if one.field is not None
    )
    mapping = Mapping(header_row=header_row, columns=uses, decimal=_decimal(sheet.rows), scale=scale)
    return Suggestion(mapping=mapping, columns=columns)


def lists_stock(sheet: Sheet) -> bool:
    """Tell whether a sheet looks like a list of stock: it names vehicles, says more of them, and has rows."""
    found = suggested(sheet).mapping
    fields = {use.field for use in found.columns}
    return bool(fields & NAMING) and len(fields) > 1 and len(sheet.rows) > found.header_row > 0


def _header_row(rows: tuple[Row, ...]) -> int:
    """Return the row in which most cells head a known field, counted from 1.

    Where no row has any, the first where it holds words only, and otherwise 0: then there is no heading.
    """
    known = [
        sum(1 for cell in row if isinstance(cell, str) and (known := _by_words(cell)) is not None and not known.nearly)
        for row in rows[:_HEADINGS_WITHIN]
    ]
    most = max(known, default=0)
    if most == 0:
        return int(all(isinstance(cell, str) and not re.search(r"\d", cell) for cell in rows[0]))
    return known.index(most) + 1


def found_columns(sheet: Sheet, header_row: int) -> tuple[Column, ...]:
    """Return every column of the sheet with what its head says; of several for one field, the best is taken."""
    width = max(map(len, sheet.rows))
    heads = sheet.rows[header_row - 1] if 1 <= header_row <= len(sheet.rows) else ()
    found: list[Column] = []
    best: dict[str, tuple[int, int]] = {}
    for position in range(width):
        column, rank = _column(sheet.rows, heads, position, after=header_row)
        found.append(column)
        if column.field is not None:
            best[column.field] = min(best.get(column.field, (rank, position)), (rank, position))
    return tuple(
        one
        if one.field is None or best[one.field][1] == position
        else msgspec.structs.replace(one, field=None, how="taken_already")
        for position, one in enumerate(found)
    )


def _column(rows: tuple[Row, ...], heads: Row, position: int, *, after: int) -> tuple[Column, int]:
    """Return a column, and how well its head says what it holds: 0 is best."""
    head = shown_cell(heads[position]).strip() if position < len(heads) else ""
    cells: list[Cell] = []
    for row in rows[after:]:
        if position < len(row) and not is_empty(row[position]):
            cells.append(row[position])
            if len(cells) == _SAMPLES:
                break
    samples = tuple(shown_cell(cell)[:_LONGEST_SAMPLE] for cell in cells)
    known = _known(head) if head else None
    field = None if known is None else known.field.name
    how: Literal["named", "nearly", "unknown", "no_header"] = "unknown" if head else "no_header"
    if known is not None:
        how = "nearly" if known.nearly else "named"
    if field == "id" and samples and not any(_ID.fullmatch(one) for one in samples):
        field = "external_key"  # the list's own, not the service's
    column = Column(
        column=position + 1,
        letters=letters(position + 1),
        header=head[:_LONGEST_SAMPLE],
        samples=samples,
        field=field,
        unit=None if known is None else known.unit,
        how=how,
    )
    return column, 0 if known is None else known.rank


class _Known(msgspec.Struct, frozen=True, kw_only=True):
    """What a heading says: a field, the unit beside it, and how well it says it."""

    field: Field
    unit: Unit | None
    rank: int
    nearly: bool = False


def recognised(head: str) -> tuple[Field | None, Unit | None, bool]:
    """Return the field that a heading names, the unit beside it, and whether it only nearly does.

    >>> field, unit, _ = recognised("Length (in)")
    >>> field.name, unit
    ('length_mm', 'in')
    """
    known = _known(head)
    return (None, None, False) if known is None else (known.field, known.unit, known.nearly)


def _known(head: str) -> _Known | None:
    return _by_words(head) or _by_words(head, misspelt=True)


def _by_words(head: str, *, misspelt: bool = False) -> _Known | None:
    if len(head) > _LONGEST_HEAD:
        return None
    words, unit = _parted(head)
    name = plain(words)
    if misspelt:
        name = _nearest(name) or ""
    elif name not in BY_ALIAS:
        first, _, rest = name.partition(" ")
        name = rest if first in _WHOSE else ""
    field = BY_ALIAS.get(name)
    if field is None:
        return None
    known = UNITS.get(field.sort, ())
    rank = RANKS[name] + (_WORSE if misspelt else 0)
    return _Known(field=field, unit=unit if unit in known else None, rank=rank, nearly=misspelt)


def _nearest(name: str) -> str | None:
    """Return the known words of which each is one of ``name``, in any order, but for slips of the pen.

    Another word means another thing: an old number is no number, and a diameter no radius.
    """
    words = name.split()
    found = [(_nearness(words, alias.split()), alias) for alias in BY_ALIAS]
    nearness, alias = max(found, key=lambda one: one[0], default=(0.0, ""))
    return alias if nearness else None


def _nearness(words: list[str], others: list[str]) -> float:
    if len(words) != len(others):
        return 0.0
    left = sorted(word for word in words if word not in others)
    right = sorted(word for word in others if word not in words)
    if len(left) != len(right):
        return 0.0
    alike = [_alike(one, other) for one, other in zip(left, right, strict=True)]
    return 1.0 + sum(alike) - len(alike) if all(alike) else 0.0


def _alike(one: str, other: str) -> float:
    """Return how alike two words are from 0 to 1; 0 where they are others. Short words are all near each other."""
    if min(len(one), len(other)) < _SHORTEST_MISSPELT:
        return 0.0
    matcher = SequenceMatcher(None, one, other)
    if matcher.real_quick_ratio() < _LEAST_ALIKE:
        return 0.0
    ratio = matcher.ratio()
    return ratio if ratio >= _LEAST_ALIKE else 0.0


def _parted(head: str) -> tuple[str, Unit | None]:
    text = " ".join(head.split())
    for found in _IN_BRACKETS.finditer(text):
        if (unit := _unit(found[1])) is not None:
            return text[: found.start()] + text[found.end() :], unit
    at_end = _AT_END.search(text)
    if at_end is not None and (unit := _unit(at_end[1])) is not None:
        return text[: at_end.start()], unit
    return text, None


def _unit(words: str) -> Unit | None:
    return UNIT_WORDS.get(words.casefold().strip(" ."))


def _decimal(rows: tuple[Row, ...]) -> Decimal:
    """Return what stands before the tenths where the sheet's cells show one way and never the other."""
    texts = [cell for row in rows for cell in row if isinstance(cell, str) and len(cell) < _LONGEST_SAMPLE]
    comma = any(_COMMA.search(text) for text in texts if text[:1].isdigit())
    point = any(_POINT.search(text) for text in texts if text[:1].isdigit())
    if comma == point:
        return "either"
    return "comma" if comma else "point"
