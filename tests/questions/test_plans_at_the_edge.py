"""Every sort of piece with figures at the edge of what there are numbers for: answered,
or refused in words.
"""

from collections.abc import Iterator
from typing import Any

import pytest

from standage.questions import fouling_point, plan
from standage.questions.sources import Sources
from standage.railway.track.pieces.pieces import Piece
from standage.shapes.decoding import convert
from standage.shapes.refusals import Refusal

WHOLE: dict[str, dict[str, Any]] = {
    "straight": {"length_mm": 100},
    "curve": {"radius_mm": 400, "angle_deg": 30, "hand": "left"},
    "transition": {"length_mm": 200, "radius_to_mm": 500, "hand": "left"},
    "track": {"length_mm": 100, "minimum_radius_mm": 400},
    "flexible": {"segments": [{"kind": "straight", "length_mm": 100}]},
    "points": {
        "hand": "left",
        "lead_in_mm": 30,
        "radius_mm": 610,
        "angle_deg": 12,
        "through_after_blades_mm": 180,
        "branch_straight_mm": 95,
    },
    "y_points": {
        "lead_in_mm": 30,
        "radius_mm": 610,
        "angle_deg": 12,
        "left_straight_mm": 20,
        "right_straight_mm": 20,
    },
    "curved_points": {
        "hand": "left",
        "lead_in_mm": 30,
        "outer_radius_mm": 1000,
        "inner_radius_mm": 600,
        "outer_angle_deg": 12,
        "inner_angle_deg": 20,
    },
    "three_way": {
        "first_hand": "left",
        "lead_in_mm": 30,
        "first_radius_mm": 610,
        "first_angle_deg": 12,
        "second_after_mm": 60,
        "second_radius_mm": 610,
        "second_angle_deg": 12,
        "left_straight_mm": 20,
        "middle_after_blades_mm": 220,
        "right_straight_mm": 20,
    },
    "diamond": {"angle_deg": 20, "a_mm": [100, 100], "b_mm": [100, 100]},
    "single_slip": {"angle_deg": 12, "arm_mm": 50, "core_mm": 120},
    "double_slip": {"angle_deg": 12, "arm_mm": 50, "core_mm": 120},
    "turntable": {"deck_mm": 300, "roads": [0, 30]},
    "traverser": {"deck_mm": 300, "left": [0], "right": [0, 50]},
    "sector_plate": {"deck_mm": 300, "roads": [0, 10]},
    "cassette": {"length_mm": 300},
    "buffer_stop": {"length_mm": 20},
    "open_end": {"beyond_mm": 100},
    "trap": {},
}
AT_THE_EDGE = (5e-324, 1e-300, 1e-9, 0, 0.1, 179.9, 1_000_000, 1e308)


def kinds(parent: type[Piece] = Piece) -> Iterator[str]:
    for kind in parent.__subclasses__():
        if kind.__subclasses__():
            yield from kinds(kind)
        else:
            yield str(kind.__struct_config__.tag)


def edged(kind: str) -> Iterator[dict[str, Any]]:
    """Yield pieces of a kind with one figure, or all of them, at the edge."""
    whole = {"kind": kind, **WHOLE[kind]}
    figures = [name for name, value in whole.items() if isinstance(value, int)]
    for value in AT_THE_EDGE:
        yield whole | dict.fromkeys(figures, value)
        yield from (whole | {name: value} for name in figures)


def test_every_sort_of_piece_is_tried() -> None:
    assert set(kinds()) == set(WHOLE)


@pytest.mark.parametrize("kind", WHOLE)
def test_a_piece_with_figures_at_the_edge_is_answered_or_refused(kind: str) -> None:
    answers = 0
    sources = Sources(None, "")
    for piece in [{"kind": kind, **WHOLE[kind]}, *edged(kind)]:
        body = {"plan": {"scale": "00", "pieces": {"X": piece}, "joins": []}}
        try:
            asked = convert(body, plan.PlanRequest)
            pointed = convert(body | {"points": "X"}, fouling_point.FoulingPointRequest)
            plan.reckon(plan.gather(sources, asked))
            answers += 1
            fouling_point.reckon(fouling_point.gather(sources, pointed))
        except Refusal:
            continue
    assert answers > 0
