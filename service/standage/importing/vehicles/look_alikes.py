"""Rows of a stock list whose vehicle is called by a name that looks like another's, on
record or in the same list.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

import msgspec

from standage.exchange.rows import LONGEST_SHOWN, Heads, RowNote
from standage.importing.outcomes import Judged
from standage.railway.terms.look_alikes import shape, warning
from standage.registry.database.tables import name_key
from standage.registry.records.look_alikes import Named

_MOST_TOLD = 5


class _Called(NamedTuple):
    """A name that a vehicle bears once the rows are taken, and the row that gives
    it.
    """

    name: str
    row: int | None


def with_look_alikes(
    rows: Sequence[Judged], on_record: Iterable[Named], heads: Heads
) -> list[Judged]:
    """Return the rows with a note on each that gives a vehicle a name which looks like
    another's.
    """
    names = _names_once_taken(rows, on_record)
    called = _by_shape(names)
    return [_looked_at(one, called, heads) for one in rows]


def _looked_at(one: Judged, called: "_ByShape", heads: Heads) -> Judged:
    if _gives_a_name(one):
        return _noted(one, called, heads)
    return one


def _gives_a_name(one: Judged) -> bool:
    return one.told.outcome in {"create", "update"}


def _names_once_taken(
    rows: Sequence[Judged], on_record: Iterable[Named]
) -> Iterator[_Called]:
    """Yield what vehicles are called once the good rows are taken: those on record,
    unless a row changes them.
    """
    changed = {one.told.record_id for one in rows if one.told.outcome == "update"}
    for other in on_record:
        if other.id not in changed:
            yield _Called(other.name, None)
    for one in rows:
        if one.body is not None and _gives_a_name(one):
            yield _Called(one.body.name, one.told.row)


_ByShape = dict[tuple[int, str], list[_Called]]
"""Names by each part of their shapes, and which part it is."""


def _by_shape(names: Iterable[_Called]) -> _ByShape:
    found: defaultdict[tuple[int, str], list[_Called]] = defaultdict(list)
    for called in names:
        for part in enumerate(shape(called.name)):
            found[part].append(called)
    return dict(found)


def _noted(one: Judged, called: _ByShape, heads: Heads) -> Judged:
    name = one.told.name or ""
    others: dict[str, _Called] = {}
    for part in enumerate(shape(name)):
        for other in called.get(part, ()):
            others.setdefault(name_key(other.name), other)
    others.pop(name_key(name), None)
    if not others:
        return one
    notes = tuple(
        _note(name, other, heads) for other in list(others.values())[:_MOST_TOLD]
    )
    return msgspec.structs.replace(
        one, told=msgspec.structs.replace(one.told, notes=(*one.told.notes, *notes))
    )


def _note(name: str, other: _Called, heads: Heads) -> RowNote:
    where = (
        "which is another vehicle here" if other.row is None else f"in row {other.row}"
    )
    return RowNote(
        code="look_alike",
        message=warning(name, other.name, where=where),
        field="name",
        column=heads.column("name"),
        value=name[:LONGEST_SHOWN],
    )
