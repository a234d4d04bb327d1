"""Does a train get from one place of a plan to another, how, and how long may it be?"""

from collections.abc import Iterable, Iterator
from typing import Annotated, Literal, NamedTuple

import msgspec

from standage.questions.move_answer import (
    Leading,
    MoveAnswer,
    MoveFinish,
    ShorterWay,
)
from standage.questions.move_judging import JudgedMove, judged_move, surely
from standage.questions.move_remedies import Remedied, lengthened_pieces, what_helps
from standage.questions.move_shifts import Shifted, shifted_points
from standage.questions.move_words import (
    Named,
    leading_end,
    limiting_pieces,
    reasons,
    told_runs,
    unknown_pieces,
)
from standage.questions.moved_train import (
    KnownTrain,
    MovedTrain,
    TrainCase,
    gathered_train,
    known_train,
)
from standage.questions.moves_ground import (
    MOST_TOLD,
    OF_THE_TRACK,
    MovesGround,
    MovesRequest,
    NamedPlace,
    Surveyed,
    end_called,
    gathered_ground,
    place_called,
    surveyed_ground,
    told_faults,
    way_out,
)
from standage.questions.plan_reasons import point_assumed, spacing_words
from standage.questions.question import PLAN_BYTES, Question, Shows, always
from standage.questions.reckoning import MayBeExact, as_written, warned
from standage.questions.sources import Sources
from standage.railway.moves.facts import RunFacts, facts_of
from standage.railway.moves.reach import unknown_in_reach
from standage.railway.moves.wanted import End, Finish, Wanted
from standage.railway.terms.figures import Name, says, tidy, tidy_if_known
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.track.fouling.fouling import FoulingPoint
from standage.railway.track.plans.plan import EndName, RoadName
from standage.shapes.faults import Fault, Ruled, all_of

LEAST_TRAIN_MM = 1.0
"""Of a train of which nothing is known."""


class _Aim(NamedTuple):
    """What is wanted of a train on its ground; without ``wanted`` the plan does not
    tell how long a place is, for want of ``unknown``.
    """

    start: NamedPlace
    goal: NamedPlace | None
    wanted: Wanted | None
    unknown: str | None = None


class MoveFrom(Ruled, frozen=True, kw_only=True):
    """Where the train stands, and which way round."""

    place: Annotated[RoadName, says("The place or road that it stands in.")]
    engine_towards: Annotated[
        Name, says("The end of that place to which its engine points.")
    ]
    stands_against: Annotated[
        Name | None,
        says("The end that it stands against; wherever suits best if not said."),
    ] = None


class MoveTo(Ruled, frozen=True, kw_only=True):
    """Where the train is to go: a place, or out of the plan."""

    place: Annotated[
        RoadName | None, says("The place or road; needed unless open_end is given.")
    ] = None
    engine_towards: Annotated[
        Name | None,
        says("The end of that place to which its engine is to point; either if not."),
    ] = None
    open_end: Annotated[
        EndName | None, says("The open end, or its piece, by which it is to leave.")
    ] = None
    leading: Annotated[
        Leading | None, says("Which of its ends is to lead it out; either if not said.")
    ] = None

    def rules(self) -> Iterable[Fault]:
        """Either a place or an open end, and what goes with it."""
        if (self.place is None) == (self.open_end is None):
            message = "give either place or open_end: where is the train to go?"
            yield Fault(code="one_or_the_other", message=message, pointer="/place")
        if self.engine_towards is not None and self.place is None:
            message = "is the end of a place: give place too"
            yield Fault(
                code="one_or_the_other", message=message, pointer="/engine_towards"
            )
        if self.leading is not None and self.open_end is None:
            message = "is for leaving the plan: give open_end too"
            yield Fault(code="one_or_the_other", message=message, pointer="/leading")


class MoveRequest(MovesRequest, frozen=True, kw_only=True):
    """A train, where it stands on a plan and where it is to go."""

    train: Annotated[MovedTrain, says("The train, its engine at the head.")]
    from_: Annotated[MoveFrom, says("Where it stands.")] = msgspec.field(name="from")
    to: Annotated[MoveTo, says("Where it is to go.")]
    propelling: Annotated[
        Literal["allowed", "forbidden"],
        says("Whether the train may move with its engine at the rear."),
    ] = "allowed"
    cures: Annotated[
        bool, says("Whether to say by how much pieces must be longer.")
    ] = False


class MoveCase(MayBeExact, frozen=True, kw_only=True):
    """All that the answer rests on."""

    ground: MovesGround
    train: TrainCase
    start: MoveFrom
    to: MoveTo
    propels: bool = True
    cures: bool = False


@as_written
def gather(sources: Sources, request: MoveRequest) -> MoveCase:
    """Return the case that a request makes, with all it names on record resolved."""
    ground, train = all_of(
        lambda: gathered_ground(sources, request),
        lambda: gathered_train(sources, request.train, "/train"),
    )
    return MoveCase(
        ground=ground,
        train=train,
        start=request.from_,
        to=request.to,
        propels=request.propelling == "allowed",
        cures=request.cures,
    )


class Moved(NamedTuple):
    """What is answered of a move, and the runs that the answer tells of."""

    answer: MoveAnswer
    known: Surveyed
    train_mm: float
    runs: tuple[RunFacts, ...]


@warned
def reckon(case: MoveCase) -> MoveAnswer:
    """Return whether the train of ``case`` gets there, and how; raises ``Faulty`` for
    every name that is not on its plan.
    """
    return moved(case).answer


def moved(case: MoveCase) -> Moved:
    """Return the answer to ``case``, and its runs; as ``reckon``, without its slips."""
    known = surveyed_ground(case.ground)
    train = known_train(case.train)
    aim = _aimed(case, known, train)
    missing = _missing(case, known, aim)
    if missing or aim.wanted is None:
        return Moved(_untold(case, train, missing), known, 0.0, ())
    judged = judged_move(known, aim.wanted, train)
    answer = _answer(case, known, aim, train, judged)
    return Moved(answer, known, judged.wanted.train_mm, _runs(known, train, judged))


def _runs(
    known: Surveyed, train: KnownTrain, judged: JudgedMove
) -> tuple[RunFacts, ...]:
    """Return the runs of the best way; none where the train's length is not known."""
    if judged.best is None or train.length_mm is None:
        return ()
    return facts_of(known.ground, judged.wanted, judged.best)


def _aimed(case: MoveCase, known: Surveyed, train: KnownTrain) -> _Aim:
    """Return what is wanted by the names of places and ends; raises ``Faulty``."""
    start, goal, out_at = all_of(
        lambda: place_called(known, case.start.place, "/from/place"),
        lambda: _goal(case, known),
        lambda: _way_out(case, known),
    )
    engine_towards, against, ends_towards = all_of(
        lambda: end_called(start, case.start.engine_towards, "/from/engine_towards"),
        lambda: _end_of(start, case.start.stands_against, "/from/stands_against"),
        lambda: _end_of(goal, case.to.engine_towards, "/to/engine_towards"),
    )
    for place in (start, goal):
        if place is not None and place.stand is None:
            return _Aim(start, goal, None, place.unknown)
    is_restricted = not train.is_light_engine
    wanted = Wanted(
        start=start.stand,
        engine_towards=engine_towards,
        train_mm=train.length_mm or max(train.least_mm, LEAST_TRAIN_MM),
        goal=None if goal is None else goal.stand,
        out_at=out_at,
        stands_against=against,
        margin_mm=case.ground.margin_mm,
        ends_towards=ends_towards,
        leads_out=None if case.to.leading is None else case.to.leading == "engine",
        propels=case.propels or not is_restricted,
        no_propelling=known.no_propelling if is_restricted else (),
    )
    return _Aim(start, goal, wanted)


def _goal(case: MoveCase, known: Surveyed) -> NamedPlace | None:
    if case.to.place is None:
        return None
    return place_called(known, case.to.place, "/to/place")


def _way_out(case: MoveCase, known: Surveyed) -> int | None:
    if case.to.open_end is None:
        return None
    return way_out(known, case.to.open_end, "/to/open_end")


def _end_of(place: NamedPlace | None, name: str | None, pointer: str) -> End | None:
    if place is None or name is None:
        return None
    return end_called(place, name, pointer)


def _missing(case: MoveCase, known: Surveyed, aim: _Aim) -> tuple[Reason, ...]:
    """Return what nobody can tell of the plan, so that no move on it can be told."""
    told = told_faults(case.ground.plan, known.found, OF_THE_TRACK)
    unknown: tuple[str, ...] = () if aim.unknown is None else (aim.unknown,)
    if aim.start.stand is not None:
        unknown += unknown_in_reach(known.ground, aim.start.stand.courses)
    return (*told, *unknown_pieces(known, unknown[:MOST_TOLD]))


def _untold(
    case: MoveCase, train: KnownTrain, missing: tuple[Reason, ...]
) -> MoveAnswer:
    return MoveAnswer(
        verdict="cannot_tell",
        reversals=None,
        distance_mm=None,
        distance_from_best_start_mm=None,
        leading_at_finish=None,
        finishes=(),
        runs=(),
        train_length_mm=train.length_mm,
        longest_train_mm=None,
        longest_with_these_reversals_mm=None,
        spare_mm=None,
        plus_minus_mm=None,
        limited_by=(),
        cures=(),
        shifts=(),
        shorter_way=None,
        because=(*missing, *train.unknown),
        assumed=(*case.ground.plan.assumed, *train.assumed),
    )


def _answer(
    case: MoveCase, known: Surveyed, aim: _Aim, train: KnownTrain, judged: JudgedMove
) -> MoveAnswer:
    best = judged.best if train.length_mm is not None else None
    named = Named(
        goal=None if aim.goal is None else aim.goal.name,
        out=case.to.open_end,
        train_mm=judged.wanted.train_mm,
        margin_mm=case.ground.margin_mm,
        is_light_engine=train.is_light_engine,
    )
    facts = _runs(known, train, judged)
    passed = {points for one in facts for points in one.points}
    is_told = best is not None
    remedied, shifted = Remedied(), Shifted()
    helps: tuple[Reason, ...] = ()
    if judged.verdict == "impossible" and train.length_mm is not None:
        sure = surely(known, judged.wanted, train)
        helps = tuple(what_helps(known, case.ground, sure, aim.goal))
        if case.cures:
            remedied = lengthened_pieces(known, sure)
            shifted = shifted_points(known, sure, aim.start, aim.goal)
    return MoveAnswer(
        verdict=judged.verdict,
        reversals=best.reversals if best is not None else None,
        distance_mm=tidy(best.distance_mm) if best is not None else None,
        distance_from_best_start_mm=tidy_if_known(judged.best_start_mm),
        leading_at_finish=leading_end(best) if best is not None else None,
        finishes=tuple(_finish(aim, one) for one in judged.finishes if is_told),
        runs=told_runs(known, facts, named),
        train_length_mm=train.length_mm,
        longest_train_mm=judged.longest_mm,
        longest_with_these_reversals_mm=judged.with_these_mm if is_told else None,
        spare_mm=judged.spare_mm if is_told else None,
        plus_minus_mm=judged.plus_minus_mm or None,
        limited_by=limiting_pieces(known, judged),
        cures=remedied.cures,
        shifts=shifted.shifts,
        shorter_way=_shorter_way(known, judged, named),
        because=(
            *train.unknown,
            *reasons(known, judged, train),
            *remedied.because,
            *shifted.because,
            *helps,
        ),
        assumed=(*_assumed(case, known, train, passed), *shifted.assumed),
    )


def _finish(aim: _Aim, finish: Finish) -> MoveFinish:
    towards: str | None = None
    if aim.goal is not None and finish.engine_towards is not None:
        towards = aim.goal.ends[finish.engine_towards]
    return MoveFinish(
        leading=leading_end(finish),
        engine_towards=towards,
        reversals=finish.reversals,
        distance_mm=tidy(finish.distance_mm),
    )


def _shorter_way(
    known: Surveyed, judged: JudgedMove, named: Named
) -> ShorterWay | None:
    if judged.shorter is None:
        return None
    facts = facts_of(known.ground, judged.wanted, judged.shorter)
    return ShorterWay(
        reversals=judged.shorter.reversals,
        distance_mm=tidy(judged.shorter.distance_mm),
        runs=told_runs(known, facts, named),
    )


def _assumed(
    case: MoveCase, known: Surveyed, train: KnownTrain, passed: set[str]
) -> Iterator[Assumed]:
    yield from case.ground.plan.assumed
    yield from train.assumed
    found = known.found
    if found.spacing is not None and any(map(_is_by_spacing, found.points)):
        yield from spacing_words(found.plan, found.spacing)
    for point in found.points:
        if point.points in passed:
            yield from point_assumed(point)


def _is_by_spacing(point: FoulingPoint) -> bool:
    return any(leg.farthest.by == "spacing" for leg in point.legs)


EXAMPLE = {
    "plan": {
        "pieces": {
            "B1": {"kind": "buffer_stop"},
            "H": {"kind": "track", "length_mm": 700},
            "P1": {
                "kind": "points",
                "toe_mm": 30,
                "through_mm": 180,
                "branch_mm": 190,
                "fouling_through_mm": 215,
                "fouling_branch_mm": 210,
            },
            "W": {"kind": "track", "length_mm": 620},
            "B2": {"kind": "buffer_stop"},
            "L": {"kind": "track", "length_mm": 880},
            "B3": {"kind": "buffer_stop"},
        },
        "joins": [
            ["B1.a", "H.a"],
            ["H.b", "P1.toe"],
            ["P1.branch", "W.a"],
            ["W.b", "B2.a"],
            ["P1.through", "L.a"],
            ["L.b", "B3.a"],
        ],
    },
    "train": {"length_mm": 540},
    "from": {"place": "siding L", "engine_towards": "points P1"},
    "to": {"place": "siding W"},
}
"""Measured with a tape, and invented."""
QUESTION = Question(
    id="checkMove",
    at="/v1/checks/move",
    asks="Does a train get from one place to another, how, and how long may it be?",
    tells=(
        "By the fewest reversals, then the least distance, over the points and crossings"
        " of a track plan: no part of the train foul of another, nor of what stands"
        " there."
    ),
    request=MoveRequest,
    answer=MoveAnswer,
    gather=gather,
    reckon=reckon,
    heavy=always,
    most_bytes=PLAN_BYTES,
    example=EXAMPLE,
    refused=EXAMPLE | {"from": {"place": "Wharf"}},
    warns=Shows("unit", "train/length_mm", {"train": {"length_mm": 0.54}}),
)
