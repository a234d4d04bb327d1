"""How fast a track plan is decoded, placed and surveyed, against yardsticks in the same
run.

Run with ``PYTHONPATH=service:tests python -m benchmarks.track_plans``. Prints; asserts
nothing about time. The yardstick is the decoding of the same body to JSON's own types,
which no reading can do without; both in processor time. Points are alike in a yard of
one kind, as builders buy them, and then reckoned once; of unlike ones each set has
figures of its own, so that nothing that is remembered helps.
"""

import json
from collections.abc import Callable
from time import process_time
from typing import Any

from standage.railway.track.fouling.fouling import Rules, fouling_points
from standage.railway.track.fouling.spacings import spacing_of
from standage.railway.track.network.network import network
from standage.railway.track.placing.placing import placing
from standage.railway.track.plans.plan import Plan
from standage.railway.track.roads.roads import roads
from standage.shapes.decoding import convert
from standage.shapes.remembering import forget_all
from support.track_plans import ladder, points

ROUNDS = 5
PIECES_OF_A_ROAD = 4


def yard(pieces: int, *, unlike: bool) -> bytes:
    """Return a yard of that many pieces as a body: a lead with a road off each set."""
    count = pieces // PIECES_OF_A_ROAD
    document: Any = {"scale": "00", **ladder(roads=count)}
    if unlike:
        for number in range(1, count + 1):
            radius_mm = 600.0 + number / 7
            document["pieces"][f"P{number}"] = points(radius_mm=radius_mm)
    return json.dumps(document).encode()


def best_ms(work: Callable[[], object]) -> float:
    """Return the least processor time of some rounds, each with nothing remembered."""
    times: list[float] = []
    for _ in range(ROUNDS):
        forget_all()
        before = process_time()
        work()
        times.append((process_time() - before) * 1000)
    return min(times)


def surveyed(body: bytes) -> None:
    """Decode, place, and find roads and fouling points."""
    plan = convert(json.loads(body), Plan)
    placed = placing(plan)
    laid = network(placed.flat, placed.shapes)
    roads(laid)
    fouling_points(laid, Rules(spacing=spacing_of(plan), gauge_mm=plan.laid_gauge_mm))


def report(pieces: int, *, unlike: bool) -> None:
    """Print how long a yard of so many pieces takes."""
    body = yard(pieces, unlike=unlike)
    survey_ms = best_ms(lambda: surveyed(body))
    yardstick_ms = best_ms(lambda: json.loads(body))
    sort = "unlike" if unlike else "like"
    print(
        f"{pieces} pieces, points {sort}: {survey_ms:.0f} ms,"
        f" {survey_ms * 1000 / pieces:.0f} µs a piece,"
        f" {survey_ms / yardstick_ms:.0f} times the decoding of the body"
    )


if __name__ == "__main__":
    for count in (2_000, 20_000):
        report(count, unlike=False)
    for count in (500, 2_000):
        report(count, unlike=True)
