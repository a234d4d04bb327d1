"""Plans of every kind of piece, with awkward names and figures, sound or not."""

from collections.abc import Callable
from typing import Any, get_args

import msgspec
from hypothesis import strategies as st

from standage.railway.track.pieces.piece_kinds import AnyPiece
from standage.railway.track.plans.plan import (
    Fitting,
    HeightPoint,
    Plan,
    PlannedPlace,
    PlannedPlaceKind,
)
from standage.shapes.decoding import convert
from standage.shapes.plain_text import unfit_character

_LETTERS = st.characters(
    blacklist_categories=["Cs", "Cc", "Cn", "Zs", "Zl", "Zp"],
    whitelist_characters=" ",
    blacklist_characters="./",
)
_AWKWARD = (
    *("Total", "P1", "P1 toe", "p1", '"P1"', "a;b", "a: b", "-", "=1+1", "x x", "12"),
    *("1,5", "?", "open", "Piece", "Kind", "Toe", "1.5".replace(".", "·"), "'", "b"),
    *("straight", "mm", "Loop  2", "~1", "x_y", '""', "sum: 3"),
)
NAMES = st.one_of(
    st.sampled_from(_AWKWARD),
    st.text(_LETTERS, min_size=1, max_size=9).filter(
        lambda text: text == text.strip() and unfit_character(text) is None
    ),
)


def _values(kind: msgspec.inspect.Type) -> st.SearchStrategy[Any]:
    """Return values of a type, as documents have them."""
    for type_, values in _VALUES.items():
        if isinstance(kind, type_):
            return values(kind)
    raise TypeError(kind)


def _floats(kind: Any) -> st.SearchStrategy[float]:
    floats = st.floats(
        min_value=kind.gt if kind.ge is None else kind.ge,
        max_value=kind.lt if kind.le is None else kind.le,
        exclude_min=kind.ge is None and kind.gt is not None,
        exclude_max=kind.le is None and kind.lt is not None,
        allow_nan=False,
    )
    # no document tells -0.0 from 0
    return floats.map(lambda value: value + 0.0)


def _lists(kind: Any) -> st.SearchStrategy[Any]:
    least = kind.min_length or 0
    return st.lists(_values(kind.item_type), min_size=least, max_size=max(least, 6))


_VALUES: dict[type[msgspec.inspect.Type], Callable[[Any], st.SearchStrategy[Any]]] = {
    msgspec.inspect.FloatType: _floats,
    msgspec.inspect.VarTupleType: _lists,
    msgspec.inspect.LiteralType: lambda kind: st.sampled_from(sorted(kind.values)),
    msgspec.inspect.BoolType: lambda _: st.booleans(),
    msgspec.inspect.NoneType: lambda _: st.none(),
    msgspec.inspect.UnionType: lambda kind: st.one_of(*map(_values, kind.types)),
    msgspec.inspect.Metadata: lambda kind: _values(kind.type),
    msgspec.inspect.StructType: lambda kind: _pieces_of(kind.cls),
}


def _pieces_of(cls: type[msgspec.Struct]) -> st.SearchStrategy[dict[str, Any]]:
    info = msgspec.inspect.type_info(cls)
    assert isinstance(info, msgspec.inspect.StructType)
    needed = {one.name: _values(one.type) for one in info.fields if one.required}
    other = {one.name: _values(one.type) for one in info.fields if not one.required}
    said = st.fixed_dictionaries(needed, optional=other)
    return said.map(lambda figures: {"kind": str(info.tag), **figures})


def _sound_lists(piece: dict[str, Any]) -> dict[str, Any]:
    """Return a piece whose crossing roads have the two lengths that they need."""
    if piece["kind"] != "diamond":
        return piece
    return piece | {"a_mm": piece["a_mm"][:2], "b_mm": piece["b_mm"][:2]}


PIECES = st.one_of(*map(_pieces_of, get_args(AnyPiece))).map(_sound_lists)


@st.composite
def any_plans(draw: st.DrawFn) -> Plan:
    """Draw a plan: any pieces, any joins, and some of what stands beside them."""
    names = draw(st.lists(NAMES, max_size=7, unique=True))
    documents = {name: draw(PIECES) for name in names}
    pieces = convert({"pieces": documents}, Plan).pieces
    ends = [f"{name}.{end}" for name, piece in pieces.items() for end in piece.ends]
    ends += ["nobody.a", "P1.Toe", "west/T1.b", "Total.c"]
    pairs = st.tuples(st.sampled_from(ends), st.sampled_from(ends))
    joins = draw(st.lists(pairs, max_size=8, unique_by=frozenset))
    return Plan(
        name=draw(st.none() | st.just("Malt house")),
        scale=draw(st.sampled_from([None, "00"])),
        pieces=pieces,
        joins=tuple(joins),
        places=tuple(_places(draw, names)),
        heights=tuple(
            HeightPoint(piece=name, at_mm=1.5, height_mm=20.0) for name in names[:1]
        ),
        fittings=tuple(
            Fitting(piece=name, at_mm=1.5, kind="gap") for name in names[1:2]
        ),
    )


def _places(draw: st.DrawFn, names: list[str]) -> list[PlannedPlace]:
    kinds = st.sampled_from([None, *get_args(PlannedPlaceKind)])
    if not names or draw(st.booleans()):
        return []
    on = st.lists(st.sampled_from(names), min_size=1, max_size=3).map(tuple)
    called = draw(st.lists(NAMES, max_size=3))
    return [PlannedPlace(name=one, kind=draw(kinds), on=draw(on)) for one in called]
