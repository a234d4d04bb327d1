"""Any train and any place, as hypothesis finds them, and what a train comes to by a
second, plainer definition.
"""

from collections.abc import Sequence
from itertools import combinations
from typing import Any, get_args

from hypothesis import strategies as st
from msgspec import structs

from standage.railway.roads.places import Place, PlaceKind
from standage.railway.stock.couplings import Coupling
from standage.railway.stock.trains import MeasuredRake, Train
from standage.railway.stock.vehicles import EndsOver, Standing, VehicleKind
from support.stock import ask


def quarters(least: float, most: float) -> st.SearchStrategy[float]:
    """Return figures in quarters of a millimetre, which binary fractions hold
    exactly.
    """
    return st.integers(round(least * 4), round(most * 4)).map(lambda number: number / 4)


def maybe(figure: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.none() | figure


def _may_touch(coupling: Coupling) -> Coupling:
    """Return a coupling whose reach may be 0 by its ±, so that no two vehicles stand
    inside each other for certain.
    """
    off_mm = max(coupling.reach_plus_minus_mm or 0.0, -(coupling.reach_mm or 0.0))
    return structs.replace(coupling, reach_plus_minus_mm=off_mm)


known_couplings = st.builds(
    Coupling,
    reach_mm=quarters(-2, 8),
    reach_plus_minus_mm=quarters(0, 1),
    projection_mm=maybe(quarters(0, 9)),
    play_mm=maybe(quarters(0, 3)),
    type=st.sampled_from([None, "loop", "loop", "screw"]),
).map(_may_touch)
any_couplings = (
    st.none()
    | known_couplings
    | st.builds(Coupling, projection_mm=maybe(quarters(0, 9)))
)
kinds: st.SearchStrategy[VehicleKind | None] = st.sampled_from(
    [None, "engine", "coach", "wagon", "brake_van"]
)

known_vehicles = st.builds(
    Standing,
    name=st.sampled_from([f"V{number}" for number in range(50)]),
    kind=kinds,
    length_mm=quarters(20, 300),
    length_over=st.sampled_from(["buffers", "couplings"]),
    length_plus_minus_mm=quarters(0, 2),
    front_coupling=known_couplings,
    rear_coupling=known_couplings,
    reversed=st.booleans(),
    count=st.integers(1, 3),
)
any_vehicles = st.builds(
    Standing,
    name=st.sampled_from(["A", "B", "C"]),
    kind=kinds,
    scale=st.sampled_from([None, "N", "00", "H0", "HO"]),
    length_mm=maybe(quarters(20, 300)),
    length_over=st.sampled_from(["buffers", "couplings"]),
    length_from=st.sampled_from([None, "measured", "scaled"]),
    full_size_length_m=maybe(st.floats(5, 30)),
    height_mm=maybe(quarters(20, 80)),
    wheels=st.sampled_from([None, "fine", "coarse"]),
    minimum_radius_mm=maybe(quarters(200, 600)),
    total_wheelbase_mm=maybe(quarters(5, 20)),
    first_axle_mm=maybe(quarters(0, 15)),
    bridging_axles_mm=maybe(st.lists(quarters(0, 20), max_size=3).map(tuple)),
    front_coupling=any_couplings,
    rear_coupling=any_couplings,
    reversed=st.booleans(),
    count=st.integers(1, 3),
)
any_places = st.builds(
    Place,
    kind=st.sampled_from(get_args(PlaceKind)),
    usable_length_mm=maybe(quarters(0, 1500)),
    plus_minus_mm=maybe(quarters(0, 5)),
    face_length_mm=maybe(quarters(100, 900)),
    clear_circle_mm=maybe(quarters(100, 1500)),
    scale=st.sampled_from([None, "N", "00", "H0"]),
    wheels=st.sampled_from([None, "fine"]),
    minimum_radius_mm=maybe(quarters(250, 600)),
    headroom_mm=maybe(quarters(30, 80)),
    steepest_gradient_percent=maybe(st.floats(0, 4)),
    stopped_by=st.sampled_from([None, "eye", "stops"]),
    stopping_margin_mm=maybe(quarters(0, 50)),
)


@st.composite
def trains(
    draw: st.DrawFn,
    vehicles: st.SearchStrategy[Standing] = known_vehicles,
    most: int = 6,
) -> Train:
    """Return a train of up to ``most`` entries, some of which may have been measured as
    rakes.
    """
    entries = draw(st.lists(vehicles, min_size=1, max_size=most))
    rakes, first = [], 1
    while first <= len(entries):
        last = draw(st.integers(first, len(entries)))
        if draw(st.booleans()):
            over: EndsOver = draw(st.sampled_from(get_args(EndsOver)))
            length_mm, plus_minus_mm = (
                draw(quarters(20, 600)),
                draw(maybe(quarters(0, 2))),
            )
            rakes.append(
                MeasuredRake(
                    first=first,
                    last=last,
                    length_mm=length_mm,
                    length_over=over,
                    length_plus_minus_mm=plus_minus_mm,
                )
            )
        first = last + 1
    return Train(vehicles=tuple(entries), measured_rakes=tuple(rakes))


def turned(train: Train) -> Train:
    """Return the same train seen from its tail."""
    entries = len(train.vehicles)
    rakes = tuple(
        structs.replace(
            rake, first=entries + 1 - rake.last, last=entries + 1 - rake.first
        )
        for rake in reversed(train.measured_rakes)
    )
    vehicles = tuple(
        structs.replace(each, reversed=not each.reversed)
        for each in reversed(train.vehicles)
    )
    return Train(vehicles=vehicles, measured_rakes=rakes)


def laid_along_a_ruler(train: Train) -> tuple[float, float]:
    """Return the length pulled out and its ±, by laying the train along a ruler and
    reading off both tips.

    A second definition, which knows known figures only: each piece is a box between two
    faces with a stub at each end.
    """
    boxes: list[tuple[float, float, Coupling, Coupling]] = []
    nothing = Coupling(reach_mm=0.0, projection_mm=0.0)
    position = 1
    while position <= len(train.vehicles):
        rake = next(
            (one for one in train.measured_rakes if one.first == position), None
        )
        first = train.vehicles[position - 1]
        last = first if rake is None else train.vehicles[rake.last - 1]
        measured: Any = first if rake is None else rake
        stubs = [
            (first.rear_coupling if first.reversed else first.front_coupling)
            or nothing,
            (last.front_coupling if last.reversed else last.rear_coupling) or nothing,
        ]
        if measured.length_over == "couplings":
            stubs = [nothing, nothing]
        plus_minus_mm = (
            0.5
            if measured.length_plus_minus_mm is None
            else measured.length_plus_minus_mm
        )
        boxes += [(measured.length_mm, plus_minus_mm, *stubs)] * (
            first.count if rake is None else 1
        )
        position = position + 1 if rake is None else rake.last + 1
    reading, off_mm = 0.0, 0.0
    for number, (length_mm, plus_minus_mm, ahead, behind) in enumerate(boxes):
        for stub, free in ((ahead, number == 0), (behind, number == len(boxes) - 1)):
            reach_mm, reach_off_mm = (
                stub.reach_mm or 0.0,
                stub.reach_plus_minus_mm or 0.0,
            )
            if free and stub.projection_mm is not None:
                reach_mm, reach_off_mm = stub.projection_mm, 0.0
            elif free:
                reach_mm = max(0.0, reach_mm)
            reading, off_mm = reading + reach_mm, off_mm + reach_off_mm
        reading, off_mm = reading + length_mm, off_mm + plus_minus_mm
    return reading, off_mm


def best_left_off(train: Train, place: Place) -> tuple[int, float] | None:
    """Return how few must go, and the least spare that so few leave, by trying every
    train; None if none fits.
    """
    entries = [
        (number, each)
        for number, each in enumerate(train.vehicles, start=1)
        for _ in range(each.count)
    ]
    may_go = [
        index
        for index, (_, each) in enumerate(entries)
        if each.kind not in {"engine", "brake_van"}
    ]
    for fewest in range(len(may_go) + 1):
        spares = [
            answer.spare_mm
            for going in combinations(may_go, fewest)
            if len(entries) > fewest
            for answer in [_without(entries, train.measured_rakes, going, place)]
            if answer.verdict == "fits" and answer.spare_mm is not None
        ]
        if spares:
            return fewest, min(spares)
    return None


def _without(
    entries: Sequence[tuple[int, Standing]],
    rakes: Sequence[MeasuredRake],
    going: Sequence[int],
    place: Place,
) -> Any:
    stays = [
        (number, each)
        for index, (number, each) in enumerate(entries)
        if index not in going
    ]
    whole = []
    for rake in rakes:
        inside = [
            index
            for index, (number, _) in enumerate(entries)
            if rake.first <= number <= rake.last
        ]
        if not set(inside) & set(going):
            kept = [
                index
                for index, (number, _) in enumerate(stays, start=1)
                if rake.first <= number <= rake.last
            ]
            whole.append(structs.replace(rake, first=kept[0], last=kept[-1]))
    return ask(
        *(structs.replace(each, count=1) for _, each in stays),
        place=place,
        rakes=tuple(whole),
    )
