"""Which vehicle on record a row of a stock list means, and whose it is."""

from collections.abc import Iterable, Iterator, Sequence
from collections.abc import Mapping as Table
from typing import Any

import msgspec

from standage.exchange.cells import Sheet
from standage.exchange.numbers import Trouble
from standage.exchange.rows import Heads, RowFault
from standage.exchange.stock.fields import FIELDS
from standage.exchange.stock.mapping import Mapping
from standage.exchange.unknown_figures import nobody_knows
from standage.importing.meeting import Meaning
from standage.importing.vehicles.row_words import either_number
from standage.importing.vehicles.shelf import KEY_FIELDS, Present, Shelf
from standage.importing.vehicles.stock_rows import StockRow
from standage.railway.terms.scales import ScaleName
from standage.registry.database.tables import name_key
from standage.registry.records.references import Targets
from standage.registry.records.stock_keys import stock_key
from standage.registry.writing.stock_found import Wanted


class Club(msgspec.Struct, frozen=True, kw_only=True):
    """What rows are judged by besides vehicles: the club's members by their names in
    one spelling, and who asks.
    """

    members: Table[str, Sequence[str]]
    me: str
    own_only: bool
    coupling_types: frozenset[str] = frozenset()
    """The names of the club's own, in one spelling."""
    couplings: Targets = msgspec.field(default_factory=dict)
    """The club's own types as they are on record."""
    scale: ScaleName | None = None
    """The scale that the club works in."""


class Found(msgspec.Struct, frozen=True, kw_only=True):
    """A row on its way: whose it is, what it is found again by, and the vehicle it
    means.
    """

    read: StockRow
    owner_id: str
    key: str | None
    key_field: str | None
    present: Present | None
    near: tuple[Present, ...]
    """Other vehicles whose number differs by the noughts before it alone."""
    faults: tuple[RowFault, ...]

    @property
    def means(self) -> Meaning | None:
        """What two rows that speak of one vehicle have in common."""
        if self.read.apart is not None:
            return None
        if self.present is not None:
            return ("on record", self.present.id)
        if self.key is None:
            return None
        return (self.owner_id, name_key(self.key))


def wanted(
    rows: Iterable[StockRow], sheet: Sheet, mapping: Mapping, club: Club
) -> list[Wanted]:
    """Return what the rows name vehicles by."""
    heads = Heads(sheet, mapping, FIELDS)
    return [
        _wanted_by(
            row,
            mapping,
            club,
            heads,
        )
        for row in rows
    ]


def _wanted_by(read: StockRow, mapping: Mapping, club: Club, heads: Heads) -> Wanted:
    owner_id, _ = _owner(
        read,
        club,
        mapping.owner_id or club.me,
        heads,
    )
    key_field, key = _known_by(read)
    return Wanted(
        owner_id=owner_id,
        record_id=read.record_id,
        stock_key=None if key is None else stock_key(key),
        name_key=name_key(key) if key is not None and key_field == "name" else None,
        name=read.values.get("name") or read.called,
    )


def _known_by(read: StockRow) -> tuple[str | None, str | None]:
    """Return in which field a row has what its vehicle is found again by, and what
    stands there.
    """
    key_field = next(
        (name for name in KEY_FIELDS if _is_key(name, read.values.get(name))), None
    )
    if key_field is not None:
        return key_field, read.values[key_field]
    if read.called is None:
        return (None, None)
    return ("name", read.called)


def find(
    read: StockRow, mapping: Mapping, club: Club, shelf: Shelf, heads: Heads
) -> Found:
    """Return a row with the vehicle that it means, and why that cannot be told."""
    key_field, key = _known_by(read)
    by_id = shelf.by_id.get(read.record_id or "")
    default = by_id.owner_id if by_id is not None else mapping.owner_id or club.me
    owner_id, faults = _owner(
        read,
        club,
        default,
        heads,
    )
    candidates = [by_id] if by_id is not None else []
    near: list[Present] = []
    if by_id is None and key_field is not None and key is not None:
        near = shelf.apart_by_noughts(owner_id, key_field, key)
        named = shelf.named(owner_id, key_field, name_key(key))
        candidates = named or _called_alike(near, read)
    present = candidates[0] if len(candidates) == 1 else None
    of_key = [
        heads.fault(
            trouble,
            field=key_field,
            cell=key,
        )
        for trouble in _of_which(candidates, near, read)
    ]
    of_owner = [
        heads.fault(
            trouble,
            field="owner",
            cell=read.owner,
        )
        for trouble in _of_whose(owner_id, present, club)
    ]
    return Found(
        read=read,
        owner_id=owner_id,
        key=key,
        key_field=key_field,
        present=present,
        near=tuple(one for one in near if one is not present),
        faults=(*read.faults, *faults, *of_key, *of_owner),
    )


def _of_which(
    candidates: Sequence[Present], near: Sequence[Present], read: StockRow
) -> Iterator[Trouble]:
    """Yield why nobody can tell which vehicle on record a row means."""
    if len(candidates) == 1 and _is_of_another(candidates[0], near, read):
        yield either_number(candidates[0].body, near[0].body)
    if len(candidates) > 1:
        mend = (
            "give each a key of its own on record, or map a column with the record's id"
        )
        yield Trouble(
            code="several_on_record",
            message=f"means {len(candidates)} vehicles on record",
            mend=mend,
        )


def _of_whose(owner_id: str, present: Present | None, club: Club) -> Iterator[Trouble]:
    """Yield why a row is not the caller's to import."""
    owners = {owner_id} if present is None else {owner_id, present.owner_id}
    if club.own_only and owners != {club.me}:
        yield Trouble(
            code="not_yours",
            message="belongs to another member",
            mend="ask a steward to import it",
        )


def _called_alike(near: Sequence[Present], read: StockRow) -> list[Present]:
    """Return those that a row can mean although its number has other noughts: it calls
    them so, or by no name.
    """
    name = read.values.get("name")
    return [
        one for one in near if name is None or name_key(name) == name_key(one.body.name)
    ]


def _is_of_another(one: Present, near: Sequence[Present], read: StockRow) -> bool:
    """Tell whether a row has the number of one vehicle, and the name of another whose
    number has other noughts.
    """
    name = read.values.get("name")
    if name is None or name_key(name) == name_key(one.body.name):
        return False
    others = [other for other in near if other is not one]
    return bool(_called_alike(others, read))


def _is_key(name: str, value: Any) -> bool:
    """Tell whether a vehicle can be found again by it: a dash or a question mark is
    nobody's number.
    """
    if not isinstance(value, str):
        return False
    return name == "name" or not nobody_knows(value)


def _owner(
    read: StockRow, club: Club, default: str, heads: Heads
) -> tuple[str, tuple[RowFault, ...]]:
    if read.owner is None:
        return default, ()
    known = club.members.get(name_key(read.owner), ())
    if default in known:
        return default, ()
    if len(known) == 1:
        return known[0], ()
    if known:
        trouble = Trouble(
            code="ambiguous",
            message="is the name of several members",
            mend="import their lists apart",
        )
    else:
        trouble = Trouble(
            code="no_such_member",
            message="is no member of the club",
            mend="write the name as the club's list has it",
        )
    return default, (heads.fault(trouble, field="owner", cell=read.owner),)
