"""Which records lean on which: finding what a body names, keeping it, and asking who leans on a record."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, delete, insert, or_, select

from standage.railway.terms.faults import Fault
from standage.registry.bodies import looks_like_id
from standage.registry.kinds import KINDS, Kind
from standage.registry.names_listed import listed
from standage.registry.reading import Reading, live, record_from
from standage.registry.records import InUse, Record
from standage.registry.references import Reference, Targets
from standage.registry.tables import links

_MOST_NAMED = 5
MOST_IN_A_STATEMENT = 1000


def named_by(connection: Connection, records: Sequence[Record]) -> Targets:
    """Return what ``records`` name, and what those name as far as faults depend on it, all held unchanged."""
    references = [one for record in records for one in KINDS[record.kind].references(record.body)]
    targets = hold_targets(connection, records, references)
    further = [one for record in records for one in KINDS[record.kind].further(record.body, targets)]
    return {**targets, **hold_targets(connection, records, further)}


def hold_targets(connection: Connection, sources: Sequence[Record], references: Iterable[Reference]) -> Targets:
    """Return the records named by ``sources``, all of one club; one statement a kind, held to the transaction's end."""
    found: dict[tuple[str, str], Record] = {}
    by_kind: dict[str, list[Reference]] = {}
    for reference in references:
        by_kind.setdefault(reference.kind, []).append(reference)
    for name in sorted(by_kind):
        kind = KINDS[name]
        statement = live(kind, sources[0].club_id).where(_named(kind, by_kind[name])).order_by(kind.table.c.id)
        rows = connection.execute(statement.with_for_update(read=True))
        found |= {(name, row.id): record_from(kind, row) for row in rows}
    return found


def _named(kind: Kind[Any], references: Sequence[Reference]) -> ColumnElement[bool]:
    ids = sorted({one.id for one in references if one.id is not None and looks_like_id(one.id)})
    names = sorted({one.name for one in references if one.name is not None})
    return or_(kind.table.c.id.in_(ids), kind.table.c.name_key.in_(names))


def unresolved(references: Iterable[Reference], targets: Targets) -> Iterable[Fault]:
    """Yield a fault for each id that is no record of the club: the same words whether deleted, foreign or invented."""
    for reference in references:
        if reference.id is not None and (reference.kind, reference.id) not in targets:
            one = KINDS[reference.kind].one
            code, message = f"no_such_{one.replace(' ', '_')}", f"there is no such {one} in this club"
            yield Fault(code=code, message=message, pointer=reference.pointer)


def keep_links(connection: Connection, record: Record, references: Sequence[Reference]) -> None:
    """Put down what ``record`` names, in place of what it named before."""
    if record.version > 1:
        drop_links(connection, [record])
    if references:
        connection.execute(insert(links), [_link(record, reference) for reference in references])


def keep_links_of_many(connection: Connection, records: Sequence[Record]) -> None:
    """Put down what each of ``records``, all of one kind, names, in place of what it named before."""
    kind = KINDS[records[0].kind]
    drop_links(connection, [record for record in records if record.version > 1])
    if found := [_link(record, one) for record in records for one in kind.references(record.body)]:
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
    for some in in_turn([record.id for record in records]):
        connection.execute(delete(links).where(links.c.source_kind == records[0].kind, links.c.source_id.in_(some)))


def in_turn(ids: Sequence[str]) -> Iterator[Sequence[str]]:
    """Yield ids in lots that one statement may hold on either database."""
    for start in range(0, len(ids), MOST_IN_A_STATEMENT):
        yield ids[start : start + MOST_IN_A_STATEMENT]


def leaning_on(reading: Reading, record: Record, targets: Targets) -> tuple[list[Record], Targets]:
    """Return the records that lean on ``record``, and all that judging them needs: ``record`` itself as it is to be.

    They name it by its id, or name another that does, of a kind through which such records lean.
    """
    kind = KINDS[record.kind]
    near = _naming(reading, [record])
    far = (_naming(reading, [one for one in near if one.kind == name]) for name in kind.leans_through)
    found = list({one.id: one for one in (*near, *(one for group in far for one in group))}.values())
    around = named_by(reading.connection, found) if kind.outgrown_sees_all else {}
    known = {(one.kind, one.id): one for one in (*found, record)}
    return found, {**around, **targets, **known}


def _naming(reading: Reading, records: Sequence[Record]) -> list[Record]:
    """Return every record that names any of ``records``, all of one kind, by its id."""
    if not records:
        return []
    club_id, ids = records[0].club_id, [record.id for record in records]
    statement = (
        select(links.c.source_kind, links.c.source_id)
        .where(links.c.club_id == club_id, links.c.target_kind == records[0].kind, links.c.target_id.in_(ids))
        .distinct()
    )
    return _sources(reading, club_id, statement)


def refuse_while_leaned_on(
    reading: Reading, records: Sequence[Record], *, by_id: bool, going: Sequence[Record]
) -> None:
    """Raise ``InUse`` where others than those ``going`` name any of ``records`` (all of one kind) by name, or by id."""
    kind, club_id = KINDS[records[0].kind], records[0].club_id
    names = [name for name in (kind.named_by(record.body) for record in records) if name is not None]
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
    sources = _sources(reading, club_id, statement)
    if sources:
        users = [f"the {KINDS[source.kind].one} {KINDS[source.kind].title(source.body)}" for source in sources]
        what = f"the {kind.one} {kind.title(records[0].body)}" if len(records) == 1 else f"one of the {kind.name}"
        raise InUse(f"{what} is still needed by {listed(users, most=_MOST_NAMED)}; change those first")


def _sources(reading: Reading, club_id: str, statement: Select[tuple[str, str]]) -> list[Record]:
    found = [(row.source_kind, row.source_id) for row in reading.connection.execute(statement)]
    records: list[Record] = []
    for kind_name in sorted({kind for kind, _ in found}):
        ids = sorted(source_id for kind, source_id in found if kind == kind_name)
        there = reading.many(KINDS[kind_name], club_id, ids)
        records += (there[source_id] for source_id in ids if source_id in there)
    return records
