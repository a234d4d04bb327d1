"""An engine that leaves its train: what is asked, whether it goes round it or away from
it, and the answer.
"""

from collections.abc import Iterable, Iterator
from typing import Annotated, Literal

import msgspec

from standage.questions.engine_leaves_answer import EngineLeavesAnswer
from standage.questions.engine_leaves_judging import (
    JudgedLeaving,
    goals_away,
    judged_leaving,
)
from standage.questions.engine_leaves_remedies import what_helps
from standage.questions.engine_leaves_words import Doing, reasons, told_ways
from standage.questions.joint_made import joint_on_a_curve
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
    NamedPlace,
    Surveyed,
    end_called,
    gathered_ground,
    place_called,
    surveyed_ground,
)
from standage.questions.moves_rest_on import taken_for_granted, untellable
from standage.questions.reckoning import MayBeExact
from standage.questions.sources import Sources
from standage.questions.uncoupling_places import out_of_reach, uncoupling_places
from standage.railway.moves.facts import RunFacts, facts_of
from standage.railway.moves.run_round import Leaving, Left
from standage.railway.moves.standing import Stand
from standage.railway.moves.wanted import End
from standage.railway.terms.figures import Name, says, tidy
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.track.plans.plan import RoadName
from standage.shapes.faults import Fault, all_of


class EngineLeavesRequest(MovesRequest, frozen=True, kw_only=True):
    """A train in a place of a plan, and the engine that leaves it."""

    place: Annotated[RoadName, says("The place or road in which the train stands.")]
    train: Annotated[
        MovedTrain,
        says("The train without that engine, from the vehicle next to it on."),
    ]
    engine: Annotated[MovedTrain, says("The engine.")]
    engine_at: Annotated[
        Name, says("The end of the place on whose side the engine stands coupled.")
    ]
    uncoupling: Annotated[
        Literal["anywhere", "at_fittings"],
        says("Where it is uncoupled: by hand, or over the plan's uncoupling fittings."),
    ] = "anywhere"

    def rules(self) -> Iterable[Fault]:
        """The engine is told by itself."""
        yield from super().rules()
        for field, one in (("train", self.train), ("engine", self.engine)):
            if one.engine_length_mm is not None:
                message = "leave it out: the engine is given by itself"
                at = f"/{field}/engine_length_mm"
                yield Fault(
                    code="contradiction",
                    message=message,
                    pointer=at,
                )


class EngineLeavesCase(MayBeExact, frozen=True, kw_only=True):
    """All that the answer rests on."""

    ground: MovesGround
    train: TrainCase
    engine: TrainCase
    place: str
    engine_at: str
    at_fittings: bool = False


def gathered_leaving(
    sources: Sources, request: EngineLeavesRequest
) -> EngineLeavesCase:
    """Return the case that a request makes, with all it names on record resolved."""
    ground, train, engine = all_of(
        lambda: gathered_ground(sources, request),
        lambda: gathered_train(sources, request.train, "/train"),
        lambda: gathered_train(sources, request.engine, "/engine"),
    )
    return EngineLeavesCase(
        ground=ground,
        train=train,
        engine=engine,
        place=request.place,
        engine_at=request.engine_at,
        at_fittings=request.uncoupling == "at_fittings",
    )


class _Known(msgspec.Struct, frozen=True, kw_only=True):
    """A case with its names looked up."""

    case: EngineLeavesCase
    surveyed: Surveyed
    place: NamedPlace
    engine_at: End
    train: KnownTrain
    engine: KnownTrain
    doing: Doing


def answered_leaving(
    case: EngineLeavesCase, doing: Literal["round", "away"]
) -> EngineLeavesAnswer:
    """Return whether an engine gets round its train, or away from it; raises ``Faulty``
    for every name that is not on its plan.
    """
    surveyed = surveyed_ground(case.ground)
    place = place_called(surveyed, case.place, "/place")
    known = _Known(
        case=case,
        surveyed=surveyed,
        place=place,
        engine_at=end_called(place, case.engine_at, "/engine_at"),
        train=known_train(case.train),
        engine=known_train(case.engine),
        doing=Doing(doing=doing, place=place.name),
    )
    unknown = () if place.unknown is None or place.stand else (place.unknown,)
    missing = untellable(
        case.ground,
        surveyed,
        place,
        unknown,
    )
    if missing or place.stand is None:
        return _untold(known, missing)
    return _answer(known, place.stand)


def _untold(known: _Known, missing: tuple[Reason, ...]) -> EngineLeavesAnswer:
    return EngineLeavesAnswer(
        verdict="cannot_tell",
        train_length_mm=known.train.length_mm,
        engine_length_mm=known.engine.length_mm,
        because=(*missing, *known.train.unknown, *known.engine.unknown),
        assumed=(*known.case.ground.plan.assumed, *_of_trains(known)),
    )


def _of_trains(known: _Known) -> Iterator[Assumed]:
    yield from known.train.assumed
    said = frozenset(known.train.assumed)
    yield from (one for one in known.engine.assumed if one not in said)


def _answer(known: _Known, stand: Stand) -> EngineLeavesAnswer:
    surveyed = known.surveyed
    leaving = _leaving(known, stand)
    trains = (known.train, known.engine)
    judged = judged_leaving(
        surveyed.ground,
        leaving,
        trains,
        of_plan=surveyed.found.plan.plus_minus,
    )
    best = judged.best
    facts = _facts(best)
    passed = {points for one in facts for points in one.points}
    helps: tuple[Reason, ...] = ()
    if judged.verdict == "impossible" and judged.is_known:
        helps = tuple(
            what_helps(surveyed, known.case.ground, trains, judged, known.doing)
        )
    granted = taken_for_granted(known.case.ground, surveyed, _of_trains(known), passed)
    return EngineLeavesAnswer(
        verdict=judged.verdict,
        reversals=best.finish.reversals if best is not None else None,
        distance_mm=tidy(best.finish.distance_mm) if best is not None else None,
        train_stands_from_first_end_mm=_from_first_end_mm(known, judged),
        runs=told_ways(surveyed, judged, facts, known.doing),
        train_length_mm=known.train.length_mm,
        engine_length_mm=known.engine.length_mm,
        longest_train_mm=_with(known.engine, judged.longest_train_mm),
        longest_engine_mm=_with(known.train, judged.longest_engine_mm),
        plus_minus_mm=judged.plus_minus_mm or None,
        because=(
            *known.train.unknown,
            *known.engine.unknown,
            *reasons(surveyed, judged, known.doing),
            *_where_coupled(known, judged),
            *helps,
        ),
        assumed=(*granted, *_reach(known, judged)),
    )


def _facts(best: Left | None) -> tuple[RunFacts, ...]:
    if best is None:
        return ()
    return facts_of(best.ground, best.wanted, best.finish)


def _with(other: KnownTrain, longest_mm: float | None) -> float | None:
    """Return how long one may be, which hangs on how long the other is."""
    if other.length_mm is None:
        return None
    return longest_mm


def _leaving(known: _Known, stand: Stand) -> Leaving:
    """Return what is asked in lengths, on the place as it is run over from the engine's
    end.
    """
    surveyed = known.surveyed
    on = surveyed.ground
    place = stand if known.engine_at == 0 else stand.turned(on)
    goals: tuple[Stand, ...] | None = None
    if known.doing.doing == "away":
        goals = goals_away(surveyed, on, place)
    fittings = None
    if known.case.at_fittings:
        fittings = tuple(one.span for one in uncoupling_places(surveyed.found))
    return Leaving(
        place=place,
        train_mm=known.train.counted_mm,
        engine_mm=known.engine.counted_mm,
        margin_mm=known.case.ground.margin_mm,
        goals=goals,
        fittings=fittings,
    )


def _from_first_end_mm(known: _Known, judged: JudgedLeaving) -> float | None:
    """Return how far the train stands from the first end of its place."""
    best = judged.best
    if best is None:
        return None
    place = judged.leaving.place
    if known.engine_at == 0:
        return tidy(best.joint_mm - place.from_mm)
    return tidy(place.to_mm - best.joint_mm - best.train_mm)


def _where_coupled(known: _Known, judged: JudgedLeaving) -> Iterator[Reason]:
    if judged.best is not None and known.doing.doing == "round":
        touches = judged.best.wanted.touches
        network = known.surveyed.network
        yield from joint_on_a_curve(
            network, touches, known.case.train, known.case.engine
        )


def _reach(known: _Known, judged: JudgedLeaving) -> Iterator[Assumed]:
    """Yield what is said of an uncoupling place that no arm reaches."""
    if judged.best is not None and judged.leaving.fittings is not None:
        found = known.surveyed.found
        yield from out_of_reach(found, judged.leaving.place, judged.best.joint_mm)
