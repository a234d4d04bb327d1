"""A move judged: the verdict, the longest train, and what stands in the way."""

from math import inf
from typing import NamedTuple

from msgspec.structs import replace

from standage.questions.move_answer import MoveVerdict
from standage.questions.moved_train import KnownTrain
from standage.questions.moves_ground import Surveyed
from standage.questions.moves_track import plain_roads
from standage.railway.moves.limiting import Limits, limits
from standage.railway.moves.longest import Longest, longest_train
from standage.railway.moves.replay import replayed
from standage.railway.moves.search import Effort, searched
from standage.railway.moves.wanted import Finish, Wanted
from standage.railway.terms.figures import tidy
from standage.railway.track.plans.plan import PlusMinus

_A_LITTLE_MM = 1e-6
_LEAST_SHARE = 1e-3
_MOST_STEPS = 2_000
"""So long a shorter way is looked for."""
MUCH_SHORTER = 2 / 3
"""A way is shown that is no longer than so much of the best one."""


class JudgedMove(NamedTuple):
    """A move with its verdict.

    ``finishes`` are the best ways for each end, ``best`` that of the end asked for, and
    ``shorter`` a much shorter way with more reversals. ``with_these`` is the longest
    train with no more reversals. ``gave_up`` where the budget of steps was spent before
    all ways were looked at.
    """

    verdict: MoveVerdict
    wanted: Wanted
    finishes: tuple[Finish, ...]
    best: Finish | None
    shorter: Finish | None
    best_start_mm: float | None
    longest: Longest
    with_these: Longest | None
    plus_minus_mm: float
    limits: Limits
    gave_up: bool

    @property
    def longest_mm(self) -> float | None:
        """The longest train that gets there; None where a longer one might."""
        if self.longest.gave_up:
            return None
        return self.longest.mm

    @property
    def with_these_mm(self) -> float | None:
        """The same with no more reversals."""
        if self.with_these is None or self.with_these.gave_up:
            return None
        return self.with_these.mm

    @property
    def spare_mm(self) -> float | None:
        """How much longer the train might be for the same move."""
        with_these_mm = self.with_these_mm
        if with_these_mm is None:
            return None
        return tidy(with_these_mm - self.wanted.train_mm)


def judged_move(known: Surveyed, wanted: Wanted, train: KnownTrain) -> JudgedMove:
    """Return the verdict on a move; ``wanted`` has the length that counts."""
    every = searched(known.ground, _either_way(wanted))
    finishes = every.finishes
    best = next((one for one in finishes if _suits(wanted, one)), None)
    if best is not None:
        best = replayed(known.ground, wanted, best)
    longest = longest_train(known.ground, wanted)
    with_these = _with_these(known, wanted, longest, best)
    of_plan = known.found.plan.plus_minus
    plus_minus_mm = plus_minus_of(of_plan, train, longest.mm)
    known_spare = _known_spare(train, longest, best, gave_up=every.gave_up)
    return JudgedMove(
        verdict=_verdict(train, known_spare, plus_minus_mm),
        wanted=wanted,
        finishes=finishes,
        best=best,
        shorter=_much_shorter(known, wanted, best),
        best_start_mm=_best_start_mm(known, wanted, best),
        longest=longest,
        with_these=with_these,
        plus_minus_mm=plus_minus_mm,
        limits=_limits(known, wanted, longest),
        gave_up=every.gave_up,
    )


def _either_way(wanted: Wanted) -> Wanted:
    return replace(
        wanted,
        ends_towards=None,
        leads_out=None,
    )


def _with_these(
    known: Surveyed, wanted: Wanted, longest: Longest, best: Finish | None
) -> Longest | None:
    """Return the longest train with no more reversals than the best way has."""
    if best is None:
        return None
    is_known = longest.reversals is not None and not longest.gave_up
    if is_known and (longest.reversals or 0) <= best.reversals:
        return longest
    return longest_train(known.ground, wanted, most_reversals=best.reversals)


def _suits(wanted: Wanted, finish: Finish) -> bool:
    is_right_end = wanted.ends_towards in {None, finish.engine_towards}
    return is_right_end and wanted.leads_out in {None, finish.engine_leads}


def plus_minus_of(
    of_plan: PlusMinus | None, train: KnownTrain, longest_mm: float
) -> float:
    """Return how far off a train and the room for it may be together, in mm."""
    of_plan_mm = 0.0
    if of_plan is not None and longest_mm > 0:
        of_plan_mm = of_plan.of(longest_mm)
    return tidy(train.plus_minus_mm + of_plan_mm)


def surely(known: Surveyed, wanted: Wanted, train: KnownTrain) -> Wanted:
    """Return the same of a train that is longer by all that may be off: where that one
    gets there, this one does for certain.
    """
    at_least_mm = wanted.train_mm + train.plus_minus_mm
    plus_minus = known.found.plan.plus_minus
    if plus_minus is None:
        return replace(wanted, train_mm=at_least_mm)
    # The room may be off by so much of itself, and must be the length and that.
    sure_share = max(_LEAST_SHARE, 1 - plus_minus.mm_per_m / 1000)
    sure_mm = (at_least_mm + plus_minus.mm) / sure_share
    return replace(wanted, train_mm=sure_mm)


def verdict_by_longest(
    train: KnownTrain, longest_mm: float, plus_minus_mm: float
) -> MoveVerdict:
    """Return the verdict on a train, where the longest that gets there is known."""
    spare = _known_spare(train, Longest(longest_mm), None, gave_up=False)
    return _verdict(train, spare, plus_minus_mm)


class _Spare(NamedTuple):
    """Between what the spare length lies, in mm: one figure where all was looked at."""

    least_mm: float
    most_mm: float


def _known_spare(
    train: KnownTrain, longest: Longest, best: Finish | None, *, gave_up: bool
) -> _Spare:
    length_mm = train.least_mm if train.length_mm is None else train.length_mm
    spare_mm = tidy(longest.mm - length_mm) if longest.mm > 0 else -inf
    if not longest.gave_up:
        return _Spare(spare_mm, spare_mm)
    if train.length_mm is None:
        return _Spare(spare_mm, inf)
    if best is not None:
        return _Spare(max(spare_mm, 0.0), inf)
    return _Spare(spare_mm, inf if gave_up else -_A_LITTLE_MM)


def _verdict(train: KnownTrain, spare: _Spare, plus_minus_mm: float) -> MoveVerdict:
    """Return the verdict, where all that the spare length may be comes to one."""
    if train.length_mm is None:
        if spare.most_mm < 0:
            return "impossible"
        return "cannot_tell"
    least = _by_spare(spare.least_mm, plus_minus_mm)
    most = _by_spare(spare.most_mm, plus_minus_mm)
    if least == most:
        return least
    return "cannot_tell"


def _by_spare(spare_mm: float, plus_minus_mm: float) -> MoveVerdict:
    if abs(spare_mm) < plus_minus_mm:
        return "tight"
    if spare_mm >= 0:
        return "possible"
    return "impossible"


def _limits(known: Surveyed, wanted: Wanted, longest: Longest) -> Limits:
    if longest.gave_up:
        return Limits((), gave_up=True)
    roads = plain_roads(known, wanted.start.courses)
    return limits(known.ground, wanted, roads, longest_mm=longest.mm)


def _best_start_mm(
    known: Surveyed, wanted: Wanted, best: Finish | None
) -> float | None:
    """Return how far it were from wherever suits best in the train's place."""
    if best is None:
        return None
    if wanted.stands_against is None:
        return best.distance_mm
    anywhere = searched(known.ground, replace(wanted, stands_against=None))
    if not anywhere.finishes:
        return None
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
    if shortest:
        return replayed(known.ground, wanted, shortest[0])
    return None
