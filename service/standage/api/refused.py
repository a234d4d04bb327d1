"""What a change of a record was to do that is refused: read off the request, to be put down."""

from functools import cache
from typing import Any

from standage.api.arrival import Arrival
from standage.api.operations import Operation
from standage.api.record_words import id_name, paths
from standage.registry.kinds import CLUBS, KINDS, Kind
from standage.registry.refused_changes import Refused, Verb

_VERBS: dict[str, Verb] = {"PUT": "replace", "PATCH": "update", "DELETE": "delete"}


def what_was_refused(operation: Operation, arrival: Arrival, *, club_id: str) -> Refused | None:
    """Return what was to be done with which record; None where it is no record's own address."""
    kind, verb = _kinds().get(operation.path), _VERBS.get(operation.method)
    if kind is None or verb is None:
        return None
    return Refused(
        kind=kind,
        record_id=club_id if kind is CLUBS else arrival.path_parameters[id_name(kind)],
        verb=verb,
        seen=arrival.headers.get("if-match", ""),
        sent=arrival.body.decode() or None,
    )


@cache
def _kinds() -> dict[str, Kind[Any]]:
    """Return the kinds by the addresses of single records."""
    return {paths(kind, alone=alone)[1]: kind for kind in KINDS.values() for alone in (False, True)}
