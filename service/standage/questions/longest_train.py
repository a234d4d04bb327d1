"""What is the longest train of our stock that stands in that place, behind these
engines?
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby, islice
from typing import Annotated

import msgspec

from standage.questions.asked import AskedPlace, AskedVehicle, StockFilter, Vehicles
from standage.questions.exactness import MayBeExact, as_written
from standage.questions.example_stock import (
    ENGINE,
    MILK_VANS,
    NOBODY,
    SHORT_ON_RECORD,
    SHORT_SIDING,
    SIDING,
)
from standage.questions.question import WITHIN_BUDGET, OnRecord, Question, Shows
from standage.questions.resolving.trains import NamedVehicle
from standage.questions.sources import Sources
from standage.questions.warned import NOT_YET, Warnings, warned
from standage.railway.curving.verdicts import CurveVerdict
from standage.railway.longest.cars import PoolVehicle
from standage.railway.longest.choice import Choice, ChoiceVerdict, TrainWanted, choose
from standage.railway.longest.replay import broken_rules, train_of
from standage.railway.longest.room import By
from standage.railway.roads.allowances import Allowance, allowance
from standage.railway.roads.places import Place
from standage.railway.roads.provenance import GIVEN, Provenance
from standage.railway.standing.spare import stand
from standage.railway.standing.suitability import Suited, reaching_of, suited
from standage.railway.standing.verdicts import FitVerdict, sorted_reasons
from standage.railway.stock.coupled import Coupled, coupled
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.trains import Train
from standage.railway.stock.vehicles import Standing
from standage.railway.terms.figures import IdOrName, Room, says, tidy
from standage.railway.terms.guesses import Guess, told
from standage.railway.terms.phrases import (
    agreeing,
    counted,
    listed,
    millimetres,
    search_stopped,
)
from standage.railway.terms.reasons import Assumed, Reason, named_once
from standage.registry.records.reading import Listing
from standage.shapes.faults import Ruled, all_of

MOST_ENGINES = 4
MOST_POOL = 300
"""So many of the club's vehicles are chosen from; what is beyond them by name is not
looked at, and that is said.
"""
HEAVY_POOL = 30
"""A larger pool is reckoned with in a process of its own."""

Wanted = Annotated[
    By,
    says(
        "What counts: the number of vehicles, or the length; the other decides between"
        " equals."
    ),
]
MOST_TO_MEASURE = 5
"""Vehicles of the pool that are named where nobody can tell of any; the others stand
among those left out.
"""


class LongestTrainRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """Engines in front, a pool to choose from, and a place."""

    engines: Annotated[
        tuple[AskedVehicle, ...],
        msgspec.Meta(max_length=MOST_ENGINES),
        says("In front, in order from the head; kept."),
    ] = ()
    pool: Annotated[
        Vehicles,
        says(
            "What may stand behind them, the way round it is given; count says how"
            " many."
        ),
    ]
    place: Annotated[AskedPlace, says("The place that the train is to stand in.")]
    by: Wanted = "length"
    stopping_margin_mm: Annotated[
        Room | None,
        says(
            "Room left for stopping, both ends together, in mm; the place's own, or a"
            " stated default."
        ),
    ] = None


class PlaceLongestTrainQuery(StockFilter, frozen=True, kw_only=True):
    """Which engines stand in front, which of the club's vehicles may follow, and what
    counts.
    """

    engine_id: Annotated[
        IdOrName | None, says("The vehicle on record at the head of the train.")
    ] = None
    second_engine_id: Annotated[
        IdOrName | None, says("The vehicle on record behind it.")
    ] = None
    third_engine_id: Annotated[
        IdOrName | None, says("The vehicle on record behind that.")
    ] = None
    by: Wanted = "length"
    stopping_margin_mm: Annotated[
        Room | None,
        says(
            "Room left for stopping, both ends together, in mm; the place's own if not"
            " given."
        ),
    ] = None

    def engines(self) -> dict[str, str]:
        """Return the engines' ids in order from the head, by parameter."""
        asked = {
            name: getattr(self, name)
            for name in ("engine_id", "second_engine_id", "third_engine_id")
        }
        return {name: one for name, one in asked.items() if one is not None}


class LongestTrainCase(MayBeExact, frozen=True, kw_only=True):
    """All that the answer rests on. ``cut`` tells that there is more stock than was
    looked at.
    """

    engines: tuple[NamedVehicle, ...]
    pool: tuple[NamedVehicle, ...]
    place: Place
    known_by: Provenance = GIVEN
    by: By = "length"
    stopping_margin_mm: float | None = None
    types: tuple[CouplingKind, ...] = ()
    cut: bool = False


class InTheTrain(msgspec.Struct, frozen=True, kw_only=True):
    """Like vehicles in a row, as they stand in the train."""

    name: Annotated[str, says("What it is called.")]
    vehicle_id: Annotated[str | None, says("Its id, where it is on record.")]
    count: Annotated[int, says("How many like it stand there in a row.")]
    reversed: Annotated[bool, says("Whether its rear leads.")]
    engine: Annotated[bool, says("Whether it is one of the engines that were given.")]


class NotInTheTrain(msgspec.Struct, frozen=True, kw_only=True):
    """A vehicle of the pool that may not go in, and why."""

    name: Annotated[str, says("What it is called.")]
    vehicle_id: Annotated[str | None, says("Its id, where it is on record.")]
    verdict: Annotated[FitVerdict, says("What was found of it.")]
    because: Annotated[Reason, says("The worst reason.")]


class LongestTrainAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The longest train of those that may be made up, and what that rests on."""

    verdict: Annotated[
        ChoiceVerdict, says("Whether there is a train that stands there for certain.")
    ]
    reaching: Annotated[
        CurveVerdict | None,
        says("Whether all of it gets there, as far as the place says."),
    ]
    by: Annotated[By, says("What counted.")]
    vehicles: Annotated[
        tuple[InTheTrain, ...],
        says("The train in order from its head; empty where there is none."),
    ]
    from_pool: Annotated[
        int | None,
        says("How many vehicles of the pool are in it; null where there is no train."),
    ]
    train_length_mm: Annotated[
        float | None, says("The train pulled out, free couplings included, in mm.")
    ]
    spare_mm: Annotated[
        float | None, says("What is left in the place, margin taken off, in mm.")
    ]
    plus_minus_mm: Annotated[
        float | None, says("How far off the spare may be, either way, in mm.")
    ]
    usable_length_mm: Annotated[
        float | None, says("The usable length of the place, in mm.")
    ]
    stopping_margin_mm: Annotated[
        float, says("What was taken off for stopping, both ends together, in mm.")
    ]
    proved: Annotated[
        bool,
        says(
            "Whether no train of the pool has more vehicles, or none is longer, as was"
            " asked."
        ),
    ]
    at_most_vehicles: Annotated[
        int | None, says("By number: no train has more of the pool; null if not known.")
    ]
    at_most_mm: Annotated[
        float | None,
        says("By length: no train can be longer than this, in mm; null if not known."),
    ]
    left_out: Annotated[
        tuple[NotInTheTrain, ...],
        says("What does not get to the place, or whose length is not known."),
    ]
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    warnings: Warnings = NOT_YET


def is_heavy(case: LongestTrainCase) -> bool:
    """Tell whether the search may take long."""
    return len(case.pool) > HEAVY_POOL


@warned
def reckon(case: LongestTrainCase) -> LongestTrainAnswer:
    """Return the longest train there is for the case's place, replayed afresh before it
    is given.
    """
    types = CouplingTypes(case.types)
    given = allowance(
        case.place, known_by=case.known_by, stopping_margin_mm=case.stopping_margin_mm
    )
    engines = [one.vehicle for one in case.engines]
    pool = [PoolVehicle(vehicle=one.vehicle, id=one.id) for one in case.pool]
    wanted = TrainWanted(
        engines=engines,
        pool=pool,
        place=case.place,
        given=given,
        by=case.by,
        types=types,
    )
    choice = choose(wanted)
    if choice.taken is None:
        return _answer(
            case,
            choice,
            given,
            train=None,
            because=(
                *choice.because,
                *_why_none(case, choice, given),
                *choice.kept_apart,
            ),
        )
    faults = list(
        broken_rules(
            engines, pool, choice.taken, place=case.place, given=given, types=types
        )
    )
    if faults:
        raise RuntimeError(f"the longest train does not replay: {'; '.join(faults)}")
    train = train_of(engines, pool, choice.taken)
    made_up = coupled(train, types=types)
    against = (
        finding for found in _on_the_way(train, case) for finding in found.against()
    )
    reasons = sorted_reasons((*stand(made_up, case.place, given).findings, *against))
    because = (_said(case, choice, made_up), *reasons, *choice.kept_apart)
    return _answer(case, choice, given, train=(train, made_up), because=because)


def _answer(
    case: LongestTrainCase,
    choice: Choice,
    given: Allowance,
    *,
    train: tuple[Train, Coupled] | None,
    because: tuple[Reason, ...],
) -> LongestTrainAnswer:
    fit = None if train is None else stand(train[1], case.place, given).fit
    length_mm = None if train is None else train[1].pulled_out().length_mm
    return LongestTrainAnswer(
        verdict=choice.verdict,
        reaching=None if train is None else reaching_of(_on_the_way(train[0], case)),
        by=case.by,
        vehicles=tuple(_in_order(case, choice)),
        from_pool=None if choice.taken is None else len(choice.taken),
        train_length_mm=None if length_mm is None else tidy(length_mm),
        spare_mm=None if fit is None else fit.spare_mm,
        plus_minus_mm=None if fit is None else fit.plus_minus_mm,
        usable_length_mm=given.usable_mm,
        stopping_margin_mm=given.margin_mm,
        proved=choice.proved and not case.cut,
        at_most_vehicles=choice.at_most_vehicles,
        at_most_mm=choice.at_most_mm,
        left_out=tuple(_left_out(case, choice)),
        because=named_once((*because, *_how_sure(case, choice))),
        assumed=(
            *(() if train is None else told(_guesses(*train, case))),
            *given.assumed,
        ),
    )


def _guesses(train: Train, made_up: Coupled, case: LongestTrainCase) -> Iterator[Guess]:
    yield from made_up.guesses()
    yield from (guess for found in _on_the_way(train, case) for guess in found.guesses)


def _on_the_way(train: Train, case: LongestTrainCase) -> list[Suited]:
    return [
        suited(vehicle, case.place, types=CouplingTypes(case.types))
        for vehicle in train.vehicles
    ]


def _in_order(case: LongestTrainCase, choice: Choice) -> Iterator[InTheTrain]:
    if choice.taken is None:
        return
    for one in case.engines:
        yield _stood(one, count=one.vehicle.count, engine=True)
    for place, alike in groupby(choice.taken):
        yield _stood(case.pool[place], count=len(list(alike)), engine=False)


def _stood(one: NamedVehicle, *, count: int, engine: bool) -> InTheTrain:
    return InTheTrain(
        name=one.vehicle.name,
        vehicle_id=one.id,
        count=count,
        reversed=one.vehicle.reversed,
        engine=engine,
    )


def _left_out(case: LongestTrainCase, choice: Choice) -> Iterator[NotInTheTrain]:
    for one in choice.left_out:
        kept = case.pool[one.place]
        yield NotInTheTrain(
            name=kept.vehicle.name,
            vehicle_id=kept.id,
            verdict=one.verdict,
            because=one.reason,
        )


def _said(case: LongestTrainCase, choice: Choice, made_up: Coupled) -> Reason:
    many = len(choice.taken or ())
    behind = (
        f" behind {listed([one.vehicle.name for one in case.engines])}"
        if case.engines
        else ""
    )
    length_mm = tidy(made_up.pulled_out().known_mm)
    if many == 0:
        message = (
            f"no vehicle of the pool fits{behind}; by itself that is"
            f" {millimetres(length_mm)} long pulled out"
        )
        return Reason(code="nothing_goes_in", message=message, value_mm=length_mm)
    come = agreeing(many, "comes", "come")
    message = (
        f"{counted(many, 'vehicle')}{behind} {come} to {millimetres(length_mm)}"
        " pulled out"
    )
    return Reason(code="longest_train", message=message, value_mm=length_mm)


def _why_none(
    case: LongestTrainCase, choice: Choice, given: Allowance
) -> Iterator[Reason]:
    if choice.because:
        return
    what = (
        listed([one.vehicle.name for one in case.engines]) or "no vehicle of the pool"
    )
    known = agreeing(len(case.engines), "is not", "are not") if case.engines else "is"
    message = f"{what} {known} certain to fit in {given.place}, alone or with others"
    yield Reason(
        code="nothing_stands",
        message=message,
        place=given.place,
        limit_mm=given.room_mm,
    )
    if not case.engines:
        unsure = (one.reason for one in choice.left_out if one.verdict == "cannot_tell")
        yield from islice(unsure, MOST_TO_MEASURE)


def _how_sure(case: LongestTrainCase, choice: Choice) -> Iterator[Reason]:
    yield from choice.questions
    if not choice.proved:
        message = f"{search_stopped(choice.steps)}: there may be a better train"
        yield Reason(code="budget_spent", message=message)
    if case.cut:
        message = (
            f"only the first {MOST_POOL} vehicles by name were chosen from: ask for one"
            " kind, scale or owner"
        )
        yield Reason(code="pool_cut_short", message=message)


@as_written
def gather(sources: Sources, request: LongestTrainRequest) -> LongestTrainCase:
    """Return the case that a request makes, with all it names on record resolved."""
    engines, pool, place = all_of(
        lambda: sources.trains.vehicles(request.engines, "/engines"),
        lambda: sources.trains.vehicles(request.pool, "/pool"),
        lambda: sources.places.of(request.place, "/place"),
    )
    return LongestTrainCase(
        engines=_named(request.engines, engines),
        pool=_named(request.pool, pool),
        place=place.place,
        known_by=place.known_by,
        by=request.by,
        stopping_margin_mm=request.stopping_margin_mm,
        types=sources.couplings.types(),
    )


def _named(
    asked: Sequence[AskedVehicle], found: Sequence[Standing]
) -> tuple[NamedVehicle, ...]:
    return tuple(
        NamedVehicle(vehicle=one, id=said.vehicle_id)
        for said, one in zip(asked, found, strict=True)
    )


def gather_at_place(
    sources: Sources, ids: Mapping[str, str], query: PlaceLongestTrainQuery
) -> LongestTrainCase:
    """Return the case of a place on record and the club's own stock.

    Engines that are not asked for are not drawn along: without a kind being asked for,
    the pool is all but engines.
    """
    place = sources.places.at(ids["layout_id"], ids["place_id"])
    engines = sources.trains.vehicles_asked(query.engines())
    ahead = {one.id for one in engines}
    records = sources.trains.stock(
        Listing(filters=query.filters(), limit=MOST_POOL + 1)
    )
    follow = [
        one
        for _, one in records[:MOST_POOL]
        if one.id not in ahead
        and (query.kind is not None or one.vehicle.kind != "engine")
    ]
    return LongestTrainCase(
        engines=tuple(_one(engine) for engine in engines),
        pool=tuple(follow),
        place=place.place,
        known_by=place.known_by,
        by=query.by,
        stopping_margin_mm=query.stopping_margin_mm,
        types=sources.couplings.types(),
        cut=len(records) > MOST_POOL,
    )


def _one(engine: NamedVehicle) -> NamedVehicle:
    return msgspec.structs.replace(
        engine, vehicle=msgspec.structs.replace(engine.vehicle, count=1)
    )


_LONGEST = {
    "engines": [ENGINE],
    "pool": [MILK_VANS],
    "place": SIDING,
    "by": "number",
    "stopping_margin_mm": 20,
}
QUESTION = Question(
    id="checkLongestTrain",
    at="/v1/checks/longest-train",
    asks="What is the longest train of these vehicles that stands in this place?",
    tells=(
        "Engines in front, then vehicles of the pool: as many as can be, or as long as"
        " can be. It fits for certain, its couplings take hold, and no vehicle is known"
        " not to get there."
    )
    + WITHIN_BUDGET,
    request=LongestTrainRequest,
    answer=LongestTrainAnswer,
    gather=gather,
    reckon=reckon,
    heavy=is_heavy,
    example=_LONGEST,
    refused=_LONGEST | {"by": "weight"},
    warns=Shows("unit", "usable_length_mm", {"place": SHORT_SIDING}),
    others=(
        OnRecord(
            id="getPlaceLongestTrain",
            at="/v1/layouts/{layout_id}/places/{place_id}/longest-train",
            asks="What is the longest train of our stock for this place?",
            tells=(
                "As the inline question, chosen from the club's vehicles: all but"
                " engines where no kind is asked for, the engines asked for in front."
            )
            + WITHIN_BUDGET,
            parameters=PlaceLongestTrainQuery,
            answer=LongestTrainAnswer,
            gather=gather_at_place,
            reckon=reckon,
            heavy=is_heavy,
            example={"by": "length"},
            refused={"engine_id": NOBODY},
            warns=Shows("unit", "usable_length_mm", recorded=SHORT_ON_RECORD),
        ),
    ),
)
