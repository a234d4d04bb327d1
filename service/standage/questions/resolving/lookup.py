"""The records that a caller names by their ids, within one club and one snapshot, and the
values that are made of them. What a question about records will ask for is read
beforehand in one statement, and taken from there first.
"""

from collections.abc import Iterable, Mapping, Sequence
from operator import attrgetter
from typing import Any, TypeVar

import msgspec

from standage.railway.roads.places import Place
from standage.railway.stock.coupled import Rake, WholeLength
from standage.railway.stock.couplings import CouplingKind
from standage.railway.stock.vehicles import Standing, Vehicle
from standage.railway.terms.scales import ScaleName
from standage.registry.records.bodies import (
    CouplingTypeBody,
    LayoutBody,
    PlaceBody,
    RakeBody,
    VehicleBody,
)
from standage.registry.records.coupling_reaches import kind_of
from standage.registry.records.drafts import (
    SavedBeneath,
    Wish,
    bodies_saved,
    draft_of,
    revision_read,
    saved_beneath,
)
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
from standage.registry.records.reading import Listing, Reading
from standage.registry.records.record import Kept, Record
from standage.registry.records.revisions import Revision
from standage.registry.records.stock_of_scales import state_of_stock, stock_of_scales
from standage.shapes.faults import Fault, Faulty
from standage.shapes.remembering import remembered

B = TypeVar("B", bound=msgspec.Struct)

_VEHICLE = tuple(Vehicle.__struct_fields__)
_FIGURES = attrgetter(*_VEHICLE)
_PLACE = tuple(Place.__struct_fields__)
_FROM_LAYOUT = ("scale", "gauge_mm", "wheels", "minimum_radius_mm")


class KnownVehicle(Vehicle, frozen=True, kw_only=True, forbid_unknown_fields=False):
    """What a question takes of a vehicle on record: neither its owner nor its notes."""


def body_of(record: Kept, kind: type[B]) -> B:
    """Return a record's body, which is of that type; raises ``TypeError`` where it is
    not.
    """
    if not isinstance(record.body, kind):
        raise TypeError(type(record.body).__name__)
    return record.body


def rake_of(body: RakeBody, vehicles: Sequence[Standing]) -> Rake:
    """Return a rake of those vehicles with its length as a whole, where that was
    measured.
    """
    if body.measured_length_mm is None:
        return Rake(vehicles=tuple(vehicles))
    whole = WholeLength(
        length_mm=body.measured_length_mm,
        length_over=body.measured_over or "buffers",
        length_plus_minus_mm=body.measured_plus_minus_mm,
    )
    return Rake(vehicles=tuple(vehicles), whole=whole)


def standing_of(record: Kept, *, reversed_: bool, count: int) -> Standing:
    """Return a vehicle as it stands in a train."""
    body = body_of(record, Vehicle)
    stood = _stood_again if isinstance(body, KnownVehicle) else _stood
    return stood(body, reversed_=reversed_, count=count)


def _stood(body: Vehicle, *, reversed_: bool, count: int) -> Standing:
    return Standing(
        **dict(zip(_VEHICLE, _FIGURES(body), strict=True)),
        reversed=reversed_,
        count=count,
    )


_stood_again = remembered()(_stood)
"""Of what holds no notes, so that nobody's are remembered."""


def own_figures(record: Kept) -> Place:
    """Return a place with what it says itself."""
    body = body_of(record, PlaceBody)
    return Place(**{name: getattr(body, name) for name in _PLACE})


def place_of(record: Kept, layout: Kept) -> Place:
    """Return a place; what it does not say itself its layout says of all its places."""
    body, beneath = body_of(record, PlaceBody), body_of(layout, LayoutBody)
    figures = {name: getattr(body, name) for name in _PLACE}
    figures |= {
        name: getattr(beneath, name) for name in _FROM_LAYOUT if figures[name] is None
    }
    if body.no_curves:
        figures["minimum_radius_mm"] = None
    figures["no_curves"] = figures["minimum_radius_mm"] is None and (
        body.no_curves or beneath.no_curves
    )
    figures["headroom_unlimited"] = body.headroom_mm is None and (
        body.headroom_unlimited or beneath.headroom_unlimited
    )
    return Place(**figures)


def coupling_kind_of(record: Kept) -> CouplingKind:
    """Return a type of coupling."""
    return kind_of(body_of(record, CouplingTypeBody))


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


MOST_AT_ONCE = 10_000
"""So many ids go into one statement: both databases bound what it may hold."""


class Lookup:
    """Finds records by their ids; without a ``reading`` every id is unknown."""

    def __init__(self, reading: Reading | None, club_id: str) -> None:
        self._reading = reading
        self._club_id = club_id
        self._ahead = Ahead()

    def read_ahead(self, train_id: str, *, layout_id: str | None = None) -> None:
        """Read in one statement what a question about a train, and about the places of
        a layout, will ask for.

        What is asked for later is taken from it; what is not in it is asked for as
        ever.
        """
        self._ahead.read(
            self._open, self._club_id, train_id=train_id, layout_id=layout_id
        )

    def asked_for(self, kind: Kind[Any], record_id: str, parameter: str) -> Record:
        """Return a record that a query's parameter names; raises ``Faulty`` where there
        is none.
        """
        record = self.many(kind, [record_id]).get(record_id)
        if record is None:
            raise Faulty([no_such(kind, parameter=parameter)])
        return record

    def page(self, kind: Kind[Any], listing: Listing) -> Sequence[Record]:
        """Return part of the list of the club's records of that kind."""
        return self._open.page(kind, self._club_id, listing)

    @property
    def club_id(self) -> str:
        """The club within which records are found."""
        return self._club_id

    def state_of_stock(self, scales: Iterable[ScaleName]) -> str:
        """Return what names the club's stock of some scales as it is now."""
        return state_of_stock(self._open, self._club_id, scales)

    def stock_of(self, scales: Iterable[ScaleName]) -> list[VehicleBody]:
        """Return the club's stock of some scales: for its sizes, not to be shown."""
        return stock_of_scales(self._open, self._club_id, scales)

    @property
    def _open(self) -> Reading:
        """The reading of a caller who is known; strangers reach nothing that is on
        record.
        """
        if self._reading is None:
            message = "a record was asked for without a club"
            raise RuntimeError(message)
        return self._reading

    def beneath(self, kind: Kind[Any], parent_id: str | None) -> Sequence[Kept]:
        """Return all of that kind beneath a parent, or all of the club's; a stranger
        has none.
        """
        if self._reading is None:
            return ()
        ahead = self._ahead.whole(kind, parent_id)
        if ahead is not None:
            return ahead
        return self._reading.every(kind, self._club_id, parent_id=parent_id)

    def at(
        self, kind: Kind[Any], record_id: str, *, parent_id: str | None = None
    ) -> Kept:
        """Return the record that an address names; raises ``Absent`` where there is
        none.
        """
        ahead = self._ahead.by_id(kind).get(record_id)
        if ahead is not None and parent_id in {None, ahead.parent_id}:
            return ahead
        return self._open.get(kind, self._club_id, record_id, parent_id=parent_id)

    def named(self, kind: Kind[Any], record_id: str, pointer: str) -> Kept:
        """Return a record that a body names; raises ``Faulty`` where there is none."""
        record = self.many(kind, [record_id]).get(record_id)
        if record is None:
            raise Faulty([no_such(kind, pointer=pointer)])
        return record

    def found(self, kind: Kind[Any], ids: Iterable[str]) -> Mapping[str, Kept]:
        """Return those records that there are, by id: from what was read ahead, else as
        ``many`` finds them.
        """
        ahead = self._ahead.by_id(kind)
        wanted = list(ids)
        if all(one in ahead for one in wanted):
            return ahead
        return {**ahead, **self.many(kind, wanted)}

    def many(self, kind: Kind[Any], ids: Iterable[str]) -> Mapping[str, Record]:
        """Return those records that there are, by id; a stranger has none."""
        if self._reading is None:
            return {}
        wanted = list(dict.fromkeys(ids))
        found: dict[str, Record] = {}
        for start in range(0, len(wanted), MOST_AT_ONCE):
            some = wanted[start : start + MOST_AT_ONCE]
            found |= self._reading.many(kind, self._club_id, some)
        return found

    def draft(self, kind: Kind[Any], parent_id: str) -> Record:
        """Return the one record of a kind beneath what an address names; raises
        ``Absent`` where there is none.
        """
        return draft_of(self._open, kind, self._club_id, parent_id)

    def revision(self, kind: Kind[Any], draft: Record, number: int) -> Revision:
        """Return a draft's revision; raises ``Absent`` where there is none."""
        return revision_read(self._open, kind, draft, number)

    def saved_beneath(
        self, kind: Kind[Any], wishes: Iterable[Wish]
    ) -> Mapping[Wish, SavedBeneath]:
        """Return what there is of revisions that are wished for; a stranger has
        none.
        """
        if self._reading is None:
            return {}
        return saved_beneath(self._reading, kind, self._club_id, wishes)

    def bodies_saved(
        self, kind: Kind[Any], saved: Iterable[SavedBeneath]
    ) -> Mapping[tuple[str, int], msgspec.Struct]:
        """Return the bodies of revisions that were found."""
        if self._reading is None:
            return {}
        return bodies_saved(self._reading, kind, self._club_id, saved)


def no_such(
    kind: Kind[Any], *, pointer: str | None = None, parameter: str | None = None
) -> Fault:
    """Return the fault of an id or a name that is not on record: the same words
    whatever became of it.
    """
    message = (
        f"there is no such {kind.one} on record: send an id or a name from GET"
        f" {kind.listed_at}"
    )
    return Fault(
        code=f"no_such_{kind.one}",
        message=message,
        pointer=pointer,
        parameter=parameter,
    )
