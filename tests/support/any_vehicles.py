"""Vehicles of which anything may be known, and anything not."""

from typing import TypeVar

from hypothesis import strategies as st
from msgspec import structs

from standage.railway.stock.couplings import Coupling
from standage.railway.stock.vehicles import Body, Trial, Vehicle
from standage.shapes.faults import broken_rules


def maybe(figure: st.SearchStrategy[float]) -> st.SearchStrategy[float | None]:
    return st.none() | figure


couplings = st.none() | st.builds(
    Coupling,
    reach_mm=maybe(st.floats(-2, 8)),
    mounting=st.sampled_from([None, "body", "bogie", "guided"]),
)
shape = {
    "width_mm": maybe(st.floats(15, 60)),
    "front_overhang_mm": maybe(st.floats(-5, 80)),
    "rear_overhang_mm": maybe(st.floats(-5, 80)),
    "body_length_mm": maybe(st.floats(40, 300)),
}
wheels: st.SearchStrategy[dict[str, float]] = st.one_of(
    st.just({}),
    st.fixed_dictionaries(
        {"bogie_centres_mm": st.floats(20, 250)},
        optional={"bogie_wheelbase_mm": st.floats(5, 60)},
    ),
    st.fixed_dictionaries(
        {"rigid_wheelbase_mm": st.floats(20, 250)},
        optional={"rigid_axles": st.integers(2, 6)},
    ),
)


R = TypeVar("R", Vehicle, Body)


def on_wheels(found: tuple[R, dict[str, float]]) -> R:
    return structs.replace(found[0], **found[1])


body = st.builds(
    Body,
    length_mm=st.floats(40, 300),
    gap_to_next_mm=maybe(st.floats(0, 10)),
    shares_bogie_with_next=st.booleans(),
    **shape,
)
several = st.none() | st.lists(
    st.tuples(body, wheels).map(on_wheels),
    min_size=2,
    max_size=3,
).map(tuple)
trials = st.none() | st.builds(
    Trial,
    ran_at_radius_mm=maybe(st.floats(100, 900)),
    failed_at_radius_mm=maybe(st.floats(100, 900)),
)
vehicle = st.builds(
    Vehicle,
    name=st.just("Vehicle"),
    kind=st.sampled_from(
        [None, "engine", "coach", "wagon", "brake_van", "railcar", "other"]
    ),
    scale=st.sampled_from([None, "N", "H0", "00", "0"]),
    length_mm=maybe(st.floats(40, 330)),
    length_over=st.sampled_from(["buffers", "couplings"]),
    full_size_length_m=maybe(st.floats(5, 27)),
    minimum_radius_mm=maybe(st.floats(100, 900)),
    trial=trials,
    front_coupling=couplings,
    rear_coupling=couplings,
    **shape,
)


def sound(found: Vehicle) -> bool:
    return not list(broken_rules(found))


of_one_body = st.tuples(vehicle, wheels).map(on_wheels).filter(sound)
vehicles = (
    st.tuples(of_one_body, several)
    .map(lambda found: structs.replace(found[0], bodies=found[1]))
    .filter(sound)
)
