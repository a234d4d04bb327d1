"""The sheet of a train in a place: what is drawn is what is answered."""

from xml.etree import ElementTree as ET

import pytest

from standage.questions.train_fit import TrainFitCase, reckon
from standage.questions.train_fit_sheet import train_fit_sheet
from standage.railway.roads.places import Place, PlaceKind
from standage.railway.stock.trains import MeasuredRake, Train
from standage.railway.stock.vehicles import Standing
from support.stock import plain, vehicle

SVG = "{http://www.w3.org/2000/svg}"
ENGINE = vehicle("Engine", 200.0, kind="engine")
COACHES = vehicle("Coach", 250.0, kind="coach", count=2)
VAN = vehicle("Van", 90.0, kind="wagon")


def case(
    *vehicles: Standing,
    place: Place,
    rakes: tuple[MeasuredRake, ...] = (),
    margin_mm: float = 25.0,
) -> TrainFitCase:
    train = Train(vehicles=vehicles, measured_rakes=rakes)
    return TrainFitCase(train=train, place=place, stopping_margin_mm=margin_mm)


def words(drawing: str) -> list[str]:
    return [one.text or "" for one in ET.fromstring(drawing).iter(f"{SVG}text")]  # noqa: S314 - our own text


def dimension_mm(drawing: str, *, down_mm: float) -> float:
    (found,) = [
        float(one.get("x2", 0)) - float(one.get("x1", 0))
        for one in ET.fromstring(drawing).iter(f"{SVG}line")  # noqa: S314 - our own text
        if one.get("y1") == one.get("y2") == f"{down_mm:.2f}"
        and one.get("stroke-width") == "0.2"
    ]
    return found


def right_edges(drawing: str) -> list[float]:
    root = ET.fromstring(drawing)  # noqa: S314 - our own text
    boxes = [box for box in root.iter(f"{SVG}rect") if box.get("stroke")]
    return [float(box.get("x", 0)) + float(box.get("width", 0)) + 0.4 for box in boxes]


@pytest.mark.parametrize("usable_mm", [300.0, 823.0, 1500.0])
def test_train_road_and_what_is_left_over_keep_their_proportion(
    usable_mm: float,
) -> None:
    asked = case(
        ENGINE, COACHES, VAN, place=Place(kind="loop", usable_length_mm=usable_mm)
    )
    drawing, answer = train_fit_sheet(asked), reckon(asked)
    assert answer.train_length_mm is not None
    assert answer.spare_mm is not None
    scale = dimension_mm(drawing, down_mm=32) / usable_mm
    assert dimension_mm(drawing, down_mm=14) == pytest.approx(
        answer.train_length_mm * scale, abs=0.02
    )
    assert dimension_mm(drawing, down_mm=39) == pytest.approx(
        abs(answer.spare_mm) * scale, abs=0.02
    )


def test_the_last_vehicle_ends_where_the_train_does_less_its_free_coupling() -> None:
    """The free couplings of 4 mm stand out at both ends; half of the margin lies before
    the head.
    """
    asked = case(
        ENGINE, COACHES, VAN, place=Place(kind="loop", usable_length_mm=1900.0)
    )
    length_mm = reckon(asked).train_length_mm or 0.0
    assert right_edges(train_fit_sheet(asked))[-1] == pytest.approx(
        (12.5 + length_mm - 4) * 190 / 1900, abs=0.02
    )


def test_a_rake_that_was_measured_whole_is_drawn_whole() -> None:
    rake = MeasuredRake(first=2, last=3, length_mm=700.0, length_over="buffers")
    place = Place(kind="loop", usable_length_mm=1900.0)
    asked = case(ENGINE, COACHES, VAN, place=place, rakes=(rake,))
    drawing = train_fit_sheet(asked)
    assert "Coach to Van" in words(drawing)
    (edge,) = right_edges(drawing)
    assert edge == pytest.approx(
        (12.5 + (reckon(asked).train_length_mm or 0) - 4) * 190 / 1900, abs=0.02
    )


@pytest.mark.parametrize("face_mm", [300.0, 506.0, 900.0])
def test_the_face_is_drawn_with_what_was_held_against_it(face_mm: float) -> None:
    """Two coaches of 250 mm and a gap of 8 mm between buffers, whatever the face."""
    place = Place(kind="platform", usable_length_mm=1200.0, face_length_mm=face_mm)
    asked = case(ENGINE, COACHES, VAN, place=place)
    spare_mm = reckon(asked).face_spare_mm
    assert spare_mm is not None
    drawing = train_fit_sheet(asked)
    assert (
        f"face {face_mm:g} mm, passenger vehicles {face_mm - spare_mm:g} mm"
        in words(drawing)
    )
    scale = dimension_mm(drawing, down_mm=32) / 1200
    assert dimension_mm(drawing, down_mm=50) == pytest.approx(
        (face_mm - spare_mm) * scale, abs=0.02
    )


def test_a_vehicle_of_no_kind_that_may_carry_passengers_is_drawn_at_the_face() -> None:
    place = Place(kind="platform", usable_length_mm=1200.0, face_length_mm=900.0)
    asked = case(ENGINE, vehicle("Something", 100.0), COACHES, place=place)
    assert any(
        line.startswith("face 900 mm, passenger vehicles ")
        for line in words(train_fit_sheet(asked))
    )


@pytest.mark.parametrize("kind", ["turntable", "reversing_section"])
def test_nothing_is_said_to_be_left_over_where_another_length_decides(
    kind: PlaceKind,
) -> None:
    axled = vehicle(
        "Van",
        200.0,
        kind="wagon",
        rigid_wheelbase_mm=100.0,
        bridging_axles_mm=(50.0, 150.0),
    )
    drawing = train_fit_sheet(
        case(axled, place=Place(kind=kind, usable_length_mm=300.0))
    )
    assert not any(line.endswith(("to spare", "too long")) for line in words(drawing))


def test_what_must_be_measured_is_written_down() -> None:
    asked = case(
        ENGINE,
        plain("Unmeasured", None),
        place=Place(kind="loop", usable_length_mm=900.0),
    )
    assert any(
        "Unmeasured: measure its length" in line
        for line in words(train_fit_sheet(asked))
    )
