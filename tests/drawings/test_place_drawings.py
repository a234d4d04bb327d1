"""A place with a train in it: bodies where they stand on a curve, limits, and what is
to spare.
"""

from math import sqrt

import pytest
from msgspec.structs import replace

from standage.drawings.plans.looks import Look
from standage.drawings.plans.place_sheets import outlines, place_pages
from standage.drawings.plans.roads_drawn import straight_road
from standage.drawings.plans.sheets import PaperName
from standage.drawings.plans.train_stands import (
    EMPTY,
    OnTheRoad,
    StoodBody,
    StoodTrain,
    StoodVehicle,
    stood_train,
)
from standage.railway.stock.coupled import Coupled, coupled
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.trains import Train
from standage.railway.stock.vehicles import Standing
from standage.railway.track.paths.paths import Path
from standage.railway.track.paths.runs import arc
from standage.railway.track.survey.survey import Survey, survey
from support.plans_to_draw import measured, yard
from support.sheets import SVG, off_the_paper, overlapping, read, words
from support.track_plans import Document, curve, passing_loop, points, read_plan

RADIUS_MM = 500.0


def surveyed(document: Document) -> Survey:
    return survey(read_plan({"scale": "00", **document}))


def quay() -> Document:
    """Return a siding that bends both ways."""
    return {
        "pieces": {
            "P": points(),
            "C": curve(500.0, 75.0),
            "D": curve(600.0, 40.0, "right"),
            "B": {"kind": "buffer_stop"},
        },
        "joins": [["P.branch", "C.a"], ["C.b", "D.a"], ["D.b", "B.a"]],
        "places": [{"name": "Quay", "kind": "siding", "on": ["C", "D"]}],
    }


def wagon(name: str, length_mm: float) -> Standing:
    return Standing(name=name, length_mm=length_mm, length_over="couplings", scale="00")


def train(*vehicles: Standing) -> Coupled:
    return coupled(Train(vehicles=vehicles), types=CouplingTypes())


def one_body(middle_mm: float) -> StoodTrain:
    body = StoodBody(
        middle_mm=middle_mm,
        pivots_mm=186.0,
        bogie_wheelbase_mm=0.0,
        before_mm=130.0,
        behind_mm=128.0,
        width_mm=36.0,
    )
    vehicle = StoodVehicle(name="Coach", from_mm=0.0, to_mm=258.0, bodies=(body,))
    return StoodTrain(vehicles=(vehicle,), length_mm=258.0, spare_mm=0.0)


def test_a_body_lies_on_the_chord_between_its_axles() -> None:
    """On a circle the chord's middle lies √(R² − (p ÷ 2)²) from its centre."""
    path = Path((arc(700.0, radius_mm=RADIUS_MM, hand="left"),)).going_on
    ((_, outline),) = outlines(path, one_body(350.0))
    centre = complex(0, RADIUS_MM)
    middle_mm = sqrt(RADIUS_MM**2 - 93.0**2)
    ends_mm = {
        sqrt((middle_mm + side_mm) ** 2 + along_mm**2)
        for side_mm in (18.0, -18.0)
        for along_mm in (130.0, 128.0)
    }
    found_mm = sorted(abs(corner - centre) for corner in outline)
    assert found_mm == pytest.approx(sorted(ends_mm), abs=0.01)


def test_a_body_that_cannot_stand_there_is_left_out() -> None:
    path = Path((arc(900.0, radius_mm=60.0, hand="left"),)).going_on
    assert list(outlines(path, one_body(450.0))) == []


def test_vehicles_stand_one_behind_the_other_from_the_head() -> None:
    stands = stood_train(
        train(wagon("One", 100.0), wagon("Two", 80.0)),
        usable_from_mm=50.0,
        usable_mm=300.0,
        gauge_mm=16.5,
    )
    assert stands.train is not None
    first, second = stands.train.vehicles
    length_mm = stands.train.length_mm
    assert stands.train.spare_mm == pytest.approx(300 - length_mm)
    assert first.to_mm - first.from_mm == pytest.approx(100.0)
    assert second.from_mm >= first.to_mm
    before_mm = first.from_mm - 50
    behind_mm = 350 - second.to_mm
    assert before_mm == pytest.approx(behind_mm, abs=0.01)


def test_a_vehicle_that_is_turned_has_its_front_behind() -> None:
    turned = replace(
        wagon("Turned", 120.0),
        rigid_wheelbase_mm=40.0,
        front_overhang_mm=60.0,
        rear_overhang_mm=20.0,
    )
    both = [turned, replace(turned, reversed=True)]
    figures = []
    for vehicle in both:
        stands = stood_train(
            train(vehicle), usable_from_mm=0.0, usable_mm=500.0, gauge_mm=16.5
        )
        assert stands.train is not None
        (body,) = stands.train.vehicles[0].bodies
        figures.append((body.before_mm, body.behind_mm))
    assert figures[1] == pytest.approx(figures[0][::-1])
    assert figures[0][0] > figures[0][1]


def test_a_train_of_unknown_length_says_what_to_measure() -> None:
    unknown = Standing(name="Mystery van", scale="00")
    stands = stood_train(
        train(unknown), usable_from_mm=0.0, usable_mm=500.0, gauge_mm=16.5
    )
    assert stands.train is None
    assert any("Mystery van" in note for note in stands.notes)


def drawn(document: Document, name: str, on_it: OnTheRoad, look: Look) -> list[str]:
    found = surveyed(document)
    road = straight_road(found, name)
    assert road is not None
    pages = place_pages(found, look, road, on_it)
    assert pages is not None
    drawing = read(pages.written())
    assert overlapping(drawing) == []
    assert off_the_paper(drawing) == []
    return words(drawing)


def on_the_quay(*vehicles: Standing) -> OnTheRoad:
    road = straight_road(surveyed(quay()), "Quay")
    assert road is not None
    assert road.usable_from_mm is not None
    assert road.usable_mm is not None
    return stood_train(
        train(*vehicles),
        usable_from_mm=road.usable_from_mm,
        usable_mm=road.usable_mm,
        gauge_mm=16.5,
    )


@pytest.mark.parametrize("paper", ["a4", "letter", "phone"])
def test_a_place_shows_its_limits_and_what_is_to_spare(paper: PaperName) -> None:
    look = Look(paper=paper)
    vehicles = [wagon(f"Wagon {number}", 120.0) for number in range(4)]
    shown = drawn(quay(), "Quay", on_the_quay(*vehicles), look)
    assert shown.count("limit") == 2
    assert "to spare" in " ".join(shown)
    assert "1 Wagon 0" in shown


def test_a_train_that_is_too_long_is_drawn_beyond_the_limits() -> None:
    vehicles = [wagon(f"Coach {number}", 280.0) for number in range(5)]
    shown = drawn(quay(), "Quay", on_the_quay(*vehicles), Look())
    assert "too long" in " ".join(shown)


def test_nothing_hangs_beside_the_track_that_is_drawn() -> None:
    """In a yard the other points lie near a siding, on track that is not drawn."""
    shown = drawn(yard(), "Coal road", EMPTY, Look())
    assert "P1" in shown
    assert not {"P2", "P3", "P4", "P5", "P6"} & set(shown)


def test_every_vehicle_has_an_outline() -> None:
    found = surveyed(quay())
    road = straight_road(found, "Quay")
    assert road is not None
    vehicles = [wagon(f"Wagon {number}", 90.0) for number in range(6)]
    pages = place_pages(found, Look(), road, on_the_quay(*vehicles))
    assert pages is not None
    drawing = read(pages.written())
    assert len(list(drawing.iter(f"{SVG}polygon"))) == 6


def test_a_road_may_be_asked_for_by_its_own_name() -> None:
    shown = drawn(passing_loop(), "loop M", EMPTY, Look())
    assert any(one.startswith("loop M, usable") for one in shown)


def test_a_road_without_a_shape_has_no_such_drawing() -> None:
    found = surveyed(measured())
    road = straight_road(found, "siding T")
    assert road is not None
    assert place_pages(found, Look(), road, EMPTY) is None
