"""The operations on records, made from their kinds: list, create, read, replace,
change, delete.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import msgspec

from standage.api.operations.record_changes import perform_replace, perform_update
from standage.api.operations.record_shapes import (
    answer_type,
    issued_type,
    list_query,
    new_type,
    page_type,
    present,
)
from standage.api.operations.record_words import (
    WORDS,
    Address,
    addresses,
    id_name,
    list_path,
    parent_id,
    record_id,
)
from standage.api.web.call import Call, Reply
from standage.api.web.operation import (
    About,
    Answers,
    Guard,
    Operation,
    Reads,
    Takes,
    Writes,
    known,
)
from standage.api.web.pages import PageAsked, page_asked
from standage.registry.people.credentials import issue
from standage.registry.people.invitations import refuse_a_second_passphrase
from standage.registry.records.kinds import (
    INVITATIONS,
    KINDS,
    Kind,
)
from standage.registry.records.look_alikes import looking_alike
from standage.registry.records.naming import with_ids
from standage.registry.records.reading import Listing, Reading, position
from standage.registry.records.record import Record
from standage.registry.writing.store import Writing
from standage.shapes.faults import Fault, Faulty
from standage.shapes.refusals import Absent


@dataclass(frozen=True, kw_only=True)
class _Page:
    """One record more than the page may hold, and what was asked for."""

    kind: Kind[Any]
    asked: PageAsked
    listing: Listing
    records: list[Record]


def record_operations() -> list[Operation]:
    """Return every operation on every kind of record."""
    return [
        operation
        for kind in KINDS.values()
        if not kind.naming.sole
        for answer in (answer_type(kind, WORDS[kind.name]),)
        for at in addresses(kind)
        for operation in _operations(kind, at, answer)
    ]


def _operations(kind: Kind[Any], at: Address, answer: type) -> Iterable[Operation]:
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
            tag=words.tag,
            summary=f"Read {_a(spoken)}",
            description="As it is now.",
        ),
        act=Reads(partial(_gather_one, kind), partial(_report_one, kind)),
        answers=Answers(shape=answer, tagged=True),
    )
    if kind.life.changeable:
        yield _replace(kind, at, answer)
        yield _update(kind, at, answer)
    if kind.life.removable:
        yield _delete(kind, at)


def _whose(kind: Kind[Any], at: Address) -> str:
    if at.alone and kind.parent is not None:
        return f" of any {KINDS[kind.parent].one}"
    return ""


def _a(noun: str) -> str:
    return f"{'an' if noun[0] in 'aeiou' else 'a'} {noun}"


def _list(kind: Kind[Any], at: Address, answer: type) -> Operation:
    words = WORDS[kind.name]
    return Operation(
        id=f"list{at.plural}",
        method="GET",
        path=at.listed,
        about=About(
            tag=words.tag,
            summary=f"List the {kind.one}s{_whose(kind, at)}",
            description="In pages.",
        ),
        act=Reads(partial(_gather_page, kind), _report_page),
        answers=Answers(shape=page_type(words, answer), tagged=True),
        takes=Takes(query=list_query(kind, at)),
    )


def _create(kind: Kind[Any], at: Address, answer: type) -> Operation:
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
        act=Writes(partial(perform_create, kind)),
        answers=Answers(
            shape=answer
            if kind.life.shown_once is None
            else issued_type(answer, kind.life.shown_once),
            status=201,
            problems=problems,
            creates=True,
            tagged=True,
        ),
        takes=Takes(
            body=new_type(kind, words) if at.alone else kind.body,
            most_bytes=kind.room.body_bytes,
        ),
        guard=Guard(rate="write"),
    )


def _replace(kind: Kind[Any], at: Address, answer: type) -> Operation:
    words = WORDS[kind.name]
    return Operation(
        id=f"replace{at.noun}",
        method="PUT",
        path=at.single,
        about=About(
            tag=words.tag,
            summary=f"Replace {_a(kind.one)}{_whose(kind, at)}",
            description="What the body leaves out is taken away.",
        ),
        act=Writes(partial(perform_replace, kind), in_turn=kind.in_turn),
        answers=Answers(shape=answer, problems=("in_use",), tagged=True),
        takes=Takes(body=kind.body, most_bytes=kind.room.body_bytes),
        guard=Guard(rate="write", conditional=True),
    )


def _update(kind: Kind[Any], at: Address, answer: type) -> Operation:
    words = WORDS[kind.name]
    return Operation(
        id=f"update{at.noun}",
        method="PATCH",
        path=at.single,
        about=About(
            tag=words.tag,
            summary=f"Change some of {_a(kind.one)}{_whose(kind, at)}",
            description="By a merge patch.",
        ),
        act=Writes(partial(perform_update, kind), in_turn=kind.in_turn),
        answers=Answers(shape=answer, problems=("in_use",), tagged=True),
        takes=Takes(patch_of=kind.body, most_bytes=kind.room.body_bytes),
        guard=Guard(rate="write", conditional=True),
    )


def _delete(kind: Kind[Any], at: Address) -> Operation:
    words = WORDS[kind.name]
    return Operation(
        id=f"delete{at.noun}",
        method="DELETE",
        path=at.single,
        about=About(
            tag=words.tag,
            summary=f"Delete {_a(kind.one)}{_whose(kind, at)}",
            description="Refused while other records lean on it.",
        ),
        act=Writes(partial(perform_delete, kind), in_turn=kind.in_turn),
        answers=Answers(shape=None, status=204, problems=("in_use",)),
        guard=Guard(rate="write", conditional=True),
    )


def _gather_one(kind: Kind[Any], reading: Reading | None, call: Call) -> Record:
    """Return the record that an address names; raises ``Absent`` where it, or what it
    lies beneath, is not there.
    """
    return known(reading).get(
        kind, call.club_id, record_id(kind, call), parent_id=parent_id(kind, call)
    )


def _report_one(kind: Kind[Any], record: Record) -> Reply:
    """Answer with a record under the ETag of its version."""
    return Reply(
        content=present(kind, record),
        etag=record.etag,
    )


def _gather_page(kind: Kind[Any], reading: Reading | None, call: Call) -> _Page:
    """Return one record more than the page may hold, which tells whether another page
    follows.

    Raises ``Absent`` where what the list lies beneath is not there, ``Faulty`` for a
    cursor of another list.
    """
    asked = page_asked(call, list_path(kind, call))
    listing = _listing_of(kind, asked)
    above = parent_id(kind, call)
    records = known(reading).page(kind, call.club_id, listing, parent_id=above)
    return _Page(
        kind=kind,
        asked=asked,
        listing=listing,
        records=records,
    )


def _listing_of(kind: Kind[Any], asked: PageAsked) -> Listing:
    query = asked.query
    sort = query["sort"]
    wanted = {name: query[name] for name in kind.filters if query[name] is not None}
    above = None if kind.parent is None else id_name(KINDS[kind.parent])
    return Listing(
        filters=wanted,
        beneath=query.get(above or ""),
        sort=sort.removeprefix("-"),
        descending=sort.startswith("-"),
        after=asked.after(),
        limit=asked.limit + 1,
    )


def _report_page(page: _Page) -> Reply:
    kind = page.kind
    limit = page.asked.limit
    shown = page.records[:limit]
    items = [present(kind, record) for record in shown]
    beside = _beside(kind, page.asked)
    content = {"items": items} | beside
    if len(page.records) <= limit:
        return page.asked.answer(content, None)
    last = position(kind, shown[-1], sort=page.listing.sort)
    return page.asked.answer(content, last)


def _beside(kind: Kind[Any], asked: PageAsked) -> dict[str, Any]:
    """Return what a list shows beside its records, where its query asks for that."""
    beside = WORDS[kind.name].beside
    if beside is None or not asked.query[beside.name]:
        return {}
    shown = beside.shown()
    return {beside.name: msgspec.to_builtins(shown)}


def perform_create(kind: Kind[Any], writing: Writing, call: Call) -> Reply:
    """Make the record; where a secret belongs to it the answer holds that, which is
    shown this once.
    """
    call = replace(call, body=with_ids(writing, call.club_id, call.body))
    secret: dict[str, str] = {}
    if kind.life.shown_once is None:
        record = _created(kind, writing, call)
    else:
        if kind is INVITATIONS:
            refuse_a_second_passphrase(writing, call.club_id, call.body)
        record, text = issue(
            writing, kind, call.granted, call.body, parent_id=parent_id(kind, call)
        )
        secret = {kind.life.shown_once: text}
    alike = looking_alike(writing.connection, kind, [record])
    return Reply(
        content={
            **present(
                kind,
                record,
                call.heard.told,
                alike,
            ),
            **secret,
        },
        status=201,
        etag=record.etag,
        headers=(("location", f"{list_path(kind, call)}/{record.id}"),),
        secret=bool(secret),
    )


def _created(kind: Kind[Any], writing: Writing, call: Call) -> Record:
    """Return the new record; where the address does not name what it lies beneath, its
    body does.
    """
    named = parent_id(kind, call)
    if kind.parent is None or named is not None:
        return writing.create(kind, call.granted, call.body, parent_id=named)
    said = msgspec.structs.asdict(call.body)
    above = id_name(KINDS[kind.parent])
    named = said.pop(above)
    try:
        return writing.create(kind, call.granted, kind.body(**said), parent_id=named)
    except Absent:
        one = KINDS[kind.parent].one
        message = f"there is no such {one} in this club"
        raise Faulty(
            [
                Fault(
                    code=f"no_such_{one}",
                    message=message,
                    pointer=f"/{above}",
                )
            ]
        ) from None


def perform_delete(kind: Kind[Any], writing: Writing, call: Call) -> Reply:
    """Delete the record and what lies beneath it; raises ``InUse`` where others lean on
    it.
    """
    writing.remove(
        kind,
        call.granted,
        record_id(kind, call),
        if_match=call.if_match,
        parent_id=parent_id(kind, call),
    )
    return Reply(status=204)
