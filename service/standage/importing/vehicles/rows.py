"""What each row of a stock list would do to the vehicles on record: create, update,
nothing, or not be taken.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from collections.abc import Mapping as Table
from itertools import islice
from typing import Any

import msgspec

from standage.exchange.cells import Sheet, spread
from standage.exchange.headings import Mapping
from standage.exchange.numbers import Trouble
from standage.exchange.rows import Heads, ReadRow, RowFault, RowNote, flat, read_rows
from standage.exchange.scale_cells import runs_on
from standage.exchange.unknown_figures import nobody_knows
from standage.exchange.values import shown_cell
from standage.importing.outcomes import CellChange, Judged, Outcome, RowOutcome
from standage.importing.vehicles.look_alikes import with_look_alikes
from standage.importing.vehicles.row_words import (
    either_number,
    gauge_of_another,
    named_otherwise,
    no_such_record,
    of_cell,
    other_noughts,
    perhaps_lost_noughts,
    unknown_couplings,
)
from standage.importing.vehicles.shelf import (
    KEY_FIELDS,
    Present,
    Shelf,
    key_of,
    lost_noughts,
)
from standage.railway.slips.vehicle import vehicle_slips
from standage.railway.terms.scales import ScaleName
from standage.registry.database.tables import name_key
from standage.registry.records.bodies import VehicleBody
from standage.registry.records.coupling_reaches import swallowed_by_its_couplings
from standage.registry.records.look_alikes import Named
from standage.registry.records.references import Targets
from standage.registry.records.stock_keys import stock_key
from standage.registry.writing.stock_found import Wanted
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty

_MOST_NAMED = 5
_NUMBERS = ("number", "external_key")
_NOTHING = ("", "")
_WHERE_MISSING = ("scale", "kind", "practice")


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


class _Found(msgspec.Struct, frozen=True, kw_only=True):
    """A row on its way: whose it is, what it is found again by, and the vehicle it
    means.
    """

    read: ReadRow
    owner_id: str
    key: str | None
    key_field: str | None
    present: Present | None
    near: tuple[Present, ...]
    """Other vehicles whose number differs by the noughts before it alone."""
    faults: tuple[RowFault, ...]


def rows_read(sheet: Sheet, mapping: Mapping) -> list[ReadRow]:
    """Return what every row says that is not empty."""
    whole, joined = spread(sheet, below=mapping.header_row)
    rows = read_rows(whole, mapping, joined=joined)
    return list(rows)


def wanted(
    rows: Iterable[ReadRow], sheet: Sheet, mapping: Mapping, club: Club
) -> list[Wanted]:
    """Return what the rows name vehicles by."""
    heads = Heads(sheet, mapping)
    return [_wanted_by(row, mapping, club, heads) for row in rows]


def _wanted_by(read: ReadRow, mapping: Mapping, club: Club, heads: Heads) -> Wanted:
    owner_id, _ = _owner(read, club, mapping.owner_id or club.me, heads)
    key_field, key = _known_by(read)
    return Wanted(
        owner_id=owner_id,
        record_id=read.record_id,
        stock_key=None if key is None else stock_key(key),
        name_key=name_key(key) if key is not None and key_field == "name" else None,
        name=read.values.get("name") or read.called,
    )


def judged(
    sheet: Sheet,
    mapping: Mapping,
    club: Club,
    *,
    rows: Iterable[ReadRow],
    shelf: Shelf,
    others: Iterable[Named],
) -> list[Judged]:
    """Return what becomes of every row; ``shelf`` has all the vehicles that they can
    mean, ``others`` those whose names may look like theirs.
    """
    sheet, _ = spread(sheet, below=mapping.header_row)
    heads = Heads(sheet, mapping)
    found = [_find(read, mapping, club, shelf, heads) for read in rows]
    alike = _rows_by_what_they_mean(found)
    rows_judged = []
    for one in found:
        same = alike.get(_means(one) or _NOTHING, [])
        rows_judged.append(_judge(one, same, sheet, mapping, club, heads))
    return with_look_alikes(rows_judged, others, heads)


def _rows_by_what_they_mean(
    found: Iterable[_Found],
) -> dict[tuple[str, str], list[int]]:
    alike: defaultdict[tuple[str, str], list[int]] = defaultdict(list)
    for one in found:
        means = _means(one)
        if means is not None:
            alike[means].append(one.read.row)
    return dict(alike)


def _means(one: _Found) -> tuple[str, str] | None:
    """Return what two rows that speak of one vehicle have in common."""
    if one.read.apart is not None:
        return None
    if one.present is not None:
        return ("on record", one.present.id)
    return None if one.key is None else (one.owner_id, name_key(one.key))


def _known_by(read: ReadRow) -> tuple[str | None, str | None]:
    """Return in which field a row has what its vehicle is found again by, and what
    stands there.
    """
    key_field = next(
        (name for name in KEY_FIELDS if _is_key(name, read.values.get(name))), None
    )
    if key_field is not None:
        return key_field, read.values[key_field]
    return (None, None) if read.called is None else ("name", read.called)


def _find(
    read: ReadRow, mapping: Mapping, club: Club, shelf: Shelf, heads: Heads
) -> _Found:
    key_field, key = _known_by(read)
    by_id = shelf.by_id.get(read.record_id or "")
    default = by_id.owner_id if by_id is not None else mapping.owner_id or club.me
    owner_id, faults = _owner(read, club, default, heads)
    candidates = [by_id] if by_id is not None else []
    near: list[Present] = []
    if by_id is None and key_field is not None and key is not None:
        near = shelf.apart_by_noughts(owner_id, key_field, key)
        named = shelf.named(owner_id, key_field, name_key(key))
        candidates = named or _called_alike(near, read)
    present = candidates[0] if len(candidates) == 1 else None
    of_key = [
        heads.fault(trouble, field=key_field, cell=key)
        for trouble in _of_which(candidates, near, read)
    ]
    of_owner = [
        heads.fault(trouble, field="owner", cell=read.owner)
        for trouble in _of_whose(owner_id, present, club)
    ]
    return _Found(
        read=read,
        owner_id=owner_id,
        key=key,
        key_field=key_field,
        present=present,
        near=tuple(one for one in near if one is not present),
        faults=(*read.faults, *faults, *of_key, *of_owner),
    )


def _of_which(
    candidates: Sequence[Present], near: Sequence[Present], read: ReadRow
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


def _called_alike(near: Sequence[Present], read: ReadRow) -> list[Present]:
    """Return those that a row can mean although its number has other noughts: it calls
    them so, or by no name.
    """
    name = read.values.get("name")
    return [
        one for one in near if name is None or name_key(name) == name_key(one.body.name)
    ]


def _is_of_another(one: Present, near: Sequence[Present], read: ReadRow) -> bool:
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
    read: ReadRow, club: Club, default: str, heads: Heads
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


def _doubts(
    one: _Found, body: VehicleBody, club: Club, mapping: Mapping, heads: Heads
) -> Iterator[RowNote]:
    """Yield what of the row may not mean what it does, as far as the stock on record
    and the club's scale tell.
    """
    if body.scale is None and mapping.scale is not None and body.gauge_mm is not None:
        yield gauge_of_another(body.gauge_mm, mapping.scale, heads)
    if one.read.record_id is not None and (
        one.present is None or one.present.id != one.read.record_id
    ):
        yield no_such_record(one.read.record_id, heads)
    elif (
        one.present is not None
        and one.key_field in _NUMBERS
        and one.read.record_id is None
    ):
        yield from named_otherwise(
            body,
            before=one.present.body,
            key=(one.key_field, one.key or ""),
            heads=heads,
        )
    yield from _of_noughts(one, heads)
    yield from unknown_couplings(body, club.coupling_types, heads)


def _of_noughts(one: _Found, heads: Heads) -> Iterator[RowNote]:
    """Yield what is to be seen where a number of the list and one on record differ by
    their noughts alone.
    """
    if one.present is None:
        if one.near:
            yield perhaps_lost_noughts(one.near[0].body, heads)
        return
    if one.key_field not in _NUMBERS:
        return
    body = one.present.body
    if one.read.record_id is None:
        number, given = key_of(body, one.key_field), one.key
    else:
        number, given = body.number, one.read.values.get("number")
    if lost_noughts(given, number) or lost_noughts(number, given):
        yield other_noughts(given or "", number or "", heads)


def _judge(
    one: _Found,
    alike: Sequence[int],
    sheet: Sheet,
    mapping: Mapping,
    club: Club,
    heads: Heads,
) -> Judged:
    if one.read.apart is not None:
        return _refused(one, [heads.fault(one.read.apart, field=None)], ())
    faults = [*one.faults, *_twice(one, alike, heads)]
    wanted = _wanted(one, mapping)
    try:
        body = _with_some_left(convert(wanted, VehicleBody), club)
    except Faulty as faulty:
        known = {fault.field for fault in faults}
        cells = sheet.rows[one.read.row - 1]
        more = (of_cell(fault, cells, heads) for fault in faulty.faults)
        faults += [
            fault
            for fault in more
            if fault.field not in known and not _is_said_twice(fault, one, heads)
        ]
        return _refused(one, faults, one.read.notes)
    slips = (
        RowNote(
            code=slip.code,
            message=slip.message,
            field=slip.field,
            column=heads.column(slip.field),
        )
        for slip in vehicle_slips(body, name=body.name)
    )
    notes = (*one.read.notes, *slips, *_doubts(one, body, club, mapping, heads))
    if faults:
        return _refused(one, faults, notes)
    before = None if one.present is None else one.present.body
    outcome: Outcome = (
        "create" if before is None else "unchanged" if before == body else "update"
    )
    told = RowOutcome(
        row=one.read.row,
        outcome=outcome,
        name=body.name,
        key=one.key,
        record_id=None if one.present is None else one.present.id,
        changes=tuple(_changes(before, body)) if before is not None else (),
        notes=notes,
    )
    return Judged(
        told=told,
        body=body,
        before=before,
        version=None if one.present is None else one.present.version,
    )


def _with_some_left(body: VehicleBody, club: Club) -> VehicleBody:
    """Return the vehicle; raises ``Faulty`` where the types of its couplings leave
    nothing of it.
    """
    if faults := list(swallowed_by_its_couplings(body, club.couplings)):
        raise Faulty(faults)
    return body


def _is_said_twice(fault: RowFault, one: _Found, heads: Heads) -> bool:
    """Tell whether a fault is of the key that was made of the number or the name, which
    is at fault itself.
    """
    return (
        fault.field == "external_key"
        and one.key_field != "external_key"
        and heads.column("external_key") is None
    )


def _refused(
    one: _Found, faults: Sequence[RowFault], notes: Sequence[RowNote]
) -> Judged:
    name = one.read.values.get("name")
    told = RowOutcome(
        row=one.read.row,
        outcome="fault",
        name=name if isinstance(name, str) else None,
        key=one.key,
        record_id=None if one.present is None else one.present.id,
        faults=tuple(faults),
        notes=tuple(notes),
    )
    return Judged(told=told)


def _twice(one: _Found, alike: Sequence[int], heads: Heads) -> Iterator[RowFault]:
    other_rows = (str(row) for row in alike if row != one.read.row)
    # no more than are named: ten thousand rows may be alike
    others = list(islice(other_rows, _MOST_NAMED))
    if others:
        named = ", ".join(others)
        rows = "rows" if len(others) > 1 else "row"
        where = f"{rows} {named}"
        mend = (
            "give each a number or key of its own, or make one row of them with a count"
        )
        trouble = Trouble(
            code="twice_in_the_file", message=f"stands in {where} too", mend=mend
        )
        yield heads.fault(trouble, field=one.key_field, cell=one.key)


def _wanted(one: _Found, mapping: Mapping) -> dict[str, Any]:
    """Return the vehicle that a row asks for: what it says upon what is on record, and
    what holds for all rows.
    """
    on_record: dict[str, Any] = (
        {} if one.present is None else msgspec.to_builtins(one.present.body)
    )
    wanted = _upon(on_record, one.read.values)
    wanted["owner_id"] = one.owner_id
    if one.read.called is not None:
        wanted.setdefault("name", one.read.called)
    for name in _NUMBERS:
        if lost_noughts(wanted.get(name), on_record.get(name)):
            wanted[name] = on_record[name]
    if one.present is None and one.key is not None:
        wanted["external_key"] = one.key
    for name in _WHERE_MISSING:
        if name not in wanted and (value := getattr(mapping, name)) is not None:
            wanted[name] = value
    if "scale" not in one.read.values | on_record and not _runs_in(wanted, mapping):
        del wanted["scale"]
    if "length_mm" in wanted:
        wanted.setdefault("length_over", mapping.length_over or "buffers")
        if mapping.length_from is not None:
            wanted.setdefault("length_from", mapping.length_from)
    return wanted


def _runs_in(wanted: Table[str, Any], mapping: Mapping) -> bool:
    """Tell whether the scale of rows that say none can be a row's own, by its gauge."""
    gauge_mm = wanted.get("gauge_mm")
    return (
        mapping.scale is None
        or gauge_mm is None
        or runs_on(mapping.scale, gauge_mm=gauge_mm)
    )


def _upon(under: dict[str, Any], over: Table[str, Any]) -> dict[str, Any]:
    both = dict(under)
    for name, value in over.items():
        both[name] = _one_upon(under.get(name), value)
    return both


def _one_upon(before: Any, value: Any) -> Any:
    """Return a value upon the one on record; spaces around a text, which no list shows,
    change nothing.
    """
    if isinstance(value, dict):
        return _upon(before or {}, value)
    if (
        isinstance(value, str)
        and isinstance(before, str)
        and before.strip() == value.strip()
    ):
        return before
    return value


def _changes(before: VehicleBody, after: VehicleBody) -> Iterator[CellChange]:
    old, new = _cells_of(before), _cells_of(after)
    for field in dict.fromkeys((*old, *new)):
        was, becomes = old.get(field), new.get(field)
        if was != becomes:
            yield CellChange(field=field, before=_shown(was), after=_shown(becomes))


def _cells_of(body: VehicleBody) -> dict[str, Any]:
    """Return a vehicle as cells of a list would have it."""
    said = msgspec.to_builtins(body)
    return {**flat(said), "owner_id": said.get("owner_id")}


def _shown(value: Any) -> str | None:
    if value is None:
        return None
    if isinstance(value, list | tuple):
        return "; ".join(_shown(one) or "" for one in value)
    return shown_cell(float(value)) if isinstance(value, int | float) else str(value)
