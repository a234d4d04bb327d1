"""Two trains that meet, against a simulation that pushes both cell by cell, every one of
them standing anywhere.
"""

import os
from random import Random

import pytest
from msgspec.structs import replace

from standage.railway.moves.ground import Ground, Span
from standage.railway.moves.meeting.meet import met
from standage.railway.moves.meeting.met_runs import Both, MetRun
from standage.railway.moves.meeting.replay import broken_meeting_rules
from support.met_trains import NEVER, Meet, best_meet
from support.pushed_trains import CELL_MM
from support.random_meets import AskedMeet, asked_meet, line_with_loop, random_meet

MEETS = int(os.environ.get("STANDAGE_MEETS", "20"))
"""So many random meetings are tried each way."""


def asked(on: Ground, both: Both) -> Meet | str:
    found = met(on, both)
    assert not found.gave_up
    if found.best is None:
        return NEVER
    assert list(broken_meeting_rules(on, both, found.best)) == []
    cells = round(found.best.distance_mm / CELL_MM, 6)
    assert cells == int(cells)
    return Meet(found.best.reversals, int(cells))


def is_as_pushed(case: AskedMeet | None) -> None:
    if case is None:
        return
    pushed = best_meet(case.yard, case.pushes)
    if pushed is None:
        return
    told = asked(case.on, case.both)
    if met(case.on, case.both).may_creep:
        # It is said then that there may be a better way.
        is_no_better = isinstance(pushed, Meet) and (
            not isinstance(told, Meet) or told >= pushed
        )
        assert told == pushed or is_no_better
        return
    assert told == pushed, (case.document, case.both)


@pytest.mark.parametrize("seed", range(MEETS))
def test_a_meeting_is_as_good_as_the_best_of_all_pushes(seed: int) -> None:
    is_as_pushed(random_meet(Random(seed)))


@pytest.mark.parametrize("seed", range(MEETS))
def test_two_trains_from_either_side_of_a_loop_get_by_as_they_can_be_pushed(
    seed: int,
) -> None:
    random = Random(200_000 + seed)
    is_as_pushed(from_either_side(random, line_with_loop(random)))


def from_either_side(random: Random, document: dict[str, object]) -> AskedMeet | None:
    """Return two trains at random of which each is to go to where the other stands."""
    case = asked_meet(random, document)
    if case is None:
        return None
    one, other = case.both
    push, other_push = case.pushes
    both = (
        replace(one, goal=other.start, ends_towards=None),
        replace(other, goal=one.start, ends_towards=None),
    )
    pushes = (
        push._replace(goal=other_push.place, towards=None),
        other_push._replace(goal=push.place, towards=None),
    )
    return case._replace(both=both, pushes=pushes)


@pytest.mark.parametrize("seed", range(MEETS // 5))
def test_short_trains_on_long_track_pass_over_all_that_lies_between(seed: int) -> None:
    # 400 091 is one where the one train would jump over the other.
    random = Random(400_090 + seed)
    document = line_with_loop(random)
    for name in ("W", "E", "M"):
        document["pieces"][name]["length_mm"] += 8 * CELL_MM
    is_as_pushed(asked_meet(random, document, longest=2))


@pytest.mark.parametrize("seed", range(MEETS // 3))
def test_a_train_that_leaves_the_plan_is_in_nobodys_way(seed: int) -> None:
    random = Random(600_000 + seed)
    document = line_with_loop(random)
    if "BE" not in document["pieces"]:
        return
    del document["pieces"]["BE"]
    document["joins"] = [one for one in document["joins"] if "BE.a" not in one]
    case = asked_meet(random, document)
    assert case is not None
    network = case.on.network
    out_at = network.at_end["E", "b"] ^ 1
    one, other = case.both
    push, other_push = case.pushes
    leads = random.choice([None, True, False])
    towards = None if leads is None else int(leads)
    leaving = replace(one, goal=None, out_at=out_at, leads_out=leads, ends_towards=None)
    last = (out_at, case.yard.cells(out_at) - 1)
    pushed = push._replace(goal=[], out=last, towards=towards)
    is_as_pushed(case._replace(both=(leaving, other), pushes=(pushed, other_push)))


@pytest.mark.parametrize("seed", range(MEETS // 3))
def test_the_order_in_which_two_trains_are_named_changes_no_figure(seed: int) -> None:
    case = random_meet(Random(800_000 + seed))
    if case is None:
        return
    one, other = case.both
    assert asked(case.on, (one, other)) == asked(case.on, (other, one))


@pytest.mark.parametrize("seed", range(MEETS // 3))
def test_a_longer_train_gets_by_nowhere_where_a_shorter_one_does_not(
    seed: int,
) -> None:
    random = Random(900_000 + seed)
    case = from_either_side(random, line_with_loop(random))
    assert case is not None
    one, other = case.both
    shorter = replace(one, train_mm=one.train_mm * random.uniform(0.3, 0.99))
    longer_way, way = (
        asked_any(case.on, case.both),
        asked_any(case.on, (shorter, other)),
    )
    if longer_way is not None:
        assert way is not None
        assert way <= longer_way


def met_in_a_loop() -> AskedMeet:
    """Return two trains that get by each other, by runs of both."""
    for seed in range(100):
        random = Random(seed)
        case = from_either_side(random, line_with_loop(random))
        found = None if case is None else met(case.on, case.both)
        if case and found and found.best and len(found.best.runs) > 3:
            return case
    raise AssertionError("none of a hundred")


def test_a_search_that_stops_at_its_limit_says_so() -> None:
    case = met_in_a_loop()
    found = met(case.on, case.both, most_pairs=2)
    assert found.gave_up
    assert found.best is None


def test_what_is_wrong_with_runs_is_found_when_they_are_played_again() -> None:
    case = met_in_a_loop()
    best = met(case.on, case.both).best
    assert best is not None
    first, *others = best.runs

    def faults(*runs: MetRun) -> str:
        wrong = replace(best, runs=runs)
        return "; ".join(broken_meeting_rules(case.on, case.both, wrong))

    assert faults(*best.runs) == ""
    assert "does not stand where it was left" in faults(*reversed(best.runs))
    assert "does not begin where the one before ended" in faults(first, *others[1:])
    far = replace(first.run, to_mm=first.run.to_mm + CELL_MM)
    assert "does not begin where" in faults(replace(first, run=far), *others)
    assert "lies on the other train" in faults(
        replace(first, beside=spans_of_run(case.on, first)), *others
    )
    assert "reversals, not" in "; ".join(
        broken_meeting_rules(case.on, case.both, replace(best, reversals=9))
    )


def spans_of_run(on: Ground, one: MetRun) -> tuple[Span, ...]:
    """Return the whole of every course of a run."""
    return tuple(
        Span(course >> 1, 0.0, on.length_mm(course)) for course in one.run.courses
    )


def asked_any(on: Ground, both: Both) -> int | None:
    found = met(on, both)
    if found.best is None:
        return None
    assert list(broken_meeting_rules(on, both, found.best)) == []
    return found.best.reversals
