"""What a member may take away: all that is theirs, nothing of anybody else's, in the
form of a club's document.
"""

import json
from typing import Any

from openapi_schema_validator import OAS31Validator

from api.asking import Caller
from contract.shapes import resolved
from contract.test_document import DOCUMENT
from standage.registry.moving.club_document import KEPT_BACK


def made_by(caller: Caller, of: str) -> dict[str, set[str]]:
    """Let somebody record one of each sort that can be somebody's; return the ids by
    sort.
    """
    vehicle = caller.made(
        "/v1/vehicles", {"name": f"{of}'s wagon", "notes": f"bought by {of}"}
    )
    named = {"vehicles": [{"vehicle_id": vehicle["id"]}]}
    rake = caller.made("/v1/rakes", {"name": f"{of}'s rake"} | named)
    train = caller.made("/v1/trains", {"name": f"{of}'s train"} | named)
    module = caller.made("/v1/modules", {"name": f"{of}'s module", "scale": "N"})
    made = {"vehicles": vehicle, "rakes": rake, "trains": train, "modules": module}
    return {kind: {record["id"]} for kind, record in made.items()}


def ids_of(document: dict[str, Any]) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for record in document["records"]:
        found.setdefault(record["kind"], set()).add(record["id"])
    return found


def test_a_member_takes_away_what_is_theirs_and_nothing_of_others(
    steward: Caller,
) -> None:
    kit, hazel = (
        steward.with_member("member", name) for name in ("Kit Marsh", "Hazel Weir")
    )
    owned, others = made_by(kit, "Kit"), made_by(hazel, "Hazel")
    steward.made("/v1/layouts", {"name": "Nobody's layout"})
    for asking in (kit, steward):
        document = asking.read(f"/v1/members/{kit.member_id}/data")
        assert (document["format"], document["version"]) == ("standage-member", 1)
        assert ids_of(document) == owned | {"members": {kit.member_id}}
        text = json.dumps(document)
        for foreign in (
            "Hazel",
            "Nobody",
            "Robin Vale",
            *(one for ids in others.values() for one in ids),
        ):
            assert foreign not in text
        secrets = [caller.token for caller in (steward, kit, hazel)]
        assert [secret for secret in secrets if secret is None or secret in text] == []
        assert {change["kind"] for change in document["history"]} & KEPT_BACK == set()
    assert kit.ask("GET", f"/v1/members/{hazel.member_id}/data").status_code == 403


def test_its_history_is_that_of_what_is_theirs_and_of_other_changes_only_that_they_were_made(
    steward: Caller,
) -> None:
    kit = steward.with_member("member", "Kit Marsh")
    owned = made_by(kit, "Kit")
    (vehicle_id,) = owned["vehicles"]
    renamed = steward.ask(
        "PATCH",
        f"/v1/vehicles/{vehicle_id}",
        {"name": "Renamed for Kit", "owner_id": steward.member_id},
        content_type="application/merge-patch+json",
        if_match="*",
    )
    assert renamed.status_code == 200, renamed.text
    changes = kit.read(f"/v1/members/{kit.member_id}/data")["history"]
    (given,) = (
        one
        for one in changes
        if one["record_id"] == vehicle_id and one["action"] == "update"
    )
    assert given["before"]["name"] == "Kit's wagon"
    assert "after" not in given
    (joined,) = (one for one in changes if one["record_id"] == kit.member_id)
    assert (joined["action"], joined["after"]["name"]) == ("create", "Kit Marsh")
    own = steward.read(f"/v1/members/{steward.member_id}/data")["history"]
    (told,) = (one for one in own if one["record_id"] == kit.member_id)
    assert (told["action"], told["member_id"]) == ("create", steward.member_id)
    assert "after" not in told
    assert "Kit Marsh" not in json.dumps(own)


def test_both_documents_are_of_the_one_published_form(steward: Caller) -> None:
    kit = steward.with_member("member", "Kit Marsh")
    made_by(kit, "Kit")
    published = {
        "$ref": "#/components/schemas/ClubDocument",
        "components": DOCUMENT["components"],
    }
    for path in ("/v1/club/document", f"/v1/members/{kit.member_id}/data"):
        answers = DOCUMENT["paths"][path.replace(kit.member_id, "{member_id}")]["get"][
            "responses"
        ]
        answer = resolved(answers["200"], DOCUMENT)
        schema = answer["content"]["application/json"]["schema"]
        assert schema == {"$ref": "#/components/schemas/ClubDocument"}
        document = steward.read(path)
        assert list(OAS31Validator(published).iter_errors(document)) == []
        document["records"][0]["version"] = 0
        assert list(OAS31Validator(published).iter_errors(document)) != []
