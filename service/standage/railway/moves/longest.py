"""How long a train may be for a move, and how long with no more reversals."""

from msgspec.structs import replace

from standage.railway.moves.ground import Ground
from standage.railway.moves.search import Searched, Wanted, searched
from standage.railway.terms.figures import tidy

_EXACT_MM = 1e-7
_LEAST_MM = 0.001
"""Nothing shorter is a train."""


def longest_mm(
    ground: Ground, wanted: Wanted, *, most_reversals: int | None = None
) -> float:
    """Return the greatest length of train for which a move is possible; 0 for none.

    With at most so many reversals, where these are given. What is possible for a train
    is possible for every shorter one, with no more reversals: so it is asked halfway
    again and again. Takes some forty searches. **Source** the rules of moves.
    """
    most_mm = wanted.start.length_mm
    if wanted.goal is not None:
        most_mm = min(most_mm, wanted.goal.length_mm)
    if _is_possible(ground, wanted, most_mm, most_reversals):
        return tidy(most_mm)
    if not _is_possible(ground, wanted, _LEAST_MM, most_reversals):
        return 0.0
    least_mm = _LEAST_MM
    while most_mm - least_mm > _EXACT_MM:
        middle_mm = (least_mm + most_mm) / 2
        if _is_possible(ground, wanted, middle_mm, most_reversals):
            least_mm = middle_mm
        else:
            most_mm = middle_mm
    return tidy(round(least_mm, 5))


def _is_possible(
    ground: Ground, wanted: Wanted, train_mm: float, most_reversals: int | None
) -> bool:
    if train_mm <= 0:
        return False
    found = searched(ground, replace(wanted, train_mm=train_mm))
    return bool(_within(found, most_reversals))


def _within(found: Searched, most_reversals: int | None) -> bool:
    if most_reversals is None:
        return bool(found.finishes)
    return any(one.reversals <= most_reversals for one in found.finishes)
