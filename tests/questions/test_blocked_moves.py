"""Which trains cannot get from where to where: against the same moves asked one by one."""

from collections.abc import Iterator
from copy import deepcopy
from itertools import permutations
from random import Random
from typing import Any

import msgspec
import pytest

from questions.test_move_question import FULLERS_WHARF
from standage.questions import blocked_moves
from standage.questions.asked import AskedTrain, inline_train, inline_vehicle
from standage.questions.blocked_moves import (
    BlockedMovesCase,
    BlockedMovesQuery,
    reckon,
)
from standage.questions.blocked_moves_answer import BlockedMove, BlockedMovesAnswer
from standage.questions.derived import DERIVED, Key
from standage.questions.move import MoveRequest, gather
from standage.questions.move import reckon as moved
from standage.questions.move_answer import MoveAnswer
from standage.questions.moves_ground import MovesGround
from standage.questions.plan import PlanCase
from standage.questions.resolving.trains import NamedTrain
from standage.questions.sources import Sources
from standage.railway.track.plans.plan import Plan
from standage.railway.track.survey.survey import survey
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.random_yards import random_plan

Json = dict[str, Any]
KEY = Key(club_id="", of="moves", beneath="", content="")
NAMED = FULLERS_WHARF["places"]
WHARF: Json = {**FULLERS_WHARF, "places": [*NAMED, {"name": "Main", "on": ["M"]}]}
WHARF_MM = 620 - 20
"""From the fouling point, 20 mm beyond the branch of 190 mm, to the buffers."""


def vehicles(*lengths_mm: float, plus_minus_mm: float = 0.0) -> Json:
    over = {"length_over": "couplings", "length_plus_minus_mm": plus_minus_mm}
    made = [
        {"name": f"Wagon {number}", "kind": "wagon", "length_mm": length_mm, **over}
        for number, length_mm in enumerate(lengths_mm)
    ]
    return {"vehicles": made}


TRAINS = {
    "Pick-up": vehicles(200, 200),
    "Mineral": vehicles(WHARF_MM - 100, 110),
    "Doubtful": vehicles(WHARF_MM - 100, 101, plus_minus_mm=1),
    "Long": vehicles(500, 500),
}


def named(name: str, train: Json) -> NamedTrain:
    asked = convert(train, AskedTrain)
    stood = [inline_vehicle(one) for one in asked.vehicles or ()]
    return NamedTrain(name=name, train=inline_train(asked, stood, ""), id=f"id {name}")


def case(plan: Json, trains: dict[str, Json], **query: Any) -> BlockedMovesCase:
    return BlockedMovesCase(
        ground=MovesGround(plan=PlanCase(plan=convert(plan, Plan))),
        trains=tuple(named(*one) for one in trains.items()),
        types=(),
        key=KEY,
        query=convert(query, BlockedMovesQuery),
    )


def answered(plan: Json, trains: dict[str, Json], **query: Any) -> BlockedMovesAnswer:
    return reckon(case(plan, trains, **({"limit": 200} | query))).answer


def by_itself(plan: Json, train: Json, start: str, goal: str) -> MoveAnswer:
    """Return what is answered of one move."""
    found = survey(convert(plan, Plan))
    [end] = [one.ends[0] for one in found.places if one.place.name == start]
    body = {
        "plan": plan,
        "train": train,
        "from": {"place": start, "engine_towards": end},
        "to": {"place": goal},
    }
    return moved(gather(Sources(None, ""), convert(body, MoveRequest)))


def rows_of(answer: BlockedMovesAnswer) -> dict[tuple[str, str, str], BlockedMove]:
    return {(one.train, one.from_, one.to): one for one in answer.items}


def is_as_by_itself(plan: Json, trains: dict[str, Json], *, most: int) -> Iterator[str]:
    """Yield the verdict of some moves, each held to what it is when asked by itself."""
    listed = rows_of(answered(plan, trains))
    places = [place["name"] for place in plan["places"]]
    every = [(name, *pair) for name in trains for pair in permutations(places, 2)]
    for name, start, goal in Random(len(every)).sample(every, min(most, len(every))):
        alone = by_itself(plan, trains[name], start, goal)
        row = listed.get((name, start, goal))
        if row is None:
            assert alone.verdict == "possible", (name, start, goal)
        else:
            assert row.verdict == alone.verdict
            assert row.longest_train_mm == alone.longest_train_mm
            assert row.plus_minus_mm == alone.plus_minus_mm
            assert set(row.limited_by) == set(alone.limited_by)
            assert alone.train_length_mm is not None
            spare_mm = row.longest_train_mm - alone.train_length_mm
            assert row.short_by_mm == -spare_mm
        yield alone.verdict


def test_every_move_that_is_listed_is_not_possible_by_itself_and_every_other_is() -> (
    None
):
    verdicts = set(is_as_by_itself(WHARF, TRAINS, most=24))
    assert verdicts == {"possible", "impossible", "tight"}


@pytest.mark.parametrize("seed", range(4))
def test_so_it_is_on_plans_made_at_random(seed: int) -> None:
    random = Random(240_000 + seed)
    plan = random_plan(random)
    pieces = [name for name in plan["pieces"] if name.startswith("T")]
    plan["places"] = [{"name": f"Road {name}", "on": [name]} for name in pieces]
    found = survey(msgspec.convert(plan, Plan))
    plan["places"] = [
        {"name": one.place.name, "on": list(one.place.on or ())} for one in found.places
    ]
    trains = {f"{mm} mm": vehicles(mm) for mm in (10, 30)}
    assert list(is_as_by_itself(plan, trains, most=12))


def test_it_is_all_counted_and_the_worst_is_said() -> None:
    answer = answered(WHARF, TRAINS)
    assert answer.verdict == "some_blocked"
    counts = msgspec.structs.astuple(answer.moves)
    assert counts == (18, 6, 24, 0)
    assert answer.because[0].message == (
        "4 trains and 4 places: 18 moves are impossible, 6 too close to call, 24"
        " possible, 0 cannot be told"
    )
    only = {"Pick-up": TRAINS["Pick-up"]}
    assert answered(WHARF, only).verdict == "all_go"
    assert answered(WHARF, {"Doubtful": TRAINS["Doubtful"]}).verdict == "tight"


def test_what_is_certain_comes_first_and_of_that_what_is_too_long_by_most() -> None:
    items = answered(WHARF, TRAINS).items
    verdicts = [one.verdict for one in items]
    assert verdicts == sorted(verdicts)
    for verdict in ("impossible", "tight"):
        short_mm = [one.short_by_mm for one in items if one.verdict == verdict]
        assert short_mm == sorted(short_mm, reverse=True)
    worst = items[0]
    assert (worst.train, worst.short_by_mm) == ("Long", 1000 - WHARF_MM)
    assert worst.limited_by == ("W",)
    assert worst.message == "the longest train that gets there is 600 mm; W limits it"


def test_pages_of_any_size_are_the_same_list() -> None:
    whole = answered(WHARF, TRAINS).items
    for limit in (1, 7):
        asked = case(WHARF, TRAINS, limit=limit)
        items: list[BlockedMove] = []
        while True:
            page = reckon(asked)
            assert len(page.answer.items) <= limit
            items += page.answer.items
            if page.then is None:
                break
            asked = msgspec.structs.replace(asked, after=after(page.then))
        assert tuple(items) == whole


def after(then: tuple[str, str]) -> Any:
    """Return where the next page begins."""
    return blocked_moves._after(then)


def test_a_page_of_what_is_kept_is_the_page_that_was_worked_out() -> None:
    DERIVED.forget_all()
    asked = case(WHARF, TRAINS)
    cold = reckon(asked)
    kept = DERIVED.get(KEY)
    limited = blocked_moves.kept_limits(KEY, kept)
    assert limited
    no_plan = MovesGround(plan=PlanCase(plan=Plan()))
    again = msgspec.structs.replace(
        asked, reached=kept, limited=limited, ground=no_plan
    )
    assert reckon(again) == cold


def test_only_some_moves_are_asked_about() -> None:
    whole = answered(WHARF, TRAINS).items
    from_main = answered(WHARF, TRAINS, from_place="main").items
    assert from_main == tuple(one for one in whole if one.from_ == "Main")
    both = answered(WHARF, TRAINS, from_place="Main", to_place="Wharf").items
    assert both == tuple(one for one in from_main if one.to == "Wharf")
    with pytest.raises(Faulty) as refusal:
        answered(WHARF, TRAINS, from_place="Mian", to_place="Nowhere")
    faults = {one.parameter: one.message for one in refusal.value.faults}
    assert set(faults) == {"from_place", "to_place"}
    assert "Main" in faults["from_place"]


def test_a_train_of_unknown_length_is_named_with_what_to_measure() -> None:
    trains = TRAINS | {"New": {"vehicles": [{"name": "Van", "kind": "wagon"}]}}
    answer = answered(WHARF, trains)
    [unknown] = answer.unknown_trains
    assert unknown.train == "New"
    missing = {(one.vehicle, one.field) for one in unknown.because}
    assert ("Van", "length_mm") in missing
    assert answer.moves.cannot_tell == 12
    assert {one.train for one in answer.items} == {"Mineral", "Doubtful", "Long"}
    assert answered(WHARF, {"New": trains["New"]}).verdict == "cannot_tell"


def test_what_is_known_of_a_train_may_be_too_long_already() -> None:
    van = {"name": "Van", "kind": "wagon"}
    trains = {"Half known": {"vehicles": [*vehicles(650)["vehicles"], van]}}
    answer = answered(WHARF, trains)
    assert answer.moves.impossible == 6
    assert all("Wharf" in {one.from_, one.to} for one in answer.items)


def test_places_from_which_no_train_gets_anywhere_say_so() -> None:
    plan = deepcopy(WHARF)
    plan["pieces"] |= {"S": {"kind": "track", "length_mm": 300}}
    plan["pieces"] |= {name: {"kind": "buffer_stop"} for name in ("B8", "B9")}
    plan["joins"] += [["B8.a", "S.a"], ["S.b", "B9.a"]]
    plan["places"].append({"name": "Shelf", "on": ["S"]})
    answer = answered(plan, {"Pick-up": TRAINS["Pick-up"]})
    assert answer.moves.impossible == 8
    for one in answer.items:
        assert "Shelf" in {one.from_, one.to}
        assert (one.longest_train_mm, one.short_by_mm) == (0, 400)
        assert (one.limited_by, one.message) == (
            (),
            "no train gets there, however short",
        )


def test_a_piece_of_unknown_length_leaves_the_moves_in_its_reach_untold() -> None:
    plan = deepcopy(WHARF)
    known = plan["pieces"]["P2"]
    unknown = {name: known[name] for name in known if name != "fouling_branch_mm"}
    plan["pieces"]["P2"] = unknown
    answer = answered(plan, TRAINS)
    assert answer.verdict == "cannot_tell"
    assert answer.items == ()
    assert answer.moves.cannot_tell == 48
    assert [one.field for one in answer.because[1:]] == ["P2"]


def test_a_plan_at_fault_tells_no_move_and_a_place_at_fault_only_its_own() -> None:
    plan = deepcopy(WHARF)
    plan["joins"].append(["E.b", "Nowhere.a"])
    answer = answered(plan, TRAINS)
    assert answer.moves.cannot_tell == 48
    assert any(one.code == "plan_fault" for one in answer.because)
    plan = deepcopy(WHARF)
    plan["places"].append({"name": "Gone", "on": ["Nowhere"]})
    answer = answered(plan, TRAINS)
    assert answer.moves.cannot_tell == 4 * 8
    assert answer.moves.impossible == 18
    assert any("Nowhere" in one.message for one in answer.because)


@pytest.mark.parametrize(
    ("plan", "trains", "code"),
    [
        ({**WHARF, "places": []}, TRAINS, "no_places"),
        ({**WHARF, "places": NAMED[:1]}, TRAINS, "no_places"),
        ({"pieces": {}, "joins": []}, TRAINS, "no_places"),
        (WHARF, {}, "no_trains"),
    ],
)
def test_where_there_is_nothing_to_ask_about_it_is_said_what_is_wanted(
    plan: Json, trains: dict[str, Json], code: str
) -> None:
    answer = answered(plan, trains)
    assert answer.verdict == "cannot_tell"
    assert answer.items == ()
    assert code in {one.code for one in answer.because}


def test_past_its_budget_a_page_says_that_it_did_not_look_for_what_limits(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(blocked_moves, "MOST_LIMITING_STEPS", 0)
    answer = answered(WHARF, TRAINS)
    assert [one.limited_by for one in answer.items].count(("W",)) > 0
    given_up = [one for one in answer.items if "too long to find" in one.message]
    assert given_up
    assert all(one.limited_by == () for one in given_up)
    whole = answered(WHARF, TRAINS, limit=200)
    assert [one.short_by_mm for one in whole.items] == [
        one.short_by_mm for one in answer.items
    ]


def test_where_places_are_left_out_nobody_can_tell_that_all_go() -> None:
    short = {"Short": vehicles(1)}
    bits = [
        {
            "name": f"Bit {mm}",
            "stretch": [{"piece": "W", "from_mm": mm, "to_mm": mm + 2}],
        }
        for mm in range(100)
    ]
    only = {"from_place": "Headshunt", "to_place": "Loop", "limit": 1}
    assert answered(WHARF, short, **only).verdict == "all_go"
    crowded = answered({**WHARF, "places": [*NAMED, *bits]}, short, **only)
    assert crowded.verdict == "cannot_tell"
    assert "too_many" in {one.code for one in crowded.because}
    with pytest.raises(Faulty) as refusal:
        answered({**WHARF, "places": [*NAMED, *bits]}, short, to_place="Bit 99")
    assert "among its first 100" in refusal.value.faults[0].message


def test_a_place_is_taken_by_its_name_as_it_is_written_first() -> None:
    loud = {"name": "WHARF", "stretch": [{"piece": "H", "from_mm": 0, "to_mm": 50}]}
    plan = {**WHARF, "places": [*NAMED, loud]}
    rows = answered(plan, {"Long": vehicles(640)}, to_place="WHARF").items
    assert {one.to for one in rows} == {"WHARF"}


def test_one_move_is_told_in_the_singular() -> None:
    only = {"from_place": "Loop", "to_place": "Wharf"}
    (said, *_) = answered(WHARF, {"Long": vehicles(640)}, **only).because
    assert "1 move is impossible" in said.message
