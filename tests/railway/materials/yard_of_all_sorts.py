"""A yard with every sort of piece in it, and what its document says by itself."""

from collections.abc import Iterator
from math import pi
from typing import Any, NamedTuple

from standage.railway.materials.counting import (
    Line,
    counted,
    cut_list,
    lines_of,
    to_get,
)
from standage.railway.materials.cutting import Cutting
from standage.railway.materials.rules import Rules
from standage.railway.track.plans.plan import Plan
from standage.railway.track.survey.survey import survey
from standage.shapes.decoding import convert

Json = dict[str, Any]
STRAIGHT: Json = {"kind": "straight", "length_mm": 300}
POINTS: Json = {
    "kind": "points",
    "hand": "left",
    "lead_in_mm": 30,
    "radius_mm": 610,
    "angle_deg": 12,
    "through_after_blades_mm": 180,
}
YARD: Json = {
    "scale": "00",
    "pieces": {
        "A": {"kind": "straight", "length_mm": 2400, "state": "laid"},
        "Z": {"kind": "straight", "length_mm": 0},
        "B": {"kind": "straight", "length_mm": 99.9},
        "C1": {"kind": "curve", "radius_mm": 610, "angle_deg": 30, "hand": "left"},
        "C2": {"kind": "curve", "radius_mm": 610, "length_mm": 250.5, "hand": "right"},
        "C3": {"kind": "curve", "radius_mm": 457, "angle_deg": 22.5, "hand": "left"},
        "E": {
            "kind": "transition",
            "length_mm": 180,
            "radius_to_mm": 610,
            "hand": "left",
        },
        "F": {
            "kind": "flexible",
            "segments": [
                {"kind": "straight", "length_mm": 120},
                {
                    "kind": "curve",
                    "radius_mm": 800,
                    "length_mm": 300,
                    "hand": "right",
                },
            ],
        },
        "M": {"kind": "track", "length_mm": 777},
        "P1": {**POINTS, "state": "fixed"},
        "P2": {**POINTS, "branch_straight_mm": 40},
        "P3": {**POINTS, "hand": "right"},
        "P4": {
            "kind": "points",
            "hand": "right",
            "toe_mm": 40,
            "through_mm": 160,
            "branch_mm": 165,
        },
        "W": {
            "kind": "three_way",
            "first_hand": "left",
            "toe_mm": 30,
            "second_after_mm": 60,
            "left_mm": 190,
            "middle_mm": 200,
            "right_mm": 205,
        },
        "X": {"kind": "diamond", "angle_deg": 24, "a_mm": [80, 80], "b_mm": [80, 80]},
        "D": {
            "kind": "double_slip",
            "angle_deg": 12,
            "arm_mm": 60,
            "core_mm": 100,
            "core_slip_mm": 100,
        },
        "S": {
            "kind": "single_slip",
            "angle_deg": 12,
            "arm_mm": 60,
            "core_mm": 100,
            "core_slip_mm": 100,
        },
        "T": {"kind": "turntable", "deck_mm": 300, "roads": [0, 90]},
        "K": {"kind": "buffer_stop", "length_mm": 20},
        "L": {"kind": "buffer_stop"},
        "O": {"kind": "open_end", "beyond_mm": 500},
    },
    "joins": [
        ["A.b", "Z.a"],
        ["B.a", "Z.b"],
        ["B.b", "P1.toe"],
        ["P1.through", "C1.a"],
        ["P1.branch", "C2.a"],
        ["C1.b", "E.b"],
        ["E.a", "F.a"],
        ["F.b", "K.a"],
        ["C2.b", "P2.toe"],
        ["P2.through", "L.a"],
        ["P3.toe", "W.left"],
        ["P4.toe", "W.middle"],
        ["X.a1", "D.b2"],
        ["X.b1", "S.a1"],
        ["M.a", "T.r2"],
        ["M.b", "C3.a"],
        ["C3.b", "O.a"],
    ],
    "fittings": [
        {"kind": "gap", "piece": "A", "at_mm": 2400},
        {"kind": "gap", "piece": "C2", "at_mm": 250.5, "rails": "right"},
        {"kind": "gap", "piece": "A", "at_mm": 700},
        {"kind": "gap", "piece": "M", "at_mm": 100, "rails": "left"},
        {"kind": "feed", "piece": "A", "at_mm": 10},
        {"kind": "feed", "piece": "M", "at_mm": 10},
        {"kind": "uncoupling", "piece": "B", "at_mm": 50},
    ],
}
PLAIN = ("straight", "curve", "transition", "flexible", "track")


class Made(NamedTuple):
    """What a plan is made of."""

    lines: tuple[Line, ...]
    cutting: Cutting
    unknown: tuple[str, ...]


def counted_plan(document: Json, **rules: float) -> Made:
    """Return what a plan is made of, by its document."""
    by = Rules(**rules)
    whole = counted(survey(convert(document, Plan)), by)
    return Made(
        lines=lines_of(whole.goods),
        cutting=cut_list(to_get(whole.goods), by),
        unknown=whole.unknown,
    )


def line(made: Any, what: str, **geometry: Any) -> Any:
    """Return the one line of that sort, with these figures."""
    (found,) = [
        one
        for one in made.lines
        if one.what == what and geometry.items() <= one.geometry.items()
    ]
    return found


def count(made: Any, what: str) -> int:
    """Return how many there are of a sort, on all lines."""
    return sum(one.count for one in made.lines if one.what == what)


def length_mm(piece: Json) -> float:
    """Return the length of plain track by its own figures."""
    if piece["kind"] == "flexible":
        return sum(map(length_mm, piece["segments"]))
    if "angle_deg" in piece:
        return float(piece["radius_mm"] * piece["angle_deg"] * pi / 180)
    return float(piece["length_mm"])


def plain(plan: Json) -> Iterator[tuple[str, Json]]:
    for name, piece in plan["pieces"].items():
        if piece["kind"] in PLAIN and length_mm(piece) > 0:
            yield name, piece
