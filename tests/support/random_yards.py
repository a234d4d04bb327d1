"""Plans at random in whole cells, measured with a tape, and what excludes what on them:
the rule, kind by kind.
"""

from collections.abc import Iterator
from itertools import combinations
from random import Random
from typing import Any

import msgspec

from standage.railway.moves.standing import Stand
from standage.railway.track.network.network import Network
from standage.railway.track.plans.plan import Plan
from standage.railway.track.roads.limits import Usable
from standage.railway.track.survey.survey import Survey, survey
from support.pushed_trains import (
    CELL_MM,
    Bare,
    Cell,
    Yard,
    Zones,
    outwards,
)

MOST_CELLS = 6
JOINED_AGAIN = 0.55
CROSSING_ENDS = ["a1", "a2", "b1", "b2"]


def _points(random: Random) -> dict[str, Any]:
    through, branch = random.randint(1, 4), random.randint(1, 4)
    return {
        "kind": "points",
        "toe_mm": CELL_MM * random.randint(0, 1),
        "through_mm": CELL_MM * through,
        "branch_mm": CELL_MM * branch,
        "fouling_through_mm": CELL_MM * random.randint(0, through + 2),
        "fouling_branch_mm": CELL_MM * random.randint(0, branch + 2),
    }


def _diamond(random: Random) -> dict[str, Any]:
    arms = [[CELL_MM * random.randint(1, 3) for _ in range(2)] for _ in range(2)]
    return {
        "kind": "diamond",
        "a_mm": arms[0],
        "b_mm": arms[1],
        "fouling_a_mm": CELL_MM * random.randint(0, 4),
        "fouling_b_mm": CELL_MM * random.randint(0, 4),
    }


def _slip(random: Random) -> dict[str, Any]:
    core_mm = CELL_MM * random.randint(1, 3)
    return {
        "kind": random.choice(["single_slip", "double_slip"]),
        "arm_mm": CELL_MM * random.randint(1, 3),
        "core_mm": core_mm,
        "core_slip_mm": core_mm,
        "fouling_mm": CELL_MM * random.randint(0, 4),
    }


def random_plan(random: Random) -> dict[str, Any]:
    """Return points and crossings, track and stops, joined at random, in whole cells."""
    pieces: dict[str, Any] = {}
    free: list[str] = []
    for number in range(random.randint(1, 4)):
        name = f"P{number}"
        make = random.choice([_points, _points, _points, _diamond, _slip])
        pieces[name] = make(random)
        ends = ["toe", "through", "branch"] if make is _points else CROSSING_ENDS
        free += [f"{name}.{end}" for end in ends]
    random.shuffle(free)
    joins = []
    number = 0
    while free:
        end = free.pop()
        number += 1
        track = f"T{number}"
        pieces[track] = {
            "kind": "track",
            "length_mm": CELL_MM * random.randint(1, MOST_CELLS),
        }
        joins.append([end, f"{track}.a"])
        if free and random.random() < JOINED_AGAIN:
            joins.append([f"{track}.b", free.pop()])
        else:
            pieces[f"B{number}"] = {"kind": "buffer_stop"}
            joins.append([f"{track}.b", f"B{number}.a"])
    return {"pieces": pieces, "joins": joins}


def laid(document: dict[str, Any]) -> Survey:
    return survey(msgspec.convert(document, Plan))


def stand(usable: Usable) -> Stand:
    """Return where trains stand on a road: between its limits."""
    near, far = (limit.from_blades_mm or 0.0 for limit in usable.limits)
    length_mm = usable.road.length_mm or 0.0
    return Stand(courses=usable.road.courses, from_mm=near, to_mm=length_mm - far)


def places_of(found: Survey) -> list[Stand]:
    """Return where trains stand on each road that has two ends and room for a cell."""
    return [
        stand(one)
        for one in found.usable
        if len(one.limits) == 2 and (one.usable_length_mm or 0) >= CELL_MM
    ]


def stretch_at_random(random: Random, network: Network) -> Stand | None:
    """Return where trains stand on a stretch that somebody measured, over points too;
    None where it comes over the same track twice.
    """
    courses = [random.randrange(2 * len(network.strands))]
    for _ in range(random.randrange(8)):
        ways = network.onwards(courses[-1])
        if not ways:
            break
        courses.append(random.choice(ways))
    lengths_mm = [network.strand(course).length_mm or 0.0 for course in courses]
    while lengths_mm and not lengths_mm[0]:
        del courses[0], lengths_mm[0]
    while lengths_mm and not lengths_mm[-1]:
        del courses[-1], lengths_mm[-1]
    if not courses or len({course >> 1 for course in courses}) < len(courses):
        return None
    before, behind = (
        CELL_MM * random.randrange(round(lengths_mm[end] / CELL_MM)) for end in (0, -1)
    )
    to_mm = max(before + CELL_MM, sum(lengths_mm) - behind)
    return Stand(
        courses=tuple(courses), from_mm=float(before), to_mm=to_mm, measured=True
    )


def cells_of(yard: Yard, place: Stand) -> list[Cell]:
    every = [
        (course, at) for course in place.courses for at in range(yard.cells(course))
    ]
    return every[round(place.from_mm / CELL_MM) : round(place.to_mm / CELL_MM)]


def zone(network: Network, name: str, leg: str, fouling_mm: int) -> frozenset[Bare]:
    course = network.at_end[name, leg] ^ 1
    return outwards(network, course, fouling_mm // CELL_MM)


def rivals_of(network: Network, name: str, piece: dict[str, Any]) -> Iterator[Zones]:
    """Yield what excludes what on a piece: the rule, kind by kind."""
    if piece["kind"] == "points":
        one, other = (
            zone(network, name, leg, piece[f"fouling_{leg}_mm"])
            for leg in ("through", "branch")
        )
        yield one, other
    elif piece["kind"] == "diamond":
        one, other = (
            zone(network, name, f"{road}1", piece[f"fouling_{road}_mm"])
            | zone(network, name, f"{road}2", piece[f"fouling_{road}_mm"])
            for road in "ab"
        )
        yield one, other
    elif "slip" in piece["kind"]:
        arms = {
            end: zone(network, name, end, piece["fouling_mm"]) for end in CROSSING_ENDS
        }
        yield arms["a1"], arms["b1"]
        yield arms["a2"], arms["b2"]
        roads = [("a1", "a2"), ("b1", "b2"), ("a1", "b2")]
        if piece["kind"] == "double_slip":
            roads.append(("b1", "a2"))
        first = network.first_of[name] + len(CROSSING_ENDS)
        cores = [
            outwards(network, 2 * (first + number), piece["core_mm"] // CELL_MM)
            for number in range(len(roads))
        ]
        yield from combinations(cores, 2)
        for end, neighbour in (("a1", "b1"), ("b1", "a1"), ("a2", "b2"), ("b2", "a2")):
            for road, core in zip(roads, cores, strict=True):
                if neighbour in road:
                    yield arms[end], core


def yard_of(network: Network, plan: dict[str, Any]) -> Yard:
    rivals = [
        one
        for name, piece in plan["pieces"].items()
        for one in rivals_of(network, name, piece)
    ]
    return Yard(network, tuple(rivals))
