"""A record changed: replaced whole, or by a merge patch."""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any

import msgspec

from standage.api.operations.record_shapes import REMARKS, present, remarks_in
from standage.api.operations.record_words import parent_id, record_id
from standage.api.web.arrival import fitting_or_understood
from standage.api.web.call import Call, Reply
from standage.railway.terms.synonyms import TRADE_WORDS
from standage.railway.terms.understanding import NOTHING_HEARD, Heard, heard
from standage.registry.records.kinds import Kind
from standage.registry.records.look_alikes import looking_alike
from standage.registry.records.naming import with_ids
from standage.registry.records.record import Record
from standage.registry.writing.store import Writing
from standage.shapes.decoding import faults_in
from standage.shapes.faults import Fault, Faulty
from standage.shapes.merge_patch import merged


def perform_replace(kind: Kind[Any], writing: Writing, call: Call) -> Reply:
    """Put the request's body in place of the record's: what it leaves out is taken
    away.
    """
    replaced = partial(_as_body, kind, call.body)
    return _changed(
        kind,
        writing,
        call,
        replaced,
    )


def perform_update(kind: Kind[Any], writing: Writing, call: Call) -> Reply:
    """Merge the request's body into the record's (RFC 7396)."""
    patched = partial(_patched, kind, call.body)
    return _changed(
        kind,
        writing,
        call,
        patched,
    )


def _changed(
    kind: Kind[Any],
    writing: Writing,
    call: Call,
    new: Callable[[dict[str, Any]], Heard],
) -> Reply:
    said = [NOTHING_HEARD]

    def settled(before: Record) -> msgspec.Struct:
        now = msgspec.to_builtins(present(kind, before))
        heard = new(now)
        said.append(heard)
        body: msgspec.Struct = with_ids(writing, call.club_id, heard.value)
        return body

    try:
        record = writing.change(
            kind,
            call.granted,
            record_id(kind, call),
            settled,
            if_match=call.if_match,
            parent_id=parent_id(kind, call),
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
    kept = _without_what_is_said_alone(now, said)
    wanted = merged(kept, said.value)
    read_only = _read_only(kind, now)
    taken_away = {name: None for name in read_only if said.value.get(name, "") is None}
    unknown = _unknown(kind, said.value, read_only)
    with said.pointing():
        body = _as_body(kind, wanted | taken_away, now, found=unknown)
    return msgspec.structs.replace(
        body, told=said.told, sent_as={**body.sent_as, **said.sent_as}
    )


def _unknown(
    kind: Kind[Any], patch: Mapping[str, Any], read_only: Sequence[str]
) -> list[Fault]:
    """Return the faults of what a patch names that records of that kind do not have."""
    own = {name: value for name, value in patch.items() if name not in read_only}
    found = faults_in(own, kind.body, words=TRADE_WORDS)
    return [fault for fault in found if fault.code == "unknown_field"]


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
        return fitting_or_understood(wanted, kind.body)
    wanted = _without_remarks(kind, wanted)
    read_only = _read_only(kind, now)
    changed = (
        name for name in read_only if name in wanted and wanted[name] != now[name]
    )
    faults = [*map(_is_read_only, changed), *found]
    try:
        body = fitting_or_understood(
            {name: value for name, value in wanted.items() if name not in read_only},
            kind.body,
        )
    except Faulty as faulty:
        raise Faulty(list(dict.fromkeys([*faults, *faulty.faults]))) from faulty
    if faults:
        raise Faulty(faults)
    return body


def as_new_body(kind: Kind[Any], sent: Any) -> Heard:
    """Return what was sent as the body of a record that is still to be made."""
    return fitting_or_understood(sent, kind.body)


def _without_remarks(kind: Kind[Any], sent: Mapping[str, Any]) -> dict[str, Any]:
    """Return what was sent without the remarks of an answer that comes back: they count
    for nothing.
    """
    remarks = remarks_in(kind)
    return {name: value for name, value in sent.items() if name not in remarks}


def _read_only(kind: Kind[Any], now: Mapping[str, Any]) -> list[str]:
    own = {*kind.body.__struct_encode_fields__, REMARKS}
    return [name for name in now if name not in own]


def _is_read_only(name: str) -> Fault:
    return Fault(
        code="read_only",
        message=f"{name} is the service's own and cannot be changed",
        pointer=f"/{name}",
    )
