"""How long moves take to judge, in processor time, against the survey of their plans in
the same run.

Run with ``PYTHONPATH=service:tests python -m benchmarks.moves``. Prints; asserts nothing
about time. A yard is a lead with a road off each set of points and a loop beside; a
zigzag climbs by reversals alone. Each plan is surveyed once; the first figure is the
search for one train, the second the whole judgement: longest trains, what limits them,
a shorter way.
"""

from collections.abc import Callable
from time import process_time
from typing import Any

from standage.questions.move import MoveRequest, gather, reckon
from standage.questions.sources import Sources
from standage.railway.moves.ground import ground
from standage.railway.moves.search import searched
from standage.railway.moves.standing import Stand
from standage.railway.moves.wanted import Wanted
from standage.railway.track.plans.plan import Plan
from standage.railway.track.survey.survey import Survey, survey
from standage.shapes.decoding import convert

ROUNDS = 5
Json = dict[str, Any]


def points() -> Json:
    """Return points measured with a tape."""
    return {
        "kind": "points",
        "toe_mm": 30.0,
        "through_mm": 180.0,
        "branch_mm": 190.0,
        "fouling_through_mm": 215.0,
        "fouling_branch_mm": 210.0,
    }


def track(length_mm: float) -> Json:
    """Return track of which only the length is known."""
    return {"kind": "track", "length_mm": length_mm}


def yard(roads: int) -> Json:
    """Return a headshunt and a fan of roads, and behind every other one a crossover into
    the next, so that there are circuits.
    """
    pieces: Json = {"B0": {"kind": "buffer_stop"}, "H": track(900.0)}
    joins = [["B0.a", "H.a"], ["H.b", "P1.toe"]]
    for number in range(1, roads + 1):
        pieces |= {f"P{number}": points(), f"S{number}": track(700.0 + 5 * number)}
        joins.append([f"P{number}.branch", f"S{number}.a"])
        if number < roads:
            joins.append([f"P{number}.through", f"P{number + 1}.toe"])
        if number % 2:
            pieces |= {f"Q{number}": points(), f"E{number}": track(400.0)}
            pieces[f"B{number}"] = {"kind": "buffer_stop"}
            joins += [
                [f"S{number}.b", f"Q{number}.through"],
                [f"Q{number}.toe", f"E{number}.a"],
                [f"E{number}.b", f"B{number}.a"],
            ]
        else:
            joins.append([f"S{number}.b", f"Q{number - 1}.branch"])
    return {"pieces": pieces, "joins": joins}


def zigzag(reversals: int, *, beside: int) -> Json:
    """Return a line that is climbed by reversals alone, with a yard at its foot."""
    whole = yard(beside)
    pieces, joins = whole["pieces"], whole["joins"]
    pieces["Z0"] = track(800.0)
    joins.append([f"P{beside}.through", "Z0.a"])
    last = "Z0.b"
    for number in range(1, reversals + 1):
        pieces |= {
            f"Y{number}": points(),
            f"T{number}": track(650.0),
            f"C{number}": {"kind": "buffer_stop"},
            f"Z{number}": track(700.0),
        }
        joins += [
            [last, f"Y{number}.through"],
            [f"Y{number}.toe", f"T{number}.a"],
            [f"T{number}.b", f"C{number}.a"],
            [f"Y{number}.branch", f"Z{number}.a"],
        ]
        last = f"Z{number}.b"
    pieces["CZ"] = {"kind": "buffer_stop"}
    joins.append([last, "CZ.a"])
    return whole


def stand_on(found: Survey, piece: str) -> Stand:
    """Return where trains stand on the road that a piece lies on."""
    (usable,) = [one for one in found.usable if piece in one.road.pieces]
    near_mm, far_mm = (limit.from_blades_mm or 0.0 for limit in usable.limits)
    length_mm = usable.road.length_mm or 0.0
    return Stand(courses=usable.road.courses, from_mm=near_mm, to_mm=length_mm - far_mm)


def best_ms(work: Callable[[], object]) -> float:
    """Return the least processor time of some rounds."""
    times: list[float] = []
    for _ in range(ROUNDS):
        before = process_time()
        work()
        times.append((process_time() - before) * 1000)
    return min(times)


def report(name: str, document: Json, from_piece: str, to_piece: str) -> None:
    """Print how long a move over a plan takes."""
    plan = convert(document, Plan)
    found = survey(plan)
    survey_ms = best_ms(lambda: survey(plan))
    on = ground(found.network, found.points)
    ground_ms = best_ms(lambda: ground(found.network, found.points))
    start, goal = stand_on(found, from_piece), stand_on(found, to_piece)
    wanted = Wanted(start=start, engine_towards=0, train_mm=400.0, goal=goal)
    reversals = [one.reversals for one in searched(on, wanted).finishes]
    search_ms = best_ms(lambda: searched(on, wanted))
    body = {
        "plan": {
            **document,
            "places": [
                {"name": "From", "on": [from_piece], "ends": ["one", "other"]},
                {"name": "To", "on": [to_piece], "ends": ["one", "other"]},
            ],
        },
        "train": {"length_mm": 400},
        "from": {"place": "From", "engine_towards": "one"},
        "to": {"place": "To"},
    }
    case = gather(Sources(None, ""), convert(body, MoveRequest))
    whole_ms = best_ms(lambda: reckon(case))
    print(
        f"{name}: {len(document['pieces'])} pieces, reversals {reversals}: survey"
        f" {survey_ms:.0f} ms, ground {ground_ms:.1f} ms, one search {search_ms:.1f} ms,"
        f" judged {whole_ms:.0f} ms"
    )


if __name__ == "__main__":
    report("a yard", yard(80), "S1", "S60")
    report("a yard, far end", yard(80), "S31", "E61")
    report("a zigzag", zigzag(20, beside=50), "S1", "Z20")
