"""Moves that are not possible on a layout on record: pages, tags, rights, and the plan as
it is now.
"""

from typing import Any

import pytest

from api.asking import NOBODY, Caller, faults, refusal
from api.ground import Ground
from api.test_plans_on_record import above, sent
from questions.test_move_question import FULLERS_WHARF
from standage.questions.derived import DERIVED


@pytest.fixture
def ground(steward: Caller) -> Ground:
    DERIVED.forget_all()
    return Ground(steward)


def train(ground: Ground, name: str, length_mm: float) -> str:
    """Return a train on record, of one vehicle that is so long over its couplings."""
    vehicle = ground.steward.made(
        "/v1/vehicles",
        {
            "name": f"All of {name}",
            "kind": "wagon",
            "length_mm": length_mm,
            "length_over": "couplings",
        },
    )
    body = {"name": name, "vehicles": [{"vehicle_id": vehicle["id"]}]}
    return str(ground.steward.made("/v1/trains", body)["id"])


def of_wharf(ground: Ground) -> str:
    layout = above(ground, "layout")
    assert sent(ground.steward, layout, FULLERS_WHARF).status_code == 201
    return layout


def blocked(caller: Caller, layout: str, query: str = "") -> dict[str, Any]:
    return caller.read(f"{layout}/blocked-moves{query}")


def test_each_row_is_impossible_when_it_is_asked_again_and_pages_are_one_list(
    ground: Ground,
) -> None:
    layout = of_wharf(ground)
    long = train(ground, "Long", 640.0)
    train(ground, "Short", 300.0)
    whole = blocked(ground.steward, layout)
    assert whole["verdict"] == "some_blocked"
    assert whole["moves"]["possible"] == 8
    rows = whole["items"]
    assert len(rows) == whole["moves"]["impossible"] == 4
    ends = {"Headshunt": "buffers", "Wharf": "points P1", "Loop": "points P2"}
    for row in rows:
        body = {
            "layout_id": layout.rpartition("/")[2],
            "train": {"train_id": row["train_id"]},
            "from": {"place": row["from"], "engine_towards": ends[row["from"]]},
            "to": {"place": row["to"]},
        }
        alone = ground.steward.ask("POST", "/v1/checks/move", body).json()
        assert (row["train_id"], alone["verdict"]) == (long, "impossible")
        for name in ("longest_train_mm", "limited_by"):
            assert row[name] == alone[name]
        assert row["short_by_mm"] == 640.0 - row["longest_train_mm"]
    paged: list[Any] = []
    following = f"{layout}/blocked-moves?limit=3"
    while following:
        page = ground.steward.read(following)
        paged += page["items"]
        following = page.get("next", "")
    assert paged == rows
    first = blocked(ground.steward, layout, "?limit=1")
    elsewhere = f"{layout}/blocked-moves?to_place=Wharf&cursor={first['next_cursor']}"
    assert set(faults(ground.steward.ask("GET", elsewhere))) == {"cursor"}


def test_it_is_worked_out_once_for_a_plan_and_anew_for_another(ground: Ground) -> None:
    layout = of_wharf(ground)
    train(ground, "Long", 640.0)
    path = f"{layout}/blocked-moves"
    cold, kept = (ground.steward.ask("GET", path) for _ in range(2))
    assert DERIVED.size_bytes > 0
    assert (cold.content, cold.headers["etag"]) == (kept.content, kept.headers["etag"])
    same = ground.steward.ask("GET", path, if_none_match=cold.headers["etag"])
    assert same.status_code == 304
    ground.steward.made(f"{layout}/plan/revisions", {})
    longer = FULLERS_WHARF["pieces"] | {"W": {"kind": "track", "length_mm": 700}}
    sent(ground.steward, layout, FULLERS_WHARF | {"pieces": longer}, if_match="*")
    assert blocked(ground.steward, layout)["verdict"] == "all_go"
    assert (
        blocked(ground.steward, layout, "?revision=1")["items"] == cold.json()["items"]
    )
    train(ground, "Very long", 725.0)
    assert {one["train"] for one in blocked(ground.steward, layout)["items"]} == {
        "Very long"
    }


def test_only_the_club_may_ask_and_only_about_what_is_there(ground: Ground) -> None:
    layout = above(ground, "layout")
    path = f"{layout}/blocked-moves"
    refusal(ground.steward.ask("GET", path), 404, "not_found")
    sent(ground.steward, layout, FULLERS_WHARF)
    refusal(ground.steward.ask("GET", f"{path}?revision=2"), 404, "not_found")
    visitor = ground.steward.visiting(layout.rpartition("/")[2])
    refusal(visitor.ask("GET", path), 403, "forbidden")
    wrong = ground.steward.ask("GET", f"{path}?train_id={NOBODY}&to_place=Dock")
    assert set(faults(wrong)) == {"train_id"}
    assert blocked(ground.steward, layout)["verdict"] == "cannot_tell"
    short = train(ground, "Short", 300.0)
    train(ground, "Long", 640.0)
    for asked in (short, "Short"):
        answer = blocked(ground.steward, layout, f"?train_id={asked}")
        assert answer["moves"]["possible"] == 6
        assert answer["verdict"] == "all_go"
    nowhere = ground.steward.ask("GET", f"{path}?to_place=Wharff")
    assert faults(nowhere) == {"to_place": "no_such_road"}
