"""How many vehicles of one type a place holds, standing and at work."""

from collections.abc import Iterable, Iterator
from typing import Annotated, NamedTuple

import msgspec

from standage.questions.asked import AskedPlace, AskedVehicle
from standage.questions.example_stock import MILK_VAN, NOBODY
from standage.questions.question import PLAN_BYTES, Question, Shows
from standage.questions.reckoning import (
    NOT_YET,
    MayBeExact,
    Warnings,
    as_written,
    or_a_plan,
    surveying,
    warned,
)
from standage.questions.sources import KnownPlace, Sources
from standage.railway.roads.allowances import allowance
from standage.railway.standing.capacity import (
    CapacityVerdict,
    Row,
    StandingRoom,
    Working,
    capacity,
    row_of,
    side_by_side,
)
from standage.railway.standing.spare import unsurveyed
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.vehicles import Vehicle
from standage.railway.storing.spots import at_spots
from standage.railway.terms.figures import Count, Room, Tolerance, UsableLengthMm, says
from standage.railway.terms.reasons import Assumed, Reason, told
from standage.shapes.faults import Fault, Faulty, Ruled

MOST_SPOTS = 20


class CapacityRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """A length of road, or a place, and a type of vehicle, inline or on record."""

    usable_length_mm: Annotated[
        UsableLengthMm | None,
        says(
            "From fouling point to fouling point or buffer stop, in mm; needed unless"
            " place is given."
        ),
    ] = None
    place: Annotated[
        AskedPlace | None, says("The road as a place, instead of its length.")
    ] = None
    vehicle: Annotated[AskedVehicle, says("One vehicle of the type.")]
    fixed_spots: Annotated[
        Count,
        says(
            "At how many fixed spots, side by side, vehicles are loaded or unloaded; 1"
            " if not said."
        ),
    ] = 1
    spots_mm: Annotated[
        Annotated[tuple[Room, ...], msgspec.Meta(min_length=1, max_length=MOST_SPOTS)]
        | None,
        says(
            "Loading spots anywhere along a dead end, instead of fixed_spots: each from"
            " the buffer stop to its middle, in mm."
        ),
    ] = None
    spot_play_mm: Annotated[
        Room | None,
        says(
            "How far the middle of a vehicle may be off a spot's, either way, in mm; 0"
            " if not said."
        ),
    ] = None
    plus_minus_mm: Annotated[
        Tolerance | None,
        says("How far off the usable length may be, either way, in mm; 0 if not said."),
    ] = None
    stopping_margin_mm: Annotated[
        Room | None,
        says("Room left for stopping, both ends together, in mm; 0 if not said."),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """One vehicle of the type is asked about: how many there may be is the
        answer. Its road is a length or a place.
        """
        yield from self._road_amiss()
        if self.vehicle.count != 1:
            message = "must be 1: how many there may be is the answer"
            yield Fault(code="contradiction", message=message, pointer="/vehicle/count")
        if self.spots_mm is not None and self.fixed_spots != 1:
            message = "has no effect beside spots_mm: leave one of the two out"
            yield Fault(
                code="one_or_the_other", message=message, pointer="/fixed_spots"
            )
        if self.spots_mm is None and self.spot_play_mm is not None:
            yield Fault(
                code="contradiction",
                message="has no effect without spots_mm",
                pointer="/spot_play_mm",
            )

    def _road_amiss(self) -> Iterator[Fault]:
        if self.place is None:
            if self.usable_length_mm is None:
                message = "usable_length_mm is missing: how long is the road?"
                yield Fault(
                    code="missing", message=message, pointer="/usable_length_mm"
                )
            return
        for field in ("usable_length_mm", "plus_minus_mm"):
            if getattr(self, field) is not None:
                message = "cannot be given beside place: the place's own figures count"
                yield Fault(
                    code="one_or_the_other", message=message, pointer=f"/{field}"
                )


class CapacityCase(MayBeExact, frozen=True, kw_only=True):
    """All that the answer rests on: a length, or the ``ground`` that has one. ``types``
    are the club's own couplings.
    """

    usable_length_mm: UsableLengthMm | None = None
    ground: KnownPlace | None = None
    vehicle: Vehicle
    fixed_spots: int = 1
    spots_mm: tuple[float, ...] | None = None
    spot_play_mm: float | None = None
    plus_minus_mm: float = 0.0
    stopping_margin_mm: float | None = None
    types: tuple[CouplingKind, ...] = ()


class CapacityAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """How many stand there, how many can be worked there, and how long those are."""

    verdict: Annotated[CapacityVerdict, says("Whether it holds any.")]
    standing_capacity: Annotated[int | None, says("How many stand clear, coupled.")]
    standing_capacity_for_certain: Annotated[
        int | None, says("How many do even if every figure is off the bad way.")
    ]
    working_capacity: Annotated[
        int | None,
        says(
            "How many can be there while each in turn can be brought to one of the"
            " fixed spots without leaving."
        ),
    ]
    train_length_mm: Annotated[
        float | None,
        says("Of those that stand there, pulled out, free couplings too, in mm."),
    ]
    working_length_mm: Annotated[
        float | None, says("What those that are worked there need to move in, in mm.")
    ]
    pitch_mm: Annotated[
        float | None, says("From one vehicle's end to the next one's like end, in mm.")
    ]
    spare_mm: Annotated[float | None, says("What the standing vehicles leave, in mm.")]
    plus_minus_mm: Annotated[
        float | None, says("How far off that may be, either way, in mm.")
    ]
    usable_length_mm: Annotated[float, says("The usable length, in mm.")]
    stopping_margin_mm: Annotated[
        float, says("What was taken off for stopping, both ends together, in mm.")
    ]
    fixed_spots: Annotated[int, says("The spots that were reckoned with.")]
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    warnings: Warnings = NOT_YET


@surveying
@warned
def reckon(case: CapacityCase) -> CapacityAnswer:
    """Return how many vehicles of the case's type its road holds, standing and at
    work; raises ``Faulty`` where nobody knows how long that is.
    """
    row = row_of(case.vehicle, types=CouplingTypes(case.types))
    road = _road(case)
    room_mm = road.usable_mm - road.margin_mm
    held = capacity(
        row,
        StandingRoom(
            room_mm=room_mm,
            plus_minus_mm=road.plus_minus_mm,
            margin_mm=road.margin_mm,
        ),
        working=lambda each: _working(case, each, room_mm=room_mm),
    )
    return CapacityAnswer(
        verdict=held.verdict,
        standing_capacity=held.standing,
        standing_capacity_for_certain=held.standing_for_certain,
        working_capacity=held.working,
        train_length_mm=held.train_length_mm,
        working_length_mm=held.working_length_mm,
        pitch_mm=held.pitch_mm,
        spare_mm=held.spare_mm,
        plus_minus_mm=held.plus_minus_mm,
        usable_length_mm=road.usable_mm,
        stopping_margin_mm=road.margin_mm,
        fixed_spots=case.fixed_spots if case.spots_mm is None else len(case.spots_mm),
        because=held.because,
        assumed=(*told(row.guesses), *road.assumed, *_of_the_spots(case)),
    )


class _Road(NamedTuple):
    """What is known of the road that vehicles stand in."""

    usable_mm: float
    plus_minus_mm: float
    margin_mm: float
    assumed: tuple[Assumed, ...]


def _road(case: CapacityCase) -> _Road:
    if case.ground is None:
        return _Road(
            usable_mm=case.usable_length_mm or 0.0,
            plus_minus_mm=case.plus_minus_mm,
            margin_mm=case.stopping_margin_mm or 0.0,
            assumed=_default_margin(case),
        )
    place = case.ground.place
    given = allowance(
        place,
        known_by=case.ground.known_by,
        stopping_margin_mm=case.stopping_margin_mm,
    )
    if given.usable_mm is None:
        # The answer promises a length, so that there is none without.
        message = unsurveyed(place, given).message
        fault = Fault(code="missing_figure", message=message, pointer="/place")
        raise Faulty([fault])
    return _Road(
        usable_mm=given.usable_mm,
        plus_minus_mm=given.plus_minus_mm,
        margin_mm=given.margin_mm,
        assumed=given.assumed,
    )


def _working(case: CapacityCase, row: Row, *, room_mm: float) -> Working:
    if case.spots_mm is None:
        return side_by_side(row, room_mm=room_mm, fixed_spots=case.fixed_spots)
    return at_spots(
        row, room_mm=room_mm, spots_mm=case.spots_mm, play_mm=case.spot_play_mm or 0.0
    )


def _default_margin(case: CapacityCase) -> tuple[Assumed, ...]:
    if case.stopping_margin_mm is not None:
        return ()
    message = "no room is left for stopping, as none is given"
    return (
        Assumed(
            field="stopping_margin_mm", message=message, source="default", value_mm=0.0
        ),
    )


def _of_the_spots(case: CapacityCase) -> Iterator[Assumed]:
    if case.spots_mm is None:
        return
    message = "the innermost vehicle has its rear at the buffer stop"
    yield Assumed(field="spots_mm", message=message, source="default")
    if case.spot_play_mm is None:
        message = (
            "the middle of a vehicle must stand just at the middle of a spot, as no"
            " play is given"
        )
        yield Assumed(
            field="spot_play_mm", message=message, source="default", value_mm=0.0
        )


@as_written
def gather(sources: Sources, request: CapacityRequest) -> CapacityCase:
    """Return the case that a request makes, with all it names on record resolved."""
    ground = None
    if request.place is not None:
        ground = sources.places.of(request.place, "/place")
    return CapacityCase(
        usable_length_mm=request.usable_length_mm,
        ground=ground,
        vehicle=sources.trains.vehicle(request.vehicle, "/vehicle"),
        fixed_spots=request.fixed_spots,
        spots_mm=request.spots_mm,
        spot_play_mm=request.spot_play_mm,
        plus_minus_mm=request.plus_minus_mm or 0.0,
        stopping_margin_mm=request.stopping_margin_mm,
        types=sources.couplings.types(),
    )


QUESTION = Question(
    id="checkCapacity",
    at="/v1/checks/capacity",
    asks="How many vehicles of one type does a road hold?",
    tells=(
        "How many stand there, and how many can be worked there while each in turn is"
        " brought to a fixed spot."
    ),
    request=CapacityRequest,
    answer=CapacityAnswer,
    gather=gather,
    reckon=reckon,
    heavy=or_a_plan(),
    most_bytes=PLAN_BYTES,
    example={"usable_length_mm": 520, "vehicle": MILK_VAN, "fixed_spots": 2},
    refused={"usable_length_mm": 520, "vehicle": {"vehicle_id": NOBODY}},
    warns=Shows("unit", "usable_length_mm", {"usable_length_mm": 0.9}),
)
