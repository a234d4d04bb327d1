"""The operations on records, made from their kinds: list, create, read, replace,
change, delete.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import cache, partial
from typing import Annotated, Any, Literal

import msgspec

from standage.api.operations import record_acts
from standage.api.operations.record_warnings import (
    LOOK_ALIKES,
    REMARKS,
    can_be_warned_of,
)
from standage.api.operations.record_words import WORDS, Words, id_name, paths
from standage.api.web import pages
from standage.api.web.acts import Reads, Writes
from standage.api.web.operation import About, Answers, Guard, Operation, Takes
from standage.railway.slips.slip import Slip
from standage.railway.terms.figures import IdOrName, says
from standage.railway.terms.reasons import Assumed
from standage.registry.records.kinds import KINDS, Kind
from standage.registry.records.look_alikes import LookAlike

_ENVELOPE: tuple[tuple[str, Any], ...] = (
    ("id", Annotated[str, says("Its id; the service gives it.")]),
    ("version", Annotated[int, says("Goes up by one with each change.")]),
    (
        "created_at",
        Annotated[datetime, msgspec.Meta(tz=True), says("When it was recorded.")],
    ),
    (
        "updated_at",
        Annotated[datetime, msgspec.Meta(tz=True), says("When it was last changed.")],
    ),
)


@dataclass(frozen=True, kw_only=True)
class _Address:
    """Where a sort of record stands, and how its operations are called there."""

    listed: str
    single: str
    noun: str
    plural: str
    alone: bool
    """Whether it does not name what the records lie beneath."""


def record_operations() -> list[Operation]:
    """Return every operation on every kind of record."""
    return [
        operation
        for kind in KINDS.values()
        for answer in (_answer_type(kind, WORDS[kind.name]),)
        for at in _addresses(kind, WORDS[kind.name])
        for operation in _operations(kind, at, answer)
    ]


def _addresses(kind: Kind[Any], words: Words) -> Iterable[_Address]:
    listed, single = paths(kind)
    yield _Address(
        listed=listed, single=single, noun=words.noun, plural=words.plural, alone=False
    )
    if words.also_alone:
        listed, single = paths(kind, alone=True)
        noun, plural = f"Club{words.noun}", f"Club{words.plural}"
        yield _Address(
            listed=listed, single=single, noun=noun, plural=plural, alone=True
        )


def _operations(kind: Kind[Any], at: _Address, answer: type) -> Iterable[Operation]:
    words = WORDS[kind.name]
    spoken = kind.one + _whose(kind, at)
    if not words.singleton:
        yield _list(kind, at, answer)
        yield _create(kind, at, answer)
    yield Operation(
        id=f"get{at.noun}",
        method="GET",
        path=at.single,
        about=About(
            tag=words.tag, summary=f"Read {_a(spoken)}", description=words.about
        ),
        act=Reads(
            partial(record_acts.gather_one, kind), partial(record_acts.report_one, kind)
        ),
        answers=Answers(shape=answer, tagged=True),
    )
    if kind.life.changeable:
        yield _replace(kind, at, answer)
        yield _update(kind, at, answer)
    if kind.life.removable:
        yield _delete(kind, at)


def _whose(kind: Kind[Any], at: _Address) -> str:
    return (
        f" of any {KINDS[kind.parent].one}"
        if at.alone and kind.parent is not None
        else ""
    )


def _a(noun: str) -> str:
    return f"{'an' if noun[0] in 'aeiou' else 'a'} {noun}"


def _list(kind: Kind[Any], at: _Address, answer: type) -> Operation:
    words = WORDS[kind.name]
    return Operation(
        id=f"list{at.plural}",
        method="GET",
        path=at.listed,
        about=About(
            tag=words.tag,
            summary=f"List the {kind.one}s{_whose(kind, at)}",
            description=(
                f"{words.about} Pages are joined by cursors: follow `next` until it is"
                " absent."
            ),
        ),
        act=Reads(partial(record_acts.gather_page, kind), record_acts.report_page),
        answers=Answers(shape=_page_type(words, answer), tagged=True),
        takes=Takes(query=_list_query(kind, at)),
    )


def _create(kind: Kind[Any], at: _Address, answer: type) -> Operation:
    words = WORDS[kind.name]
    problems = ("in_use", *(("already_shown",) if kind.life.shown_once else ()))
    return Operation(
        id=f"create{at.noun}",
        method="POST",
        path=at.listed,
        about=About(
            tag=words.tag,
            summary=f"Record {_a(kind.one)}{_whose(kind, at)}",
            description=words.about,
        ),
        act=Writes(partial(record_acts.perform_create, kind)),
        answers=Answers(
            shape=answer
            if kind.life.shown_once is None
            else _issued_type(answer, kind.life.shown_once),
            status=201,
            problems=problems,
            creates=True,
            tagged=True,
        ),
        takes=Takes(
            body=_new_type(kind, words) if at.alone else kind.body,
            most_bytes=kind.room.body_bytes,
        ),
        guard=Guard(rate="write"),
    )


def _replace(kind: Kind[Any], at: _Address, answer: type) -> Operation:
    words = WORDS[kind.name]
    return Operation(
        id=f"replace{at.noun}",
        method="PUT",
        path=at.single,
        about=About(
            tag=words.tag,
            summary=f"Replace {_a(kind.one)}{_whose(kind, at)}",
            description=(
                f"{words.about} What the body leaves out is taken away; read-only fields"
                " may stand as they are."
            ),
        ),
        act=Writes(partial(record_acts.perform_replace, kind), in_turn=kind.in_turn),
        answers=Answers(shape=answer, problems=("in_use",), tagged=True),
        takes=Takes(body=kind.body, most_bytes=kind.room.body_bytes),
        guard=Guard(rate="write", conditional=True),
    )


def _update(kind: Kind[Any], at: _Address, answer: type) -> Operation:
    words = WORDS[kind.name]
    return Operation(
        id=f"update{at.noun}",
        method="PATCH",
        path=at.single,
        about=About(
            tag=words.tag,
            summary=f"Change some of {_a(kind.one)}{_whose(kind, at)}",
            description=(
                f"{words.about} A merge patch (RFC 7396): what is null is taken away, lists"
                " are replaced whole."
            ),
        ),
        act=Writes(partial(record_acts.perform_update, kind), in_turn=kind.in_turn),
        answers=Answers(shape=answer, problems=("in_use",), tagged=True),
        takes=Takes(patch_of=kind.body, most_bytes=kind.room.body_bytes),
        guard=Guard(rate="write", conditional=True),
    )


def _delete(kind: Kind[Any], at: _Address) -> Operation:
    words = WORDS[kind.name]
    return Operation(
        id=f"delete{at.noun}",
        method="DELETE",
        path=at.single,
        about=About(
            tag=words.tag,
            summary=f"Delete {_a(kind.one)}{_whose(kind, at)}",
            description=f"{words.about} Refused while other records lean on it.",
        ),
        act=Writes(partial(record_acts.perform_delete, kind), in_turn=kind.in_turn),
        answers=Answers(shape=None, status=204, problems=("in_use",)),
        guard=Guard(rate="write", conditional=True),
    )


def _answer_type(kind: Kind[Any], words: Words) -> type:
    parent = (
        []
        if kind.parent is None
        else [
            (id_name(KINDS[kind.parent]), Annotated[str, says("What it lies beneath.")])
        ]
    )
    return msgspec.defstruct(
        words.noun,
        [*_ENVELOPE, *parent, *_remarks(kind)],
        bases=(kind.body,),
        frozen=True,
        kw_only=True,
        namespace={"__doc__": words.about},
    )


def _remarks(kind: Kind[Any]) -> Iterable[tuple[str, Any, Any]]:
    """Yield the fields of an answer that are said beside the record, and absent where
    there is nothing to say.
    """
    warned = Annotated[
        tuple[Slip, ...],
        says(
            "Figures that were probably meant otherwise; absent where there are none."
        ),
    ]
    taken = Annotated[
        tuple[Assumed, ...],
        says(
            "How words that mean two things are taken; absent where there are none."
            " What is sent of it is ignored."
        ),
    ]
    alike = Annotated[
        tuple[LookAlike, ...],
        says(
            "Others of the same list whose names look like this one, five at most: told"
            " when it is written, absent where there are none. What is sent of it is"
            " ignored."
        ),
    ]
    if can_be_warned_of(kind):
        yield from (("warnings", warned, ()), (REMARKS, taken, ()))
    if kind.told_apart_by_name:
        yield (LOOK_ALIKES, alike, ())


def _new_type(kind: Kind[Any], words: Words) -> type:
    """Return the body of a new record at an address that does not name what it is to
    lie beneath.
    """
    above = KINDS[kind.parent or ""]
    beneath = (
        id_name(above),
        Annotated[
            IdOrName, says(f"The {above.one} that it is to lie beneath, for good.")
        ],
    )
    return msgspec.defstruct(
        f"New{words.noun}",
        [beneath],
        bases=(kind.body,),
        frozen=True,
        kw_only=True,
        forbid_unknown_fields=True,
        namespace={
            "__doc__": f"{words.about} It says which {above.one} it lies beneath."
        },
    )


def _issued_type(answer: type, field: str) -> type:
    secret = (
        field,
        Annotated[
            str,
            says(
                "The secret. It is shown this once; keep it where others cannot"
                " read it."
            ),
        ],
    )
    return msgspec.defstruct(
        f"Issued{answer.__name__}", [secret], bases=(answer,), frozen=True, kw_only=True
    )


@cache
def _page_type(words: Words, answer: Any) -> type:
    return msgspec.defstruct(
        f"{words.noun}Page",
        [
            (
                "items",
                Annotated[list[answer], says("The records of this page, in order.")],
            ),
            (
                "next",
                Annotated[
                    str | None,
                    says("The address of the next page; absent on the last."),
                ],
                None,
            ),
            (
                "next_cursor",
                Annotated[str | None, says("The cursor within that address.")],
                None,
            ),
            *_beside(words),
        ],
        frozen=True,
        kw_only=True,
        namespace={"__doc__": f"A page of {words.plural.lower()}."},
    )


def _beside(words: Words) -> list[tuple[str, Any, Any]]:
    if words.beside is None:
        return []
    shown = Annotated[
        tuple[words.beside.type, ...],  # type: ignore[name-defined]  # the kind's own
        says(f"{words.beside.about} Absent unless they are asked for."),
    ]
    return [(words.beside.name, shown, ())]


def _list_query(kind: Kind[Any], at: _Address) -> type:
    orders = tuple(order for name in kind.sorts for order in (name, f"-{name}"))
    choice = Annotated[
        Literal[orders],  # type: ignore[valid-type]  # made from the kind's own sorts
        says("The order; with a '-' before it, the other way round."),
    ]
    filters: list[tuple[str, Any, None]] = [
        (name, Annotated[one.type | None, says(_filter_words(name))], None)
        for name, one in kind.filters.items()
    ]
    if at.alone:
        above = id_name(KINDS[kind.parent or ""])
        filters.append(
            (above, Annotated[IdOrName | None, says(_filter_words(above))], None)
        )
    beside = WORDS[kind.name].beside
    if beside is not None:
        asked = Annotated[
            bool | None, says(f"Whether to show beside the records: {beside.about}")
        ]
        filters.append((beside.name, asked, None))
    return msgspec.defstruct(
        f"{at.plural}Query",
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
        return (
            f"Only those whose {name.removesuffix('_begins')} begins like this; letter"
            " case aside."
        )
    return f"Only those with this {name.removesuffix('_id').replace('_', ' ')}."
