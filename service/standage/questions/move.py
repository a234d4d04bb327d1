"""Does a train get from one place of a plan to another, how, and how long may it be?"""

from typing import Annotated, Literal, NamedTuple

import msgspec

from standage.questions.move_aims import Aim, AskedWay, MoveFrom, MoveTo, aimed
from standage.questions.move_alternatives import Asked, alternatives
from standage.questions.move_answer import (
    MoveAlternative,
    MoveAnswer,
    MoveFinish,
    ShorterWay,
)
from standage.questions.move_judging import JudgedMove, judged_move, surely
from standage.questions.move_remedies import Remedied, lengthened_pieces
from standage.questions.move_shifts import Shifted, shifted_points
from standage.questions.move_words import (
    Named,
    leading_end,
    limiting_pieces,
    reasons,
    told_runs,
)
from standage.questions.moved_train import (
    KnownTrain,
    MovedTrain,
    TrainCase,
    gathered_train,
    known_train,
)
from standage.questions.moves_ground import (
    MovesGround,
    MovesRequest,
    Surveyed,
    gathered_ground,
    surveyed_ground,
)
from standage.questions.moves_rest_on import taken_for_granted, untellable
from standage.questions.question import PLAN_BYTES, Question, Shows, always
from standage.questions.reckoning import MayBeExact, as_written, warned
from standage.questions.sources import Sources
from standage.railway.moves.facts import RunFacts, facts_of
from standage.railway.moves.wanted import Finish
from standage.railway.terms.figures import says, tidy, tidy_if_known
from standage.railway.terms.reasons import Reason
from standage.shapes.faults import all_of


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
    asked = AskedWay(case.start, case.to, propels=case.propels)
    aim = aimed(known, train, asked, margin_mm=case.ground.margin_mm)
    missing = _missing(case, known, aim)
    if missing or aim.wanted is None:
        return Moved(
            _untold(case, train, missing),
            known,
            0.0,
            (),
        )
    judged = judged_move(known, aim.wanted, train)
    answer = _answer(
        case,
        known,
        aim,
        train,
        judged,
    )
    return Moved(
        answer,
        known,
        judged.wanted.train_mm,
        _runs(known, train, judged),
    )


def _runs(
    known: Surveyed, train: KnownTrain, judged: JudgedMove
) -> tuple[RunFacts, ...]:
    """Return the runs of the best way; none where the train's length is not known."""
    if judged.best is None or train.length_mm is None:
        return ()
    return facts_of(known.ground, judged.wanted, judged.best)


def _missing(case: MoveCase, known: Surveyed, aim: Aim) -> tuple[Reason, ...]:
    unknown: tuple[str, ...] = () if aim.unknown is None else (aim.unknown,)
    return untellable(
        case.ground,
        known,
        aim.start,
        unknown,
    )


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
        alternatives=(),
        shorter_way=None,
        because=(*missing, *train.unknown),
        assumed=(*case.ground.plan.assumed, *train.assumed),
    )


def _answer(
    case: MoveCase, known: Surveyed, aim: Aim, train: KnownTrain, judged: JudgedMove
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
    instead: tuple[MoveAlternative, ...] = ()
    if judged.verdict == "impossible" and train.length_mm is not None:
        sure = surely(known, judged.wanted, train)
        asked = Asked(
            known,
            case.ground,
            aim.goal,
            train,
            judged,
            sure,
        )
        instead = tuple(alternatives(asked))
        if case.cures:
            remedied = lengthened_pieces(known, sure)
            shifted = shifted_points(
                known,
                sure,
                aim.start,
                aim.goal,
            )
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
        alternatives=instead,
        shorter_way=_shorter_way(known, judged, named),
        because=(
            *train.unknown,
            *reasons(
                known,
                aim,
                judged,
                train,
            ),
            *remedied.because,
            *shifted.because,
        ),
        assumed=(
            *taken_for_granted(
                case.ground,
                known,
                train.assumed,
                passed,
            ),
            *shifted.assumed,
        ),
    )


def _finish(aim: Aim, finish: Finish) -> MoveFinish:
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
