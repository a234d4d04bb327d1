"""A member's erasure: the name and the contact are in no table, no history, no kept
answer, no log and no answer.
"""

import logging
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import select

from api.asking import NOBODY, PASSPHRASE, Caller, Service, refusal
from api.ground import Ground
from api.sheets import imported, previewed
from standage.registry.database.tables import erasures, metadata
from standage.registry.forgetting import erasures as listed
from standage.registry.forgetting.erasing import Erasing
from standage.registry.forgetting.purging import purge

NAME, RENAMED, CONTACT = (
    "Zephyrine Quillfeather",
    "Zéphyrine Quill-Feather",
    "canary-4711@weir.example",
)
CANARIES = (NAME, RENAMED, CONTACT)


def erased(caller: Caller, member_id: str) -> dict[str, Any]:
    response = caller.ask("POST", f"/v1/members/{member_id}/erase")
    assert response.status_code == 200, response.text
    answer: dict[str, Any] = response.json()
    return answer


def leave_traces(steward: Caller) -> Caller:
    """Put a member on record and let them leave their name wherever a name can be left;
    return them.
    """
    body = {"name": NAME, "contact": CONTACT, "role": "layout_keeper"}
    made = steward.ask("POST", "/v1/members", body, idempotency_key="first")
    member_id = made.json()["id"]
    path = f"/v1/members/{member_id}"
    assert (
        steward.ask("PATCH", path, {"name": RENAMED}, if_match="*").status_code == 200
    )
    token = {
        "label": f"{NAME}'s laptop",
        "member_id": member_id,
        "scopes": ["read", "write"],
    }
    issued = steward.ask("POST", "/v1/tokens", token, idempotency_key="second").json()
    member = Caller(
        http=steward.http,
        token=issued["token"],
        club_id=steward.club_id,
        member_id=member_id,
    )
    spare = steward.made("/v1/tokens", token)
    assert (
        steward.ask("DELETE", f"/v1/tokens/{spare['id']}", if_match="*").status_code
        == 204
    )
    van = {
        "name": f"{NAME}'s van",
        "number": RENAMED,
        "notes": f"Ask {CONTACT.upper()} before lifting.",
    }
    kept = member.ask("POST", "/v1/vehicles", van, idempotency_key="third").json()
    gone = member.made("/v1/vehicles", van)
    assert (
        member.ask(
            "PATCH", f"/v1/vehicles/{kept['id']}", {"mass_g": 40}, if_match="*"
        ).status_code
        == 200
    )
    assert (
        member.ask("DELETE", f"/v1/vehicles/{gone['id']}", if_match="*").status_code
        == 204
    )
    layout = member.made("/v1/layouts", {"name": "Harbour"})
    member.visiting(layout["id"], label=f"Friends of {NAME}")
    soon = {
        "label": f"for {NAME}",
        "member_id": member_id,
        "expires_at": "2026-05-03T10:00:00Z",
    }
    steward.made("/v1/invitations", soon)
    steward.invited(member_id, NAME)
    about = {
        "club_id": steward.club_id,
        "sign_in_name": NAME,
        "passphrase": PASSPHRASE,
        "label": f"{NAME}'s phone",
    }
    steward.made("/v1/sessions", about)
    return member


def found_in(service: Service) -> set[str]:
    """Return the tables in which any canary stands, whatever the case of its
    letters.
    """
    found = set()
    with service.database.read() as connection:
        for table in metadata.sorted_tables:
            for row in connection.execute(select(table)):
                text = " ".join(
                    str(bytes(one).decode() if isinstance(one, bytes) else one)
                    for one in row
                ).casefold()
                found |= {
                    table.name for canary in CANARIES if canary.casefold() in text
                }
    return found


def told_anywhere(caller: Caller) -> list[str]:
    paths = ("members", "tokens", "vehicles", "history?limit=200", "deleted-records")
    texts = {path: caller.ask("GET", f"/v1/{path}").text.casefold() for path in paths}
    return [
        path
        for path, text in texts.items()
        for canary in CANARIES
        if canary.casefold() in text
    ]


@pytest.mark.parametrize("whose", ["the member's own", "a steward's"])
def test_nothing_of_the_name_and_the_contact_is_left(
    service: Service, steward: Caller, whose: str
) -> None:
    member = leave_traces(steward)
    assert found_in(service) == {
        *("members", "tokens", "vehicles", "history", "idempotency"),
        *("invitations", "share_links", "sessions", "passphrases"),
    }
    assert set(told_anywhere(steward)) >= {
        "members",
        "history?limit=200",
        "vehicles",
        "deleted-records",
    }
    erased(member if whose == "the member's own" else steward, member.member_id)
    assert found_in(service) == set()
    assert told_anywhere(steward) == []
    refusal(member.ask("GET", "/v1/club"), 401, "unauthenticated")


def test_what_is_left_is_an_id_under_which_the_stock_stays(
    service: Service, ground: Ground
) -> None:
    member = leave_traces(ground.steward)
    other = ground.make("Vehicle", name=f"Gift of {NAME}")
    answer = erased(ground.steward, member.member_id)
    left = ground.steward.read(f"/v1/members/{member.member_id}")
    assert (left["name"], left["role"], left["version"]) == (
        "Former member",
        "member",
        3,
    )
    assert "contact" not in left
    vehicles = ground.steward.read(f"/v1/vehicles?owner_id={member.member_id}")["items"]
    assert [
        (one["name"], one["number"], one["notes"], one["mass_g"]) for one in vehicles
    ] == [("*'s van", "*", "Ask * before lifting.", 40)]
    assert (
        ground.steward.read(f"/v1/vehicles/{other['id']}")["name"] == f"Gift of {NAME}"
    )
    assert "Remarks and names that other members wrote" in answer["not_searched"]
    assert ground.steward.read("/v1/layouts")["items"][0]["name"] == "Harbour"


def test_history_still_tells_what_was_done_and_by_which_id(ground: Ground) -> None:
    member = leave_traces(ground.steward)
    before = ground.steward.read("/v1/history?limit=200")["items"]
    erased(ground.steward, member.member_id)
    after = ground.steward.read("/v1/history?limit=200")["items"]
    new = [one for one in after if one["id"] not in {old["id"] for old in before}]
    assert sorted((one["kind"], one["action"]) for one in new) == [
        ("invitations", "delete"),
        ("members", "erase"),
        ("share-links", "delete"),
        ("tokens", "delete"),
        ("vehicles", "erase"),
    ]
    assert len({one["action_id"] for one in new}) == 1
    told = [
        (one["id"], one["action"], one["version"], one["member_id"], one["at"])
        for one in after[len(new) :]
    ]
    assert told == [
        (one["id"], one["action"], one["version"], one["member_id"], one["at"])
        for one in before
    ]
    assert {
        one["member_name"] for one in after if one["member_id"] == member.member_id
    } == {"Former member"}


def test_an_erasure_cannot_be_undone_nor_what_came_before_it(ground: Ground) -> None:
    member = leave_traces(ground.steward)
    erased(ground.steward, member.member_id)
    for change in ground.steward.read(f"/v1/history?record_id={member.member_id}")[
        "items"
    ]:
        refusal(
            ground.steward.ask("POST", f"/v1/history/{change['id']}/undo"),
            409,
            "cannot_undo",
        )
    action_id = ground.steward.read("/v1/history?action=erase")["items"][0]["action_id"]
    refused = ground.steward.ask("POST", f"/v1/actions/{action_id}/undo")
    assert "kept nowhere" in refusal(refused, 409, "cannot_undo")["detail"]


def test_a_member_erases_nobody_else_and_a_steward_anybody(ground: Ground) -> None:
    member, keeper = (
        ground.steward.with_member(role) for role in ("member", "layout_keeper")
    )
    for caller, other in ((member, keeper), (keeper, member), (member, ground.steward)):
        refusal(
            caller.ask("POST", f"/v1/members/{other.member_id}/erase"), 403, "forbidden"
        )
    erased(keeper, keeper.member_id)
    erased(ground.steward, member.member_id)


def test_the_last_steward_who_can_get_in_is_not_erased(
    service: Service, steward: Caller
) -> None:
    path = f"/v1/members/{steward.member_id}/erase"
    before = found_in_list(service)
    detail = refusal(steward.ask("POST", path), 409, "in_use")["detail"]
    assert "must keep a steward with a working token" in detail
    assert steward.read(f"/v1/members/{steward.member_id}")["name"] == "Robin Vale"
    assert found_in_list(service) == before
    other = steward.with_member("steward", "Hazel Marsh")
    erased(steward, steward.member_id)
    refusal(steward.ask("GET", "/v1/club"), 401, "unauthenticated")
    assert other.read("/v1/members")["items"]


def found_in_list(service: Service) -> list[listed.Erasure]:
    return listed.read(service.database.erasures_file)


def test_the_answer_says_until_when_backups_hold_the_name(
    service: Service, ground: Ground
) -> None:
    service.clock.move(timedelta(days=3))
    answer = erased(ground.steward, ground.make("Member")["id"])
    assert (answer["erased_at"], answer["in_backups_until"]) == (
        "2026-05-04T10:00:00Z",
        "2026-06-03T10:00:00Z",
    )
    assert answer["database_files"] == (
        "wiped" if service.database.dialect == "sqlite" else "to_be_wiped"
    )


def test_an_erasure_is_put_down_outside_the_database_by_ids_only(
    service: Service, ground: Ground
) -> None:
    member = ground.make("Member", name=NAME, contact=CONTACT)
    before = found_in_list(service)
    erased(ground.steward, member["id"])
    assert found_in_list(service) == [
        *before,
        listed.Erasure(
            club_id=ground.steward.club_id, member_id=member["id"], at=service.clock.now
        ),
    ]
    with service.database.read() as connection:
        (row,) = connection.execute(select(erasures)).all()
    assert (row.member_id, row.club_id, row.at) == (
        member["id"],
        ground.steward.club_id,
        service.clock.now,
    )
    assert (row.wiped_at is None) == (service.database.dialect == "postgresql")


def test_a_member_who_was_deleted_before_can_still_be_erased(
    service: Service, steward: Caller
) -> None:
    member = leave_traces(steward)
    vehicle = steward.read("/v1/vehicles")["items"][0]
    assert (
        steward.ask("DELETE", f"/v1/vehicles/{vehicle['id']}", if_match="*").status_code
        == 204
    )
    assert (
        steward.ask(
            "DELETE", f"/v1/members/{member.member_id}", if_match="*"
        ).status_code
        == 204
    )
    erased(steward, member.member_id)
    assert found_in(service) == set()
    refusal(steward.ask("GET", f"/v1/members/{member.member_id}"), 404, "not_found")
    refusal(
        steward.ask("POST", f"/v1/deleted-records/{member.member_id}/restore"),
        404,
        "not_found",
    )


def test_who_was_erased_already_may_be_erased_again(
    service: Service, steward: Caller
) -> None:
    member = leave_traces(steward)
    for _ in range(2):
        erased(steward, member.member_id)
    assert found_in(service) == set()
    assert steward.read(f"/v1/members/{member.member_id}")["version"] == 4


def test_nobody_is_erased_who_is_not_of_the_club(
    service: Service, steward: Caller
) -> None:
    other = service.club("Millpond Society").with_member("member")
    said: set[str] = set()
    for member_id in (other.member_id, NOBODY):
        problem = refusal(
            steward.ask("POST", f"/v1/members/{member_id}/erase"), 404, "not_found"
        )
        said.add(problem["detail"])
    assert said == {"There is no such member."}
    assert other.ask("GET", "/v1/club").status_code == 200


def test_another_club_where_the_same_name_stands_is_left_alone(
    service: Service, steward: Caller
) -> None:
    other = service.club("Millpond Society")
    theirs = leave_traces(other)
    erased(steward, leave_traces(steward).member_id)
    assert other.read(f"/v1/members/{theirs.member_id}")["name"] == RENAMED
    assert theirs.ask("GET", "/v1/club").status_code == 200


def test_a_file_that_was_taken_in_is_forgotten_where_the_name_stands_in_it(
    ground: Ground,
) -> None:
    member_id = leave_traces(ground.steward).member_id
    named, other = (
        ground.steward.send(
            "POST", "/v1/stock-imports", sheet.encode(), content_type="text/csv"
        ).headers["location"]
        for sheet in (
            f"Name,Remarks\nOre wagon,from {NAME}\n",
            "Name,Remarks\nOre wagon,from the fair\n",
        )
    )
    assert ground.steward.ask("GET", named).status_code == 200
    erased(ground.steward, member_id)
    refusal(ground.steward.ask("GET", named), 404, "not_found")
    assert ground.steward.ask("GET", other).status_code == 200


def mapped_to(steward: Caller, member: dict[str, Any], sheet: str) -> dict[str, Any]:
    """Return the preview of a file of stock that a steward sends in for a member, whose
    name is not in it.
    """
    preview = previewed(steward, sheet)
    mapping = {**preview["mapping"], "owner_id": member["id"]}
    put = steward.ask(
        "PUT", f"/v1/stock-imports/{preview['id']}/mapping", mapping, if_match="*"
    )
    assert put.status_code == 200, put.text
    answer: dict[str, Any] = put.json()
    return answer


def test_a_file_is_forgotten_where_the_name_stands_only_in_what_it_would_change(
    ground: Ground,
) -> None:
    member = ground.make("Member", name=NAME)
    ground.make("Vehicle", name=f"{NAME}'s van", number="47", owner_id=member["id"])
    preview = mapped_to(ground.steward, member, "Number,Name,Weight\n47,Goods van,40\n")
    path = f"/v1/stock-imports/{preview['id']}"
    assert NAME in ground.steward.ask("GET", f"{path}/rows").text
    erased(ground.steward, member["id"])
    refusal(ground.steward.ask("GET", path), 404, "not_found")


def test_a_key_that_an_import_made_of_a_name_is_struck(ground: Ground) -> None:
    member = ground.make("Member", name=NAME)
    preview = mapped_to(ground.steward, member, f"Name\n{NAME}'s van\n")
    assert imported(ground.steward, preview).status_code == 200
    [made] = ground.steward.read("/v1/vehicles")["items"]
    assert (made["external_key"], made["owner_id"]) == (f"{NAME}'s van", member["id"])
    erased(ground.steward, member["id"])
    [left] = ground.steward.read("/v1/vehicles")["items"]
    assert (left["name"], left["external_key"]) == ("*'s van", "*'s van")
    assert (
        NAME
        not in ground.steward.ask("GET", f"/v1/history?record_id={made['id']}").text
    )


def test_what_a_member_took_in_goes_with_them(ground: Ground) -> None:
    member = ground.steward.with_member("member")
    sheet = b"Name,Number\nOre wagon,47\n"
    address = member.send(
        "POST", "/v1/stock-imports", sheet, content_type="text/csv"
    ).headers["location"]
    erased(ground.steward, member.member_id)
    refusal(ground.steward.ask("GET", address), 404, "not_found")


def test_a_name_is_struck_out_only_where_it_stands_whole(ground: Ground) -> None:
    member = ground.make("Member", name="Rose")
    names = ("Rose", "rose's van", "Rosehip wagon", "Primrose", "ROSE and Primrose")
    for name in names:
        ground.make("Vehicle", name=name, owner_id=member["id"])
    erased(ground.steward, member["id"])
    left = {one["name"] for one in ground.steward.read("/v1/vehicles")["items"]}
    assert left == {"*", "*'s van", "Rosehip wagon", "Primrose", "* and Primrose"}


def test_a_deleted_member_is_forgotten_by_itself_after_thirty_days(
    service: Service, steward: Caller
) -> None:
    member = leave_traces(steward)
    vehicle = steward.read("/v1/vehicles")["items"][0]
    assert (
        steward.ask("DELETE", f"/v1/vehicles/{vehicle['id']}", if_match="*").status_code
        == 204
    )
    assert (
        steward.ask(
            "DELETE", f"/v1/members/{member.member_id}", if_match="*"
        ).status_code
        == 204
    )
    service.clock.move(timedelta(days=30))
    assert "members" in found_in(service)
    with service.database.write() as connection:
        purge(Erasing(connection, service.clock.now))
    assert found_in(service) == set()


def test_no_log_names_anybody(
    steward: Caller, caplog: pytest.LogCaptureFixture
) -> None:
    with caplog.at_level(logging.DEBUG):
        member = leave_traces(steward)
        refused = member.ask("POST", "/v1/members", {"name": NAME, "contact": CONTACT})
        refusal(refused, 403, "forbidden")
        steward.ask(
            "POST", "/v1/members", {"name": NAME, "contact": CONTACT, "role": "driver"}
        )
        erased(steward, member.member_id)
    logged = caplog.text.casefold()
    assert [canary for canary in CANARIES if canary.casefold() in logged] == []
