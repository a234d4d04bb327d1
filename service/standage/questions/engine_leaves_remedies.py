"""What would let an engine round its train, or away from it: each was asked again."""

from collections.abc import Iterator
from typing import NamedTuple

from msgspec.structs import replace

from standage.questions.engine_leaves_judging import (
    JudgedLeaving,
    at_worst,
    gets_away,
)
from standage.questions.engine_leaves_words import Doing
from standage.questions.moves_ground import MovesGround, Surveyed, cut, open_ends
from standage.questions.moves_track import to_lengthen
from standage.railway.moves.lacking_track import lacking_track
from standage.railway.moves.run_round import Leaving, longest_engine, ways_left
from standage.railway.terms.figures import (
    at_most,
    millimetres,
    tidy,
    tidy_down,
    tidy_up,
)
from standage.railway.terms.reasons import Reason

_POSSIBLE = "possible"
_SHORTEST_MM = 1.0
"""Of the train or the engine whose length is not to matter."""
_MOST_TOLD = 3
"""So many pieces that are too short are told."""


class _Asking(NamedTuple):
    """What is asked again: with train and engine as long as they may be."""

    known: Surveyed
    asked: MovesGround
    leaving: Leaving
    off_mm: tuple[float, float]
    doing: Doing


def what_helps(
    known: Surveyed, asked: MovesGround, judged: JudgedLeaving, doing: Doing
) -> Iterator[Reason]:
    """Yield what alone would let an engine round, or away; or what would together."""
    asking = _Asking(known, asked, at_worst(judged), judged.off_mm, doing)
    told = [
        *_shorter(asking),
        *_longer_track(asking),
        *_out_of_the_way(asking),
        *_otherwise(asking),
    ]
    yield from told
    if not told:
        yield from _both(asking)


def _shorter(asking: _Asking) -> Iterator[Reason]:
    """Yield how long a train, or an engine, would do with the other as it is."""
    on, leaving, gets = asking.known.ground, asking.leaving, asking.doing.gets
    train_off_mm, engine_off_mm = asking.off_mm
    train_mm = _step_down(ways_left(on, leaving).longest_train_mm - train_off_mm)
    if train_mm > 0:
        message = f"with a train of at most {at_most(train_mm)} the engine {gets}"
        yield _advice("shorter_train", message, amount_mm=train_mm)
    longest_mm = longest_engine(on, leaving).mm
    engine_mm = _step_down((longest_mm or 0.0) - engine_off_mm)
    if engine_mm > 0:
        message = f"an engine of at most {at_most(engine_mm)} {gets} with this train"
        yield _advice("shorter_engine", message, amount_mm=engine_mm)


def _step_down(length_mm: float) -> float:
    """Return a length as it is told: to a tenth, and never more."""
    return tidy_down(length_mm, step=0.1)


def _both(asking: _Asking) -> Iterator[Reason]:
    """Yield how long train and engine might be where neither alone will do."""
    on, leaving, gets = asking.known.ground, asking.leaving, asking.doing.gets
    train_off_mm, engine_off_mm = asking.off_mm
    with_shortest = replace(leaving, engine_mm=_SHORTEST_MM)
    room_mm = ways_left(on, with_shortest).longest_train_mm
    train_mm = _step_down(min(leaving.train_mm, room_mm) - train_off_mm)
    if train_mm <= 0:
        message = f"no engine {gets} there, however short, and whatever its train"
        yield Reason(code="no_way", message=message)
        return
    shorter = replace(leaving, train_mm=train_mm + train_off_mm)
    longest_mm = longest_engine(on, shorter).mm
    engine_mm = _step_down((longest_mm or 0.0) - engine_off_mm)
    if engine_mm > 0:
        message = (
            f"with a train of at most {at_most(train_mm)} an engine of at most"
            f" {at_most(engine_mm)} {gets}"
        )
        yield _advice("both_shorter", message, amount_mm=engine_mm, value_mm=train_mm)


def _longer_track(asking: _Asking) -> Iterator[Reason]:
    """Yield by how much some track alone is too short, the first of each road."""
    known, leaving = asking.known, asking.leaving
    courses = leaving.place.courses
    roads = to_lengthen(known, courses)
    ends = [course >> 1 for course in open_ends(known.network).values()]
    strands = [strand for own in roads.values() for strand in own]
    found = lacking_track(known.ground, leaving, dict.fromkeys([*strands, *ends]))
    shown = sorted(found, key=lambda strand: found[strand])[:_MOST_TOLD]
    under_train = {course >> 1 for course in courses}
    for strand in shown:
        piece = known.network.piece_of[strand]
        by_mm = tidy_up(found[strand], step=0.1)
        for_what = "train"
        if strand not in under_train:
            for_what = f"engine{_beyond_blades(known, strand)}"
        message = (
            f"{cut(piece)} is {millimetres(by_mm)} too short for the {for_what}: with so"
            f" much more of it the engine {asking.doing.gets}"
        )
        yield _advice("too_short", message, amount_mm=by_mm, place=piece)


def _beyond_blades(known: Surveyed, strand: int) -> str:
    """Return the words for a road that is entered over the blades of some points."""
    for usable in known.found.usable:
        stops = usable.road.stops or ()
        tips = [stop.piece for stop in stops if stop.kind == "blade_tips"]
        if strand in usable.road.place_of and len(tips) == 1:
            return f" beyond the blades of {cut(tips[0])}"
    return ""


def _out_of_the_way(asking: _Asking) -> Iterator[Reason]:
    known, asked, gets = asking.known, asking.asked, asking.doing.gets
    for number, one in enumerate(asked.standing):
        if gets_away(known.without(asked, standing=number), asking.leaving):
            message = f"{cut(one.name)} is in the way: without it the engine {gets}"
            yield _advice("stock_in_the_way", message, place=one.name)
    for points in asked.out_of_use:
        if gets_away(known.without(asked, out_of_use=points), asking.leaving):
            message = f"with {cut(points)} in use again the engine {gets}"
            yield _advice("out_of_use", message, place=points)


def _otherwise(asking: _Asking) -> Iterator[Reason]:
    """Yield what would do of the other things that were asked for."""
    on, leaving, gets = asking.known.ground, asking.leaving, asking.doing.gets
    if leaving.margin_mm and gets_away(on, replace(leaving, margin_mm=0.0)):
        message = f"without the margin past the blades the engine {gets}"
        yield _advice("margin", message)
    if leaving.fittings is not None and gets_away(on, replace(leaving, fittings=None)):
        message = f"uncoupled by hand, elsewhere, the engine {gets}"
        yield _advice("uncoupling", message)


def _advice(
    code: str,
    message: str,
    *,
    place: str | None = None,
    amount_mm: float | None = None,
    value_mm: float | None = None,
) -> Reason:
    return Reason(
        code=code,
        message=message,
        place=place,
        amount_mm=tidy(amount_mm) if amount_mm is not None else None,
        value_mm=value_mm,
        brings=_POSSIBLE,
    )
