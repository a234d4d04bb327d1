"""What a session and a share link let in, for every operation, and that nobody else
gets in.
"""

import re
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from api.asking import NOBODY, Caller, Service, refusal
from api.ground import OPERATIONS, Ground, one_of
from api.test_who_may_do_what import succeeded
from api.written_out import ROLES, VISITOR, WALKED
from support.clubs import NOW
from support.walks import half_at

PATH = {name: one.path for name, one in OPERATIONS.items()}
OWN_HEADERS = {"x-request-id", "content-length"}
OF_A_LAYOUT = [
    name
    for name, row in WALKED.items()
    if row[VISITOR] == "layout" and "{" in PATH[name]
]


@pytest.mark.parametrize("role", ROLES)
def test_a_session_does_all_that_its_member_may(
    service: Service, ground: Ground, role: str
) -> None:
    caller, _ = ground.session_of(ground.make("Member", role=role)["id"])
    told, wanted = {}, {}
    ending = {"eraseMember", "signOut"}  # each ends the session
    some = half_at(service.database.dialect, sorted(set(WALKED) - ending))
    for name in [*some, "signOut"]:
        told[name] = succeeded(ground.request(name, owner_id=caller.member_id), caller)
        wanted[name] = WALKED[name][ROLES.index(role)] != "-"
    assert told == wanted
    refusal(caller.ask("GET", "/v1/club"), 401, "unauthenticated")


def test_a_visitor_does_what_the_rows_say_and_no_more(
    service: Service, ground: Ground
) -> None:
    told, wanted = {}, {}
    for name in half_at(service.database.dialect, WALKED):
        row = WALKED[name]
        request = ground.request(name)
        layout_id = layout_in(request.path) or ground.make("Layout")["id"]
        told[name] = succeeded(request, ground.steward.visiting(layout_id))
        wanted[name] = row[VISITOR] == "layout"
    assert told == wanted
    assert sum(wanted.values()) > 10


def layout_in(path: str) -> str | None:
    found = re.match(r"/v1/layouts/([^/?]+)", path)
    return None if found is None else found[1]


@pytest.mark.parametrize("name", OF_A_LAYOUT)
def test_to_a_visitor_another_layout_is_as_one_that_never_was(
    ground: Ground, name: str
) -> None:
    visitor = ground.steward.visiting(ground.make("Layout")["id"])
    theirs, nowhere = (
        ground.request(name).path,
        PATH[name].replace("{", "").replace("}", ""),
    )
    answers = []
    for path in (theirs, re.sub(r"\w+_id", NOBODY, nowhere)):
        response = visitor.ask(OPERATIONS[name].method, path)
        problem = refusal(response, 404, "not_found")
        answers.append(
            (
                problem["detail"],
                {k: v for k, v in response.headers.items() if k not in OWN_HEADERS},
            )
        )
    assert answers[0] == answers[1]


NOBODIES = (
    *(
        "none",
        "expired",
        "revoked",
        "of a member who left",
        "of nobody",
        "an invitation",
        "session ended",
    ),
    *(
        "session unused",
        "session expired",
        "link revoked",
        "link expired",
        "link of a layout that is gone",
    ),
)


def test_whoever_is_nobody_may_do_nothing(service: Service, ground: Ground) -> None:
    some = half_at(service.database.dialect, OPERATIONS)
    requests = [ground.request(name) for name in some]
    for how in NOBODIES:
        service.clock.now = NOW
        caller = nobody(service, ground, how)
        answers = {f"{one.method} {one.path}": one.by(caller) for one in requests}
        assert [
            path for path, answer in answers.items() if answer.status_code != 401
        ] == [], how
        for answer in answers.values():
            refusal(answer, 401, "unauthenticated")


def nobody(service: Service, ground: Ground, how: str) -> Caller:
    steward = ground.steward
    if how.startswith("session"):
        return no_member(service, ground, how)
    if how.startswith("link"):
        return no_visitor(service, ground, how)
    others: dict[str, Any] = {
        "none": service.stranger,
        "an invitation": lambda: replace(
            steward,
            token=steward.made("/v1/invitations", ground.body("Invitation"))[
                "invitation"
            ],
        ),
        "of nobody": lambda: replace(steward, token="stg_" + "x" * 32),
        "expired": lambda: expired(service, steward),
        "of a member who left": lambda: left(steward),
        "revoked": lambda: revoked(steward),
    }
    made: Caller = others[how]()
    return made


def expired(service: Service, steward: Caller) -> Caller:
    caller = steward.with_token(
        expires_at=(service.clock.now + timedelta(minutes=1)).isoformat()
    )
    service.clock.move(timedelta(minutes=1))
    return caller


def left(steward: Caller) -> Caller:
    caller = steward.with_member("steward", "Sam Reed")
    assert (
        steward.ask(
            "DELETE", f"/v1/members/{caller.member_id}", if_match="*"
        ).status_code
        == 204
    )
    return caller


def revoked(steward: Caller) -> Caller:
    issued = steward.made(
        "/v1/tokens",
        {"label": "x", "member_id": steward.member_id, "scopes": ["read", "write"]},
    )
    assert (
        steward.ask("DELETE", f"/v1/tokens/{issued['id']}", if_match="*").status_code
        == 204
    )
    return replace(steward, token=issued["token"])


def no_member(service: Service, ground: Ground, how: str) -> Caller:
    caller, _ = ground.session_of(ground.make("Member", role="steward")["id"])
    if how == "session ended":
        assert caller.ask("POST", "/v1/sign-out").status_code == 204
    elif how == "session unused":
        service.clock.move(timedelta(days=14))
    else:
        for turn in range(9):
            service.clock.move(timedelta(days=10))
            assert caller.ask("GET", "/v1/club").status_code == (
                401 if turn == 8 else 200
            )  # 90 days at most
    return caller


def no_visitor(service: Service, ground: Ground, how: str) -> Caller:
    layout, steward = ground.make("Layout"), ground.steward
    visitor = steward.visiting(
        layout["id"], expires_at=(service.clock.now + timedelta(hours=1)).isoformat()
    )
    if how == "link expired":
        service.clock.move(timedelta(hours=1))
        return visitor
    link = steward.read(f"{one_of('Layout', layout)}/share-links")["items"][0]
    gone = (
        one_of("Layout", layout)
        if how == "link of a layout that is gone"
        else one_of("ShareLink", link)
    )
    assert steward.ask("DELETE", gone, if_match="*").status_code == 204
    return visitor
