"""Do all these trains go into these roads at once, nose to tail where they fit, and
which is left over?
"""

from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from typing import Annotated

import msgspec

from standage.questions.asked import AskedNamedTrain, AskedPlace, each_of, repeated
from standage.questions.example_stock import (
    DAIRY_LOOP,
    ENGINE,
    MILK_TRAIN,
    MILK_VANS,
    NOBODY,
    SHORT_SIDING,
    SIDING,
)
from standage.questions.question import PLAN_BYTES, WITHIN_BUDGET, Question, Shows
from standage.questions.reckoning import (
    MayBeExact,
    as_written,
    or_a_plan,
    surveying,
    warned,
)
from standage.questions.resolving.trains import NamedTrain
from standage.questions.road_allocation_answer import (
    AllocationVerdict,
    LeftOver,
    RoadAllocationAnswer,
    RoadWithTrains,
    TrainInRoad,
)
from standage.questions.sources import NamedPlace, Sources
from standage.railway.standing.crosswise import Crosswise
from standage.railway.standing.verdicts import (
    WORST_FIRST,
    Finding,
    FitVerdict,
    sorted_reasons,
)
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.extents import Unsaid, lacking, to_name
from standage.railway.storing import words
from standage.railway.storing.allotment import Allotment, allot
from standage.railway.storing.fill import held
from standage.railway.storing.packing import Storage
from standage.railway.storing.roads import NO_STORAGE, broken_rules, gap_of, storage_of
from standage.railway.terms.figures import IdOrName, Room, says, tidy
from standage.railway.terms.reasons import Reason, named_once
from standage.shapes.faults import Fault, Ruled, all_of

MOST_TRAINS = 40
MOST_ROADS = 30
HEAVY_TRAINS = 8
"""More trains are allotted in a process of its own."""


Trains = Annotated[
    tuple[AskedNamedTrain, ...], msgspec.Meta(min_length=1, max_length=MOST_TRAINS)
]
KeepEmpty = Annotated[int, msgspec.Meta(ge=0, le=MOST_ROADS)]


class RoadAllocationRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """Trains, roads, and what is to stay free."""

    trains: Annotated[Trains, says("The trains, inline or on record.")]
    roads: Annotated[
        tuple[AskedPlace, ...],
        msgspec.Meta(max_length=MOST_ROADS),
        says("The roads; needed unless layout_id is given."),
    ] = ()
    layout_id: Annotated[
        IdOrName | None, says("All places of a layout on record, instead of roads.")
    ] = None
    gap_mm: Annotated[
        Room | None,
        says(
            "Left between two trains in one road, in mm; 25 if not said, as trains are"
            " stopped by eye."
        ),
    ] = None
    keep_empty: Annotated[
        KeepEmpty, says("How many of the roads are to stay empty.")
    ] = 0

    def rules(self) -> Iterable[Fault]:
        """Roads or a layout; nothing is named twice; no more roads are kept empty than
        there are.
        """
        if (self.layout_id is None) == (not self.roads):
            message = "give roads, or a layout_id instead"
            yield Fault(
                code="one_or_the_other",
                message=message,
                pointer="/roads",
            )
        if self.roads and self.keep_empty > len(self.roads):
            message = f"there are only {len(self.roads)} roads"
            yield Fault(
                code="contradiction",
                message=message,
                pointer="/keep_empty",
            )
        yield from repeated(
            (one.train_id for one in self.trains), "/trains", "train_id"
        )
        yield from repeated((one.place_id for one in self.roads), "/roads", "place_id")


class RoadAllocationCase(MayBeExact, frozen=True, kw_only=True):
    """All that the answer rests on; ``gap_mm`` is None where it was not said."""

    trains: tuple[NamedTrain, ...]
    roads: tuple[NamedPlace, ...]
    gap_mm: float | None = None
    keep_empty: int = 0
    types: tuple[CouplingKind, ...] = ()


def is_heavy(case: RoadAllocationCase) -> bool:
    """Tell whether the search may take long."""
    return len(case.trains) > HEAVY_TRAINS


@surveying
@warned
def reckon(case: RoadAllocationCase) -> RoadAllocationAnswer:
    """Return where the trains of ``case`` stand, the fewest left over, replayed afresh
    before it is given.
    """
    return _Told(case).answer()


class _Told:
    """One allotment, found and put into words."""

    def __init__(self, case: RoadAllocationCase) -> None:
        self._case = case
        self._gap_mm, self._assumed_gap = gap_of(case.gap_mm)
        self._types = CouplingTypes(case.types)
        self._crosswise = self._against_each_other()
        self._storage = self._stored(self._crosswise)

    def _against_each_other(self, *, shortest: bool = False) -> Crosswise:
        trains = [one.train for one in self._case.trains]
        places = [one.place for one in self._case.roads]
        known_by = [one.known_by for one in self._case.roads]
        return Crosswise(
            trains, places, known_by=known_by, types=self._types, shortest=shortest
        )

    def _stored(self, crosswise: Crosswise) -> Storage:
        trains, keep_empty = len(self._case.trains), self._case.keep_empty
        return storage_of(
            crosswise, trains=trains, gap_mm=self._gap_mm, keep_empty=keep_empty
        )

    def answer(self) -> RoadAllocationAnswer:
        found = allot(self._storage)
        self._replay(found)
        left = [number for number, road in enumerate(found.road_of) if road is None]
        roads = tuple(
            self._road(number, found) for number in range(len(self._case.roads))
        )
        return RoadAllocationAnswer(
            verdict=self._verdict(found, left),
            roads=roads,
            left_over=tuple(self._left_over(number) for number in left),
            left_over_length_mm=tidy(
                sum(self._storage.trains[number].length_mm for number in left)
            ),
            left_over_at_least=found.at_least,
            proved=found.proved,
            least_length_proved=found.least_length,
            gap_mm=self._gap_mm,
            kept_empty=tuple(road.road for road in roads if not road.trains),
            because=tuple(self._because(found, left)),
            assumed=(*self._crosswise.assumed(), *self._assumed_gap),
        )

    def _replay(self, found: Allotment) -> None:
        broken = list(
            broken_rules(
                [one.train for one in self._case.trains],
                [(ground.place, ground.given) for ground in self._crosswise.grounds],
                {
                    number: road
                    for number, road in enumerate(found.road_of)
                    if road is not None
                },
                gap_mm=self._gap_mm,
                keep_empty=self._case.keep_empty,
                types=self._types,
            )
        )
        if broken:
            raise RuntimeError(f"the allotment does not replay: {'; '.join(broken)}")

    def _road(self, number: int, found: Allotment) -> RoadWithTrains:
        ground, named = self._crosswise.grounds[number], self._case.roads[number]
        inside = [train for train, road in enumerate(found.road_of) if road == number]
        taken = held(
            [self._crosswise.length(train) for train in inside], gap_mm=self._gap_mm
        )
        room_mm = ground.given.room_mm
        return RoadWithTrains(
            road=named.name,
            place_id=named.id,
            trains=tuple(self._in_road(train, number) for train in inside),
            usable_length_mm=ground.given.usable_mm,
            stopping_margin_mm=ground.given.margin_mm,
            held_mm=tidy(taken.known_mm),
            spare_mm=None if room_mm is None else tidy(room_mm - taken.known_mm),
            plus_minus_mm=tidy(taken.plus_minus_mm + ground.given.plus_minus_mm),
        )

    def _in_road(self, train: int, road: int) -> TrainInRoad:
        named = self._case.trains[train]
        return TrainInRoad(
            train=named.name,
            train_id=named.id,
            length_mm=tidy(self._crosswise.length(train).known_mm),
            reaching=self._crosswise.reaching(train, road),
        )

    def _left_over(self, train: int) -> LeftOver:
        named, length = self._case.trains[train], self._crosswise.length(train)
        return LeftOver(
            train=named.name,
            train_id=named.id,
            length_mm=None if length.length_mm is None else tidy(length.length_mm),
            because=named_once(self._why(train)),
        )

    def _why(self, train: int) -> Iterator[Reason]:
        """Yield why a train is left over: its length is not known, no road suits it, or
        those that do are taken.
        """
        name = self._case.trains[train].name
        suits = [
            self._case.roads[road].name
            for road in sorted(self._storage.trains[train].roads)
        ]
        if suits:
            roads, length_mm = (
                len(self._case.roads),
                self._storage.trains[train].length_mm,
            )
            yield words.no_room_left(
                name, length_mm, suits, roads=roads, keep_empty=self._case.keep_empty
            )
            return
        yield from lacking(self._crosswise.length(train).missing)
        nearest = self._nearest_road(train)
        if nearest is None:
            yield words.no_road_for_trains(name)
        else:
            yield from self._crosswise.pair(train, nearest).because

    def _nearest_road(self, train: int) -> int | None:
        """Return the road in which a train comes nearest to standing; None where there
        is no road for trains at all.
        """

        def nearness(road: int) -> tuple[int, float, int]:
            paired = self._crosswise.pair(train, road)
            goodness = WORST_FIRST.index(paired.verdict)
            spare_mm = paired.spare_mm or 0.0
            # of equals the first
            return goodness, spare_mm, -road

        return max(
            self._for_trains(),
            key=nearness,
            default=None,
        )

    def _verdict(self, found: Allotment, left: Sequence[int]) -> AllocationVerdict:
        if not left:
            return "all_stand"
        # 0 at the least: nothing proves that any train must be left over
        unsure = not found.at_least
        unsure = unsure or any(self._at_best(train) == "cannot_tell" for train in left)
        if unsure or self._decides:
            return "cannot_tell"
        return "some_left_over"

    @cached_property
    def _decides(self) -> list[Unsaid]:
        """The couplings that nobody has named, where every train has a road with the
        shortest that may be meant.
        """
        unsaid: list[Unsaid] = []
        for train in range(len(self._case.trains)):
            unsaid += self._crosswise.length(train).unsaid
        if not unsaid:
            return []
        at_best = self._against_each_other(shortest=True)
        if None in allot(self._stored(at_best)).road_of:
            return []
        return unsaid

    def _at_best(self, train: int) -> FitVerdict:
        """Return ``cannot_tell`` where a train has no road for certain and might have
        one if more were known.
        """
        if self._storage.trains[train].roads:
            return "does_not_fit"
        for road in self._for_trains():
            if self._crosswise.verdict(train, road) == "cannot_tell":
                return "cannot_tell"
        return "does_not_fit"

    def _for_trains(self) -> list[int]:
        grounds = self._crosswise.grounds
        return [
            road
            for road, ground in enumerate(grounds)
            if ground.place.kind not in NO_STORAGE
        ]

    def _because(self, found: Allotment, left: Sequence[int]) -> Iterator[Reason]:
        if not left:
            used = dict.fromkeys(road for road in found.road_of if road is not None)
            yield words.all_stand(
                len(self._case.trains), [self._case.roads[road].name for road in used]
            )
            yield from self._on_the_way(found)
            return
        yield from to_name(self._decides)
        yield words.left_over(
            [self._case.trains[train].name for train in left],
            trains=len(self._case.trains),
        )
        if not found.proved:
            yield words.budget_spent(found.steps, found.at_least)
        yield from self._on_the_way(found)

    def _on_the_way(self, found: Allotment) -> tuple[Reason, ...]:
        """Return what is not known of whether the trains get to the roads in which they
        stand.
        """
        findings: list[Finding] = []
        for train, road in enumerate(found.road_of):
            if road is not None:
                findings += self._crosswise.on_the_way(train, road)
        return sorted_reasons(findings)


@as_written
def gather(sources: Sources, request: RoadAllocationRequest) -> RoadAllocationCase:
    """Return the case that a request makes, with all it names on record resolved."""
    trains, roads = all_of(
        lambda: sources.trains.several(
            request.trains, each_of("/trains", request.trains)
        ),
        lambda: (
            sources.places.several(request.roads, each_of("/roads", request.roads))
            if request.layout_id is None
            else sources.places.layout_of(
                request.layout_id, "/layout_id", most=MOST_ROADS
            ).places
        ),
    )
    return RoadAllocationCase(
        trains=trains,
        roads=roads,
        gap_mm=request.gap_mm,
        keep_empty=request.keep_empty,
        types=sources.couplings.types(),
    )


_TRAINS = [
    {"name": "Milk", **MILK_TRAIN},
    {"name": "Engine and van", "vehicles": [ENGINE, MILK_VANS]},
]
QUESTION = Question(
    id="checkRoadAllocation",
    at="/v1/checks/road-allocation",
    asks="Do all these trains go into these roads at once?",
    tells=(
        "Nose to tail where they fit, some roads kept empty: the fewest left over, of"
        " as few the least length, and why each is left over."
    )
    + WITHIN_BUDGET,
    request=RoadAllocationRequest,
    answer=RoadAllocationAnswer,
    gather=gather,
    reckon=reckon,
    heavy=or_a_plan(is_heavy),
    most_bytes=PLAN_BYTES,
    example={"trains": _TRAINS, "roads": [SIDING, DAIRY_LOOP], "gap_mm": 30},
    refused={"trains": _TRAINS, "roads": [{"place_id": NOBODY}]},
    warns=Shows("unit", "usable_length_mm", {"roads": [SHORT_SIDING]}),
)
