"""Plans to try: pieces in JSON's own types, and all that follows from a plan at
once."""

from typing import Any, NamedTuple

from standage.railway.track.fouling.fouling import FoulingPoint, Rules, fouling_points
from standage.railway.track.fouling.spacings import spacing_of
from standage.railway.track.network.network import Network, network
from standage.railway.track.placing.circuits import Closures, closures
from standage.railway.track.placing.placing import Placing, placing
from standage.railway.track.plans.plan import Plan
from standage.railway.track.roads.limits import Usable, usable_lengths
from standage.railway.track.roads.roads import Road, roads
from standage.shapes.decoding import convert

Document = dict[str, Any]


class Worked(NamedTuple):
    """A plan with all that follows from it."""

    plan: Plan
    placed: Placing
    closed: Closures
    network: Network
    roads: tuple[Road, ...]
    points: tuple[FoulingPoint, ...]
    usable: tuple[Usable, ...]

    def leg_mm(self, points: str, leg: str) -> float | None:
        """Return how far from the blades a leg's fouling point lies."""
        (found,) = [one for one in self.points if one.points == points]
        (own,) = [one for one in found.legs if one.leg == leg]
        return own.farthest.from_blades_mm

    def usable_mm(self, name: str) -> float | None:
        """Return the usable length of a road by its name."""
        (found,) = [one for one in self.usable if one.road.name == name]
        return found.usable_length_mm


def read_plan(document: object) -> Plan:
    """Return a plan made of JSON's own types."""
    return convert(document, Plan)


def worked(document: Document) -> Worked:
    """Return all that follows from a plan; 00 unless it says its scale."""
    plan = read_plan({"scale": "00", **document})
    placed = placing(plan)
    laid = network(placed.flat, placed.shapes)
    found = roads(laid)
    rules = Rules(spacing=spacing_of(plan), gauge_mm=plan.laid_gauge_mm)
    points = fouling_points(laid, rules)
    usable = usable_lengths(laid, found, points)
    return Worked(plan, placed, closures(placed), laid, found, points, usable)


def straight(length_mm: float) -> Document:
    """Return a straight."""
    return {"kind": "straight", "length_mm": length_mm}


def curve(radius_mm: float, angle_deg: float, hand: str = "left") -> Document:
    """Return a curve."""
    return {
        "kind": "curve",
        "radius_mm": radius_mm,
        "angle_deg": angle_deg,
        "hand": hand,
    }


def points(**figures: Any) -> Document:
    """Return points laid out: left-handed, 610 mm, 12 degrees."""
    return {
        "kind": "points",
        "hand": "left",
        "lead_in_mm": 30.0,
        "radius_mm": 610.0,
        "angle_deg": 12.0,
        "through_after_blades_mm": 180.0,
        "branch_straight_mm": 95.0,
        **figures,
    }


def taped_points(**figures: Any) -> Document:
    """Return points measured with a tape."""
    return {
        "kind": "points",
        "toe_mm": 30.0,
        "through_mm": 180.0,
        "branch_mm": 190.0,
        **figures,
    }


def oval(*, side_mm: float = 500.0, radius_mm: float = 438.0) -> Document:
    """Return an oval of eight curves and two straights."""
    pieces: Document = {f"C{n}": curve(radius_mm, 45.0) for n in range(1, 9)}
    pieces |= {"S1": straight(side_mm), "S2": straight(side_mm)}
    order = ["S1", "C1", "C2", "C3", "C4", "S2", "C5", "C6", "C7", "C8"]
    joins = [
        [f"{one}.b", f"{two}.a"]
        for one, two in zip(order, order[1:] + order[:1], strict=True)
    ]
    return {"pieces": pieces, "joins": joins}


def passing_loop(*, main_mm: float = 1000.0) -> Document:
    """Return a loop beside a main line, its second straight fitted; stops at one
    end."""
    return {
        "pieces": {
            "W": straight(500.0),
            "P1": points(),
            "M": straight(main_mm),
            "C1": curve(610.0, 12.0, "right"),
            "L": {"kind": "flexible", "fitted": True},
            "C2": curve(610.0, 12.0),
            "P2": points(hand="right"),
            "E": straight(300.0),
            "B": {"kind": "buffer_stop"},
        },
        "joins": [
            ["W.b", "P1.toe"],
            ["P1.through", "M.a"],
            ["M.b", "P2.through"],
            ["P2.toe", "E.a"],
            ["E.b", "B.a"],
            ["P1.branch", "C1.a"],
            ["C1.b", "L.a"],
            ["L.b", "C2.b"],
            ["C2.a", "P2.branch"],
        ],
    }


def ladder(*, roads: int, pitch_mm: float = 120.0) -> Document:
    """Return a fan of sidings: points one after the other along a lead, a road off
    each."""
    pieces: Document = {"H": straight(600.0)}
    joins = [["H.b", "P1.toe"]]
    for number in range(1, roads + 1):
        pieces[f"P{number}"] = points()
        pieces[f"S{number}"] = straight(700.0 + 10 * number)
        pieces[f"B{number}"] = {"kind": "buffer_stop", "length_mm": 12.0}
        joins += [
            [f"P{number}.branch", f"S{number}.a"],
            [f"S{number}.b", f"B{number}.a"],
        ]
        if number < roads:
            pieces[f"T{number}"] = straight(pitch_mm)
            joins += [
                [f"P{number}.through", f"T{number}.a"],
                [f"T{number}.b", f"P{number + 1}.toe"],
            ]
    return {"pieces": pieces, "joins": joins}
