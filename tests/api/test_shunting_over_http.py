"""Shunting asked over HTTP: the answers' shape and figures, what is on record, and
every plan played through again.
"""

from typing import Any

import httpx
import msgspec
import pytest

from api.asking import NOBODY, Caller, Clock, Service, faults, serving
from api.ground import CHECKS, DEAL, SHUNTING, WAGON, YARD, Ground, one_of
from standage.questions import shunting_plan
from standage.questions.asked import inline_yard
from standage.railway.shunting.check import broken, couplings
from standage.railway.shunting.yard import Puzzle, Visit
from standage.registry.database.engine import Database
from standage.settings import Settings
from standage.shapes.decoding import convert
from support.yard_puzzles import least, weights_from_start
from support.yard_questions import START, WAGONS, vehicles
from support.yard_questions import YARD as THREE_SIDINGS

PLAN = "/v1/checks/shunting-plan"
DEALING = "/v1/checks/shunting-deal"
EVERY_TRAIN = "/v1/checks/every-train"
REVERSED = CHECKS["checkShuntingPlan"]
EIGHT: dict[str, Any] = {
    "engine_length_mm": 100,
    "yard": THREE_SIDINGS,
    "wagons": WAGONS,
    "start": START,
}


def answer(response: httpx.Response) -> dict[str, Any]:
    assert (response.status_code, response.headers["content-type"]) == (
        200,
        "application/json",
    ), response.text
    found: dict[str, Any] = response.json()
    return found


def puzzle(body: dict[str, Any]) -> Puzzle:
    """Return the puzzle that a request with everything inline is about."""
    request = convert(body, shunting_plan.ShuntingPlanRequest)
    return shunting_plan.case_of(
        request, inline_yard(request.yard), vehicles(request.wagons)
    ).puzzle


def moves(told: dict[str, Any]) -> list[Visit]:
    return msgspec.convert(told["moves"], list[Visit])


def test_the_answer_has_the_figures_worked_out_by_hand(steward: Caller) -> None:
    """One wagon from the long road to the short one: couple and cut, then set down in
    an empty road.
    """
    told = answer(
        steward.ask(
            "POST", PLAN, SHUNTING | {"goal": {"siding": "Short", "train": ["A"]}}
        )
    )
    named = ("verdict", "proved", "visits", "couplings", "bound", "moves")
    assert {name: told[name] for name in named} == {
        "verdict": "solved",
        "proved": True,
        "visits": 2,
        "couplings": 3,
        "bound": 2,
        "moves": [
            {"siding": "Long", "action": "pick", "wagons": ["A"]},
            {"siding": "Short", "action": "drop", "wagons": ["A"]},
        ],
    }


@pytest.mark.parametrize("fewest", ["visits", "couplings"])
def test_every_plan_is_a_plan_and_as_short_as_a_plain_search_finds(
    steward: Caller, fewest: str
) -> None:
    body = REVERSED | {"fewest": fewest}
    told, asked = answer(steward.ask("POST", PLAN, body)), puzzle(body)
    assert broken(asked, moves(told)) == []
    assert told["couplings"] == couplings(asked, moves(told))
    assert told[fewest] == told["bound"] == least(asked, weights_from_start(asked))


def test_a_goal_that_does_not_fit_is_impossible_at_once(steward: Caller) -> None:
    told = answer(
        steward.ask(
            "POST",
            PLAN,
            SHUNTING | {"goal": {"siding": "Short", "train": ["A", "B", "C"]}},
        )
    )
    assert (told["verdict"], told["proved"], told["steps"], told["moves"]) == (
        "impossible",
        True,
        0,
        [],
    )
    assert (told["visits"], told["couplings"], told["bound"]) == (None, None, None)
    assert [(one["code"], one["message"]) for one in told["because"]] == [
        ("goal_does_not_fit", "Short is 40 mm too short for the train")
    ]


def test_a_budget_of_one_never_says_that_it_is_impossible(steward: Caller) -> None:
    """With a headshunt for two no train with F, G and H first can be made; only looking
    everywhere proves it.
    """
    body = EIGHT | {
        "yard": THREE_SIDINGS | {"headshunt_usable_length_mm": 260},
        "goal": {"siding": "Long", "train": list("FGHAB")},
    }
    assert answer(steward.ask("POST", PLAN, body))["verdict"] == "impossible"
    told = answer(steward.ask("POST", PLAN, body | {"budget_steps": 1}))
    assert (told["verdict"], told["proved"], told["moves"]) == (
        "budget_spent",
        False,
        [],
    )


@pytest.mark.parametrize(
    ("headshunt_mm", "possible", "verdict"),
    [(340, 6720, "every_train"), (260, 840, "not_every_train")],
)
def test_every_train_of_five_or_only_840_can_be_made(
    steward: Caller, headshunt_mm: int, possible: int, verdict: str
) -> None:
    """**Source** counts published for sidings of 5, 3 and 3 wagons: 8 · 7 · 6 · 5 · 4
    trains, headshunt for 3 or 2.
    """
    yard = THREE_SIDINGS | {"headshunt_usable_length_mm": headshunt_mm}
    told = answer(
        steward.ask(
            "POST",
            EVERY_TRAIN,
            EIGHT | {"yard": yard, "siding": "Long", "train_wagons": 5},
        )
    )
    assert (told["verdict"], told["trains"], told["trains_possible"]) == (
        verdict,
        6720,
        possible,
    )
    assert sum(one["trains"] for one in told["by_par"]) == possible


def test_a_seed_deals_one_puzzle_whose_solution_is_a_plan_of_its_par(
    steward: Caller,
) -> None:
    body = DEAL | {"yard": THREE_SIDINGS, "wagons": WAGONS, "train_wagons": 5}
    told = answer(steward.ask("POST", DEALING, body))
    assert (told["verdict"], told["moves"]) == ("dealt", None)
    solved = answer(steward.ask("POST", DEALING, body | {"with_solution": True}))
    assert {**solved, "moves": None} == told
    asked = {name: told[name] for name in ("wagons", "start", "goal")}
    dealt = puzzle({"engine_length_mm": 100, "yard": THREE_SIDINGS, **asked})
    assert broken(dealt, moves(solved)) == []
    assert len(moves(solved)) == told["par"] > 3
    planned = answer(
        steward.ask(
            "POST", PLAN, {"engine_length_mm": 100, "yard": THREE_SIDINGS, **asked}
        )
    )
    assert planned["bound"] == told["par"]


@pytest.fixture
def club_wagons(ground: Ground) -> list[dict[str, Any]]:
    """Return two wagons of one record and one of another, each 76 over its buffers and
    80 over couplings of 2 mm.
    """
    hook = {"reach_mm": 2.0}
    like: dict[str, Any] = {
        "length_mm": 76.0,
        "front_coupling": hook,
        "rear_coupling": hook,
    }
    pair, single = (
        ground.make("Vehicle", **like, count=2),
        ground.make("Vehicle", **like, name="C"),
    )
    pair_id, single_id = pair["id"], single["id"]
    return [
        {"vehicle_id": pair_id, "name": "A"},
        {"vehicle_id": pair_id, "name": "B"},
        {"vehicle_id": single_id},
    ]


def test_what_is_on_record_is_answered_as_what_is_inline(
    ground: Ground, club_wagons: list[dict[str, Any]]
) -> None:
    yard = {"yard_id": ground.make("Yard")["id"]}
    for path, body in (
        (PLAN, REVERSED),
        (DEALING, DEAL),
        (EVERY_TRAIN, CHECKS["checkEveryTrain"]),
    ):
        inline = answer(ground.steward.ask("POST", path, body))
        on_record = answer(
            ground.steward.ask(
                "POST", path, body | {"yard": yard, "wagons": club_wagons}
            )
        )
        unsure = {
            "assumed",
            "tightest",
            "because",
        }  # a length over buffers and its couplings have a ± of their own
        assert {name: inline[name] for name in inline.keys() - unsure} == {
            name: on_record[name] for name in on_record.keys() - unsure
        }


def test_two_wagons_of_one_record_need_names_of_their_own(
    ground: Ground, club_wagons: list[dict[str, Any]]
) -> None:
    bare = [{"vehicle_id": one["vehicle_id"]} for one in club_wagons]
    body = DEAL | {"wagons": bare, "train_wagons": 2}
    assert faults(ground.steward.ask("POST", DEALING, body)) == {
        "/wagons/1/name": "not_unique"
    }


def test_a_yard_that_is_deleted_is_unknown(ground: Ground) -> None:
    yard = ground.make("Yard")
    assert (
        ground.steward.ask("DELETE", one_of("Yard", yard), if_match="*").status_code
        == 204
    )
    for yard_id in (yard["id"], NOBODY, "nonsense"):
        response = ground.steward.ask(
            "POST", PLAN, REVERSED | {"yard": {"yard_id": yard_id}}
        )
        assert faults(response) == {"/yard/yard_id": "no_such_yard"}


def test_a_yard_goes_with_its_layout(ground: Ground) -> None:
    yard = ground.make("Yard")
    assert (
        ground.steward.ask(
            "DELETE", f"/v1/layouts/{yard['layout_id']}", if_match="*"
        ).status_code
        == 204
    )
    response = ground.steward.ask(
        "POST", PLAN, REVERSED | {"yard": {"yard_id": yard["id"]}}
    )
    assert faults(response) == {"/yard/yard_id": "no_such_yard"}


@pytest.mark.parametrize(
    ("yard", "told"),
    [
        ({}, {"/yard/headshunt_usable_length_mm": "missing", "/yard/sidings": "missing"}),
        (YARD | {"yard_id": NOBODY}, {
            "/yard/headshunt_usable_length_mm": "one_or_the_other",
            "/yard/sidings": "one_or_the_other",
        }),
        (YARD | {"sidings": YARD["sidings"] * 4}, {"/yard/sidings": "too_many"}),
        (YARD | {"rooms": [{"between": ["Long", "Long"], "room_mm": 1}]}, {"/yard/rooms/0/between": "contradiction"}),
    ],
)  # fmt: skip
def test_a_yard_that_is_none_is_told_at_its_place(
    steward: Caller, yard: dict[str, Any], told: dict[str, str]
) -> None:
    for path, body in (
        (PLAN, REVERSED),
        (DEALING, DEAL),
        (EVERY_TRAIN, CHECKS["checkEveryTrain"]),
    ):
        assert faults(steward.ask("POST", path, body | {"yard": yard})) == told


def test_what_cannot_be_is_told_before_anything_is_searched(steward: Caller) -> None:
    """Each fault at its place in the request, whether the shape, the yard or the wagons
    bring it up.
    """
    unknown = REVERSED | {"goal": {"siding": "Nowhere", "train": ["Z"]}}
    assert faults(steward.ask("POST", PLAN, unknown)) == {
        "/goal/siding": "unknown_siding",
        "/goal/train/0": "unknown_wagon",
    }
    unmeasured = [{"name": "A"}, *SHUNTING["wagons"][1:]]
    missing = faults(steward.ask("POST", PLAN, REVERSED | {"wagons": unmeasured}))
    assert missing["/wagons/0/length_mm"] == "missing"
    assert faults(steward.ask("POST", DEALING, DEAL | {"siding": "Nowhere"})) == {
        "/siding": "unknown_siding"
    }
    every = CHECKS["checkEveryTrain"] | {"siding": "Nowhere"}
    assert faults(steward.ask("POST", EVERY_TRAIN, every)) == {
        "/siding": "unknown_siding"
    }
    assert faults(steward.ask("POST", PLAN, REVERSED | {"budget_steps": 0})) == {
        "/budget_steps": "too_small"
    }


def test_both_unknown_ids_are_told_at_once(steward: Caller) -> None:
    body = REVERSED | {
        "yard": {"yard_id": NOBODY},
        "wagons": [*SHUNTING["wagons"], {"vehicle_id": NOBODY}],
    }
    assert faults(steward.ask("POST", PLAN, body)) == {
        "/yard/yard_id": "no_such_yard",
        "/wagons/3/vehicle_id": "no_such_vehicle",
    }


def test_a_yard_on_record_keeps_the_rules_of_a_yard(ground: Ground) -> None:
    layout = ground.make("Layout")["id"]
    twice = YARD | {
        "name": "Goods",
        "sidings": [{"name": "Dock", "usable_length_mm": 200}] * 2,
    }
    response = ground.steward.ask("POST", f"/v1/layouts/{layout}/yards", twice)
    assert faults(response) == {"/sidings/1/name": "not_unique"}
    alone = ground.steward.ask("POST", "/v1/yards", twice | {"layout_id": layout})
    assert faults(alone) == {"/sidings/1/name": "not_unique"}


def test_a_yard_is_read_as_it_was_recorded_and_changed_like_any_record(
    ground: Ground,
) -> None:
    yard = ground.make(
        "Yard",
        notes="Points 4 stick.",
        rooms=[{"between": ["Long", "Short"], "room_mm": 380}],
    )
    path = one_of("Yard", yard)
    assert ground.steward.read(path) == yard
    changed = ground.steward.ask(
        "PATCH",
        path,
        {"headshunt_usable_length_mm": 420},
        if_match=ground.steward.tag(path),
    )
    assert (changed.status_code, changed.json()["headshunt_usable_length_mm"]) == (
        200,
        420,
    )
    assert changed.json()["sidings"] == yard["sidings"]
    one = {"sidings": [{"name": "Long", "usable_length_mm": 300}]}
    assert faults(ground.steward.ask("PATCH", path, one, if_match="*")) == {
        "/rooms/0/between/1": "unknown_siding",
    }


def test_a_stranger_is_answered_where_questions_are_open(database: Database) -> None:
    settings = Settings(rate_limits="off", open_checks="on")
    with serving(database, Clock(), settings) as opened:
        assert (
            answer(opened.stranger().ask("POST", PLAN, REVERSED))["verdict"] == "solved"
        )
        by_id = REVERSED | {
            "yard": {"yard_id": NOBODY},
            "wagons": [{"vehicle_id": NOBODY}],
        }
        assert faults(opened.stranger().ask("POST", PLAN, by_id)) == {
            "/yard/yard_id": "no_such_yard",
            "/wagons/0/vehicle_id": "no_such_vehicle",
        }


def test_another_clubs_yard_of_the_same_figures_is_unknown_here(
    service: Service, steward: Caller
) -> None:
    theirs = Ground(service.club("Millpond Society")).make("Yard")
    body = DEAL | {
        "yard": {"yard_id": theirs["id"]},
        "wagons": [WAGON, {"vehicle_id": NOBODY}],
        "train_wagons": 2,
    }
    assert faults(steward.ask("POST", DEALING, body)) == {
        "/yard/yard_id": "no_such_yard",
        "/wagons/1/vehicle_id": "no_such_vehicle",
    }
