"""Undo over HTTP: of one change and of a whole action, always by a new version; refused
with what stands in the way.
"""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from typing import Any

import httpx
import pytest

from api.asking import Caller, Service, refusal
from api.ground import COMING_BACK, FIXED, SECRET, Ground, one_of

RECORDS = [*COMING_BACK, *SECRET]
ENVELOPE = {"version", "updated_at"}


def latest(caller: Caller, record: dict[str, Any]) -> dict[str, Any]:
    """Return the last change of a record."""
    change: dict[str, Any] = caller.read(
        f"/v1/history?limit=1&record_id={record['id']}"
    )["items"][0]
    return change


def undo(caller: Caller, change: dict[str, Any]) -> httpx.Response:
    return caller.ask("POST", f"/v1/history/{change['id']}/undo")


def undone(caller: Caller, change: dict[str, Any]) -> list[dict[str, Any]]:
    response = undo(caller, change)
    assert response.status_code == 200, response.text
    changes: list[dict[str, Any]] = response.json()["changes"]
    return changes


def in_the_way(response: httpx.Response) -> str:
    detail: str = refusal(response, 409, "cannot_undo")["detail"]
    return detail


def patched(
    caller: Caller, noun: str, record: dict[str, Any], **fields: Any
) -> dict[str, Any]:
    response = caller.ask("PATCH", one_of(noun, record), fields, if_match="*")
    assert response.status_code == 200, response.text
    return latest(caller, record)


def deleted(caller: Caller, noun: str, record: dict[str, Any]) -> dict[str, Any]:
    response = caller.ask("DELETE", one_of(noun, record), if_match="*")
    assert response.status_code == 204, response.text
    return latest(caller, record)


def body_of(record: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in record.items() if name not in ENVELOPE}


@pytest.mark.parametrize("noun", [noun for noun in RECORDS if noun not in FIXED])
def test_the_undo_of_a_change_puts_every_figure_back_as_a_new_version(
    service: Service, ground: Ground, noun: str
) -> None:
    record = ground.make(noun)
    path, name = one_of(noun, record), "label" if noun == "Token" else "name"
    before = ground.steward.read(path)
    change = patched(ground.steward, noun, record, **{name: "Renamed by mistake"})
    service.clock.move(timedelta(minutes=1))
    (made,) = undone(ground.steward, change)
    after = ground.steward.ask("GET", path)
    assert body_of(after.json()) == body_of(before)
    assert (after.json()["version"], after.headers["etag"][:4]) == (3, '"v3-')
    assert (made["action"], made["undoes"], made["version"]) == (
        "update",
        change["id"],
        3,
    )
    assert made["changes"] == [
        {"pointer": f"/{name}", "old": "Renamed by mistake", "new": before[name]}
    ]
    assert made["action_id"] != change["action_id"]
    assert latest(ground.steward, record) == made


@pytest.mark.parametrize("noun", RECORDS)
def test_the_undo_of_a_creation_deletes_and_its_undo_brings_back_under_the_same_id(
    ground: Ground, noun: str
) -> None:
    record = ground.make(noun)
    before = ground.steward.read(one_of(noun, record))
    (gone,) = undone(ground.steward, latest(ground.steward, record))
    assert gone["action"] == "delete"
    refusal(ground.steward.ask("GET", one_of(noun, record)), 404, "not_found")
    if noun in SECRET:
        assert "stays deleted" in in_the_way(undo(ground.steward, gone))
        return
    (back,) = undone(ground.steward, gone)
    assert (back["action"], back["version"], back["undoes"]) == (
        "restore",
        3,
        gone["id"],
    )
    after = ground.steward.read(one_of(noun, record))
    assert body_of(after) == body_of(before)
    assert after["version"] == 3
    (again,) = undone(ground.steward, back)
    assert (again["action"], again["version"]) == ("delete", 4)


@pytest.mark.parametrize("noun", COMING_BACK)
def test_the_undo_of_a_deletion_brings_back_what_can_be_used_at_once(
    ground: Ground, noun: str
) -> None:
    record = ground.make(noun)
    undone(ground.steward, deleted(ground.steward, noun, record))
    back = patched(ground.steward, noun, record, name="Used again")
    assert back["version"] == 4
    assert deleted(ground.steward, noun, record)["version"] == 5


def test_what_was_changed_since_is_left_alone_and_the_later_change_is_named(
    service: Service, ground: Ground
) -> None:
    vehicle = ground.make("Vehicle", name="Salt van")
    first = patched(ground.steward, "Vehicle", vehicle, mass_g=40)
    service.clock.move(timedelta(minutes=7))
    member = ground.steward.with_member("steward", "Hazel Marsh")
    second = patched(member, "Vehicle", vehicle, mass_g=41)
    detail = in_the_way(undo(ground.steward, first))
    assert (
        detail
        == "The vehicle Salt van has been changed since, by Hazel Marsh on 2026-05-01"
        " at 10:07 UTC."
    )
    assert ground.steward.read(one_of("Vehicle", vehicle))["version"] == 3
    undone(ground.steward, second)
    assert "changed since" in in_the_way(undo(ground.steward, first))
    assert "changed since" in in_the_way(undo(ground.steward, second))


def test_what_was_deleted_since_is_said_so(ground: Ground) -> None:
    vehicle = ground.make("Vehicle")
    change = patched(ground.steward, "Vehicle", vehicle, mass_g=40)
    deleted(ground.steward, "Vehicle", vehicle)
    assert "has been deleted since, by Robin Vale" in in_the_way(
        undo(ground.steward, change)
    )


def test_what_names_a_record_that_is_gone_does_not_come_back_before_it(
    ground: Ground,
) -> None:
    vehicle = ground.make("Vehicle", name="Brake van")
    train = ground.make(
        "Train", name="Night goods", vehicles=[{"vehicle_id": vehicle["id"]}]
    )
    no_train = deleted(ground.steward, "Train", train)
    no_vehicle = deleted(ground.steward, "Vehicle", vehicle)
    detail = in_the_way(undo(ground.steward, no_train))
    assert (
        detail
        == "The train Night goods: names the vehicle Brake van, which is deleted."
    )
    undone(ground.steward, no_vehicle)
    undone(ground.steward, no_train)
    assert ground.steward.read(one_of("Train", train))["vehicles"] == [
        {"vehicle_id": vehicle["id"]}
    ]
    refused = ground.steward.ask("DELETE", one_of("Vehicle", vehicle), if_match="*")
    assert "Night goods" in refusal(refused, 409, "in_use")["detail"]


def test_what_something_leans_on_is_not_undone_away(ground: Ground) -> None:
    vehicle = ground.make("Vehicle", name="Brake van", count=1)
    creation = latest(ground.steward, vehicle)
    ground.make("Train", name="Night goods", vehicles=[{"vehicle_id": vehicle["id"]}])
    assert "needed by the train Night goods" in in_the_way(
        undo(ground.steward, creation)
    )
    more = patched(ground.steward, "Vehicle", vehicle, count=3)
    ground.make(
        "Train", name="Boat train", vehicles=[{"vehicle_id": vehicle["id"], "count": 3}]
    )
    assert "the 3 that stand in the train Boat train" in in_the_way(
        undo(ground.steward, more)
    )
    assert ground.steward.read(one_of("Vehicle", vehicle))["count"] == 3


def test_a_name_that_vehicles_use_is_not_undone_away(ground: Ground) -> None:
    kind = ground.make("CouplingType", name="Hook")
    renamed = patched(ground.steward, "CouplingType", kind, name="Staple hook")
    ground.make("Vehicle", name="Salt van", front_coupling={"type": "Staple hook"})
    assert "needed by the vehicle Salt van" in in_the_way(undo(ground.steward, renamed))


@pytest.mark.parametrize(
    "noun", ["CouplingType", "Layout", "Place", "Standard", "Yard"]
)
def test_a_name_that_is_taken_now_is_in_the_way(ground: Ground, noun: str) -> None:
    first = ground.make(noun, name="Old name")
    above = {"layout_id": first["layout_id"]} if "layout_id" in first else {}
    change = patched(ground.steward, noun, first, name="New name")
    other = ground.make(noun, name="old  NAME", **above)
    assert "there is a" in in_the_way(undo(ground.steward, change))
    deletion = deleted(ground.steward, noun, other)
    undone(ground.steward, change)
    assert "called old  NAME already" in in_the_way(undo(ground.steward, deletion))


def test_a_place_does_not_come_back_before_its_layout(ground: Ground) -> None:
    place = ground.make("Place", name="Bay")
    patched(ground.steward, "Layout", {"id": place["layout_id"]}, name="Harbour")
    deletion = deleted(ground.steward, "Layout", {"id": place["layout_id"]})
    detail = in_the_way(undo(ground.steward, latest(ground.steward, place)))
    assert (
        detail
        == "The place Bay lies beneath the layout Harbour, which is deleted; bring that"
        " back first."
    )
    undone(ground.steward, deletion)
    undone(ground.steward, latest(ground.steward, place))
    assert ground.steward.read(one_of("Place", place))["name"] == "Bay"


def test_a_layout_under_which_places_came_is_not_undone_away(ground: Ground) -> None:
    place = ground.make("Place", name="Bay")
    creation = latest(ground.steward, {"id": place["layout_id"]})
    assert "place Bay belongs to the layout" in in_the_way(
        undo(ground.steward, creation)
    )


def act(caller: Caller, change: dict[str, Any]) -> httpx.Response:
    return caller.ask("POST", f"/v1/actions/{change['action_id']}/undo")


def test_a_layout_comes_back_with_its_places_and_yards_and_may_go_again(
    ground: Ground,
) -> None:
    layout = ground.make("Layout", name="Harbour")
    parts = [
        (noun, ground.make(noun, layout_id=layout["id"]))
        for noun in ("Place", "Yard", "Place")
    ]
    before = [ground.steward.read(one_of(noun, part)) for noun, part in parts]
    gone_before = ground.make("Place", layout_id=layout["id"])
    deleted(ground.steward, "Place", gone_before)
    response = act(ground.steward, deleted(ground.steward, "Layout", layout))
    assert response.status_code == 200, response.text
    changes = response.json()["changes"]
    assert (changes[0]["kind"], changes[0]["action"], changes[0]["version"]) == (
        "layouts",
        "restore",
        3,
    )
    assert {one["record_id"] for one in changes} == {
        layout["id"],
        *(part["id"] for _, part in parts),
    }
    assert {one["action_id"] for one in changes} == {response.json()["action_id"]}
    after = [ground.steward.read(one_of(noun, part)) for noun, part in parts]
    assert [body_of(one) for one in after] == [body_of(one) for one in before]
    refusal(ground.steward.ask("GET", one_of("Place", gone_before)), 404, "not_found")
    again = act(ground.steward, changes[0])
    assert again.status_code == 200, again.text
    assert {one["action"] for one in again.json()["changes"]} == {"delete"}
    refusal(ground.steward.ask("GET", one_of("Place", parts[0][1])), 404, "not_found")


def test_an_action_is_undone_whole_or_not_at_all(ground: Ground) -> None:
    layout = ground.make("Layout", name="Harbour")
    place = ground.make("Place", layout_id=layout["id"], name="Bay")
    deletion = deleted(ground.steward, "Layout", layout)
    ground.make("Layout", name="Harbour")
    count = len(ground.steward.read("/v1/history?limit=200")["items"])
    assert "called Harbour already" in in_the_way(act(ground.steward, deletion))
    assert len(ground.steward.read("/v1/history?limit=200")["items"]) == count
    refusal(ground.steward.ask("GET", one_of("Place", place)), 404, "not_found")


def test_the_last_way_in_is_not_undone_away(ground: Ground) -> None:
    other = ground.steward.with_member("member", "Hazel Marsh")
    path = f"/v1/members/{ground.steward.member_id}"
    assert other.ask("PATCH", path, {"role": "member"}, if_match="*").status_code == 403
    promotion = patched(
        ground.steward, "Member", {"id": other.member_id}, role="steward"
    )
    assert other.ask("PATCH", path, {"role": "member"}, if_match="*").status_code == 200
    assert "steward" in refusal(undo(other, promotion), 409, "in_use")["detail"]
    assert other.read(f"/v1/members/{other.member_id}")["role"] == "steward"


def test_a_member_comes_back_without_the_tokens(ground: Ground) -> None:
    member = ground.steward.with_member("layout_keeper", "Hazel Marsh")
    response = act(
        ground.steward, deleted(ground.steward, "Member", {"id": member.member_id})
    )
    assert [one["kind"] for one in response.json()["changes"]] == ["members"]
    assert (
        ground.steward.read(f"/v1/members/{member.member_id}")["name"] == "Hazel Marsh"
    )
    refusal(member.ask("GET", "/v1/club"), 401, "unauthenticated")


def test_the_founding_of_a_club_cannot_be_undone(ground: Ground) -> None:
    founding = latest(ground.steward, {"id": ground.steward.club_id})
    refusal(undo(ground.steward, founding), 403, "forbidden")
    refusal(act(ground.steward, founding), 403, "forbidden")


def test_whoever_may_make_a_change_may_undo_it_and_nobody_else(ground: Ground) -> None:
    member = ground.steward.with_member("member")
    keeper = ground.steward.with_member("layout_keeper")
    mine = ground.make("Vehicle", owner_id=member.member_id)
    theirs = ground.make("Vehicle")
    layout = ground.make("Layout")
    kinds = [
        ("Vehicle", mine),
        ("Vehicle", theirs),
        ("Layout", layout),
        ("Member", {"id": member.member_id}),
    ]
    for way in (undo, act):
        let_in = [
            [
                way(
                    caller, patched(ground.steward, noun, record, name="Other")
                ).status_code
                for noun, record in kinds
            ]
            for caller in (member, keeper, ground.steward)
        ]
        assert let_in == [
            [200, 403, 403, 403],
            [403, 403, 200, 403],
            [200, 200, 200, 200],
        ]


def test_stock_given_away_is_not_taken_back_by_undo(ground: Ground) -> None:
    member, other = (ground.steward.with_member("member") for _ in range(2))
    vehicle = ground.make("Vehicle", owner_id=member.member_id)
    gift = patched(ground.steward, "Vehicle", vehicle, owner_id=other.member_id)
    refusal(undo(member, gift), 403, "forbidden")
    refusal(undo(other, gift), 403, "forbidden")
    assert undo(ground.steward, gift).status_code == 200


def test_of_several_who_undo_at_once_one_does(ground: Ground) -> None:
    change = patched(ground.steward, "Vehicle", ground.make("Vehicle"), mass_g=40)
    with ThreadPoolExecutor(4) as pool:
        statuses = sorted(
            one.status_code
            for one in pool.map(lambda _: undo(ground.steward, change), range(4))
        )
    assert statuses == [200, 409, 409, 409]
    assert latest(ground.steward, {"id": change["record_id"]})["version"] == 3
