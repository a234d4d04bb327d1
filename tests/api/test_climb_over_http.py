"""A climb over HTTP: inline, and on a plan on record."""

from typing import Any

from api.asking import Caller, refusal
from api.ground import Ground
from api.test_plans_on_record import above, sent
from standage.questions.climb import EXAMPLE

CLIMB = "/v1/checks/climb"


def test_a_plan_on_record_is_climbed_as_one_that_is_sent(steward: Caller) -> None:
    inline = steward.ask("POST", CLIMB, {**EXAMPLE})
    assert inline.status_code == 200, inline.text
    told: dict[str, Any] = inline.json()
    # 50 mm over 2,650 mm, less half of a vertical curve of 300 mm
    assert told["worst"]["percent"] == 2.0
    assert told["worst"]["position"]["piece"] == "Bank"
    layout = above(Ground(steward), "layout")
    plan: Any = EXAMPLE["plan"]
    assert sent(steward, layout, plan).status_code == 201
    body = {name: value for name, value in EXAMPLE.items() if name != "plan"}
    on_record = steward.ask(
        "POST", CLIMB, {**body, "layout_id": layout.rpartition("/")[2]}
    )
    assert on_record.status_code == 200, on_record.text
    for field in ("verdict", "felt", "worst", "haulage", "runaway", "vehicles_off"):
        assert on_record.json()[field] == told[field]


def test_a_route_that_needs_a_reversal_is_refused_over_http(steward: Caller) -> None:
    route = ["running line Bank", "running line Low", "running line Quay"]
    answer = steward.ask("POST", CLIMB, {**EXAMPLE, "route": route})
    problem = refusal(answer, 422, "invalid")
    (fault,) = problem["faults"]
    assert (fault["pointer"], fault["code"]) == ("/route/2", "needs_reversal")
    assert "turn back" in fault["message"]
