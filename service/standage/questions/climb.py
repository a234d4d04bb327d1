"""Does a train get up over a route of a plan, and what does it feel on the way?"""

from collections.abc import Iterator, Sequence
from functools import partial
from typing import Annotated, NamedTuple

import msgspec

from standage.questions.climb_answer import (
    ClimbAnswer,
    Runaway,
)
from standage.questions.climb_judging import (
    Over,
    judged_assumed,
    judged_cautions,
    judged_climb,
    judged_reasons,
    told_haulage,
    vehicles_off,
)
from standage.questions.climb_load import Hauling, Load, load_of
from standage.questions.climb_words import (
    Stands,
    downhill_caution,
    drag_assumed,
    felt_reason,
    height_reasons,
    left_out,
    route_assumed,
    runaway_of,
    way_over,
)
from standage.questions.move_words import unknown_pieces
from standage.questions.moved_train import (
    KnownTrain,
    MovedTrain,
    TrainCase,
    gathered_train,
    known_train,
)
from standage.questions.moves_ground import (
    OF_THE_TRACK,
    MovesGround,
    MovesRequest,
    NamedPlace,
    Surveyed,
    gathered_ground,
    place_called,
    surveyed_ground,
    told_faults,
)
from standage.questions.question import PLAN_BYTES, Question, Shows, always
from standage.questions.reckoning import MayBeExact, as_written, warned
from standage.questions.sources import Sources
from standage.railway.climbs.profile import (
    Rising,
    dragging,
    felt,
    profile,
    rising,
    worst,
)
from standage.railway.moves.standing import Stand
from standage.railway.moves.stretches import stand_on
from standage.railway.moves.through import Through, way_through
from standage.railway.terms.figures import at_most, beside, cut, exceeds, says, tidy
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.terms.scales import scale
from standage.railway.track.plans.plan import RoadName
from standage.shapes.faults import Fault, Faulty, all_of

MOST_PLACES = 50
_STOCK_ENDS = ("where its stretch begins", "where its stretch ends")

Route = Annotated[
    tuple[RoadName, ...], msgspec.Meta(min_length=1, max_length=MOST_PLACES)
]


class ClimbRequest(MovesRequest, frozen=True, kw_only=True):
    """A train, the places of a plan that it runs through, and what its engines haul."""

    train: Annotated[MovedTrain, says("The train.")]
    route: Annotated[
        Route,
        says(
            "Places or roads in order: the shortest way without a reversal. One alone is"
            " run through from its first end."
        ),
    ]
    haulage: Annotated[
        Hauling | None, says("Without it only what the train feels is told.")
    ] = None


class ClimbCase(MayBeExact, frozen=True, kw_only=True):
    """All that the answer rests on."""

    ground: MovesGround
    train: TrainCase
    route: tuple[str, ...]
    haulage: Hauling | None = None


class _Asked(NamedTuple):
    """A case with its plan surveyed: its train, and where stock runs away."""

    case: ClimbCase
    known: Surveyed
    train: KnownTrain
    runaway: tuple[Runaway, ...]


@as_written
def gather(sources: Sources, request: ClimbRequest) -> ClimbCase:
    """Return the case that a request makes, with all it names on record resolved."""
    ground, train = all_of(
        lambda: gathered_ground(sources, request),
        lambda: gathered_train(sources, request.train, "/train"),
    )
    return ClimbCase(
        ground=ground, train=train, route=request.route, haulage=request.haulage
    )


@warned
def reckon(case: ClimbCase) -> ClimbAnswer:
    """Return what the train of ``case`` feels on its way, and whether it gets up;
    raises ``Faulty`` for a place that is not there or to which no way leads.
    """
    known = surveyed_ground(case.ground)
    train = known_train(case.train)
    places = _places(case, known)
    asked = _Asked(
        case,
        known,
        train,
        tuple(_runaway(case, known, places)),
    )
    because = tuple(_amiss(case, known, places))
    if because:
        return _untold(asked, (*because, *train.unknown))
    through = _through(known, places)
    rises = rising(known.network, known.found.heights, through.courses)
    because = (
        *height_reasons(case.ground.plan, way_over(known, through.courses), rises),
        *train.unknown,
    )
    load = load_of(
        case.train,
        train,
        case.haulage,
        known.found.plan.scale,
    )
    if because or load is None:
        return _untold(asked, because)
    if through.is_ring and load.length_mm <= through.length_mm:
        through = through.gone_round(load.length_mm)
        rises = rising(known.network, known.found.heights, through.courses)
    if exceeds(load.length_mm, limit=through.length_mm):
        return _untold(asked, (_too_long(load, through),))
    return _answer(
        asked,
        through,
        rises,
        load,
    )


def _places(case: ClimbCase, known: Surveyed) -> list[NamedPlace]:
    attempts = [
        partial(place_called, known, name, f"/route/{number}")
        for number, name in enumerate(case.route)
    ]
    return all_of(*attempts)


def _runaway(
    case: ClimbCase, known: Surveyed, places: Sequence[NamedPlace]
) -> Iterator[Runaway]:
    """Yield where stock runs away: places of the route, each once, and what stands."""
    stands = {
        one.name: Stands(one.name, one.ends, one.stand)
        for one in places
        if one.stand is not None
    }
    every = list(stands.values())
    for named in case.ground.standing:
        stand = stand_on(known.network, named.stretch)
        if isinstance(stand, Stand):
            every.append(Stands(named.name, _STOCK_ENDS, stand))
    for one in every:
        found = runaway_of(known, one)
        if found is not None:
            yield found


def _amiss(
    case: ClimbCase, known: Surveyed, places: Sequence[NamedPlace]
) -> Iterator[Reason]:
    """Yield what nobody can tell of the plan's track."""
    yield from told_faults(case.ground.plan, known.found, OF_THE_TRACK)
    unknown = [one.unknown for one in places if one.stand is None]
    yield from unknown_pieces(known, [name for name in unknown if name is not None])


def _through(known: Surveyed, places: Sequence[NamedPlace]) -> Through:
    """Return the way through places; raises ``Faulty`` where there is none."""
    stands = [one.stand for one in places if one.stand is not None]
    found = way_through(known.ground, stands)
    if isinstance(found, Through):
        return found
    one, other = cut(places[found.number - 1].name), cut(places[found.number].name)
    code, message = "no_way", f"no track leads from {one} to {other}"
    if found.turns:
        code = "needs_reversal"
        message = (
            f"from {one} to {other} the train would have to turn back: name a route"
            " without a reversal"
        )
    fault = Fault(
        code=code,
        message=message,
        pointer=f"/route/{found.number}",
    )
    raise Faulty([fault])


def _too_long(load: Load, through: Through) -> Reason:
    train = beside(load.length_mm, limit=through.length_mm)
    message = (
        f"the train is {train} mm long, and the route {at_most(through.length_mm)}: name"
        " places farther apart, or one before it or after it too"
    )
    return Reason(
        code="longer_than_route",
        message=message,
        value_mm=tidy(load.length_mm),
        limit_mm=tidy(through.length_mm),
    )


def _untold(asked: _Asked, because: tuple[Reason, ...]) -> ClimbAnswer:
    return ClimbAnswer(
        verdict="cannot_tell",
        train_length_mm=asked.train.length_mm,
        distance_mm=None,
        pieces=(),
        felt=(),
        worst=None,
        haulage=None,
        vehicles_off=None,
        engines_needed=None,
        runaway=asked.runaway,
        because=because,
        assumed=tuple(_as_given(asked)),
        cautions=(),
    )


def _as_given(asked: _Asked) -> Iterator[Assumed]:
    """Yield what was taken of the plan and of the train's length; that blades are
    cleared counts here for nothing.
    """
    ground = asked.case.ground
    yield from ground.plan.assumed
    for one in asked.train.assumed:
        if one.field != "margin_mm":
            yield one
    yield from left_out(
        is_off=asked.train.plus_minus_mm > 0 or ground.plan.plan.plus_minus is not None,
        margin_mm=ground.margin_mm,
    )


def _answer(asked: _Asked, through: Through, rises: Rising, load: Load) -> ClimbAnswer:
    known = asked.known
    ratio = None if load.scale is None else scale(load.scale).ratio
    drags = dragging(known.network, through.courses, ratio=ratio)
    over = Over(
        way=way_over(known, through.courses),
        rises=profile(rises.parts),
        drags=profile(drags.parts),
        from_mm=through.from_mm,
        to_mm=through.to_mm,
    )
    run = over.run(load.length_mm)
    places = felt(over.rises, run)
    most = over.way.worst(worst(over.rises, run), load.length_mm)
    judged = judged_climb(over, load)
    return ClimbAnswer(
        verdict="cannot_tell" if judged is None else judged.verdict,
        train_length_mm=asked.train.length_mm,
        distance_mm=tidy(through.length_mm),
        pieces=_pieces(known, through),
        felt=over.way.felt(places),
        worst=most,
        haulage=told_haulage(over, load, judged),
        vehicles_off=vehicles_off(load, judged),
        engines_needed=None if judged is None else judged.engines_needed,
        runaway=asked.runaway,
        because=(
            *judged_reasons(load, judged),
            felt_reason(most),
        ),
        assumed=(
            *_as_given(asked),
            *route_assumed(known, asked.case.route, through),
            *drag_assumed(known, drags.unknown, has_scale=ratio is not None),
            *load.assumed(),
            *judged_assumed(load, judged),
        ),
        cautions=(
            *downhill_caution(places),
            *judged_cautions(load, judged),
        ),
    )


def _pieces(known: Surveyed, through: Through) -> tuple[str, ...]:
    names = (known.network.piece(course) for course in through.courses)
    return tuple(dict.fromkeys(names))


EXAMPLE = {
    "plan": {
        "scale": "00",
        "pieces": {
            "Low": {"kind": "straight", "length_mm": 1400},
            "P1": {
                "kind": "points",
                "toe_mm": 30,
                "through_mm": 180,
                "branch_mm": 190,
                "fouling_through_mm": 215,
                "fouling_branch_mm": 210,
            },
            "Quay": {"kind": "track", "length_mm": 600},
            "Bank": {
                "kind": "curve",
                "radius_mm": 900,
                "angle_deg": 170,
                "hand": "left",
            },
        },
        "joins": [
            ["Low.b", "P1.through"],
            ["P1.branch", "Quay.a"],
            ["P1.toe", "Bank.a"],
        ],
        "heights": [
            {"piece": "Bank", "at_mm": 0, "height_mm": 0, "vertical_curve_mm": 300},
            {"piece": "Bank", "at_mm": 2650, "height_mm": 50},
        ],
    },
    "train": {"length_mm": 1200, "engine_length_mm": 180},
    "route": ["running line Low", "running line Bank"],
    "haulage": {"vehicles_on_level": 26, "vehicles": 11},
}
"""Invented."""
QUESTION = Question(
    id="checkClimb",
    at="/v1/checks/climb",
    asks="Does a train get up over a route, and how steep is it for the whole train?",
    tells=(
        "What counts is how much higher its head is than its tail, over its length, at"
        " each moment; with the drag of curves. Haulage is a band."
    ),
    request=ClimbRequest,
    answer=ClimbAnswer,
    gather=gather,
    reckon=reckon,
    heavy=always,
    most_bytes=PLAN_BYTES,
    example=EXAMPLE,
    refused=EXAMPLE | {"route": ["running line Low", "running line Quay"]},
    warns=Shows("unit", "train/length_mm", {"train": {"length_mm": 1.2}}),
)
