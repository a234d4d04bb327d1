"""What a layout publishes to visitors, over HTTP: a platform's face, and curves and
headroom where there are none.
"""

from typing import Any

import pytest

from api.asking import Caller, faults
from api.ground import Ground, one_of
from api.plain_trains import asked, coach

TALL = coach("Giraffe", 100, height_mm=400, minimum_radius_mm=400)


def limits(caller: Caller, layout: dict[str, Any]) -> dict[str, Any]:
    return caller.read(f"/v1/layouts/{layout['id']}/limits")


def to_measure(answer: dict[str, Any]) -> set[str]:
    return {
        one["field"] for one in answer["because"] if one["code"] == "missing_figure"
    }


@pytest.fixture
def layout(ground: Ground) -> dict[str, Any]:
    return ground.make("Layout", name="Staithe Lane", scale="00", minimum_radius_mm=500)


def test_a_passenger_train_is_told_the_platforms_face_a_visitor_too(
    ground: Ground, layout: dict[str, Any]
) -> None:
    """1250 less 20 for stopping and a tape's 2.25 is 1227.75; the face of 1000 less the
    same ± is 997.75.
    """
    face: dict[str, Any] = {
        "usable_length_mm": 1250,
        "face_length_mm": 1000,
        "stopping_margin_mm": 20,
        "headroom_mm": 70,
    }
    platform = ground.make(
        "Place",
        layout_id=layout["id"],
        name="Platform 1",
        **face | {"kind": "platform"},
    )
    for caller in (ground.steward, ground.steward.visiting(layout["id"])):
        answer = limits(caller, layout)
        assert answer["verdict"] == "complete"
        assert answer["fits_every_road"] == {"value_mm": 1227.75, "place": "Platform 1"}
        assert answer["passenger_fits_every_road"] == {
            "value_mm": 997.75,
            "place": "Platform 1",
        }
        assert answer["longest_passenger_train"] == {
            "value_mm": 997.75,
            "place": "Platform 1",
        }
        place = answer["places"][0]
        assert (place["longest_train_mm"], place["longest_passenger_train_mm"]) == (
            1227.75,
            997.75,
        )
        assert [one["message"] for one in answer["because"]] == [
            (
                "a train that is to stand in every road may be 1227.7 mm long, for"
                " Platform 1"
            ),
            (
                "a passenger train may be 997.7 mm long from its first passenger"
                " vehicle to its last, for Platform 1"
            ),
        ]
    for long, verdict in ((997.75, "fits"), (997.85, "tight")):
        body = {
            "train": {"vehicles": [coach("Coach", long, kind="coach")]},
            "place": {"place_id": platform["id"]},
        }
        fitted = asked(ground.steward, "train-fit", body)
        assert fitted["standing"] == verdict
        assert fitted["instead"]["longest_passenger_train_mm"] == 997.75


def test_a_face_that_is_longer_than_the_road_binds_nobody(
    ground: Ground, layout: dict[str, Any]
) -> None:
    about = {"layout_id": layout["id"], "plus_minus_mm": 0, "stopping_margin_mm": 0}
    ground.make(
        "Place",
        name="Long",
        kind="platform",
        usable_length_mm=900,
        face_length_mm=950,
        **about,
    )
    answer = limits(ground.steward, layout)
    assert (
        answer["passenger_fits_every_road"]
        == answer["fits_every_road"]
        == {
            "value_mm": 900,
            "place": "Long",
        }
    )
    assert "shortest_face" not in {one["code"] for one in answer["because"]}
    ground.make("Place", name="Loop", kind="loop", usable_length_mm=800, **about)
    ground.make(
        "Place",
        name="Short",
        kind="platform",
        usable_length_mm=1000,
        face_length_mm=600,
        **about,
    )
    answer = limits(ground.steward, layout)
    assert answer["fits_every_road"] == {"value_mm": 800, "place": "Loop"}
    assert answer["passenger_fits_every_road"] == {"value_mm": 600, "place": "Short"}
    assert answer["longest_train"] == {"value_mm": 1000, "place": "Short"}
    assert answer["longest_passenger_train"] == {"value_mm": 900, "place": "Long"}


def test_a_road_under_the_open_sky_is_complete_and_lets_any_height_in(
    ground: Ground, layout: dict[str, Any]
) -> None:
    loop = ground.make(
        "Place", layout_id=layout["id"], name="Loop", usable_length_mm=900
    )
    before = limits(ground.steward, layout)
    assert (before["verdict"], before["headroom_unlimited"], to_measure(before)) == (
        "incomplete",
        False,
        {"headroom_mm"},
    )
    assert "headroom_unlimited" in before["because"][0]["message"]
    address = one_of("Place", loop)
    said = ground.steward.ask(
        "PATCH", address, {"headroom_unlimited": True}, if_match="*"
    )
    assert said.status_code == 200, said.text
    after = limits(ground.steward, layout)
    assert (after["verdict"], after["headroom"], after["headroom_unlimited"]) == (
        "complete",
        None,
        True,
    )
    assert after["places"][0]["headroom_unlimited"] is True
    wish = {
        "vehicles": [TALL, coach("Unknown", 100, minimum_radius_mm=400)],
        "layout_id": layout["id"],
    }
    assert asked(ground.steward, "wish-list", wish)["suitable"] == [
        "Giraffe",
        "Unknown",
    ]
    fit = asked(
        ground.steward,
        "train-fit",
        {"train": {"vehicles": [TALL]}, "place": {"place_id": loop["id"]}},
    )
    assert (fit["verdict"], fit["reaching"]) == ("fits", "runs")
    assert "headroom_mm" not in fit["not_compared"]


def test_a_layout_says_it_of_all_its_places_and_a_bridge_overrules_it(
    ground: Ground,
) -> None:
    layout = ground.make("Layout", name="Open", headroom_unlimited=True, no_curves=True)
    ground.make("Place", layout_id=layout["id"], name="Loop", usable_length_mm=900)
    sky = limits(ground.steward, layout)
    assert (sky["verdict"], sky["headroom_unlimited"], sky["no_curves"]) == (
        "complete",
        True,
        True,
    )
    ground.make(
        "Place",
        layout_id=layout["id"],
        name="Bridge",
        usable_length_mm=900,
        headroom_mm=70,
    )
    under = limits(ground.steward, layout)
    assert (under["verdict"], under["headroom_unlimited"]) == ("complete", False)
    assert under["headroom"] == {"value_mm": 70, "place": "Bridge"}
    train = ground.make(
        "Train", vehicles=[{"vehicle_id": ground.make("Vehicle", **TALL)["id"]}]
    )
    fits = ground.steward.read(f"/v1/layouts/{layout['id']}/fits")["items"]
    told = {
        one["place"]: (one["verdict"], one["reaching"])
        for one in fits
        if one["train_id"] == train["id"]
    }
    assert told == {
        "Loop": ("fits", "runs"),
        "Bridge": ("does_not_fit", "does_not_run"),
    }


def test_straight_track_asks_for_no_radius_and_a_curve_of_a_place_overrules_it(
    ground: Ground,
) -> None:
    layout = ground.make(
        "Layout", name="Plank", no_curves=True, headroom_unlimited=True
    )
    ground.make("Place", layout_id=layout["id"], name="Straight", usable_length_mm=900)
    ground.make(
        "Place",
        layout_id=layout["id"],
        name="Bend",
        usable_length_mm=900,
        minimum_radius_mm=438,
    )
    answer = limits(ground.steward, layout)
    assert (answer["verdict"], answer["no_curves"]) == ("complete", False)
    assert answer["least_radius"] == {"value_mm": 438, "place": "Bend"}
    assert {one["name"]: one["no_curves"] for one in answer["places"]} == {
        "Straight": True,
        "Bend": False,
    }
    engine = ground.make("Vehicle", **coach("Heron", 200, kind="engine"))
    ground.make("Train", vehicles=[{"vehicle_id": engine["id"]}])
    fits = ground.steward.read(f"/v1/layouts/{layout['id']}/fits")["items"]
    assert {one["place"]: one["reaching"] for one in fits} == {
        "Straight": "runs",
        "Bend": "cannot_tell",
    }


def test_a_straight_place_of_a_layout_with_curves_has_none(
    ground: Ground, layout: dict[str, Any]
) -> None:
    ground.make("Place", layout_id=layout["id"], name="Straight", no_curves=True)
    place = limits(ground.steward, layout)["places"][0]
    assert (place["no_curves"], place["least_radius_mm"]) == (True, None)


@pytest.mark.parametrize(
    ("figures", "pointer"),
    [
        ({"headroom_unlimited": True, "headroom_mm": 60}, "headroom_mm"),
        ({"no_curves": True, "minimum_radius_mm": 438}, "minimum_radius_mm"),
    ],
)
def test_what_there_is_none_of_has_no_figure(
    ground: Ground, layout: dict[str, Any], figures: dict[str, Any], pointer: str
) -> None:
    path = f"{one_of('Layout', layout)}/places"
    body = {"name": "Loop", "kind": "loop", "usable_length_mm": 900} | figures
    assert faults(ground.steward.ask("POST", path, body)) == {
        f"/{pointer}": "contradiction"
    }
    inline = {
        "train": {"vehicles": [TALL]},
        "place": {"kind": "loop", "usable_length_mm": 900} | figures,
    }
    found = faults(ground.steward.ask("POST", "/v1/checks/train-fit", inline))
    assert found == {f"/place/{pointer}": "contradiction"}
