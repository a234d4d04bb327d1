"""Every operation, for every role and every sort of token, against what is written out
here.
"""

import pytest

from api.asking import Caller, Service, refusal
from api.ground import OWNED, OWNED_BENEATH, Ground, Request
from api.written_out import ASKED_BY, EXPECTED, ROLES, SCOPE, WALKED
from standage.api.rights import RIGHTS
from standage.api.web.operation import Speaks
from standage.app import operations
from support.walks import half_at


def test_every_operation_has_a_row_and_every_row_an_operation() -> None:
    known = {one.id: one for one in operations() if not isinstance(one.act, Speaks)}
    assert set(RIGHTS) == set(known)
    assert set(EXPECTED) == set(known)
    assert {name for name, one in known.items() if one.act.is_open} == set(
        EXPECTED
    ) - set(WALKED)


def test_the_table_says_what_is_written_out_here() -> None:
    told = {
        name: [
            *(one or "-" for one in (row.member, row.layout_keeper, row.steward)),
            row.scope,
            row.visitor or "-",
            row.asked_by,
        ]
        for name, row in RIGHTS.items()
    }
    assert told == EXPECTED


def succeeded(request: Request, caller: Caller) -> bool:
    """Send a sound request; return whether it was let through. A refusal must be that
    it is forbidden.
    """
    response = request.by(caller)
    if response.is_success:
        return True
    refusal(response, 403, "forbidden")
    return False


@pytest.mark.parametrize("role", ROLES)
def test_what_is_anothers_can_be_changed_by_whom_the_rows_say_so(
    ground: Ground, role: str
) -> None:
    caller = ground.steward.with_member(role)
    other = ground.make("Member")
    told, wanted = {}, {}
    for name, row in WALKED.items():
        if row[SCOPE] == "write" and name.endswith((*OWNED, *OWNED_BENEATH)):
            told[name] = succeeded(ground.request(name, owner_id=other["id"]), caller)
            wanted[name] = row[ROLES.index(role)] == "club"
    assert told == wanted
    assert len(told) == 22


@pytest.mark.parametrize("role", ROLES)
def test_a_role_may_do_what_its_rows_say_by_a_token_of_that_scope_and_no_more(
    service: Service, ground: Ground, role: str
) -> None:
    member = ground.steward.with_member(role)
    tokens = {
        scope: ground.steward.with_token(member_id=member.member_id, scopes=[scope])
        for scope in ("read", "write")
    }
    told, wanted = {}, {}
    for name in half_at(service.database.dialect, WALKED):
        row = WALKED[name]
        request = ground.request(name, owner_id=member.member_id)
        allowed = row[ROLES.index(role)] != "-" and row[ASKED_BY] == "credential"
        for scope in sorted(tokens, key=lambda one: one == row[SCOPE]):
            told[name, scope] = succeeded(request, tokens[scope])
            wanted[name, scope] = allowed and row[SCOPE] == scope
    assert told == wanted


def test_a_role_counts_from_the_moment_it_is_given(ground: Ground) -> None:
    member = ground.steward.with_member("member")
    request = ground.request("createLayout")
    assert not succeeded(request, member)
    path = f"/v1/members/{member.member_id}"
    assert (
        ground.steward.ask(
            "PATCH", path, {"role": "layout_keeper"}, if_match="*"
        ).status_code
        == 200
    )
    assert succeeded(request, member)
    assert (
        ground.steward.ask("PATCH", path, {"role": "member"}, if_match="*").status_code
        == 200
    )
    assert not succeeded(ground.request("createLayout"), member)


def test_a_member_cannot_give_their_own_stock_away_nor_take_anothers(
    ground: Ground,
) -> None:
    member = ground.steward.with_member("member")
    mine = ground.make("Vehicle", owner_id=member.member_id)
    theirs = ground.make("Vehicle")
    give = member.ask(
        "PATCH",
        f"/v1/vehicles/{mine['id']}",
        {"owner_id": ground.steward.member_id},
        if_match="*",
    )
    take = member.ask(
        "PATCH",
        f"/v1/vehicles/{theirs['id']}",
        {"owner_id": member.member_id},
        if_match="*",
    )
    refusal(give, 403, "forbidden")
    refusal(take, 403, "forbidden")


def test_a_member_makes_up_a_train_of_anothers_vehicles(ground: Ground) -> None:
    member = ground.steward.with_member("member")
    vehicle = ground.make("Vehicle")
    train = member.made(
        "/v1/trains",
        {"name": "Night goods", "vehicles": [{"vehicle_id": vehicle["id"]}]},
    )
    assert train["owner_id"] == member.member_id


def test_the_last_way_in_is_kept(service: Service, steward: Caller) -> None:
    path = f"/v1/members/{steward.member_id}"
    refusal(steward.ask("PATCH", path, {"role": "member"}, if_match="*"), 409, "in_use")
    refusal(steward.ask("DELETE", path, if_match="*"), 409, "in_use")
    token = steward.read("/v1/tokens")["items"][0]
    refusal(
        steward.ask("DELETE", f"/v1/tokens/{token['id']}", if_match="*"), 409, "in_use"
    )
    refusal(
        steward.ask(
            "PATCH", f"/v1/tokens/{token['id']}", {"scopes": ["read"]}, if_match="*"
        ),
        409,
        "in_use",
    )
    past = {"expires_at": service.clock.now.isoformat()}
    refusal(
        steward.ask("PATCH", f"/v1/tokens/{token['id']}", past, if_match="*"),
        409,
        "in_use",
    )
    steward.with_member("steward", "Hazel Marsh")
    assert (
        steward.ask("PATCH", path, {"role": "member"}, if_match="*").status_code == 200
    )
