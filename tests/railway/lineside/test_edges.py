"""Which of several vehicles reaches farthest, and how far apart an island's tracks are."""

from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from standage.railway.lineside.bodies_beside import BodyBeside, bodies_beside
from standage.railway.lineside.edges import Beside, reaches, track_centres_mm
from standage.railway.passing.gaps import spacing_needed_mm
from standage.railway.passing.passers import passing_stock
from standage.railway.stock.vehicles import Vehicle
from support.walks import at_each


def vehicle(name: str = "Coach", **figures: object) -> Vehicle:
    known: dict[str, object] = {
        "name": name,
        "length_mm": 258.0,
        "length_over": "buffers",
        "bogie_centres_mm": 186.0,
        "width_mm": 36.0,
    }
    return Vehicle(**(known | figures))  # type: ignore[arg-type] # figures by name, as a request gives them


def bodies(*vehicles: Vehicle, straight: bool = False) -> list[BodyBeside]:
    found: list[BodyBeside] = []
    for one in passing_stock(vehicles, scale="00"):
        found += bodies_beside(one, straight=straight)
    return found


@at_each("radius_mm, inside_mm, outside_mm", [(610, 26.13, 25.13), (914, 23.74, 23.19)])
def test_a_coach_s_edges_are_as_published(
    radius_mm: float, inside_mm: float, outside_mm: float
) -> None:
    """Coach 258, pivots 186, 36 wide, 1 mm margin: worked examples from outside."""
    found = reaches(bodies(vehicle()), Beside(radius_mm))
    assert found.inside.reach_mm + 1 == pytest.approx(inside_mm, abs=0.005)
    assert found.outside.reach_mm + 1 == pytest.approx(outside_mm, abs=0.005)


def test_the_part_that_reaches_farthest_is_named() -> None:
    long_nose = vehicle(
        "Engine", length_mm=200, bogie_centres_mm=80, front_overhang_mm=85
    )
    found = reaches(bodies(vehicle(), long_nose), Beside(500))
    inside, outside = found.inside, found.outside
    assert (inside.vehicle, inside.part) == ("Coach", "middle")
    assert (outside.vehicle, outside.part) == ("Engine", "front")
    swept = reaches(bodies(vehicle(), long_nose), Beside(500, 0.0))
    assert (swept.outside.vehicle, swept.outside.part) == ("Engine", "front")
    turned = vehicle("Engine", length_mm=200, bogie_centres_mm=80, rear_overhang_mm=85)
    swept = reaches(bodies(vehicle(), turned), Beside(500, 0.0))
    assert (swept.outside.vehicle, swept.outside.part) == ("Engine", "rear")


def test_on_straight_track_the_side_of_the_widest_counts_and_nothing_swings() -> None:
    wide = vehicle("Wide", width_mm=38, width_plus_minus_mm=1)
    found = reaches(bodies(vehicle(), wide, straight=True), Beside(inf))
    assert found.inside.reach_mm == found.outside.reach_mm == 19.5
    assert (found.inside.vehicle, found.outside.part) == ("Wide", "side")
    assert found.ends_mm == 0


@settings(max_examples=25)
@given(
    radius_mm=st.floats(250, 5000),
    between_mm=st.floats(1, 300),
    lengths_mm=st.lists(st.floats(60, 300), min_size=1, max_size=3),
)
def test_an_island_s_tracks_lie_as_far_apart_as_trains_with_its_width_between_them(
    radius_mm: float, between_mm: float, lengths_mm: list[float]
) -> None:
    """By passing's own inverse, which is solved and not closed in on."""
    of_lengths = [
        vehicle(f"{place}", length_mm=length_mm, bogie_centres_mm=0.7 * length_mm)
        for place, length_mm in enumerate(lengths_mm)
    ]
    known = bodies(*of_lengths)
    centres_mm = track_centres_mm(known, Beside(radius_mm), between_mm=between_mm)
    solved_mm = spacing_needed_mm(
        [body.passer for body in known], inner_radius_mm=radius_mm, margin_mm=between_mm
    )
    assert centres_mm == pytest.approx(solved_mm, abs=1e-4)


@settings(max_examples=12)
@given(
    radius_mm=st.floats(300, 900),
    ends_at_mm=st.floats(-150, 250),
    figures=st.lists(
        st.tuples(st.floats(80, 280), st.floats(0.3, 0.8), st.floats(28, 40)),
        min_size=2,
        max_size=5,
    ),
)
def test_what_is_not_swept_would_not_have_decided(
    radius_mm: float, ends_at_mm: float, figures: list[tuple[float, float, float]]
) -> None:
    known = bodies(
        *(
            vehicle(
                f"{place}",
                length_mm=length_mm,
                bogie_centres_mm=part * length_mm,
                width_mm=width_mm,
            )
            for place, (length_mm, part, width_mm) in enumerate(figures)
        )
    )
    beside = Beside(radius_mm, ends_at_mm)
    together = reaches(known, beside)
    alone = [reaches([body], beside) for body in known]
    assert together.inside.reach_mm == max(one.inside.reach_mm for one in alone)
    assert together.outside.reach_mm == max(one.outside.reach_mm for one in alone)
    assert together.ends_mm == max(one.ends_mm for one in alone)


@settings(max_examples=25)
@given(
    radius_mm=st.floats(150, 5000),
    easier_mm=st.floats(0, 5000),
    length_mm=st.floats(60, 290),
    ends_at_mm=st.none() | st.floats(-100, 200),
)
def test_an_easier_curve_never_asks_for_more(
    radius_mm: float, easier_mm: float, length_mm: float, ends_at_mm: float | None
) -> None:
    known = bodies(vehicle(length_mm=length_mm, bogie_centres_mm=0.7 * length_mm))
    sharp = reaches(known, Beside(radius_mm, ends_at_mm))
    easy = reaches(known, Beside(radius_mm + easier_mm, ends_at_mm))
    assert easy.inside.reach_mm <= sharp.inside.reach_mm + 1e-4
    assert easy.outside.reach_mm <= sharp.outside.reach_mm + 1e-4


@at_each("bogie_wheelbase_mm, radius_mm", [(200.0, 500.0), (20.0, 94.0)])
def test_wheels_that_nobody_has_count_as_on_the_curve(
    bogie_wheelbase_mm: float, radius_mm: float
) -> None:
    known = bodies(vehicle(bogie_wheelbase_mm=bogie_wheelbase_mm))
    swept = reaches(known, Beside(radius_mm, 0.0))
    assert swept == reaches(known, Beside(radius_mm))
