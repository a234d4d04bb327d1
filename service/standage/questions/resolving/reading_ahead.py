"""What a question about records on record will ask for, read beforehand in one
statement.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from standage.questions.resolving.recorded import KnownVehicle
from standage.registry.records.joint_reading import ALL, BENEATH, ITSELF, Wanted, Way
from standage.registry.records.kinds import (
    COUPLING_TYPES,
    LAYOUTS,
    PLACES,
    RAKES,
    TRAINS,
    VEHICLES,
    Kind,
)
from standage.registry.records.reading import Reading
from standage.registry.records.record import Kept


class Ahead:
    """What was read beforehand; whoever finds a record missing here asks for it as
    ever.
    """

    def __init__(self) -> None:
        self._by_id: dict[Kind[Any], dict[str, Kept]] = {}
        self._whole: dict[tuple[Kind[Any], str | None], Sequence[Kept]] = {}

    def read(
        self, reading: Reading, club_id: str, *, train_id: str, layout_id: str | None
    ) -> None:
        """Read the club's coupling types, a train with all that it is made up of, and a
        layout with its places.
        """
        wanted = [
            Wanted(COUPLING_TYPES, ALL),
            Wanted(TRAINS, ITSELF, train_id),
            Wanted(RAKES, Way(named_by=TRAINS), train_id),
            Wanted(VEHICLES, Way(named_by=TRAINS), train_id, KnownVehicle),
            Wanted(
                VEHICLES,
                Way(
                    named_by=TRAINS,
                    through=RAKES,
                ),
                train_id,
                KnownVehicle,
            ),
        ]
        if layout_id is not None:
            wanted += [
                Wanted(LAYOUTS, ITSELF, layout_id),
                Wanted(PLACES, BENEATH, layout_id),
            ]
        for one, found in zip(wanted, reading.together(club_id, wanted), strict=True):
            self._by_id.setdefault(one.kind, {}).update(
                (record.id, record) for record in found
            )
            if one.way in (ALL, BENEATH):
                self._whole[one.kind, one.id or None] = found

    def by_id(self, kind: Kind[Any]) -> Mapping[str, Kept]:
        """Return the records of that kind that were read."""
        return self._by_id.get(kind, {})

    def whole(self, kind: Kind[Any], parent_id: str | None) -> Sequence[Kept] | None:
        """Return the whole list of that kind, of the club or beneath a parent, by name;
        None where it was not read.
        """
        return self._whole.get((kind, parent_id))
