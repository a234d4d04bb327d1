"""Names are taken where ids are: in bodies and queries, of questions and of records,
within what the caller may see.
"""

import json
from collections.abc import Iterator
from typing import Any

import msgspec
import pytest
from msgspec import inspect

from api.asking import NOBODY, Caller, Service, faults
from api.ground import (
    CHECKS,
    LOOP,
    MODULE_END,
    OPERATIONS,
    WAGON,
    YARD,
    Ground,
    one_of,
)
from standage.registry.records.naming import NAMED_BY


def fault(response: Any) -> dict[str, str]:
    """Return the only fault of a refusal."""
    (found,) = response.json()["faults"]
    return dict(found)


def same(
    caller: Caller, path: str, by_id: dict[str, Any], by_name: dict[str, Any]
) -> None:
    """Ask a question by ids and by names, and see that nothing but that differs."""
    answers = [
        caller.ask("POST", f"/v1/checks/{path}", body) for body in (by_id, by_name)
    ]
    assert [one.status_code for one in answers] == [200, 200], [
        one.text for one in answers
    ]
    assert answers[0].json() == answers[1].json()


def fit(train: Any, place: Any) -> dict[str, Any]:
    return {"train": train, "place": place}


def test_a_train_and_a_place_are_named_in_a_question(ground: Ground) -> None:
    train, place = (
        ground.make("Train", name="Morning coal"),
        ground.make("Place", name="Up loop"),
    )
    by_id = fit({"train_id": train["id"]}, {"place_id": place["id"]})
    for spelt in ("Morning coal", "morning  COAL"):
        same(
            ground.steward,
            "train-fit",
            by_id,
            fit({"train_id": spelt}, {"place_id": "Up loop"}),
        )
    same(ground.steward, "train-fit", by_id, fit("Morning coal", "Up loop"))
    same(
        ground.steward,
        "train-fit",
        by_id,
        fit({"train": "Morning coal"}, {"place": "up loop"}),
    )
    trains, roads = [{"train_id": train["id"]}], [{"place_id": place["id"]}]
    allocation = {"trains": trains, "roads": roads}
    same(
        ground.steward,
        "road-allocation",
        allocation,
        {"trains": ["Morning coal"], "roads": ["Up loop"]},
    )


def test_vehicles_and_rakes_are_named_in_a_question(ground: Ground) -> None:
    wagon, rake = (
        ground.make("Vehicle", name="Ore wagon"),
        ground.make("Rake", name="Coal empties"),
    )
    by_id = [{"rake_id": rake["id"]}, {"vehicle_id": wagon["id"], "count": 2}]
    called = [{"rake": "Coal empties"}, {"vehicle": "Ore wagon", "count": 2}]
    same(
        ground.steward,
        "train-fit",
        fit({"vehicles": by_id}, LOOP),
        fit({"vehicles": called}, LOOP),
    )
    alone = [{"vehicle_id": wagon["id"]}]
    pools = [
        {"pool": pool, "engines": pool, "place": LOOP}
        for pool in (alone, ["Ore wagon"])
    ]
    same(ground.steward, "longest-train", *pools)


def test_layouts_yards_modules_and_standards_are_named_in_a_question(
    ground: Ground,
) -> None:
    layout = ground.make("Layout", name="Staithe Lane")
    ground.make("Place", layout_id=layout["id"])
    yard = ground.make("Yard", layout_id=layout["id"], name="Goods yard")
    module, standard = (
        ground.make("Module", name="Canal bridge"),
        ground.make("Standard", name="Club standard"),
    )
    wish = {"vehicles": [WAGON]}
    same(
        ground.steward,
        "wish-list",
        wish | {"layout_id": layout["id"]},
        wish | {"layout": "staithe lane"},
    )
    puzzle = CHECKS["checkShuntingPlan"]
    same(
        ground.steward,
        "shunting-plan",
        puzzle | {"yard": {"yard_id": yard["id"]}},
        puzzle | {"yard": "Goods yard"},
    )
    by_id = {
        "one": {"module_id": module["id"], "end": "east"},
        "standard_id": standard["id"],
    }
    called = {
        "one": {"module": "canal bridge", "end": "east"},
        "standard": "Club standard",
    }
    same(
        ground.steward,
        "module-join",
        by_id | {"other": MODULE_END},
        called | {"other": MODULE_END},
    )


def test_a_query_takes_a_name(ground: Ground) -> None:
    place, train = ground.make("Place"), ground.make("Train", name="Morning coal")
    engine = ground.make("Vehicle", name="Harbour tank")
    standard = ground.make("Standard")
    path = f"{one_of('Place', place)}/train-fit"
    answers = [
        ground.steward.read(f"{path}?{query}")
        for query in (f"train_id={train['id']}", "train_id=morning+coal")
    ]
    assert (
        answers[0] == answers[1] == ground.steward.read(f"{path}?train=Morning%20coal")
    )
    longest = f"{one_of('Place', place)}/longest-train?by=number"
    by_id = ground.steward.read(f"{longest}&engine_id={engine['id']}")
    assert by_id == ground.steward.read(f"{longest}&engine_id=Harbour+tank")
    assert by_id == ground.steward.read(f"{longest}&locomotive=Harbour+tank")
    report = f"/v1/standards/{standard['id']}/report"
    assert ground.steward.read(
        f"{report}?train_id={train['id']}"
    ) == ground.steward.read(f"{report}?train=Morning+coal")


def test_lists_are_narrowed_by_a_members_name(ground: Ground) -> None:
    sam = ground.steward.with_member("member", "Sam Reed")
    theirs = ground.make("Vehicle", owner_id=sam.member_id)
    ground.make("Vehicle")
    assert [
        one["id"]
        for one in ground.steward.read("/v1/vehicles?owner_id=sam+reed")["items"]
    ] == [theirs["id"]]
    assert ground.steward.read("/v1/vehicles?owner_id=Nobody+Here")["items"] == []
    assert {
        one["member_id"]
        for one in ground.steward.read("/v1/history?member_id=Robin+Vale")["items"]
    } == {ground.steward.member_id}


def test_a_record_keeps_the_id_of_what_it_is_given_by_name(ground: Ground) -> None:
    wagon = ground.make("Vehicle", name="Ore wagon", count=5)
    rake = ground.steward.made("/v1/rakes", {"name": "Ores", "vehicles": ["Ore wagon"]})
    assert [one["vehicle_id"] for one in rake["vehicles"]] == [wagon["id"]]
    body = {
        "name": "Ore train",
        "vehicles": [{"rake_id": "ores"}, {"vehicle": "ore wagon", "count": 2}],
    }
    train = ground.steward.made("/v1/trains", body)
    assert [one.get("rake_id", one.get("vehicle_id")) for one in train["vehicles"]] == [
        rake["id"],
        wagon["id"],
    ]
    path = one_of("Train", train)
    changed = ground.steward.ask(
        "PATCH", path, {"vehicles": ["Ore wagon"], "owner": "Robin Vale"}, if_match="*"
    ).json()
    assert [one["vehicle_id"] for one in changed["vehicles"]] == [wagon["id"]]
    assert changed["owner_id"] == ground.steward.member_id
    put = ground.steward.ask(
        "PUT", path, {"name": "Ore train", "vehicles": [{"rake": "Ores"}]}, if_match="*"
    ).json()
    assert put["vehicles"][0]["rake_id"] == rake["id"]
    waiver = {"rule": "mass", "module_id": "Canal bridge", "reason": "an old board"}
    module = ground.make("Module", name="Canal bridge")
    rules = [{"id": "mass", "rule": "board_mass", "mass_g": 25000}]
    standard = ground.steward.made(
        "/v1/standards", {"name": "Ours", "rules": rules, "waivers": [waiver]}
    )
    assert standard["waivers"][0]["module_id"] == module["id"]


def test_a_yard_of_any_layout_and_a_token_are_made_by_names(ground: Ground) -> None:
    layout, member = (
        ground.make("Layout", name="Staithe Lane"),
        ground.make("Member", name="Sam Reed"),
    )
    assert (
        ground.steward.made(
            "/v1/yards", YARD | {"name": "Goods", "layout": "staithe lane"}
        )["layout_id"]
        == (layout["id"])
    )
    token = ground.steward.made(
        "/v1/tokens", {"label": "Tablet", "member": "Sam Reed", "scopes": ["read"]}
    )
    assert token["member_id"] == member["id"]


def test_two_of_one_name_are_refused_with_where_to_find_the_id(ground: Ground) -> None:
    for _ in range(2):
        ground.make("Train", name="Morning coal")
    answer = ground.steward.ask(
        "POST", "/v1/checks/train-fit", {"train": "Morning coal", "place": LOOP}
    )
    assert faults(answer) == {"/train": "ambiguous_name"}
    assert (
        fault(answer)["message"]
        == "two trains are called 'Morning coal': send an id from GET /v1/trains"
    )
    place = ground.make("Place")
    query = ground.steward.ask(
        "GET", f"{one_of('Place', place)}/train-fit?train_id=morning+coal"
    )
    assert faults(query) == {"train_id": "ambiguous_name"}
    places = [ground.make("Place", name="Platform") for _ in range(3)]
    answer = ground.steward.ask(
        "POST",
        "/v1/checks/train-fit",
        {"train": {"vehicles": [WAGON]}, "place": "Platform"},
    )
    assert (
        fault(answer)["message"]
        == "3 places are called 'Platform': send an id from GET"
        " /v1/layouts/{layout_id}/places"
    )
    assert len({one["layout_id"] for one in places}) == 3
    rake = {"name": "Ores", "vehicles": ["Ore wagon"]}
    for _ in range(2):
        ground.make("Vehicle", name="Ore wagon")
    assert faults(ground.steward.ask("POST", "/v1/rakes", rake)) == {
        "/vehicles/0": "ambiguous_name"
    }


def test_a_name_that_nobody_bears_is_refused_like_an_unknown_id(ground: Ground) -> None:
    words = "there is no such train on record: send an id or a name from GET /v1/trains"
    for train in ("Evening coal", NOBODY):
        answer = ground.steward.ask(
            "POST",
            "/v1/checks/train-fit",
            {"train": {"train_id": train}, "place": LOOP},
        )
        assert fault(answer) == {
            "code": "no_such_train",
            "message": words,
            "pointer": "/train/train_id",
        }
    answer = ground.steward.ask(
        "POST", "/v1/checks/train-fit", {"train": "Evening coal", "place": LOOP}
    )
    assert fault(answer) == {
        "code": "no_such_train",
        "message": words,
        "pointer": "/train",
    }
    made = ground.steward.ask(
        "POST", "/v1/trains", {"name": "Ores", "vehicles": [{"vehicle": "Ghost wagon"}]}
    )
    assert faults(made) == {"/vehicles/0/vehicle": "no_such_vehicle"}
    patch = {"vehicles": [{"vehicle": "Ghost wagon"}]}
    changed = ground.steward.ask(
        "PATCH", one_of("Train", ground.make("Train")), patch, if_match="*"
    )
    assert faults(changed) == {"/vehicles/0/vehicle": "no_such_vehicle"}


def test_what_is_deleted_bears_its_name_no_longer(ground: Ground) -> None:
    gone, stays = (ground.make("Train", name="Morning coal") for _ in range(2))
    assert (
        ground.steward.ask("DELETE", one_of("Train", gone), if_match="*").status_code
        == 204
    )
    same(
        ground.steward,
        "train-fit",
        {"train": {"train_id": stays["id"]}, "place": LOOP},
        {"train": "Morning coal", "place": LOOP},
    )


def test_one_record_named_by_name_and_by_id_is_named_twice(ground: Ground) -> None:
    place, train = (
        ground.make("Place", name="Up loop"),
        ground.make("Train", name="Morning coal"),
    )
    body = {
        "trains": ["Morning coal", {"train_id": train["id"]}],
        "roads": [{"place_id": place["id"]}, LOOP],
    }
    answer = ground.steward.ask("POST", "/v1/checks/road-allocation", body)
    assert faults(answer) == {"/trains/1/train_id": "repeated"}


def test_another_clubs_names_are_as_if_they_were_not_there(
    service: Service, ground: Ground
) -> None:
    other = Ground(service.club("Quarry Lines"))
    ours, _ = (
        ground.make("Train", name="Morning coal"),
        other.make("Train", name="Morning coal"),
    )
    other.make("Train", name="Slate train")
    same(
        ground.steward,
        "train-fit",
        {"train": {"train_id": ours["id"]}, "place": LOOP},
        {"train": "Morning coal", "place": LOOP},
    )
    theirs = ground.steward.ask(
        "POST", "/v1/checks/train-fit", {"train": "Slate train", "place": LOOP}
    )
    nobodys = ground.steward.ask(
        "POST", "/v1/checks/train-fit", {"train": "Sand train", "place": LOOP}
    )
    assert theirs.json()["faults"] == nobodys.json()["faults"]
    other.make("Vehicle", name="Slate wagon")
    made = ground.steward.ask(
        "POST", "/v1/trains", {"name": "Slates", "vehicles": ["Slate wagon"]}
    )
    assert faults(made) == {"/vehicles/0": "no_such_vehicle"}


def test_a_share_link_finds_only_the_names_that_it_shows(ground: Ground) -> None:
    layout = ground.make("Layout", name="Staithe Lane")
    shown = ground.make("Place", layout_id=layout["id"], name="Up loop")
    ground.make("Place", name="Up loop")
    ground.make("Place", name="Hidden road")
    ground.make("Train", name="Morning coal")
    visitor = ground.steward.visiting(layout["id"])
    coupled = WAGON | {
        "front_coupling": {"reach_mm": 2.0},
        "rear_coupling": {"reach_mm": 2.0},
    }
    train = {"vehicles": [coupled]}
    same(
        visitor,
        "train-fit",
        {"train": train, "place": {"place_id": shown["id"]}},
        {"train": train, "place": "up loop"},
    )
    hidden = visitor.ask(
        "POST", "/v1/checks/train-fit", {"train": train, "place": "Hidden road"}
    )
    assert faults(hidden) == {"/place": "no_such_place"}
    for name in ("Morning coal", "Evening coal"):
        answer = visitor.ask(
            "POST", "/v1/checks/train-fit", {"train": name, "place": "Up loop"}
        )
        assert faults(answer) == {"/train": "no_such_train"}


@pytest.mark.parametrize("name", ["\ud800", "Ore\x00wagon", "O" * 121, ""])
def test_what_can_be_no_name_is_a_fault(ground: Ground, name: str) -> None:
    body = {"train": {"train_id": name}, "place": LOOP}
    answer = ground.steward.send(
        "POST", "/v1/checks/train-fit", json.dumps(body).encode()
    )
    assert answer.status_code == 422


def test_many_names_are_looked_up_at_once(ground: Ground) -> None:
    for number in range(30):
        ground.make("Vehicle", name=f"Van {number}")
    vehicles = [f"Van {number}" for number in range(30)]
    answer = ground.steward.ask(
        "POST", "/v1/checks/train-fit", {"train": {"vehicles": vehicles}, "place": LOOP}
    )
    assert answer.status_code == 200, answer.text


def named_fields(
    kind: Any, within: frozenset[type] = frozenset()
) -> Iterator[tuple[str, str, Any]]:
    """Yield every field, however deep, that ends as the id of a record does: its
    struct, its name and its type.
    """
    if isinstance(kind, inspect.Metadata):
        yield from named_fields(kind.type, within)
    elif isinstance(kind, inspect.UnionType):
        for one in kind.types:
            yield from named_fields(one, within)
    elif isinstance(kind, inspect.ListType | inspect.VarTupleType):
        yield from named_fields(kind.item_type, within)
    elif isinstance(kind, inspect.StructType) and kind.cls not in within:
        for field in kind.fields:
            if field.name.endswith("_id"):
                yield kind.cls.__name__, field.name, msgspec.structs.fields(kind.cls)
            yield from named_fields(field.type, within | {kind.cls})


def test_whatever_asks_for_an_id_takes_a_name() -> None:
    kinds = [
        kind
        for one in OPERATIONS.values()
        for kind in (one.takes.body, one.takes.patch_of, one.takes.query)
        if kind is not None
    ]
    asked = {
        (struct, name): fields
        for kind in kinds
        for struct, name, fields in named_fields(inspect.type_info(kind))
    }
    assert len(asked) > 30
    assert {name for _, name in asked} - set(NAMED_BY) == {"record_id", "action_id"}
    name = "Morning coal, with a name as long as names may be".ljust(120, "!")
    for (struct, field), fields in asked.items():
        if field in NAMED_BY:
            (its,) = (one.type for one in fields if one.name == field)
            assert msgspec.convert(name, its) == name, f"{struct}.{field}"


def test_a_file_of_stock_is_given_to_a_member_by_name(ground: Ground) -> None:
    sam = ground.make("Member", name="Sam Reed")
    preview = ground.stock_import()
    path = f"/v1/stock-imports/{preview['id']}"
    mapping = {"columns": [{"column": 1, "field": "name"}], "owner": "sam reed"}
    assert (
        ground.steward.ask("PUT", f"{path}/mapping", mapping, if_match="*").status_code
        == 200
    )
    assert (
        ground.steward.ask("POST", f"{path}/commit", {"rows": "good"}).status_code
        == 200
    )
    (vehicle,) = ground.steward.read("/v1/vehicles?owner=Sam+Reed")["items"]
    assert vehicle["owner_id"] == sam["id"]
    listed = ground.steward.ask("GET", "/v1/stock-list.csv?owner_id=Sam+Reed").text
    assert vehicle["name"] in listed
    assert (
        vehicle["name"]
        not in ground.steward.ask("GET", "/v1/stock-list.csv?owner_id=Robin+Vale").text
    )


def test_what_a_member_deleted_is_listed_by_the_members_name(ground: Ground) -> None:
    ground.make("DeletedRecord")
    assert (
        len(ground.steward.read("/v1/deleted-records?member_id=Robin+Vale")["items"])
        == 1
    )
    assert (
        len(ground.steward.read("/v1/deleted-records?member=robin+vale")["items"]) == 1
    )
