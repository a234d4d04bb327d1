"""American classes of cars that are no class."""

import pytest

from standage.railway.slips.judges import vehicle_slips
from standage.railway.stock.vehicles import VehicleFigures, VehicleKind


@pytest.mark.parametrize(
    ("kind", "written", "class_ft", "likely"),
    [
        # 40 ft are 12.2 m, 50 ft 15.2 m, 60 ft 18.3 m, 89 ft 27.1 m
        ("wagon", 12, 40, "metres"),
        ("wagon", 15, 50, "metres"),
        ("wagon", 18, 60, "metres"),
        ("wagon", 27, 89, "metres"),
        # a 40 ft box car is 44 ft 2 1/2 in over its pulling faces
        ("wagon", 44, 40, "rounded"),
        (None, 44, 40, "rounded"),
        # 85 ft are 25.9 m
        ("coach", 26, 85, "metres"),
    ],
)
def test_a_class_in_metres_or_over_its_couplings_is_told_with_the_class(
    kind: VehicleKind | None, written: int, class_ft: float, likely: str
) -> None:
    car = VehicleFigures(kind=kind, scale="HO", nominal_length_ft=written)
    (slip,) = vehicle_slips(car)
    assert (slip.field, slip.likely) == ("nominal_length_ft", likely)
    assert slip.likely_value == class_ft


@pytest.mark.parametrize(
    ("kind", "class_ft"),
    [("wagon", 36), ("wagon", 40), ("wagon", 50), ("wagon", 89), ("coach", 85)],
)
def test_a_class_that_is_held_raises_nothing(kind: VehicleKind, class_ft: int) -> None:
    car = VehicleFigures(kind=kind, scale="HO", nominal_length_ft=class_ft)
    assert list(vehicle_slips(car)) == []
