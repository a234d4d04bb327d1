"""Names where ids are asked for, in the body and the query of one request."""

from dataclasses import replace
from functools import partial
from typing import Any

import msgspec

from standage.api.web.call import Call
from standage.api.web.decode import as_parameter
from standage.registry.records.naming import with_ids
from standage.registry.records.reading import Reading
from standage.shapes.faults import Faulty, all_of


def named(reading: Reading | None, call: Call) -> Call:
    """Return the request with the ids of what it names; strangers name nothing. Raises
    ``Faulty``.
    """
    if reading is None or call.permit is None:
        return call
    query, body = all_of(
        partial(_of_query, reading, call),
        partial(_settled, reading, call.club_id, call.body),
    )
    if query is call.query and body is call.body:
        return call
    return replace(call, query=query, body=body)


def _of_query(reading: Reading, call: Call) -> Any:
    try:
        return _settled(reading, call.club_id, call.query)
    except Faulty as faulty:
        raise Faulty([as_parameter(fault) for fault in faulty.faults]) from faulty


def _settled(reading: Reading, club_id: str, whole: Any) -> Any:
    return (
        with_ids(reading, club_id, whole)
        if isinstance(whole, msgspec.Struct)
        else whole
    )
