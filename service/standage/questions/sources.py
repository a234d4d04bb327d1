"""Where the values of a question come from, inline or on record: one value that holds
what resolves each sort of thing, with places, layouts, modules and yards.
"""

from collections.abc import Mapping, Sequence
from functools import cached_property, partial

import msgspec

from standage.questions.asked import AskedPlace, AskedPlan, AskedYard, inline_yard
from standage.questions.resolving.lookup import (
    Lookup,
    body_of,
    no_such,
    own_figures,
    place_of,
)
from standage.questions.resolving.plan_roads import OnGround, RoadOnPlan
from standage.questions.resolving.plan_yards import YardOnPlan
from standage.questions.resolving.plans import KnownPlan, PlanSources
from standage.questions.resolving.trains import Couplings, Trains
from standage.questions.resolving.yards_of_places import YardOfPlaces, recorded_yard
from standage.railway.modules.boards import ModuleEnd
from standage.railway.roads.allowances import GIVEN, SURVEYED
from standage.railway.roads.places import Place
from standage.railway.shunting.yard import Yard
from standage.registry.records.bodies import (
    LayoutBody,
    ModuleBody,
    PlaceBody,
    StandardBody,
    YardBody,
)
from standage.registry.records.kinds import LAYOUTS, MODULES, PLACES, STANDARDS, YARDS
from standage.registry.records.reading import Reading
from standage.registry.records.record import Kept
from standage.shapes.faults import Fault, Faulty, all_of

MOST_BESIDE = 200


class NamedPlace(OnGround, frozen=True, kw_only=True):
    """A place that has a name; ``id`` where it is on record."""

    id: str | None = None

    @property
    def name(self) -> str:
        """What the place is called."""
        return self.place.name or self.place.kind


class KnownPlace(OnGround, frozen=True, kw_only=True):
    """A place, and the others of its layout where it is on record."""

    others: tuple[NamedPlace, ...] = ()


class WholeLayout(msgspec.Struct, frozen=True, kw_only=True):
    """A layout with all its places, each with what the layout says of all of them."""

    name: str
    body: LayoutBody
    places: tuple[NamedPlace, ...]


class Places:
    """Resolves places and layouts."""

    def __init__(self, sources: "Sources") -> None:
        self._sources = sources
        self._records = sources.records
        self._of_layouts: dict[str, KnownPlan | None] = {}

    def of(self, asked: AskedPlace, pointer: str) -> KnownPlace:
        """Return the place that a caller names; raises ``Faulty`` where its id is not
        on record.
        """
        if asked.place_id is None:
            on_plan = self._on_plan(asked, pointer)
            return KnownPlace(place=_inline(asked), known_by=GIVEN, on_plan=on_plan)
        pointer = f"{pointer}/place_id"
        return self._beside(self._records.named(PLACES, asked.place_id, pointer))

    def at(self, layout_id: str, place_id: str) -> KnownPlace:
        """Return the place that an address names, and its neighbours; raises ``Absent``
        where there is none.
        """
        return self._beside(self._records.at(PLACES, place_id, parent_id=layout_id))

    def several(
        self, asked: Sequence[AskedPlace], pointers: Sequence[str]
    ) -> tuple[NamedPlace, ...]:
        """Return the places that a caller names, each at its pointer; ``Faulty`` has
        every id not on record.
        """
        ids = [one.place_id for one in asked if one.place_id is not None]
        records = self._records.many(PLACES, ids)
        faults = [
            no_such(PLACES, pointer=f"{pointer}/place_id")
            for one, pointer in zip(asked, pointers, strict=True)
            if one.place_id is not None and one.place_id not in records
        ]
        if faults:
            raise Faulty(faults)
        kept = self._by_id(list(records.values()))
        all_pointed = zip(asked, pointers, strict=True)
        on_plans = all_of(
            *(partial(self._on_plan, one, pointer) for one, pointer in all_pointed)
        )
        return tuple(
            _numbered(number, one, on_plan)
            if one.place_id is None
            else kept[one.place_id]
            for number, (one, on_plan) in enumerate(zip(asked, on_plans, strict=True))
        )

    def layout_at(self, layout_id: str) -> WholeLayout:
        """Return the layout that an address names, with its places by name; raises
        ``Absent`` where there is none.
        """
        layout = self._records.at(LAYOUTS, layout_id)
        body = body_of(layout, LayoutBody)
        beneath = self._records.beneath(PLACES, layout_id)
        places = tuple(self._kept(one, layout) for one in beneath)
        return WholeLayout(name=body.name, body=body, places=places)

    def layout_of(
        self, layout_id: str, pointer: str, *, most: int = MOST_BESIDE
    ) -> WholeLayout:
        """Return the layout that a body names; raises ``Faulty`` where there is none,
        or it has too many places.
        """
        self._records.named(LAYOUTS, layout_id, pointer)
        layout = self.layout_at(layout_id)
        if len(layout.places) > most:
            message = (
                f"has {len(layout.places)} places, but at most {most} can be asked"
                " about at once"
            )
            raise Faulty([Fault(code="too_many", message=message, pointer=pointer)])
        return layout

    def _beside(self, record: Kept) -> KnownPlace:
        """Return a place with what its layout says of all places, and the other places
        of that layout.
        """
        layout = self._records.at(LAYOUTS, record.parent_id or "")
        beside = self._records.beneath(PLACES, record.parent_id)
        others = tuple(self._kept(one, layout) for one in beside if one.id != record.id)
        here = self._kept(record, layout)
        return KnownPlace(
            place=here.place, known_by=SURVEYED, on_plan=here.on_plan, others=others
        )

    def by_id(self, ids: Sequence[str]) -> Mapping[str, NamedPlace]:
        """Return those places on record that there are, by their ids."""
        return self._by_id(list(self._records.many(PLACES, ids).values()))

    def _by_id(self, records: Sequence[Kept]) -> Mapping[str, NamedPlace]:
        above = [record.parent_id for record in records if record.parent_id]
        layouts = self._records.many(LAYOUTS, above)
        return {
            record.id: self._kept(record, layouts[record.parent_id or ""])
            for record in records
        }

    def _kept(self, record: Kept, layout: Kept) -> NamedPlace:
        """Return a place on record; its road is still to be found on the layout's plan
        where it is pinned to one.
        """
        place = place_of(record, layout)
        return NamedPlace(
            id=record.id,
            place=place,
            known_by=SURVEYED,
            on_plan=self._pinned(record, layout, place),
        )

    def _pinned(self, record: Kept, layout: Kept, around: Place) -> RoadOnPlan | None:
        body = body_of(record, PlaceBody)
        if body.road is None:
            return None
        if layout.id not in self._of_layouts:
            self._of_layouts[layout.id] = self._sources.plans.of_layout_if_any(
                layout.id
            )
        road = RoadOnPlan(
            plan=None,
            road=body.road,
            said=own_figures(record),
            kind=body.kind,
            around=around,
            on_record=True,
        )
        known = self._of_layouts[layout.id]
        return road if known is None else self._laid(road, known)

    def _on_plan(self, asked: AskedPlace, pointer: str) -> RoadOnPlan | None:
        """Return the road of a plan that a caller names; None for no road of a plan."""
        if asked.plan is None or asked.road is None:
            return None
        said = _inline(asked)
        road = RoadOnPlan(
            plan=None,
            road=asked.road,
            said=said,
            kind=asked.kind,
            around=said,
            pointer=f"{pointer}/road",
            on_record=asked.plan.is_on_record,
        )
        return self._laid(
            road, self._sources.plans.asked(asked.plan, f"{pointer}/plan")
        )

    def _laid(self, road: RoadOnPlan, known: KnownPlan) -> RoadOnPlan:
        """Return a road with its plan, and what sets how far apart tracks must be."""
        laid = msgspec.structs.replace(road, plan=known.plan, assumed=known.assumed)
        if not road.on_record:
            return laid
        types = self._sources.couplings.types()
        largest = self._sources.plans.largest_stock_of(known.plan, types)
        inputs = (road.road, road.said.name, largest)
        key = known.key(self._sources.records.club_id, "road", inputs)
        return msgspec.structs.replace(laid, largest=largest).laid(known.plan, key)


def _inline(asked: AskedPlace) -> Place:
    figures = {name: getattr(asked, name) for name in Place.__struct_fields__}
    if asked.kind is None:
        # Only a road of a plan leaves its kind to be found there.
        figures["kind"] = "loop"
    return Place(**figures)


def _numbered(number: int, asked: AskedPlace, on_plan: RoadOnPlan | None) -> NamedPlace:
    """Return a place given inline, called by its number where it has no name and is no
    road of a plan.
    """
    place = _inline(asked)
    if on_plan is not None:
        return NamedPlace(place=place, on_plan=on_plan)
    name = asked.name or f"road {number + 1}"
    return NamedPlace(place=msgspec.structs.replace(place, name=name))


class Modules:
    """Resolves modules and standards."""

    def __init__(self, records: Lookup) -> None:
        self._records = records

    def end(
        self, module_id: str, end: str, pointer: str
    ) -> tuple[ModuleBody, ModuleEnd]:
        """Return a module on record and its end of that name; raises ``Faulty`` where
        there is none.
        """
        record = self._records.named(MODULES, module_id, f"{pointer}/module_id")
        module = body_of(record, ModuleBody)
        for one in module.ends:
            if one.name.casefold() == end.casefold():
                return module, one
        names = ", ".join(one.name for one in module.ends) or "none on record"
        message = f"{module.name} has no such end; its ends: {names}"
        pointer = f"{pointer}/end"
        raise Faulty(
            [
                Fault(
                    code="no_such_end",
                    message=message,
                    pointer=pointer,
                )
            ]
        )

    def standard_at(self, standard_id: str) -> StandardBody:
        """Return the standard that an address names; raises ``Absent`` where there is
        none.
        """
        return body_of(self._records.at(STANDARDS, standard_id), StandardBody)

    def standard(self, standard_id: str, pointer: str) -> StandardBody:
        """Return the standard that a body names; raises ``Faulty`` where there is
        none.
        """
        record = self._records.named(STANDARDS, standard_id, pointer)
        return body_of(record, StandardBody)


class Yards:
    """Resolves yards."""

    def __init__(self, sources: "Sources") -> None:
        self._sources = sources
        self._records = sources.records

    def of(self, asked: AskedYard, pointer: str) -> Yard | YardOnPlan | YardOfPlaces:
        """Return the yard that a caller names, or where it is still to be found; raises
        ``Faulty`` where an id is not on record.
        """
        if asked.plan is not None:
            return self._on_plan(asked, asked.plan, pointer)
        if asked.yard_id is None:
            return inline_yard(asked)
        pointer = f"{pointer}/yard_id"
        record = self._records.named(YARDS, asked.yard_id, pointer)
        return self._kept(body_of(record, YardBody), pointer)

    def _kept(self, body: YardBody, pointer: str) -> Yard | YardOfPlaces:
        ids = [road.place_id for road in body.places()]
        if not ids:
            return recorded_yard(body)
        return YardOfPlaces(
            body=msgspec.structs.replace(body, notes=""),
            places=self._sources.places.by_id(ids),
            pointer=pointer,
        )

    def _on_plan(self, asked: AskedYard, plan: AskedPlan, pointer: str) -> YardOnPlan:
        known = self._sources.plans.asked(plan, f"{pointer}/plan")
        yard = YardOnPlan(
            plan=known.plan,
            headshunt=asked.headshunt or "",
            sidings=asked.siding_names,
            uncoupled_ahead=asked.uncoupled_ahead,
            assumed=known.assumed,
            pointer=pointer,
        )
        if not plan.is_on_record:
            return yard
        types = self._sources.couplings.types()
        largest = self._sources.plans.largest_stock_of(known.plan, types)
        return msgspec.structs.replace(yard, largest=largest)

    def at(
        self, yard_id: str, *, layout_id: str | None = None
    ) -> tuple[str, Yard | YardOfPlaces]:
        """Return the yard that an address names, with what it is called; raises
        ``Absent`` where there is none.
        """
        record = self._records.at(YARDS, yard_id, parent_id=layout_id)
        body = body_of(record, YardBody)
        return body.name, self._kept(body, "/yard")


class Sources:
    """What a caller may name, within one club and one snapshot.

    Without a ``reading`` (a stranger who may ask with everything inline) every id is
    unknown.
    """

    def __init__(self, reading: Reading | None, club_id: str) -> None:
        self.records = Lookup(reading, club_id)

    @cached_property
    def couplings(self) -> Couplings:
        """The club's own types of couplings."""
        return Couplings(self.records)

    @cached_property
    def trains(self) -> Trains:
        """Vehicles, rakes and trains."""
        return Trains(self.records, self.couplings)

    @cached_property
    def plans(self) -> PlanSources:
        """Track plans, and what goes with them."""
        return PlanSources(self.records)

    @cached_property
    def places(self) -> Places:
        """Places and layouts."""
        return Places(self)

    @cached_property
    def yards(self) -> Yards:
        """Yards."""
        return Yards(self)

    @cached_property
    def modules(self) -> Modules:
        """Modules and standards."""
        return Modules(self.records)
