"""Another club's record answers exactly as one that never was: in paths, queries and
bodies, whatever is sent.
"""

from collections.abc import Iterator, Mapping
from itertools import product
from typing import Any
from uuid import uuid4

import httpx
import pytest

from api.asking import Caller, Service, faults
from api.ground import (
    BENEATH,
    CHECKS,
    DEAL,
    FILES,
    LOOP,
    MODULE_END,
    NOUNS,
    OPERATIONS,
    QUERIES,
    SENT,
    WAGON,
    Ground,
    Request,
    id_of,
    noun_in,
    one_of,
    placeholders,
)
from standage.api.web.operation import Operation
from support.walks import half_at

IN_PATHS = [one for one in OPERATIONS.values() if placeholders(one.path)]
SHUNTING_QUESTIONS: list[tuple[str, dict[str, Any]]] = [
    ("/v1/checks/shunting-plan", CHECKS["checkShuntingPlan"]),
    ("/v1/checks/shunting-plan/drawing", CHECKS["drawShuntingPlan"]),
    ("/v1/checks/shunting-deal", DEAL | {"train_wagons": 2}),
    ("/v1/checks/shunting-deal/drawing", DEAL | {"train_wagons": 2}),
    ("/v1/checks/every-train", CHECKS["checkEveryTrain"]),
]
UNSOUND = {"name": "", "bogus": 1}


@pytest.fixture
def theirs(service: Service) -> dict[str, str]:
    """Put one record of every noun on record in another club; return their ids by name,
    as in member_id.
    """
    ground = Ground(service.club("Millpond Society"))
    records = {
        noun: ground.make(noun) for noun in NOUNS if noun not in {"Club", *BENEATH}
    }
    records |= {
        noun: ground.make(noun, layout_id=records["Layout"]["id"]) for noun in BENEATH
    }
    ids = {id_of(noun): one["id"] for noun, one in records.items()}
    return ids | {"revision": str(uuid4())}


def random_ids(theirs: Mapping[str, str]) -> dict[str, str]:
    return {name: str(uuid4()) for name in theirs}


def said(response: httpx.Response, ids: Mapping[str, str]) -> tuple[object, ...]:
    """Return all that an answer says, but for the request id and for the ids that were
    asked for.
    """
    text = response.text.replace(response.headers["x-request-id"], "request")
    for name, one in ids.items():
        text = text.replace(one, name)
    headers = {
        name: value
        for name, value in response.headers.items()
        if name != "x-request-id"
    }
    return response.status_code, text, headers


def sent_to(ground: Ground, operation: Operation) -> tuple[Any, ...]:
    """Return what is sent to an operation, what is sound first."""
    if operation.takes.files:
        return FILES[operation.id][1], b"Piece\n?\n"
    if not operation.takes.media_types:
        return (None,)
    sound = SENT.get(operation.id) or ground.body(noun_in(operation.id))
    return sound, UNSOUND, []


def test_an_id_in_a_path_is_as_good_as_a_random_one(
    service: Service, ground: Ground, theirs: dict[str, str]
) -> None:
    for operation in half_at(service.database.dialect, IN_PATHS):
        sent = sent_to(ground, operation)
        for body, headers in product(sent, headers_for(operation)):
            allowed = {404} if body is sent[0] else {404, 422}
            of_theirs, of_nobody = (
                asked(ground, operation, ids, body=body, headers=headers)
                for ids in (theirs, random_ids(theirs))
            )
            assert of_theirs == of_nobody, operation.id
            assert of_theirs[0] in allowed, operation.id


def headers_for(operation: Operation) -> tuple[dict[str, str], ...]:
    """Return the headers that such an operation looks at, each by itself."""
    if operation.method == "GET":
        return {}, {"if_none_match": "*"}
    if operation.method == "POST":
        return {}, {"idempotency_key": operation.id}
    return {}, {"if_match": "*"}, {"if_match": '"v1"'}


def asked(
    ground: Ground,
    operation: Operation,
    ids: Mapping[str, str],
    *,
    body: Any,
    headers: dict[str, str],
) -> tuple[object, ...]:
    """Ask with those ids; return all that the answer says but for them."""
    query = QUERIES.get(operation.id, "").format(**ids)
    request = Request(
        method=operation.method,
        path=operation.path.format(**ids) + (f"?{query}" if query else ""),
        body=body,
        file=("text/csv", body) if operation.takes.files else None,
        headers=headers,
    )
    return said(request.by(ground.steward), ids)


@pytest.mark.parametrize("method", ["GET", "PUT", "PATCH", "DELETE"])
def test_their_place_is_not_beneath_our_layout_nor_ours_beneath_theirs(
    ground: Ground, theirs: dict[str, str], method: str
) -> None:
    place = ground.make("Place")
    body = LOOP | {"name": "Up loop"} if method in {"PUT", "PATCH"} else None
    nobody = random_ids(theirs)
    for ours in ({"layout_id": place["layout_id"]}, {"place_id": place["id"]}):
        answers = [
            (
                said(
                    ground.steward.ask(
                        method,
                        one_of("Place", {"id": ids["place_id"]} | ids | ours),
                        body,
                    ),
                    ids,
                )
                if "layout_id" in ours
                else said(
                    ground.steward.ask(
                        method,
                        f"/v1/layouts/{ids['layout_id']}/places/{place['id']}",
                        body,
                    ),
                    ids,
                )
            )
            for ids in (theirs, nobody)
        ]
        assert answers[0] == answers[1]
        assert answers[0][0] == 404


def bodies(ids: Mapping[str, str]) -> Iterator[tuple[str, str, dict[str, Any], str]]:
    """Yield method, path, body and pointer of every place in a body where an id may
    stand.
    """
    hook = {"reach_mm": 2.0, "type": ids["coupling_type_id"]}
    yield (
        "POST",
        "/v1/tokens",
        {"label": "x", "member_id": ids["member_id"], "scopes": ["read"]},
        "/member_id",
    )
    yield (
        "POST",
        "/v1/vehicles",
        {"name": "x", "owner_id": ids["member_id"]},
        "/owner_id",
    )
    yield (
        "POST",
        "/v1/vehicles",
        {"name": "x", "front_coupling": hook},
        "/front_coupling/type",
    )
    yield (
        "POST",
        "/v1/vehicles",
        {"name": "x", "rear_coupling": hook},
        "/rear_coupling/type",
    )
    train = {"name": "x", "vehicles": [{"vehicle_id": ids["vehicle_id"]}]}
    yield "POST", "/v1/trains", train, "/vehicles/0/vehicle_id"
    train = {"name": "x", "vehicles": [{"rake_id": ids["rake_id"]}]}
    yield "POST", "/v1/trains", train, "/vehicles/0/rake_id"
    rake = {"name": "x", "vehicles": [{"vehicle_id": ids["vehicle_id"]}]}
    yield "POST", "/v1/rakes", rake, "/vehicles/0/vehicle_id"
    yield (
        "POST",
        "/v1/modules",
        {"name": "x", "owner_id": ids["member_id"]},
        "/owner_id",
    )
    for rule, name in ((1, "module_id"), (2, "train_id")):
        waiver = {"rule": rule, name: ids[name], "reason": "old"}
        rules = [
            {"rule": "board_mass", "mass_g": 1},
            {"rule": "longest_train", "length_mm": 1},
        ]
        yield (
            "POST",
            "/v1/standards",
            {"name": "x", "rules": rules, "waivers": [waiver]},
            f"/waivers/0/{name}",
        )
    ends = {"one": {"module_id": ids["module_id"], "end": "east"}, "other": MODULE_END}
    yield "POST", "/v1/checks/module-join", ends, "/one/module_id"
    ends = {"one": MODULE_END, "other": MODULE_END, "standard_id": ids["standard_id"]}
    yield "POST", "/v1/checks/module-join", ends, "/standard_id"
    rakes = [{"rake_id": ids["rake_id"]}]
    yield (
        "POST",
        "/v1/checks/train-fit",
        {"train": {"vehicles": rakes}, "place": LOOP},
        "/train/vehicles/0/rake_id",
    )
    stock = [WAGON, {"vehicle_id": ids["vehicle_id"]}]
    pointer = "/train/vehicles/1/vehicle_id"
    yield (
        "POST",
        "/v1/checks/train-fit",
        {"train": {"vehicles": stock}, "place": LOOP},
        pointer,
    )
    yield (
        "POST",
        "/v1/checks/train-fit",
        {"train": {"train_id": ids["train_id"]}, "place": LOOP},
        "/train/train_id",
    )
    place = {"place_id": ids["place_id"]}
    yield (
        "POST",
        "/v1/checks/train-fit",
        {"train": {"vehicles": [WAGON]}, "place": place},
        "/place/place_id",
    )
    yield (
        "POST",
        "/v1/checks/curve",
        {"vehicles": stock, "curve": {"radius_mm": 600}},
        "/vehicles/1/vehicle_id",
    )
    passing = {"inner_radius_mm": None, "spacing_mm": 50, "vehicles": stock}
    yield "POST", "/v1/checks/passing", passing, "/vehicles/1/vehicle_id"
    yield (
        "POST",
        "/v1/checks/capacity",
        {"usable_length_mm": 900, "vehicle": stock[1]},
        "/vehicle/vehicle_id",
    )
    for path, about in SHUNTING_QUESTIONS:
        yield (
            "POST",
            path,
            about | {"yard": {"yard_id": ids["yard_id"]}},
            "/yard/yard_id",
        )
        yield "POST", path, about | {"wagons": stock}, "/wagons/1/vehicle_id"


def test_an_id_in_a_body_is_as_good_as_a_random_one(
    steward: Caller, theirs: dict[str, str]
) -> None:
    nobody = random_ids(theirs)
    pairs = list(zip(bodies(theirs), bodies(nobody), strict=True))
    assert len(pairs) > 20
    for (method, path, body, pointer), (*_, other, _) in pairs:
        of_theirs = steward.ask(method, path, body)
        of_nobody = steward.ask(method, path, other)
        assert list(faults(of_theirs)) == [pointer], path
        assert said(of_theirs, theirs) == said(of_nobody, nobody), (path, pointer)


@pytest.mark.parametrize("method", ["PUT", "PATCH"])
def test_an_id_in_a_change_is_as_good_as_a_random_one(
    ground: Ground, theirs: dict[str, str], method: str
) -> None:
    train, vehicle = ground.make("Train"), ground.make("Vehicle")
    answers = []
    for ids in (theirs, random_ids(theirs)):
        for path, body in (
            (
                one_of("Train", train),
                train | {"vehicles": [{"vehicle_id": ids["vehicle_id"]}]},
            ),
            (one_of("Train", train), train | {"owner_id": ids["member_id"]}),
            (one_of("Vehicle", vehicle), vehicle | {"owner_id": ids["member_id"]}),
            (
                one_of("Vehicle", vehicle),
                vehicle | {"front_coupling": {"type": ids["coupling_type_id"]}},
            ),
        ):
            response = ground.steward.ask(method, path, body, if_match="*")
            assert response.status_code == 422, response.text
            answers.append(said(response, ids))
    assert answers[:4] == answers[4:]


def test_an_id_in_a_query_is_as_good_as_a_random_one(
    ground: Ground, theirs: dict[str, str]
) -> None:
    place, standard = ground.make("Place"), one_of("Standard", ground.make("Standard"))
    answers = []
    for ids in (theirs, random_ids(theirs)):
        fit = ground.steward.ask(
            "GET", f"{one_of('Place', place)}/train-fit?train_id={ids['train_id']}"
        )
        assert fit.status_code == 422
        answers.append(
            [
                said(fit, ids),
                said(
                    ground.steward.ask(
                        "GET", f"{standard}/report?module_id={ids['module_id']}"
                    ),
                    ids,
                ),
                said(
                    ground.steward.ask(
                        "GET", f"{standard}/report?train_id={ids['train_id']}"
                    ),
                    ids,
                ),
                said(
                    ground.steward.ask(
                        "GET", f"/v1/modules?owner_id={ids['member_id']}"
                    ),
                    ids,
                ),
                said(
                    ground.steward.ask(
                        "GET", f"/v1/vehicles?owner_id={ids['member_id']}"
                    ),
                    ids,
                ),
                said(
                    ground.steward.ask(
                        "GET", f"/v1/trains?owner_id={ids['member_id']}"
                    ),
                    ids,
                ),
                said(
                    ground.steward.ask(
                        "GET", f"/v1/tokens?member_id={ids['member_id']}"
                    ),
                    ids,
                ),
            ]
        )
    assert answers[0] == answers[1]


def test_a_coupling_type_named_inline_by_their_id_lends_no_figures(
    steward: Caller, theirs: dict[str, str]
) -> None:
    answers = []
    for ids in (theirs, random_ids(theirs)):
        coupled = WAGON | {"front_coupling": {"type": ids["coupling_type_id"]}}
        body = {"train": {"vehicles": [coupled]}, "place": LOOP}
        answers.append(said(steward.ask("POST", "/v1/checks/train-fit", body), ids))
    assert answers[0] == answers[1]


def test_a_list_shows_nothing_of_theirs(ground: Ground, theirs: dict[str, str]) -> None:
    nouns = ("Layout", "Module")
    ours = {id_of(noun): ground.make(noun)["id"] for noun in nouns}
    lists = [one for one in OPERATIONS.values() if one.id.startswith("list")]
    assert len(lists) > 15
    for operation in lists:
        text = ground.steward.ask("GET", operation.path.format(**ours)).text
        assert [one for one in theirs.values() if one in text] == [], operation.id
        assert "Millpond" not in text, operation.id


def test_the_same_name_in_two_clubs_takes_nothing_from_either(
    service: Service, steward: Caller
) -> None:
    other = service.club("Millpond Society")
    for caller in (steward, other):
        layout = caller.made("/v1/layouts", {"name": "Staithe Lane"})
        caller.made(f"/v1/layouts/{layout['id']}/places", LOOP | {"name": "Up loop"})
        caller.made("/v1/coupling-types", {"name": "Staple hook", "reach_mm": 3})


def test_a_coupling_type_by_name_is_the_callers_own(
    service: Service, steward: Caller
) -> None:
    other = service.club("Millpond Society")
    steward.made(
        "/v1/coupling-types",
        {"name": "Staple hook", "reach_mm": 3, "reach_plus_minus_mm": 0},
    )
    other.made(
        "/v1/coupling-types",
        {"name": "Staple hook", "reach_mm": 9, "reach_plus_minus_mm": 0},
    )
    hook = {"type": "Staple hook"}
    body = {
        "train": {
            "vehicles": [WAGON | {"front_coupling": hook, "rear_coupling": hook}]
        },
        "place": LOOP,
    }
    lengths = [
        one.ask("POST", "/v1/checks/train-fit", body).json()["train_length_mm"]
        for one in (steward, other)
    ]
    assert lengths == [106, 118]


def test_what_leans_on_a_record_is_told_of_the_callers_club_only(
    service: Service, ground: Ground
) -> None:
    other = Ground(service.club("Millpond Society"))
    other.make("CouplingType", name="Staple hook")
    other.make("Vehicle", front_coupling={"type": "Staple hook"})
    mine = ground.make("CouplingType", name="Staple hook")
    assert (
        ground.steward.ask(
            "DELETE", one_of("CouplingType", mine), if_match="*"
        ).status_code
        == 204
    )
