"""Roads of track plans: named in a question, or pinned by a place on record.

A plan is surveyed only when the case is reckoned, once for all its roads in it: that
may take longer than anything else that a question does. What a plan on record makes of
a road is kept (``derived``) for the next question of whoever may read that plan.
"""

from collections.abc import Iterable, Iterator
from typing import Any, Protocol, TypeVar

import msgspec

from standage.questions.derived import DERIVED, Key
from standage.questions.plan_reasons import point_assumed, spacing_words
from standage.railway.roads.allowances import (
    GIVEN,
    SURVEYED,
    FromPlan,
    Provenance,
    Surveyed,
)
from standage.railway.roads.places import Place, PlaceKind
from standage.railway.roads.plan_roads import (
    PlanRoad,
    names_over,
    place_of_road,
    road_names,
    roads_called,
    why_unknown,
)
from standage.railway.terms.figures import cut, millimetres, tidy
from standage.railway.terms.reasons import Assumed
from standage.railway.track.fouling.spacings import LargestStock
from standage.railway.track.plans.near_names import NearNames, did_you_mean
from standage.railway.track.plans.plan import Plan
from standage.railway.track.survey.survey import Survey, survey
from standage.shapes.faults import Fault, Faulty

LONGEST_MESSAGE = 200


class ByPlan(msgspec.Struct, frozen=True, kw_only=True):
    """What a plan makes of one of its roads: all that is taken of its survey.

    ``unknown`` says why its usable length is not known; ``surveyed_mm`` is that by a
    tape. A length is ``mm`` off, and so much more for each metre.
    """

    place: Place
    unknown: str | None
    surveyed_mm: float | None
    mm: float
    mm_per_metre: float
    taken: tuple[Assumed, ...]
    """What the plan takes for granted of it."""


class RoadOnPlan(msgspec.Struct, frozen=True, kw_only=True):
    """A road of a plan by its name, not looked for yet.

    ``said`` are figures of it that somebody gave, which count before the plan's; of a
    ``kind`` of None the plan's counts too. ``around`` is the place without its plan,
    with what its layout says of all places. The ``pointer`` is where the name was sent;
    None where a place on record is pinned to it. ``plan`` is None where there is none
    on record, and where it is known what it makes of the road: ``by_plan``.
    """

    plan: Plan | None
    road: str
    said: Place
    kind: PlaceKind | None
    around: Place
    pointer: str | None = None
    on_record: bool = False
    largest: tuple[LargestStock, ...] = ()
    """What of the club's swings out most, where that is known."""
    assumed: tuple[Assumed, ...] = ()
    key: Key | None = None
    """Under what it is kept what a plan on record makes of it."""
    by_plan: ByPlan | None = None

    def laid(self, plan: Plan, key: Key) -> "RoadOnPlan":
        """Return it with the plan on record that it is on, or with what is kept of what
        that makes of it.
        """
        kept = DERIVED.get(key)
        return msgspec.structs.replace(
            self, plan=None if kept else plan, key=key, by_plan=kept
        )


class Ground(Protocol):
    """What is about one place: its figures, where they come from, and the road of a
    plan from which they are still to be taken.
    """

    @property
    def place(self) -> Place:
        """The place, as far as it is known."""

    @property
    def known_by(self) -> Provenance:
        """Where its figures come from."""

    @property
    def on_plan(self) -> RoadOnPlan | None:
        """The road that it is; None where its figures are all there."""


class OnGround(msgspec.Struct, frozen=True, kw_only=True):
    """A place and where its figures come from; ``on_plan`` where they are still to be
    found on a plan.
    """

    place: Place
    known_by: Provenance = GIVEN
    on_plan: RoadOnPlan | None = None


G = TypeVar("G", bound=Ground)


class Surveys:
    """Surveys plans, each once, and finds their roads; what cannot be found is told by
    ``faults``.
    """

    def __init__(self) -> None:
        self._found: list[tuple[Plan, tuple[LargestStock, ...], Survey]] = []
        self.faults: list[Fault] = []

    def settled(self, ground: G) -> G:
        """Return a place with the figures that its plan gives of it."""
        asked = ground.on_plan
        if asked is None:
            return ground
        place, known_by = self._settled(asked)
        struct: Any = ground
        settled: G = msgspec.structs.replace(
            struct, place=place, known_by=known_by, on_plan=None
        )
        return settled

    def _settled(self, asked: RoadOnPlan) -> tuple[Place, Provenance]:
        if asked.by_plan is not None:
            return _by_plan(asked.by_plan, asked)
        if asked.plan is None:
            name = asked.said.name or asked.road
            why = f"{name}: its layout has no track plan on record"
            return _without_plan(asked, why)
        found = self._survey(asked.plan, asked.largest)
        roads = roads_called(found, asked.road)
        if len(roads) == 1:
            name = asked.said.name or roads[0].name
            road = msgspec.structs.replace(roads[0], name=name)
            by_plan = _made_of(found, road)
            if asked.key is not None:
                size_bytes = len(msgspec.json.encode(by_plan))
                DERIVED.keep(asked.key, by_plan, size_bytes=size_bytes)
            return _by_plan(by_plan, asked)
        if asked.pointer is None:
            return _without_plan(asked, _no_longer(asked, len(roads)))
        fault = no_such_road(
            found,
            asked.road,
            many=len(roads),
            pointer=asked.pointer,
        )
        self.faults.append(fault)
        return asked.around, GIVEN

    def _survey(self, plan: Plan, largest: tuple[LargestStock, ...]) -> Survey:
        for known, stock, found in self._found:
            # A caller who names ten roads of one plan may send that ten times.
            if stock == largest and (known is plan or known == plan):
                return found
        found = survey(plan, largest)
        self._found.append((plan, largest, found))
        return found

    def require_found(self) -> None:
        """Raise ``Faulty`` where a road that a caller names is on no plan."""
        if self.faults:
            raise Faulty(self.faults)


def _made_of(found: Survey, road: PlanRoad) -> ByPlan:
    """Return what a surveyed plan makes of a road, by the name that it has there."""
    plus_minus = found.plan.plus_minus
    return ByPlan(
        place=place_of_road(found, road),
        unknown=why_unknown(found, road),
        surveyed_mm=road.surveyed_mm,
        mm=0.0 if plus_minus is None else plus_minus.mm,
        mm_per_metre=0.0 if plus_minus is None else plus_minus.mm_per_m,
        taken=tuple(taken_for_granted(found, road)),
    )


def place_by_plan(
    found: Survey, road: PlanRoad, asked: RoadOnPlan
) -> tuple[Place, Provenance]:
    """Return a road of a surveyed plan with what ``asked`` says of it besides, and where
    its figures come from.
    """
    return _by_plan(_made_of(found, road), asked)


def _by_plan(made: ByPlan, asked: RoadOnPlan) -> tuple[Place, Provenance]:
    by_plan, unknown = made.place, made.unknown
    place = _said_first(asked, by_plan)
    if asked.said.usable_length_mm is not None:
        beside = _surveyed_beside(
            asked.said.usable_length_mm, by_plan.usable_length_mm, unknown
        )
        return place, Surveyed(beside=(beside,))
    if made.surveyed_mm is not None:
        return _as_surveyed(place, made.surveyed_mm, asked, unknown)
    known_by = FromPlan(
        mm=made.mm,
        mm_per_metre=made.mm_per_metre,
        on_record=asked.on_record,
        unknown=unknown,
        beside=(*asked.assumed, *made.taken),
    )
    return place, known_by


def _said_first(asked: RoadOnPlan, by_plan: Place) -> Place:
    """Return what somebody said of the road itself, then what its plan says, then what
    its layout says of all places.
    """
    figures = {name: getattr(by_plan, name) for name in Place.__struct_fields__}
    for field in msgspec.structs.fields(Place):
        said = getattr(asked.said, field.name)
        around = getattr(asked.around, field.name)
        if said not in {None, field.default}:
            figures[field.name] = said
        elif figures[field.name] in {None, field.default}:
            figures[field.name] = around
    figures["kind"] = asked.kind or by_plan.kind
    figures |= _curves(asked, by_plan)
    return Place(**figures)


def _curves(asked: RoadOnPlan, by_plan: Place) -> dict[str, float | bool | None]:
    """Return the sharpest curve on the road or on the way in.

    It is what was said of the road itself, else the sharper one of its plan's and its
    layout's.
    """
    said = asked.said
    if said.no_curves or said.minimum_radius_mm is not None:
        radius_mm = said.minimum_radius_mm
        return {"minimum_radius_mm": radius_mm, "no_curves": said.no_curves}
    both_mm = [
        one.minimum_radius_mm
        for one in (by_plan, asked.around)
        if one.minimum_radius_mm is not None
    ]
    is_straight = by_plan.no_curves or asked.around.no_curves
    return {
        "minimum_radius_mm": min(both_mm, default=None),
        "no_curves": is_straight and not both_mm,
    }


def _as_surveyed(
    place: Place, surveyed_mm: float, asked: RoadOnPlan, unknown: str | None
) -> tuple[Place, Provenance]:
    """Return a place of a plan that has its usable length by a tape beside it."""
    beside = _surveyed_beside(surveyed_mm, place.usable_length_mm, unknown)
    taped = msgspec.structs.replace(place, usable_length_mm=surveyed_mm)
    if asked.on_record:
        return taped, Surveyed(beside=(beside,))
    plus_minus_mm = SURVEYED.plus_minus_mm(surveyed_mm)
    taped = msgspec.structs.replace(taped, plus_minus_mm=plus_minus_mm)
    return taped, FromPlan(beside=(beside,))


def _surveyed_beside(
    surveyed_mm: float, by_plan_mm: float | None, unknown: str | None
) -> Assumed:
    """Return what a plan says of a road whose length was taken with a tape."""
    taped = f"the tape's {millimetres(surveyed_mm)} count"
    if by_plan_mm is None:
        message = f"{taped}; {unknown or 'the plan does not tell it'}"
        return _beside(message, None)
    differs_mm = tidy(surveyed_mm - by_plan_mm)
    if differs_mm == 0:
        message = f"{taped}, and the plan gives as much"
    else:
        longer = "longer" if differs_mm > 0 else "shorter"
        message = (
            f"{taped}; by the plan it is {millimetres(by_plan_mm)}, so that the road"
            f" measured is {millimetres(abs(differs_mm))} {longer}"
        )
    return _beside(message, by_plan_mm)


def _beside(message: str, value_mm: float | None) -> Assumed:
    return Assumed(
        field="usable_length_mm",
        message=message[:LONGEST_MESSAGE],
        source="taken_as_read",
        value_mm=value_mm,
    )


def _without_plan(asked: RoadOnPlan, why: str) -> tuple[Place, Provenance]:
    """Return a place on record whose road is on no plan: what was surveyed still
    counts.
    """
    if asked.said.usable_length_mm is None:
        return asked.around, FromPlan(on_record=True, unknown=why)
    message = f"the length that was surveyed counts; {why}"
    return asked.around, Surveyed(beside=(_beside(message, None),))


def _no_longer(asked: RoadOnPlan, many: int) -> str:
    name = asked.said.name or asked.road
    road = cut(asked.road)
    if many:
        return f"{name}: the layout's plan has {many} roads called {road}"
    return (
        f"{name}: the layout's plan has no road {road} any more: say which road of the"
        " plan it is"
    )


def no_such_road(found: Survey, name: str, *, many: int, pointer: str) -> Fault:
    """Return the fault of a name that a plan has for no road, or for so ``many``."""
    road = cut(name)
    if many:
        message = (
            f"the plan has {many} roads called {road}: name it by its kind and first"
            " piece, as siding S1"
        )
        return Fault(
            code="two_roads",
            message=message,
            pointer=pointer,
        )
    names = road_names(found)
    near = [*NearNames(names).near(name), *names_over(found, name)]
    hint = did_you_mean([cut(name) for name in dict.fromkeys(near)][:2])
    message = f"the plan has no road {road}{hint}"
    message += _there_are(names, left=LONGEST_MESSAGE - len(message))
    return Fault(
        code="no_such_road",
        message=message,
        pointer=pointer,
    )


def _there_are(names: Iterable[str], *, left: int) -> str:
    """Return the names of roads, as many as go into what is left of a message."""
    words = [cut(name) for name in names]
    if not words:
        return "; there are no roads in it"
    shown = "; its roads: "
    for number, word in enumerate(words):
        comma = ", " if number else ""
        longer = f"{shown}{comma}{word}"
        more = f" and {len(words) - number} more"
        if len(longer) + len(more) > left:
            if not number:
                return f"{shown}{more.removeprefix(' and ')}"
            return shown + more
        shown = longer
    return shown


def taken_for_granted(found: Survey, road: PlanRoad) -> Iterator[Assumed]:
    """Yield what a plan takes for granted of one of its roads."""
    by_points = [one for one in road.limits if one.kind == "fouling_point"]
    at_points = {limit.because for limit in by_points}
    if by_points and found.spacing is not None:
        yield from spacing_words(found.plan, found.spacing)
    for point in found.points:
        if point.points in at_points:
            yield from point_assumed(point)
    if road.is_too_close:
        yield _beside("the tracks are too close, and nothing of it can be used", 0.0)
    if road.courses and found.faults:
        message = "the plan has faults elsewhere: check the plan"
        yield Assumed(
            field="plan",
            message=message,
            source="taken_as_read",
        )
