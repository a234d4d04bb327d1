"""What is on record of the roads of a layout that is altered: room for stopping and all
else that a plan does not tell.
"""

from collections.abc import Mapping, Sequence

import msgspec

from standage.questions.resolving.plan_roads import RoadOnPlan, place_by_plan
from standage.railway.alterations.roads_changed import KnownRoad
from standage.railway.roads.places import Place
from standage.railway.roads.plan_roads import roads_called
from standage.railway.track.survey.survey import Survey

_MEASURED = {
    "usable_length_mm": None,
    "plus_minus_mm": None,
    "blades_to_blades_mm": None,
    "stop_to_stop_mm": None,
    "steepest_gradient_percent": None,
    "ends": None,
}
"""What was measured of the track as it lay: of a plan that is altered the plan tells
it.
"""


class KeptRoad(msgspec.Struct, frozen=True, kw_only=True):
    """A place on record that is a road of its layout's plan."""

    asked: RoadOnPlan


def kept_road(asked: RoadOnPlan) -> KeptRoad:
    """Return a place on record without its plan, and without what was measured of it."""
    unmeasured = msgspec.structs.replace(
        asked,
        plan=None,
        key=None,
        by_plan=None,
        said=_unmeasured(asked.said),
        around=_unmeasured(asked.around),
    )
    return KeptRoad(asked=unmeasured)


def _unmeasured(place: Place) -> Place:
    figures = {name: getattr(place, name) for name in Place.__struct_fields__}
    return Place(**figures | _MEASURED)


def with_kept(
    found: Survey, roads: Mapping[str, KnownRoad], kept: Sequence[KeptRoad]
) -> dict[str, KnownRoad]:
    """Return the roads of a plan, those that are places on record with what is said of
    them there; of several that are one road, each by its own name beside the road's.
    """
    by_road: dict[str, list[KeptRoad]] = {}
    for one in kept:
        called = roads_called(found, one.asked.road)
        if len(called) == 1:
            by_road.setdefault(called[0].name, []).append(one)
    with_them = dict(roads)
    for name, places in by_road.items():
        with_them.pop(name, None)
        for one in places:
            known = _known(found, one)
            own_name = f"{name} ({known.place.name})"
            with_them[own_name if len(places) > 1 else name] = known
    return with_them


def _known(found: Survey, kept: KeptRoad) -> KnownRoad:
    (road,) = roads_called(found, kept.asked.road)
    place, known_by = place_by_plan(found, road, kept.asked)
    return KnownRoad(place=place, known_by=known_by)
