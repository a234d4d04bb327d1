"""Records of several kinds in one statement: what a question rests on, as far as ids
and links tell it beforehand.

Half a dozen statements for one question cost more than the question itself: 36 µs each
on a file, several times that on a server, besides what the server spends on each. All
of them in one take 120 µs (November 2026, two busy cores).
"""

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple, TypeVar

import msgspec
from sqlalchemy import (
    ColumnElement,
    CompoundSelect,
    Connection,
    Select,
    Text,
    bindparam,
    cast,
    literal_column,
    null,
    select,
    union_all,
)

from standage.registry.database.tables import links
from standage.registry.records.kind import Kind
from standage.registry.records.record import Kept
from standage.shapes.remembering import FEW, remembered

B = TypeVar("B", bound=msgspec.Struct)


class Way(NamedTuple):
    """By what records of a kind are wanted: their own id or their parent's; that of a
    record which names them.

    That record is of the kind ``named_by``; where ``through`` is given it names them by
    way of records of that kind. Without any of these all of the club's are wanted.
    """

    by: str | None = None
    named_by: Kind[Any] | None = None
    through: Kind[Any] | None = None


class Wanted(NamedTuple):
    """Records of one kind, by the id that their ``way`` asks for, their bodies decoded
    as ``shape``.
    """

    kind: Kind[Any]
    way: Way
    id: str = ""
    shape: type[msgspec.Struct] | None = None
    """A struct that takes what it knows of a body and passes over the rest; the kind's
    own body where it is None.
    """


ITSELF, BENEATH, ALL = Way(by="id"), Way(by="parent_id"), Way()


def together(
    connection: Connection, club_id: str, wanted: Sequence[Wanted]
) -> list[list[Kept]]:
    """Return what is wanted of a club's records, those deleted left out, each in the
    order of names.
    """
    asked = tuple((one.kind, one.way) for one in wanted)
    bound = {"club_id": club_id}
    for number, one in enumerate(wanted):
        if one.way != ALL:
            bound[f"id_{number}"] = one.id
    found: list[list[tuple[str, str, Kept]]] = [[] for _ in wanted]
    decoders = [_decode_of(one) for one in wanted]
    rows = connection.execute(_statement(asked), bound).all()
    for number, record_id, parent_id, name_key, body in rows:
        kept = Kept(
            id=record_id,
            parent_id=parent_id,
            body=decoders[number](body),
        )
        found[number].append((name_key, record_id, kept))
    in_order: list[list[Kept]] = []
    for part in found:
        part.sort(key=_by_name)
        in_order.append([kept for _, _, kept in part])
    return in_order


def _by_name(row: tuple[str, str, Kept]) -> tuple[str, str]:
    return row[0], row[1]


@remembered(most=FEW)
def _decoder(shape: type[B]) -> msgspec.json.Decoder[B]:
    return msgspec.json.Decoder(shape)


@remembered(most=FEW)
def _statement(wanted: tuple[tuple[Kind[Any], Way], ...]) -> CompoundSelect[Any]:
    each = [_one(number, kind, way) for number, (kind, way) in enumerate(wanted)]
    return union_all(*each)


def _decode_of(wanted: Wanted) -> Callable[[str], Any]:
    if wanted.shape is None:
        return wanted.kind.decoder.decode
    return _decoder(wanted.shape).decode


def _one(number: int, kind: Kind[Any], way: Way) -> Select[Any]:
    table = kind.table
    parent = cast(null(), Text) if kind.parent is None else table.c.parent_id
    columns: tuple[ColumnElement[Any], ...] = (
        literal_column(str(number)).label("number"),
        table.c.id,
        parent,
        table.c.name_key,
        table.c.body,
    )
    alive = select(*columns).where(
        table.c.club_id == bindparam("club_id"), table.c.deleted_at.is_(None)
    )
    asked = bindparam(f"id_{number}", type_=links.c.target_id.type)
    if way.by is not None:
        return alive.where(table.c[way.by] == asked)
    if way.named_by is None:
        return alive
    return alive.where(
        table.c.id.in_(
            _named(
                kind,
                way.named_by,
                way.through,
                asked,
            )
        )
    )


def _named(
    kind: Kind[Any], by: Kind[Any], through: Kind[Any] | None, asked: ColumnElement[str]
) -> Select[Any]:
    first = links.alias()
    is_of_kind = first.c.source_kind == by.name
    is_it = first.c.source_id == asked
    if through is None:
        names_one = first.c.target_kind == kind.name
        return select(first.c.target_id).where(is_of_kind, is_it, names_one)
    then = links.alias()
    goes_on = (then.c.source_kind == first.c.target_kind) & (
        then.c.source_id == first.c.target_id
    )
    both = select(then.c.target_id).join_from(first, then, goes_on)
    return both.where(
        is_of_kind,
        is_it,
        first.c.target_kind == through.name,
        then.c.target_kind == kind.name,
    )
