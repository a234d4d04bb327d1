"""Of two devices that change one record the second is refused: what it meant stands on
a list for who manages.
"""

from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import func, select

from api.asking import Caller, Service, faults, refusal
from api.ground import Ground, one_of
from standage.registry.database.tables import refused_changes
from standage.registry.forgetting.erasing import Erasing
from standage.registry.writing.refused_changes import (
    LONGEST_SENT,
    MOST_KEPT,
    forget_old_refused,
)

PATH = "/v1/refused-changes"


def listed(caller: Caller, query: str = "") -> list[dict[str, Any]]:
    return list(caller.read(f"{PATH}{query}")["items"])


def too_late(caller: Caller, path: str, body: Any, *, method: str = "PATCH") -> None:
    """Send a change of the first version of a record, which is not the present one any
    more.
    """
    refusal(
        caller.ask(method, path, body, if_match='"v1-not-the-present"'), 412, "stale"
    )


@pytest.fixture
def phone(ground: Ground) -> Caller:
    return ground.steward.with_member("member")


def test_the_second_of_two_devices_is_told_of_with_who_and_what(
    service: Service, ground: Ground
) -> None:
    phone = ground.steward.with_member("member", "Sam Reed")
    van = ground.make("Vehicle", owner_id=phone.member_id, name="Churn van")
    path = f"/v1/vehicles/{van['id']}"
    seen = phone.ask("GET", path).headers["etag"]
    assert (
        ground.steward.ask("PATCH", path, {"mass_g": 52}, if_match=seen).status_code
        == 200
    )
    refusal(
        phone.ask("PATCH", path, {"mass_g": 58, "notes": "weighed"}, if_match=seen),
        412,
        "stale",
    )
    (told,) = listed(ground.steward)
    wanted = {
        "kind": "vehicles",
        "record_id": van["id"],
        "record_name": "Churn van",
        "verb": "update",
        "member_id": phone.member_id,
        "member_name": "Sam Reed",
        "seen": seen,
        "version": 2,
        "times": 1,
        "at": "2026-05-01T10:00:00Z",
        "last_at": "2026-05-01T10:00:00Z",
        "sent": {"mass_g": 58, "notes": "weighed"},
    }
    assert {name: told[name] for name in wanted} == wanted
    assert set(told) == {*wanted, "id", "token_id"}
    assert ground.steward.read(path)["mass_g"] == 52


@pytest.mark.parametrize(
    ("method", "verb"), [("PUT", "replace"), ("PATCH", "update"), ("DELETE", "delete")]
)
@pytest.mark.parametrize(
    "noun", ["Club", "Member", "Vehicle", "Train", "Place", "Yard", "Layout"]
)
def test_every_sort_of_change_of_a_record_is_told_of(
    ground: Ground, noun: str, method: str, verb: str
) -> None:
    if (noun, method) == ("Club", "DELETE"):
        return
    record = ground.steward.read("/v1/club") if noun == "Club" else ground.make(noun)
    body = None if method == "DELETE" else ground.body(noun)
    too_late(ground.steward, one_of(noun, record), body, method=method)
    (told,) = listed(ground.steward)
    assert (told["record_id"], told["verb"], told.get("sent")) == (
        record["id"],
        verb,
        body,
    )


def test_what_is_refused_for_another_reason_is_not_listed(
    ground: Ground, phone: Caller
) -> None:
    path = one_of("Vehicle", ground.make("Vehicle"))
    refusal(phone.ask("PATCH", path, {"mass_g": 1}, if_match='"v9"'), 403, "forbidden")
    assert faults(
        ground.steward.ask("PATCH", path, {"mass_g": -1}, if_match='"v9"')
    ) == {"/mass_g": "too_small"}
    refusal(
        ground.steward.ask("PATCH", path, {"mass_g": 1}), 428, "precondition_required"
    )
    assert listed(ground.steward) == []


def test_a_member_sees_their_own_and_whoever_manages_sees_all(
    service: Service, ground: Ground, phone: Caller
) -> None:
    keeper, other = (
        ground.steward.with_member("layout_keeper"),
        ground.steward.with_member("member"),
    )
    mine, theirs = (
        ground.make("Vehicle", owner_id=one.member_id) for one in (phone, other)
    )
    too_late(phone, one_of("Vehicle", mine), {"mass_g": 1})
    too_late(other, one_of("Vehicle", theirs), {"mass_g": 2})
    too_late(ground.steward, one_of("Token", ground.make("Token")), {"label": "hall"})
    seen = {
        name: sorted(one["kind"] + one["member_id"] for one in listed(caller))
        for name, caller in {
            "phone": phone,
            "keeper": keeper,
            "steward": ground.steward,
        }.items()
    }
    both = sorted([f"vehicles{phone.member_id}", f"vehicles{other.member_id}"])
    assert seen == {
        "phone": [f"vehicles{phone.member_id}"],
        "keeper": both,
        "steward": sorted([*both, f"tokens{ground.steward.member_id}"]),
    }
    assert listed(phone, f"?member_id={other.member_id}") == []
    assert len(listed(keeper, f"?member_id={other.member_id}")) == 1
    assert listed(keeper, f"?record_id={mine['id']}")[0]["sent"] == {"mass_g": 1}
    assert listed(ground.steward, "?kind=trains") == []
    assert listed(service.club("Millpond Society")) == []


def test_a_device_that_sends_the_same_over_and_over_fills_one_row(
    service: Service, ground: Ground
) -> None:
    path = one_of("Vehicle", ground.make("Vehicle"))
    for _ in range(3):
        too_late(ground.steward, path, {"mass_g": 1})
        service.clock.move(timedelta(minutes=5))
    (told,) = listed(ground.steward)
    assert (told["times"], told["at"], told["last_at"]) == (
        3,
        "2026-05-01T10:00:00Z",
        "2026-05-01T10:10:00Z",
    )
    too_late(ground.steward, path, {"mass_g": 2})
    assert [one["sent"]["mass_g"] for one in listed(ground.steward)] == [2, 1]


def test_the_list_comes_in_pages(service: Service, ground: Ground) -> None:
    path = one_of("Vehicle", ground.make("Vehicle"))
    for mass_g in range(1, 6):
        too_late(ground.steward, path, {"mass_g": mass_g})
        service.clock.move(timedelta(seconds=1))
    found, address = [], f"{PATH}?limit=2&sort=at"
    while address:
        page = ground.steward.read(address)
        found += [one["sent"]["mass_g"] for one in page["items"]]
        address = page.get("next", "")
    assert found == [1, 2, 3, 4, 5]


def test_what_was_refused_is_forgotten_after_three_days(
    service: Service, ground: Ground
) -> None:
    too_late(ground.steward, one_of("Vehicle", ground.make("Vehicle")), {"mass_g": 1})
    service.clock.move(timedelta(hours=71, minutes=59))
    assert len(listed(ground.steward)) == 1
    service.clock.move(timedelta(minutes=1))
    assert listed(ground.steward) == []
    with service.database.write() as connection:
        assert forget_old_refused(Erasing(connection, service.clock.now)) == 1
        assert connection.scalar(select(func.count()).select_from(refused_changes)) == 0


def test_the_list_does_not_grow_without_end(
    service: Service, ground: Ground, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert MOST_KEPT == 200
    monkeypatch.setattr("standage.registry.writing.refused_changes.MOST_KEPT", 3)
    other = Ground(service.club("Millpond Society"))
    too_late(other.steward, one_of("Vehicle", other.make("Vehicle")), {"mass_g": 1})
    path = one_of("Vehicle", ground.make("Vehicle"))
    for mass_g in range(1, 6):
        too_late(ground.steward, path, {"mass_g": mass_g})
        service.clock.move(timedelta(seconds=1))
    assert [one["sent"]["mass_g"] for one in listed(ground.steward)] == [5, 4, 3]
    assert len(listed(other.steward)) == 1


def test_of_what_is_too_long_is_told_who_meant_it(
    ground: Ground, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert LONGEST_SENT == 16384
    monkeypatch.setattr("standage.registry.writing.refused_changes.LONGEST_SENT", 100)
    path = one_of("Vehicle", ground.make("Vehicle"))
    too_late(ground.steward, path, {"notes": "n" * 90})
    (told,) = listed(ground.steward)
    assert (told["member_id"], "sent" in told) == (ground.steward.member_id, False)


@pytest.mark.parametrize(
    "remark", ['"\\\\ud800"', "1e999", "9" * 400, "[" * 40 + "]" * 40]
)
def test_what_cannot_be_told_again_is_no_failure(ground: Ground, remark: str) -> None:
    """What comes back under ``assumed`` counts for nothing, and may be of any shape."""
    path = one_of("Vehicle", ground.make("Vehicle"))
    raw = f'{{"mass_g": 1, "assumed": {remark}}}'.encode()
    answer = ground.steward.send(
        "PATCH", path, raw, if_match='"v9"', content_type="application/merge-patch+json"
    )
    assert answer.status_code in {412, 422}, answer.text
    assert len(listed(ground.steward)) == (1 if answer.status_code == 412 else 0)


def test_a_deletion_with_a_body_of_any_sort_is_no_failure(ground: Ground) -> None:
    path = one_of("Vehicle", ground.make("Vehicle"))
    answer = ground.steward.send("DELETE", path, b"\xff\x00", if_match='"v9"')
    assert answer.status_code < 500, answer.text
    assert all("sent" not in one for one in listed(ground.steward))


def test_an_erased_member_is_gone_from_the_list(
    service: Service, ground: Ground
) -> None:
    member = ground.steward.with_member("member", "Zephyrine Quillfeather")
    own, other = (
        ground.make("Vehicle", owner_id=member.member_id),
        ground.make("Vehicle"),
    )
    too_late(member, one_of("Vehicle", own), {"mass_g": 1})
    too_late(ground.steward, f"/v1/members/{member.member_id}", {"contact": "box 7"})
    too_late(
        ground.steward,
        one_of("Vehicle", other),
        {"notes": "lent to ZEPHYRINE quillfeather"},
    )
    too_late(ground.steward, one_of("Vehicle", other), {"owner_id": member.member_id})
    too_late(ground.steward, one_of("Vehicle", other), {"notes": "stays"})
    assert (
        ground.steward.ask("POST", f"/v1/members/{member.member_id}/erase").status_code
        == 200
    )
    assert [one["sent"] for one in listed(ground.steward)] == [{"notes": "stays"}]
    with service.database.read() as connection:
        assert connection.scalar(select(func.count()).select_from(refused_changes)) == 1
