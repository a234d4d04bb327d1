"""How long it takes to say which of fifty trains cannot get between thirty places, in
processor time, cold and from what is kept, against a plain loop of the same run.

Run with ``PYTHONPATH=service:tests python -m benchmarks.blocked_moves``. Prints; asserts
nothing about time. Promised of a machine whose loop of ten million additions takes 0.8 s:
under 20 s cold and 2 s kept, for the 43,500 moves of fifty trains. A page of 200 rows is
asked for, the longest there is.
"""

from time import process_time
from typing import Any

import msgspec

from benchmarks.moves import yard, zigzag
from standage.questions.asked import AskedTrain, inline_train, inline_vehicle
from standage.questions.blocked_moves import (
    BlockedMovesCase,
    BlockedMovesQuery,
    kept_limits,
    reckon,
)
from standage.questions.derived import DERIVED, Key
from standage.questions.moves_ground import MovesGround
from standage.questions.plan import PlanCase
from standage.questions.resolving.trains import NamedTrain
from standage.railway.track.plans.plan import Plan
from standage.shapes.decoding import convert

TRAINS = 50
PLACES = 30
LOOP = 10_000_000
NORMAL_S = 0.8
"""The loop on the machine of which times are promised."""
Json = dict[str, Any]


def train(number: int) -> NamedTrain:
    """Return a train of an engine and one to twenty wagons."""
    over = {"length_over": "couplings"}
    engine = {"name": "Engine", "kind": "engine", "length_mm": 120.0 + number, **over}
    wagons = {"name": "Wagon", "kind": "wagon", "length_mm": 80.0, **over}
    both = {"vehicles": [engine, wagons | {"count": number % 20 + 1}]}
    asked = convert(both, AskedTrain)
    stood = [inline_vehicle(one) for one in asked.vehicles or ()]
    made_up = inline_train(asked, stood, "")
    return NamedTrain(name=f"Train {number}", train=made_up, id=f"train {number}")


def case(document: Json) -> BlockedMovesCase:
    """Return fifty trains on a plan of which thirty roads are named."""
    roads = [name for name in document["pieces"] if name[0] in "SZE"]
    every = max(1, len(roads) // PLACES)
    chosen = roads[::every][:PLACES]
    places = [{"name": f"Road {name}", "on": [name]} for name in chosen]
    plan = convert({**document, "places": places}, Plan)
    return BlockedMovesCase(
        ground=MovesGround(plan=PlanCase(plan=plan)),
        trains=tuple(train(number) for number in range(TRAINS)),
        types=(),
        key=Key(club_id="", of="moves", beneath="", content=""),
        query=BlockedMovesQuery(limit=200),
    )


def loop_s() -> float:
    """Return how long the loop takes here."""
    before = process_time()
    total = 0
    for number in range(LOOP):
        total += number
    return process_time() - before


def report(name: str, document: Json, *, headshunt_mm: float | None = None) -> None:
    """Print how long a plan takes, in seconds of a normal machine."""
    if headshunt_mm is not None:
        document["pieces"]["H"]["length_mm"] = headshunt_mm
    DERIVED.forget_all()
    slower = loop_s() / NORMAL_S
    asked = case(document)
    before = process_time()
    cold = reckon(asked)
    cold_s = (process_time() - before) / slower
    kept = DERIVED.get(asked.key)
    limited = kept_limits(asked.key, kept)
    again = msgspec.structs.replace(asked, reached=kept, limited=limited)
    before = process_time()
    warm = reckon(again)
    warm_s = (process_time() - before) / slower
    assert warm == cold
    counts = cold.answer.moves
    print(
        f"{name}: {len(document['pieces'])} pieces, {counts.impossible} of"
        f" {sum(msgspec.structs.astuple(counts))} moves impossible: {cold_s:.1f} s cold,"
        f" {warm_s:.2f} s kept, {DERIVED.size_bytes // 1024} kB kept"
    )


if __name__ == "__main__":
    report("a yard", yard(60))
    report("a yard with a short headshunt", yard(60), headshunt_mm=500.0)
    report("a zigzag", zigzag(15, beside=45))
