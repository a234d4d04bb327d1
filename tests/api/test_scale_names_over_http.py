"""Every scale, by its own name and as people spell it, wherever a scale is said."""

from typing import Any, get_args

import pytest

from api.asking import Caller, faults
from api.ground import Ground, one_of
from standage.railway.terms.scales import ScaleName, scale

ROAD = {"kind": "siding", "usable_length_mm": 900}
NAMES: tuple[ScaleName, ...] = get_args(ScaleName)


def asked(caller: Caller, question: str, **body: Any) -> dict[str, Any]:
    response = caller.ask("POST", f"/v1/checks/{question}", body)
    assert response.status_code == 200, response.text
    answer: dict[str, Any] = response.json()
    return answer


def test_a_vehicle_of_any_scale_stands_in_a_road_of_that_scale_and_passes_its_like(
    steward: Caller,
) -> None:
    for name in NAMES:
        wagon = {
            "name": "Wagon",
            "kind": "wagon",
            "scale": name,
            "length_mm": 80,
            "length_over": "couplings",
        }
        fit = asked(
            steward,
            "train-fit",
            train={"vehicles": [wagon]},
            place={**ROAD, "scale": name},
        )
        assert (name, fit["verdict"]) == (name, "fits")
        passing = asked(
            steward, "passing", vehicles=[wagon], spacing_mm=300, inner_radius_mm=None
        )
        assert (name, passing["verdict"]) == (name, "clear")
        assert passing["margin_mm"] == pytest.approx(scale(name).gauge_mm / 8, abs=1e-6)


def test_a_length_and_a_set_of_points_are_told_in_any_scale(steward: Caller) -> None:
    for name in NAMES:
        length = steward.read(f"/v1/lengths?text=12 m full size&scale={name}")
        assert length["length_mm"] == pytest.approx(12000 / scale(name).ratio, abs=1e-6)
        points = steward.read(f"/v1/points?number=6&scale={name}")
        assert points["lead_mm"] == pytest.approx(
            2 * scale(name).gauge_mm * 6, rel=0.02
        )


def test_a_record_keeps_the_scales_own_name_however_it_was_spelt(
    ground: Ground,
) -> None:
    for spelt, name in (
        ("oo9", "009"),
        ("O-16.5", "016.5"),
        ("p4", "P4"),
        ("HOe", "H0e"),
    ):
        vehicle = ground.make("Vehicle", scale=spelt)
        assert ground.steward.read(one_of("Vehicle", vehicle))["scale"] == name
    listed = ground.steward.read("/v1/vehicles?scale=P%204")["items"]
    assert [one["scale"] for one in listed] == ["P4"]


def test_a_spelling_that_may_be_two_scales_is_a_fault_that_lists_the_names(
    steward: Caller,
) -> None:
    response = steward.ask("GET", "/v1/points?number=6&scale=1:22.5")
    assert faults(response) == {"scale": "not_a_choice"}
    message = response.json()["faults"][0]["message"]
    listed, _, more = message.partition(": ")[2].rpartition(" and ")
    names = listed.split(", ")
    assert set(names) < set(NAMES)
    assert more == f"{len(NAMES) - len(names)} more"
    assert len(message) <= 200
