"""What is wrong with records as they are to be, that only other records can show."""

from collections.abc import Iterator, Sequence
from typing import Any

from standage.registry.database.lots import lots
from standage.registry.records.kinds import Kind
from standage.registry.records.reading import Reading
from standage.registry.records.record import Record
from standage.registry.records.references import Targets
from standage.registry.writing.links import leaning_on, named_by, unresolved
from standage.registry.writing.unique_names import names_taken
from standage.shapes.faults import Fault

Pair = tuple[Record | None, Record]
"""A record before a change, None where there was none, and as it is to be."""


def faults_of(
    reading: Reading, kind: Kind[Any], pairs: Sequence[Pair]
) -> Iterator[tuple[Record, Fault]]:
    """Yield every such fault, with the record in which it lies; what is named is held
    to the transaction's end.
    """
    standing = [after for _, after in pairs]
    yield from names_taken(reading.connection, kind, standing)
    for some in lots(pairs):
        some_standing = [after for _, after in some]
        targets = named_by(reading.connection, some_standing)
        for before, after in some:
            for fault in _faults_of_one(kind, before, after, targets):
                yield after, fault
        yield from _outgrown(reading, kind, some, targets)


def _faults_of_one(
    kind: Kind[Any], before: Record | None, after: Record, targets: Targets
) -> Iterator[Fault]:
    if before is not None:
        yield from _fixed(kind, before, after)
    yield from unresolved(after, kind.leaning.on(after.body), targets)
    yield from kind.leaning.faults(after.body, targets)


def _fixed(kind: Kind[Any], before: Record, after: Record) -> Iterator[Fault]:
    for name in kind.life.fixed:
        if getattr(after.body, name) != getattr(before.body, name):
            yield Fault(
                code="fixed",
                message=f"stays as it was when the {kind.one} was made",
                pointer=f"/{name}",
            )


def _outgrown(
    reading: Reading, kind: Kind[Any], pairs: Sequence[Pair], targets: Targets
) -> Iterator[tuple[Record, Fault]]:
    """Yield what changes do to the records that lean on those that are changed."""
    outgrown = kind.leaning.outgrown
    if outgrown is None:
        return
    changed = [
        after
        for before, after in pairs
        if before is not None or kind.naming.leaned_on_as(after.body) is not None
    ]
    leaning, known = leaning_on(reading, changed, targets)
    for record in changed:
        theirs = leaning.get(record.id, ())
        for fault in outgrown(record.body, record.id, theirs, known):
            yield record, fault
