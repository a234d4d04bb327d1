"""What of a row of a stock list may not mean what it does, as far as the stock on record
and the club's scale tell.
"""

from collections.abc import Iterator

from standage.exchange.rows import Heads, RowNote
from standage.exchange.stock.mapping import Mapping
from standage.importing.vehicles.finding import Club, Found
from standage.importing.vehicles.row_words import (
    gauge_of_another,
    named_otherwise,
    no_such_record,
    other_noughts,
    perhaps_lost_noughts,
    unknown_couplings,
)
from standage.importing.vehicles.shelf import key_of, lost_noughts
from standage.registry.records.bodies import VehicleBody

_NUMBERS = ("number", "external_key")


def doubts(
    one: Found, body: VehicleBody, club: Club, mapping: Mapping, heads: Heads
) -> Iterator[RowNote]:
    """Yield what may not be meant."""
    if body.scale is None and mapping.scale is not None and body.gauge_mm is not None:
        yield gauge_of_another(body.gauge_mm, mapping.scale, heads)
    yield from _of_the_record(one, body, heads)
    yield from _of_noughts(one, heads)
    yield from unknown_couplings(body, club.coupling_types, heads)


def _of_the_record(one: Found, body: VehicleBody, heads: Heads) -> Iterator[RowNote]:
    """Yield that a row names no record, or by its number one that is called
    otherwise.
    """
    record_id, present = one.read.record_id, one.present
    if record_id is not None:
        if present is None or present.id != record_id:
            yield no_such_record(record_id, heads)
    elif present is not None and one.key_field in _NUMBERS:
        key = (one.key_field, one.key or "")
        yield from named_otherwise(
            body,
            before=present.body,
            key=key,
            heads=heads,
        )


def _of_noughts(one: Found, heads: Heads) -> Iterator[RowNote]:
    """Yield what is to be seen where a number of the list and one on record differ by
    their noughts alone.
    """
    if one.present is None:
        if one.near:
            yield perhaps_lost_noughts(one.near[0].body, heads)
        return
    if one.key_field not in _NUMBERS:
        return
    body = one.present.body
    if one.read.record_id is None:
        number, given = key_of(body, one.key_field), one.key
    else:
        number, given = body.number, one.read.values.get("number")
    if lost_noughts(given, number) or lost_noughts(number, given):
        yield other_noughts(given or "", number or "", heads)
