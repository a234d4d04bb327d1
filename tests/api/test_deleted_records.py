"""Deleted records: listed, brought back under the same id for thirty days, and gone for
good after that.
"""

from datetime import timedelta
from typing import Any

import pytest

from api.asking import NOBODY, WITHOUT_LIMITS, Caller, Service, refusal, serving
from api.ground import COMING_BACK, Ground, one_of
from api.test_lists import pages
from standage.registry.forgetting.erasing import Erasing
from standage.registry.forgetting.purging import purge
from standage.registry.records.kinds import KINDS

THIRTY_DAYS = timedelta(days=30)


def remove(caller: Caller, noun: str, record: dict[str, Any]) -> None:
    response = caller.ask("DELETE", one_of(noun, record), if_match="*")
    assert response.status_code == 204, response.text


def listed(caller: Caller, query: str = "") -> list[dict[str, Any]]:
    return [
        item
        for page in pages(caller, f"/v1/deleted-records?limit=2&{query}")
        for item in page["items"]
    ]


def restore_path(record: dict[str, Any]) -> str:
    return f"/v1/deleted-records/{record['id']}/restore"


@pytest.mark.parametrize("noun", COMING_BACK)
def test_what_was_deleted_is_listed_and_comes_back_as_it_was(
    service: Service, ground: Ground, noun: str
) -> None:
    record = ground.make(noun)
    before = ground.steward.read(one_of(noun, record))
    service.clock.move(timedelta(hours=1))
    remove(ground.steward, noun, record)
    (found,) = listed(ground.steward, f"kind={kind_of(ground, record)}")
    assert (found["id"], found["name"], found["member_name"]) == (
        record["id"],
        before["name"],
        "Robin Vale",
    )
    assert (found["deleted_at"], found["kept_until"]) == (
        "2026-05-01T11:00:00Z",
        "2026-05-31T11:00:00Z",
    )
    assert ground.steward.read(f"/v1/deleted-records/{record['id']}") == found
    response = ground.steward.ask("POST", restore_path(record))
    assert response.status_code == 200, response.text
    after = ground.steward.ask("GET", one_of(noun, record))
    assert after.headers["etag"] == response.headers["etag"]
    assert response.headers["etag"].startswith('"v3-')
    changed = {"version": 3, "updated_at": "2026-05-01T11:00:00Z"}
    assert after.json() == before | changed
    assert listed(ground.steward) == []
    refusal(
        ground.steward.ask("GET", f"/v1/deleted-records/{record['id']}"),
        404,
        "not_found",
    )
    refusal(ground.steward.ask("POST", restore_path(record)), 404, "not_found")


def kind_of(ground: Ground, record: dict[str, Any]) -> str:
    return str(
        ground.steward.read(f"/v1/history?record_id={record['id']}")["items"][0]["kind"]
    )


def test_a_layout_comes_back_with_what_went_with_it_and_no_more(ground: Ground) -> None:
    layout, other = ground.make("Layout"), ground.make("Layout")
    parts = [
        ("Place", ground.make("Place", layout_id=layout["id"])),
        ("Yard", ground.make("Yard", layout_id=layout["id"])),
    ]
    earlier = ground.make("Place", layout_id=layout["id"])
    elsewhere = ground.make("Place", layout_id=other["id"])
    remove(ground.steward, "Place", earlier)
    remove(ground.steward, "Layout", layout)
    remove(ground.steward, "Layout", other)
    assert len(listed(ground.steward)) == 6
    assert ground.steward.ask("POST", restore_path(layout)).status_code == 200
    for noun, part in parts:
        assert ground.steward.read(one_of(noun, part))["version"] == 3
    left = {one["id"] for one in listed(ground.steward)}
    assert left == {earlier["id"], elsewhere["id"], other["id"]}
    refused = refusal(
        ground.steward.ask("POST", restore_path(elsewhere)), 409, "cannot_undo"
    )
    assert "lies beneath the layout" in refused["detail"]
    assert ground.steward.ask("POST", restore_path(earlier)).status_code == 200


def test_what_is_in_the_way_is_named(ground: Ground) -> None:
    layout = ground.make("Layout", name="Harbour")
    remove(ground.steward, "Layout", layout)
    ground.make("Layout", name="Harbour")
    refused = refusal(
        ground.steward.ask("POST", restore_path(layout)), 409, "cannot_undo"
    )
    assert "there is a layout called Harbour already" in refused["detail"]
    member = ground.make("Member", name="Kit Marsh")
    vehicle = ground.make("Vehicle", name="Crane", owner_id=member["id"])
    remove(ground.steward, "Vehicle", vehicle)
    remove(ground.steward, "Member", member)
    refused = refusal(
        ground.steward.ask("POST", restore_path(vehicle)), 409, "cannot_undo"
    )
    assert (
        refused["detail"]
        == "The vehicle Crane: names the member Kit Marsh, which is deleted."
    )


def test_tokens_are_never_listed_nor_brought_back(ground: Ground) -> None:
    token = ground.make("Token")
    remove(ground.steward, "Token", token)
    assert listed(ground.steward) == []
    refusal(
        ground.steward.ask("GET", f"/v1/deleted-records/{token['id']}"),
        404,
        "not_found",
    )
    refusal(ground.steward.ask("POST", restore_path(token)), 404, "not_found")


def test_what_was_deleted_can_be_narrowed_and_goes_either_way(
    service: Service, ground: Ground
) -> None:
    keeper = ground.steward.with_member("layout_keeper")
    gone = [
        ("Vehicle", ground.make("Vehicle")),
        ("Layout", ground.make("Layout")),
        ("Train", ground.make("Train")),
    ]
    for noun, record in gone:
        service.clock.move(timedelta(minutes=1))
        remove(keeper if noun == "Layout" else ground.steward, noun, record)
    ids = [record["id"] for _, record in gone]
    assert [one["id"] for one in listed(ground.steward)] == ids[::-1]
    assert [one["id"] for one in listed(ground.steward, "sort=deleted_at")] == ids
    assert [one["id"] for one in listed(ground.steward, "kind=layouts")] == ids[1:2]
    assert [
        one["id"] for one in listed(ground.steward, f"member_id={keeper.member_id}")
    ] == ids[1:2]


def test_whoever_may_record_it_may_bring_it_back(ground: Ground) -> None:
    member = ground.steward.with_member("member")
    mine, theirs = (
        ground.make("Vehicle", owner_id=member.member_id),
        ground.make("Vehicle"),
    )
    layout = ground.make("Layout")
    for noun, record in (("Vehicle", mine), ("Vehicle", theirs), ("Layout", layout)):
        remove(ground.steward, noun, record)
    assert [
        member.ask("POST", restore_path(one)).status_code
        for one in (mine, theirs, layout)
    ] == [200, 403, 403]


def test_another_clubs_deleted_records_are_not_there(
    service: Service, ground: Ground
) -> None:
    gone = ground.make("DeletedRecord")
    other = service.club("Millpond Society")
    assert listed(other) == []
    refusal(other.ask("GET", f"/v1/deleted-records/{gone['id']}"), 404, "not_found")
    refusal(other.ask("POST", restore_path(gone)), 404, "not_found")


@pytest.mark.parametrize("swept", [False, True])
def test_after_thirty_days_it_is_gone_for_good(
    service: Service, ground: Ground, *, swept: bool
) -> None:
    place, kept = ground.make("Place"), ground.make("Vehicle")
    layout = {"id": place["layout_id"]}
    remove(ground.steward, "Layout", layout)
    service.clock.move(timedelta(minutes=1))
    remove(ground.steward, "Vehicle", kept)
    service.clock.move(THIRTY_DAYS - timedelta(minutes=1))
    change = ground.steward.read(f"/v1/history?record_id={layout['id']}")["items"][0]
    assert sweep(service) == 2 if swept else True
    assert [one["id"] for one in listed(ground.steward)] == [kept["id"]]
    for gone in (layout, place):
        refusal(
            ground.steward.ask("GET", f"/v1/deleted-records/{gone['id']}"),
            404,
            "not_found",
        )
        refusal(ground.steward.ask("POST", restore_path(gone)), 404, "not_found")
    refused = refusal(
        ground.steward.ask("POST", f"/v1/history/{change['id']}/undo"),
        409,
        "cannot_undo",
    )
    assert "gone for good" in refused["detail"]
    assert ground.steward.ask("POST", restore_path(kept)).status_code == 200
    assert (
        ground.steward.read(f"/v1/history?record_id={place['id']}")["items"][0][
            "action"
        ]
        == "delete"
    )
    assert rows_of(service, "places", place["id"]) == (0 if swept else 1)


def sweep(service: Service) -> int:
    with service.database.write() as connection:
        return purge(Erasing(connection, service.clock.now))


def rows_of(service: Service, kind: str, record_id: str) -> int:
    table = KINDS[kind].table
    with service.database.read() as connection:
        return len(
            connection.execute(table.select().where(table.c.id == record_id)).all()
        )


def test_the_service_takes_out_what_is_too_old_by_itself(
    service: Service, ground: Ground
) -> None:
    gone = ground.make("DeletedRecord")
    service.clock.move(THIRTY_DAYS)
    assert rows_of(service, "vehicles", gone["id"]) == 1
    with serving(service.database, service.clock, WITHOUT_LIMITS) as other:
        for _ in range(100):
            other.http.get("/health/live")
            if rows_of(service, "vehicles", gone["id"]) == 0:
                break
    assert rows_of(service, "vehicles", gone["id"]) == 0


@pytest.mark.parametrize("noun", COMING_BACK)
def test_a_404_of_what_was_deleted_says_where_to_bring_it_back(
    ground: Ground, noun: str
) -> None:
    record = ground.make(noun)
    path, called = one_of(noun, record), record.get("name", record.get("label"))
    remove(ground.steward, noun, record)
    asked: list[tuple[str, Any, dict[str, str]]] = [
        ("GET", None, {}),
        ("DELETE", None, {"if_match": "*"}),
        ("PATCH", {}, {"if_match": "*"}),
    ]
    for method, body, headers in asked:
        detail = refusal(
            ground.steward.ask(method, path, body, **headers), 404, "not_found"
        )["detail"]
        assert f"POST {restore_path(record)}" in detail
        assert f"{called} was deleted on 2026-05-01, and until 2026-05-31" in detail
    assert ground.steward.ask("POST", restore_path(record)).status_code == 200
    assert ground.steward.ask("GET", path).status_code == 200


def test_what_lay_beneath_comes_back_with_what_it_lay_beneath(ground: Ground) -> None:
    place = ground.make("Place")
    layout = {"id": place["layout_id"]}
    remove(ground.steward, "Layout", layout)
    for path in (one_of("Place", place), f"/v1/layouts/{layout['id']}/places"):
        assert (
            restore_path(layout)
            in refusal(ground.steward.ask("GET", path), 404, "not_found")["detail"]
        )


def test_of_what_was_deleted_nobody_is_told_who_may_not_read_of_it(
    service: Service, ground: Ground
) -> None:
    record, layout, token = (
        ground.make("Vehicle"),
        ground.make("Layout"),
        ground.make("Token"),
    )
    visitor = ground.steward.visiting(layout["id"])
    remove(ground.steward, "Vehicle", record)
    remove(ground.steward, "Token", token)
    stranger = service.club("Millpond Society")
    writer = ground.steward.with_token(scopes=["write"])
    untold = [
        (stranger, "GET", one_of("Vehicle", record)),
        (writer, "DELETE", one_of("Vehicle", record)),
        (ground.steward, "GET", one_of("Token", token)),
        (visitor, "GET", f"/v1/layouts/{record['id']}"),
    ]
    for caller, method, path in untold:
        detail = refusal(caller.ask(method, path, if_match="*"), 404, "not_found")[
            "detail"
        ]
        assert "deleted" not in detail, path
    member = ground.steward.with_member("member")
    assert (
        "deleted"
        in refusal(member.ask("GET", one_of("Vehicle", record)), 404, "not_found")[
            "detail"
        ]
    )


def test_what_cannot_come_back_any_more_is_only_absent(
    service: Service, ground: Ground
) -> None:
    record, never = ground.make("Vehicle"), {"id": NOBODY}
    remove(ground.steward, "Vehicle", record)
    service.clock.move(THIRTY_DAYS)
    answers = [
        ground.steward.ask("GET", one_of("Vehicle", one)) for one in (record, never)
    ]
    assert len({refusal(one, 404, "not_found")["detail"] for one in answers}) == 1
