"""Roads straightened as strips: true to length, with what lies along them."""

import pytest

from standage.drawings.plans.looks import Look
from standage.drawings.plans.plan_sheets import plan_sheet
from standage.drawings.plans.road_strips import Strips, strip_pages
from standage.drawings.plans.roads_drawn import (
    StraightRoad,
    road_names,
    straight_road,
    straight_roads,
)
from standage.drawings.plans.sheets import PaperName
from standage.drawings.plans.train_stands import (
    OnTheRoad,
    StoodTrain,
    StoodVehicle,
)
from standage.railway.track.survey.survey import Survey, survey
from support.plans_to_draw import at_random, faulty, measured, yard
from support.sheets import SVG, off_the_paper, overlapping, read, words
from support.track_plans import Document, passing_loop, read_plan


def surveyed(document: Document) -> Survey:
    return survey(read_plan({"scale": "00", **document}))


def road(found: Survey, name: str) -> StraightRoad:
    one = straight_road(found, name)
    assert one is not None
    return one


def widths(drawing: str, height: str) -> list[float]:
    """Return how wide the boxes of a height are."""
    boxes = read(drawing).iter(f"{SVG}rect")
    return [float(one.get("width", 0)) for one in boxes if one.get("height") == height]


def test_the_grey_is_the_usable_length_to_scale() -> None:
    found = surveyed(passing_loop(main_mm=1000.0))
    one = road(found, "loop M")
    drawing = strip_pages(found, Look(), Strips(roads=(one,), one_in=5.0)).written()
    assert one.usable_mm is not None
    assert widths(drawing, "2.4") == pytest.approx([one.usable_mm / 5], abs=0.02)


def test_at_1_to_1_rows_are_as_long_as_the_road() -> None:
    found = surveyed(passing_loop(main_mm=1000.0))
    one = road(found, "loop M")
    drawing = strip_pages(found, Look(), Strips(roads=(one,), one_in=1.0)).written()
    assert one.usable_mm is not None
    assert sum(widths(drawing, "2.4")) == pytest.approx(one.usable_mm, abs=0.1)
    assert any("strip 1 of " in text for text in words(read(drawing)))


def test_a_road_s_limits_are_where_the_plan_has_them() -> None:
    found = surveyed(passing_loop(main_mm=1000.0))
    one = road(found, "loop M")
    (usable,) = [each for each in found.usable if each.road.name == "loop M"]
    near, far = (limit.from_blades_mm or 0.0 for limit in usable.limits)
    assert one.length_mm is not None
    assert one.limits_mm == pytest.approx((near, one.length_mm - far))
    assert one.ends == ("first", "second") or len(one.ends) == 2


def test_fittings_stand_where_they_are_along_the_road() -> None:
    plan = {
        "pieces": {
            "A": {"kind": "straight", "length_mm": 300.0},
            "B": {"kind": "straight", "length_mm": 400.0},
        },
        "joins": [["A.b", "B.b"]],
        "fittings": [
            {"kind": "stopping_mark", "piece": "A", "at_mm": 100.0},
            {"kind": "signal", "piece": "B", "at_mm": 150.0},
        ],
    }
    (one,) = straight_roads(surveyed(plan))
    from_a = [fitting.at_mm for fitting in one.fittings]
    if one.parts[0].piece == "B":
        from_a = [700 - at_mm for at_mm in from_a]
    assert from_a == pytest.approx([100.0, 550.0])


def test_a_train_stands_above_its_road() -> None:
    found = surveyed(passing_loop(main_mm=1000.0))
    vehicles = (
        StoodVehicle(name="Pilot", from_mm=300.0, to_mm=400.0, bodies=()),
        StoodVehicle(name="Van", from_mm=405.0, to_mm=480.0, bodies=()),
    )
    stood = StoodTrain(vehicles=vehicles, length_mm=185.0, spare_mm=20.0)
    strips = Strips(
        roads=(road(found, "loop M"),), one_in=5.0, on_it=OnTheRoad(train=stood)
    )
    drawing = strip_pages(found, Look(), strips).written()
    assert widths(drawing, "7") == pytest.approx([20.0, 15.0])
    shown = words(read(drawing))
    assert {"Pilot", "Van", "train 185 mm, 20 mm to spare"} <= set(shown)


def test_the_lines_to_fittings_run_behind_vehicles() -> None:
    found = surveyed(yard())
    one = road(found, "Coal road")
    vehicle = StoodVehicle(name="Pilot", from_mm=300.0, to_mm=900.0, bodies=())
    stood = StoodTrain(vehicles=(vehicle,), length_mm=600.0, spare_mm=20.0)
    strips = Strips(roads=(one,), one_in=5.0, on_it=OnTheRoad(train=stood))
    drawing = read(strip_pages(found, Look(), strips).written())
    drawn = list(drawing.iter())
    (body,) = [at for at, each in enumerate(drawn) if each.get("height") == "7"]
    leaders = [
        at for at, each in enumerate(drawn) if each.get("stroke-width") == "0.15"
    ]
    assert len(leaders) == len(one.fittings)
    assert max(leaders) < body


def test_a_measured_plan_is_drawn_as_strips_of_all_its_roads() -> None:
    found = surveyed(measured())
    shown = words(read(plan_sheet(found, Look()).written()))
    for name in ("headshunt H", "siding T", "siding U"):
        assert any(text.startswith(f"{name}: usable") for text in shown)
    assert len(set(road_names(found))) == 3


def test_faults_of_a_measured_plan_stand_behind_its_strips() -> None:
    plan = measured()
    plan["joins"].append(["T.a", "Q.a"])
    shown = " ".join(words(read(plan_sheet(surveyed(plan), Look()).written())))
    assert "Faults" in shown
    assert "there is no piece Q" in shown


@pytest.mark.parametrize("paper", ["a4", "letter", "phone"])
@pytest.mark.parametrize("one_in", [None, 1.0, 8.0])
def test_no_text_stands_over_another(paper: PaperName, one_in: float | None) -> None:
    for document in (yard(), faulty(), at_random(4), at_random(9)):
        found = surveyed(document)
        strips = Strips(roads=tuple(straight_roads(found)), one_in=one_in)
        pages = strip_pages(found, Look(paper=paper, revision="9"), strips)
        drawing = read(pages.written(1))
        assert overlapping(drawing) == []
        assert off_the_paper(drawing) == []


def test_very_long_strips_have_an_end() -> None:
    pieces = {"S": {"kind": "straight", "length_mm": 1_000_000.0}}
    found = surveyed({"pieces": pieces, "joins": []})
    roads = tuple(straight_roads(found))
    pages = strip_pages(found, Look(), Strips(roads=roads, one_in=1.0))
    assert len(pages.written()) < 100_000
