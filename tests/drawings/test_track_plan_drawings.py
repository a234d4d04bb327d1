"""Drawings of track plans: true to scale, with every name where nothing else stands,
and what is wrong beside its piece.
"""

import re
from collections.abc import Callable
from itertools import pairwise
from math import radians, sin
from xml.etree import ElementTree as ET

import pytest

from standage.drawings.plans.content import content
from standage.drawings.plans.looks import Look
from standage.drawings.plans.plan_sheets import plan_sheet
from standage.drawings.plans.sheets import PaperName
from standage.railway.track.survey.survey import Survey, survey
from support.plans_to_draw import (
    ALL,
    HOSTILE_NAMES,
    at_random,
    balloon,
    faulty,
    many_pieces,
    modules,
    shed,
    yard,
)
from support.sheets import (
    SVG,
    off_the_paper,
    overlapping,
    path_length_mm,
    read,
    said,
    words,
)
from support.track_plans import (
    Document,
    curve,
    ladder,
    oval,
    passing_loop,
    read_plan,
    straight,
)

PLAIN = Look()
LINES = Look(track="centre_lines")
PAPERS: tuple[PaperName, ...] = ("a4", "letter", "phone")


def surveyed(document: Document) -> Survey:
    return survey(read_plan({"scale": "00", **document}))


def sheet(document: Document, look: Look = PLAIN) -> ET.Element:
    return read(plan_sheet(surveyed(document), look).written())


def scale_of(drawing: ET.Element) -> float:
    (shown,) = [one for one in words(drawing) if "1 : " in one]
    return float(shown.rpartition(" ")[2])


def test_track_is_as_long_on_paper_as_the_scale_says() -> None:
    drawing = sheet({"pieces": {"S": straight(1000.0)}, "joins": []}, LINES)
    track = next(iter(drawing.iter(f"{SVG}path")))
    steps = re.findall(r"[ML]([-\d.]+) ([-\d.]+)", track.get("d") or "")
    one, other = [complex(float(x_mm), float(y_mm)) for x_mm, y_mm in steps]
    assert abs(other - one) * scale_of(drawing) == pytest.approx(1000.0, abs=0.1)


def test_a_curve_is_an_arc_of_its_own_radius() -> None:
    drawing = sheet({"pieces": {"C": curve(600.0, 60.0)}, "joins": []}, LINES)
    track = next(iter(drawing.iter(f"{SVG}path")))
    (radius_mm,) = re.findall(r"A([\d.]+) ", track.get("d") or "")
    assert float(radius_mm) * scale_of(drawing) == pytest.approx(600.0, abs=0.01)


def test_rails_lie_the_gauge_apart() -> None:
    drawing = sheet({"pieces": {"S": straight(400.0)}, "joins": []})
    track = next(iter(drawing.iter(f"{SVG}path")))
    heights = {
        float(y) for y in re.findall(r"[ML][-\d.]+ ([-\d.]+)", track.get("d", ""))
    }
    apart_mm = max(heights) - min(heights)
    assert apart_mm * scale_of(drawing) == pytest.approx(16.5, abs=0.05)


def test_the_grey_band_is_the_usable_length() -> None:
    found = surveyed(passing_loop())
    usable_mm = sum(one.usable_length_mm or 0.0 for one in found.usable)
    drawing = sheet(passing_loop())
    drawn_mm = path_length_mm(drawing, "#d4d4d4") * scale_of(drawing)
    assert drawn_mm == pytest.approx(usable_mm, abs=1.0)


def test_the_grey_band_is_not_drawn_over_a_gap() -> None:
    plan = oval()
    plan["pieces"]["S2"] = straight(900.0)
    (road,) = content(surveyed(plan)).roads
    steps_mm = [abs(two - one) for line in road.usable for one, two in pairwise(line)]
    assert len(road.usable) == 2
    assert max(steps_mm) == pytest.approx(900.0)


def test_the_bar_is_as_long_as_it_says() -> None:
    drawing = sheet(passing_loop())
    boxes = [one for one in drawing.iter(f"{SVG}rect") if one.get("height") == "1.6"]
    long_mm = sum(float(one.get("width", 0)) for one in boxes) * scale_of(drawing)
    (shown,) = [one for one in words(drawing) if one == f"{long_mm:.0f} mm"]
    assert shown


def test_every_set_of_points_and_every_road_is_named() -> None:
    shown = words(sheet(ladder(roads=4)))
    assert {"P1", "P2", "P3", "P4"} <= set(shown)
    for number in range(1, 5):
        assert any(f"siding S{number}: " in one for one in shown)


def test_points_are_marked_at_their_blades() -> None:
    (first, _) = content(surveyed(passing_loop())).points
    assert (first.name, first.place) == ("P1", 530 + 0j)


def test_the_mark_joins_the_two_fouling_points() -> None:
    found = surveyed(passing_loop())
    marks_mm = [abs(one - two) for one, two in content(found).marks]
    assert marks_mm == pytest.approx(
        [one.mark_length_mm for one in found.points], abs=0.001
    )


def test_a_crossing_has_a_mark_to_either_side() -> None:
    """Roads that cross at 25° come 45 mm near each other 45 ÷ sin 25° from where they
    cross; the mark between two such places is the base of a triangle.
    """
    figures = {"angle_deg": 25.0, "a_mm": [90.0, 90.0], "b_mm": [90.0, 90.0]}
    ends = ("a1", "a2", "b1", "b2")
    pieces: Document = {end.upper(): straight(500.0) for end in ends}
    pieces["X"] = {"kind": "diamond", **figures}
    joins = [[f"{end.upper()}.a", f"X.{end}"] for end in ends]
    found = surveyed({"pieces": pieces, "joins": joins, "fouling_spacing_mm": 45.0})
    crossing = next(one.place for one in content(found).points if one.name == "X")
    marks = content(found).marks
    assert len(marks) == 2
    off_mm = 45 / sin(radians(25.0))
    base_mm = 2 * off_mm * sin(radians(12.5))
    for one, two in marks:
        assert abs(two - one) == pytest.approx(base_mm, abs=0.01)
        assert abs(one - crossing) == pytest.approx(off_mm, abs=0.01)
        assert abs(two - crossing) == pytest.approx(off_mm, abs=0.01)
    assert abs(sum(marks[0]) / 2 - sum(marks[1]) / 2) > off_mm


def test_three_way_points_have_a_mark_on_either_side_of_the_middle() -> None:
    three_way = {
        "kind": "three_way",
        "first_hand": "left",
        "lead_in_mm": 20.0,
        "first_radius_mm": 600.0,
        "first_angle_deg": 12.0,
        "second_after_mm": 40.0,
        "second_radius_mm": 600.0,
        "second_angle_deg": 12.0,
        "left_straight_mm": 30.0,
        "middle_after_blades_mm": 220.0,
        "right_straight_mm": 30.0,
    }
    pieces: Document = {name: straight(500.0) for name in ("l", "m", "r")}
    pieces["Y"] = three_way
    legs = (("left", "l"), ("middle", "m"), ("right", "r"))
    joins = [[f"Y.{leg}", f"{name}.a"] for leg, name in legs]
    placed = [{"piece": "Y", "x_mm": 0, "y_mm": 0, "heading_deg": 0}]
    found = surveyed({"pieces": pieces, "joins": joins, "placed": placed})
    marks = content(found).marks
    heights = sorted((one.imag + two.imag) / 2 for one, two in marks)
    assert len(marks) == 2
    assert heights[0] < 0 < heights[1]


def test_names_do_not_stand_on_the_edges_of_boards() -> None:
    """The board ends 24 mm above the track, just where a name would stand."""
    pieces: Document = {"A": straight(900.0), "B": straight(900.0)}
    board = {"outline": [[0, -400], [1800, -400], [1800, 24], [0, 24]]}
    document: Document = {"pieces": pieces, "joins": [["A.b", "B.a"]], "board": board}
    pages = plan_sheet(surveyed(document), PLAIN)
    drawing = read(pages.written())
    (edge,) = drawing.iter(f"{SVG}polygon")
    corners = [pair.split(",") for pair in (edge.get("points") or "").split()]
    edge_mm = min(float(y_mm) for _, y_mm in corners) + pages.paper.margin_mm
    name = next(one for one in said(drawing) if "running line" in one.text)
    assert not name.top_mm < edge_mm < name.foot_mm


def test_a_gap_is_ringed_with_its_millimetres() -> None:
    assert "gap 20 mm" in words(sheet(faulty()))


def test_a_fault_stands_beside_its_piece_and_in_a_list() -> None:
    shown = words(sheet(faulty()))
    assert "Faults" in shown
    assert any("there is no piece Q" in one for one in shown)
    numbers = [one for one in shown if re.fullmatch(r"fault \d", one)]
    assert numbers


def test_faults_that_are_not_listed_are_counted_beneath_the_list() -> None:
    joins = [["S.a", f"T{number}.a"] for number in range(237)]
    document: Document = {"pieces": {"S": straight(500.0)}, "joins": joins}
    pages = plan_sheet(surveyed(document), PLAIN)
    shown = [
        text
        for page in range(1, pages.count + 1)
        for text in words(read(pages.written(page)))
    ]
    assert "and 37 more, which are not listed: mend these first" in shown
    assert not any(text.startswith("201") for text in shown)


def test_track_of_a_piece_with_a_fault_is_broken() -> None:
    drawing = sheet(faulty())
    assert [one for one in drawing.iter(f"{SVG}path") if one.get("stroke-dasharray")]


def test_a_fault_in_a_module_is_marked_at_the_module_s_piece() -> None:
    plan = modules()
    plan["modules"]["bay"]["plan"]["joins"] = [["A.b", "Q.a"]]
    found = surveyed(plan)
    places = [one.place for one in content(found).wrong if one.place is not None]
    spot = found.placed.spot(("bay/A", "a"))
    assert spot is not None
    assert [abs(place - spot.point) for place in places] == pytest.approx([400.0])


def test_pieces_without_a_place_are_listed() -> None:
    plan = passing_loop()
    plan["pieces"]["T"] = {"kind": "track", "length_mm": 300.0}
    shown = words(sheet(plan))
    assert "Not drawn" in shown
    assert any(one.startswith("T: its shape is not known") for one in shown)


def test_open_ends_fittings_and_decks_are_found() -> None:
    shown = content(surveyed(yard()))
    assert len(shown.open_ends) == 2
    assert len(shown.signs) == 6
    assert content(surveyed(shed())).decks[0].radius_mm == 152.5


def test_a_fitting_on_the_left_looks_the_way_positions_count() -> None:
    plan = {
        "pieces": {"S": straight(400.0)},
        "joins": [],
        "fittings": [{"kind": "feed", "piece": "S", "at_mm": 100.0, "rails": "left"}],
    }
    (sign,) = content(surveyed(plan)).signs
    assert (sign.spot.point, sign.spot.direction) == (100 + 0j, 1 + 0j)


def test_a_joint_of_modules_lies_across_their_tracks() -> None:
    found = surveyed(modules())
    first, _ = content(found).joints
    assert first.name == "west | corner"
    assert sum(first.outline) / 2 == pytest.approx(800 + 0j)
    assert (first.outline[0] - first.outline[1]).real == pytest.approx(0.0)


def test_the_title_block_says_what_is_given_and_no_more() -> None:
    shown = words(sheet(yard(), Look(revision="7", dated="1 May")))
    assert {"Quay yard", "revision", "7", "date", "1 May", "00"} <= set(shown)
    assert {"revision", "date"}.isdisjoint(words(sheet(yard())))


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("made", ALL.values(), ids=ALL)
def test_no_text_stands_over_another_or_off_the_paper(
    made: Callable[[], Document], paper: PaperName
) -> None:
    drawing = sheet(made(), Look(paper=paper, revision="12", dated="30 November"))
    assert overlapping(drawing) == []
    assert off_the_paper(drawing) == []


@pytest.mark.parametrize("seed", range(15))
def test_no_text_stands_over_another_on_plans_at_random(seed: int) -> None:
    look = Look(paper=PAPERS[seed % 3], track="sleepered")
    drawing = sheet(at_random(seed), look)
    assert overlapping(drawing) == []
    assert off_the_paper(drawing) == []


def test_texts_that_do_overlap_would_be_seen() -> None:
    drawing = sheet(yard())
    one, other = list(drawing.iter(f"{SVG}text"))[:2]
    for name in ("x", "y"):
        other.set(name, one.get(name) or "")
    assert overlapping(drawing) == [(one.text, other.text)]


def test_a_drawing_says_in_words_what_it_shows() -> None:
    drawing = sheet(passing_loop())
    (description,) = drawing.iter(f"{SVG}desc")
    assert drawing.get("role") == "img"
    assert "2 sets of points" in (description.text or "")


@pytest.mark.parametrize("name", HOSTILE_NAMES)
def test_odd_names_are_text_and_stay_in_their_room(name: str) -> None:
    drawing = sheet({"pieces": {name.replace(".", ""): straight(300.0)}, "name": name})
    assert overlapping(drawing) == []
    assert off_the_paper(drawing) == []
    assert {one.tag.removeprefix(SVG) for one in drawing.iter()} <= {
        *("svg", "title", "desc", "style", "rect", "g", "path", "line"),
        *("circle", "polyline", "polygon", "text"),
    }


def test_a_name_from_right_to_left_does_not_turn_its_length_about() -> None:
    name = HOSTILE_NAMES[2]
    drawing = sheet({"pieces": {name: straight(300.0)}})
    shown = words(drawing)
    assert f"1 \u2068running line {name}\u2069: 300 mm" in shown


def test_a_name_that_is_cut_is_whole_in_its_title() -> None:
    name = "W" * 80
    drawing = sheet({"pieces": {"S": straight(300.0)}, "name": name})
    whole = [
        title.text
        for text in drawing.iter(f"{SVG}text")
        for title in text.iter(f"{SVG}title")
    ]
    assert name in whole


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_paper_says_its_size_to_the_browser(paper: PaperName) -> None:
    drawing = sheet(balloon(), Look(paper=paper))
    (style,) = drawing.iter(f"{SVG}style")
    width, height = drawing.get("width"), drawing.get("height")
    plain = [f"{float((one or '').removesuffix('mm')):g}mm" for one in (width, height)]
    assert style.text == f"@page{{size:{' '.join(plain)};margin:0}}"


def test_what_is_longer_than_it_is_wide_goes_down_a_phone() -> None:
    drawing = sheet(yard(), Look(paper="phone"))
    places = {one.text: one for one in said(drawing)}
    assert places["P6"].top_mm - places["P1"].top_mm > 30
    assert min(float(one.get("font-size", 0)) for one in drawing.iter(f"{SVG}text")) > 4


def test_lists_that_find_no_room_go_on_more_pages() -> None:
    pages = plan_sheet(surveyed(many_pieces(600)), PLAIN)
    assert pages.count > 1
    drawing = read(pages.written(2))
    assert any(one.endswith(f"page 2 of {pages.count}") for one in words(drawing))
    assert overlapping(drawing) == []


def test_a_very_large_plan_is_drawn_in_few_bytes() -> None:
    """A quarter of the largest plan in less than a quarter of the bytes."""
    drawing = plan_sheet(surveyed(many_pieces(5_000)), PLAIN).written()
    assert len(drawing) < 1_000_000


def test_a_plan_of_nothing_says_so() -> None:
    shown = words(sheet({"pieces": {}, "joins": [], "name": "Dock <1> & co"}))
    assert "Dock <1> & co" in shown
    assert "Nothing of this plan has a place that could be drawn." in shown
