"""The operations on records, made from their kinds: list, create, read, replace, change, delete."""

from collections.abc import Iterable
from datetime import datetime
from functools import partial
from typing import Annotated, Any, Literal

import msgspec

from standage.api import pages, record_acts
from standage.api.operations import Operation, Reads, Writes
from standage.api.record_warnings import can_be_warned_of
from standage.api.record_words import WORDS, Words, id_name, paths
from standage.railway.slips.slip import Slip
from standage.railway.terms.figures import says
from standage.registry.kinds import KINDS, TOKENS, Kind

_ENVELOPE: tuple[tuple[str, Any], ...] = (
    ("id", Annotated[str, says("Its id; the service gives it.")]),
    ("version", Annotated[int, says("Goes up by one with each change.")]),
    ("created_at", Annotated[datetime, msgspec.Meta(tz=True), says("When it was recorded.")]),
    ("updated_at", Annotated[datetime, msgspec.Meta(tz=True), says("When it was last changed.")]),
)


def record_operations() -> list[Operation]:
    """Return every operation on every kind of record."""
    return [operation for kind in KINDS.values() for operation in _operations(kind, WORDS[kind.name])]


def _operations(kind: Kind[Any], words: Words) -> Iterable[Operation]:
    answer = _answer_type(kind, words)
    spoken = kind.one
    single = paths(kind)[1]
    if not words.singleton:
        yield _list(kind, words, answer)
        yield _create(kind, words, answer)
    yield Operation(
        id=f"get{words.noun}",
        method="GET",
        path=single,
        tag=words.tag,
        summary=f"Read {_a(spoken)}",
        description=words.about,
        act=Reads(partial(record_acts.gather_one, kind), partial(record_acts.report_one, kind)),
        answer=answer,
        tagged=True,
    )
    yield _replace(kind, words, answer)
    yield _update(kind, words, answer)
    if kind.removable:
        yield _delete(kind, words)


def _a(noun: str) -> str:
    return f"{'an' if noun[0] in 'aeiou' else 'a'} {noun}"


def _list(kind: Kind[Any], words: Words, answer: type) -> Operation:
    spoken = kind.one
    return Operation(
        id=f"list{words.plural}",
        method="GET",
        path=paths(kind)[0],
        tag=words.tag,
        summary=f"List the {spoken}s",
        description=f"{words.about} Pages are joined by cursors: follow `next` until it is absent.",
        act=Reads(partial(record_acts.gather_page, kind), record_acts.report_page),
        answer=_page_type(words, answer),
        query=_list_query(kind, words),
        tagged=True,
    )


def _create(kind: Kind[Any], words: Words, answer: type) -> Operation:
    problems = ("in_use", *(("already_shown",) if kind is TOKENS else ()))
    return Operation(
        id=f"create{words.noun}",
        method="POST",
        path=paths(kind)[0],
        tag=words.tag,
        summary=f"Record {_a(kind.one)}",
        description=words.about,
        act=Writes(partial(record_acts.perform_create, kind)),
        answer=_issued_type(answer) if kind is TOKENS else answer,
        status=201,
        body=kind.body,
        problems=problems,
        rate="write",
        creates=True,
        tagged=True,
    )


def _replace(kind: Kind[Any], words: Words, answer: type) -> Operation:
    return Operation(
        id=f"replace{words.noun}",
        method="PUT",
        path=paths(kind)[1],
        tag=words.tag,
        summary=f"Replace {_a(kind.one)}",
        description=f"{words.about} What the body leaves out is taken away; read-only fields may stand as they are.",
        act=Writes(partial(record_acts.perform_replace, kind)),
        answer=answer,
        body=kind.body,
        problems=("in_use",),
        rate="write",
        conditional=True,
        tagged=True,
    )


def _update(kind: Kind[Any], words: Words, answer: type) -> Operation:
    return Operation(
        id=f"update{words.noun}",
        method="PATCH",
        path=paths(kind)[1],
        tag=words.tag,
        summary=f"Change some of {_a(kind.one)}",
        description=f"{words.about} A merge patch (RFC 7396): what is null is taken away, lists are replaced whole.",
        act=Writes(partial(record_acts.perform_update, kind)),
        answer=answer,
        patch_of=kind.body,
        problems=("in_use",),
        rate="write",
        conditional=True,
        tagged=True,
    )


def _delete(kind: Kind[Any], words: Words) -> Operation:
    return Operation(
        id=f"delete{words.noun}",
        method="DELETE",
        path=paths(kind)[1],
        tag=words.tag,
        summary=f"Delete {_a(kind.one)}",
        description=f"{words.about} Refused while other records lean on it.",
        act=Writes(partial(record_acts.perform_delete, kind)),
        answer=None,
        status=204,
        problems=("in_use",),
        rate="write",
        conditional=True,
    )


def _answer_type(kind: Kind[Any], words: Words) -> type:
    parent = (
        [] if kind.parent is None else [(id_name(KINDS[kind.parent]), Annotated[str, says("What it lies beneath.")])]
    )
    warned = Annotated[
        tuple[Slip, ...], says("Figures that were probably meant otherwise; absent where there are none.")
    ]
    return msgspec.defstruct(
        words.noun,
        [*_ENVELOPE, *parent, *([("warnings", warned, ())] if can_be_warned_of(kind) else [])],
        bases=(kind.body,),
        frozen=True,
        kw_only=True,
        namespace={"__doc__": words.about},
    )


def _issued_type(answer: type) -> type:
    secret = ("token", Annotated[str, says("The secret. It is shown this once; keep it where others cannot read it.")])
    return msgspec.defstruct("IssuedToken", [secret], bases=(answer,), frozen=True, kw_only=True)


def _page_type(words: Words, answer: Any) -> type:
    return msgspec.defstruct(
        f"{words.noun}Page",
        [
            ("items", Annotated[list[answer], says("The records of this page, in order.")]),
            ("next", Annotated[str | None, says("The address of the next page; absent on the last.")], None),
            ("next_cursor", Annotated[str | None, says("The cursor within that address.")], None),
        ],
        frozen=True,
        kw_only=True,
        namespace={"__doc__": f"A page of {words.plural.lower()}."},
    )


def _list_query(kind: Kind[Any], words: Words) -> type:
    orders = tuple(order for name in kind.sorts for order in (name, f"-{name}"))
    choice = Annotated[Literal[orders], says("The order; with a '-' before it, the other way round.")]  # type: ignore[valid-type]  # made from the kind's own sorts
    filters = [
        (name, Annotated[one.type | None, says(_filter_words(name))], None) for name, one in kind.filters.items()
    ]
    return msgspec.defstruct(
        f"{words.plural}Query",
        [
            ("limit", pages.Limit, pages.DEFAULT_LIMIT),
            ("cursor", pages.Cursor | None, None),
            ("sort", choice, orders[0]),
            *filters,
        ],
        frozen=True,
        kw_only=True,
        forbid_unknown_fields=True,
    )


def _filter_words(name: str) -> str:
    if name.endswith("_begins"):
        return f"Only those whose {name.removesuffix('_begins')} begins like this; letter case aside."
    return f"Only those with this {name.removesuffix('_id').replace('_', ' ')}."
