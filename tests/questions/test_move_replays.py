"""The runs that an answer tells, played over again without the search."""

import os
from collections.abc import Sequence
from random import Random
from typing import Any

import pytest

from standage.questions.move import MoveRequest, gather, moved
from standage.questions.move_answer import MoveRun
from standage.questions.moves_ground import place_called
from standage.questions.sources import Sources
from standage.railway.moves.replay import broken_rules
from standage.railway.moves.wanted import Finish, Wanted
from standage.railway.track.plans.plan import Stretch
from standage.shapes.decoding import convert
from support.pushed_trains import CELL_MM
from support.random_yards import laid, random_plan

REPLAYS = int(os.environ.get("STANDAGE_REPLAYS", "40"))
Json = dict[str, Any]


def asked_of(random: Random) -> Json | None:
    """Return a question about two roads of a plan at random; None where it has none."""
    document = random_plan(random)
    roads = [one for one in laid(document).usable if len(one.limits) == 2]
    roads = [one for one in roads if (one.usable_length_mm or 0) >= CELL_MM]
    if not roads:
        return None
    start, goal = random.choice(roads), random.choice(roads)
    places = [
        {"name": name, "on": list(one.road.pieces[:1]), "ends": ["west", "east"]}
        for name, one in (("Start", start), ("Goal", goal))
        if one.road.pieces
    ]
    if len(places) == 1 or start is goal:
        return None
    return {
        "plan": {**document, "places": places},
        "train": {"length_mm": random.randint(1, 4) * CELL_MM},
        "from": {"place": "Start", "engine_towards": random.choice(["west", "east"])},
        "to": {"place": "Goal"},
        "margin_mm": random.choice([0, 0, 10, 20]),
    }


def length_mm(stretches: Sequence[Stretch]) -> float:
    return sum(abs(one.to_mm - one.from_mm) for one in stretches)


def turned(run: MoveRun) -> list[tuple[str, str | None, float, float]]:
    """Return the track under a train as it is met going back."""
    return [(one.piece, one.leg, one.to_mm, one.from_mm) for one in reversed(run.to)]


@pytest.mark.parametrize("seed", range(REPLAYS))
def test_the_runs_of_an_answer_break_no_rule_when_they_are_played_again(
    seed: int,
) -> None:
    body = asked_of(Random(210_000 + seed))
    if body is None:
        return
    told = moved(gather(Sources(None, ""), convert(body, MoveRequest)))
    answer = told.answer
    assert answer.verdict in {"possible", "impossible"}
    if answer.verdict == "impossible":
        assert (answer.runs, answer.reversals) == ((), None)
        return
    start, goal = (place_called(told.known, one, "") for one in ("Start", "Goal"))
    assert start.stand is not None
    towards = 0 if body["from"]["engine_towards"] == "west" else 1
    wanted = Wanted(
        start=start.stand,
        engine_towards=1 if towards else 0,
        train_mm=told.train_mm,
        goal=goal.stand,
        margin_mm=body["margin_mm"],
    )
    best = answer.finishes[0]
    ends_towards = goal.ends.index(best.engine_towards or "")
    finish = Finish(
        engine_leads=answer.leading_at_finish == "engine",
        engine_towards=1 if ends_towards else 0,
        reversals=answer.reversals or 0,
        distance_mm=answer.distance_mm or 0.0,
        runs=tuple(one.run for one in told.runs),
    )
    assert list(broken_rules(told.known.ground, wanted, finish)) == []
    for run in answer.runs:
        assert length_mm(run.from_) == length_mm(run.to) == told.train_mm
    for one, other in zip(answer.runs, answer.runs[1:], strict=False):
        after = [
            (part.piece, part.leg, part.from_mm, part.to_mm) for part in other.from_
        ]
        assert after == turned(one)
    assert sum(run.distance_mm for run in answer.runs) == answer.distance_mm
