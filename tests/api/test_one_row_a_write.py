"""Each write leaves exactly one row of history for each record it touches; every
operation of the document is tried.
"""

from typing import Any

from sqlalchemy import func, select

from api.asking import Caller, Service
from api.ground import BY_SESSION, OPERATIONS, Ground, Request
from standage.app import openapi_document
from standage.registry.database.tables import history

WRITING = ("post", "put", "patch", "delete")
IN_DOCUMENT = {
    operation["operationId"]: method
    for methods in openapi_document()["paths"].values()
    for method, operation in methods.items()
    if method != "parameters" and operation.get("security") != []
}
ASKING = tuple(
    name for name in IN_DOCUMENT if name.startswith(("check", "draw", "deal", "write"))
)
"""Questions that are posted because they bring their figures along: they write
nothing.
"""
NO_RECORD = (
    *("deleteSession", "signOut", "signOutMember", "setPassphrase", "resetPassphrase"),
    *("createStockImport", "replaceStockImportMapping"),
    *("createLayoutPlanRevision", "createModulePlanRevision"),
)
"""Who is signed in, and by what, is no record and is kept nowhere once it is over; nor
is a file not yet committed. A revision says itself who saved it, when and why.
"""
WRITTEN_BY = {
    "create": "create",
    "replace": "update",
    "update": "update",
    "delete": "delete",
}
WRITTEN_OTHERWISE = {
    "takeVehicleOut": "update",
    "undoChange": "delete",
    "undoAction": "delete",
    "restoreDeletedRecord": "restore",
    "eraseMember": "erase",
    "commitStockImport": "create",
    "undoStockImport": "delete",
}
"""What is written by an operation that is not one of those that every kind of record
has.
"""


def action_of(operation_id: str) -> str | None:
    """Return what the one row must say was done; None for a question."""
    if operation_id in (*ASKING, *NO_RECORD):
        return None
    if operation_id in WRITTEN_OTHERWISE:
        return WRITTEN_OTHERWISE[operation_id]
    verb = next((verb for verb in WRITTEN_BY if operation_id.startswith(verb)), None)
    assert verb is not None, f"say what {operation_id} writes"
    return WRITTEN_BY[verb]


def rows(service: Service, *, after: str = "") -> dict[str, Any]:
    """Return the rows of history by their ids, which go up."""
    with service.database.read() as connection:
        return {
            row.id: row
            for row in connection.execute(select(history).where(history.c.id > after))
        }


def written(service: Service, request: Request, by: Caller) -> list[Any]:
    """Send a request, which must go through; return the rows of history that it
    left.
    """
    with service.database.read() as connection:
        last = connection.scalar(select(func.max(history.c.id))) or ""
    response = request.by(by)
    assert response.is_success, response.text
    return list(rows(service, after=last).values())


def test_a_write_leaves_one_row_and_a_question_none(
    service: Service, ground: Ground
) -> None:
    told: dict[str, list[str]] = {}
    wanted: dict[str, list[str]] = {}
    for operation_id in (
        name for name, method in IN_DOCUMENT.items() if method in WRITING
    ):
        action = action_of(operation_id)
        by = (
            ground.session_of(ground.steward.member_id)[0]
            if operation_id in BY_SESSION
            else ground.steward
        )
        left = written(service, ground.request(operation_id), by)
        told[operation_id] = [row.action for row in left]
        wanted[operation_id] = [] if action is None else [action]
        for row in left:
            assert (row.club_id, row.member_id) == (
                ground.steward.club_id,
                ground.steward.member_id,
            ), operation_id
            sides = (row.before is None, row.after is None)
            assert sides == (
                action in {"create", "restore"},
                action == "delete",
            ), operation_id
    assert told == wanted
    assert len([one for one in told.values() if one]) > 40


def test_no_read_leaves_a_row(service: Service, ground: Ground) -> None:
    for operation_id, method in IN_DOCUMENT.items():
        if method not in WRITING:
            assert (
                written(service, ground.request(operation_id), ground.steward) == []
            ), operation_id


def test_every_operation_that_asks_for_a_token_is_tried() -> None:
    assert set(IN_DOCUMENT) == set(OPERATIONS)
    assert {*WRITTEN_OTHERWISE, *NO_RECORD} <= set(IN_DOCUMENT)
    assert len(ASKING) > 10


def test_what_goes_with_a_record_leaves_a_row_each(
    service: Service, ground: Ground
) -> None:
    layout = ground.make("Layout")
    parts = [
        ground.make(noun, layout_id=layout["id"]) for noun in ("Place", "Place", "Yard")
    ]
    gone = Request(
        method="DELETE", path=f"/v1/layouts/{layout['id']}", headers={"if_match": "*"}
    )
    left = written(service, gone, ground.steward)
    assert sorted(row.record_id for row in left) == sorted(
        one["id"] for one in (layout, *parts)
    )
    back = Request(method="POST", path=f"/v1/actions/{left[0].action_id}/undo")
    assert sorted(
        row.record_id for row in written(service, back, ground.steward)
    ) == sorted(row.record_id for row in left)


def test_a_refused_write_leaves_no_row(service: Service, ground: Ground) -> None:
    change = ground.make("Change")
    path = f"/v1/vehicles/{change['record_id']}"
    old = ground.steward.tag(path)
    assert (
        ground.steward.ask("PATCH", path, {"mass_g": 40}, if_match="*").status_code
        == 200
    )
    before = rows(service)
    for method, address, body, headers in (
        ("POST", "/v1/vehicles", {"name": ""}, {}),
        ("PUT", path, {"name": "Van"}, {"if_match": old}),
        ("PATCH", path, {"mass_g": 41}, {}),
        ("DELETE", path, None, {"if_match": '"v9"'}),
        ("POST", f"/v1/history/{change['id']}/undo", None, {}),
        ("POST", f"/v1/actions/{change['action_id']}/undo", None, {}),
    ):
        assert not ground.steward.ask(method, address, body, **headers).is_success
    assert rows(service) == before


def test_a_replay_leaves_no_row(service: Service, ground: Ground) -> None:
    body = ground.body("Vehicle")
    for expected in (1, 0):
        before = rows(service)
        assert (
            ground.steward.ask(
                "POST", "/v1/vehicles", body, idempotency_key="k1"
            ).status_code
            == 201
        )
        assert len(rows(service)) - len(before) == expected
