"""Places, and layouts with all theirs: given inline, or on record."""

from collections.abc import Mapping, Sequence
from functools import partial

import msgspec

from standage.questions.asked import AskedPlace
from standage.questions.resolving.couplings import Couplings
from standage.questions.resolving.lookup import Lookup, no_such
from standage.questions.resolving.plan_roads import OnGround, RoadOnPlan
from standage.questions.resolving.plans import KnownPlan, PlanSources
from standage.questions.resolving.recorded import body_of, own_figures, place_of
from standage.railway.roads.allowances import GIVEN, SURVEYED
from standage.railway.roads.places import Place
from standage.registry.records.bodies import LayoutBody, PlaceBody
from standage.registry.records.kinds import LAYOUTS, PLACES
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

    def __init__(
        self, records: Lookup, plans: PlanSources, couplings: Couplings
    ) -> None:
        self._records = records
        self._plans = plans
        self._couplings = couplings
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
            self._of_layouts[layout.id] = self._plans.of_layout_if_any(layout.id)
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
        return self._laid(road, self._plans.asked(asked.plan, f"{pointer}/plan"))

    def _laid(self, road: RoadOnPlan, known: KnownPlan) -> RoadOnPlan:
        """Return a road with its plan, and what sets how far apart tracks must be."""
        laid = msgspec.structs.replace(road, plan=known.plan, assumed=known.assumed)
        if not road.on_record:
            return laid
        types = self._couplings.types()
        largest = self._plans.largest_stock_of(known.plan, types)
        return msgspec.structs.replace(laid, largest=largest)


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
