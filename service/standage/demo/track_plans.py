"""The track of the demo club's layouts, piece by piece. Everything here is invented.

Saltmarsh Quay lies on three modules of three owners. A train for the coal drops is
drawn right out into the headshunt and kicked back. Tarn Head is one piece: a passing
loop, a climb, and a balloon in which every train turns round.
"""

from typing import Any

Json = dict[str, Any]


def _straight(length_mm: float) -> Json:
    return {"kind": "straight", "length_mm": length_mm}


def _curve(radius_mm: float, angle_deg: float, hand: str) -> Json:
    return {
        "kind": "curve",
        "radius_mm": radius_mm,
        "angle_deg": angle_deg,
        "hand": hand,
    }


def _quay(headshunt_mm: float) -> Json:
    """Return the quay with so much straight track in its headshunt, up to the board's
    inland edge.
    """
    return {
        "name": "Quay",
        "scale": "00",
        "pieces": {"H": _straight(headshunt_mm), "B": _stop(20)},
        "joins": [["H.a", "B.a"]],
        "placed": _at("H", x_mm=1200 - headshunt_mm, y_mm=250),
        "board": {"outline": [[0, 0], [1200, 0], [1200, 500], [0, 500]]},
        "module_ends": [_end("inland", "H.b")],
        "obstacles": [
            {
                "kind": "building",
                "outline": [[60, 330], [330, 330], [330, 450], [60, 450]],
            }
        ],
    }


def _stop(length_mm: float) -> Json:
    return {"kind": "buffer_stop", "length_mm": length_mm}


def _quay_points(hand: str) -> Json:
    return {
        "kind": "points",
        "hand": hand,
        "lead_in_mm": 40,
        "radius_mm": 610,
        "angle_deg": 12,
        "through_after_blades_mm": 200,
        "branch_straight_mm": 60,
    }


def _tarn_points(hand: str) -> Json:
    return {
        "kind": "points",
        "hand": hand,
        "lead_in_mm": 15,
        "radius_mm": 380,
        "angle_deg": 12,
        "through_after_blades_mm": 110,
        "branch_straight_mm": 20,
    }


def _at(piece: str, *, x_mm: float, y_mm: float) -> list[Json]:
    return [
        {
            "piece": piece,
            "x_mm": x_mm,
            "y_mm": y_mm,
            "heading_deg": 0,
        }
    ]


def _end(name: str, *tracks: str) -> Json:
    return {"name": name, "tracks": list(tracks)}


MODULE_PLANS: dict[str, Json] = {
    "quay": _quay(1000),
    "marsh": {
        "name": "Marsh bend",
        "scale": "00",
        "pieces": {
            "W": _straight(100),
            "P1": _quay_points("right"),
            "D1": _straight(110),
            "D2": _curve(610, 12, "left"),
            "D3": _straight(560),
            "B": _stop(20),
            "P2": _quay_points("left"),
            "M1": _straight(622.3),
            "M2": _curve(814, 20, "left"),
            "M3": _straight(100),
            "L1": _straight(71.5),
            "L2": _curve(610, 12, "right"),
            "L3": _straight(440),
            "L4": _curve(760, 20, "left"),
            "L5": _straight(100),
        },
        "joins": [
            ["W.b", "P1.toe"],
            ["P1.branch", "D1.a"],
            ["D1.b", "D2.a"],
            ["D2.b", "D3.a"],
            ["D3.b", "B.a"],
            ["P1.through", "P2.toe"],
            ["P2.through", "M1.a"],
            ["M1.b", "M2.a"],
            ["M2.b", "M3.a"],
            ["P2.branch", "L1.a"],
            ["L1.b", "L2.a"],
            ["L2.b", "L3.a"],
            ["L3.b", "L4.a"],
            ["L4.b", "L5.a"],
        ],
        "placed": _at("W", x_mm=0, y_mm=225),
        "board": {
            "outline": [
                [0, 0],
                [1280, 0],
                [1642.4, 122.3],
                [1488.5, 545.1],
                [1080, 450],
                [0, 450],
            ]
        },
        "module_ends": [
            _end("quay side", "W.a"),
            _end("hill side", "L5.b", "M3.b"),
        ],
    },
    "double": {
        "name": "Junction",
        "scale": "00",
        "pieces": {
            "M1": _straight(190),
            "M2": _straight(182.3),
            "L1": _straight(190),
            "L2": _curve(610, 12, "right"),
            "L3": _straight(71.5),
            "P5": _quay_points("right"),
            "S": _straight(65.4),
            "P6": _quay_points("left"),
            "U1": _straight(282.3),
            "V1": _straight(71.5),
            "V2": _curve(610, 12, "right"),
            "V3": _straight(100),
        },
        "joins": [
            ["M1.b", "M2.a"],
            ["M2.b", "P5.through"],
            ["L1.b", "L2.a"],
            ["L2.b", "L3.a"],
            ["L3.b", "P5.branch"],
            ["P5.toe", "S.a"],
            ["S.b", "P6.toe"],
            ["P6.through", "U1.a"],
            ["P6.branch", "V1.a"],
            ["V1.b", "V2.a"],
            ["V2.b", "V3.a"],
        ],
        "placed": _at("M1", x_mm=0, y_mm=198),
        "board": {"outline": [[0, 0], [1200, 0], [1200, 450], [0, 450]]},
        "module_ends": [
            _end("west", "M1.a", "L1.a"),
            _end("east", "V3.b", "U1.b"),
        ],
    },
}
"""By the demo's keys of the modules."""

MORE_HEADSHUNT_MM = 120
LENGTHENED_QUAY = _quay(1000 + MORE_HEADSHUNT_MM)
"""The quay as its second revision has it: the stop stands nearer the board's edge."""

BENT_QUAY = LENGTHENED_QUAY | {
    "pieces": {"H": _straight(900), "C": _curve(300, 60, "right"), "B": _stop(20)},
    "joins": [["C.b", "H.a"], ["C.a", "B.a"]],
    "placed": _at("H", x_mm=300, y_mm=250),
}
"""The quay as a third revision has it, which nobody thought through: longer still, since
the headshunt bends away before the board's edge.
"""

QUAY_MODULES: dict[str, str] = {
    "quay": "quay",
    "marsh": "marsh",
    "junction": "double",
}
"""What the quay's modules are called in its plan, with the demo's keys of them."""
QUAY: Json = {
    "name": "Saltmarsh Quay",
    "scale": "00",
    "module_joins": [
        ["quay.inland", "marsh.quay side"],
        ["marsh.hill side", "junction.west"],
    ],
    "places": [
        {"name": "Quay headshunt", "kind": "headshunt", "on": ["quay/H"]},
        {"name": "Coal drops", "kind": "siding", "on": ["marsh/D3"]},
        {
            "name": "Quay loop",
            "kind": "loop",
            "on": ["marsh/L3"],
            "ends": ["points 2", "points 5"],
            "surveyed_usable_length_mm": 1090,
        },
        {"name": "Platform road", "kind": "platform", "on": ["marsh/M1"]},
        {
            "name": "Platform line",
            "kind": "loop",
            "on": ["junction/S", "junction/P5", "marsh/M1"],
        },
    ],
}
"""Without its modules, which are on record."""

TARN: Json = {
    "name": "Tarn Head",
    "scale": "N British",
    "pieces": {
        "B1": _stop(10),
        "H": _straight(215),
        "P1": _tarn_points("right"),
        "W1": _straight(74),
        "W2": _curve(380, 12, "left"),
        "W3": _straight(708.7),
        "B2": _stop(10),
        "P2": _tarn_points("left"),
        "M": _straight(956),
        "L1": _straight(54),
        "L2": _curve(380, 12, "right"),
        "L": {"kind": "flexible", "fitted": True},
        "L3": _curve(380, 12, "right"),
        "L4": _straight(54),
        "P3": _tarn_points("right"),
        "C1": _curve(450, 90, "left"),
        "C2": _straight(900),
        "P4": {
            "kind": "y_points",
            "lead_in_mm": 15,
            "radius_mm": 600,
            "angle_deg": 8,
            "left_straight_mm": 60,
            "right_straight_mm": 60,
        },
        "T1": _curve(300, 37, "left"),
        "T2": _straight(159.8),
        "T3": _curve(300, 135, "right"),
        "T4": _curve(300, 135, "right"),
        "T5": _straight(159.8),
        "T6": _curve(300, 37, "left"),
    },
    "joins": [
        ["B1.a", "H.a"],
        ["H.b", "P1.toe"],
        ["P1.branch", "W1.a"],
        ["W1.b", "W2.a"],
        ["W2.b", "W3.a"],
        ["W3.b", "B2.a"],
        ["P1.through", "P2.toe"],
        ["P2.through", "M.a"],
        ["M.b", "P3.through"],
        ["P2.branch", "L1.a"],
        ["L1.b", "L2.a"],
        ["L2.b", "L.a"],
        ["L.b", "L3.a"],
        ["L3.b", "L4.a"],
        ["L4.b", "P3.branch"],
        ["P3.toe", "C1.a"],
        ["C1.b", "C2.a"],
        ["C2.b", "P4.toe"],
        ["P4.left", "T1.a"],
        ["T1.b", "T2.a"],
        ["T2.b", "T3.a"],
        ["T3.b", "T4.a"],
        ["T4.b", "T5.a"],
        ["T5.b", "T6.a"],
        ["T6.b", "P4.right"],
    ],
    "placed": _at("H", x_mm=120, y_mm=200),
    "heights": [
        {"piece": "C1", "at_mm": 60, "height_mm": 0, "vertical_curve_mm": 120},
        {"piece": "C2", "at_mm": 840, "height_mm": 28, "vertical_curve_mm": 120},
    ],
    "places": [
        {"name": "Headshunt", "kind": "headshunt", "on": ["H"]},
        {"name": "Slate wharf", "kind": "siding", "on": ["W3"]},
        {"name": "Passing loop", "kind": "loop", "on": ["L"]},
        {"name": "Balloon", "kind": "balloon", "on": ["T3"]},
    ],
}
