"""Where tracks lie at an end, how high they lie, the number of points, and a wire by
what it is called.
"""

from fractions import Fraction
from itertools import permutations
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standage.railway.modules.boards import ModuleFigures
from standage.railway.modules.shortfalls import Shortfall
from standage.railway.modules.standard_rules import Rules
from standage.railway.modules.standards import module_shortfalls
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty


def found(rule: dict[str, Any], **module: Any) -> list[Shortfall]:
    rules = convert([rule], Rules)
    return [
        shortfall
        for _, shortfall in module_shortfalls(rules, convert(module, ModuleFigures))
    ]


def end(*offsets_mm: float, name: str = "east", **about: Any) -> dict[str, Any]:
    tracks = [
        {"name": f"track {number}", "offset_mm": offset}
        for number, offset in enumerate(offsets_mm)
    ]
    return {"name": name, "tracks": tracks, **about}


DOUBLE = {"rule": "track_place", "offsets_mm": [-25, 25], "plus_minus_mm": 1}


def test_tracks_that_all_lie_fifty_millimetres_off_their_place_fail_each_by_itself() -> (
    None
):
    shortfalls = found(DOUBLE, ends=[end(25, 75), end(-25, 25, name="west")])
    assert [
        (one.code, one.end, one.value_mm, one.limit_mm, one.amount_mm)
        for one in shortfalls
    ] == [("track_off_place", "east", 75, 25, 49)]
    both = found(DOUBLE, ends=[end(76, 126)])
    assert [(one.verdict, one.amount_mm) for one in both] == [
        ("fails", 50),
        ("fails", 100),
    ]
    assert (
        both[0].message
        == "track 0 at east lies 51 mm too far right of its place; tracks lie at -25,"
        " +25 mm from the middle"
    )


@pytest.mark.parametrize("off_mm", [-1.0, -0.1, 0.0, 1.0])
def test_a_track_within_the_plus_minus_is_in_its_place(off_mm: float) -> None:
    assert found(DOUBLE, ends=[end(-25 + off_mm, 25 + off_mm)]) == []
    assert found(DOUBLE, ends=[end(25 + off_mm)]) == []


def test_two_tracks_never_share_a_place() -> None:
    (shortfall,) = found(DOUBLE | {"plus_minus_mm": 5}, ends=[end(22, 28)])
    assert (shortfall.code, shortfall.field) == ("track_off_place", "tracks")
    assert "both lie in one place" in shortfall.message


tenths = st.integers(-1500, 1500).map(lambda tenth: tenth / 10)


def seated(
    offsets_mm: list[float], places_mm: list[float], plus_minus_mm: float
) -> bool:
    """Tell whether each track finds a place of its own, trying every way to seat them,
    in exact fractions.
    """
    within = Fraction(str(plus_minus_mm))
    return any(
        all(
            abs(Fraction(str(offset)) - Fraction(str(place))) <= within
            for offset, place in zip(offsets_mm, seats, strict=True)
        )
        for seats in permutations(places_mm, len(offsets_mm))
    )


@given(
    st.lists(tenths, min_size=1, max_size=4, unique=True),
    st.lists(
        st.sampled_from([-120.0, -60.0, 0.0, 60.0, 120.0]),
        min_size=1,
        max_size=4,
        unique=True,
    ),
    st.integers(0, 290).map(lambda tenth: tenth / 10),
)
def test_tracks_are_in_their_places_where_some_way_to_seat_them_is(
    offsets_mm: list[float], places_mm: list[float], plus_minus_mm: float
) -> None:
    """The places lie apart by more than twice the ±, so that no track could take either
    of two.
    """
    rule = {
        "rule": "track_place",
        "offsets_mm": places_mm,
        "plus_minus_mm": plus_minus_mm,
    }
    assert (found(rule, ends=[end(*offsets_mm)]) == []) == seated(
        offsets_mm, places_mm, plus_minus_mm
    )


STEPS = {"rule": "height_steps", "height_mm": 1000, "step_mm": 20, "plus_minus_mm": 0.5}


@pytest.mark.parametrize(
    ("height_mm", "nearest_mm"),
    [
        (1000, None),
        (1020, None),
        (980.5, None),
        (1139.5, None),
        (1010, 1000),
        (1020.6, 1020),
        (999.4, 1000),
        (7, 0),
    ],
)
def test_a_height_is_joined_by_whole_steps_or_by_none(
    height_mm: float, nearest_mm: float | None
) -> None:
    shortfalls = found(STEPS, ends=[end(0, rail_height_mm=height_mm)])
    if nearest_mm is None:
        assert shortfalls == []
    else:
        assert [(one.code, one.limit_mm) for one in shortfalls] == [
            ("height_between_steps", nearest_mm)
        ]
        assert shortfalls[0].amount_mm == pytest.approx(
            abs(height_mm - nearest_mm) - 0.5
        )


@given(
    st.integers(1, 20000),
    st.integers(1, 20000),
    st.integers(1, 500),
    st.integers(0, 200),
)
def test_heights_in_tenths_are_judged_as_counting_the_steps_up_and_down_does(
    height: int, base: int, step: int, plus_minus: int
) -> None:
    if 2 * plus_minus >= step:
        return
    rule = {
        "rule": "height_steps",
        "height_mm": base / 10,
        "step_mm": step / 10,
        "plus_minus_mm": plus_minus / 10,
    }
    off = (height - base) % step
    joined = min(off, step - off) <= plus_minus
    assert (found(rule, ends=[end(0, rail_height_mm=height / 10)]) == []) == joined


def test_a_height_that_nobody_measured_is_asked_for() -> None:
    (shortfall,) = found(STEPS, ends=[end(0)])
    assert (shortfall.verdict, shortfall.field, shortfall.end) == (
        "cannot_tell",
        "rail_height_mm",
        "east",
    )
    assert [one.field for one in found(STEPS)] == ["ends"]
    assert [one.field for one in found(DOUBLE)] == ["ends"]


@pytest.mark.parametrize(
    ("rule", "code", "pointer"),
    [
        (STEPS | {"plus_minus_mm": 10}, "contradiction", "/0/plus_minus_mm"),
        (DOUBLE | {"offsets_mm": [5, 5]}, "repeated", "/0/offsets_mm"),
        (DOUBLE | {"offsets_mm": []}, "too_few", "/0/offsets_mm"),
    ],
)
def test_a_rule_that_cannot_be_kept_or_broken_is_refused(
    rule: dict[str, Any], code: str, pointer: str
) -> None:
    with pytest.raises(Faulty) as refused:
        convert([rule], Rules)
    assert [(fault.code, fault.pointer) for fault in refused.value.faults] == [
        (code, pointer)
    ]


POINTS = {"rule": "least_points_number", "number": 6}


@pytest.mark.parametrize(
    ("number", "codes"),
    [(6, []), (8, []), (5.9, ["points_too_sharp"]), (4, ["points_too_sharp"])],
)
def test_points_of_too_small_a_number_fail(number: float, codes: list[str]) -> None:
    shortfalls = found(POINTS, least_points_number=number)
    assert [one.code for one in shortfalls] == codes
    assert [(one.value_number, one.limit_number) for one in shortfalls] == [
        (number, 6)
    ] * len(codes)


def test_a_module_says_its_own_number_or_that_it_has_no_points() -> None:
    assert [(one.verdict, one.field) for one in found(POINTS)] == [
        ("cannot_tell", "least_points_number")
    ]
    assert found(POINTS, no_points=True) == []
    with pytest.raises(Faulty) as refused:
        convert({"no_points": True, "least_points_number": 6}, ModuleFigures)
    assert [fault.pointer for fault in refused.value.faults] == ["/least_points_number"]


def test_a_number_of_points_may_be_asked_on_one_class_of_line_only() -> None:
    on_main = POINTS | {"class_of_line": "main"}
    assert found(on_main, least_points_number=4, class_of_line="yard") == []
    assert [
        one.verdict
        for one in found(on_main, least_points_number=4, class_of_line="main")
    ] == ["fails"]
    assert [one.field for one in found(on_main, least_points_number=4)] == [
        "class_of_line"
    ]


def wired(area_mm2: float, **module: Any) -> list[tuple[str, str]]:
    return [
        (one.verdict, one.field)
        for one in found({"rule": "wire_area", "area_mm2": area_mm2}, **module)
    ]


def test_a_wire_is_judged_by_its_gauge_where_nobody_gives_its_area() -> None:
    """22 AWG is 0.326 mm², 22 SWG 0.028 in across, 0.397 mm²; 16/0.2 is sixteen of 0.2
    mm, 0.503 mm².
    """
    assert wired(0.35, wire="22 AWG") == [("fails", "wire_area_mm2")]
    assert wired(0.35, wire="22 SWG") == []
    assert wired(0.35, wire="22 gauge") == [("cannot_tell", "wire")]
    assert wired(0.3, wire="22 gauge") == []
    assert wired(0.5, wire="22 gauge") == [("fails", "wire_area_mm2")]
    assert wired(0.5, wire="16/0.2 mm") == []
    assert wired(0.51, wire="16/0.2 mm") == [("fails", "wire_area_mm2")]
    assert wired(0.5, wire="some old wire") == [("cannot_tell", "wire_area_mm2")]
    assert wired(0.5, wire="22 AWG", wire_area_mm2=0.5) == []
