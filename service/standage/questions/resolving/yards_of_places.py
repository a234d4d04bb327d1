"""Yards on record whose roads are places of their layout: each as long as its place is,
less the room for stopping there.

Where a place follows its layout's track plan, that is looked for only when the case is
reckoned, as any road of a plan is.
"""

from collections.abc import Iterator, Mapping

import msgspec

from standage.questions.resolving.plan_roads import (
    LONGEST_MESSAGE,
    OnGround,
    Surveys,
)
from standage.railway.roads.allowances import Allowance, allowance
from standage.railway.shunting.yard import Siding, SidingFigures, Yard, YardFigures
from standage.railway.terms.figures import millimetres, tidy
from standage.railway.terms.reasons import Assumed
from standage.registry.records.bodies import YardBody
from standage.shapes.faults import Fault, Faulty

HEADSHUNT = "the headshunt"


class YardOfPlaces(msgspec.Struct, frozen=True, kw_only=True):
    """A yard on record some of whose roads are places, by their ids; the ``pointer`` is
    where it was asked for.
    """

    body: YardBody
    places: Mapping[str, OnGround]
    pointer: str = "/yard"


class _Road(msgspec.Struct, frozen=True, kw_only=True):
    """A road of a yard that is a place: where its length goes, and what the place
    gives.
    """

    name: str
    field: str
    given: Allowance

    @property
    def length_mm(self) -> float:
        """What is left when the room for stopping is taken off."""
        return tidy(max(0.0, self.given.room_mm or 0.0))


def yard_of_places(asked: YardOfPlaces) -> tuple[Yard, tuple[Assumed, ...]]:
    """Return a yard with the lengths of its places, and what is to be told of those.

    Raises ``Faulty`` for every place whose usable length nobody knows.
    """
    roads = _measured(asked)
    faults = [
        Fault(code="missing", message=message, pointer=asked.pointer)
        for message in _unknown(roads)
    ]
    if faults:
        raise Faulty(faults)
    told = (one for road in roads.values() for one in _told(road))
    return _yard(asked.body, roads), tuple(dict.fromkeys(told))


def yard_to_draw(asked: YardOfPlaces) -> tuple[Yard, tuple[str, ...]]:
    """Return a yard with the lengths of its places, 0 where nobody knows one, and which
    those are.
    """
    roads = _measured(asked)
    return _yard(asked.body, roads), tuple(_unknown(roads))


def recorded_yard(body: YardBody) -> Yard:
    """Return a yard on record none of whose roads is a place."""
    return _yard(body, {})


def _measured(asked: YardOfPlaces) -> dict[str, _Road]:
    return {road.field: road for road in _roads(asked, Surveys())}


def _roads(asked: YardOfPlaces, surveys: Surveys) -> Iterator[_Road]:
    body = asked.body
    if body.headshunt_place_id is not None:
        yield _Road(
            name=HEADSHUNT,
            field="headshunt_usable_length_mm",
            given=_given(asked, body.headshunt_place_id, surveys),
        )
    for number, siding in enumerate(body.sidings):
        if siding.place_id is not None:
            yield _Road(
                name=siding.name,
                field=_field(number),
                given=_given(asked, siding.place_id, surveys),
            )


def _field(number: int) -> str:
    return f"sidings/{number}/usable_length_mm"


def _given(asked: YardOfPlaces, place_id: str, surveys: Surveys) -> Allowance:
    ground = surveys.settled(asked.places[place_id])
    return allowance(
        ground.place,
        known_by=ground.known_by,
        stopping_margin_mm=None,
    )


def _yard(body: YardBody, roads: Mapping[str, _Road]) -> Yard:
    headshunt_mm = body.headshunt_usable_length_mm
    if "headshunt_usable_length_mm" in roads:
        headshunt_mm = roads["headshunt_usable_length_mm"].length_mm
    sidings = []
    for number, siding in enumerate(body.sidings):
        length_mm = siding.usable_length_mm
        if _field(number) in roads:
            length_mm = roads[_field(number)].length_mm
        figures = {name: getattr(siding, name) for name in _SIDING}
        sidings.append(Siding(usable_length_mm=length_mm or 0.0, **figures))
    figures = {name: getattr(body, name) for name in _YARD}
    return Yard(
        headshunt_usable_length_mm=headshunt_mm or 0.0,
        sidings=tuple(sidings),
        **figures,
    )


_SIDING = SidingFigures.__struct_fields__
_YARD = YardFigures.__struct_fields__


def _told(road: _Road) -> Iterator[Assumed]:
    given = road.given
    usable = millimetres(given.usable_mm or 0.0)
    left = ""
    if given.margin_mm:
        left = f", of which {millimetres(given.margin_mm)} are left for stopping"
    message = f"{road.name} is the place {given.place}: {usable}{left}"
    yield Assumed(
        field=f"yard/{road.field}",
        message=message[:LONGEST_MESSAGE],
        source="taken_as_read",
        value_mm=road.length_mm,
        plus_minus_mm=given.plus_minus_mm,
    )
    for one in given.assumed:
        message = f"{given.place}: {one.message}"[:LONGEST_MESSAGE]
        yield msgspec.structs.replace(one, message=message)


def _unknown(roads: Mapping[str, _Road]) -> Iterator[str]:
    """Yield which roads nobody knows the length of, and what to measure."""
    for road in roads.values():
        place = road.given.place
        if road.given.usable_mm is None:
            why = road.given.unknown or f"measure the usable length of {place}"
            message = f"{road.name} is the place {place}: {why}"
            yield message[:LONGEST_MESSAGE]
