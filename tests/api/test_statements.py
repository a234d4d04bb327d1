"""How much the database is asked does not grow with how much it gives."""

from typing import Any

import pytest

from api.asking import Caller, Service
from api.ground import LOOP, WAGON, Ground, one_of
from standage.questions.derived import DERIVED
from standage.registry.database.tables import links
from support.databases import statements

MANY = 100


def sent(service: Service, caller: Caller, path: str, body: Any = None) -> int:
    """Return how many statements the database is sent for one request: a POST where
    there is a body.
    """
    with statements(service.database) as told:
        response = caller.ask("GET" if body is None else "POST", path, body)
    assert response.is_success, response.text
    assert told
    return len(told)


@pytest.mark.parametrize(
    "noun",
    [
        *(
            "Member",
            "Token",
            "CouplingType",
            "Vehicle",
            "Rake",
            "Train",
            "Module",
            "Standard",
            "Layout",
        )
    ],
)
def test_a_list_of_a_hundred_takes_as_many_statements_as_one_of_one(
    service: Service, ground: Ground, noun: str
) -> None:
    path = one_of(noun, ground.make(noun)).rpartition("/")[0]
    few = sent(service, ground.steward, f"{path}?limit=200")
    for _ in range(MANY - 1):
        ground.make(noun)
    many = sent(service, ground.steward, f"{path}?limit=200")
    assert len(ground.steward.read(f"{path}?limit=200")["items"]) >= MANY
    assert many == few


def test_a_hundred_places_take_as_many_statements_as_one(
    service: Service, ground: Ground
) -> None:
    layout = ground.make("Layout")
    first = ground.make("Place", layout_id=layout["id"])
    train = ground.make("Train")
    paths = (
        f"/v1/layouts/{layout['id']}/places?limit=200",
        f"{one_of('Place', first)}/train-fit?train_id={train['id']}",
    )
    few = [sent(service, ground.steward, path) for path in paths]
    for _ in range(MANY - 1):
        ground.make("Place", layout_id=layout["id"])
    many = [sent(service, ground.steward, path) for path in paths]
    assert many == few


def test_a_train_of_a_hundred_takes_as_many_statements_as_one_of_one(
    service: Service, ground: Ground
) -> None:
    ground.make("CouplingType", name="Staple hook")
    hook = {"type": "Staple hook"}
    vehicles = [ground.make("Vehicle", front_coupling=hook) for _ in range(MANY)]
    place = one_of("Place", ground.make("Place"))
    few: list[int] = []
    many: list[int] = []
    for count, told in ((1, few), (MANY, many)):
        body = {
            "name": "Night goods",
            "vehicles": [{"vehicle_id": one["id"]} for one in vehicles[:count]],
        }
        told.append(sent(service, ground.steward, "/v1/trains", body))
        train = ground.steward.read("/v1/trains?sort=-created_at&limit=1")["items"][0]
        assert len(train["vehicles"]) == count
        questions = (
            f"{place}/train-fit?train_id={train['id']}",
            f"/v1/trains/{train['id']}/curve?radius_mm=600",
        )
        told += [sent(service, ground.steward, path) for path in questions]
        inline = {"train": {"vehicles": body["vehicles"]}, "place": LOOP}
        told.append(sent(service, ground.steward, "/v1/checks/train-fit", inline))
    assert many == few


def test_a_question_all_inline_takes_as_many_statements_however_long_the_train(
    service: Service, ground: Ground
) -> None:
    counts = []
    for count in (1, MANY):
        body = {"train": {"vehicles": [WAGON] * count}, "place": LOOP}
        counts.append(sent(service, ground.steward, "/v1/checks/train-fit", body))
    assert counts[0] == counts[1]


@pytest.fixture
def about_a_train(ground: Ground) -> list[str]:
    """Give the questions about a train on record that has vehicles, turned ones and a
    rake of its own.
    """
    ground.make("CouplingType", name="Staple hook", reach_mm=6.5)
    engine, *wagons = [
        ground.make("Vehicle", front_coupling={"type": "Staple hook"})["id"]
        for _ in range(4)
    ]
    rake = ground.make(
        "Rake",
        vehicles=[{"vehicle_id": one} for one in wagons],
        measured_length_mm=300,
        measured_over="buffers",
    )
    entries = [
        {"vehicle_id": engine, "reversed": True},
        {"rake_id": rake["id"], "reversed": True},
    ]
    train = ground.make("Train", vehicles=entries)
    layout = ground.make("Layout", minimum_radius_mm=500)
    places = [ground.make("Place", layout_id=layout["id"]) for _ in range(3)]
    fits = [
        f"{one_of('Place', place)}/train-fit?train_id={train['id']}" for place in places
    ]
    return [*fits, f"/v1/trains/{train['id']}/curve?radius_mm=600"]


def test_a_question_about_a_train_on_record_is_two_statements(
    service: Service, ground: Ground, about_a_train: list[str]
) -> None:
    """One finds out who asks, and one brings everything."""
    assert {sent(service, ground.steward, path) for path in about_a_train} == {2}


def test_without_links_the_answers_are_the_same(
    service: Service, ground: Ground, about_a_train: list[str]
) -> None:
    """What brings a train's vehicles along is the table of links; what it does not
    bring is asked for.
    """
    before = [ground.steward.read(path) for path in about_a_train]
    with service.database.write() as connection:
        assert connection.execute(links.delete()).rowcount
    assert [ground.steward.read(path) for path in about_a_train] == before
    assert {len(one["because"]) for one in before} != {0}


def test_a_plan_of_a_hundred_pieces_takes_as_many_statements_as_one_of_one(
    service: Service, ground: Ground
) -> None:
    told: list[list[int]] = []
    for number in (1, MANY):
        DERIVED.forget_all()
        pieces = {
            f"T{one}": {"kind": "straight", "length_mm": 9} for one in range(number)
        }
        plan = ground.make("LayoutPlan", pieces=pieces, scale="00")
        path = one_of("LayoutPlan", plan)
        saved = sent(service, ground.steward, f"{path}/revisions", {"remark": ""})
        read = ("", "/revisions/1", "/check", "/check?revision=1", "/drawing")
        told.append(
            [saved, *(sent(service, ground.steward, path + one) for one in read)]
        )
    assert told[0] == told[1]


def test_a_layout_of_twenty_modules_takes_as_many_statements_as_one_of_one(
    service: Service, ground: Ground
) -> None:
    modules = []
    for _ in range(20):
        plan = ground.make("ModulePlan")
        ground.steward.made(f"{one_of('ModulePlan', plan)}/revisions", {})
        modules.append({"module_id": plan["module_id"]})
    told = []
    for number in (1, 20):
        named = {f"M{place}": one for place, one in enumerate(modules[:number])}
        layout = ground.make("LayoutPlan", pieces={}, modules=named)
        path = one_of("LayoutPlan", layout)
        told.append(sent(service, ground.steward, f"{path}/check"))
        answer = ground.steward.read(f"{path}/check")
        assert (len(answer["roads"]), answer["faults"]) == (number, [])
    assert told[0] == told[1]
