"""Couplings on curves over HTTP, inline and on record; what takes long is reckoned in
another process.
"""

from typing import Any

from api.asking import Caller
from api.ground import Ground

END = {
    "reach_mm": 4,
    "play_mm": 0.5,
    "swing_deg": 25,
    "mounting": "body",
    "pivot_behind_mm": 8,
}


def coach(name: str) -> dict[str, Any]:
    """Return a coach of which all is known that a joint asks, buffers aside: it has
    none.
    """
    return {
        "name": name,
        "kind": "coach",
        "length_mm": 260,
        "length_over": "buffers",
        "bogie_centres_mm": 180,
        "bogie_wheelbase_mm": 33,
        "width_mm": 36,
        "buffer_centres_mm": 0,
        "front_coupling": END,
        "rear_coupling": END,
    }


def test_a_reverse_curve_answers_joint_by_joint(steward: Caller) -> None:
    body = {
        "vehicles": [coach("A"), coach("B")],
        "curve": {"radius_mm": 900, "reverse": True},
    }
    answer = steward.ask("POST", "/v1/checks/curve", body).json()
    (joint,) = answer["couplings"]
    assert joint["between"] == ["A", "B"]
    assert joint["swing_deg"] > 0
    assert joint["offset_mm"] > 0
    assert joint["verdict"] in {"runs", "marginal", "does_not_run"}


def test_a_train_on_record_is_asked_about_its_couplings(steward: Caller) -> None:
    ids = [steward.made("/v1/vehicles", coach(name))["id"] for name in ("A", "B")]
    train = steward.made(
        "/v1/trains", {"name": "Two", "vehicles": [{"vehicle_id": one} for one in ids]}
    )
    plain = steward.read(f"/v1/trains/{train['id']}/curve?radius_mm=900")
    asked = steward.read(
        f"/v1/trains/{train['id']}/curve?radius_mm=900&reverse=true&straight_between_mm=200"
    )
    assert "couplings" not in plain or plain["couplings"] == []
    assert [joint["between"] for joint in asked["couplings"]] == [["A", "B"]]


def test_a_straight_without_a_second_curve_is_a_fault_of_its_parameter(
    steward: Caller,
) -> None:
    train_id = steward.made("/v1/vehicles", coach("A"))["id"]
    train = steward.made(
        "/v1/trains", {"name": "One", "vehicles": [{"vehicle_id": train_id}]}
    )
    refused = steward.ask(
        "GET", f"/v1/trains/{train['id']}/curve?radius_mm=900&straight_between_mm=50"
    )
    assert refused.status_code == 422
    assert [fault["parameter"] for fault in refused.json()["faults"]] == [
        "straight_between_mm"
    ]


def test_the_typical_types_are_listed_beside_the_clubs_own_where_they_are_asked_for(
    ground: Ground,
) -> None:
    """Common practice, no source: N 3.5 ± 1.5, the bare word hook-and-bar 3.5 to 9.5,
    knuckles in O 8 ± 2.
    """
    ours = ground.make("CouplingType", name="Staple hook")
    assert "typical" not in ground.steward.read("/v1/coupling-types")
    page = ground.steward.read("/v1/coupling-types?typical=true")
    assert [one["id"] for one in page["items"]] == [ours["id"]]
    found = {
        (one["name"], scale, one["reach_from"]): one
        for one in page["typical"]
        for scale in one["scales"]
    }
    figures = {
        key: (one["reach_mm"], one["reach_plus_minus_mm"]) for key, one in found.items()
    }
    assert figures["N hook", "N", "buffers"] == (3.5, 1.5)
    assert figures["hook-and-bar", "00", "buffers"] == (6.5, 3.0)
    assert figures["knuckle", "O", "body"] == (8.0, 2.0)
    assert figures["guided", "Z", "buffers"] == (0.25, 0.25)
    assert "tension lock" in found["hook-and-bar", "00", "buffers"]["synonyms"]
    assert found["hook-and-bar", "00", "buffers"]["any_of_several"] is True


def test_the_next_page_shows_the_typical_types_again(ground: Ground) -> None:
    for name in ("Staple hook", "Bent pin"):
        ground.make("CouplingType", name=name)
    first = ground.steward.read("/v1/coupling-types?typical=true&limit=1")
    second = ground.steward.read(first["next"])
    assert first["typical"] == second["typical"]
    assert [one["name"] for one in (*first["items"], *second["items"])] == [
        "Bent pin",
        "Staple hook",
    ]
