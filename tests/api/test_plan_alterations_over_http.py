"""Alterations of a layout's plan on record: two revisions, and one that is only thought
of.
"""

from typing import Any

import pytest

from api.asking import NOBODY, Caller, faults, refusal
from api.ground import Ground
from api.test_blocked_moves_over_http import of_wharf, train
from api.test_roads_on_record import id_in
from questions.test_move_question import FULLERS_WHARF
from standage.questions.derived import DERIVED

LONGER = {"pieces": {"W": {"length_mm": 691}}}
"""The wharf, 71 mm longer: 671 mm of it can be used."""


@pytest.fixture
def ground(steward: Caller) -> Ground:
    DERIVED.forget_all()
    return Ground(steward)


def what_if(caller: Caller, layout: str, body: Any) -> dict[str, Any]:
    response = caller.ask("POST", f"{layout}/plan/what-if", body)
    assert response.status_code == 200, response.text
    answer: dict[str, Any] = response.json()
    return answer


def turned(answer: dict[str, Any]) -> set[tuple[Any, ...]]:
    names = ("question", "train", "place", "to", "before", "after")
    return {tuple(one[name] for name in names) for one in answer["verdicts"]}


def test_what_is_thought_of_is_answered_as_it_is_once_saved_and_nothing_is_saved(
    ground: Ground,
) -> None:
    layout = of_wharf(ground)
    # 25 mm are left for stopping on a road on record: 671 hold 646, and 600 do not.
    train(ground, "Long", 640.0)
    before = ground.steward.ask("GET", f"{layout}/plan")
    thought = what_if(ground.steward, layout, {"patch": LONGER})
    after = ground.steward.ask("GET", f"{layout}/plan")
    assert after.headers["etag"] == before.headers["etag"]
    ground.steward.made(f"{layout}/plan/revisions", {})
    changed = ground.steward.ask("PATCH", f"{layout}/plan", LONGER, if_match="*")
    assert changed.status_code == 200, changed.text
    saved = ground.steward.read(f"{layout}/plan/compare?from=1")
    assert thought == saved
    assert ("fits", "Long", "Wharf", None, "does_not_fit", "fits") in turned(saved)
    assert saved["verdict"] == "better"


def test_a_whole_plan_is_tried_as_its_patch_is(ground: Ground) -> None:
    layout = of_wharf(ground)
    train(ground, "Long", 640.0)
    pieces = {**FULLERS_WHARF["pieces"], "W": {"kind": "track", "length_mm": 691}}
    whole = what_if(
        ground.steward, layout, {"plan": {**FULLERS_WHARF, "pieces": pieces}}
    )
    assert whole == what_if(ground.steward, layout, {"patch": LONGER})


def test_the_room_for_stopping_of_a_place_on_record_counts(ground: Ground) -> None:
    """The place's own verdict once the plan is saved is the second definition."""
    layout = of_wharf(ground)
    long = train(ground, "Long", 640.0)
    place = {
        "name": "Coal wharf",
        "kind": "siding",
        "road": "Wharf",
        "usable_length_mm": 600,
        "stopping_margin_mm": 60,
    }
    ground.steward.made(f"{layout}/places", place)
    pinned = what_if(ground.steward, layout, {"patch": LONGER})
    about_wharf = {one[:4] for one in turned(pinned)}
    assert ("fits", "Long", "Wharf", None) not in about_wharf
    # 31 mm more make up for the room of 60 mm: 702 hold 642.
    longer = {"pieces": {"W": {"length_mm": 722}}}
    held = what_if(ground.steward, layout, {"patch": longer})
    (turn,) = [one for one in held["verdicts"] if one["question"] == "fits"]
    assert (turn["place"], turn["after"], turn["spare_mm"]) == ("Wharf", "fits", 2)
    assert ground.steward.ask(
        "PATCH", f"{layout}/plan", longer, if_match="*"
    ).is_success
    asked = {
        "train": {"train_id": long},
        "place": place_without_tape(place, layout),
    }
    answer = ground.steward.ask("POST", "/v1/checks/train-fit", asked).json()
    assert (answer["standing"], answer["spare_mm"]) == ("fits", 2)


def place_without_tape(place: dict[str, Any], layout: str) -> dict[str, Any]:
    """Return a place as it is asked of the plan: what was taped of it is as it was."""
    plan = {"layout_id": id_in(layout)}
    margin_mm = place["stopping_margin_mm"]
    return {"plan": plan, "road": place["road"], "stopping_margin_mm": margin_mm}


def test_two_revisions_the_other_way_round_turn_everything_back(
    ground: Ground,
) -> None:
    layout = of_wharf(ground)
    train(ground, "Long", 640.0)
    ground.steward.made(f"{layout}/plan/revisions", {})
    ground.steward.ask("PATCH", f"{layout}/plan", LONGER, if_match="*")
    ground.steward.made(f"{layout}/plan/revisions", {})
    there = turned(ground.steward.read(f"{layout}/plan/compare?from=1&to=2"))
    back = turned(ground.steward.read(f"{layout}/plan/compare?from=2&to=1"))
    assert there == {(*one[:4], one[5], one[4]) for one in back}
    same = ground.steward.read(f"{layout}/plan/compare?from=2&to=2")
    assert same["verdict"] == "same"


def test_what_is_no_plan_is_refused_where_it_was_sent(ground: Ground) -> None:
    layout = of_wharf(ground)
    address = f"{layout}/plan/what-if"
    wrong = {"patch": {"pieces": {"W": {"length_mm": "long"}, "N": {"kind": "strait"}}}}
    refused = ground.steward.ask("POST", address, wrong)
    assert set(faults(refused)) == {
        "/patch/pieces/W/length_mm",
        "/patch/pieces/N/kind",
    }
    assert set(faults(ground.steward.ask("POST", address, {}))) == {"/patch"}
    both = {"patch": {}, "plan": FULLERS_WHARF}
    assert set(faults(ground.steward.ask("POST", address, both))) == {"/patch"}


def test_a_layout_or_a_revision_that_is_not_there_is_not_found(ground: Ground) -> None:
    layout = of_wharf(ground)
    missing = ground.steward.ask("GET", f"{layout}/plan/compare?from=7")
    refusal(missing, 404, "not_found")
    for method, way, body in (
        ("GET", "compare", None),
        ("POST", "what-if", {"patch": {}}),
    ):
        address = f"/v1/layouts/{NOBODY}/plan/{way}"
        refusal(ground.steward.ask(method, address, body), 404, "not_found")


def test_two_revisions_are_drawn_as_two_plans_that_are_sent(ground: Ground) -> None:
    layout = of_wharf(ground)
    ground.steward.made(f"{layout}/plan/revisions", {})
    ground.steward.ask("PATCH", f"{layout}/plan", LONGER, if_match="*")
    drawn = ground.steward.ask(
        "GET", f"{layout}/plan/compare/drawing?from=1&paper=letter"
    )
    assert drawn.status_code == 200, drawn.text
    assert drawn.headers["content-type"].startswith("image/svg+xml")
    longer = {**FULLERS_WHARF["pieces"], "W": {"kind": "track", "length_mm": 691}}
    body = {"before": FULLERS_WHARF, "after": {**FULLERS_WHARF, "pieces": longer}}
    inline = ground.steward.ask(
        "POST", "/v1/checks/plan-compare/drawing?paper=letter", body
    )
    assert drawn.text == inline.text
    beyond = ground.steward.ask("GET", f"{layout}/plan/compare/drawing?page=9")
    assert set(faults(beyond)) == {"page"}
