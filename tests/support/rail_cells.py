"""Rails cut into cells, as an oracle: a train is laid on every run of cells, and rails
are joined end by end. Knows plans as they are written, and nothing of the service.

Also random plans in whole cells, with gaps where cells meet, and every circuit found by
walking on from joint to joint.
"""

from collections.abc import Iterator, Mapping
from itertools import combinations
from random import Random
from typing import Any, NamedTuple

CELL_MM = 10
Json = dict[str, Any]
JOINED_AGAIN = 0.7
CROSSING_ENDS = ("a1", "a2", "b1", "b2")
ENDS = {
    "track": ("a", "b"),
    "points": ("toe", "through", "branch"),
    "three_way": ("toe", "left", "middle", "right"),
    "diamond": CROSSING_ENDS,
    "single_slip": CROSSING_ENDS,
    "double_slip": CROSSING_ENDS,
    "buffer_stop": ("a",),
}
AT_THE_FIRST_SIDE = {"toe", "a", "a1", "b1"}


class Arm(NamedTuple):
    """Track without a choice; positions on it count ``at`` cells from its start."""

    start: str
    finish: str
    cells: int
    leg: str | None
    at: int = 0
    is_rising: bool = True


class Way(NamedTuple):
    """A cell in one of its two directions."""

    piece: str
    arm: int
    cell: int
    forwards: bool

    @property
    def back(self) -> "Way":
        return self._replace(forwards=not self.forwards)


def arms(piece: Json) -> list[Arm]:
    """Return a piece's track, from end to end or from a knot outwards."""
    kind = piece["kind"]
    if kind == "track":
        return [Arm("a", "b", piece["length_mm"] // CELL_MM, None)]
    if kind == "points":
        names = ("toe", "through", "branch")
        return [Arm("@", name, piece[f"{name}_mm"] // CELL_MM, name) for name in names]
    if kind == "three_way":
        core = piece["second_after_mm"] // CELL_MM
        own = {name: piece[f"{name}_mm"] // CELL_MM for name in ENDS[kind]}
        return [
            Arm("@", "toe", own["toe"], "toe"),
            Arm("@", "left", own["left"], "left"),
            Arm("@", "@2", core, "middle"),
            Arm("@2", "middle", own["middle"] - core, "middle", at=core),
            Arm("@2", "right", own["right"] - core, "right", at=core),
        ]
    if kind == "diamond":
        found = []
        for road in "ab":
            first, second = (mm // CELL_MM for mm in piece[f"{road}_mm"])
            found.append(
                Arm(f"@{road}", f"{road}1", first, road, first, is_rising=False)
            )
            found.append(Arm(f"@{road}", f"{road}2", second, road, first))
        return found
    if "slip" in kind:
        own = piece["arm_mm"] // CELL_MM
        cores = [("a1", "a2"), ("b1", "b2"), ("a1", "b2")]
        if kind == "double_slip":
            cores.append(("b1", "a2"))
        between = piece["core_mm"] // CELL_MM
        return [Arm(f"@{end}", end, own, end) for end in CROSSING_ENDS] + [
            Arm(f"@{one}", f"@{two}", between, f"{one}-{two}") for one, two in cores
        ]
    return []


class Cells:
    """The cells of a plan: what follows each, and which rails are one conductor."""

    def __init__(self, plan: Json, gapped: frozenset[int] = frozenset()) -> None:
        self.plan = plan
        self.arms = {name: arms(piece) for name, piece in plan["pieces"].items()}
        self.joint: dict[str, str] = {}
        for one, other in plan["joins"]:
            self.joint |= {one: other, other: one}
        self._out_of: dict[tuple[str, str], list[Way]] = {}
        for name, own in self.arms.items():
            for number, arm in enumerate(own):
                first = Way(name, number, 0, forwards=True)
                last = Way(name, number, arm.cells - 1, forwards=False)
                self._out_of.setdefault((name, arm.start), []).append(first)
                self._out_of.setdefault((name, arm.finish), []).append(last)
        self.ways = [
            Way(name, number, cell, forwards)
            for name, own in self.arms.items()
            for number, arm in enumerate(own)
            for cell in range(arm.cells)
            for forwards in (True, False)
        ]
        self._above: dict[object, object] = {}
        self._gaps = set(self._written_gaps())
        for number in gapped:
            one, other = plan["joins"][number]
            self._gaps |= {(one, 0), (one, 1), (other, 0), (other, 1)}
        for way in self.ways:
            for onwards in self.ahead(way):
                for side in (0, 1):
                    if not self._is_cut(way, onwards, side):
                        self._join(_rail(way, side), _rail(onwards, side))

    def _join(self, one: object, other: object) -> None:
        self._above[self._of(one)] = self._of(other)

    def _of(self, rail: object) -> object:
        while rail in self._above and self._above[rail] != rail:
            rail = self._above[rail]
        return rail

    def rails(self, way: Way) -> tuple[object, object]:
        """Return the conductors on the left and the right of a cell."""
        return self._of(_rail(way, 0)), self._of(_rail(way, 1))

    def ahead(self, way: Way) -> list[Way]:
        """Return the cells that a train comes to next."""
        arm = self.arms[way.piece][way.arm]
        step = 1 if way.forwards else -1
        if 0 <= way.cell + step < arm.cells:
            return [way._replace(cell=way.cell + step)]
        node = arm.finish if way.forwards else arm.start
        if node.startswith("@"):
            return [
                out for out in self._out_of[way.piece, node] if self._passes(way, out)
            ]
        beyond = self.joint.get(f"{way.piece}.{node}")
        if beyond is None:
            return []
        piece, _, end = beyond.rpartition(".")
        return self._out_of.get((piece, end), [])

    def _passes(self, way: Way, out: Way) -> bool:
        """Tell whether wheels pass at a knot: between its single arm and the others."""
        if way.arm == out.arm:
            return False
        kind = self.plan["pieces"][way.piece]["kind"]
        if kind == "diamond":
            return True
        alone = 0
        if "slip" in kind:
            alone = min(way.arm, out.arm)
            return alone < len(CROSSING_ENDS)
        if kind == "three_way" and self._node(way) == "@2":
            alone = 2
        return alone in {way.arm, out.arm}

    def _node(self, way: Way) -> str:
        arm = self.arms[way.piece][way.arm]
        return arm.finish if way.forwards else arm.start

    def _written_gaps(self) -> Iterator[object]:
        for gap in self.plan.get("fittings", ()):
            if gap["kind"] != "gap":
                continue
            for number, arm in enumerate(self.arms[gap["piece"]]):
                if arm.leg != gap.get("leg"):
                    continue
                at = gap["at_mm"] // CELL_MM
                along = at - arm.at if arm.is_rising else arm.at - at
                for side, name in enumerate(("left", "right")):
                    if gap.get("rails", "both") not in {"both", name}:
                        continue
                    own = side if arm.is_rising else 1 - side
                    yield from self._gap(gap["piece"], number, along, own)

    def _gap(self, piece: str, number: int, along: int, side: int) -> Iterator[object]:
        """Yield a gap at so many cells along, in the rail on that side as one looks to
        the finish."""
        arm = self.arms[piece][number]
        if 0 < along < arm.cells:
            yield (piece, number, along, side)
        # looking out of the piece, left is left at the finish and right at the start
        for end, place, seen in (
            (arm.start, 0, 1 - side),
            (arm.finish, arm.cells, side),
        ):
            if along == place and not end.startswith("@"):
                own = f"{piece}.{end}"
                yield (own, seen)
                # looking out of the piece beyond, left is right
                yield (self.joint.get(own), 1 - seen)

    def _is_cut(self, way: Way, onwards: Way, side: int) -> bool:
        if (way.piece, way.arm) == (onwards.piece, onwards.arm):
            along = max(way.cell, onwards.cell)
            own = side if way.forwards else 1 - side
            if abs(way.cell - onwards.cell) == 1:
                return (way.piece, way.arm, along, own) in self._gaps
        return (f"{way.piece}.{self._node(way)}", side) in self._gaps


def _rail(way: Way, side: int) -> object:
    own = side if way.forwards else 1 - side
    return way.piece, way.arm, way.cell, own


def is_shorted(cells: Cells) -> bool:
    """Tell whether metal joins both rails anywhere."""
    return any(left == right for left, right in map(cells.rails, cells.ways))


def least_short_mm(cells: Cells) -> int | None:
    """Return how long a train may just be that makes no short, by laying it on every
    run of cells; None where none makes one.

    A train that stands half on its first and half on its last cell is one shorter than
    the cells that it touches; so it may be two shorter, and make none.
    """
    least: int | None = None
    for start in cells.ways:
        todo: list[list[Way]] = [[start]]
        while todo:
            under = todo.pop()
            if least is not None and len(under) >= least:
                continue
            rails = [cells.rails(way) for way in under]
            if {left for left, _ in rails} & {right for _, right in rails}:
                least = len(under)
                continue
            taken = {way._replace(forwards=True) for way in under}
            todo += [
                [*under, onwards]
                for onwards in cells.ahead(under[-1])
                if onwards._replace(forwards=True) not in taken
            ]
    return None if least is None else (least - 2) * CELL_MM


def smallest_sets(plan: Json, for_mm: int) -> set[frozenset[int]] | None:
    """Return all of the smallest sets of joins to gap, every set tried in turn."""
    joins = range(len(plan["joins"]))
    for size in range(len(plan["joins"]) + 1):
        enough = set()
        for gapped in combinations(joins, size):
            cells = Cells(plan, frozenset(gapped))
            if is_shorted(cells):
                continue
            free_mm = least_short_mm(cells)
            if free_mm is None or free_mm >= for_mm:
                enough.add(frozenset(gapped))
        if enough:
            return enough
    return None


def circuits_walked(plan: Json) -> dict[frozenset[str], bool]:
    """Return every circuit by its pieces, and whether one over them exchanges rails, by
    walking on from joint to joint.
    """
    joint: dict[str, str] = {}
    for one, other in plan["joins"]:
        joint |= {one: other, other: one}
    kinds: Mapping[str, str] = {
        name: piece["kind"] for name, piece in plan["pieces"].items()
    }
    found: dict[frozenset[str], bool] = {}
    for start in joint:
        todo: list[list[tuple[str, str]]] = []
        todo += [[one] for one in _through(kinds, joint[start], [])]
        while todo:
            walked = todo.pop()
            out = walked[-1][1]
            if out == start:
                pieces = frozenset(end.rpartition(".")[0] for end, _ in walked)
                exchanges = sum(map(_is_at_one_side, walked)) % 2 == 1
                found[pieces] = found.get(pieces, False) or exchanges
                continue
            if out not in joint or _used(joint, out, walked):
                continue
            todo += [[*walked, one] for one in _through(kinds, joint[out], walked)]
    return found


def _used(joint: Mapping[str, str], out: str, walked: list[tuple[str, str]]) -> bool:
    ends = {end for passage in walked[:-1] for end in passage}
    return out in ends or joint[out] in ends


def _is_at_one_side(passage: tuple[str, str]) -> bool:
    ends = [end.rpartition(".")[2] in AT_THE_FIRST_SIDE for end in passage]
    return ends[0] == ends[1]


def _through(
    kinds: Mapping[str, str], end: str, walked: list[tuple[str, str]]
) -> Iterator[tuple[str, str]]:
    """Yield the ways through a piece that is entered by an end, with what was run over
    it before."""
    piece, _, name = end.rpartition(".")
    kind = kinds[piece]
    before = [
        {one.rpartition(".")[2] for one in passage}
        for passage in walked
        if passage[0].rpartition(".")[0] == piece
    ]
    for other in ENDS[kind]:
        own = {name, other}
        if other == name or not _has_metal(kind, own):
            continue
        if all(_go_together(kind, own, one) for one in before):
            yield end, f"{piece}.{other}"


def _has_metal(kind: str, ends: set[str]) -> bool:
    return kind != "diamond" or len({end[0] for end in ends}) == 1


def _go_together(kind: str, one: set[str], other: set[str]) -> bool:
    pairs: list[tuple[set[str], set[str]]] = []
    if kind in {"diamond", "single_slip", "double_slip"}:
        pairs.append(({"a1", "a2"}, {"b1", "b2"}))
    if kind == "double_slip":
        pairs.append(({"a1", "b2"}, {"b1", "a2"}))
    if kind == "three_way":
        pairs.append(({"toe", "left"}, {"middle", "right"}))
    return (one, other) in pairs or (other, one) in pairs


def random_piece(random: Random, kind: str) -> Json:
    """Return a piece in whole cells."""

    def mm(least: int = 1, most: int = 3) -> int:
        return CELL_MM * random.randint(least, most)

    if kind == "track":
        return {"kind": kind, "length_mm": mm(1, 5)}
    if kind == "points":
        own = {"toe_mm": mm(), "through_mm": mm(), "branch_mm": mm()}
        return {"kind": kind, **own}
    if kind == "three_way":
        core_mm = mm(1, 2)
        own = {f"{leg}_mm": core_mm + mm() for leg in ("left", "middle", "right")}
        own |= {"toe_mm": mm(), "second_after_mm": core_mm}
        return {"kind": kind, "first_hand": "left", **own}
    if kind == "diamond":
        return {"kind": kind, "a_mm": [mm(), mm()], "b_mm": [mm(), mm()]}
    core_mm = mm(1, 2)
    return {"kind": kind, "arm_mm": mm(), "core_mm": core_mm, "core_slip_mm": core_mm}


def random_plan(random: Random, *, most_junctions: int = 3) -> Json:
    """Return points, crossings and track joined at random, most of it again."""
    pieces: Json = {}
    free: list[str] = []
    kinds = ["points"] * 4 + ["three_way", "diamond", "single_slip", "double_slip"]
    for number in range(random.randint(1, most_junctions)):
        kind = random.choice(kinds)
        pieces[f"P{number}"] = random_piece(random, kind)
        free += [f"P{number}.{end}" for end in ENDS[kind]]
    random.shuffle(free)
    joins: list[list[str]] = []
    number = 0
    while free:
        end = free.pop()
        number += 1
        pieces[f"T{number}"] = random_piece(random, "track")
        track_ends = random.sample(["a", "b"], 2)
        joins.append([end, f"T{number}.{track_ends[0]}"])
        if free and random.random() < JOINED_AGAIN:
            joins.append([f"T{number}.{track_ends[1]}", free.pop()])
    for join in joins:
        random.shuffle(join)
    return {"pieces": pieces, "joins": joins}


def random_gaps(random: Random, plan: Json, count: int) -> list[Json]:
    """Return gaps where cells meet or pieces do, none at blades."""
    found = []
    names = list(plan["pieces"])
    for _ in range(count):
        name = random.choice(names)
        arm = random.choice(arms(plan["pieces"][name]))
        knots = (arm.start.startswith("@"), arm.finish.startswith("@"))
        places = list(range(1 if knots[0] else 0, arm.cells + (0 if knots[1] else 1)))
        if not places:
            continue
        along = random.choice(places)
        at = arm.at + along if arm.is_rising else arm.at - along
        gap = {"kind": "gap", "piece": name, "at_mm": at * CELL_MM}
        if arm.leg is not None:
            gap["leg"] = arm.leg
        rails = random.choice(["both", "both", "both", "left", "right", None])
        if rails is not None:
            gap["rails"] = rails
        found.append(gap)
    return found
