"""The rows of a sheet of track, each as far as it says something of a piece."""

from collections.abc import Iterator

import msgspec

from standage.exchange.cells import Cell, Sheet, spread
from standage.exchange.headings import SheetMapping
from standage.exchange.numbers import Trouble
from standage.exchange.plans.fields import (
    END_FIELDS,
    FIELDS,
    FURTHER,
    KINDS,
    ORDER,
    TRACK,
    end_told,
)
from standage.exchange.plans.join_cells import (
    Reference,
    name_in,
    parted,
    references,
    says_nothing,
)
from standage.exchange.plans.joins_told import Said
from standage.exchange.rows import Heads, ReadRow, RowFault, RowNote, read_rows
from standage.railway.terms.figures import listed
from standage.railway.track.pieces.piece_kinds import AnyPiece
from standage.railway.track.pieces.pieces import Piece
from standage.railway.track.plans.plan import PieceName
from standage.shapes.decoding import convert
from standage.shapes.faults import Fault, Faulty

_LONGEST_JOINS = 8000
_MOST_ENDS_NAMED = 6
_NO_NUMBER = frozenset({".", "-", "–", "—"})
_NO_NAME = Trouble(
    code="missing",
    message="is empty: every piece has a name",
    mend="give the piece a name of its own, such as T1",
)
_NO_KIND = Trouble(
    code="missing",
    message="is empty: nobody can tell what the piece is",
    mend="write what it is, such as straight, curve, points or buffer stop",
)
_PARTED_NAME = Trouble(
    code="bad_characters",
    message="has a dot or a stroke in it, which parts a piece from its end",
    mend="leave it out, as in T1 or Loop 2",
)
_ORDER_AMISS = Trouble(
    code="wrong_order",
    message="does not have one whole number for each end of this row that joins",
    mend="empty the whole column: joins are then taken in the order of the rows",
)


class PieceRow(msgspec.Struct, frozen=True, kw_only=True):
    """What one row says: a piece, where it can be one, and what its ends join."""

    row: int
    name: str | None
    kind: str | None
    piece: AnyPiece | None
    ends: tuple[str, ...]
    said: tuple[Said, ...]
    place: str | None
    place_kind: str | None
    faults: tuple[RowFault, ...]
    notes: tuple[RowNote, ...]


def piece_rows(sheet: Sheet, mapping: SheetMapping) -> list[PieceRow]:
    """Return what every row says that is not empty."""
    whole, joined = spread(sheet, below=mapping.header_row)
    heads = Heads(whole, mapping, FIELDS)
    rows = read_rows(whole, mapping, TRACK, joined=joined)
    return [_Row(read, heads).told() for read in rows]


class _Row:
    """One row on its way to a piece, with what is wrong with it so far."""

    def __init__(self, read: ReadRow, heads: Heads) -> None:
        self._read = read
        self._heads = heads
        self._faults = list(read.faults)
        self._kind: str | None = read.values.get("kind")

    def told(self) -> PieceRow:
        """Return what the row says."""
        name = self._name()
        piece = self._piece()
        ends = _ends_of(self._kind, piece)
        said = self._in_order(list(self._said(name, ends)))
        return PieceRow(
            row=self._read.row,
            name=name,
            kind=self._kind,
            piece=piece,
            ends=ends,
            said=tuple(said),
            place=self._named("place"),
            place_kind=self._read.said.get("place_kind"),
            faults=tuple(self._faults),
            notes=self._read.notes,
        )

    def _blame(self, trouble: Trouble, *, field: str | None, cell: Cell = None) -> None:
        """Put a fault down, unless there is one of that cell already."""
        known = {fault.field for fault in self._faults}
        if field is None or field not in known:
            self._faults.append(
                self._heads.fault(
                    trouble,
                    field=field,
                    cell=cell,
                )
            )

    def _named(self, field: str) -> str | None:
        text = self._read.said.get(field)
        if text is None:
            return None
        return name_in(text) or None

    def _name(self) -> str | None:
        if self._read.apart is not None and self._kind is None:
            self._blame(self._read.apart, field=None)
            return None
        name = self._named("piece")
        if name is None:
            self._blame(_NO_NAME, field="piece")
            return None
        if "." in name or "/" in name:
            self._blame(_PARTED_NAME, field="piece", cell=name)
            return None
        try:
            return convert(name, PieceName)
        except Faulty as faulty:
            self._blame(of_fault(faulty.faults[0], None), field="piece", cell=name)
        return None

    def _piece(self) -> AnyPiece | None:
        if self._kind is None:
            if self._read.apart is None:
                self._blame(_NO_KIND, field="kind")
            return None
        known = _figures_of(self._kind)
        figures = {
            name: self._read.values[name] for name in self._read.values if name in known
        }
        strange = [name for name in self._read.values if name not in known]
        for name in strange:
            self._blame(_not_of_kind(self._kind), field=name)
        try:
            piece = convert(figures, KINDS[self._kind])
        except Faulty as faulty:
            for fault in faulty.faults:
                self._blame_figure(fault)
            return None
        is_whole = not strange and not self._has_unread(known)
        return piece if is_whole else None  # type: ignore[return-value]  # of the union

    def _has_unread(self, known: frozenset[str]) -> bool:
        """Tell whether a figure of the piece is at fault itself."""
        return any(fault.field in known for fault in self._faults)

    def _blame_figure(self, fault: Fault) -> None:
        name = (fault.pointer or "").removeprefix("/").split("/")[0]
        value = self._read.values.get(name)
        cell = None if value is None else str(value)
        self._blame(
            of_fault(fault, name),
            field=name,
            cell=cell,
        )

    def _said(self, name: str | None, ends: tuple[str, ...]) -> Iterator[Said]:
        """Yield what the row's cells say that its ends join."""
        for field in END_FIELDS:
            text = self._read.said.get(field)
            if text is None or says_nothing(text) or not self._is_readable(field, text):
                continue
            end = end_told(field, ends)
            if end is not None:
                yield from self._joins(name, end, field, text)
            elif ends:
                self._blame(
                    _no_such_end(ends),
                    field=field,
                    cell=text,
                )
        text = self._read.said.get(FURTHER)
        if text is not None and self._is_readable(FURTHER, text):
            yield from self._further(name, ends, text)

    def _is_readable(self, field: str, text: str) -> bool:
        if len(text) <= _LONGEST_JOINS:
            return True
        trouble = Trouble(
            code="too_long",
            message=f"has {len(text)} characters, far more than what belongs here",
            mend="write the piece that this end joins, and its end, as in P1.toe",
        )
        self._blame(trouble, field=field)
        return False

    def _further(
        self, name: str | None, ends: tuple[str, ...], text: str
    ) -> Iterator[Said]:
        """Yield what a cell says of several ends: r5: T7.a; r6: T8.a."""
        for part in parted(text):
            end, mark, rest = part.partition(":")
            if not mark and len(ends) == 1:
                end, rest = ends[0], part
            if end.strip() in ends:
                yield from self._joins(name, end.strip(), FURTHER, rest)
            elif ends:
                self._blame(
                    _no_such_end(ends),
                    field=FURTHER,
                    cell=text,
                )

    def _joins(
        self, name: str | None, end: str, field: str, text: str
    ) -> Iterator[Said]:
        for meant in references(text):
            if name is not None:
                yield self._one(
                    name,
                    end,
                    field,
                    meant,
                )

    def _one(self, name: str, end: str, field: str, meant: Reference) -> Said:
        return Said(
            row=self._read.row,
            field=field,
            end=(name, end),
            meant=meant,
        )

    def _in_order(self, said: list[Said]) -> list[Said]:
        """Return what the row says with each join's place in the plan's order, where a
        column has it.
        """
        text = self._read.said.get(ORDER)
        if text is None or not self._is_readable(ORDER, text):
            return said
        numbers = [_number(part) for part in parted(text)]
        if len(numbers) != len(said) or 0 in numbers:
            self._blame(
                _ORDER_AMISS,
                field=ORDER,
                cell=text,
            )
            return said
        numbered = zip(said, numbers, strict=True)
        return [msgspec.structs.replace(one, number=number) for one, number in numbered]


def _number(part: str) -> int | None:
    """Return a join's number; None for a mark that the other row has it, 0 for what is
    no number.
    """
    if part in _NO_NUMBER:
        return None
    digits = part.removeprefix("-")
    if len(digits) > len("100000") or not (digits.isascii() and digits.isdigit()):
        return 0
    return int(part)


def _figures_of(kind: str) -> frozenset[str]:
    return frozenset(("kind", *KINDS[kind].__struct_fields__))


def _ends_of(kind: str | None, piece: Piece | None) -> tuple[str, ...]:
    """Return the ends of a piece; of one that is at fault those of its kind, none where
    they hang on its figures.
    """
    if piece is not None:
        return piece.ends
    if kind is None or KINDS[kind].ends is not Piece.ends:
        return ()
    return KINDS[kind].end_names


def spoken(kind: str) -> str:
    """Return a kind of piece as people say it."""
    return kind.replace("_", " ")


def _not_of_kind(kind: str) -> Trouble:
    return Trouble(
        code="not_of_kind",
        message=f"is no figure of a piece that is {spoken(kind)}",
        mend="empty the cell, or put the kind right",
    )


def _no_such_end(ends: tuple[str, ...]) -> Trouble:
    return Trouble(
        code="no_such_end",
        message=f"is no end of this piece; it has {listed(ends[:_MOST_ENDS_NAMED])}",
        mend="put what it joins under the end that is meant",
    )


def of_fault(fault: Fault, field: str | None) -> Trouble:
    """Return what is wrong with a figure of a piece, and how its cell is mended."""
    mend = "mend the cell"
    known = FIELDS.by_name.get(field or "")
    if fault.code == "missing":
        mend = "fill the cell in"
    elif known is not None and known.is_figure:
        mend = f"write it like {known.such_as}"
    return Trouble(
        code=fault.code,
        message=fault.message,
        mend=mend,
    )
