"""What would do instead of a move that is not possible, without a saw: each is asked
again and turns the verdict, and a little less does not.
"""

from typing import Any

from questions.test_move_question import answered, length, plan
from standage.questions.move_answer import MoveAlternative, MoveAnswer

Json = dict[str, Any]
ENGINE_MM = 128
SHORT_MM = 400.3
"""Of the headshunt: 430.3 from the blades of P1."""


def short(**more: Json) -> Json:
    return plan(H={"length_mm": SHORT_MM}, **more)


def alternative(answer: MoveAnswer, code: str) -> MoveAlternative | None:
    assert answer.verdict == "impossible"
    found = [one for one in answer.alternatives if one.code == code]
    assert len(found) <= 1
    return found[0] if found else None


def told(code: str, **asked: Any) -> MoveAlternative:
    found = alternative(answered(**asked), code)
    assert found is not None
    return found


def untold(code: str, **asked: Any) -> bool:
    return alternative(answered(**asked), code) is None


def train(mm: float, **more: Any) -> Json:
    return length(mm, engine_length_mm=ENGINE_MM, **more)


def vehicle(name: str, mm: float, kind: str = "wagon", **more: Any) -> Json:
    hook = {"reach_mm": 0, "reach_plus_minus_mm": 0}
    return {
        "name": name,
        "kind": kind,
        "length_mm": mm,
        "length_over": "buffers",
        "length_plus_minus_mm": 0.5,
        "front_coupling": hook,
        "rear_coupling": hook,
        **more,
    }


GOODS = [
    vehicle("Tank engine", 128, "engine"),
    vehicle("Coal", 100, count=2),
    vehicle("Oil", 80),
    vehicle("Fish", 60),
    vehicle("Brake", 72, "brake_van"),
]
"""540 long, give or take 3."""


def test_an_extension_beyond_the_stop_is_told_by_the_least_that_does() -> None:
    found = told("extension", plan=short(), train=train(540))
    assert (found.place, found.amount_mm) == ("B1", 110)
    assert found.message == (
        "with an extension of 110 mm beyond the stop B1 it gets there"
    )
    for mm, verdict in ((110, "possible"), (109, "impossible")):
        longer = short(B1={"length_mm": mm})
        assert answered(plan=longer, train=train(540)).verdict == verdict
    # Where the wharf is too short as well, no one extension does.
    both = short(W={"length_mm": 500})
    assert untold("extension", plan=both, train=train(540))


def test_the_longest_engine_that_would_do_is_told_unless_it_is_absurdly_short() -> None:
    found = told("shorter_engine", plan=short(), train=train(450))
    assert found.amount_mm == 108.3
    assert found.message == "with an engine of at most 108.3 mm it gets there"
    # 322 behind the engine, and 430.3 in the headshunt.
    for engine_mm, verdict in ((108.3, "possible"), (108.4, "impossible")):
        again = length(322 + engine_mm, engine_length_mm=engine_mm)
        assert answered(plan=short(), train=again).verdict == verdict
    # Of half its length, 64: 430.3 less 366 are more, and less 367 are not.
    assert told("shorter_engine", plan=short(), train=train(494)).amount_mm == 64.3
    assert untold("shorter_engine", plan=short(), train=train(495))


def test_without_an_engine_by_length_nothing_is_said_of_engines_or_draws() -> None:
    for code in ("in_parts", "shorter_engine", "leave_off"):
        assert untold(code, plan=short(), train=length(450))
        light = length(450, engine_length_mm=450)
        assert untold(code, plan=short(), train=light)


def test_the_fewest_vehicles_to_leave_are_named_and_neither_engine_nor_van() -> None:
    found = told("leave_off", plan=short(), train={"vehicles": GOODS})
    # 109.7 and the ± must go; no one wagon is so long, and oil with fish leaves least.
    assert found.vehicles == ("Oil", "Fish")
    left = [one for one in GOODS if one["name"] not in found.vehicles]
    assert answered(plan=short(), train={"vehicles": left}).verdict == "possible"
    for name in ("Oil", "Fish"):
        but_one = [one for one in GOODS if one["name"] != name]
        answer = answered(plan=short(), train={"vehicles": but_one})
        assert answer.verdict == "impossible"


def waiting(mm: float) -> Json:
    """Return so much stock at P3's end of the loop, whose 840 end 20 before its leg."""
    stretch = [{"piece": "L", "from_mm": 860 - mm, "to_mm": 860}]
    return {"name": "The rest", "stretch": stretch}


def delivered(mm: float) -> Json:
    """Return so much stock against the stop of the wharf."""
    stretch = [{"piece": "W", "from_mm": 620 - mm, "to_mm": 620}]
    return {"name": "What came before", "stretch": stretch}


def test_a_train_that_goes_in_parts_is_drawn_so_often_and_not_once_less() -> None:
    found = told("in_parts", plan=short(), train=train(540))
    # 302.3 behind the engine at once, of 412: so 2 draws, of 302.3 and 109.7.
    assert found.draws == 2
    assert found.message == (
        "in 2 draws it gets there, with at most 302.3 mm behind the engine"
    )
    first = answered(plan=short(), train=train(430.3), standing=[waiting(109.7)])
    assert first.verdict == "possible"
    more = answered(plan=short(), train=train(430.4), standing=[waiting(109.6)])
    assert more.verdict == "impossible"
    back = answered(
        plan=short(),
        train=train(ENGINE_MM),
        standing=[waiting(109.7), delivered(302.3)],
        **{
            "from": {"place": "Wharf", "engine_towards": "points P1"},
            "to": {"place": "Loop"},
        },
    )
    assert back.verdict == "possible"
    second = answered(
        plan=short(), train=train(109.7 + ENGINE_MM), standing=[delivered(302.3)]
    )
    assert second.verdict == "possible"


def test_by_vehicles_each_draw_has_as_many_as_there_is_room_for() -> None:
    found = told("in_parts", plan=short(), train={"vehicles": GOODS})
    assert (found.draws, found.message) == (
        2,
        "in 2 draws it gets there: 3 and 2 vehicles behind the engine",
    )
    engine, coal, oil, fish, brake = GOODS
    for vehicles in ([engine, coal, oil], [engine, fish, brake]):
        answer = answered(plan=short(), train={"vehicles": vehicles})
        assert answer.verdict == "possible"
    more = answered(plan=short(), train={"vehicles": [engine, coal, oil, fish]})
    assert more.verdict == "impossible"


def test_what_the_goal_does_not_hold_at_all_goes_in_no_parts() -> None:
    assert untold("in_parts", plan=short(W={"length_mm": 540}), train=train(540))
    holds = short(W={"length_mm": 560})
    assert told("in_parts", plan=holds, train=train(540)).draws == 2


def test_where_the_engine_would_be_shut_in_the_train_goes_in_no_parts() -> None:
    # Its engine at P3's end, it is pushed into the headshunt and drawn into the wharf.
    turned = {"place": "Loop", "engine_towards": "points P3"}
    ahead = answered(train=train(540), **{"from": turned})
    assert ahead.leading_at_finish == "engine"
    asked: Json = {"plan": short(), "train": train(540), "from": turned}
    assert untold("in_parts", **asked)


def test_where_a_first_part_would_shut_out_the_next_the_train_goes_in_no_parts() -> (
    None
):
    # P2 lies for the loop: out over P3 to E, 330 from its blades, and drawn back into the
    # main, where the engine then stands at the far end.
    document = plan()
    document["places"].append({"name": "Main", "on": ["M"], "ends": ["west", "east"]})
    asked: Json = {
        "plan": document,
        "from": {"place": "Wharf", "engine_towards": "points P1"},
        "to": {"place": "Main"},
        "out_of_use": {"P2": "branch"},
    }
    first = answered(**asked, train=train(330))
    assert (first.verdict, first.leading_at_finish) == ("possible", "engine")
    answer = answered(**asked, train=train(400))
    assert answer.longest_train_mm == 330
    assert alternative(answer, "in_parts") is None
    # What came first stands at P3's end of the main, clear at 215 of its 180.
    there = [{"piece": "M", "from_mm": 663, "to_mm": 865}]
    taken = {"name": "What came before", "stretch": there}
    next_part = answered(**asked, train=train(198), standing=[taken])
    assert next_part.verdict == "impossible"


def test_out_of_the_plan_each_part_gets_out() -> None:
    # Through the headshunt, tail first, by E: it turns back behind P1.
    asked: Json = {
        "plan": short(),
        "from": {"place": "Wharf", "engine_towards": "points P1"},
        "to": {"open_end": "E.b"},
        "train": train(540),
    }
    assert told("in_parts", **asked).draws == 2
    for mm, verdict in ((430.3, "possible"), (430.4, "impossible")):
        assert answered(**{**asked, "train": train(mm)}).verdict == verdict
