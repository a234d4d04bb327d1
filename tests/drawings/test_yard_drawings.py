"""Drawings of yards: true to length, every wagon named, nothing but black, white and
one grey.
"""

import re
from xml.etree import ElementTree as ET

import pytest
from msgspec import structs

from standage.drawings.shunting_sheets import (
    PAGE_HEIGHT_MM,
    Par,
    card,
    plan_drawing,
    plan_pages,
    start_drawing,
)
from standage.railway.shunting.plans import plan
from standage.railway.shunting.yard import Puzzle, Wagon, YardGoal, YardStart
from support.yard_puzzles import three_sidings, train_of_five, yard

SVG = "{http://www.w3.org/2000/svg}"
LENGTHS_MM = {"Tank": 70.0, "Van": 96.0, "Coal <1> & co": 140.0}
PUZZLE = Puzzle(
    engine_length_mm=140,
    yard=yard(300, {"Goods": 400, "Dock": 180}, {("Goods", "Dock"): 380}),
    wagons=tuple(
        Wagon(name=name, length_mm=length_mm) for name, length_mm in LENGTHS_MM.items()
    ),
    start=YardStart(sidings=(("Coal <1> & co",), ("Tank", "Van"))),
    goal=YardGoal(siding="Goods", train=("Van", "Coal <1> & co"), rest="one_siding"),
)
FIVE = train_of_five("HDBFA", three_sidings(headshunt_wagons=3))


def words(drawing: str) -> list[str]:
    return [element.text or "" for element in ET.fromstring(drawing).iter(f"{SVG}text")]  # noqa: S314 - our own text


def boxes(drawing: str) -> list[ET.Element]:
    """Return the wagons' boxes, the paper left out."""
    root = ET.fromstring(drawing)  # noqa: S314 - our own text
    return [box for box in root.iter(f"{SVG}rect") if box.get("stroke")]


def test_wagons_are_drawn_true_to_length() -> None:
    widths_mm = [
        float(box.get("width", 0)) + 0.8 for box in boxes(start_drawing(PUZZLE))
    ]  # 0.4 is left at each end
    scales = [
        width / length
        for width, length in zip(widths_mm, (140.0, 70.0, 96.0), strict=True)
    ]
    assert scales == pytest.approx([scales[0]] * 3, rel=1e-3)
    assert scales[0] == pytest.approx(
        (190 - 16) / (300 + 400), rel=1e-3
    )  # headshunt and longest siding side by side


def test_every_wagon_the_engine_and_every_road_with_its_length_are_named() -> None:
    assert {
        *LENGTHS_MM,
        "engine",
        "Goods: 400 mm",
        "Dock: 180 mm",
        "headshunt: 300 mm",
    } <= set(words(start_drawing(PUZZLE)))


def test_each_step_of_a_plan_is_drawn_with_what_is_done_in_it() -> None:
    visits = plan(PUZZLE).visits or ()
    heads = [
        line
        for line in words(plan_drawing(PUZZLE, visits))
        if re.match(r"\d+\. ", line)
    ]
    assert len(heads) == len(visits) > 0
    assert heads[0].startswith(f"1. {visits[0].siding}: pick up ")
    assert len(boxes(plan_drawing(PUZZLE, visits))) == len(LENGTHS_MM) * (
        len(visits) + 1
    )


def test_wagons_of_the_train_are_told_from_the_others_without_colour() -> None:
    drawing = start_drawing(FIVE)
    assert (
        sorted(box.get("fill", "") for box in boxes(drawing))
        == ["#d4d4d4"] * 5 + ["white"] * 3
    )
    assert set(re.findall(r'(?:fill|stroke)="([^"]*)"', drawing)) == {
        "black",
        "white",
        "#d4d4d4",
    }


def test_names_too_long_for_their_wagons_become_numbers_with_a_key() -> None:
    names = [
        f"The wagon numbered {number} of the old collection" for number in range(12)
    ]
    puzzle = structs.replace(
        PUZZLE,
        wagons=tuple(Wagon(name=name, length_mm=30) for name in names),
        start=YardStart(sidings=(tuple(names[:8]), tuple(names[8:]))),
        goal=YardGoal(siding="Dock", train=tuple(names[3:5])),
    )
    drawn = words(card(puzzle))
    assert {str(number) for number in range(1, 13)} <= set(drawn)
    key = " ".join(drawn)
    assert all(f"{number} {name} 30 mm" in key for number, name in enumerate(names, 1))


def test_a_card_tells_the_train_the_rules_and_the_par() -> None:
    said = words(card(PUZZLE, par=Par(fewest="6 visits", difficulty="easy", seed=41)))
    assert said[0] == "Make up this train of 2 in Goods"
    assert "Par: 6 visits · easy · puzzle number 41" in said
    assert any("Straight from Goods to Dock or back" in line for line in said)
    assert any("in one siding" in line for line in said)
    assert len(boxes(card(PUZZLE))) == len(LENGTHS_MM) + 2


def test_pages_hold_every_step_once_and_are_no_higher_than_paper() -> None:
    visits = plan(FIVE).visits or ()
    pages = plan_pages(FIVE, visits)
    heads = [
        line for page in pages for line in words(page) if re.match(r"\d+\. ", line)
    ]
    assert [int(head.split(".")[0]) for head in heads] == list(
        range(1, len(visits) + 1)
    )
    for page in pages:
        root = ET.fromstring(page)  # noqa: S314 - our own text
        assert root.get("height") == f"{PAGE_HEIGHT_MM:.2f}mm"
        lowest = max(float(line.get("y", 0)) for line in root.iter(f"{SVG}text"))
        assert lowest < PAGE_HEIGHT_MM - 10


def test_a_goal_of_every_sidings_contents_is_drawn_siding_by_siding() -> None:
    puzzle = structs.replace(
        PUZZLE, goal=YardGoal(sidings=(("Van", "Tank"), ("Coal <1> & co",)))
    )
    said = words(card(puzzle))
    assert said[0] == "Bring every wagon to its place"
    assert {"Goods, from the points:", "Dock, from the points:"} <= set(said)


def test_a_string_too_long_for_the_headshunt_is_drawn_across_the_points() -> None:
    visits = plan(PUZZLE).visits or ()
    root = ET.fromstring(plan_drawing(PUZZLE, visits))  # noqa: S314 - our own text
    points_mm = 300 * (190 - 16) / 700
    engines = [
        [
            tuple(map(float, corner.split(",")))
            for corner in (polygon.get("points") or "").split()
        ]
        for polygon in root.iter(f"{SVG}polygon")
    ]
    assert all(min(x for x, _ in corners) >= -0.01 for corners in engines)
    assert all(max(x for x, _ in corners) <= points_mm + 0.01 for corners in engines)
