"""A plan as a sheet of track: its pieces, what their ends join, and the places that lie
on whole pieces; and what such a sheet has no column for.
"""

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

import msgspec

from standage.exchange.plans.beyond import is_beyond, is_end
from standage.exchange.plans.fields import FIELDS, FURTHER, NUMBERED_ENDS, ORDER
from standage.exchange.plans.join_cells import named, reference
from standage.exchange.sheets_out import Out, shown_number
from standage.railway.track.pieces.piece_kinds import AnyPiece
from standage.railway.track.plans.flat import End, end_of
from standage.railway.track.plans.plan import Plan, PlannedPlace

_ALWAYS = frozenset({"piece", "kind", "length_mm", "end_1", "end_2"})
_OF_ANOTHER_ROW = "."
Row = dict[str, Out]


def track_sheet(plan: Plan) -> list[list[Out]]:
    """Return a plan's pieces and joins, their heading first; a column that no piece
    fills is left out unless it is a usual one.
    """
    rows = _Rows(plan).told()
    filled = _ALWAYS.union(*rows)
    columns = [field for field in FIELDS.every if field.name in filled]
    lines = [[row.get(field.name) for field in columns] for row in rows]
    return [[field.title for field in columns], *lines]


class _AtEnd(msgspec.Struct, frozen=True, kw_only=True):
    """What an end joins, by the plan's join of that number."""

    number: int
    other: End
    is_first: bool
    """Whether the end stands first in it."""


class _Rows:
    """The rows of a plan."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._at: defaultdict[End, list[_AtEnd]] = defaultdict(list)
        for number, join in enumerate(plan.joins, start=1):
            if not is_beyond(join, plan.pieces):
                self._put(number, *map(end_of, join))
        self._places = held_places(plan)
        self._is_ordered = not self._tells_in_order()

    def _put(self, number: int, one: End, other: End) -> None:
        self._at[one].append(
            _AtEnd(
                number=number,
                other=other,
                is_first=True,
            )
        )
        if one != other:
            self._at[other].append(
                _AtEnd(
                    number=number,
                    other=one,
                    is_first=False,
                )
            )

    def _tells_in_order(self) -> bool:
        """Tell whether the rows tell of the joins in the plan's own order, what is
        beyond them last.
        """
        told: dict[int, bool] = {}
        for name, piece in self._plan.pieces.items():
            for one in self._told_by(name, piece):
                told.setdefault(one.number, one.is_first)
        in_order = list(told) == list(range(1, len(told) + 1))
        return in_order and all(told.values())

    def _told_by(self, name: str, piece: AnyPiece) -> list[_AtEnd]:
        return [one for end in piece.ends for one in self._at.get((name, end), ())]

    def told(self) -> list[Row]:
        """Return every row: values by the fields' names."""
        return [self._row(name, piece) for name, piece in self._plan.pieces.items()]

    def _row(self, name: str, piece: AnyPiece) -> Row:
        row: Row = {"piece": named(name), **_figures(piece)}
        row |= self._joins(name, piece)
        if self._is_ordered:
            numbers = [self._number(one) for one in self._told_by(name, piece)]
            row[ORDER] = "; ".join(numbers) or None
        place = self._places.get(name)
        if place is not None:
            row["place"] = named(place.name)
            row["place_kind"] = _spoken(place.kind)
        return {field: value for field, value in row.items() if value is not None}

    def _joins(self, name: str, piece: AnyPiece) -> Row:
        """Return what the ends of a piece join; those beyond the fourth share a
        column.
        """
        row: Row = {}
        further: list[str] = []
        for place, end in enumerate(piece.ends):
            told = [self._reference(one.other) for one in self._at.get((name, end), ())]
            if told and place < len(NUMBERED_ENDS):
                row[NUMBERED_ENDS[place]] = "; ".join(told)
            else:
                further += [f"{end}: {one}" for one in told]
        row[FURTHER] = "; ".join(further) or None
        return row

    def _reference(self, end: End) -> str:
        """Return an end as a cell has it; one that is not there word for word."""
        return reference(*end, exactly=not is_end(end, self._plan.pieces))

    def _number(self, one: _AtEnd) -> str:
        """Return the number of a join where this row is to tell it."""
        if one.is_first:
            return str(one.number)
        if self._is_told_at(one.other):
            return _OF_ANOTHER_ROW
        return f"-{one.number}"

    def _is_told_at(self, end: End) -> bool:
        return is_end(end, self._plan.pieces)


def _figures(piece: AnyPiece) -> Row:
    """Return the figures of a piece that are not as they would be anyway."""
    said = msgspec.to_builtins(piece)
    fields = msgspec.structs.fields(type(piece))
    usual = {field.name: field.default for field in fields if not field.required}
    row: Row = {"kind": _spoken(said.pop("kind"))}
    for name, value in said.items():
        is_said = value is not None and usual.get(name) != value
        if is_said and name in FIELDS.by_name:
            row[name] = _cell(value)
    return row


def _cell(value: Any) -> Out:
    if isinstance(value, bool):
        if value:
            return "yes"
        return "no"
    if isinstance(value, str):
        return _spoken(value)
    if isinstance(value, list | tuple):
        return "; ".join(map(shown_number, value)) or None
    return float(value)


def _spoken(word: str | None) -> str | None:
    if word is None:
        return None
    return word.replace("_", " ")


def held_places(plan: Plan) -> dict[str, PlannedPlace]:
    """Return the places of a plan by the pieces that they lie on, where rows can tell
    of all of them; none where they cannot.
    """
    of_piece: dict[str, PlannedPlace] = {}
    for place in plan.places:
        for name in place.on or ():
            if name in of_piece:
                return {}
            of_piece[name] = place
    in_rows = [name for name in plan.pieces if name in of_piece]
    names = [place.name for place in plan.places]
    is_held = (
        list(of_piece) == _by_place(plan.places, in_rows)
        and len(set(names)) == len(names)
        and all(map(_is_simple, plan.places))
    )
    if is_held:
        return of_piece
    return {}


def _by_place(places: Sequence[PlannedPlace], in_rows: Sequence[str]) -> list[str]:
    """Return pieces in the order in which rows tell of them, place by place."""
    of_place: dict[str, list[str]] = {}
    by_piece = {name: place.name for place in places for name in place.on or ()}
    for name in in_rows:
        of_place.setdefault(by_piece[name], []).append(name)
    return [name for under in of_place.values() for name in under]


def _is_simple(place: PlannedPlace) -> bool:
    alone = PlannedPlace(
        name=place.name,
        kind=place.kind,
        on=place.on,
    )
    return bool(place.on) and place == alone
