"""Yards of track plans: a headshunt by its name, and the sidings that are worked from it.

As a road of a plan, a yard is looked for only when the case is reckoned.
"""

from collections.abc import Iterator, Sequence
from functools import partial

import msgspec

from standage.questions.resolving.plan_roads import (
    LONGEST_MESSAGE,
    no_such_road,
    taken_for_granted,
)
from standage.railway.roads.plan_roads import PlanRoad, roads_called
from standage.railway.shunting.plan_yards import PlanYard, YardWish, yard_of_plan
from standage.railway.shunting.yard import Yard
from standage.railway.terms.figures import counted, listed, millimetres, tidy
from standage.railway.terms.reasons import Assumed
from standage.railway.track.fouling.spacings import LargestStock
from standage.railway.track.plans.plan import Plan, PlusMinus
from standage.railway.track.survey.survey import Survey, survey
from standage.shapes.faults import Faulty, all_of, moved

_MOST_LEFT_OUT = 5
"""So many roads that are no sidings are named."""


class YardOnPlan(msgspec.Struct, frozen=True, kw_only=True):
    """A yard of a plan by the name of its headshunt, not looked for yet.

    ``sidings`` are those that are meant, None for all that there are; the ``pointer``
    is where it was asked for. ``assumed`` is what was taken for granted of the plan.
    """

    plan: Plan
    headshunt: str
    sidings: tuple[str, ...] | None = None
    uncoupled_ahead: bool = False
    largest: tuple[LargestStock, ...] = ()
    """What of the club's swings out most, where that is known."""
    assumed: tuple[Assumed, ...] = ()
    pointer: str = "/yard"


def yard_found(asked: YardOnPlan) -> tuple[Yard, tuple[Assumed, ...]]:
    """Return a yard as its plan has it, and what is to be told of that.

    Raises ``Faulty`` where the plan has no such roads, where they make no yard, and for
    every length that nobody can tell.
    """
    try:
        return _found(asked)
    except Faulty as faulty:
        faults = [moved(fault, asked.pointer) for fault in faulty.faults]
        raise Faulty(faults) from faulty


def _found(asked: YardOnPlan) -> tuple[Yard, tuple[Assumed, ...]]:
    found = survey(asked.plan, asked.largest)
    names = asked.sidings or ()
    headshunt, *sidings = all_of(
        partial(
            _road,
            found,
            asked.headshunt,
            "/headshunt",
        ),
        *(
            partial(
                _road,
                found,
                name,
                f"/sidings/{number}",
            )
            for number, name in enumerate(names)
        ),
    )
    wish = YardWish(
        headshunt=headshunt,
        sidings=None if asked.sidings is None else tuple(sidings),
        uncoupled_ahead=asked.uncoupled_ahead,
    )
    made = yard_of_plan(found, wish)
    roads = (made.headshunt, *made.sidings)
    granted = (one for road in roads for one in taken_for_granted(found, road))
    told = (*_told(made, found.plan.plus_minus), *asked.assumed, *granted)
    return made.yard, tuple(dict.fromkeys(told))


def _road(found: Survey, name: str, pointer: str) -> PlanRoad:
    roads = roads_called(found, name)
    if len(roads) != 1:
        raise Faulty(
            [
                no_such_road(
                    found,
                    name,
                    many=len(roads),
                    pointer=pointer,
                )
            ]
        )
    return roads[0]


def _told(made: PlanYard, plus_minus: PlusMinus | None) -> Iterator[Assumed]:
    """Yield what a yard of a plan comes to, length by length."""
    exact = "the yard's lengths are the plan's, and count as exact"
    if plus_minus is not None:
        exact += "; by its own ± each may be as far off as is told with it"
    yield Assumed(
        field="yard",
        message=exact,
        source="taken_as_read",
    )
    yard = made.yard
    clear_of = ""
    if made.kept_clear_of is not None:
        clear_of = f"; it is used up to {made.kept_clear_of} only"
    length_mm = yard.headshunt_usable_length_mm
    places = _places(yard.headshunt_uncoupling_places_mm)
    message = (
        f"{made.headshunt.name}, the headshunt: {millimetres(length_mm)} from the blade"
        f" tips{_taped(made.headshunt)}{places}{clear_of}"
    )
    field = "yard/headshunt_usable_length_mm"
    yield _length(field, message, plus_minus, length_mm=length_mm)
    for number, siding in enumerate(yard.sidings):
        length_mm = siding.usable_length_mm
        places = _places(siding.uncoupling_places_mm)
        message = (
            f"{siding.name}: {millimetres(length_mm)} from its fouling point"
            f"{_taped(made.sidings[number])}{places}"
        )
        field = f"yard/sidings/{number}/usable_length_mm"
        yield _length(field, message, plus_minus, length_mm=length_mm)
    for number, room in enumerate(yard.rooms):
        both = " and ".join(room.between)
        message = f"between {both} there is room for {millimetres(room.room_mm)}"
        field = f"yard/rooms/{number}/room_mm"
        yield _length(field, message, plus_minus, length_mm=room.room_mm)
    yield from _left_out(made.left_out)


def _taped(road: PlanRoad) -> str:
    if road.surveyed_mm is None:
        return ""
    return " by the tape"


def _places(places_mm: Sequence[float] | None) -> str:
    if not places_mm:
        return ""
    return f"; uncoupling at {listed([millimetres(one_mm) for one_mm in places_mm])}"


def _length(
    field: str, message: str, plus_minus: PlusMinus | None, *, length_mm: float
) -> Assumed:
    off_mm = None if plus_minus is None else tidy(plus_minus.of(length_mm))
    return Assumed(
        field=field,
        message=message[:LONGEST_MESSAGE],
        source="taken_as_read",
        value_mm=length_mm,
        plus_minus_mm=off_mm,
    )


def _left_out(why: Sequence[str]) -> Iterator[Assumed]:
    told = list(why[:_MOST_LEFT_OUT])
    if len(why) > len(told):
        more = counted(len(why) - len(told), "other road")
        told.append(f"{more}, for the like reasons")
    for one in told:
        message = f"not in the yard: {one}"[:LONGEST_MESSAGE]
        yield Assumed(
            field="yard/sidings",
            message=message,
            source="taken_as_read",
        )
