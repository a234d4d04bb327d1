"""History over HTTP: who changed what and when, field by field, listed as everything
is.
"""

from datetime import timedelta
from typing import Any

import pytest

from api.asking import NOBODY, Caller, Service, faults, refusal
from api.ground import MODULE_END, Ground, one_of
from api.test_lists import pages


def history(caller: Caller, query: str = "") -> list[dict[str, Any]]:
    """Return the whole history that a query finds, page by page of three."""
    return [
        item
        for page in pages(caller, f"/v1/history?limit=3&{query}")
        for item in page["items"]
    ]


def changed(caller: Caller, noun: str, record: dict[str, Any], **fields: Any) -> None:
    response = caller.ask("PATCH", one_of(noun, record), fields, if_match="*")
    assert response.status_code == 200, response.text


def test_a_change_tells_who_when_what_and_each_field_before_and_after(
    service: Service, ground: Ground
) -> None:
    member = ground.steward.with_member("member", "Sam Reed")
    vehicle = member.made(
        "/v1/vehicles",
        {
            "name": "Salt van",
            "mass_g": 40.0,
            "length_mm": 70.0,
            "length_over": "buffers",
        },
    )
    service.clock.move(timedelta(minutes=5))
    changed(
        ground.steward,
        "Vehicle",
        vehicle,
        mass_g=42,
        length_mm=None,
        length_over=None,
        number="7",
    )
    update, creation = history(ground.steward, f"record_id={vehicle['id']}")
    assert (
        update["action"],
        update["version"],
        update["kind"],
        update["record_name"],
    ) == (
        *("update", 2, "vehicles"),
        "Salt van",
    )
    assert (update["member_id"], update["member_name"]) == (
        ground.steward.member_id,
        "Robin Vale",
    )
    assert (creation["member_id"], creation["member_name"]) == (
        member.member_id,
        "Sam Reed",
    )
    assert (creation["at"], update["at"]) == (
        "2026-05-01T10:00:00Z",
        "2026-05-01T10:05:00Z",
    )
    assert {
        one["pointer"]: (one.get("old"), one.get("new")) for one in update["changes"]
    } == {
        "/mass_g": (40, 42),
        "/length_mm": (70, None),
        "/length_over": ("buffers", None),
        "/number": (None, "7"),
    }
    told = {one["pointer"]: one["new"] for one in creation["changes"]}
    assert all("old" not in one for one in creation["changes"])
    assert told == {
        "/name": "Salt van",
        "/mass_g": 40,
        "/length_mm": 70,
        "/length_over": "buffers",
        "/owner_id": member.member_id,
        "/count": 1,
    }


def test_a_default_that_says_something_is_told_as_the_record_shows_it(
    ground: Ground,
) -> None:
    member = ground.make("Member", role="steward")
    changed(ground.steward, "Member", member, role="member")
    change = history(ground.steward, f"record_id={member['id']}")[0]
    assert change["changes"] == [
        {"pointer": "/role", "old": "steward", "new": "member"}
    ]


def test_within_a_list_the_places_that_differ_are_told(ground: Ground) -> None:
    module = ground.make(
        "Module", ends=[MODULE_END | {"name": "east"}, MODULE_END | {"name": "a/b"}]
    )
    ends = [
        MODULE_END | {"name": "east"},
        MODULE_END | {"name": "a/b", "rail_height_mm": 1001},
    ]
    changed(ground.steward, "Module", module, ends=ends)
    changed(ground.steward, "Module", module, ends=ends[:1])
    shorter, differing = history(
        ground.steward, f"record_id={module['id']}&action=update"
    )
    assert differing["changes"] == [
        {"pointer": "/ends/1/rail_height_mm", "old": 1000, "new": 1001}
    ]
    assert [
        (one["pointer"], len(one["old"]), len(one["new"])) for one in shorter["changes"]
    ] == [("/ends", 2, 1)]


def test_what_goes_with_a_record_goes_in_one_action(ground: Ground) -> None:
    place = ground.make("Place")
    layout_id = place["layout_id"]
    yard = ground.make("Yard", layout_id=layout_id)
    assert (
        ground.steward.ask(
            "DELETE", f"/v1/layouts/{layout_id}", if_match="*"
        ).status_code
        == 204
    )
    deletion = history(ground.steward, f"record_id={layout_id}&action=delete")[0]
    together = history(ground.steward, f"action_id={deletion['action_id']}&sort=at")
    assert [(one["kind"], one["record_id"], one["action"]) for one in together] == [
        ("layouts", layout_id, "delete"),
        ("places", place["id"], "delete"),
        ("yards", yard["id"], "delete"),
    ]
    assert all("new" not in one for change in together for one in change["changes"])
    creations = {one["action_id"] for one in history(ground.steward, "action=create")}
    assert len(creations) > 3


def test_each_request_is_an_action_of_its_own(ground: Ground) -> None:
    vehicle = ground.make("Vehicle")
    changed(ground.steward, "Vehicle", vehicle, mass_g=1)
    changed(ground.steward, "Vehicle", vehicle, mass_g=2)
    assert (
        len(
            {
                one["action_id"]
                for one in history(ground.steward, f"record_id={vehicle['id']}")
            }
        )
        == 3
    )


def test_history_can_be_narrowed_and_goes_either_way(
    service: Service, ground: Ground
) -> None:
    member = ground.steward.with_member("layout_keeper")
    for number in range(4):
        service.clock.move(timedelta(seconds=1))
        layout = member.made("/v1/layouts", {"name": f"Layout {number}"})
        changed(ground.steward, "Layout", layout, notes="seen")
    everything = history(ground.steward)
    assert history(ground.steward, "sort=at") == everything[::-1]
    assert [one["at"] for one in everything] == sorted(
        (one["at"] for one in everything), reverse=True
    )
    for query, wanted in (
        ("kind=layouts", lambda one: one["kind"] == "layouts"),
        (
            f"member_id={member.member_id}",
            lambda one: one["member_id"] == member.member_id,
        ),
        ("action=update", lambda one: one["action"] == "update"),
        (f"record_id={layout['id']}", lambda one: one["record_id"] == layout["id"]),
        (
            "kind=layouts&action=create",
            lambda one: (one["kind"], one["action"]) == ("layouts", "create"),
        ),
    ):
        found = history(ground.steward, query)
        assert found == [one for one in everything if wanted(one)], query
        assert 0 < len(found) < len(everything)
    assert history(ground.steward, f"record_id={NOBODY}") == []


def test_what_is_faulty_in_the_question_is_told(steward: Caller) -> None:
    asked = "/v1/history?kind=boats&action=sink&sort=name&record_id=%20&limit=201"
    assert faults(steward.ask("GET", asked)) == {
        "kind": "not_a_choice",
        "action": "not_a_choice",
        "sort": "not_a_choice",
        "record_id": "bad_characters",
        "limit": "too_large",
    }


def test_a_cursor_of_history_belongs_to_its_filters_and_its_club(
    service: Service, ground: Ground
) -> None:
    for _ in range(3):
        ground.make("Vehicle")
    cursor = ground.steward.read("/v1/history?limit=1&kind=vehicles")["next_cursor"]
    assert (
        ground.steward.ask(
            "GET", f"/v1/history?kind=vehicles&cursor={cursor}"
        ).status_code
        == 200
    )
    assert faults(ground.steward.ask("GET", f"/v1/history?cursor={cursor}")) == {
        "cursor": "bad_cursor"
    }
    other = service.club("Millpond Society")
    assert faults(other.ask("GET", f"/v1/history?kind=vehicles&cursor={cursor}")) == {
        "cursor": "bad_cursor"
    }


@pytest.mark.parametrize("role", ["member", "layout_keeper"])
def test_who_may_not_read_tokens_is_told_nothing_of_their_history(
    ground: Ground, role: str
) -> None:
    token = ground.make("Token")
    change = history(ground.steward, f"record_id={token['id']}")[0]
    caller = ground.steward.with_member(role)
    assert {one["kind"] for one in history(ground.steward)} >= {
        "tokens",
        "members",
        "clubs",
    }
    assert {one["kind"] for one in history(caller)} == {"members", "clubs"}
    assert history(caller, "kind=tokens") == []
    assert history(caller, f"action_id={change['action_id']}") == []
    refusal(caller.ask("GET", f"/v1/history/{change['id']}"), 404, "not_found")
    assert ground.steward.read(f"/v1/history/{change['id']}") == change


def test_no_secret_ever_stands_in_history(ground: Ground) -> None:
    issued = ground.steward.made("/v1/tokens", ground.body("Token"))
    text = ground.steward.ask("GET", "/v1/history?limit=200").text
    assert issued["token"] not in text
    assert "sha256" not in text


def test_another_clubs_history_is_not_there(service: Service, ground: Ground) -> None:
    change = ground.make("Change")
    other = service.club("Millpond Society")
    for query in (
        f"record_id={change['record_id']}",
        f"action_id={change['action_id']}",
    ):
        assert history(other, query) == []
    refusal(other.ask("GET", f"/v1/history/{change['id']}"), 404, "not_found")
