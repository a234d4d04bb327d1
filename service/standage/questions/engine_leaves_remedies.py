"""What would let an engine round its train, or away from it: each was asked again."""

from collections.abc import Callable, Iterator
from typing import NamedTuple

from msgspec.structs import replace

from standage.questions.engine_leaves_judging import (
    JudgedLeaving,
    at_worst,
    goals_away,
    judged_leaving,
)
from standage.questions.engine_leaves_words import Doing
from standage.questions.moved_train import KnownTrain
from standage.questions.moves_ground import MovesGround, Surveyed, open_ends
from standage.questions.moves_track import to_lengthen
from standage.railway.moves.ground import Ground
from standage.railway.moves.lacking_track import lacking_track
from standage.railway.moves.run_round import (
    Leaving,
    gets_away,
    longest_engine,
    ways_left,
    with_longer_track,
)
from standage.railway.terms.figures import (
    at_most,
    cut,
    millimetres,
    tidy,
    tidy_down,
    tidy_up,
)
from standage.railway.terms.reasons import Reason

_POSSIBLE = "possible"
_SHORTEST_MM = 1.0
"""Of the train or the engine whose length is not to matter."""
_MOST_ROUNDS = 4
"""So often a length is worked out again with what may be off of the room it then has."""
_MOST_TOLD = 3
"""So many pieces that are too short are told."""


class _Asking(NamedTuple):
    """What is asked again: ``judged`` is what was not possible as it was asked."""

    known: Surveyed
    asked: MovesGround
    trains: tuple[KnownTrain, KnownTrain]
    judged: JudgedLeaving
    doing: Doing

    @property
    def leaving(self) -> Leaving:
        """The train and its engine as they were asked for."""
        return self.judged.leaving

    def again(self, on: Ground, leaving: Leaving) -> JudgedLeaving:
        """Return the same judged on another ground, or of other lengths."""
        of_plan = self.known.found.plan.plus_minus
        return judged_leaving(on, leaving, self.trains, of_plan=of_plan)

    def is_possible(self, on: Ground, leaving: Leaving) -> bool:
        """Tell whether it is then possible for certain."""
        if self.known.found.plan.plus_minus is None:
            # Only what the trains may be off counts, whatever room there then is.
            return gets_away(on, at_worst(self.judged._replace(leaving=leaving)))
        # Most is not possible even if all is exact, and that is sooner known.
        may_be = gets_away(on, leaving)
        return may_be and self.again(on, leaving).verdict == _POSSIBLE


def what_helps(
    known: Surveyed,
    asked: MovesGround,
    trains: tuple[KnownTrain, KnownTrain],
    judged: JudgedLeaving,
    doing: Doing,
) -> Iterator[Reason]:
    """Yield what alone would let an engine round, or away; or what would together."""
    asking = _Asking(known, asked, trains, judged, doing)
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
    gets = asking.doing.gets
    for_train = _surely(asking, _shorter_train)
    if for_train is not None:
        train_mm = for_train.train_mm
        message = f"with a train of at most {at_most(train_mm)} the engine {gets}"
        yield _advice("shorter_train", message, amount_mm=train_mm)
    for_engine = _surely(asking, _shorter_engine)
    if for_engine is not None:
        engine_mm = for_engine.engine_mm
        message = f"an engine of at most {at_most(engine_mm)} {gets} with this train"
        yield _advice("shorter_engine", message, amount_mm=engine_mm)


def _surely(
    asking: _Asking, shorter: Callable[[Ground, JudgedLeaving], Leaving | None]
) -> Leaving | None:
    """Return lengths with which it is possible for certain; None where none are found.

    How far off the room may be hangs on how much there then is: what is ``shorter`` is
    worked out with that again.
    """
    on, judged = asking.known.ground, asking.judged
    for _ in range(_MOST_ROUNDS):
        found = shorter(on, judged)
        if found is None:
            return None
        again = asking.again(on, found)
        if again.verdict == _POSSIBLE:
            return found
        judged = judged._replace(off_mm=again.off_mm)
    return None


def _shorter_train(on: Ground, judged: JudgedLeaving) -> Leaving | None:
    longest_mm = ways_left(on, at_worst(judged)).longest_train_mm
    train_mm = _step_down(longest_mm - judged.off_mm[0])
    if train_mm > 0:
        return replace(judged.leaving, train_mm=train_mm)
    return None


def _shorter_engine(on: Ground, judged: JudgedLeaving) -> Leaving | None:
    longest_mm = longest_engine(on, at_worst(judged)).mm or 0.0
    engine_mm = _step_down(longest_mm - judged.off_mm[1])
    if engine_mm > 0:
        return replace(judged.leaving, engine_mm=engine_mm)
    return None


def _step_down(length_mm: float) -> float:
    """Return a length as it is told: to a tenth, and never more."""
    return tidy_down(length_mm, step=0.1)


def _both(asking: _Asking) -> Iterator[Reason]:
    """Yield how long train and engine might be where neither alone will do."""
    gets = asking.doing.gets
    if _train_for_any_engine(asking.known.ground, asking.judged) is None:
        message = f"no engine {gets} there, however short, and whatever its train"
        yield Reason(code="no_way", message=message)
        return
    both = _surely(asking, _both_shorter)
    if both is not None:
        train_mm, engine_mm = both.train_mm, both.engine_mm
        message = (
            f"with a train of at most {at_most(train_mm)} an engine of at most"
            f" {at_most(engine_mm)} {gets}"
        )
        yield _advice("both_shorter", message, amount_mm=engine_mm, value_mm=train_mm)


def _both_shorter(on: Ground, judged: JudgedLeaving) -> Leaving | None:
    shorter = _train_for_any_engine(on, judged)
    if shorter is None:
        return None
    return _shorter_engine(on, judged._replace(leaving=shorter))


def _train_for_any_engine(on: Ground, judged: JudgedLeaving) -> Leaving | None:
    """Return the longest train, of no more than was asked, that lets out an engine of
    next to no length.
    """
    worst = at_worst(judged)
    room_mm = ways_left(on, replace(worst, engine_mm=_SHORTEST_MM)).longest_train_mm
    train_mm = _step_down(min(worst.train_mm, room_mm) - judged.off_mm[0])
    if train_mm > 0:
        return replace(judged.leaving, train_mm=train_mm)
    return None


def _longer_track(asking: _Asking) -> Iterator[Reason]:
    """Yield by how much some track alone is too short, the first of each road."""
    known, courses = asking.known, asking.leaving.place.courses
    roads = to_lengthen(known, courses)
    ends = [course >> 1 for course in open_ends(known.network).values()]
    strands = [strand for own in roads.values() for strand in own]
    worst = at_worst(asking.judged)
    found = lacking_track(known.ground, worst, dict.fromkeys([*strands, *ends]))
    shown = sorted(found, key=lambda strand: found[strand])[:_MOST_TOLD]
    under_train = {course >> 1 for course in courses}
    for strand in shown:
        piece = known.network.piece_of[strand]
        by_mm = _surely_longer_mm(asking, strand, found[strand])
        if by_mm is None:
            continue
        for_what = "train"
        if strand not in under_train:
            for_what = f"engine{_beyond_blades(known, strand)}"
        message = (
            f"{cut(piece)} is {millimetres(by_mm)} too short for the {for_what}: with so"
            f" much more of it the engine {asking.doing.gets}"
        )
        yield _advice(
            "too_short",
            message,
            amount_mm=by_mm,
            place=piece,
        )


def _surely_longer_mm(asking: _Asking, strand: int, by_mm: float) -> float | None:
    """Return how much longer some track must be for certain, from what it is by the
    present room; None where that is not found.
    """
    on, leaving = asking.known.ground, asking.leaving
    for _ in range(_MOST_ROUNDS):
        told_mm = tidy_up(by_mm, step=0.1)
        longer_on, longer = with_longer_track(on, leaving, strand, by_mm=told_mm)
        again = asking.again(longer_on, longer)
        if again.verdict == _POSSIBLE:
            return told_mm
        # More room may be off by more.
        worst = at_worst(asking.judged._replace(off_mm=again.off_mm))
        found = lacking_track(on, worst, [strand])
        if strand not in found:
            return None
        by_mm = found[strand]
    return None


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
        if _is_possible_on(asking, known.without(asked, standing=number)):
            message = f"{cut(one.name)} is in the way: without it the engine {gets}"
            yield _advice("stock_in_the_way", message, place=one.name)
    for points in asked.out_of_use:
        if _is_possible_on(asking, known.without(asked, out_of_use=points)):
            message = f"with {cut(points)} in use again the engine {gets}"
            yield _advice("out_of_use", message, place=points)


def _is_possible_on(asking: _Asking, on: Ground) -> bool:
    """Tell whether it is possible on another ground, with the roads away that it has."""
    leaving = asking.leaving
    if leaving.goals is not None:
        goals = goals_away(asking.known, on, leaving.place)
        leaving = replace(leaving, goals=goals)
    return asking.is_possible(on, leaving)


def _otherwise(asking: _Asking) -> Iterator[Reason]:
    """Yield what would do of the other things that were asked for."""
    on, leaving, gets = asking.known.ground, asking.leaving, asking.doing.gets
    no_margin = replace(leaving, margin_mm=0.0)
    if leaving.margin_mm and asking.is_possible(on, no_margin):
        message = f"without the margin past the blades the engine {gets}"
        yield _advice("margin", message)
    by_hand = replace(leaving, fittings=None)
    if leaving.fittings is not None and asking.is_possible(on, by_hand):
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
