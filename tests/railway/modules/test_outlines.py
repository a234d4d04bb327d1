"""Outlines of boards: their area, and what is no outline at all."""

import pytest

from standage.railway.modules.outlines import area_mm2, outline_faults

L_SHAPE = [
    (0.0, 0.0),
    (1200.0, 0.0),
    (1200.0, 300.0),
    (300.0, 300.0),
    (300.0, 900.0),
    (0.0, 900.0),
]


def codes(outline: list[tuple[float, float]]) -> list[str]:
    return [fault.code for fault in outline_faults(outline)]


def test_the_area_of_an_angled_board_is_the_sum_of_its_two_arms() -> None:
    assert area_mm2(L_SHAPE) == 1200 * 300 + 300 * 600


def test_the_area_is_the_same_whichever_way_round_the_corners_go() -> None:
    assert area_mm2(L_SHAPE[::-1]) == area_mm2(L_SHAPE)


@pytest.mark.parametrize(
    "outline", [L_SHAPE, L_SHAPE[::-1], [(0.0, 0.0), (100.0, 0.0), (0.0, 50.0)]]
)
def test_a_sound_outline_has_no_fault(outline: list[tuple[float, float]]) -> None:
    assert codes(outline) == []


def test_a_corner_on_a_straight_edge_is_no_fault() -> None:
    assert codes([(0, 0), (50, 0), (100, 0), (100, 100), (0, 100)]) == []


def test_corners_in_one_line_hold_no_area() -> None:
    assert codes([(0, 0), (50, 50), (100, 100)]) == ["no_area"]


def test_a_bow_tie_of_equal_halves_holds_no_area() -> None:
    assert codes([(0, 0), (100, 100), (100, 0), (0, 100)]) == ["no_area"]


@pytest.mark.parametrize(
    ("outline", "edges"),
    [
        ([(0, 0), (100, 0), (100, 100), (40, -20), (0, 100)], (1, 3)),
        ([(0, 0), (100, 0), (100, 100), (50, 0), (0, 100)], (1, 3)),
        ([(0, 0), (100, 0), (100, 100), (100, 50), (0, 100)], (2, 3)),
    ],
    ids=["crosses", "touches", "runs back upon itself"],
)
def test_an_outline_that_meets_itself_names_the_first_two_edges(
    outline: list[tuple[float, float]], edges: tuple[int, int]
) -> None:
    (fault,) = outline_faults(outline)
    assert (fault.code, fault.pointer) == ("crosses_itself", "/outline")
    assert (
        fault.message
        == f"the edge after corner {edges[0]} runs into the edge after corner"
        f" {edges[1]}"
    )


def test_a_first_corner_repeated_at_the_end_is_a_fault_at_its_place() -> None:
    (fault,) = outline_faults([*L_SHAPE, L_SHAPE[0]])
    assert (fault.code, fault.pointer) == ("repeated", "/outline/6")
