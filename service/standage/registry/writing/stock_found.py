"""The vehicles on record that the rows of a list can mean: looked up, however much
stock stands beside them.
"""

import zlib
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

import msgspec
from sqlalchemy import Column, Select, Text, bindparam, func, select
from sqlalchemy.dialects.postgresql import ARRAY

from standage.registry.database.tables import vehicles
from standage.registry.records.bodies import looks_like_id
from standage.registry.records.names_found import storable
from standage.registry.records.reading import Reading
from standage.registry.writing.list_imports import RecordText

_COLUMNS = [vehicles.c[name] for name in RecordText.__struct_fields__]


class Wanted(msgspec.Struct, frozen=True, kw_only=True, array_like=True):
    """What one row names: a record; where that is none of the club's, an owner's
    vehicles by a key or by a name.
    """

    owner_id: str
    record_id: str | None = None
    stock_key: str | None = None
    name_key: str | None = None
    name: str | None = None
    """What the row calls its vehicle, which may look like another's name."""


def packed(wanted: Sequence[Wanted]) -> bytes:
    """Return what rows name as it is kept."""
    text = msgspec.msgpack.encode(wanted)
    return zlib.compress(text, 1)


def unpacked(kept: bytes) -> list[Wanted]:
    """Return what rows name as it was kept."""
    text = zlib.decompress(kept)
    return msgspec.msgpack.decode(text, type=list[Wanted])


def vehicles_meant(
    reading: Reading, club_id: str, wanted: Sequence[Wanted]
) -> list[RecordText]:
    """Return every vehicle of a club that one of these can mean, by id; a few that only
    look alike may be among them.

    A row that names a record of the club means that one alone.
    """
    ids = set()
    for row in wanted:
        if row.record_id is not None and looks_like_id(row.record_id):
            ids.add(row.record_id)
    found: dict[str, RecordText] = {}
    for one in _looked_up(
        reading,
        club_id,
        vehicles.c.id,
        ids,
    ):
        found[one.id] = one
    by_owner: defaultdict[str, list[Wanted]] = defaultdict(list)
    for row in wanted:
        if row.record_id not in found:
            by_owner[row.owner_id].append(row)
    for owner_id, rows in by_owner.items():
        stock_keys = {row.stock_key for row in rows if row.stock_key is not None}
        name_keys = {row.name_key for row in rows if row.name_key is not None}
        for column, keys in (
            (vehicles.c.stock_key, stock_keys),
            (vehicles.c.name_key, name_keys),
        ):
            theirs = _looked_up(
                reading,
                club_id,
                column,
                keys,
                owner_id=owner_id,
            )
            for one in theirs:
                found[one.id] = one
    return [found[record_id] for record_id in sorted(found)]


def _looked_up(
    reading: Reading,
    club_id: str,
    column: Column[str],
    values: Iterable[str],
    *,
    owner_id: str | None = None,
) -> Iterator[RecordText]:
    """Yield the vehicles with one of these values in a column; only an owner's where
    one is named.
    """
    theirs = select(*_COLUMNS).where(
        vehicles.c.club_id == club_id, vehicles.c.deleted_at.is_(None)
    )
    if owner_id is not None:
        theirs = theirs.where(vehicles.c.owner_id == owner_id)
    asked = sorted(filter(storable, values))
    if asked:
        some = theirs.where(column.in_(_each(reading, asked)))
        for row in reading.connection.execute(some):
            yield RecordText(**row._mapping)  # noqa: SLF001 - Row's public way


def _each(reading: Reading, texts: list[str]) -> Select[tuple[str]]:
    """Return texts as rows of one column, made by the database of one parameter.

    PostgreSQL would plan a list of thousands for each length of it, and compare every
    vehicle with each of them.
    """
    if reading.connection.dialect.name == "postgresql":
        as_array = bindparam("listed", texts, ARRAY(Text))
        return select(func.unnest(as_array).column_valued())
    as_json = msgspec.json.encode(texts).decode()
    listed = func.json_each(as_json).table_valued("value")
    return select(listed.c.value)


def vehicle_texts(
    reading: Reading, club_id: str, *, owners: Sequence[str] | None = None
) -> list[RecordText]:
    """Return every vehicle of a club, by id; only those of some owners where they are
    named.
    """
    wanted = select(*_COLUMNS).where(
        vehicles.c.club_id == club_id, vehicles.c.deleted_at.is_(None)
    )
    if owners is not None:
        wanted = wanted.where(vehicles.c.owner_id.in_(owners))
    found = reading.connection.execute(wanted.order_by(vehicles.c.id))
    return [RecordText(**row._mapping) for row in found]  # noqa: SLF001 - Row's public way
