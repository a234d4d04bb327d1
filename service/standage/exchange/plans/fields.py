"""What a column of a sheet of track may hold: made from the figures that pieces have,
so that a figure which a kind of piece gains has its column at once.
"""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Literal, get_args, get_origin

import msgspec

from standage.exchange.fields import Field, Fields, Reader, Sort, Vocabulary
from standage.exchange.list_kinds import ListKind
from standage.exchange.plans.choices import WORDS
from standage.exchange.plans.piece_cells import (
    as_crossing_number,
    as_figure,
    as_figures,
    as_radius,
    as_yes,
)
from standage.railway.track.pieces.piece_kinds import AnyPiece
from standage.railway.track.pieces.pieces import Piece

KINDS: Mapping[str, type[Piece]] = {
    str(kind.__struct_config__.tag): kind for kind in get_args(AnyPiece)
}
"""Every kind of piece by its name."""
MOST_END_COLUMNS = 4
"""A piece of more ends, as decks are, tells the others in one column."""
_NO_CELLS = frozenset({"segments"})
"""Figures that are too many for a cell."""

_VOCABULARY = Vocabulary(
    same={
        **dict.fromkeys(("rad",), "radius"),
        **dict.fromkeys(("len",), "length"),
        **dict.fromkeys(("join", "joined", "joint", "connects", "meets"), "joins"),
        **dict.fromkeys(("min",), "minimum"),
        **dict.fromkeys(("turnout", "switch"), "points"),
        **dict.fromkeys(("frog",), "crossing"),
        **dict.fromkeys(("no", "nr", "num"), "number"),
    },
    several={"joined to": "joins", "connects to": "joins"},
)
_TITLES = {
    "toe_mm": "Toe to blades (mm)",
    "a_mm": "Road a (mm)",
    "b_mm": "Road b (mm)",
    "left": "Roads to the left (mm)",
    "right": "Roads to the right (mm)",
    "roads": "Bearings of roads (degrees)",
    "number": "Crossing number",
    "crossing": "Crossing live or dead",
    "fouling_a_mm": "Crossing to fouling point on a (mm)",
    "fouling_b_mm": "Crossing to fouling point on b (mm)",
    "fouling_mm": "Blades to fouling point (mm)",
    "arm_mm": "Joint to blades (mm)",
    "core_mm": "Blades to blades straight (mm)",
    "core_slip_mm": "Blades to blades slipped (mm)",
    "nose_mm": "Blades to crossing nose (mm)",
    "blades_mm": "Toe joint to blades (mm)",
    "second_after_mm": "First blades to second (mm)",
    "beyond_mm": "Track beyond (mm)",
}
"""Where a column is not headed as its figure is called."""
_ALIASES = {
    "hand": "side, turns to, left or right, bends to",
    "state": "laid or planned, status",
    "length_mm": "piece length, track length, length along the middle, l",
    "radius_mm": "curve radius, branch radius, r",
    "angle_deg": "turn, turns by, crossing angle, arc",
    "number": "number, points number",
    "number_is": "number by",
    "crossing": "crossing",
    "fitted": "laid between its ends",
    "deck_mm": "deck length",
    "beyond_mm": "track beyond",
}
_MEASURED_LEGS = (*("through", "branch", "left", "right", "outer", "inner", "middle"),)
_END_NAMES = (
    *("toe", "through", "branch", "left", "right", "outer", "inner", "middle"),
    *("a", "b", "a1", "a2", "b1", "b2"),
)
_NUMBERED = {f"end_{number}": number for number in range(1, MOST_END_COLUMNS + 1)}
_NAMED = {f"end.{name}": name for name in _END_NAMES}
FURTHER = "further_joins"
ORDER = "join_order"
PLACE = ("place", "place_kind")


def _first() -> Iterator[Field]:
    yield _field("piece", "remark", "Piece", "piece name, track piece, label, item")
    yield _field(
        "kind", "word", "Kind", "type, piece kind, piece type, sort", path=True
    )


def _field(
    name: str, sort: Sort, title: str, aliases: str = "", *, path: bool = False
) -> Field:
    """Return a column that says no figure of a piece."""
    return Field(
        name=name,
        sort=sort,
        title=title,
        path=(name,) if path else (),
        vocabulary=_VOCABULARY,
        words=WORDS.get(name, {}),
        aliases=tuple(aliases.split(", ")) if aliases else (),
        is_needed=True,
    )


def _figures() -> Iterator[Field]:
    """Yield a column for each figure that any kind of piece has."""
    found: dict[str, Any] = {}
    for kind in KINDS.values():
        for field in msgspec.structs.fields(kind):
            found.setdefault(field.name, field.type)
    for name in sorted(found, key=_usual):
        if name not in _NO_CELLS:
            yield _figure(name, found[name])


_USUAL = (
    *("hand", "first_hand", "length_mm", "radius_mm", "angle_deg", "number"),
    *("lead_in_mm", "through_after_blades_mm", "branch_straight_mm", "toe_mm"),
    *("through_mm", "branch_mm", "fouling_through_mm", "fouling_branch_mm"),
)


def _usual(name: str) -> int:
    if name in _USUAL:
        return _USUAL.index(name)
    return len(_USUAL)


def _figure(name: str, type_: Any) -> Field:
    base, _, unit = name.rpartition("_")
    called = (base if unit in _UNITS else name).replace("_", " ")
    sort, reader = _read_as(name, unit, type_)
    title = _title(
        name,
        base,
        called,
        _UNITS.get(unit, ""),
    )
    aliases = [called, *filter(None, _ALIASES.get(name, "").split(", "))]
    if unit == "deg":
        aliases = [form for one in aliases for form in (one, f"{one} degrees")]
    return Field(
        name=name,
        sort=sort,
        title=title,
        path=(name,),
        vocabulary=_VOCABULARY,
        words=WORDS.get(name, {}),
        aliases=(*aliases, title),
        is_needed=True,
        reader=reader,
    )


_UNITS = {"mm": " (mm)", "deg": " (degrees)"}


def _title(name: str, base: str, called: str, in_unit: str) -> str:
    """Return how the column of a figure is headed."""
    if name in _TITLES:
        return _TITLES[name]
    if base in _MEASURED_LEGS:
        return f"Blades to {base} end{in_unit}"
    leg = base.removeprefix("fouling_")
    if leg in _MEASURED_LEGS:
        return f"Blades to {leg} fouling point{in_unit}"
    return f"{called.capitalize()}{in_unit}"


def _read_as(name: str, unit: str, type_: Any) -> tuple[Sort, Reader | None]:
    """Return how a figure's cells are read."""
    kinds = set(_parts(type_))
    if bool in kinds:
        return "word", as_yes
    if Literal in kinds:
        return "word", None
    if tuple in kinds:
        return ("degrees" if name == "roads" else "lengths"), as_figures
    return _read_figure(name, unit)


def _read_figure(name: str, unit: str) -> tuple[Sort, Reader]:
    if name == "number":
        return "degrees", as_crossing_number
    if unit == "deg":
        return "degrees", as_figure
    if "radius" in name:
        return "radius", as_radius
    return "track_length", as_figure


def _parts(type_: Any) -> Iterator[Any]:
    """Yield what a type is made of, as far as tells how its cells are read."""
    yield get_origin(type_) or type_
    if get_origin(type_) in {tuple, Literal}:
        return
    for part in get_args(type_):
        if isinstance(part, type) or get_origin(part) is not None:
            yield from _parts(part)


def _ends() -> Iterator[Field]:
    for name, number in _NUMBERED.items():
        yield _field(
            name,
            "remark",
            f"End {number} joins",
            f"end {number}",
        )
    for name, end in _NAMED.items():
        yield _field(
            name,
            "remark",
            f"{end.capitalize()} joins",
            f"{end} end joins",
        )
    yield _field(
        FURTHER,
        "remark",
        "Further joins",
        "other joins, joins",
    )
    yield _field(
        ORDER,
        "remark",
        "Join order",
        "order of joins",
    )


def _last() -> Iterable[Field]:
    yield _field("place", "remark", "Place", "place name, road, road name")
    yield _field("place_kind", "word", "Place kind", "road kind, kind of place")


FIELDS = Fields((*_first(), *_figures(), *_ends(), *_last()), vocabulary=_VOCABULARY)
"""Every column, in the order of the service's own sheets."""
TRACK = ListKind(
    one="piece of track",
    totalled="pieces|track|length",
    fields=FIELDS,
    naming=frozenset({"piece", "kind"}),
)


def end_told(field: str, ends: tuple[str, ...]) -> str | None:
    """Return the end of a piece with such ``ends`` that a column tells of; None where
    it has none such.
    """
    if field in _NUMBERED:
        number = _NUMBERED[field]
        if number <= len(ends):
            return ends[number - 1]
        return None
    end = _NAMED[field]
    if end in ends:
        return end
    return None


END_FIELDS = (*_NUMBERED, *_NAMED)
"""The columns that tell what one end joins."""
NUMBERED_ENDS = tuple(_NUMBERED)
"""Those of them that the service's own sheets have."""
FIGURES = tuple(
    field.name for field in FIELDS.every if field.path and field.name != "kind"
)
"""The columns that hold figures of pieces."""
