"""Polarity drawn on the plan: which track is grey, where the rings stand, what is said."""

from collections.abc import Callable
from math import pi, radians
from typing import Any

import pytest

from standage.drawings.paper import GREY
from standage.drawings.plans.sheets import PaperName
from standage.questions.drawing_cases import OnSheet
from standage.questions.plan_drawing import PaperQuery
from standage.questions.polarity import PolarityRequest, gather
from standage.questions.polarity_answer import CAUTIONS
from standage.questions.polarity_drawing import polarity_sheet
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from support.plans_to_draw import balloon, measured, yard
from support.sheets import SVG, off_the_paper, overlapping, path_length_mm, read, words
from support.track_plans import Document, curve, oval


def sheet(plan: Document, look: PaperQuery | None = None, **asked: Any) -> str:
    request = convert({"plan": {"scale": "00", **plan}, **asked}, PolarityRequest)
    case = gather(Sources(None, ""), request)
    return polarity_sheet(OnSheet(case=case, look=look or PaperQuery()))


def scale_of(drawing: str) -> float:
    (said,) = [one for one in words(read(drawing)) if one.startswith("1 : ")]
    return float(said.removeprefix("1 : "))


def rings(drawing: str) -> int:
    return sum(one.get("r") == "2.2" for one in read(drawing).iter(f"{SVG}circle"))


def test_an_oval_has_no_grey_since_it_brings_its_rails_back_as_they_were() -> None:
    assert path_length_mm(read(sheet(oval())), GREY) == 0


def test_all_arcs_of_a_balloon_are_grey_and_its_stem_is_not() -> None:
    drawing = sheet(balloon())
    grey_mm = path_length_mm(read(drawing), GREY) * scale_of(drawing)
    # Seven arcs of 30° at 450 mm; what is fitted and the points' legs come besides.
    arcs_mm = 7 * radians(30.0) * 450.0
    assert arcs_mm < grey_mm
    with_a_longer_stem = balloon()
    with_a_longer_stem["pieces"]["W"]["length_mm"] = 900.0
    drawing = sheet(with_a_longer_stem)
    longer_mm = path_length_mm(read(drawing), GREY) * scale_of(drawing)
    assert longer_mm == pytest.approx(grey_mm, rel=2e-3)


def test_an_arc_of_the_balloon_more_is_as_much_more_grey() -> None:
    grey_mm = []
    for radius_mm in (450.0, 460.0):
        plan = balloon()
        plan["pieces"]["C4"] = curve(radius_mm, 30.0)
        plan["pieces"].pop("F")
        plan["pieces"]["F"] = {"kind": "track", "length_mm": 1.0}
        plan["slack_mm"], plan["slack_deg"] = 100, 100
        drawing = sheet(plan)
        grey_mm.append(path_length_mm(read(drawing), GREY) * scale_of(drawing))
    assert grey_mm[1] - grey_mm[0] == pytest.approx(10.0 * pi / 6, abs=0.3)


def test_every_join_of_the_smallest_set_has_a_ring_and_a_line_that_says_where() -> None:
    drawing = sheet(balloon(), bridging_mm=[400], smallest_for_mm=[500])
    said = words(read(drawing))
    assert rings(drawing) == 2
    assert {"gap 1", "gap 2"} <= {*said}
    assert sum("both rails where" in one for one in said) == 2


def test_without_a_length_to_search_for_no_ring_is_drawn() -> None:
    assert rings(sheet(balloon())) == 0


def test_the_cautions_stand_on_the_sheet() -> None:
    said = " ".join(words(read(sheet(balloon()))))
    for caution in CAUTIONS:
        assert all(word in said for word in caution.split())


def test_a_measured_plan_has_its_gaps_along_its_roads_and_no_scale_where_nothing_is() -> (
    None
):
    plan: Document = {
        "pieces": {
            "W": {"kind": "track", "length_mm": 800.0},
            "P": {"kind": "points", "toe_mm": 40, "through_mm": 190, "branch_mm": 195},
            "R": {"kind": "track", "length_mm": 2600.0},
        },
        "joins": [["W.b", "P.toe"], ["P.through", "R.a"], ["R.b", "P.branch"]],
        "fittings": [{"kind": "gap", "piece": "R", "at_mm": 100.0}],
    }
    said = words(read(sheet(plan)))
    assert "1 P, R" in said or "1 R, P" in said
    assert sum(one.startswith("1 : ") for one in said) == 1
    # 190 mm of the through leg, and 100 mm along the track.
    assert "gap in the rails 290 mm" in said or "gap in the rails 2695 mm" in said


@pytest.mark.parametrize("paper", ["a4", "letter", "phone"])
@pytest.mark.parametrize("plan", [balloon, measured, yard, oval])
def test_no_words_stand_over_others_or_off_the_paper(
    paper: PaperName, plan: Callable[[], Document]
) -> None:
    drawing = sheet(plan(), PaperQuery(paper=paper), smallest_for_mm=[500])
    assert overlapping(read(drawing)) == []
    assert off_the_paper(read(drawing)) == []
