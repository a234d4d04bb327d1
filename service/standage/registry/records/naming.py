"""Names where ids are asked for: looked for in the club that asks, and taken where they
mean one record.
"""

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Any, NamedTuple, TypeVar

import msgspec
from msgspec import inspect

from standage.registry.database.tables import name_key
from standage.registry.records.bodies import looks_like_id
from standage.registry.records.kinds import (
    LAYOUTS,
    MEMBERS,
    MODULES,
    PLACES,
    RAKES,
    STANDARDS,
    TRAINS,
    VEHICLES,
    YARDS,
    Kind,
)
from standage.registry.records.names_found import Called, storable
from standage.registry.records.reading import Reading
from standage.shapes.faults import Fault, Faulty, broken_rules, escaped, shown
from standage.shapes.open_fields import open_fields

S = TypeVar("S", bound=msgspec.Struct)

NAMED_BY: Mapping[str, Kind[Any]] = {
    "train_id": TRAINS,
    "vehicle_id": VEHICLES,
    "engine_id": VEHICLES,
    "second_engine_id": VEHICLES,
    "third_engine_id": VEHICLES,
    "rake_id": RAKES,
    "layout_id": LAYOUTS,
    "place_id": PLACES,
    "headshunt_place_id": PLACES,
    "yard_id": YARDS,
    "module_id": MODULES,
    "standard_id": STANDARDS,
    "owner_id": MEMBERS,
    "member_id": MEMBERS,
}
"""What each field names, wherever it stands: a record of this kind, by its id or its
name.
"""


class _Said(NamedTuple):
    """A name in place of an id."""

    pointer: str
    kind: Kind[Any]
    text: str


def with_ids(reading: Reading, club_id: str, whole: S) -> S:
    """Return ``whole`` with the ids of the records that it names by name.

    A name that no record bears stays, for whoever looks the record up to refuse. Raises
    ``Faulty`` where a text can be nobody's name, where two records bear one name, and
    where ``whole`` breaks a rule once it is known which records are meant.
    """
    said = list(_names_in(whole, ""))
    if not said:
        return whole
    if strange := [_strange(one) for one in said if not storable(one.text)]:
        raise Faulty(strange)
    found = _found(reading, club_id, said)
    faults = [
        _ambiguous(one, found[one.kind.name][name_key(one.text)])
        for one in said
        if _is_ambiguous(one, found)
    ]
    if faults:
        raise Faulty(faults)
    resolved: S = _resolved(whole, found)
    if broken := list(broken_rules(resolved)):
        raise Faulty(broken)
    return resolved


_Found = Mapping[str, Mapping[str, Called]]
"""What was found, by the name of its kind and then by what it is called."""


def _found(reading: Reading, club_id: str, said: Sequence[_Said]) -> _Found:
    kinds = {one.kind.name: one.kind for one in said}
    return {
        name: reading.called(
            kind, club_id, [one.text for one in said if one.kind is kind]
        )
        for name, kind in kinds.items()
    }


def _strange(said: _Said) -> Fault:
    message = f"{shown(said.text)} has characters that may not stand there"
    return Fault(
        code="bad_characters",
        message=message,
        pointer=said.pointer,
    )


def _is_ambiguous(said: _Said, found: _Found) -> bool:
    known = found[said.kind.name]
    called = known.get(name_key(said.text))
    return called is not None and called.bearers > 1


def _ambiguous(said: _Said, called: Called) -> Fault:
    many = "two" if called.bearers == 2 else str(called.bearers)  # noqa: PLR2004 - the word for it
    kind = said.kind
    clash = f"{many} {kind.one}s are called {shown(said.text)}"
    message = f"{clash}: send an id from GET {kind.listed_at}"
    return Fault(
        code="ambiguous_name",
        message=message,
        pointer=said.pointer,
    )


def _names_in(value: object, pointer: str) -> Iterator[_Said]:
    if isinstance(value, msgspec.Struct):
        for field, encoded, kind in _ways_in(type(value)):
            inner = getattr(value, field)
            if kind is None:
                yield from _names_in(inner, f"{pointer}/{encoded}")
            elif inner is not None and not looks_like_id(inner):
                yield _Said(f"{pointer}/{encoded}", kind, inner)
    elif isinstance(value, tuple):
        for place, one in enumerate(value):
            yield from _names_in(one, f"{pointer}/{place}")
    elif isinstance(value, dict):
        for name, one in value.items():
            yield from _names_in(one, f"{pointer}/{escaped(name)}")


@cache
def _ways_in(
    kind: type[msgspec.Struct],
) -> tuple[tuple[str, str, Kind[Any] | None], ...]:
    """Return the fields of ``kind`` that name a record, with what sort, and those in
    which others do, deeper down.
    """
    names = zip(kind.__struct_fields__, kind.__struct_encode_fields__, strict=True)
    encoded = dict(names)
    types = {field.name: field.type for field in msgspec.structs.fields(kind)}
    ways: list[tuple[str, str, Kind[Any] | None]] = []
    for field in open_fields(kind):
        named = NAMED_BY.get(field)
        its_type = inspect.type_info(types[field])
        if named is not None or _may_name(its_type):
            ways.append((field, encoded[field], named))
    return tuple(ways)


def _may_name(kind: inspect.Type, within: frozenset[type] = frozenset()) -> bool:
    """Tell whether what is of that type may name a record."""
    if isinstance(kind, inspect.Metadata):
        return _may_name(kind.type, within)
    if isinstance(kind, inspect.UnionType):
        return any(_may_name(one, within) for one in kind.types)
    if isinstance(kind, inspect.ListType | inspect.VarTupleType):
        return _may_name(kind.item_type, within)
    if isinstance(kind, inspect.DictType):
        return _may_name(kind.value_type, within)
    if not isinstance(kind, inspect.StructType) or kind.cls in within:
        return False
    return any(
        field.name in NAMED_BY or _may_name(field.type, within | {kind.cls})
        for field in kind.fields
    )


def _resolved(value: Any, found: _Found) -> Any:
    if isinstance(value, tuple):
        return tuple(_resolved(one, found) for one in value)
    if isinstance(value, dict):
        return {name: _resolved(one, found) for name, one in value.items()}
    if not isinstance(value, msgspec.Struct):
        return value
    changed = {}
    for field, _, kind in _ways_in(type(value)):
        inner = getattr(value, field)
        now = _resolved(inner, found) if kind is None else _id_of(inner, kind, found)
        if now is not inner:
            changed[field] = now
    if not changed:
        return value
    return msgspec.structs.replace(value, **changed)


def _id_of(text: str | None, kind: Kind[Any], found: _Found) -> str | None:
    if text is None or looks_like_id(text):
        return text
    known = found[kind.name]
    called = known.get(name_key(text))
    if called is None:
        return text
    return called.id
