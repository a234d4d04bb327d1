"""Many records of a club at once: a whole layout, the stock a question chooses from,
trains and roads by their ids.

However many are asked for, the statements are as few.
"""

from collections.abc import Iterable, Mapping, Sequence
from itertools import islice
from typing import Annotated

import msgspec

from standage.questions.asked import AskedPlace, AskedTrain, inline_train
from standage.questions.lookup import no_such
from standage.questions.recorded import body_of, place_of, standing_of
from standage.questions.sources import MOST_BESIDE, Sources
from standage.railway.roads.places import Place
from standage.railway.roads.provenance import GIVEN, SURVEYED, Provenance
from standage.railway.stock.trains import Train
from standage.railway.stock.vehicles import Standing, VehicleKind
from standage.railway.terms.figures import IdOrName, Name, says
from standage.railway.terms.scales import ScaleName
from standage.railway.terms.senses import ITSELF, NAMES_IT
from standage.registry.records.bodies import LayoutBody, TrainBody, VehicleBody
from standage.registry.records.kinds import LAYOUTS, PLACES, TRAINS, VEHICLES
from standage.registry.records.reading import Listing
from standage.registry.records.record import Record
from standage.shapes.faults import Fault, Faulty, Ruled


class AskedNamedTrain(AskedTrain, frozen=True, kw_only=True):
    """A train on record by its id, or its vehicles in order from the head, with what it
    is to be called.
    """

    name: Annotated[
        Name | None,
        says("What it is called in the answer, where its vehicles are given."),
    ] = None


class StockFilter(Ruled, frozen=True, kw_only=True):
    """Which of the club's vehicles a question is about: all, or only some."""

    kind: Annotated[VehicleKind | None, says("Only vehicles of this kind.")] = None
    scale: Annotated[ScaleName | None, says("Only vehicles of this scale.")] = None
    owner_id: Annotated[IdOrName | None, says("Only this member's.")] = None

    def filters(self) -> dict[str, str]:
        """Return what is asked for, as the list of vehicles takes it."""
        asked = {name: getattr(self, name) for name in ("kind", "scale", "owner_id")}
        return {name: value for name, value in asked.items() if value is not None}


class NamedTrain(msgspec.Struct, frozen=True, kw_only=True):
    """A train by its name; ``id`` where it is on record."""

    name: Annotated[str, NAMES_IT]
    train: Train
    id: str | None = None


class NamedPlace(msgspec.Struct, frozen=True, kw_only=True):
    """A place that has a name; ``id`` where it is on record."""

    place: Place
    id: str | None = None

    @property
    def name(self) -> str:
        """What the place is called."""
        return self.place.name or self.place.kind

    @property
    def known_by(self) -> Provenance:
        """What is on record was surveyed."""
        return GIVEN if self.id is None else SURVEYED


class NamedVehicle(msgspec.Struct, frozen=True, kw_only=True):
    """A vehicle; ``id`` where it is on record, and its count says how many like it
    there are.
    """

    vehicle: Standing
    id: str | None = None


class WholeLayout(msgspec.Struct, frozen=True, kw_only=True):
    """A layout with all its places, each with what the layout says of all of them."""

    name: Annotated[str, NAMES_IT]
    body: Annotated[LayoutBody, ITSELF]
    places: tuple[NamedPlace, ...]


class WholeLists(Sources):
    """Resolves what a caller names as ``Sources`` does, and many at once."""

    def layout_at(self, layout_id: str) -> WholeLayout:
        """Return the layout that an address names, with its places by name; raises
        ``Absent`` where there is none.
        """
        layout = self._get(LAYOUTS, layout_id)
        records = self._open.every(PLACES, self._club_id, parent_id=layout_id)
        places = tuple(
            NamedPlace(id=one.id, place=place_of(one, layout)) for one in records
        )
        return WholeLayout(
            name=body_of(layout, LayoutBody).name,
            body=body_of(layout, LayoutBody),
            places=places,
        )

    def layout_named(
        self, layout_id: str, pointer: str, *, most: int = MOST_BESIDE
    ) -> WholeLayout:
        """Return the layout that a body names; raises ``Faulty`` where there is none,
        or it has too many places.
        """
        if layout_id not in self._many(LAYOUTS, [layout_id]):
            raise Faulty([no_such(LAYOUTS, pointer=pointer)])
        layout = self.layout_at(layout_id)
        if len(layout.places) > most:
            message = (
                f"has {len(layout.places)} places, but at most {most} can be asked"
                " about at once"
            )
            raise Faulty([Fault(code="too_many", message=message, pointer=pointer)])
        return layout

    def stock(self, listing: Listing) -> list[tuple[Record, NamedVehicle]]:
        """Return part of the list of the club's vehicles, each with as many as there
        are of it.
        """
        return [
            (record, self._named_vehicle(record))
            for record in self.page(VEHICLES, listing)
        ]

    def trains_listed(self, listing: Listing) -> list[tuple[Record, NamedTrain]]:
        """Return part of the list of the club's trains."""
        return self._named_trains(self.page(TRAINS, listing))

    def train_again(self, train_id: str) -> list[tuple[Record, NamedTrain]]:
        """Return the one train with that id, or none where there is none any more."""
        return self._named_trains(list(self._many(TRAINS, [train_id]).values()))

    def vehicles_asked(self, ids: Mapping[str, str]) -> tuple[NamedVehicle, ...]:
        """Return vehicles by the query's parameters that name them; raises ``Faulty``
        with all that are not there.
        """
        found = self._many(VEHICLES, ids.values())
        faults = [
            no_such(VEHICLES, parameter=name)
            for name, one in ids.items()
            if one not in found
        ]
        if faults:
            raise Faulty(faults)
        return tuple(self._named_vehicle(found[one]) for one in ids.values())

    def trains_asked(
        self, asked: Sequence[AskedNamedTrain], pointers: Sequence[str]
    ) -> tuple[NamedTrain, ...]:
        """Return the trains that a caller names, each at its pointer; ``Faulty`` has
        every id not on record.
        """
        records = self._many(
            TRAINS, [one.train_id for one in asked if one.train_id is not None]
        )
        faults = [
            no_such(TRAINS, pointer=f"{pointers[number]}/train_id")
            for number, one in enumerate(asked)
            if one.train_id is not None and one.train_id not in records
        ]
        inline = {
            number: one for number, one in enumerate(asked) if one.train_id is None
        }
        made_up, more = self._made_up_inline(inline, pointers)
        if faults or more:
            raise Faulty([*faults, *more])
        kept = {
            record.id: named
            for record, named in self._named_trains(list(records.values()))
        }
        return tuple(
            (
                kept[one.train_id]
                if one.train_id is not None
                else NamedTrain(
                    name=one.name or f"train {number + 1}", train=made_up[number]
                )
            )
            for number, one in enumerate(asked)
        )

    def places_asked(
        self, asked: Sequence[AskedPlace], pointers: Sequence[str]
    ) -> tuple[NamedPlace, ...]:
        """Return the places that a caller names, each at its pointer; ``Faulty`` has
        every id not on record.
        """
        records = self._many(
            PLACES, [one.place_id for one in asked if one.place_id is not None]
        )
        faults = [
            no_such(PLACES, pointer=f"{pointers[number]}/place_id")
            for number, one in enumerate(asked)
            if one.place_id is not None and one.place_id not in records
        ]
        if faults:
            raise Faulty(faults)
        layouts = self._many(
            LAYOUTS,
            [record.parent_id for record in records.values() if record.parent_id],
        )
        return tuple(
            (
                _inline_place(number, one)
                if one.place_id is None
                else NamedPlace(
                    id=one.place_id,
                    place=place_of(
                        records[one.place_id], _layout_of(records, layouts, one)
                    ),
                )
            )
            for number, one in enumerate(asked)
        )

    def _made_up_inline(
        self, inline: Mapping[int, AskedNamedTrain], pointers: Sequence[str]
    ) -> tuple[dict[int, Train], Sequence[Fault]]:
        """Return the trains that are given inline by their number, all ids looked up at
        once; or what is wrong.
        """
        entries = [one for train in inline.values() for one in train.vehicles or ()]
        each = [
            f"{pointers[number]}/vehicles/{place}"
            for number, train in inline.items()
            for place in range(len(train.vehicles or ()))
        ]
        try:
            found = iter(self.entries(entries, each))
            stood = {
                number: list(islice(found, len(train.vehicles or ())))
                for number, train in inline.items()
            }
            return {
                number: inline_train(one, stood[number], pointers[number])
                for number, one in inline.items()
            }, ()
        except Faulty as faulty:
            return {}, faulty.faults

    def _named_vehicle(self, record: Record) -> NamedVehicle:
        count = body_of(record, VehicleBody).count
        return NamedVehicle(
            vehicle=self._by_name(standing_of(record, reversed_=False, count=count)),
            id=record.id,
        )

    def _named_trains(
        self, records: Sequence[Record]
    ) -> list[tuple[Record, NamedTrain]]:
        made_up = self.made_up(records) if records else ()
        return [
            (
                record,
                NamedTrain(
                    name=body_of(record, TrainBody).name, train=train, id=record.id
                ),
            )
            for record, train in zip(records, made_up, strict=True)
        ]


def each_of(pointer: str, asked: Sequence[object]) -> list[str]:
    """Return the pointer of each entry of a list."""
    return [f"{pointer}/{number}" for number in range(len(asked))]


def repeated(asked: Iterable[str | None], pointer: str, field: str) -> Iterable[Fault]:
    """Yield a fault for every id that is named again."""
    seen: set[str] = set()
    for number, one in enumerate(asked):
        if one is not None and one in seen:
            yield Fault(
                code="repeated",
                message="is named twice",
                pointer=f"{pointer}/{number}/{field}",
            )
        seen |= {one} if one is not None else set()


def _inline_place(number: int, asked: AskedPlace) -> NamedPlace:
    figures = {name: getattr(asked, name) for name in Place.__struct_fields__}
    return NamedPlace(
        place=Place(**figures | {"name": asked.name or f"road {number + 1}"})
    )


def _layout_of(
    records: Mapping[str, Record], layouts: Mapping[str, Record], asked: AskedPlace
) -> Record:
    return layouts[records[asked.place_id or ""].parent_id or ""]
