"""A move in words: how each run is done, and why a train does not get there."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from standage.questions.move_aims import Aim
from standage.questions.move_answer import Leading, MoveRun
from standage.questions.move_judging import JudgedMove
from standage.questions.moved_train import KnownTrain
from standage.questions.moves_ground import Surveyed
from standage.railway.moves.facts import RunFacts
from standage.railway.moves.reach import strands_in_reach
from standage.railway.moves.search import MOST_STEPS
from standage.railway.moves.standing import free_parts
from standage.railway.moves.stretches import stretch_under
from standage.railway.moves.wanted import Finish, Run, Wanted
from standage.railway.terms.figures import (
    at_most,
    beside,
    counted,
    cut,
    listed,
    millimetres,
    search_stopped,
    spare_beside_doubt,
    tidy,
)
from standage.railway.terms.reasons import Reason
from standage.railway.track.network.network import Course

_MOST_NAMED = 3
_LONGEST_NAME = 24
_NO_ROOM_MM = 0.01
"""No train is told that is no longer."""


class Named(NamedTuple):
    """What the things of a move are called; without a ``goal`` the train leaves the
    plan at ``out``, or comes up to what it ``touches``.
    """

    goal: str | None
    out: str | None
    train_mm: float
    margin_mm: float
    is_light_engine: bool
    touches: str | None = None


def told_runs(
    known: Surveyed, facts: Sequence[RunFacts], named: Named
) -> tuple[MoveRun, ...]:
    """Return every run of a move, with its words."""
    last = len(facts) - 1
    return tuple(
        told_run(known, one, named, is_last=number == last)
        for number, one in enumerate(facts)
    )


def told_run(
    known: Surveyed, facts: RunFacts, named: Named, *, is_last: bool
) -> MoveRun:
    """Return one run with its words."""
    network = known.network
    leaves = is_last and named.out is not None
    after = stretch_under(network, facts.ends, train_mm=named.train_mm)
    return MoveRun(
        leading=leading_end(facts.run),
        from_=stretch_under(network, facts.begins, train_mm=named.train_mm),
        to=() if leaves else after,
        distance_mm=tidy(facts.run.distance_mm),
        pieces=facts.pieces,
        spare_mm=facts.spare_mm,
        message=_sentence(known, facts, named, is_last=is_last),
    )


def leading_end(way: Run | Finish) -> Leading:
    """Return what the end in front is called."""
    if way.engine_leads:
        return "engine"
    return "tail"


def _sentence(known: Surveyed, facts: RunFacts, named: Named, *, is_last: bool) -> str:
    if tidy(facts.run.distance_mm) == 0:
        return f"The {_what(named)} stands there already."
    verb = verb_of(facts, named)
    over = f" over {few(facts.points)}" if facts.points else ""
    spare = ""
    if facts.spare_mm is not None:
        spare = f": {millimetres(facts.spare_mm)} to spare"
    if not is_last:
        into = road_at(known, facts.last_course)
        return f"{verb}{over}{into} until {_cleared(facts, named)}{spare}."
    if named.out is not None:
        out = cut(named.out)
        return f"{verb}{over} and out at {out} until the whole train has passed it."
    if named.goal is None:
        return f"{verb}{over} until it touches {named.touches}."
    into = cut(named.goal)
    return f"{verb}{over} into {into} until the whole {_what(named)} is in{spare}."


def _what(named: Named) -> str:
    if named.is_light_engine:
        return "engine"
    return "train"


def verb_of(facts: RunFacts, named: Named) -> str:
    """Return how a train is moved."""
    if named.is_light_engine:
        return "Run the engine"
    if facts.run.engine_leads:
        return "Draw forward"
    return "Propel"


def _cleared(facts: RunFacts, named: Named) -> str:
    """Return what has to be seen before the train turns back."""
    is_engine_behind = named.is_light_engine or not facts.run.engine_leads
    rear = "the engine" if is_engine_behind else "the last vehicle"
    if facts.cleared is None:
        return f"{rear} is clear"
    by = ""
    if named.margin_mm > 0:
        by = f" by {millimetres(named.margin_mm)}"
    return f"{rear} is clear of the blades of {_short(facts.cleared)}{by}"


def road_at(known: Surveyed, course: Course) -> str:
    """Return the words that say which road a train's lead comes to stand on."""
    for usable in known.found.usable:
        if course >> 1 in usable.road.place_of:
            return f" into {cut(usable.road.name)}"
    return f" onto {_short(known.network.piece(course))}"


def unknown_pieces(known: Surveyed, names: Sequence[str]) -> Iterator[Reason]:
    """Yield what there is to measure on some pieces, so that moves can be told."""
    shapes = known.network.shapes
    for name in dict.fromkeys(names):
        what = "its length"
        if name in shapes and shapes[name].pairs:
            what = "where its legs are clear of each other"
        message = f"{cut(name)}: {what} is not known, and moves over it cannot be told"
        if what != "its length":
            message = f"{cut(name)}: measure its fouling points; moves hang on them"
        yield Reason(
            code="missing_figure",
            message=message,
            field=name,
        )


def reasons(
    known: Surveyed, aim: Aim, judged: JudgedMove, train: KnownTrain
) -> Iterator[Reason]:
    """Yield why a train gets there or does not, and what limits the longest."""
    if judged.gave_up:
        message = f"{search_stopped(MOST_STEPS)}: not all ways were looked at"
        yield Reason(code="search_stopped", message=message)
    longest_mm = judged.longest.mm
    if judged.longest.gave_up:
        yield _not_all_looked_at(longest_mm)
    elif longest_mm == 0:
        message = (
            f"no train gets there, however short{_shut(known, aim, judged.wanted)}"
        )
        yield Reason(code="no_way", message=message)
        return
    yield from _by_length(judged, train)
    if not judged.longest.gave_up:
        yield _limit(known, judged)


def _shut(known: Surveyed, aim: Aim, wanted: Wanted) -> str:
    """Return the words for what shuts a way to every train; none where that is the way
    in between.
    """
    on = known.ground
    for place in (aim.start, aim.goal):
        if place is None or place.stand is None:
            continue
        if place.stand.length_mm <= _NO_ROOM_MM:
            return f": {cut(place.name)} holds none, its limits leave no room"
        if all(part.length_mm <= _NO_ROOM_MM for part in free_parts(on, place.stand)):
            return (
                f": all of {cut(place.name)} is taken up by what stands there, or shut"
            )
    reached = strands_in_reach(on, wanted.start.courses)
    goals = (wanted.out_at,) if wanted.goal is None else wanted.goal.courses
    if not all(one is None or one >> 1 in reached for one in goals):
        return f": no track in use leads there from {cut(aim.start.name)}"
    return ""


def _not_all_looked_at(longest_mm: float) -> Reason:
    message = "not all was looked at: how long a train gets there cannot be told"
    if longest_mm > 0:
        message = (
            f"not all was looked at: a train of {at_most(longest_mm)} gets there, and a"
            " longer one may"
        )
    return Reason(code="not_all_looked_at", message=message, value_mm=tidy(longest_mm))


def _by_length(judged: JudgedMove, train: KnownTrain) -> Iterator[Reason]:
    if judged.verdict == "tight":
        yield _tight(judged, train)
    elif judged.verdict == "impossible":
        yield _too_long(judged, train)
    if judged.best is not None and train.length_mm is not None:
        turns = counted(judged.best.reversals, "reversal")
        far = millimetres(judged.best.distance_mm)
        message = f"it takes {turns}, and {far} of travel"
        yield Reason(
            code="best_way", message=message, value_mm=tidy(judged.best.distance_mm)
        )


def _tight(judged: JudgedMove, train: KnownTrain) -> Reason:
    spare_mm = judged.longest.mm - (train.length_mm or 0.0)
    spare, off = spare_beside_doubt(spare_mm, plus_minus_mm=judged.plus_minus_mm)
    much = "too much" if spare_mm < 0 else "to spare"
    most = "at most " if judged.longest.gave_up else ""
    message = f"the train has {most}{spare} {much}{off}: too close to call"
    return Reason(
        code="tight",
        message=message,
        value_mm=tidy(spare_mm),
        limit_mm=judged.plus_minus_mm,
    )


def _too_long(judged: JudgedMove, train: KnownTrain) -> Reason:
    length_mm = train.length_mm
    longest_mm = judged.longest.mm
    of_train = f"the train is {beside(train.least_mm, limit=longest_mm)} mm long"
    if length_mm is None:
        length_mm = train.least_mm
        known = millimetres(length_mm)
        of_train = f"what is known of the train is {known} long"
    longest = f"the longest that gets there is {at_most(longest_mm)}"
    if judged.longest.gave_up:
        longest = "none so long gets there"
    return Reason(
        code="too_long",
        message=f"{of_train}; {longest}",
        value_mm=tidy(length_mm),
        limit_mm=judged.longest_mm,
    )


def _limit(known: Surveyed, judged: JudgedMove) -> Reason:
    pieces = limiting_pieces(known, judged)
    roads = judged.limits.roads
    longest_mm = judged.longest.mm
    message = limit_words(longest_mm, pieces, roads, gave_up=judged.limits.gave_up)
    return Reason(
        code="limited_by",
        message=message,
        value_mm=judged.longest_mm,
    )


def limit_words(
    longest_mm: float, pieces: Sequence[str], roads: Sequence[str], *, gave_up: bool
) -> str:
    """Return what limits the longest train: pieces, each alone, or roads together."""
    longest = at_most(longest_mm)
    if len(pieces) == 1:
        by = f"{cut(pieces[0])} limits it"
    elif pieces:
        by = f"it would be longer with more of {few(pieces)}, any one of them"
    elif len(roads) > 1:
        names = [cut(name) for name in roads[:_MOST_NAMED]]
        by = f"{listed(names)} limit it together: to lengthen one alone is no help"
    elif gave_up:
        by = "what limits it would take too long to find"
    else:
        by = "no one piece of plain track alone would make it longer"
    return f"the longest train that gets there is {longest}; {by}"


def limiting_pieces(known: Surveyed, judged: JudgedMove) -> tuple[str, ...]:
    """Return the pieces that limit the longest train, each alone."""
    return tuple(known.network.piece_of[strand] for strand in judged.limits.strands)


def few(names: Sequence[str]) -> str:
    """Return some names as they stand in a sentence, the first few of many."""
    shown = [_short(name) for name in names[:_MOST_NAMED]]
    more = len(names) - len(shown)
    if more > 0:
        return f"{', '.join(shown)} and {more} more"
    return listed(shown)


def _short(name: str) -> str:
    if len(name) <= _LONGEST_NAME:
        return name
    return f"{name[:_LONGEST_NAME]}…"
