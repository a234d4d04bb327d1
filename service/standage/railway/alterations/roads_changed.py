"""What an alteration makes of the roads and places of a plan."""

import msgspec

from standage.railway.roads.allowances import SURVEYED, FromPlan, Provenance
from standage.railway.roads.places import Place, PlaceKind
from standage.railway.roads.plan_roads import (
    PlanRoad,
    place_of_road,
    road_names,
    roads_called,
    why_unknown,
)
from standage.railway.terms.figures import tidy
from standage.railway.track.survey.survey import Survey


class RoadFigures(msgspec.Struct, frozen=True, kw_only=True):
    """What a plan makes of one road; null is what nobody can tell.

    ``no_curves`` where it is straight, which a null radius alone does not say.
    """

    kind: PlaceKind
    usable_length_mm: float | None
    plus_minus_mm: float | None
    blades_to_blades_mm: float | None
    stop_to_stop_mm: float | None
    minimum_radius_mm: float | None
    no_curves: bool
    steepest_percent: float | None


class ChangedRoad(msgspec.Struct, frozen=True, kw_only=True):
    """A road with its figures in both plans; None in the one that has no such road."""

    name: str
    before: RoadFigures | None
    after: RoadFigures | None

    @property
    def longer_by_mm(self) -> float | None:
        """By how much more of it can be used; None where that cannot be told."""
        was_mm, now_mm = _usable_mm(self.before), _usable_mm(self.after)
        if was_mm is None or now_mm is None:
            return None
        return tidy(now_mm - was_mm)


class KnownRoad(msgspec.Struct, frozen=True, kw_only=True):
    """A road of a surveyed plan, as a place, and how good its figures are."""

    place: Place
    known_by: Provenance


def known_roads(found: Survey, *, on_record: bool = False) -> dict[str, KnownRoad]:
    """Return the roads and places of a plan by their names, places first.

    A length by tape counts before the plan's. Of two that bear one name neither is
    meant. **Source** derived.
    """
    roads: dict[str, KnownRoad] = {}
    for name in road_names(found):
        called = roads_called(found, name)
        if len(called) == 1:
            roads[name] = _known(found, called[0], on_record=on_record)
    return roads


def _known(found: Survey, road: PlanRoad, *, on_record: bool) -> KnownRoad:
    place = place_of_road(found, road)
    if road.surveyed_mm is not None:
        taped_mm = road.surveyed_mm
        place = msgspec.structs.replace(
            place,
            usable_length_mm=taped_mm,
            plus_minus_mm=SURVEYED.plus_minus_mm(taped_mm),
        )
        return KnownRoad(place=place, known_by=FromPlan(on_record=on_record))
    plus_minus = found.plan.plus_minus
    known_by = FromPlan(
        mm=0.0 if plus_minus is None else plus_minus.mm,
        mm_per_metre=0.0 if plus_minus is None else plus_minus.mm_per_m,
        on_record=on_record,
        unknown=why_unknown(found, road),
    )
    return KnownRoad(place=place, known_by=known_by)


def roads_changed(
    before: dict[str, KnownRoad], after: dict[str, KnownRoad]
) -> tuple[ChangedRoad, ...]:
    """Return the roads that are not as they were: those that lose most length first,
    then by name.

    Lengths in mm. **Source** derived.
    """
    names = dict.fromkeys((*before, *after))
    roads = [_changed(before.get(name), after.get(name), name) for name in names]
    others = [road for road in roads if road.before != road.after]
    return tuple(sorted(others, key=_worst_first))


def _worst_first(road: ChangedRoad) -> tuple[bool, float, str]:
    is_gone = road.after is None
    return not is_gone, road.longer_by_mm or 0.0, road.name


def _changed(
    before: KnownRoad | None, after: KnownRoad | None, name: str
) -> ChangedRoad:
    return ChangedRoad(name=name, before=_figures(before), after=_figures(after))


def _figures(known: KnownRoad | None) -> RoadFigures | None:
    if known is None:
        return None
    place = known.place
    plus_minus_mm = place.plus_minus_mm
    if plus_minus_mm is None and place.usable_length_mm is not None:
        plus_minus_mm = known.known_by.plus_minus_mm(place.usable_length_mm)
    return RoadFigures(
        kind=place.kind,
        usable_length_mm=place.usable_length_mm,
        plus_minus_mm=plus_minus_mm or None,
        blades_to_blades_mm=place.blades_to_blades_mm,
        stop_to_stop_mm=place.stop_to_stop_mm,
        minimum_radius_mm=place.minimum_radius_mm,
        no_curves=place.no_curves,
        steepest_percent=place.steepest_gradient_percent,
    )


def _usable_mm(figures: RoadFigures | None) -> float | None:
    return None if figures is None else figures.usable_length_mm
