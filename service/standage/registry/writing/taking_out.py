"""A vehicle taken out of every train and rake that it stands in, whoever made them up:
it is its owner's.

What was measured as a whole with the vehicle in it is no longer so long, and goes. A
rake or a train of which nothing is left is deleted, and comes back as whatever is
deleted does.
"""

from collections.abc import Iterable, Mapping
from typing import Any

import msgspec
from sqlalchemy import select

from standage.railway.stock.trains import MeasuredRake
from standage.registry.database.tables import links
from standage.registry.records.bodies import RakeBody, TrainBody, TrainVehicle
from standage.registry.records.kinds import RAKES, TRAINS, VEHICLES, Kind
from standage.registry.records.record import ANY_VERSION, Permit, Record
from standage.registry.writing.ownership import require_right
from standage.registry.writing.store import Writing


class TakingOut(Writing):
    """What takes a vehicle out of trains, in one transaction and as one action."""

    def take_out(self, permit: Permit, vehicle_id: str) -> None:
        """Take a vehicle out of all trains and rakes of its club.

        Raises ``Absent``, ``Forbidden`` where the vehicle is not the caller's to
        change, ``InUse`` where something leans on a train of which nothing would be
        left.
        """
        club_id = permit.principal.club_id
        self.take_turn(club_id)
        vehicle = self.get(VEHICLES, club_id, vehicle_id)
        require_right(VEHICLES, permit, vehicle.body)
        # whoever may change the vehicle may take it out of everybody's trains
        all_of_the_club = msgspec.structs.replace(permit, whose="club")
        rake_ids = self._naming(
            RAKES,
            club_id,
            VEHICLES,
            [vehicle_id],
        )
        directly = self._naming(
            TRAINS,
            club_id,
            VEHICLES,
            [vehicle_id],
        )
        through_rakes = self._naming(
            TRAINS,
            club_id,
            RAKES,
            rake_ids,
        )
        trains = self.held(TRAINS, all_of_the_club, directly | through_rakes)
        rakes = self.held(RAKES, all_of_the_club, rake_ids)
        shorter: dict[str, RakeBody | None] = {}
        for record_id, rake in rakes.items():
            shorter[record_id] = _rake_without(rake.body, vehicle_id)
        left: dict[str, msgspec.Struct | None] = {}
        for record_id, train in trains.items():
            left[record_id] = _train_without(train.body, vehicle_id, shorter)
        # trains first: a rake cannot go while a train names it
        self._leave(
            TRAINS,
            all_of_the_club,
            trains,
            left,
        )
        self._leave(
            RAKES,
            all_of_the_club,
            rakes,
            shorter,
        )

    def _naming(
        self, kind: Kind[Any], club_id: str, named: Kind[Any], ids: Iterable[str]
    ) -> set[str]:
        """Return the ids of the records of a kind that name any of those."""
        naming = select(links.c.source_id).where(
            links.c.club_id == club_id,
            links.c.source_kind == kind.name,
            links.c.target_kind == named.name,
            links.c.target_id.in_(sorted(ids)),
        )
        return set(self.connection.scalars(naming))

    def _leave(
        self,
        kind: Kind[Any],
        permit: Permit,
        records: Mapping[str, Record],
        left: Mapping[str, msgspec.Struct | None],
    ) -> None:
        """Put down what is left of records; those of which nothing is are deleted."""
        changes: list[tuple[Record, msgspec.Struct]] = []
        emptied: list[Record] = []
        for record in records.values():
            body = left[record.id]
            if body is None:
                emptied.append(record)
            else:
                changes.append((record, body))
        if changes:
            self.change_all(kind, permit, changes, if_match=ANY_VERSION)
        if emptied:
            self.remove_all(kind, permit, emptied, if_match=ANY_VERSION)


def _rake_without(body: Any, vehicle_id: str) -> RakeBody | None:
    """Return what is left of a rake without a vehicle, and without the length that was
    measured with it.
    """
    left = tuple(one for one in body.vehicles if one.vehicle_id != vehicle_id)
    if not left:
        return None
    unmeasured = {
        "measured_length_mm": None,
        "measured_over": None,
        "measured_plus_minus_mm": None,
    }
    rake: RakeBody = msgspec.structs.replace(body, vehicles=left, **unmeasured)
    return rake


def _train_without(
    body: Any, vehicle_id: str, shorter: Mapping[str, RakeBody | None]
) -> TrainBody | None:
    """Return what is left of a train without a vehicle, and with those rakes as they
    are without it.
    """
    stays = [_stays(entry, vehicle_id, shorter) for entry in body.vehicles]
    changed = {
        place
        for place, entry in enumerate(body.vehicles)
        if not stays[place] or entry.rake_id in shorter
    }
    left = tuple(entry for place, entry in enumerate(body.vehicles) if stays[place])
    if not left:
        return None
    measured = (
        rake
        for rake in body.measured_rakes
        if changed.isdisjoint(range(rake.first - 1, rake.last))
    )
    moved = tuple(
        _moved(rake, gone_before=stays[: rake.first - 1].count(False))
        for rake in measured
    )
    train: TrainBody = msgspec.structs.replace(
        body, vehicles=left, measured_rakes=moved
    )
    return train


def _stays(
    entry: TrainVehicle, vehicle_id: str, shorter: Mapping[str, RakeBody | None]
) -> bool:
    if entry.rake_id is None:
        return entry.vehicle_id != vehicle_id
    return entry.rake_id not in shorter or shorter[entry.rake_id] is not None


def _moved(rake: MeasuredRake, *, gone_before: int) -> MeasuredRake:
    return msgspec.structs.replace(
        rake, first=rake.first - gone_before, last=rake.last - gone_before
    )
