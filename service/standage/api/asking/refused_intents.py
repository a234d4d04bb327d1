"""What a change of a record was to do that is refused: read off the request, to be put
down.
"""

from functools import cache
from typing import Any

import msgspec

from standage.api.operations.record_words import id_name, paths
from standage.api.web.arrival import Arrival
from standage.api.web.operation import Operation
from standage.registry.records.kinds import CLUBS, KINDS, Kind
from standage.registry.writing.refused_changes import Refused, Verb

_VERBS: dict[str, Verb] = {"PUT": "replace", "PATCH": "update", "DELETE": "delete"}


def what_was_refused(
    operation: Operation, arrival: Arrival, *, club_id: str
) -> Refused | None:
    """Return what was to be done with which record; None where it is no record's own
    address.
    """
    kind, verb = _kinds().get(operation.path), _VERBS.get(operation.method)
    if kind is None or verb is None:
        return None
    return Refused(
        kind=kind,
        record_id=_record_id(kind, arrival, club_id),
        verb=verb,
        seen=arrival.headers.get("if-match", ""),
        sent=None if verb == "delete" else _as_told(arrival.body),
    )


def _record_id(kind: Kind[Any], arrival: Arrival, club_id: str) -> str:
    """Return the id of the record; of one of which there is no other beside it, that of
    what it lies beneath.
    """
    if kind is CLUBS:
        return club_id
    named = KINDS[kind.parent or ""] if kind.naming.sole else kind
    return arrival.path_parameters[id_name(named)]


def _as_told(raw: bytes) -> str | None:
    """Return a body as it can be told again; None where it cannot: remarks of an answer
    come back in any shape.
    """
    try:
        return msgspec.json.encode(msgspec.json.decode(raw)).decode()
    except (msgspec.DecodeError, UnicodeError, RecursionError, OverflowError):
        return None


@cache
def _kinds() -> dict[str, Kind[Any]]:
    """Return the kinds by the addresses of single records."""
    return {
        paths(kind, alone=alone)[1]: kind
        for kind in KINDS.values()
        for alone in (False, True)
    }
