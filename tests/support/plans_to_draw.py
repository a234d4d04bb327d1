"""Plans of many sorts to be drawn, in JSON's own types, and plans at random."""

from random import Random
from typing import Any

from support.track_plans import (
    Document,
    curve,
    ladder,
    oval,
    passing_loop,
    points,
    straight,
    taped_points,
)

FITTINGS = (
    "gap",
    "feed",
    "uncoupling",
    "stopping_mark",
    "signal",
    "loading_spot",
)
HOSTILE_NAMES = (
    "<b>&amp;\"' onload=",
    "W" * 80,
    "\u05d0\u05d1\u05d2 \u05d3\u05d4\u05d5",
    "\uff37" * 60,
    "e\u0301" * 40,
    "]]>",
)


def yard() -> Document:
    """Return a fan of sidings on a board, with fittings, a platform and places."""
    fittings = [
        {"kind": kind, "piece": "S1", "at_mm": 80.0 * number}
        for number, kind in enumerate(FITTINGS, 1)
    ]
    return {
        **ladder(roads=6),
        "name": "Quay yard",
        "fittings": fittings,
        "board": {"outline": [[-20, -60], [2300, -60], [2300, 600], [-20, 600]]},
        "obstacles": [
            {
                "kind": "platform",
                "outline": [[900, 300], [1300, 430], [1290, 460], [890, 330]],
            }
        ],
        "places": [{"name": "Coal road", "kind": "siding", "on": ["S1"]}],
    }


def balloon() -> Document:
    """Return points whose branch comes back to their other leg, the last bit fitted."""
    pieces: dict[str, Any] = {
        "W": straight(600.0),
        "P": points(),
        "F": {"kind": "flexible", "fitted": True},
    }
    joins = [["W.b", "P.toe"]]
    before = "P.branch"
    for number in range(1, 8):
        pieces[f"C{number}"] = curve(450.0, 30.0)
        joins.append([before, f"C{number}.a"])
        before = f"C{number}.b"
    joins += [[before, "F.a"], ["F.b", "P.through"]]
    return {"name": "Balloon", "pieces": pieces, "joins": joins}


def _module(pieces: Document, outline: list[list[float]]) -> Document:
    ends = [
        {"name": "west", "tracks": ["A.a"]},
        {"name": "east", "tracks": ["A.b"]},
    ]
    plan = {
        "scale": "00",
        "pieces": pieces,
        "board": {"outline": outline},
        "module_ends": ends,
    }
    return {"plan": plan}


def modules() -> Document:
    """Return three modules, the middle one a corner."""
    level: list[list[float]] = [[0, -150], [800, -150], [800, 150], [0, 150]]
    bent: list[list[float]] = [[0, -150], [550, 100], [450, 350], [0, 150]]
    return {
        "name": "Three modules",
        "modules": {
            "west": _module({"A": straight(800.0)}, level),
            "corner": _module({"A": curve(700.0, 45.0)}, bent),
            "bay": _module({"A": straight(800.0)}, level),
        },
        "module_joins": [["west.east", "corner.west"], ["corner.east", "bay.west"]],
    }


def climb() -> Document:
    """Return three rounds of a climb, each above the one before."""
    pieces: dict[str, Any] = {"A": straight(500.0)}
    joins: list[list[str]] = []
    before = "A.b"
    for number in range(1, 25):
        pieces[f"C{number}"] = curve(500.0, 45.0)
        joins.append([before, f"C{number}.a"])
        before = f"C{number}.b"
    pieces["Z"] = straight(900.0)
    joins.append([before, "Z.a"])
    heights = [
        {"piece": "A", "at_mm": 0.0, "height_mm": 0.0},
        {"piece": "A", "at_mm": 400.0, "height_mm": 0.0, "vertical_curve_mm": 200.0},
        {"piece": "Z", "at_mm": 0.0, "height_mm": 180.0, "vertical_curve_mm": 200.0},
        {"piece": "Z", "at_mm": 800.0, "height_mm": 200.0},
    ]
    return {"name": "Climb", "pieces": pieces, "joins": joins, "heights": heights}


def measured() -> Document:
    """Return a plan that was measured with a tape, without a shape."""
    pieces: dict[str, Any] = {
        "P1": taped_points(fouling_through_mm=150.0, fouling_branch_mm=155.0),
        "B1": {"kind": "buffer_stop"},
        "B2": {"kind": "buffer_stop"},
        "B3": {"kind": "buffer_stop"},
    }
    for name, length_mm in (("T", 700.0), ("U", 500.0), ("H", 450.0)):
        pieces[name] = {"kind": "track", "length_mm": length_mm}
    joins = [
        ["P1.through", "T.a"],
        ["T.b", "B1.a"],
        ["P1.branch", "U.a"],
        ["U.b", "B2.a"],
        ["P1.toe", "H.a"],
        ["H.b", "B3.a"],
    ]
    return {"name": "Measured", "pieces": pieces, "joins": joins}


def faulty() -> Document:
    """Return an oval with a gap, a join to nowhere, and an end joined twice."""
    plan = oval()
    plan["pieces"]["S2"] = straight(520.0)
    plan["pieces"]["X"] = straight(100.0)
    plan["joins"] += [["S1.a", "Q.b"], ["C2.a", "X.a"]]
    return {"name": "Faulty oval", **plan}


def shed() -> Document:
    """Return a turntable with roads about it."""
    deck = {"kind": "turntable", "deck_mm": 305.0, "roads": [0.0, 160.0, 180.0, 200.0]}
    pieces: dict[str, Any] = {"L": straight(500.0), "D": deck}
    joins = [["L.b", "D.r1"]]
    for number in (2, 3, 4):
        pieces[f"S{number}"] = straight(400.0)
        joins.append([f"D.r{number}", f"S{number}.a"])
    return {"name": "Shed", "pieces": pieces, "joins": joins}


def at_random(seed: int) -> Document:
    """Return a tree of track that runs where chance leads it, oddly named."""
    random = Random(seed)
    pieces: dict[str, Any] = {"first": straight(300.0)}
    joins: list[list[str]] = []
    free = ["first.b"]
    for number in range(random.randint(1, 60)):
        before = free.pop(random.randrange(len(free)))
        name = f"{random.choice(('T', 'road ', 'a long name of a piece '))}{number}"
        if random.random() < 0.3:
            pieces[name] = points(hand=random.choice(("left", "right")))
            joins.append([before, f"{name}.toe"])
            free += [f"{name}.through", f"{name}.branch"]
            continue
        hand = random.choice(("left", "right"))
        bend = curve(random.uniform(250, 900), random.uniform(5, 60), hand)
        level = straight(random.uniform(20, 700))
        pieces[name] = random.choice((bend, level))
        joins.append([before, f"{name}.a"])
        free.append(f"{name}.b")
    named = random.choice(("", "Yard by the quay", HOSTILE_NAMES[1]))
    document: Document = {"pieces": pieces, "joins": joins}
    return {"name": named, **document} if named else document


def many_pieces(count: int) -> Document:
    """Return so many pieces: a double row of points and straights, wound up."""
    pieces: dict[str, Any] = {}
    joins: list[list[str]] = []
    before = ""
    for number in range(count):
        name = f"N{number}"
        is_points = number % 6 == 0
        pieces[name] = points() if is_points else curve(900.0, 9.0, "left")
        first, last = ("toe", "through") if is_points else ("a", "b")
        if before:
            joins.append([before, f"{name}.{first}"])
        before = f"{name}.{last}"
    return {"pieces": pieces, "joins": joins}


ALL = {
    made.__name__: made
    for made in (
        yard,
        balloon,
        modules,
        climb,
        measured,
        faulty,
        shed,
        oval,
        passing_loop,
    )
}
