"""Of a club's stock only what swings out most is kept, and nothing is lost by that."""

from math import isclose

from hypothesis import given
from hypothesis import strategies as st

from standage.questions.resolving.largest_stock import largest_of
from standage.railway.stock.vehicles import Vehicle
from standage.railway.track.fouling.spacings import LargestStock, Throw, throw_mm

BOTH: tuple[Throw, ...] = ("end", "centre")


@st.composite
def coaches(draw: st.DrawFn) -> Vehicle:
    pivots_mm = draw(st.integers(40, 250))
    return Vehicle(
        name="Coach",
        kind="coach",
        scale=draw(st.sampled_from(["00", None])),
        length_mm=pivots_mm + draw(st.integers(40, 120)),
        length_over="buffers",
        width_mm=draw(st.integers(25, 40)),
        bogie_centres_mm=pivots_mm,
        bogie_wheelbase_mm=30,
    )


def size(vehicle: Vehicle) -> LargestStock:
    assert vehicle.length_mm is not None
    assert vehicle.bogie_centres_mm is not None
    assert vehicle.width_mm is not None
    return LargestStock(
        length_mm=vehicle.length_mm,
        pivots_mm=vehicle.bogie_centres_mm,
        width_mm=vehicle.width_mm,
    )


def most_mm(stock: list[LargestStock], which: Throw, radius_mm: float) -> float:
    return max(throw_mm(one, which, radius_mm=radius_mm) for one in stock)


@given(st.lists(coaches(), min_size=1, max_size=12), st.floats(260, 3000))
def test_no_vehicle_that_was_left_out_swings_out_more(
    stock: list[Vehicle], radius_mm: float
) -> None:
    kept = list(largest_of(stock, "00", ()))
    everything = [size(one) for one in stock]
    assert 1 <= len(kept) <= len(everything)
    for which in BOTH:
        wanted_mm = most_mm(everything, which, radius_mm)
        assert isclose(most_mm(kept, which, radius_mm), wanted_mm, abs_tol=1e-9)


def test_a_club_without_stock_has_no_largest() -> None:
    assert list(largest_of([], "00", ())) == []


def test_of_like_coaches_one_is_kept() -> None:
    coach = Vehicle(
        name="Coach",
        kind="coach",
        length_mm=258,
        length_over="buffers",
        width_mm=36,
        bogie_centres_mm=186,
        bogie_wheelbase_mm=34,
    )
    assert list(largest_of([coach] * 50, "00", ())) == [
        LargestStock(length_mm=258.0, pivots_mm=186.0, width_mm=36.0)
    ]
