"""Gradient profiles: heights against length, each run with its per cent."""

from itertools import pairwise

import pytest

from standage.drawings.plans.gradient_profiles import profile_pages, profile_runs
from standage.drawings.plans.looks import Look
from standage.drawings.plans.roads_drawn import straight_roads
from standage.drawings.plans.sheets import PaperName
from standage.railway.track.survey.survey import Survey, survey
from support.plans_to_draw import climb
from support.sheets import SVG, off_the_paper, overlapping, read, words
from support.track_plans import Document, curve, read_plan, straight


def surveyed(document: Document) -> Survey:
    return survey(read_plan({"scale": "00", **document}))


def hill() -> Document:
    """Return a metre up by 20 mm, half a metre level, and a metre down by 30."""
    return {
        "pieces": {
            "A": straight(1000.0),
            "B": curve(600.0, 20.0),
            "C": straight(500.0),
            "D": straight(1000.0),
        },
        "joins": [["A.b", "B.a"], ["B.b", "C.a"], ["C.b", "D.b"]],
        "heights": [
            {"piece": "A", "at_mm": 0.0, "height_mm": 0.0},
            {"piece": "A", "at_mm": 1000.0, "height_mm": 20.0},
            {"piece": "C", "at_mm": 500.0, "height_mm": 20.0},
            {"piece": "D", "at_mm": 0.0, "height_mm": -10.0},
        ],
    }


def test_each_run_has_the_gradient_of_its_heights() -> None:
    found = surveyed(hill())
    (road,) = straight_roads(found)
    runs = profile_runs(found, road)
    assert sorted(run.percent for run in runs) == pytest.approx([0.0, 2.0, 3.0])
    assert [run.said for run in runs].count("level") == 1


def test_runs_follow_each_other_from_end_to_end() -> None:
    found = surveyed(hill())
    (road,) = straight_roads(found)
    runs = profile_runs(found, road)
    assert runs[0].start.along_mm == pytest.approx(0.0)
    assert runs[-1].end.along_mm == pytest.approx(road.length_mm)
    for one, two in pairwise(runs):
        assert one.end.along_mm == pytest.approx(two.start.along_mm)
        assert one.end.height_mm == pytest.approx(two.start.height_mm)


def test_a_vertical_curve_makes_the_run_between_steeper() -> None:
    """100 · h ÷ (run − (v₁ + v₂) ÷ 2): 180 mm over 24 pieces of 45° of 500 mm."""
    found = surveyed(climb())
    (road,) = straight_roads(found)
    length_mm = 100 + 24 * 500 * 0.7853981633974483
    steeper = 100 * 180 / (length_mm - 200)
    runs = profile_runs(found, road)
    assert any(run.percent == pytest.approx(steeper) for run in runs)


def drawn(document: Document, look: Look) -> list[str]:
    found = surveyed(document)
    (road,) = straight_roads(found)
    drawing = read(profile_pages(found, look, road).written())
    assert overlapping(drawing) == []
    assert off_the_paper(drawing) == []
    return words(drawing)


@pytest.mark.parametrize("paper", ["a4", "letter", "phone"])
@pytest.mark.parametrize("document", [hill(), climb()], ids=["hill", "climb"])
def test_the_steepest_is_said_and_how_heights_are_drawn(
    document: Document, paper: PaperName
) -> None:
    shown = drawn(document, Look(paper=paper))
    assert sum("steepest: " in text for text in shown) == 1
    assert "times as large as lengths" in " ".join(shown)


def test_heights_are_as_many_times_larger_as_it_says() -> None:
    found = surveyed(hill())
    (road,) = straight_roads(found)
    drawing = read(profile_pages(found, Look(), road).written())
    shown = words(drawing)
    (times,) = [text for text in shown if text.startswith("heights are drawn")]
    (scale,) = [text for text in shown if text.startswith("1 : ")]
    factor = float(times.split()[3]) / float(scale.split()[2])
    heavy = [
        one for one in drawing.iter(f"{SVG}line") if one.get("stroke-width") == "1.3"
    ]
    (steepest,) = heavy
    up_mm = abs(float(steepest.get("y1", 0)) - float(steepest.get("y2", 0)))
    assert up_mm == pytest.approx(30 * factor, abs=0.02)


def test_a_road_without_heights_says_what_to_give() -> None:
    shown = drawn({"pieces": {"S": straight(500.0)}, "joins": []}, Look())
    assert "No height is known on this road: give heights in the plan." in shown
