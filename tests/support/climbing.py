"""Plans that climb, in whole millimetres, and the same walked by hand: every millimetre
of a row of pieces, one after the other, and no formula.
"""

from collections.abc import Sequence
from itertools import accumulate, pairwise
from random import Random
from typing import Any, NamedTuple

Json = dict[str, Any]


class Peg(NamedTuple):
    """A height that somebody measured so far along a row, and its vertical curve."""

    at_mm: int
    height_mm: float
    curve_mm: int = 0


class Row(NamedTuple):
    """A plan whose pieces lie in a row, and how it was made."""

    plan: Json
    length_mm: int
    pegs: tuple[Peg, ...]
    starts_mm: dict[str, int]
    turned: frozenset[str]
    own_mm: dict[str, int]

    def walked_mm(self, position: Any) -> float:
        """Return how far along the row a position of its plan is."""
        piece: str = position.piece
        at_mm: float = position.at_mm
        if piece not in self.own_mm:
            return 0.0 if piece == "B0" else float(self.length_mm)
        start_mm, own_mm = self.starts_mm[piece], self.own_mm[piece]
        if piece in self.turned:
            at_mm = own_mm - at_mm
        return start_mm + at_mm


def row(
    lengths_mm: Sequence[int], pegs: Sequence[Peg], turned: Sequence[int] = ()
) -> Row:
    """Return a row of straights between two stops, some laid the other way round."""
    names = [f"T{number}" for number in range(len(lengths_mm))]
    back = frozenset(names[number] for number in turned)
    starts = dict(zip(names, accumulate(lengths_mm, initial=0), strict=False))
    own = dict(zip(names, lengths_mm, strict=True))
    pieces: Json = {
        name: {"kind": "straight", "length_mm": own_mm} for name, own_mm in own.items()
    }
    pieces |= {"B0": {"kind": "buffer_stop"}, "B1": {"kind": "buffer_stop"}}
    ends = ["B0.a"]
    for name in names:
        ends += (
            [f"{name}.b", f"{name}.a"] if name in back else [f"{name}.a", f"{name}.b"]
        )
    ends.append("B1.a")
    joins = [list(pair) for pair in zip(ends[::2], ends[1::2], strict=True)]
    heights = []
    for peg in pegs:
        name = [one for one in names if starts[one] <= peg.at_mm][-1]
        at_mm = peg.at_mm - starts[name]
        if name in back:
            at_mm = own[name] - at_mm
        height = {"piece": name, "at_mm": at_mm, "height_mm": peg.height_mm}
        if peg.curve_mm:
            height["vertical_curve_mm"] = peg.curve_mm
        heights.append(height)
    plan = {"pieces": pieces, "joins": joins, "heights": heights}
    return Row(plan, sum(lengths_mm), tuple(pegs), starts, back, own)


def random_row(random: Random) -> Row:
    """Return a row with heights here and there, up and down, with vertical curves."""
    lengths_mm = [random.randint(20, 400) for _ in range(random.randint(2, 8))]
    whole_mm = sum(lengths_mm)
    count = random.randint(1, 6)
    places = sorted(random.sample(range(whole_mm + 1), min(count, whole_mm)))
    pegs = []
    for at_mm in places:
        apart_mm = [abs(at_mm - other) for other in places if other != at_mm]
        room_mm = min(apart_mm, default=0) // 2
        curve_mm = random.choice([0, random.randint(0, room_mm)])
        pegs.append(Peg(at_mm, float(random.randint(-30, 60)), curve_mm))
    turned = [n for n in range(len(lengths_mm)) if random.random() < 0.4]
    return row(lengths_mm, pegs, turned)


def walked_heights(one: Row) -> list[float]:
    """Return the height at every millimetre of a row: between two measured heights the
    slope grows evenly from nothing over the vertical curve, stays, and falls again; all
    of it is added up and made as high as was measured.
    """
    pegs = one.pegs
    heights = [pegs[0].height_mm] * (pegs[0].at_mm + 1)
    for first, second in pairwise(pegs):
        run_mm = second.at_mm - first.at_mm
        shares = []
        for mm in range(run_mm):
            middle_mm = mm + 0.5
            share = 1.0
            if middle_mm < first.curve_mm:
                share = middle_mm / first.curve_mm
            if run_mm - middle_mm < second.curve_mm:
                share = (run_mm - middle_mm) / second.curve_mm
            shares.append(share)
        of_a_share = (second.height_mm - first.height_mm) / sum(shares)
        for share in shares:
            heights.append(heights[-1] + share * of_a_share)
    left_mm = one.length_mm - pegs[-1].at_mm
    return heights + [heights[-1]] * left_mm


def sampled(heights: Sequence[float], train_mm: int) -> dict[int, float]:
    """Return what a train feels, in per cent, with its head at every millimetre."""
    return {
        head_mm: 100 * (heights[head_mm] - heights[head_mm - train_mm]) / train_mm
        for head_mm in range(train_mm, len(heights))
    }


def most_bent(heights: Sequence[float]) -> float:
    """Return the most by which the slope changes from one millimetre to the next."""
    steps = [after - before for before, after in pairwise(heights)]
    changes = [abs(after - before) for before, after in pairwise(steps)]
    return max(changes, default=0.0)
