"""An engine that leaves its train, in words: how it is done, and why it is not."""

from collections.abc import Iterator, Sequence
from typing import Literal, NamedTuple

from standage.questions.engine_leaves_judging import JudgedLeaving
from standage.questions.move_answer import MoveRun
from standage.questions.move_words import Named, told_runs
from standage.questions.moves_ground import Surveyed
from standage.railway.moves.facts import RunFacts
from standage.railway.moves.run_round import room_mm
from standage.railway.moves.search import MOST_STEPS
from standage.railway.terms.figures import (
    at_most,
    counted,
    cut,
    millimetres,
    search_stopped,
    spare_beside_doubt,
    tidy,
)
from standage.railway.terms.reasons import Reason
from standage.railway.track.network.network import Course


class Doing(NamedTuple):
    """What the engine is to do, and what the train's place is called."""

    doing: Literal["round", "away"]
    place: str

    @property
    def gets(self) -> str:
        """Return what it does then."""
        return f"gets {self.doing}"


def told_ways(
    known: Surveyed, judged: JudgedLeaving, facts: Sequence[RunFacts], doing: Doing
) -> tuple[MoveRun, ...]:
    """Return every run of an engine, with its words."""
    if not facts:
        return ()
    goal: str | None = None
    if doing.doing == "away":
        goal = _road_at(known, facts[-1].last_course)
    named = Named(
        goal=goal,
        out=None,
        train_mm=judged.leaving.engine_mm,
        margin_mm=judged.leaving.margin_mm,
        is_light_engine=True,
        touches="the train's other end",
    )
    return told_runs(known, facts, named)


def _road_at(known: Surveyed, course: Course) -> str:
    for usable in known.found.usable:
        if course >> 1 in usable.road.place_of:
            return usable.road.name
    return known.network.piece(course)


def reasons(known: Surveyed, judged: JudgedLeaving, doing: Doing) -> Iterator[Reason]:
    """Yield why an engine gets round its train, or away, or does not."""
    if judged.gave_up:
        yield Reason(code="search_stopped", message=search_stopped(MOST_STEPS))
    if judged.verdict == "tight":
        yield _too_close(judged)
    if judged.best is not None:
        finish = judged.best.finish
        turns = counted(finish.reversals, "reversal")
        far = millimetres(finish.distance_mm)
        message = f"it takes {turns}, and {far} of travel"
        far_mm = tidy(finish.distance_mm)
        yield Reason(
            code="best_way",
            message=message,
            value_mm=far_mm,
        )
    yield from _too_long(known, judged, doing)
    yield from _what_is_known(judged, doing)
    yield from _longest(judged)


def _too_close(judged: JudgedLeaving) -> Reason:
    """Return what of train and engine is nearest to its limit."""
    leaving = judged.leaving
    spares_mm: list[tuple[str, float]] = []
    if judged.longest_train_mm is not None:
        spares_mm.append(("train", judged.longest_train_mm - leaving.train_mm))
    if judged.longest_engine_mm is not None:
        spares_mm.append(("engine", judged.longest_engine_mm - leaving.engine_mm))
    what, spare_mm = min(
        spares_mm,
        key=_how_near,
        default=("train", 0.0),
    )
    doubt_mm = judged.plus_minus_mm
    spare, off = spare_beside_doubt(spare_mm, plus_minus_mm=doubt_mm)
    much = "too much" if spare_mm < 0 else "to spare"
    return Reason(
        code="tight",
        message=f"the {what} has {spare} {much}{off}: too close to call",
        value_mm=tidy(spare_mm),
        limit_mm=doubt_mm,
    )


def _how_near(spare: tuple[str, float]) -> float:
    return abs(spare[1])


def _too_long(known: Surveyed, judged: JudgedLeaving, doing: Doing) -> Iterator[Reason]:
    """Yield by how much a train is too long for between its fouling points."""
    train_mm = judged.leaving.train_mm
    most_mm = room_mm(known.ground, judged.leaving.place)
    over_mm = tidy(train_mm - most_mm)
    if judged.verdict in {"possible", "tight"} or over_mm <= 0:
        return
    message = (
        f"the train is {millimetres(over_mm)} too long to stand clear in"
        f" {cut(doing.place)}, which holds {at_most(most_mm)}"
    )
    yield Reason(
        code="too_long",
        message=message,
        place=doing.place,
        value_mm=tidy(train_mm),
        limit_mm=tidy(most_mm),
        amount_mm=over_mm,
    )


def _what_is_known(judged: JudgedLeaving, doing: Doing) -> Iterator[Reason]:
    """Yield that an engine is too long, however long it is besides."""
    longest_mm = judged.longest_engine_mm
    engine_mm = judged.leaving.engine_mm
    is_asked = judged.verdict == "impossible" and not judged.is_known
    if not is_asked or not longest_mm or engine_mm <= longest_mm:
        return
    message = (
        f"the engine is at least {millimetres(engine_mm)} long; the longest that"
        f" {doing.gets} is {at_most(longest_mm)}"
    )
    yield Reason(
        code="engine_too_long",
        message=message,
        value_mm=tidy(engine_mm),
        limit_mm=longest_mm,
    )


def _longest(judged: JudgedLeaving) -> Iterator[Reason]:
    """Yield how long train and engine might be, each with the other."""
    is_told = judged.verdict in {"possible", "tight"}
    if not is_told or judged.longest_train_mm is None:
        return
    train = at_most(judged.longest_train_mm)
    message = f"with this engine the longest train is {train}"
    if judged.longest_engine_mm is not None:
        engine = at_most(judged.longest_engine_mm)
        message += f"; with this train the longest engine is {engine}"
    yield Reason(
        code="longest",
        message=message,
        value_mm=judged.longest_train_mm,
    )
