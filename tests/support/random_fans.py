"""Fans of sidings at random, worked from a headshunt and measured with a tape."""

from random import Random

from support.track_plans import Document

LONG_MM = 9_000.0
"""No train that a headshunt holds is as long as a siding."""


class Growing:
    """A fan of sidings at random, measured with a tape, from its headshunt outwards."""

    def __init__(self, random: Random) -> None:
        self.random = random
        self.pieces: Document = {"B": {"kind": "buffer_stop", "length_mm": 8.0}}
        self.joins: list[list[str]] = []
        self.sidings = 0

    def track(self, end: str, *, least_mm: int, most_mm: int) -> str:
        name = f"T{len(self.pieces)}"
        length_mm = float(self.random.randint(least_mm, most_mm))
        self.pieces[name] = {"kind": "track", "length_mm": length_mm}
        # which end of a piece, or of a join, comes first never matters
        near, far = self.random.sample(["a", "b"], 2)
        self.joins.append(self.random.sample([f"{name}.{near}", end], 2))
        return f"{name}.{far}"

    def grown(self, end: str, *, sidings: int) -> None:
        if self.random.random() < 0.6:
            end = self.track(end, least_mm=0, most_mm=160)
        # a crossing ends the headshunt's road, which is no fan then
        is_beyond_points = any(name.startswith("P") for name in self.pieces)
        if is_beyond_points and self.random.random() < 0.2:
            end = self.crossing(end)
        if sidings == 1:
            self.siding(end)
            return
        name = f"P{len(self.pieces)}"
        figures = {
            "toe_mm": self.random.randint(0, 40),
            "through_mm": self.random.randint(60, 200),
            "branch_mm": self.random.randint(60, 200),
            "fouling_through_mm": self.random.randint(50, 400),
            "fouling_branch_mm": self.random.randint(50, 400),
        }
        self.pieces[name] = {
            "kind": "points",
            **{figure: float(size_mm) for figure, size_mm in figures.items()},
        }
        self.joins.append([f"{name}.toe", end])
        on_first = self.random.choice([1, self.random.randint(1, sidings - 1)])
        legs = self.random.sample(["through", "branch"], 2)
        self.grown(f"{name}.{legs[0]}", sidings=on_first)
        self.grown(f"{name}.{legs[1]}", sidings=sidings - on_first)

    def crossing(self, end: str) -> str:
        """Cross a line that leads nowhere."""
        name = f"D{len(self.pieces)}"
        self.pieces[name] = {
            "kind": "diamond",
            "a_mm": [50.0, 60.0],
            "b_mm": [50.0, 60.0],
            "fouling_a_mm": 90.0,
            "fouling_b_mm": 90.0,
        }
        self.joins.append([end, f"{name}.a1"])
        return f"{name}.a2"

    def siding(self, end: str) -> None:
        self.sidings += 1
        name = f"S{self.sidings}"
        self.pieces[name] = {"kind": "track", "length_mm": LONG_MM}
        self.pieces[f"E{name}"] = {"kind": "buffer_stop", "length_mm": 12.0}
        self.joins += [[end, f"{name}.a"], [f"{name}.b", f"E{name}.a"]]


def random_fan(random: Random) -> Document:
    fan = Growing(random)
    end = fan.track("B.a", least_mm=200, most_mm=900)
    # what lies at the stop is the headshunt, whatever grows at its end
    fan.pieces["H"] = fan.pieces.pop("T1")
    fan.joins = [[one.replace("T1.", "H.") for one in join] for join in fan.joins]
    fan.grown(end.replace("T1.", "H."), sidings=random.randint(2, 6))
    places: list[Document] = [{"name": "Neck", "on": ["H"]}]
    places += [
        {"name": f"Road {number}", "on": [f"S{number}"]}
        for number in range(1, fan.sidings + 1)
    ]
    return {"pieces": fan.pieces, "joins": fan.joins, "places": places}
