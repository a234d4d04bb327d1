"""What becomes of a request about records: gathered and reported, or performed in one
transaction.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import msgspec

from standage.api.operations.record_warnings import (
    LOOK_ALIKES,
    REMARKS,
    remarks_in,
    warnings_of,
    words_taken,
)
from standage.api.operations.record_words import WORDS, id_name, paths
from standage.api.web import pages
from standage.api.web.call import Call, Reply
from standage.api.web.decode import understood
from standage.railway.terms.reasons import Assumed
from standage.railway.terms.synonyms import TRADE_WORDS
from standage.railway.terms.understanding import NOTHING_HEARD, Heard, heard
from standage.registry.people.credentials import issue
from standage.registry.people.invitations import refuse_a_second_passphrase
from standage.registry.records.kinds import CLUBS, INVITATIONS, KINDS, Kind
from standage.registry.records.look_alikes import LookAlike, looking_alike
from standage.registry.records.naming import with_ids
from standage.registry.records.reading import Listing, Reading, position
from standage.registry.records.record import Record
from standage.registry.writing.store import Writing
from standage.shapes.decoding import faults_in
from standage.shapes.faults import Fault, Faulty
from standage.shapes.refusals import Absent


def _record_id(kind: Kind[Any], call: Call) -> str:
    return call.club_id if kind is CLUBS else call.path[id_name(kind)]


def _parent_id(kind: Kind[Any], call: Call) -> str | None:
    """Return the id of what the address says it lies beneath; None where the address
    says nothing of that.
    """
    return None if kind.parent is None else call.path.get(id_name(KINDS[kind.parent]))


def _list_path(kind: Kind[Any], call: Call) -> str:
    return paths(kind, alone=_parent_id(kind, call) is None)[0].format(**call.path)


def _known(reading: Reading | None) -> Reading:
    """Return the reading of a caller who is known: records are never open to
    strangers.
    """
    if reading is None:
        message = "a record was asked for without a club"
        raise TypeError(message)
    return reading


def gather_one(kind: Kind[Any], reading: Reading | None, call: Call) -> Record:
    """Return the record that an address names; raises ``Absent`` where it, or what it
    lies beneath, is not there.
    """
    return _known(reading).get(
        kind, call.club_id, _record_id(kind, call), parent_id=_parent_id(kind, call)
    )


def report_one(kind: Kind[Any], record: Record) -> Reply:
    """Answer with a record under the ETag of its version."""
    return Reply(content=present(kind, record), etag=record.etag)


def present(
    kind: Kind[Any],
    record: Record,
    told: Sequence[Assumed] = (),
    alike: Sequence[LookAlike] = (),
) -> dict[str, Any]:
    """Return a record as it is spoken: its envelope, then its body; what nobody said is
    left out.

    ``told`` is what was understood in reading what was sent, ``alike`` are the records
    whose names look like its own.
    """
    envelope = {
        "id": record.id,
        "version": record.version,
        "created_at": record.created_at,
        "updated_at": record.updated_at,
    }
    parent = (
        {} if kind.parent is None else {id_name(KINDS[kind.parent]): record.parent_id}
    )
    body = {
        kind.naming.field: kind.title(record.body),
        **telling_defaults(kind),
        **msgspec.to_builtins(record.body),
    }
    remarks: dict[str, Sequence[msgspec.Struct]] = {
        "warnings": warnings_of(kind, record.body),
        REMARKS: (*told, *words_taken(kind, record.body)),
        LOOK_ALIKES: alike,
    }
    spoken = {
        name: list(msgspec.to_builtins(found))
        for name, found in remarks.items()
        if found
    }
    return {**envelope, **parent, **body, **spoken}


@cache
def telling_defaults(kind: Kind[Any]) -> Mapping[str, Any]:
    """Return the defaults that say something, such as a member's role; what nobody said
    stays left out.
    """
    defaults = {
        field.encode_name: field.default for field in msgspec.structs.fields(kind.body)
    }
    return {
        name: default
        for name, default in defaults.items()
        if isinstance(default, str | int) and default
    }


@dataclass(frozen=True, kw_only=True)
class _Page:
    kind: Kind[Any]
    path: str
    query: Mapping[str, Any]
    list_digest: str
    records: list[Record]
    limit: int


def gather_page(kind: Kind[Any], reading: Reading | None, call: Call) -> _Page:
    """Return one record more than the page may hold, which tells whether another page
    follows.

    Raises ``Absent`` where what the list lies beneath is not there, ``Faulty`` for a
    cursor of another list.
    """
    asked = msgspec.structs.asdict(call.query)
    path = _list_path(kind, call)
    list_digest = pages.digest(path, club_id=call.club_id, query=asked)
    sort = asked["sort"]
    listing = Listing(
        filters={name: asked[name] for name in kind.filters if asked[name] is not None},
        beneath=None if kind.parent is None else asked.get(id_name(KINDS[kind.parent])),
        sort=sort.removeprefix("-"),
        descending=sort.startswith("-"),
        after=pages.after(asked["cursor"], list_digest=list_digest),
        limit=asked["limit"] + 1,
    )
    records = _known(reading).page(
        kind, call.club_id, listing, parent_id=_parent_id(kind, call)
    )
    return _Page(
        kind=kind,
        path=path,
        query=asked,
        list_digest=list_digest,
        records=records,
        limit=asked["limit"],
    )


def report_page(page: _Page) -> Reply:
    """Answer with the page; where another follows, its address stands in the body and
    in the header Link.
    """
    shown = page.records[: page.limit]
    content: dict[str, Any] = {
        "items": [present(page.kind, record) for record in shown]
    }
    beside = WORDS[page.kind.name].beside
    if beside is not None and page.query[beside.name]:
        content[beside.name] = msgspec.to_builtins(beside.shown())
    if len(page.records) <= page.limit:
        return Reply(content=content)
    value, record_id = position(
        page.kind, shown[-1], sort=page.query["sort"].removeprefix("-")
    )
    text = pages.cursor(list_digest=page.list_digest, value=value, record_id=record_id)
    address = pages.next_path(page.path, page.query, cursor_text=text)
    content |= {"next": address, "next_cursor": text}
    return Reply(content=content, headers=(("link", f'<{address}>; rel="next"'),))


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
            writing, kind, call.granted, call.body, parent_id=_parent_id(kind, call)
        )
        secret = {kind.life.shown_once: text}
    alike = looking_alike(writing.connection, kind, [record])
    return Reply(
        content={**present(kind, record, call.heard.told, alike), **secret},
        status=201,
        etag=record.etag,
        headers=(("location", f"{_list_path(kind, call)}/{record.id}"),),
        secret=bool(secret),
    )


def _created(kind: Kind[Any], writing: Writing, call: Call) -> Record:
    """Return the new record; where the address does not name what it lies beneath, its
    body does.
    """
    parent_id = _parent_id(kind, call)
    if kind.parent is None or parent_id is not None:
        return writing.create(kind, call.granted, call.body, parent_id=parent_id)
    said = msgspec.structs.asdict(call.body)
    above = id_name(KINDS[kind.parent])
    parent_id = said.pop(above)
    try:
        return writing.create(
            kind, call.granted, kind.body(**said), parent_id=parent_id
        )
    except Absent:
        one = KINDS[kind.parent].one
        message = f"there is no such {one} in this club"
        raise Faulty(
            [Fault(code=f"no_such_{one}", message=message, pointer=f"/{above}")]
        ) from None


def perform_replace(kind: Kind[Any], writing: Writing, call: Call) -> Reply:
    """Put the request's body in place of the record's: what it leaves out is taken
    away.
    """
    return _changed(kind, writing, call, lambda now: _as_body(kind, call.body, now))


def perform_update(kind: Kind[Any], writing: Writing, call: Call) -> Reply:
    """Merge the request's body into the record's (RFC 7396)."""
    return _changed(kind, writing, call, lambda now: _patched(kind, call.body, now))


def _changed(
    kind: Kind[Any],
    writing: Writing,
    call: Call,
    new: Callable[[dict[str, Any]], Heard],
) -> Reply:
    said = [NOTHING_HEARD]

    def settled(before: Record) -> msgspec.Struct:
        said.append(new(msgspec.to_builtins(present(kind, before))))
        body: msgspec.Struct = with_ids(writing, call.club_id, said[-1].value)
        return body

    try:
        record = writing.change(
            kind,
            call.granted,
            _record_id(kind, call),
            settled,
            if_match=call.if_match,
            parent_id=_parent_id(kind, call),
        )
    except Faulty as faulty:
        raise Faulty([said[-1].as_sent(fault) for fault in faulty.faults]) from faulty
    alike = looking_alike(writing.connection, kind, [record])
    return Reply(content=present(kind, record, said[-1].told, alike), etag=record.etag)


def _patched(kind: Kind[Any], patch: Any, now: Mapping[str, Any]) -> Heard:
    """Return ``now`` with ``patch`` merged into it as a body.

    A merge leaves no trace of a null. So a null that would take away a read-only field
    is left standing for it to be refused, and names that are not the record's are
    looked for in the patch itself.
    """
    if not isinstance(patch, dict):
        return _as_body(kind, patch, now)
    said = heard(_without_remarks(kind, patch), kind.body)
    wanted = merged(_without_what_is_said_alone(now, said), said.value)
    read_only = _read_only(kind, now)
    taken_away = {name: None for name in read_only if said.value.get(name, "") is None}
    own = {name: value for name, value in said.value.items() if name not in read_only}
    found = faults_in(own, kind.body, words=TRADE_WORDS)
    unknown = [fault for fault in found if fault.code == "unknown_field"]
    with said.pointing():
        body = _as_body(kind, wanted | taken_away, now, found=unknown)
    return msgspec.structs.replace(
        body, told=said.told, sent_as={**body.sent_as, **said.sent_as}
    )


def _without_what_is_said_alone(now: Mapping[str, Any], said: Heard) -> dict[str, Any]:
    """Return ``now`` without the parts for which the patch has one word: as no object,
    that takes their whole place.
    """
    sent_alone = (pointer for pointer, name in said.sent_as.items() if name is None)
    parts = {pointer.split("/")[1] for pointer in sent_alone}
    kept = dict(now)
    for part in parts:
        kept.pop(part, None)
    return kept


def _as_body(
    kind: Kind[Any], wanted: Any, now: Mapping[str, Any], *, found: Sequence[Fault] = ()
) -> Heard:
    """Return ``wanted`` as a body: read-only fields may stand as they are now, and are
    refused if they differ.

    Raises ``Faulty`` with all that is wrong, ``found`` included.
    """
    if not isinstance(wanted, dict):
        return understood(wanted, kind.body)
    wanted = _without_remarks(kind, wanted)
    read_only = _read_only(kind, now)
    changed = (
        name for name in read_only if name in wanted and wanted[name] != now[name]
    )
    faults = [*map(_is_read_only, changed), *found]
    try:
        body = understood(
            {name: value for name, value in wanted.items() if name not in read_only},
            kind.body,
        )
    except Faulty as faulty:
        raise Faulty(list(dict.fromkeys([*faults, *faulty.faults]))) from faulty
    if faults:
        raise Faulty(faults)
    return body


def _without_remarks(kind: Kind[Any], sent: Mapping[str, Any]) -> dict[str, Any]:
    """Return what was sent without the remarks of an answer that comes back: they count
    for nothing.
    """
    remarks = remarks_in(kind)
    return {name: value for name, value in sent.items() if name not in remarks}


def _read_only(kind: Kind[Any], now: Mapping[str, Any]) -> list[str]:
    own = set(kind.body.__struct_encode_fields__)
    return [name for name in now if name not in own and name != REMARKS]


def _is_read_only(name: str) -> Fault:
    return Fault(
        code="read_only",
        message=f"{name} is the service's own and cannot be changed",
        pointer=f"/{name}",
    )


def merged(target: Any, patch: Any) -> Any:
    """Return ``target`` with ``patch`` merged into it (RFC 7396, section 2)."""
    if not isinstance(patch, dict):
        return patch
    result = dict(target) if isinstance(target, dict) else {}
    for name, value in patch.items():
        if value is None:
            result.pop(name, None)
        else:
            result[name] = merged(result.get(name), value)
    return result


def perform_delete(kind: Kind[Any], writing: Writing, call: Call) -> Reply:
    """Delete the record and what lies beneath it; raises ``InUse`` where others lean on
    it.
    """
    writing.remove(
        kind,
        call.granted,
        _record_id(kind, call),
        if_match=call.if_match,
        parent_id=_parent_id(kind, call),
    )
    return Reply(status=204)
