"""What a question about moves rests on: what nobody can tell of its plan, and what was
taken for granted.
"""

from collections.abc import Iterable, Iterator, Sequence

from standage.questions.move_words import unknown_pieces
from standage.questions.moves_ground import (
    MOST_TOLD,
    OF_THE_TRACK,
    MovesGround,
    NamedPlace,
    Surveyed,
    told_faults,
)
from standage.questions.plan_reasons import point_assumed, spacing_words
from standage.railway.moves.reach import unknown_in_reach
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.track.fouling.fouling import FoulingPoint


def untellable(
    asked: MovesGround, known: Surveyed, start: NamedPlace, unknown: Sequence[str] = ()
) -> tuple[Reason, ...]:
    """Return what nobody can tell of the plan, so that no move from a place on it can be
    told: its faults, then what is ``unknown``.
    """
    told = told_faults(asked.plan, known.found, OF_THE_TRACK)
    names = list(unknown)
    if start.stand is not None:
        names += unknown_in_reach(known.ground, start.stand.courses)
    return (*told, *unknown_pieces(known, names[:MOST_TOLD]))


def taken_for_granted(
    asked: MovesGround,
    known: Surveyed,
    of_trains: Iterable[Assumed],
    passed: Iterable[str],
) -> Iterator[Assumed]:
    """Yield what was assumed of a plan, of trains, and of the points that are passed."""
    yield from asked.plan.assumed
    yield from of_trains
    found = known.found
    if found.spacing is not None and any(map(_is_by_spacing, found.points)):
        yield from spacing_words(found.plan, found.spacing)
    over = frozenset(passed)
    for point in found.points:
        if point.points in over:
            yield from point_assumed(point)


def _is_by_spacing(point: FoulingPoint) -> bool:
    return any(leg.farthest.by == "spacing" for leg in point.legs)
