"""A move judged: the verdict, the longest train, and what stands in the way."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from msgspec.structs import replace

from standage.questions.move_answer import MoveVerdict
from standage.questions.moved_train import KnownTrain
from standage.questions.moves_ground import Surveyed
from standage.railway.moves.cures import Limits, limits
from standage.railway.moves.longest import longest_mm
from standage.railway.moves.reach import strands_in_reach
from standage.railway.moves.search import Effort, searched
from standage.railway.moves.wanted import Finish, Wanted
from standage.railway.terms.figures import tidy
from standage.railway.track.pieces.plain_pieces import (
    Curve,
    Flexible,
    Straight,
    Track,
    Transition,
)

PLAIN = (Straight, Curve, Transition, Flexible, Track)
_MOST_STEPS = 2_000
"""So long a shorter way is looked for."""
MUCH_SHORTER = 2 / 3
"""A way is shown that is no longer than so much of the best one."""


class JudgedMove(NamedTuple):
    """A move with its verdict.

    ``finishes`` are the best ways for each end, ``best`` that of the end asked for, and
    ``shorter`` a much shorter way with more reversals. ``with_these_mm`` is the longest
    train with no more reversals.
    """

    verdict: MoveVerdict
    wanted: Wanted
    finishes: tuple[Finish, ...]
    best: Finish | None
    shorter: Finish | None
    best_start_mm: float | None
    longest_mm: float
    with_these_mm: float | None
    plus_minus_mm: float
    limits: Limits
    gave_up: bool

    @property
    def spare_mm(self) -> float | None:
        """How much longer the train might be for the same move."""
        if self.with_these_mm is None:
            return None
        return tidy(self.with_these_mm - self.wanted.train_mm)


def judged_move(known: Surveyed, wanted: Wanted, train: KnownTrain) -> JudgedMove:
    """Return the verdict on a move; ``wanted`` has the length that counts."""
    every = searched(known.ground, _either_way(wanted))
    finishes = every.finishes
    best = next((one for one in finishes if _suits(wanted, one)), None)
    greatest_mm = longest_mm(known.ground, wanted)
    with_these_mm = None
    if best is not None:
        with_these_mm = longest_mm(known.ground, wanted, most_reversals=best.reversals)
    plus_minus_mm = _plus_minus_mm(known, train, greatest_mm)
    roads = plain_roads(known, wanted)
    limiting = limits(known.ground, wanted, roads, longest_mm=greatest_mm)
    return JudgedMove(
        verdict=_verdict(train, greatest_mm, plus_minus_mm, gave_up=every.gave_up),
        wanted=wanted,
        finishes=finishes,
        best=best,
        shorter=_much_shorter(known, wanted, best),
        best_start_mm=_best_start_mm(known, wanted, best),
        longest_mm=greatest_mm,
        with_these_mm=with_these_mm,
        plus_minus_mm=plus_minus_mm,
        limits=limiting,
        gave_up=every.gave_up,
    )


def _either_way(wanted: Wanted) -> Wanted:
    return replace(wanted, ends_towards=None, leads_out=None)


def _suits(wanted: Wanted, finish: Finish) -> bool:
    is_right_end = wanted.ends_towards in {None, finish.engine_towards}
    return is_right_end and wanted.leads_out in {None, finish.engine_leads}


def _plus_minus_mm(known: Surveyed, train: KnownTrain, greatest_mm: float) -> float:
    """Return how far off the train and the room for it may be together."""
    of_plan_mm = 0.0
    if known.found.plan.plus_minus is not None and greatest_mm > 0:
        of_plan_mm = known.found.plan.plus_minus.of(greatest_mm)
    return tidy(train.plus_minus_mm + of_plan_mm)


def _verdict(
    train: KnownTrain, greatest_mm: float, plus_minus_mm: float, *, gave_up: bool
) -> MoveVerdict:
    if train.length_mm is None:
        return "impossible" if train.least_mm > greatest_mm else "cannot_tell"
    spare_mm = tidy(greatest_mm - train.length_mm)
    if greatest_mm > 0 and abs(spare_mm) < plus_minus_mm:
        return "tight"
    if spare_mm >= 0 and greatest_mm > 0:
        return "possible"
    return "cannot_tell" if gave_up else "impossible"


def _best_start_mm(
    known: Surveyed, wanted: Wanted, best: Finish | None
) -> float | None:
    """Return how far it were from wherever suits best in the train's place."""
    if best is None:
        return None
    if wanted.stands_against is None:
        return best.distance_mm
    anywhere = searched(known.ground, replace(wanted, stands_against=None))
    return anywhere.finishes[0].distance_mm


def _much_shorter(
    known: Surveyed, wanted: Wanted, best: Finish | None
) -> Finish | None:
    if best is None:
        return None
    effort = Effort(
        shortest_first=True,
        most_mm=MUCH_SHORTER * best.distance_mm,
        most_steps=_MOST_STEPS,
    )
    shortest = searched(known.ground, wanted, effort).finishes
    return shortest[0] if shortest else None


def plain_roads(known: Surveyed, wanted: Wanted) -> Mapping[str, Sequence[int]]:
    """Return the strands of plain track in reach, by the roads that they lie on."""
    network = known.network
    reached = strands_in_reach(known.ground, wanted.start.courses)
    roads: dict[str, list[int]] = {}
    for usable in known.found.usable:
        for piece in usable.road.pieces:
            strand = network.first_of[piece]
            is_plain = isinstance(network.flat.pieces[piece], PLAIN)
            if is_plain and strand in reached:
                roads.setdefault(usable.road.name, []).append(strand)
    return roads
