"""Which records lean on which: finding what a body names, keeping it, and asking who
leans on a record.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from sqlalchemy import ColumnElement, Connection, delete, insert, or_, select

from standage.registry.database.lots import lots
from standage.registry.database.tables import links
from standage.registry.records.bodies import looks_like_id
from standage.registry.records.kinds import KINDS, VEHICLES, Kind
from standage.registry.records.reading import Reading, live, record_from
from standage.registry.records.record import Record
from standage.registry.records.references import Reference, Targets
from standage.registry.writing.names_listed import listed
from standage.shapes.faults import Fault
from standage.shapes.refusals import InUse

_MOST_NAMED = 5


def named_by(connection: Connection, records: Sequence[Record]) -> Targets:
    """Return what ``records`` name, and what those name as far as faults depend on it,
    all held unchanged.
    """
    references = [
        one for record in records for one in KINDS[record.kind].leaning.on(record.body)
    ]
    targets = hold_targets(connection, records, references)
    further = [
        one
        for record in records
        for one in KINDS[record.kind].leaning.further(record.body, targets)
    ]
    return {**targets, **hold_targets(connection, records, further)}


def hold_targets(
    connection: Connection, sources: Sequence[Record], references: Iterable[Reference]
) -> Targets:
    """Return the records named by ``sources``, all of one club; one statement a kind,
    held to the transaction's end.
    """
    found: dict[tuple[str, str], Record] = {}
    by_kind: dict[str, list[Reference]] = {}
    for reference in references:
        by_kind.setdefault(reference.kind, []).append(reference)
    # in one order everywhere, or two that hold the same records wait for each other
    for name in sorted(by_kind):
        kind = KINDS[name]
        theirs = live(kind, sources[0].club_id).where(_named(kind, by_kind[name]))
        in_order = theirs.order_by(kind.table.c.id)
        for row in connection.execute(in_order.with_for_update(read=True)):
            found[name, row.id] = record_from(kind, row)
    return found


def _named(kind: Kind[Any], references: Sequence[Reference]) -> ColumnElement[bool]:
    ids: set[str] = set()
    names: set[str] = set()
    for one in references:
        if one.id is not None and looks_like_id(one.id):
            ids.add(one.id)
        if one.name is not None:
            names.add(one.name)
    by_id = kind.table.c.id.in_(sorted(ids))
    by_name = kind.table.c.name_key.in_(sorted(names))
    return or_(by_id, by_name)


def unresolved(
    record: Record, references: Iterable[Reference], targets: Targets
) -> Iterable[Fault]:
    """Yield a fault for each id that a record names and that is no record of the club,
    or not beneath the same one where it must be: the same words whether deleted,
    foreign or invented.
    """
    for reference in references:
        if not _is_found(record, reference, targets):
            kind = KINDS[reference.kind]
            code = f"no_such_{kind.one.replace(' ', '_')}"
            message = (
                f"there is no such {kind.one} in this {_within(reference)}: send an id"
                f" or a name from GET {kind.listed_at}"
            )
            yield Fault(
                code=code,
                message=message,
                pointer=reference.pointer,
            )


def _within(reference: Reference) -> str:
    above = KINDS[reference.kind].parent
    if above is None or not reference.beside:
        return "club"
    return KINDS[above].one


def _is_found(record: Record, reference: Reference, targets: Targets) -> bool:
    if reference.id is None:
        return True
    target = targets.get((reference.kind, reference.id))
    if target is None:
        return False
    return not reference.beside or target.parent_id == record.parent_id


def keep_links(connection: Connection, records: Sequence[Record]) -> None:
    """Put down what each of ``records``, all of one kind, names, in place of what it
    named before.
    """
    kind = KINDS[records[0].kind]
    changed = [record for record in records if record.version > 1]
    drop_links(connection, changed)
    found: list[Mapping[str, str | None]] = []
    for record in records:
        found += (_link(record, one) for one in kind.leaning.on(record.body))
    if found:
        connection.execute(insert(links), found)


def _link(record: Record, reference: Reference) -> Mapping[str, str | None]:
    return {
        "club_id": record.club_id,
        "source_kind": record.kind,
        "source_id": record.id,
        "pointer": reference.pointer,
        "target_kind": reference.kind,
        "target_id": reference.id,
        "target_name": reference.name,
    }


def drop_links(connection: Connection, records: Sequence[Record]) -> None:
    """Forget what ``records``, all of one kind, named."""
    ids = [record.id for record in records]
    for some in lots(ids):
        theirs = delete(links).where(
            links.c.source_kind == records[0].kind,
            links.c.source_id.in_(some),
        )
        connection.execute(theirs)


def leaning_on(
    reading: Reading, records: Sequence[Record], targets: Targets
) -> tuple[Mapping[str, Sequence[Record]], Targets]:
    """Return the records that lean on each of ``records``, by its id, and all that
    judging them needs.

    ``records`` are all of one kind, and as they are to be. Others lean on one where
    they name it by its id, or name another that does, of a kind through which such
    records lean.
    """
    if not records:
        return {}, targets
    kind = KINDS[records[0].kind]
    near = _naming(reading, records)
    leaning = {record_id: list(found) for record_id, found in near.items()}
    for name in kind.leaning.through:
        between = [one for one in _distinct(near) if one.kind == name]
        beyond = _naming(reading, between)
        for record_id, found in near.items():
            for one in found:
                leaning[record_id] += beyond.get(one.id, ())
    everyone = _distinct(leaning)
    known: dict[tuple[str, str], Record] = {}
    if kind.leaning.sees_all and everyone:
        known |= named_by(reading.connection, everyone)
    known |= targets
    # as they are to be: what is written now counts before what is on record
    known |= {(one.kind, one.id): one for one in (*everyone, *records)}
    each_once = {}
    for record_id, found in leaning.items():
        each_once[record_id] = _distinct({record_id: found})
    return each_once, known


def _distinct(groups: Mapping[str, Iterable[Record]]) -> list[Record]:
    each_once: dict[str, Record] = {}
    for group in groups.values():
        for one in group:
            each_once.setdefault(one.id, one)
    return list(each_once.values())


def _naming(reading: Reading, records: Sequence[Record]) -> dict[str, list[Record]]:
    """Return every record that names any of ``records``, all of one kind, by its id or
    its name; by the one's id.
    """
    if not records:
        return {}
    club_id = records[0].club_id
    kind = KINDS[records[0].kind]
    by_name: dict[str, str] = {}
    for one in records:
        name = kind.naming.leaned_on_as(one.body)
        if name is not None:
            by_name[name] = one.id
    ids = [record.id for record in records]
    named: ColumnElement[bool] = links.c.target_id.in_(ids)
    if by_name:
        named = or_(named, links.c.target_name.in_(by_name))
    statement = select(
        links.c.target_id,
        links.c.target_name,
        links.c.source_kind,
        links.c.source_id,
    ).where(links.c.club_id == club_id, links.c.target_kind == kind.name, named)
    rows = reading.connection.execute(statement.distinct()).all()
    wanted = {(row.source_kind, row.source_id) for row in rows}
    sources = _those(reading, club_id, wanted)
    naming: dict[str, list[Record]] = {}
    for row in sorted(rows, key=_source):
        source = sources.get(_source(row))
        if source is not None:
            named_id = row.target_id or by_name[row.target_name]
            naming.setdefault(named_id, []).append(source)
    return naming


def _source(row: Any) -> tuple[str, str]:
    return row.source_kind, row.source_id


def refuse_while_leaned_on(
    reading: Reading, records: Sequence[Record], *, by_id: bool, going: Sequence[Record]
) -> None:
    """Raise ``InUse`` where others than those ``going`` name any of ``records`` (all of
    one kind) by name, or by id.
    """
    if not records:
        return
    kind, club_id = KINDS[records[0].kind], records[0].club_id
    names = [
        name
        for name in (kind.naming.leaned_on_as(record.body) for record in records)
        if name is not None
    ]
    if not by_id and not names:
        return
    ids = [record.id for record in records] if by_id else []
    statement = (
        select(links.c.source_kind, links.c.source_id)
        .where(
            links.c.club_id == club_id,
            links.c.target_kind == kind.name,
            or_(links.c.target_id.in_(ids), links.c.target_name.in_(names)),
            links.c.source_id.not_in([record.id for record in going]),
        )
        .distinct()
        .order_by(links.c.source_kind, links.c.source_id)
        .limit(_MOST_NAMED + 1)
    )
    found = [
        (row.source_kind, row.source_id)
        for row in reading.connection.execute(statement)
    ]
    sources = _those(reading, club_id, found).values()
    if sources:
        users = [
            f"the {KINDS[source.kind].one} {KINDS[source.kind].title(source.body)}"
            for source in sources
        ]
        what = (
            f"the {kind.one} {kind.title(records[0].body)}"
            if len(records) == 1
            else f"one of the {kind.name}"
        )
        alone = f"{kind.listed_at}/{records[0].id}/take-out"
        instead = (
            f", or take it out of them all by POST {alone}"
            if kind is VEHICLES and len(records) == 1
            else ""
        )
        raise InUse(
            f"{what} is still needed by {listed(users, most=_MOST_NAMED)}; change those"
            f" first{instead}"
        )


def _those(
    reading: Reading, club_id: str, wanted: Iterable[tuple[str, str]]
) -> dict[tuple[str, str], Record]:
    """Return those records that there are, by kind and id and in that order."""
    by_kind: dict[str, list[str]] = {}
    for kind, record_id in sorted(wanted):
        by_kind.setdefault(kind, []).append(record_id)
    found: dict[tuple[str, str], Record] = {}
    for kind, ids in by_kind.items():
        there = reading.many(KINDS[kind], club_id, ids)
        for record_id in ids:
            if record_id in there:
                found[kind, record_id] = there[record_id]
    return found
