"""What holds of every climb over a route, against a walk by the millimetre."""

import os
from random import Random
from typing import Any

import pytest

from standage.questions.climb_answer import ClimbAnswer
from support.asked_climbs import asked, over
from support.climbing import (
    Peg,
    Row,
    most_bent,
    random_row,
    row,
    sampled,
    walked_heights,
)

Json = dict[str, Any]
SEEDS = int(os.environ.get("STANDAGE_CLIMBS", "30"))


@pytest.mark.parametrize("seed", range(SEEDS))
def test_what_is_felt_is_what_a_walk_by_the_millimetre_finds(seed: int) -> None:
    random = Random(seed)
    one = random_row(random)
    heights = walked_heights(one)
    train_mm = random.randint(10, one.length_mm)
    walked = sampled(heights, train_mm)
    answer = over(one, train_mm)
    assert answer.worst is not None
    for there in answer.felt:
        at_mm = one.walked_mm(there.position)
        whole_mm = round(at_mm)
        if abs(at_mm - whole_mm) < 1e-5:
            assert there.percent == pytest.approx(walked[whole_mm], abs=2e-6)
    # Between two whole millimetres what is felt can top both by this and no more.
    slack = 100 * 2 * most_bent(heights) / 8 / train_mm + 2e-6
    assert max(walked.values()) - 2e-6 <= answer.worst.percent
    assert answer.worst.percent <= max(walked.values()) + slack
    assert answer.worst.percent == max(there.percent for there in answer.felt)
    least = min(there.percent for there in answer.felt)
    assert min(walked.values()) - slack <= least <= min(walked.values()) + 2e-6
    assert answer.distance_mm == one.length_mm


@pytest.mark.parametrize("seed", range(12))
def test_the_route_run_back_is_felt_the_other_way_round(seed: int) -> None:
    random = Random(1000 + seed)
    one = random_row(random)
    train_mm = random.randint(10, one.length_mm)
    there, back = over(one, train_mm), over(one, train_mm, ends="ba")

    def mirrored(answer: ClimbAnswer) -> list[tuple[float, float]]:
        tail_mm = [one.walked_mm(felt.position) + train_mm for felt in answer.felt]
        pairs = zip(tail_mm, answer.felt, strict=True)
        return sorted((round(mm, 4), -felt.percent + 0.0) for mm, felt in pairs)

    onwards = sorted(
        (round(one.walked_mm(felt.position), 4), felt.percent) for felt in there.felt
    )
    assert mirrored(back) == pytest.approx(onwards, abs=1e-4)


CLIMB = [Peg(400, 0.0), Peg(1400, 30.0)]


def climbing(*pegs: Peg) -> Row:
    return row([500, 700, 800], pegs or CLIMB, turned=[1])


@pytest.mark.parametrize("share", [2, 3, 5])
@pytest.mark.parametrize("seed", range(8))
def test_a_whole_part_of_a_train_feels_no_less(seed: int, share: int) -> None:
    random = Random(2000 + seed)
    one = random_row(random)
    train_mm = share * random.randint(5, one.length_mm // share)
    whole, part = over(one, train_mm).worst, over(one, train_mm / share).worst
    assert whole is not None
    assert part is not None
    assert part.percent >= whole.percent - 2e-6


def test_on_one_climb_a_shorter_train_feels_no_less() -> None:
    felt = []
    for train_mm in (200, 900, 1000, 1001, 1300, 2000):
        worst = over(climbing(Peg(400, 0.0, 300), Peg(1400, 30.0, 200)), train_mm).worst
        assert worst is not None
        felt.append(worst.percent)
    assert felt == sorted(felt, reverse=True)


def test_a_shorter_train_may_feel_less_where_a_longer_one_stands_on_two_rises() -> None:
    """Two rises of 10 mm in 100, 800 mm apart: the longer train stands on both."""
    pegs = [Peg(500, 0.0), Peg(600, 10.0), Peg(1400, 10.0), Peg(1500, 20.0)]
    longer, shorter = (
        over(row([300, 1700], pegs), train_mm).worst for train_mm in (1000, 900)
    )
    assert longer is not None
    assert shorter is not None
    assert longer.percent == 2.0
    # 10 mm of one rise and what 900 - 800 - 100 mm leave of the other: none
    assert shorter.percent == pytest.approx(100 * 10 / 900, abs=1e-6)


@pytest.mark.parametrize("train_mm", [1000, 1200, 2000])
def test_a_train_longer_than_the_climb_feels_rise_over_length(train_mm: int) -> None:
    worst = over(climbing(), train_mm).worst
    assert worst is not None
    assert worst.percent == pytest.approx(100 * 30 / train_mm, abs=1e-6)


def test_a_train_on_the_climb_stands_where_the_worst_says() -> None:
    """It feels 3 % first with its tail at the foot: 400 + 250 mm along the row."""
    worst = over(climbing(), 250).worst
    assert worst is not None
    assert worst.percent == 3.0
    assert worst.one_in == pytest.approx(100 / 3, abs=1e-6)
    # T1 lies the other way round, from 1,200 mm back to 500
    assert (worst.position.piece, worst.position.at_mm) == ("T1", 550)
    parts = [(one.piece, one.from_mm, one.to_mm) for one in worst.stretch]
    assert parts == [("T0", 400, 500), ("T1", 700, 550)]


def test_a_level_plan_is_felt_level() -> None:
    answer = over(
        climbing(Peg(700, 25.0)), 300, haulage={"vehicles_on_level": 20, "vehicles": 20}
    )
    assert {felt.percent for felt in answer.felt} == {0.0}
    assert answer.worst is not None
    assert (answer.worst.percent, answer.worst.one_in) == (0.0, None)
    assert answer.runaway == ()
    assert (answer.verdict, answer.vehicles_off) == ("climbs", 0)


@pytest.mark.parametrize("times", [2, 10])
def test_everything_so_many_times_as_large_is_felt_alike(times: int) -> None:
    pegs = [Peg(300, 0.0, 100), Peg(900, 20.0, 60), Peg(1300, 5.0)]
    grown = [
        Peg(times * peg.at_mm, times * peg.height_mm, times * peg.curve_mm)
        for peg in pegs
    ]
    small = over(row([500, 1000], pegs), 350)
    large = over(row([times * 500, times * 1000], grown), times * 350)
    assert [felt.percent for felt in large.felt] == pytest.approx(
        [felt.percent for felt in small.felt], abs=2e-6
    )


def ring(train_mm: float) -> ClimbAnswer:
    """Return the answer on a ring of 4 × 1,000 mm that is 30 mm higher on one side: a train
    of 3,600 mm leaves 400 mm free, on which it falls by 12 mm as it does on the train.
    """
    quarter = {"kind": "track", "length_mm": 1000}
    joins = [["A.b", "B.a"], ["B.b", "C.a"], ["C.b", "D.a"], ["D.b", "A.a"]]
    heights = [
        {"piece": "B", "at_mm": 0, "height_mm": 0},
        {"piece": "C", "at_mm": 0, "height_mm": 30},
        {"piece": "D", "at_mm": 0, "height_mm": 30},
        {"piece": "A", "at_mm": 0, "height_mm": 0},
    ]
    plan = {
        "pieces": dict.fromkeys("ABCD", quarter),
        "joins": joins,
        "heights": heights,
    }
    body = {"plan": plan, "train": {"length_mm": train_mm}, "route": ["circuit A"]}
    return asked(body)


def test_a_ring_is_run_all_the_way_round() -> None:
    for train_mm, most in ((500, 3.0), (1000, 3.0), (2000, 1.5), (3600, 12 / 36)):
        answer = ring(train_mm)
        assert answer.worst is not None
        assert answer.worst.percent == pytest.approx(most, abs=1e-5)
        least = min(felt.percent for felt in answer.felt)
        assert least == pytest.approx(-most, abs=1e-5)
    assert ring(4000.5).verdict == "cannot_tell"


def test_of_very_many_changes_the_steepest_are_told_in_order() -> None:
    pegs = [Peg(10 * n, float(n % 3)) for n in range(1, 150)]
    one = row([1000, 2000], pegs)
    answer = over(one, 15)
    assert len(answer.felt) == 200
    places = [one.walked_mm(felt.position) for felt in answer.felt]
    assert places == sorted(places)
    assert answer.worst is not None
    assert answer.worst.percent in {felt.percent for felt in answer.felt}
