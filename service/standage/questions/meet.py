"""Do two trains get by each other on a plan, each to its goal, and how?"""

from collections.abc import Iterator, Sequence
from typing import Annotated, NamedTuple

import msgspec
from msgspec import Meta

from standage.questions.meet_answer import MeetAnswer
from standage.questions.meet_judging import JudgedMeeting, judged_meeting
from standage.questions.meet_words import MetNames, meet_reasons, told_meeting
from standage.questions.move_aims import Aim, AskedWay, MoveFrom, MoveTo, aimed
from standage.questions.move_words import Named
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
from standage.questions.saw_by_words import (
    PROPELLED,
    TAKEN_FOR_GRANTED,
    engine_not_known,
    told_saw_by,
)
from standage.questions.sources import Sources
from standage.railway.moves.meeting.saw_by import SawByThere, saw_by
from standage.railway.terms.figures import says, tidy
from standage.railway.terms.reasons import Assumed, Reason, named_once
from standage.shapes.faults import Ruled, all_of

_TWO = 2


class MeetTrain(Ruled, frozen=True, kw_only=True):
    """One of the trains: where it stands, and where it is to go."""

    train: Annotated[MovedTrain, says("The train, its engine at the head.")]
    from_: Annotated[MoveFrom, says("Where it stands.")] = msgspec.field(name="from")
    to: Annotated[MoveTo, says("Where it is to go.")]


class MeetRequest(MovesRequest, frozen=True, kw_only=True):
    """Two trains on a plan, which move one at a time."""

    trains: Annotated[
        Annotated[tuple[MeetTrain, ...], Meta(min_length=_TWO, max_length=_TWO)],
        says("Both trains."),
    ]


class MetTrainCase(msgspec.Struct, frozen=True, kw_only=True):
    """One of the trains, resolved."""

    train: TrainCase
    start: MoveFrom
    to: MoveTo


class MeetCase(MayBeExact, frozen=True, kw_only=True):
    """All that the answer rests on."""

    ground: MovesGround
    trains: tuple[MetTrainCase, ...]


class _Known(NamedTuple):
    """One of the trains on the ground: what is known, and what is wanted of it."""

    train: KnownTrain
    aim: Aim


@as_written
def gather(sources: Sources, request: MeetRequest) -> MeetCase:
    """Return the case that a request makes, with all it names on record resolved."""
    first, second = request.trains
    ground, one, other = all_of(
        lambda: gathered_ground(sources, request),
        lambda: _gathered(sources, first, 0),
        lambda: _gathered(sources, second, 1),
    )
    return MeetCase(ground=ground, trains=(one, other))


def _gathered(sources: Sources, asked: MeetTrain, number: int) -> MetTrainCase:
    train = gathered_train(sources, asked.train, f"/trains/{number}/train")
    return MetTrainCase(
        train=train,
        start=asked.from_,
        to=asked.to,
    )


@warned
def reckon(case: MeetCase) -> MeetAnswer:
    """Return whether the trains of ``case`` get by each other, and how; raises
    ``Faulty`` for every name that is not on their plan.
    """
    known = surveyed_ground(case.ground)
    one, other = all_of(
        lambda: _known(case, known, 0),
        lambda: _known(case, known, 1),
    )
    both = (one, other)
    missing = tuple(_missing(case, known, both))
    wanted = [each.aim.wanted for each in both if each.aim.wanted is not None]
    if missing or len(wanted) < _TWO:
        return _untold(case, both, missing)
    judged = judged_meeting(known, (wanted[0], wanted[1]), (one.train, other.train))
    return _answer(
        case,
        known,
        both,
        judged,
    )


def _known(case: MeetCase, known: Surveyed, number: int) -> _Known:
    one = case.trains[number]
    train = known_train(one.train)
    asked = AskedWay(one.start, one.to, pointer=f"/trains/{number}")
    return _Known(train, aimed(known, train, asked, margin_mm=case.ground.margin_mm))


def _missing(
    case: MeetCase, known: Surveyed, both: Sequence[_Known]
) -> Iterator[Reason]:
    """Yield what nobody can tell of the plan, so that no move on it can be told."""
    found: list[Reason] = []
    for one in both:
        unknown = () if one.aim.unknown is None else (one.aim.unknown,)
        found += untellable(
            case.ground,
            known,
            one.aim.start,
            unknown,
        )
    yield from named_once(found)


def _untold(
    case: MeetCase, both: Sequence[_Known], missing: Sequence[Reason]
) -> MeetAnswer:
    return MeetAnswer(
        verdict="cannot_tell",
        reversals=None,
        distance_mm=None,
        runs=(),
        saw_by=None,
        because=(*missing, *_unknown(both)),
        assumed=(*case.ground.plan.assumed, *_assumed(both)),
    )


def _unknown(both: Sequence[_Known]) -> tuple[Reason, ...]:
    return tuple(reason for one in both for reason in one.train.unknown)


def _assumed(both: Sequence[_Known]) -> tuple[Assumed, ...]:
    every = [told for one in both for told in one.train.assumed]
    return tuple(told for place, told in enumerate(every) if told not in every[:place])


def _answer(
    case: MeetCase, known: Surveyed, both: Sequence[_Known], judged: JudgedMeeting
) -> MeetAnswer:
    names = MetNames(_named(case, both, 0), _named(case, both, 1))
    best = judged.best
    told = told_meeting(known, judged, names)
    sawn = _sawn(known, both, judged)
    return MeetAnswer(
        verdict=judged.verdict,
        reversals=None if best is None else best.reversals,
        distance_mm=None if best is None else tidy(best.distance_mm),
        runs=told.runs,
        saw_by=None if sawn is None else told_saw_by(known, sawn),
        because=(*_unknown(both), *meet_reasons(judged)),
        assumed=(
            *taken_for_granted(
                case.ground,
                known,
                _assumed(both),
                told.passed,
            ),
            *_assumed_of_saw_by(known, both, sawn),
        ),
    )


def _assumed_of_saw_by(
    known: Surveyed, both: Sequence[_Known], sawn: SawByThere | None
) -> Iterator[Assumed]:
    if sawn is None:
        return
    yield TAKEN_FOR_GRANTED
    if both[sawn.way.divided].train.engine_mm is None:
        yield engine_not_known(sawn)
    if known.no_propelling:
        yield PROPELLED


def _sawn(
    known: Surveyed, both: Sequence[_Known], judged: JudgedMeeting
) -> SawByThere | None:
    """Return how they get by if one is divided, where they do not kept whole."""
    is_asked = judged.verdict == "impossible" and judged.is_known
    if not is_asked or not all(judged.met.alone):
        return None
    one, other = both
    engines_mm = (one.train.engine_mm or 0.0, other.train.engine_mm or 0.0)
    return saw_by(known.ground, judged.both, engines_mm)


def _named(case: MeetCase, both: Sequence[_Known], number: int) -> Named:
    one = both[number]
    return Named(
        goal=None if one.aim.goal is None else one.aim.goal.name,
        out=case.trains[number].to.open_end,
        train_mm=one.train.counted_mm,
        margin_mm=case.ground.margin_mm,
        is_light_engine=one.train.is_light_engine,
    )


_POINTS = {
    "kind": "points",
    "toe_mm": 30,
    "through_mm": 180,
    "branch_mm": 190,
    "fouling_through_mm": 215,
    "fouling_branch_mm": 210,
}
_FIRST = {
    "train": {"length_mm": 820},
    "from": {"place": "West", "engine_towards": "loop"},
    "to": {"place": "East"},
}
_SECOND = {
    "train": {"length_mm": 1150},
    "from": {"place": "East", "engine_towards": "loop"},
    "to": {"place": "West"},
}
EXAMPLE = {
    "plan": {
        "pieces": {
            "BW": {"kind": "buffer_stop"},
            "W": {"kind": "track", "length_mm": 1300},
            "P1": _POINTS,
            "M": {"kind": "track", "length_mm": 900},
            "L": {"kind": "track", "length_mm": 880},
            "P2": _POINTS,
            "E": {"kind": "track", "length_mm": 1400},
            "BE": {"kind": "buffer_stop"},
        },
        "joins": [
            ["BW.a", "W.a"],
            ["W.b", "P1.toe"],
            ["P1.through", "M.a"],
            ["P1.branch", "L.a"],
            ["M.b", "P2.through"],
            ["L.b", "P2.branch"],
            ["P2.toe", "E.a"],
            ["E.b", "BE.a"],
        ],
        "places": [
            {"name": "West", "on": ["W"], "ends": ["stop", "loop"]},
            {"name": "East", "on": ["E"], "ends": ["loop", "stop"]},
        ],
    },
    "trains": [_FIRST, _SECOND],
}
"""Measured with a tape, and invented."""
_UNKNOWN = {
    "train": {"length_mm": 820},
    "from": {"place": "Wharf", "engine_towards": "loop"},
    "to": {"place": "East"},
}
_SHORT = {
    "train": {"length_mm": 0.82},
    "from": {"place": "West", "engine_towards": "loop"},
    "to": {"place": "East"},
}
QUESTION = Question(
    id="checkMeet",
    at="/v1/checks/meet",
    asks="Do two trains get by each other, each to its goal, and how?",
    tells=(
        "Both are kept whole and move one at a time, neither on nor foul of the other:"
        " by the fewest reversals of both together, then the least distance."
    ),
    request=MeetRequest,
    answer=MeetAnswer,
    gather=gather,
    reckon=reckon,
    heavy=always,
    most_bytes=PLAN_BYTES,
    example=EXAMPLE,
    refused=EXAMPLE | {"trains": [_UNKNOWN, _UNKNOWN]},
    warns=Shows("unit", "trains/0/train/length_mm", {"trains": [_SHORT, _SECOND]}),
)
