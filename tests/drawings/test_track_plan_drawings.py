"""Drawings of track plans: true to scale, with every name, and what is wrong beneath."""

import itertools
from xml.etree import ElementTree as ET

import pytest

from standage.questions.plan import PlanCase
from standage.questions.plan_drawing import drawn, plan_sheet
from standage.railway.track.survey.survey import survey
from support.track_plans import (
    Document,
    ladder,
    oval,
    passing_loop,
    read_plan,
    straight,
)

SVG = "{http://www.w3.org/2000/svg}"


def sheet(document: Document) -> ET.Element:
    plan = read_plan({"scale": "00", **document})
    text = plan_sheet(PlanCase(plan=plan))
    return ET.fromstring(text)  # noqa: S314 - our own text


def words(drawing: ET.Element) -> list[str]:
    return [one.text or "" for one in drawing.iter(f"{SVG}text")]


def lengths(drawing: ET.Element, stroke: str) -> list[float]:
    """Return how long the lines of a colour are on the paper, in mm."""
    found = []
    for one in drawing.iter(f"{SVG}polyline"):
        if one.get("stroke") != stroke:
            continue
        pairs = [pair.split(",") for pair in (one.get("points") or "").split()]
        places = [complex(float(x), float(y)) for x, y in pairs]
        steps = itertools.pairwise(places)
        found.append(sum(abs(two - first) for first, two in steps))
    return found


def test_track_is_as_long_on_paper_as_the_scale_says() -> None:
    drawing = sheet({"pieces": {"S": straight(1000.0)}, "joins": []})
    assert "1 : 4" in words(drawing)
    assert lengths(drawing, "black") == [pytest.approx(250.0)]


def test_the_grey_band_is_the_usable_length() -> None:
    found = survey(read_plan({"scale": "00", **passing_loop()}))
    usable_mm = sorted(one.usable_length_mm or 0.0 for one in found.usable)
    assert "1 : 10" in words(sheet(passing_loop()))
    drawn_mm = [10 * one for one in lengths(sheet(passing_loop()), "#d4d4d4")]
    assert sorted(drawn_mm) == pytest.approx(usable_mm, abs=0.5)


def test_the_bar_is_as_long_as_it_says() -> None:
    drawing = sheet(passing_loop())
    boxes = [one for one in drawing.iter(f"{SVG}rect") if one.get("stroke")]
    assert "500 mm" in words(drawing)
    assert sum(float(one.get("width", 0)) for one in boxes) == pytest.approx(50.0)


def test_every_set_of_points_and_every_road_is_named() -> None:
    drawing = sheet(ladder(roads=4))
    said = words(drawing)
    assert {"P1", "P2", "P3", "P4"} <= set(said)
    for number in range(1, 5):
        assert any(f"siding S{number}: " in one for one in said)


def test_points_are_marked_at_their_blades() -> None:
    plan = drawn(survey(read_plan({"scale": "00", **passing_loop()})))
    assert next((one.name, one.place) for one in plan.points) == ("P1", 530 + 0j)


def test_the_mark_joins_the_two_fouling_points() -> None:
    found = survey(read_plan({"scale": "00", **passing_loop()}))
    marks_mm = [abs(one - two) for one, two in drawn(found).marks]
    assert marks_mm == pytest.approx([one.mark_length_mm for one in found.points])


def test_a_gap_is_ringed_and_told_beneath() -> None:
    plan = oval()
    plan["pieces"]["S2"] = straight(520.0)
    said = words(sheet(plan))
    assert "gap 20 mm" in said
    assert any("does not meet at C8.b and S1.a" in one for one in said)


def test_a_plan_with_faults_is_drawn_and_says_them() -> None:
    plan = passing_loop()
    plan["pieces"]["P1"] |= {"toe_mm": 30.0}
    plan["joins"].append(["M.a", "Q.b"])
    said = words(sheet(plan))
    assert any(one.startswith("wrong: there is no piece Q") for one in said)
    assert "P2" in said


def test_a_plan_without_shape_says_that_nothing_can_be_drawn() -> None:
    pieces = {"T": {"kind": "track", "length_mm": 300}}
    said = words(sheet({"pieces": pieces, "name": "Dock <1> & co"}))
    assert "Dock <1> & co" in said
    assert "Nothing of this plan has a place that could be drawn." in said
