"""Trains and places as the allotment sees them, and whether what it proposes keeps all
the rules.
"""

from collections.abc import Iterator, Mapping, Sequence

from standage.railway.roads.allowances import Allowance, platform_face_mm
from standage.railway.roads.places import Place, PlaceKind
from standage.railway.standing.crosswise import Crosswise, Ground
from standage.railway.standing.spare import stand
from standage.railway.standing.suitability import suited
from standage.railway.stock.coupled import coupled
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.trains import Train
from standage.railway.storing.packing import Storage, StorageRoad, StoredTrain
from standage.railway.terms.figures import goes_into, millimetres
from standage.railway.terms.reasons import Assumed

NO_STORAGE: frozenset[PlaceKind] = frozenset({"turntable", "reversing_section"})
"""Places where no train is put away."""
ONE_ONLY: frozenset[PlaceKind] = frozenset({"cassette", "traverser", "sector_plate"})
"""Places that hold one train at a time; a platform with a face does so too."""
GAP_MM = 25.0
"""Left between two trains in one road, stopped by eye, where nothing else is said.
**Source** common practice.
"""


def holds_several(place: Place) -> bool:
    """Tell whether trains may stand nose to tail in a place. **Source** common
    practice.
    """
    if place.kind in ONE_ONLY:
        return False
    return platform_face_mm(place) is None


def gap_of(gap_mm: float | None) -> tuple[float, tuple[Assumed, ...]]:
    """Return the gap between two trains, and what is assumed of it where it was not
    said. In mm. **Source** common practice: 25 mm.
    """
    if gap_mm is not None:
        return gap_mm, ()
    message = (
        f"{millimetres(GAP_MM)} is left between two trains in one road, as trains are"
        " stopped by eye"
    )
    assumed = Assumed(
        field="gap_mm", message=message, source="common_practice", value_mm=GAP_MM
    )
    return GAP_MM, (assumed,)


def storage_of(
    crosswise: Crosswise, *, trains: int, gap_mm: float, keep_empty: int
) -> Storage:
    """Return the first ``trains`` of ``crosswise`` and all its places as roads.

    A train suits a road in which it stands for certain, unless it is known not to get
    there. Places where no train is put away stay empty besides the ``keep_empty`` that
    are to. Lengths in mm, the gap taken once a train and given once a road. **Source**
    derived.
    """
    roads: list[StorageRoad] = []
    for_trains: list[int] = []
    for road, ground in enumerate(crosswise.grounds):
        roads.append(_road(ground))
        if ground.place.kind not in NO_STORAGE:
            for_trains.append(road)
    stored: list[StoredTrain] = []
    for number in range(trains):
        length = crosswise.length(number)
        suits = [
            road for road in for_trains if crosswise.verdict(number, road) == "fits"
        ]
        train = StoredTrain(
            length_mm=length.known_mm,
            weight_mm=length.known_mm + length.plus_minus_mm,
            roads=frozenset(suits),
        )
        stored.append(train)
    never = len(roads) - len(for_trains)
    return Storage(
        trains=tuple(stored),
        roads=tuple(roads),
        gap_mm=gap_mm,
        keep_empty=keep_empty + never,
    )


def _road(ground: Ground) -> StorageRoad:
    room_mm = 0.0  # a road of which nothing is known takes no train
    if ground.given.room_mm is not None:
        room_mm = ground.given.room_mm - ground.given.plus_minus_mm
    return StorageRoad(
        room_mm=room_mm,
        several=holds_several(ground.place),
    )


def broken_rules(
    trains: Sequence[Train],
    roads: Sequence[tuple[Place, Allowance]],
    road_of: Mapping[int, int],
    *,
    gap_mm: float,
    keep_empty: int,
    types: CouplingTypes,
) -> Iterator[str]:
    """Yield every rule that an allotment breaks: each train stands, suits, and goes in
    beside the others.

    Written without the solver's reckoning: every train is coupled up afresh and stood
    in its road. **Source** derived.
    """
    inside: dict[int, list[Train]] = {}
    for number, road in road_of.items():
        if number not in range(len(trains)) or road not in range(len(roads)):
            yield f"there is no train {number} or no road {road}"
            return
        inside.setdefault(road, []).append(trains[number])
    for_trains = sum(place.kind not in NO_STORAGE for place, _ in roads)
    if len(inside) > max(0, for_trains - keep_empty):
        yield (
            f"{len(inside)} of {for_trains} roads are used, but {keep_empty} are to"
            " stay empty"
        )
    for road, standing in inside.items():
        place, given = roads[road]
        count = len(standing)
        if count > 1 and not holds_several(place):
            yield f"road {road} holds one train only, but {count} stand there"
        if place.kind in NO_STORAGE:
            yield f"road {road} is no place to put a train away"
        yield from _of_one_road(
            standing,
            place,
            given,
            gap_mm=gap_mm,
            types=types,
        )


def _of_one_road(
    inside: Sequence[Train],
    place: Place,
    given: Allowance,
    *,
    gap_mm: float,
    types: CouplingTypes,
) -> Iterator[str]:
    gaps_mm = gap_mm * (len(inside) - 1)
    asked_mm = gaps_mm + given.margin_mm + given.plus_minus_mm
    for train in inside:
        made_up = coupled(train, types=types)
        if stand(made_up, place, given).verdict != "fits":
            yield f"a train does not stand for certain in {given.place}"
        found = [suited(vehicle, place, types=types) for vehicle in train.vehicles]
        if any(vehicle.barred for vehicle in found):
            yield f"a train has a vehicle that does not get to {given.place}"
        pulled_out = made_up.pulled_out()
        asked_mm += pulled_out.known_mm + pulled_out.plus_minus_mm
    if given.usable_mm is None or not goes_into(asked_mm, room_mm=given.usable_mm):
        yield (
            f"{given.place} is {given.usable_mm} mm long, but its trains need"
            f" {asked_mm:.3f} mm"
        )
