"""Marks, ladders, crossovers and the roads of turntables as they are drawn: true to
scale, dimensioned with the figures of the answer, on paper that prints.
"""

import re
from math import isclose
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from standage.drawings.plans.sheets import PaperName
from standage.questions import (
    crossover_drawing,
    ladder_drawing,
    points_mark_drawing,
    turntable_roads_drawing,
)
from standage.questions.plan_drawing import PaperQuery
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from support.sheets import SVG, off_the_paper, overlapping, read, words
from support.walks import at_each

MARK = {"number": 6, "scale": "00", "spacing_mm": 45}
BACK = {"parallel_spacing_mm": 50, "curve_back_radius_mm": 914}
LADDER = {"roads": 5, "lead_counts": True, "spacing_mm": 50, "angle_deg": 30}
CROSSING = {"spacing_mm": 50, "angle_deg": 12, "gauge_mm": 16.5}
TABLE = {"rim_radius_mm": 150, "angle_deg": 30, "spacing_mm": 90}
PAPERS: list[PaperName] = ["a4", "letter", "phone"]
SIZES = {"a4": {210.0, 297.0}, "letter": {215.9, 279.4}}
_NUMBER = re.compile(r"-?[\d.]+")


def sheet(module: Any, body: dict[str, Any], paper: PaperName = "a4") -> str:
    drawing = module.DRAWING
    request = convert(body, drawing.request)
    case = drawing.gather(Sources(None, ""), request, PaperQuery(paper=paper))
    drawn: str = drawing.draw(case)
    return drawn


def one_in(drawing: str) -> float:
    (said,) = [
        one for one in words(read(drawing)) if re.fullmatch(r"[\d.]+ : [\d.]+", one)
    ]
    larger, smaller = said.split(" : ")
    return float(smaller) / float(larger)


def straights_mm(drawing: str) -> list[float]:
    """Return how long all dimensions with straight lines are, in mm of what is drawn."""
    found = []
    for one in read(drawing).iter(f"{SVG}path"):
        steps = one.get("d") or ""
        if one.get("class") == "dimension" and "A" not in steps:
            x0, y0, *_, x1, y1 = map(float, _NUMBER.findall(steps))
            found.append(abs(complex(x1 - x0, y1 - y0)) * one_in(drawing))
    return found


@at_each(
    "module, body, lengths_mm",
    [
        # Straight legs of a No. 6: 45 × (6 + 1/24), nose 99 mm out, mark 45.156 mm.
        (points_mark_drawing, MARK, [99, 271.875, 271.875, 172.875, 45.156]),
        # At 30 degrees a pitch is 100 mm along the ladder.
        (ladder_drawing, LADDER, [86.603, 100, 346.41, 400, 50]),
        # From crossing to crossing 235.232; the straight is 112.26 with R 610.
        (
            crossover_drawing,
            CROSSING | {"radius_mm": 610},
            [78.244, 235.232, 83.5, 112.26, 50],
        ),
        # 2 × 150 × sin 15° at the rim; 90 apart at 173.867, and at 180 from the line.
        (turntable_roads_drawing, TABLE, [150, 77.646, 173.867, 90, 180, 90]),
    ],
)
def test_dimensions_are_as_long_on_the_paper_as_they_say(
    module: Any, body: dict[str, Any], lengths_mm: list[float]
) -> None:
    drawing = sheet(module, body)
    drawn_mm = sorted(straights_mm(drawing))
    # A hundredth of a mm of paper at both ends.
    off_mm = 0.02 * one_in(drawing)
    assert len(drawn_mm) == len(lengths_mm)
    assert all(
        isclose(drawn, wanted, abs_tol=off_mm)
        for drawn, wanted in zip(drawn_mm, sorted(lengths_mm), strict=True)
    )
    said = words(read(drawing))
    for length_mm in lengths_mm:
        near = [one for one in said if re.fullmatch(r"[\d.]+ mm", one)]
        numbers = [float(one.removesuffix(" mm")) for one in near]
        assert any(abs(number - length_mm) <= 0.1 for number in numbers), length_mm


CASES: list[tuple[Any, dict[str, Any]]] = [
    (points_mark_drawing, MARK | BACK),
    (points_mark_drawing, MARK | BACK | {"standing_length_mm": 1200}),
    (
        points_mark_drawing,
        MARK | {"parallel_spacing_mm": 40, "curve_back_radius_mm": 914},
    ),
    (
        points_mark_drawing,
        MARK | {"parallel_spacing_mm": 46, "curve_back_radius_mm": 9000},
    ),
    (points_mark_drawing, MARK | {"parallel_spacing_mm": 50}),
    (
        points_mark_drawing,
        {
            "angle_deg": 53,
            "scale": "0",
            "near_rails_mm": 60,
            **BACK,
            "parallel_spacing_mm": 95,
        },
    ),
    (points_mark_drawing, {"number": 100, "gauge_mm": 1, "spacing_mm": 1e6}),
    (points_mark_drawing, {"angle_deg": 53, "gauge_mm": 0.001, "spacing_mm": 0.002}),
    (ladder_drawing, LADDER),
    (ladder_drawing, LADDER | {"roads": 1}),
    (ladder_drawing, LADDER | {"roads": 200, "lead_counts": False, "scale": "00"}),
    (ladder_drawing, LADDER | {"radius_mm": 5000, "points_length_mm": 500}),
    (ladder_drawing, LADDER | {"angle_deg": 0.5, "spacing_mm": 1e6, "radius_mm": 1e6}),
    (crossover_drawing, CROSSING),
    (crossover_drawing, CROSSING | {"spacing_mm": 17}),
    (crossover_drawing, CROSSING | {"radius_mm": 5000, "longest_vehicle_mm": 258}),
    (crossover_drawing, CROSSING | {"angle_deg": 0.5, "spacing_mm": 1e6}),
    (turntable_roads_drawing, TABLE | {"scale": "00"}),
    (turntable_roads_drawing, TABLE | {"angle_deg": 180}),
    (turntable_roads_drawing, TABLE | {"angle_deg": 0.1, "spacing_mm": 1e6}),
    (turntable_roads_drawing, {"rim_radius_mm": 150, "spacing_mm": 301}),
    (turntable_roads_drawing, {"rim_radius_mm": 1e-3, "spacing_mm": 1e-3}),
    (turntable_roads_drawing, {"rim_radius_mm": 1e6, "angle_deg": 90}),
    # Figures so small that what they divide is no number any more.
    (turntable_roads_drawing, {"rim_radius_mm": 5e-324, "angle_deg": 15}),
    (ladder_drawing, LADDER | {"radius_mm": 1e-310}),
    (crossover_drawing, CROSSING | {"gauge_mm": 5e-324, "radius_mm": 1e-5}),
    (points_mark_drawing, {"number": 6, "gauge_mm": 5e-324, "spacing_mm": 45}),
]


@at_each("module, body", CASES)
def test_words_stand_on_the_paper_and_not_over_each_other(
    module: Any, body: dict[str, Any]
) -> None:
    for paper in PAPERS:
        root = read(sheet(module, body, paper))
        assert off_the_paper(root) == []
        assert overlapping(root) == []


@at_each("module, body", CASES)
def test_a_sheet_is_of_the_paper_that_is_asked_for_and_says_so(
    module: Any, body: dict[str, Any]
) -> None:
    for paper, size in SIZES.items():
        drawing = sheet(module, body, paper)  # type: ignore[arg-type] # a name of one
        root = read(drawing)
        sides = [
            float((root.get(side) or "").removesuffix("mm"))
            for side in ("width", "height")
        ]
        assert set(sides) == size
        assert f"@page{{size:{sides[0]:g}mm {sides[1]:g}mm" in drawing
        assert "nan" not in drawing
        assert "inf" not in drawing.replace("information", "")


@at_each("module, body", CASES)
def test_the_reasons_of_the_answer_stand_beneath(
    module: Any, body: dict[str, Any]
) -> None:
    request = convert(body, module.DRAWING.request)
    said = " ".join(words(read(sheet(module, body))))
    told = module.reckon(request).because
    assert told
    for reason in told:
        # A sentence begins with a capital, and goes on from line to line.
        assert f"{reason.message[1:]}." in said


def test_small_figures_are_drawn_larger_than_they_are() -> None:
    drawing = sheet(points_mark_drawing, {"number": 4, "gauge_mm": 1, "spacing_mm": 2})
    assert one_in(drawing) < 1
    assert 2 * 4.0625 in [round(one, 3) for one in straights_mm(drawing)]


def test_a_mark_that_is_not_there_is_not_drawn() -> None:
    with_it, without = (
        sheet(points_mark_drawing, MARK | BACK | {"parallel_spacing_mm": spacing_mm})
        for spacing_mm in (50, 40)
    )
    heavy = [drawing.count('stroke-width="1"') for drawing in (with_it, without)]
    assert heavy == [1, 0]
    assert "never clear" in without.casefold()


@settings(max_examples=15)
@given(
    st.floats(0.6, 52),
    st.floats(18, 400),
    st.floats(18, 400),
    st.floats(9, 4000),
    st.sampled_from(PAPERS),
)
def test_any_figures_can_be_drawn(
    angle_deg: float,
    spacing_mm: float,
    other_mm: float,
    radius_mm: float,
    paper: PaperName,
) -> None:
    points = {"angle_deg": angle_deg, "spacing_mm": spacing_mm, "scale": "00"}
    back = {"parallel_spacing_mm": other_mm, "curve_back_radius_mm": radius_mm}
    ladder = {"roads": 4, "lead_counts": False, "radius_mm": radius_mm}
    table = {
        "rim_radius_mm": radius_mm,
        "spacing_mm": spacing_mm,
        "angle_deg": angle_deg,
    }
    for module, body in (
        (points_mark_drawing, points | back),
        (ladder_drawing, points | ladder),
        (crossover_drawing, points | {"radius_mm": radius_mm}),
        (turntable_roads_drawing, table),
    ):
        root = read(sheet(module, body, paper))
        assert off_the_paper(root) == []
        assert overlapping(root) == []
