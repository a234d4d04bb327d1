"""What would let a train through that does not get there: each was asked again."""

from collections.abc import Iterator
from typing import NamedTuple

from msgspec.structs import replace

from standage.questions.move_answer import MoveCure
from standage.questions.moves_ground import (
    MovesGround,
    NamedPlace,
    Surveyed,
    cut,
    open_ends,
)
from standage.questions.moves_track import to_lengthen
from standage.railway.moves.cures import MOST_MM, MOST_STEPS, Cures, cures
from standage.railway.moves.ground import Ground
from standage.railway.moves.search import searched
from standage.railway.moves.wanted import Wanted
from standage.railway.terms.figures import listed, search_stopped
from standage.railway.terms.reasons import Reason

MOST_CURES = 20
_MOST_NAMED = 2
_POSSIBLE = "possible"


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
    each = cures(known.ground, wanted, to_lengthen(known, wanted.start.courses))
    found = [_told(known, strand, each) for strand in each.lengthen_mm]
    found.sort(key=lambda one: (one.state != "planned", one.lengthen_mm, one.piece))
    return Remedied(tuple(found[:MOST_CURES]), tuple(_uncured(known, each)))


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


def what_helps(
    known: Surveyed, asked: MovesGround, wanted: Wanted, goal: NamedPlace | None
) -> Iterator[Reason]:
    """Yield what alone would let the train through, other than more track between its
    places.
    """
    yield from _out_of_the_way(known, asked, wanted)
    yield from _otherwise(known, wanted, goal)
    yield from _beyond(known, wanted)


def _out_of_the_way(
    known: Surveyed, asked: MovesGround, wanted: Wanted
) -> Iterator[Reason]:
    for number, one in enumerate(asked.standing):
        if _gets_there(known.without(asked, standing=number), wanted):
            message = f"{cut(one.name)} is in the way: without it the train gets there"
            yield _advice("stock_in_the_way", message, place=one.name)
    for points in asked.out_of_use:
        if _gets_there(known.without(asked, out_of_use=points), wanted):
            message = f"with {cut(points)} in use again the train gets there"
            yield _advice("out_of_use", message, place=points)


def _otherwise(
    known: Surveyed, wanted: Wanted, goal: NamedPlace | None
) -> Iterator[Reason]:
    """Yield what would do of the other things that were asked for."""
    on = known.ground
    may_propel = replace(wanted, propels=True, no_propelling=())
    if may_propel != wanted and _gets_there(on, may_propel):
        message = "if it may be propelled everywhere, the train gets there"
        yield _advice("propelling", message)
    from_anywhere = replace(wanted, stands_against=None)
    if from_anywhere != wanted and _gets_there(on, from_anywhere):
        message = "from elsewhere in its place the train gets there"
        yield _advice("stands_against", message)
    no_margin = replace(wanted, margin_mm=0.0)
    if no_margin != wanted and _gets_there(on, no_margin):
        message = "without the margin past the blades the train gets there"
        yield _advice("margin", message)
    other_end = replace(wanted, ends_towards=None)
    if goal is not None and other_end != wanted:
        for finish in searched(on, other_end).finishes[:1]:
            end = cut(goal.ends[finish.engine_towards or 0])
            message = f"with its engine towards {end} the train gets there"
            yield _advice("other_end", message, place=goal.name)
    either_leads = replace(wanted, leads_out=None)
    if either_leads != wanted and _gets_there(on, either_leads):
        message = "with its other end leading the train gets there"
        yield _advice("other_end", message)


def _beyond(known: Surveyed, wanted: Wanted) -> Iterator[Reason]:
    """Yield how much track beyond an open end would do, where only that is missing."""
    ends = open_ends(known.network)
    strands = {
        name: [course >> 1] for name, course in ends.items() if course != wanted.out_at
    }
    found = cures(known.ground, wanted, strands).lengthen_mm
    for name, own in strands.items():
        by_mm = found.get(own[0])
        if by_mm is not None:
            message = (
                f"with {by_mm} mm of track beyond {cut(name)} the train gets there"
            )
            yield _advice("no_track_beyond", message, place=name, amount_mm=by_mm)


def _gets_there(on: Ground, wanted: Wanted) -> bool:
    return bool(searched(on, wanted).finishes)


def _advice(
    code: str, message: str, *, place: str | None = None, amount_mm: float | None = None
) -> Reason:
    return Reason(
        code=code, message=message, place=place, amount_mm=amount_mm, brings=_POSSIBLE
    )
