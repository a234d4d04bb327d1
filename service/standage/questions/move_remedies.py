"""The pieces of track that, longer, would let a train through."""

from collections.abc import Iterator
from typing import NamedTuple

from standage.questions.move_answer import MoveCure
from standage.questions.moves_ground import Surveyed
from standage.questions.moves_track import to_lengthen
from standage.railway.moves.cures import MOST_MM, MOST_STEPS, Cures, cures
from standage.railway.moves.wanted import Wanted
from standage.railway.terms.figures import cut, listed, search_stopped
from standage.railway.terms.reasons import Reason

MOST_CURES = 20
_MOST_NAMED = 2


class Remedied(NamedTuple):
    """The pieces of which each alone may be longer, least first, and what there is to
    say where there is none.
    """

    cures: tuple[MoveCure, ...] = ()
    because: tuple[Reason, ...] = ()


def lengthened_pieces(known: Surveyed, wanted: Wanted) -> Remedied:
    """Return by how much each piece of plain track alone must be longer, those first
    that are least; where none alone is enough, which are together.
    """
    roads = to_lengthen(known, wanted.start.courses)
    each = cures(known.ground, wanted, roads)
    found = [_told(known, strand, each) for strand in each.lengthen_mm]
    found.sort(key=_costs)
    because = tuple(_uncured(known, each))
    return Remedied(tuple(found[:MOST_CURES]), because)


def _costs(cure: MoveCure) -> tuple[bool, int, str]:
    """Return by what cures are put in order: what is laid has to come up again."""
    is_laid = cure.state != "planned"
    return is_laid, cure.lengthen_mm, cure.piece


def _uncured(known: Surveyed, each: Cures) -> Iterator[Reason]:
    if each.gave_up:
        message = f"{search_stopped(MOST_STEPS)}: there may be more pieces that help"
        yield Reason(code="cures_stopped", message=message)
        return
    if each.lengthen_mm:
        return
    if not each.together_mm:
        message = f"no piece that is longer by up to {MOST_MM} mm, nor all, would help"
        yield Reason(code="no_cure", message=message)
        return
    parts = [
        f"{cut(known.network.piece_of[strand])} by {by_mm} mm"
        for strand, by_mm in each.together_mm.items()
    ]
    longer = listed(parts[:_MOST_NAMED])
    if len(parts) > _MOST_NAMED:
        longer = f"{', '.join(parts[:_MOST_NAMED])} and {len(parts) - _MOST_NAMED} more"
    message = f"no one piece alone is enough: it takes {longer}, all of them longer"
    yield Reason(code="one_is_not_enough", message=message)


def _told(known: Surveyed, strand: int, each: Cures) -> MoveCure:
    piece = known.network.piece_of[strand]
    return MoveCure(
        piece=piece,
        lengthen_mm=each.lengthen_mm[strand],
        state=known.network.flat.pieces[piece].state or "planned",
    )
