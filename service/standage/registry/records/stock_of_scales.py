"""The club's stock of some scales: for what its largest vehicles need, which is shown
to nobody as theirs.
"""

import hashlib
from collections.abc import Iterable
from typing import Any

import msgspec
from sqlalchemy import Select, or_, select

from standage.railway.terms.scales import ScaleName
from standage.registry.records.bodies import VehicleBody
from standage.registry.records.kinds import COUPLING_TYPES, VEHICLES
from standage.registry.records.reading import Reading

_TABLE = VEHICLES.table.c


def state_of_stock(reading: Reading, club_id: str, scales: Iterable[ScaleName]) -> str:
    """Return what names the club's stock of those scales, and its coupling types, as
    they are now: another text once any of them is changed.
    """
    types = COUPLING_TYPES.table.c
    of_types = select(types.id, types.version, types.updated_at).where(
        types.club_id == club_id, types.deleted_at.is_(None)
    )
    of_stock = _of_scales(
        select(_TABLE.id, _TABLE.version, _TABLE.updated_at), club_id, scales
    )
    rows = [
        tuple(row)
        for statement in (of_stock, of_types)
        for row in reading.connection.execute(statement)
    ]
    return hashlib.sha256(msgspec.json.encode(sorted(rows))).hexdigest()


def stock_of_scales(
    reading: Reading, club_id: str, scales: Iterable[ScaleName]
) -> list[VehicleBody]:
    """Return the bodies of the club's vehicles of those scales, and of those that say
    none.
    """
    rows = reading.connection.execute(
        _of_scales(select(_TABLE.body), club_id, scales).order_by(_TABLE.id)
    )
    return [VEHICLES.decode(row.body) for row in rows]


def _of_scales(
    columns: Select[Any], club_id: str, scales: Iterable[ScaleName]
) -> Select[Any]:
    return columns.where(
        _TABLE.club_id == club_id,
        _TABLE.deleted_at.is_(None),
        or_(_TABLE.scale.is_(None), _TABLE.scale.in_(sorted(scales))),
    )
