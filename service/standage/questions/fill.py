"""How full is each road, the fiddle yard and the whole layout, against what lets it
work?
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain
from typing import Annotated

import msgspec

from standage.questions.asked import (
    AskedNamedTrain,
    AskedPlace,
    AskedVehicle,
    repeated,
)
from standage.questions.example_stock import (
    DAIRY_LOOP,
    ENGINE,
    MILK_VANS,
    SHORT_ON_RECORD,
    SHORT_SIDING,
    SIDING,
)
from standage.questions.fill_answer import (
    FillAnswer,
    RoadFill,
    counted_in,
    how_full,
    in_all,
    of_the_vehicle,
    over_full,
    rounded,
    yard_fill,
)
from standage.questions.question import PLAN_BYTES, OnRecord, Question, Shows
from standage.questions.reckoning import (
    MayBeExact,
    as_written,
    or_a_plan,
    surveying,
    warned,
)
from standage.questions.resolving.trains import NamedTrain
from standage.questions.road_allocation import MOST_ROADS, MOST_TRAINS
from standage.questions.sources import NamedPlace, Sources
from standage.railway.roads.allowances import (
    Allowance,
    allowance,
    assumed_of,
    called,
    told_beside,
)
from standage.railway.roads.places import Place
from standage.railway.standing.capacity import Row, row_of
from standage.railway.standing.crosswise import Crosswise
from standage.railway.stock.coupled import coupled
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.extents import Extent, lacking, to_name
from standage.railway.stock.vehicles import Vehicle
from standage.railway.storing.allotment import allot
from standage.railway.storing.fill import (
    CROWDED_UP_TO,
    WORKS_UP_TO,
    Fill,
    fill,
    held,
    together,
)
from standage.railway.storing.roads import NO_STORAGE, gap_of, storage_of
from standage.railway.terms.figures import (
    IdOrName,
    Room,
    listed,
    says,
)
from standage.railway.terms.reasons import Reason, told
from standage.registry.records.reading import Listing
from standage.shapes.faults import Fault, Ruled, all_of

MOST_IN_ALL = 200
"""So many of the club's trains are looked at."""


class RoadAsFilled(Ruled, frozen=True, kw_only=True):
    """A road and the trains that stand in it."""

    road: Annotated[AskedPlace, says("The road, inline or on record.")]
    trains: Annotated[
        tuple[AskedNamedTrain, ...],
        msgspec.Meta(max_length=MOST_TRAINS),
        says("The trains in it, nose to tail."),
    ] = ()


class FillRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """Roads with the trains that stand in them."""

    roads: Annotated[
        Annotated[
            tuple[RoadAsFilled, ...], msgspec.Meta(min_length=1, max_length=MOST_ROADS)
        ],
        says("Every road of the yard or the layout, the empty ones too."),
    ]
    gap_mm: Annotated[
        Room | None, says("Left between two trains in one road, in mm; 25 if not said.")
    ] = None
    vehicle: Annotated[
        AskedVehicle | None,
        says("One vehicle of a type: how many of it the roads hold is told too."),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """No road is named twice, and no more trains than can be looked at."""
        yield from repeated(
            (one.road.place_id for one in self.roads), "/roads", "road/place_id"
        )
        many = sum(len(one.trains) for one in self.roads)
        if many > MOST_IN_ALL:
            message = (
                f"holds {many} trains, but at most {MOST_IN_ALL} are looked at together"
            )
            yield Fault(code="too_many", message=message, pointer="/roads")
        if self.vehicle is not None and self.vehicle.count != 1:
            message = "must be 1: how many there may be is the answer"
            yield Fault(code="contradiction", message=message, pointer="/vehicle/count")


class LayoutFillQuery(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True
):
    """What is left between trains, and a type of vehicle."""

    gap_mm: Annotated[
        Room | None, says("Left between two trains in one road, in mm; 25 if not said.")
    ] = None
    vehicle_id: Annotated[
        IdOrName | None, says("A vehicle on record: how many of it the roads hold.")
    ] = None


class FillCase(MayBeExact, frozen=True, kw_only=True):
    """All that the answer rests on. ``road_of`` gives the road of each train; None:
    they are to be allotted.
    """

    roads: tuple[NamedPlace, ...]
    trains: tuple[NamedTrain, ...]
    road_of: tuple[int, ...] | None = None
    gap_mm: float | None = None
    types: tuple[CouplingKind, ...] = ()
    cut: bool = False
    vehicle: Vehicle | None = None


def is_heavy(case: FillCase) -> bool:
    """Tell whether the trains have to be allotted first."""
    return case.road_of is None


@surveying
@warned
def reckon(case: FillCase) -> FillAnswer:
    """Return how full the roads of ``case`` are; trains that have no place yet are put
    where the fewest are left.
    """
    gap_mm, assumed_gap = gap_of(case.gap_mm)
    types = CouplingTypes(case.types)
    made_up = [coupled(one.train, types=types) for one in case.trains]
    extents = [one.pulled_out() for one in made_up]
    guesses = chain.from_iterable(one.guesses() for one in made_up)
    road_of = _road_of(case, gap_mm=gap_mm, types=types)
    fills: list[Fill] | None = None
    if road_of is not None:
        fills = [
            _fill(case, extents, road_of, road, gap_mm=gap_mm) for road in _roads(case)
        ]
    left = _left_over(case, road_of or ())
    whole = _whole(case, extents, gap_mm=gap_mm)
    row = None if case.vehicle is None else row_of(case.vehicle, types=types)
    counted = counted_in(row, case.roads)
    if fills is not None and not left:
        whole = together(fills)
    return FillAnswer(
        verdict=whole.verdict,
        roads=tuple(_told(case, road_of or (), fills or (), row)),
        yard=yard_fill(case.roads, fills or (), row),
        layout=how_full(whole, counted),
        left_over=left,
        works_up_to=WORKS_UP_TO,
        crowded_up_to=CROWDED_UP_TO,
        holds=counted.holds,
        works_with=counted.works_with,
        crowded_from=counted.crowded_from,
        because=(
            *over_full(case.roads, fills or ()),
            *_because(case, extents, whole, left=left, fills=fills),
            *of_the_vehicle(row, counted, roads=len(case.roads)),
        ),
        assumed=(
            *told((*guesses, *(() if row is None else row.guesses))),
            *rounded(row),
            *assumed_gap,
            *assumed_of(map(_beside_its_length, case.roads)),
        ),
    )


def _left_over(case: FillCase, road_of: Sequence[int | None]) -> tuple[str, ...]:
    left = [train for train, road in enumerate(road_of) if road is None]
    return tuple(case.trains[train].name for train in left)


def _beside_its_length(one: NamedPlace) -> Allowance:
    """Return what a road gives with no more assumed than its plan does: neither a
    margin nor a ± counts here.
    """
    given = allowance(one.place, known_by=one.known_by, stopping_margin_mm=None)
    return msgspec.structs.replace(given, assumed=told_beside(one.known_by))


def _roads(case: FillCase) -> range:
    return range(len(case.roads))


def _road_of(
    case: FillCase, *, gap_mm: float, types: CouplingTypes
) -> Sequence[int | None] | None:
    """Return the road of each train: as it was said, else as the fewest are left over;
    None where that is too much.
    """
    if case.road_of is not None:
        return case.road_of
    if len(case.trains) > MOST_TRAINS or len(case.roads) > MOST_ROADS:
        return None
    places = [one.place for one in case.roads]
    known_by = [one.known_by for one in case.roads]
    crosswise = Crosswise(
        [one.train for one in case.trains], places, known_by=known_by, types=types
    )
    return allot(
        storage_of(
            crosswise,
            trains=len(case.trains),
            gap_mm=gap_mm,
            keep_empty=0,
        )
    ).road_of


def _fill(
    case: FillCase,
    extents: Sequence[Extent],
    road_of: Sequence[int | None],
    road: int,
    *,
    gap_mm: float,
) -> Fill:
    inside = [extents[train] for train, its in enumerate(road_of) if its == road]
    taken = held(inside, gap_mm=gap_mm)
    usable_mm = case.roads[road].place.usable_length_mm
    return fill(taken, usable_mm=usable_mm)


def _whole(case: FillCase, extents: Sequence[Extent], *, gap_mm: float) -> Fill:
    """Return how full all roads together would be with every train; so many gaps as
    there must be at the least.
    """
    gaps = max(0, len(extents) - len(case.roads))
    without_gaps = held(extents, gap_mm=0.0)
    known_mm = without_gaps.known_mm + gaps * gap_mm
    taken = msgspec.structs.replace(without_gaps, known_mm=known_mm)
    return fill(taken, usable_mm=_all_roads_mm(case))


def _all_roads_mm(case: FillCase) -> float | None:
    """Return what all roads have together; None where one was not measured."""
    lengths_mm = [one.place.usable_length_mm for one in case.roads]
    known_mm = [length_mm for length_mm in lengths_mm if length_mm is not None]
    if len(known_mm) < len(lengths_mm):
        return None
    return sum(known_mm)


def _told(
    case: FillCase,
    road_of: Sequence[int | None],
    fills: Sequence[Fill],
    row: Row | None,
) -> Iterator[RoadFill]:
    for road, (one, full) in enumerate(zip(case.roads, fills, strict=False)):
        inside = [train for train, its in enumerate(road_of) if its == road]
        names = [case.trains[train].name for train in inside]
        filled = how_full(full, counted_in(row, [one]))
        yield RoadFill(
            **msgspec.structs.asdict(filled),
            road=one.name,
            place_id=one.id,
            trains=tuple(names),
        )


def _because(
    case: FillCase,
    extents: Sequence[Extent],
    whole: Fill,
    *,
    left: Sequence[str],
    fills: Sequence[Fill] | None,
) -> Iterator[Reason]:
    if left:
        yield Reason(
            code="left_over",
            message=(
                f"for {listed(left)} no road is certain to be left beside the others"
            ),
        )
    yield from lacking(missing for extent in extents for missing in extent.missing)
    if whole.verdict == "cannot_tell":
        yield from to_name(unsaid for extent in extents for unsaid in extent.unsaid)
    for one in case.roads:
        if one.place.usable_length_mm is None:
            given = allowance(one.place, known_by=one.known_by, stopping_margin_mm=None)
            measure = f"measure the usable length of {called(one.place)}"
            message = given.unknown or measure
            yield Reason(
                code="missing_figure",
                message=message,
                place=one.name,
                field="usable_length_mm",
            )
    if fills is None:
        message = (
            f"more than {MOST_TRAINS} trains or {MOST_ROADS} roads are not put into"
            " roads one by one"
        )
        yield Reason(code="too_many_to_allot", message=message)
    if case.cut:
        message = f"only the first {MOST_IN_ALL} trains by name were looked at"
        yield Reason(code="trains_cut_short", message=message)
    yield in_all(whole)


@as_written
def gather(sources: Sources, request: FillRequest) -> FillCase:
    """Return the case that a request makes; every id is looked up at once."""
    places = [f"/roads/{road}/road" for road in range(len(request.roads))]
    each = [
        (road, train, f"/roads/{road}/trains/{number}")
        for road, one in enumerate(request.roads)
        for number, train in enumerate(one.trains)
    ]
    roads, trains, vehicle = all_of(
        lambda: sources.places.several([one.road for one in request.roads], places),
        lambda: sources.trains.several(
            [train for _, train, _ in each], [pointer for _, _, pointer in each]
        ),
        lambda: _vehicle(sources, request.vehicle),
    )
    return FillCase(
        roads=roads,
        trains=trains,
        road_of=tuple(road for road, _, _ in each),
        gap_mm=request.gap_mm,
        types=sources.couplings.types(),
        vehicle=vehicle,
    )


def _vehicle(sources: Sources, asked: AskedVehicle | None) -> Vehicle | None:
    if asked is None:
        return None
    return sources.trains.vehicle(asked, "/vehicle")


def gather_layout(
    sources: Sources, ids: Mapping[str, str], query: LayoutFillQuery
) -> FillCase:
    """Return the case of all the club's trains in all roads of a layout in which trains
    are put away.
    """
    layout = sources.places.layout_at(ids["layout_id"])
    found = sources.trains.listed(Listing(limit=MOST_IN_ALL + 1))
    vehicle = None
    if query.vehicle_id is not None:
        asked = {"vehicle_id": query.vehicle_id}
        vehicle = sources.trains.vehicles_asked(asked)[0].vehicle
    return FillCase(
        roads=tuple(one for one in layout.places if _for_trains(one.place)),
        trains=tuple(named for _, named in found[:MOST_IN_ALL]),
        gap_mm=query.gap_mm,
        types=sources.couplings.types(),
        cut=len(found) > MOST_IN_ALL,
        vehicle=vehicle,
    )


def _for_trains(place: Place) -> bool:
    return place.kind not in NO_STORAGE and place.kind != "headshunt"


_ENGINE_AND_VANS = {"name": "Engine and van", "vehicles": [ENGINE, MILK_VANS]}
QUESTION = Question(
    id="checkFill",
    at="/v1/checks/fill",
    asks="How full are these roads?",
    tells=(
        "Each road with the trains that stand in it, the fiddle yard, and all of it:"
        " against half, at which a yard works, and four-fifths."
    ),
    request=FillRequest,
    answer=FillAnswer,
    gather=gather,
    reckon=reckon,
    heavy=or_a_plan(),
    most_bytes=PLAN_BYTES,
    example={
        "roads": [{"road": DAIRY_LOOP, "trains": [_ENGINE_AND_VANS]}, {"road": SIDING}]
    },
    refused={"roads": []},
    warns=Shows("unit", "usable_length_mm", {"roads": [{"road": SHORT_SIDING}]}),
    others=(
        OnRecord(
            id="getLayoutFill",
            at="/v1/layouts/{layout_id}/fill",
            asks="How full is this layout with all our trains?",
            tells=(
                "All trains on record are put into its roads, the fewest left over;"
                " each road, the fiddle yard and the layout against half and"
                " four-fifths."
            ),
            parameters=LayoutFillQuery,
            answer=FillAnswer,
            gather=gather_layout,
            reckon=reckon,
            heavy=or_a_plan(is_heavy),
            example={},
            warns=Shows("unit", "usable_length_mm", recorded=SHORT_ON_RECORD),
        ),
    ),
)
