"""A sheet of track into a plan: all pieces and joins from the sheet, what is beyond it
from the draft that it is laid upon, and every fault by row and column.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from typing import Annotated

import msgspec

from standage.exchange.cells import Sheet, unreadable
from standage.exchange.headings import (
    Column,
    SheetMapping,
    decimal_of,
    is_list,
    suggested,
)
from standage.exchange.numbers import Trouble
from standage.exchange.plans.beyond import is_beyond
from standage.exchange.plans.fields import FIELDS, FIGURES, TRACK
from standage.exchange.plans.joins_told import Joins, ToldJoin, joins_told
from standage.exchange.plans.piece_rows import PieceRow, of_fault, piece_rows
from standage.exchange.rows import Heads, RowFault
from standage.railway.terms.figures import says
from standage.railway.track.pieces.piece_kinds import AnyPiece
from standage.railway.track.pieces.plain_pieces import Flexible
from standage.railway.track.plans.flat import written
from standage.railway.track.plans.plan import MOST_JOINS, Plan, PlannedPlace
from standage.railway.track.plans.plan_faults import plan_faults
from standage.shapes.decoding import convert
from standage.shapes.faults import Fault, Faulty, unescaped

_MENDS = {
    "joined_twice": "an end joins one other end: put one of the cells right",
    "joined_to_itself": "write what the end joins, or leave the cell empty",
    "unknown_piece": "write the name as the piece's own row has it",
    "unknown_end": "write the piece, a dot and its end, as in P1.toe",
    "too_long": "measure again: one of the figures cannot be right",
    "one_or_the_other": "empty one of the two cells",
    "contradiction": "measure again: one of the figures cannot be right",
}
_SEGMENTS = Trouble(
    code="missing",
    message="a sheet cannot say how flexible track is bent",
    mend="write yes under Fitted, or lay it as straights and curves",
)


_LAST = MOST_JOINS + 1
"""Joins without a place of their own in the plan's order come last, as told."""


class SheetPlace(msgspec.Struct, frozen=True, kw_only=True):
    """A place of which a sheet tells."""

    name: Annotated[str, says("What it is called.")]
    kind: Annotated[str | None, says("What sort of place it is.")]
    pieces: Annotated[
        tuple[str, ...], says("The pieces that it lies on, in the order of the rows.")
    ]
    row: Annotated[int, says("The first row that tells of it.")]


class PlanRead(msgspec.Struct, frozen=True, kw_only=True):
    """What a sheet says: a plan, as far as its rows can be taken, and all that is wrong
    with them.
    """

    plan: Plan
    mapping: SheetMapping
    columns: tuple[Column, ...]
    rows: tuple[PieceRow, ...]
    places: tuple[SheetPlace, ...]
    """None where no row tells of one: then the plan's own stay."""
    beyond: tuple[Fault, ...]
    """What is wrong with the plan and stands in no row."""


def lists_track(sheet: Sheet) -> bool:
    """Tell whether a sheet looks like one of track."""
    return is_list(sheet, TRACK)


def plan_in(sheet: Sheet, *, onto: Plan) -> PlanRead:
    """Return the plan that a sheet makes of a draft; raises ``Faulty`` where it has
    more joins than a plan may have.
    """
    mapping, columns = _mapped(sheet)
    heads = Heads(sheet, mapping, FIELDS)
    rows = _with_repeated(piece_rows(sheet, mapping), heads)
    pieces = _pieces(rows, onto)
    told = _joins(rows)
    at_fault = {one.name for one in rows if one.name and one.piece is None}
    joins = _in_plan(told, pieces, onto, at_fault=at_fault)
    places = _places(rows)
    plan = msgspec.structs.replace(
        onto,
        pieces=pieces,
        joins=tuple(join for join, _ in joins),
        places=places.places if places.are_told else onto.places,
    )
    blamed = _Blamed(rows, heads)
    blamed.unclear(told, places)
    blamed.of_plan(plan, [by for _, by in joins], places)
    return PlanRead(
        plan=plan,
        mapping=mapping,
        columns=columns,
        rows=blamed.rows(),
        places=tuple(places.told()),
        beyond=tuple(blamed.beyond),
    )


def _mapped(sheet: Sheet) -> tuple[SheetMapping, tuple[Column, ...]]:
    """Return what the columns hold; what stands before the tenths is seen from figures
    alone, since names may have points and commas.
    """
    found = suggested(sheet, TRACK)
    figures = {use.column for use in found.mapping.columns if use.field in FIGURES}
    below = sheet.rows[found.mapping.header_row :]
    cells = [
        cell for row in below for at, cell in enumerate(row, start=1) if at in figures
    ]
    mapping = msgspec.structs.replace(found.mapping, decimal=decimal_of(cells))
    return mapping, found.columns


def _with_repeated(rows: Sequence[PieceRow], heads: Heads) -> list[PieceRow]:
    """Return the rows with a fault on each that has the name of another."""
    of_name: defaultdict[str, list[int]] = defaultdict(list)
    for one in rows:
        if one.name is not None:
            of_name[one.name].append(one.row)
    return [_if_repeated(one, of_name.get(one.name or "", []), heads) for one in rows]


def _if_repeated(one: PieceRow, same: Sequence[int], heads: Heads) -> PieceRow:
    other = next((row for row in same if row != one.row), None)
    if other is None:
        return one
    trouble = Trouble(
        code="twice_in_the_file",
        message=f"is the name of the piece in row {other} too",
        mend="give each piece a name of its own",
    )
    fault = heads.fault(trouble, field="piece", cell=one.name)
    return msgspec.structs.replace(
        one, piece=None, name=None, said=(), faults=(*one.faults, fault)
    )


def _pieces(rows: Iterable[PieceRow], onto: Plan) -> dict[str, AnyPiece]:
    found: dict[str, AnyPiece] = {}
    for one in rows:
        if one.name is not None and one.piece is not None:
            found[one.name] = _with_parts(one.piece, onto.pieces.get(one.name))
    return found


def _with_parts(piece: AnyPiece, before: AnyPiece | None) -> AnyPiece:
    """Return flexible track with the parts that it has in the draft."""
    if not isinstance(piece, Flexible) or not isinstance(before, Flexible):
        return piece
    if piece.fitted and not before.fitted:
        return piece
    return msgspec.structs.replace(piece, segments=before.segments)


def _joins(rows: Iterable[PieceRow]) -> Joins:
    kept = [one for one in rows if one.name is not None]
    ends = {one.name: one.ends for one in kept if one.name is not None}
    return joins_told((said for one in kept for said in one.said), ends)


_Told = tuple[tuple[str, str], ToldJoin | None]
"""A join, and the cell that tells it; None where the draft has it."""


def _in_plan(
    told: Joins,
    pieces: Mapping[str, AnyPiece],
    onto: Plan,
    *,
    at_fault: AbstractSet[str],
) -> list[_Told]:
    """Return the plan's joins in their order: the sheet's, but for pieces at fault, and
    those of the draft that are beyond it.
    """
    are_numbered = any(one.number is not None for one in told.joins)
    placed: list[tuple[int, _Told]] = []
    for one in told.joins:
        near, far = one.ends
        if not {near[0], far[0]} & at_fault:
            join = (written(near), written(far))
            placed.append((one.number or _LAST, (join, one)))
    for number, kept in enumerate(onto.joins, start=1):
        if is_beyond(kept, onto.pieces) and is_beyond(kept, pieces):
            place = number if are_numbered else _LAST
            placed.append((place, ((kept[0], kept[1]), None)))
    if len(placed) > MOST_JOINS:
        message = f"tells {len(placed)} joins, but a plan has {MOST_JOINS} at most"
        raise unreadable("too_many_joins", message)
    placed.sort(key=lambda one: one[0])
    return [one for _, one in placed]


class _Places(msgspec.Struct, frozen=True, kw_only=True):
    """The places that rows tell of, and the rows whose words for one cannot be."""

    places: tuple[PlannedPlace, ...] = ()
    first_rows: tuple[int, ...] = ()
    troubles: tuple[tuple[int, Trouble], ...] = ()
    are_told: bool = False

    def told(self) -> Iterator[SheetPlace]:
        """Yield each place with the row where it begins."""
        for place, row in zip(self.places, self.first_rows, strict=True):
            pieces = place.on or ()
            yield SheetPlace(
                name=place.name,
                kind=place.kind,
                pieces=pieces,
                row=row,
            )


def _places(rows: Iterable[PieceRow]) -> _Places:
    on: defaultdict[str, list[PieceRow]] = defaultdict(list)
    for one in rows:
        if one.place is not None and one.name is not None and one.piece is not None:
            on[one.place].append(one)
    places: list[PlannedPlace] = []
    first_rows: list[int] = []
    troubles: list[tuple[int, Trouble]] = []
    for name, under in on.items():
        kinds = [one.place_kind for one in under if one.place_kind is not None]
        said = {
            "name": name,
            "kind": kinds[0] if kinds else None,
            "on": [one.name for one in under],
        }
        try:
            places.append(convert(said, PlannedPlace))
            first_rows.append(under[0].row)
        except Faulty as faulty:
            troubles.append((under[0].row, of_fault(faulty.faults[0], None)))
    return _Places(
        places=tuple(places),
        first_rows=tuple(first_rows),
        troubles=tuple(troubles),
        are_told=bool(on),
    )


class _Blamed:
    """What is wrong with a plan, row by row."""

    def __init__(self, rows: Sequence[PieceRow], heads: Heads) -> None:
        self._rows = rows
        self._heads = heads
        self._more: defaultdict[int, list[RowFault]] = defaultdict(list)
        self._row_of = {one.name: one.row for one in rows if one.name is not None}
        self.beyond: list[Fault] = []

    def rows(self) -> tuple[PieceRow, ...]:
        """Return the rows with all that is wrong with them."""
        return tuple(self._with_more(one) for one in self._rows)

    def _with_more(self, one: PieceRow) -> PieceRow:
        more = self._more.get(one.row)
        if not more:
            return one
        return msgspec.structs.replace(one, faults=(*one.faults, *more))

    def _blame(self, row: int, trouble: Trouble, *, field: str) -> None:
        self._more[row].append(self._heads.fault(trouble, field=field))

    def unclear(self, told: Joins, places: _Places) -> None:
        """Put down what nobody can tell the meaning of."""
        for one in told.unclear:
            self._blame(one.said.row, one.trouble, field=one.said.field)
        for row, trouble in places.troubles:
            self._blame(row, trouble, field="place")

    def of_plan(
        self, plan: Plan, told: Sequence[ToldJoin | None], places: _Places
    ) -> None:
        """Put down the faults of the whole plan where they are mended."""
        for fault in plan_faults(plan):
            where = self._where(fault, told, places)
            if where is None:
                self.beyond.append(fault)
                continue
            row, field = where
            self._blame(row, _trouble(fault, field), field=field)

    def _where(
        self, fault: Fault, told: Sequence[ToldJoin | None], places: _Places
    ) -> tuple[int, str] | None:
        """Return the row and the field of a fault; None where no cell says it."""
        _, part, name, field, *_ = [*(fault.pointer or "").split("/"), "", "", ""]
        if part == "pieces" and unescaped(name) in self._row_of:
            return self._row_of[unescaped(name)], field
        if part == "joins" and (join := told[int(name)]) is not None:
            return join.by.row, join.by.field
        if part == "places" and places.are_told:
            return places.first_rows[int(name)], "place"
        return None


def _trouble(fault: Fault, field: str) -> Trouble:
    """Return a fault of the plan as one of the cell that says it."""
    if field == "segments":
        return _SEGMENTS
    trouble = of_fault(fault, field)
    mend = _MENDS.get(fault.code, trouble.mend)
    return msgspec.structs.replace(trouble, mend=mend)
