"""What limits the train of a move, and what lengthening of one piece would do."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from msgspec.structs import replace

from standage.railway.moves.ground import Ground, lengthened
from standage.railway.moves.longest import longest_mm
from standage.railway.moves.search import Wanted, searched

MOST_MM = 2_000
"""Nobody lengthens a piece by more."""
_A_LITTLE_MM = 0.5
_NOTICED_MM = 1e-3


class Cure(NamedTuple):
    """A piece, by its strand, and by how much longer it would make a move possible."""

    strand: int
    lengthen_mm: int


def limited_by(
    ground: Ground, wanted: Wanted, strands: Sequence[int]
) -> tuple[int, ...]:
    """Return which of some strands, a little longer, let a longer train through.

    Each alone; none where two limit at once, or where no train gets through at all.
    Takes some forty searches for each strand. **Source** the rules of moves.
    """
    now_mm = longest_mm(ground, wanted)
    if now_mm == 0:
        return ()
    return tuple(_limiting(ground, wanted, strands, now_mm))


def _limiting(
    ground: Ground, wanted: Wanted, strands: Sequence[int], now_mm: float
) -> Iterator[int]:
    for strand in strands:
        longer, asked = with_more(ground, wanted, strand, by_mm=_A_LITTLE_MM)
        asked = replace(asked, train_mm=now_mm + _NOTICED_MM)
        if searched(longer, asked).finishes:
            yield strand


def cures(ground: Ground, wanted: Wanted, strands: Sequence[int]) -> tuple[Cure, ...]:
    """Return by how much each of some strands alone must be longer for the move.

    In whole mm up to ``MOST_MM``; those that do not help so far are left out. Added
    track bars no move: so it is asked halfway again and again. **Source** the rules of
    moves.
    """
    found = ((strand, _least_mm(ground, wanted, strand)) for strand in strands)
    return tuple(Cure(strand, by_mm) for strand, by_mm in found if by_mm is not None)


def _least_mm(ground: Ground, wanted: Wanted, strand: int) -> int | None:
    if not _helps(ground, wanted, strand, MOST_MM):
        return None
    too_little, enough = 0, MOST_MM
    while enough - too_little > 1:
        middle = (too_little + enough) // 2
        if _helps(ground, wanted, strand, middle):
            enough = middle
        else:
            too_little = middle
    return enough


def _helps(ground: Ground, wanted: Wanted, strand: int, by_mm: int) -> bool:
    longer, asked = with_more(ground, wanted, strand, by_mm=by_mm)
    return bool(searched(longer, asked).finishes)


def with_more(
    ground: Ground, wanted: Wanted, strand: int, *, by_mm: float
) -> tuple[Ground, Wanted]:
    """Return the ground and what is wanted once a strand is so many mm longer.

    **Source** the rules of moves.
    """
    start = wanted.start.lengthened(ground, strand, by_mm=by_mm)
    goal = wanted.goal
    if goal is not None:
        goal = goal.lengthened(ground, strand, by_mm=by_mm)
    longer = lengthened(ground, strand, by_mm=by_mm)
    return longer, replace(wanted, start=start, goal=goal)
