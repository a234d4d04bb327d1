"""What is the longest train of our stock that stands in that place, behind these
engines?
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated

import msgspec

from standage.questions.asked import AskedPlace, AskedVehicle, StockFilter, Vehicles
from standage.questions.example_stock import (
    ENGINE,
    MILK_VANS,
    NOBODY,
    SHORT_ON_RECORD,
    SHORT_SIDING,
    SIDING,
)
from standage.questions.longest_train_answer import (
    LongestTrainAnswer,
    in_order,
    left_out,
    longest_reason,
    why_none,
)
from standage.questions.question import (
    PLAN_BYTES,
    WITHIN_BUDGET,
    OnRecord,
    Question,
    Shows,
)
from standage.questions.reckoning import (
    MayBeExact,
    as_written,
    or_a_plan,
    surveying,
    warned,
)
from standage.questions.resolving.plan_roads import RoadOnPlan
from standage.questions.resolving.trains import NamedVehicle
from standage.questions.sources import Sources
from standage.railway.longest.cars import PoolVehicle
from standage.railway.longest.choice import Choice, TrainWanted, choose
from standage.railway.longest.replay import broken_rules, train_of
from standage.railway.longest.room import By
from standage.railway.roads.allowances import GIVEN, Allowance, Provenance, allowance
from standage.railway.roads.places import Place
from standage.railway.standing.spare import stand
from standage.railway.standing.suitability import Suited, reaching_of, suited
from standage.railway.standing.verdicts import sorted_reasons
from standage.railway.stock.coupled import Coupled, coupled
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.trains import Train
from standage.railway.stock.vehicles import Standing
from standage.railway.terms.figures import (
    IdOrName,
    Room,
    says,
    search_stopped,
    tidy_if_known,
)
from standage.railway.terms.reasons import Guess, Reason, named_once, told
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
        asked = {}
        for name in ("engine_id", "second_engine_id", "third_engine_id"):
            one = getattr(self, name)
            if one is not None:
                asked[name] = one
        return asked


class LongestTrainCase(MayBeExact, frozen=True, kw_only=True):
    """All that the answer rests on. ``cut`` tells that there is more stock than was
    looked at.
    """

    engines: tuple[NamedVehicle, ...]
    pool: tuple[NamedVehicle, ...]
    place: Place
    known_by: Provenance = GIVEN
    on_plan: RoadOnPlan | None = None
    by: By = "length"
    stopping_margin_mm: float | None = None
    types: tuple[CouplingKind, ...] = ()
    cut: bool = False


def is_heavy(case: LongestTrainCase) -> bool:
    """Tell whether the search may take long."""
    return len(case.pool) > HEAVY_POOL


@surveying
@warned
def reckon(case: LongestTrainCase) -> LongestTrainAnswer:
    """Return the longest train there is for the case's place, replayed afresh before it
    is given.
    """
    given = allowance(
        case.place, known_by=case.known_by, stopping_margin_mm=case.stopping_margin_mm
    )
    wanted = TrainWanted(
        engines=[one.vehicle for one in case.engines],
        pool=[
            PoolVehicle(
                vehicle=one.vehicle,
                id=one.id,
            )
            for one in case.pool
        ],
        place=case.place,
        given=given,
        by=case.by,
        types=CouplingTypes(case.types),
    )
    choice = choose(wanted)
    if choice.taken is None:
        because = (*choice.because, *why_none(case.engines, choice, given))
        return _answer(case, choice, given, train=None, because=because)
    train = _replayed(wanted, choice.taken)
    made_up = coupled(train, types=wanted.types)
    findings = [*stand(made_up, case.place, given).findings]
    for found in _on_the_way(train, case):
        findings += found.against()
    because = (
        longest_reason(case.engines, choice, made_up),
        *sorted_reasons(findings),
    )
    return _answer(case, choice, given, train=(train, made_up), because=because)


def _replayed(wanted: TrainWanted, taken: Sequence[int]) -> Train:
    """Return the train that was found, after every rule was tried on it afresh."""
    faults = list(
        broken_rules(
            wanted.engines,
            wanted.pool,
            taken,
            place=wanted.place,
            given=wanted.given,
            types=wanted.types,
        )
    )
    if faults:
        raise RuntimeError(f"the longest train does not replay: {'; '.join(faults)}")
    return train_of(wanted.engines, wanted.pool, taken)


def _answer(
    case: LongestTrainCase,
    choice: Choice,
    given: Allowance,
    *,
    train: tuple[Train, Coupled] | None,
    because: tuple[Reason, ...],
) -> LongestTrainAnswer:
    reaching = None
    length_mm = spare_mm = plus_minus_mm = None
    guesses: list[Guess] = []
    if train is not None:
        _, made_up = train
        ways = _on_the_way(train[0], case)
        reaching = reaching_of(ways)
        fit = stand(made_up, case.place, given).fit
        length_mm = made_up.pulled_out().length_mm
        spare_mm, plus_minus_mm = fit.spare_mm, fit.plus_minus_mm
        guesses += made_up.guesses()
        for found in ways:
            guesses += found.guesses
    return LongestTrainAnswer(
        verdict=choice.verdict,
        reaching=reaching,
        by=case.by,
        vehicles=tuple(in_order(case.engines, case.pool, choice)),
        from_pool=None if choice.taken is None else len(choice.taken),
        train_length_mm=tidy_if_known(length_mm),
        spare_mm=spare_mm,
        plus_minus_mm=plus_minus_mm,
        usable_length_mm=given.usable_mm,
        stopping_margin_mm=given.margin_mm,
        proved=choice.proved and not case.cut,
        at_most_vehicles=choice.at_most_vehicles,
        at_most_mm=choice.at_most_mm,
        left_out=tuple(left_out(case.pool, choice)),
        because=named_once(
            (*because, *choice.kept_apart, *_how_sure(case, choice)),
        ),
        assumed=(*told(guesses), *given.assumed),
    )


def _on_the_way(train: Train, case: LongestTrainCase) -> list[Suited]:
    return [
        suited(vehicle, case.place, types=CouplingTypes(case.types))
        for vehicle in train.vehicles
    ]


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
        on_plan=place.on_plan,
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
    # one more than is looked at, which tells that there are more
    listing = Listing(
        filters=query.filters(),
        limit=MOST_POOL + 1,
    )
    records = sources.trains.stock(listing)
    follow = []
    for _, one in records[:MOST_POOL]:
        may_follow = query.kind is not None or one.vehicle.kind != "engine"
        if may_follow and one.id not in ahead:
            follow.append(one)
    return LongestTrainCase(
        engines=tuple(_one(engine) for engine in engines),
        pool=tuple(follow),
        place=place.place,
        known_by=place.known_by,
        on_plan=place.on_plan,
        by=query.by,
        stopping_margin_mm=query.stopping_margin_mm,
        types=sources.couplings.types(),
        cut=len(records) > MOST_POOL,
    )


def _one(engine: NamedVehicle) -> NamedVehicle:
    alone = msgspec.structs.replace(engine.vehicle, count=1)
    return msgspec.structs.replace(engine, vehicle=alone)


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
    heavy=or_a_plan(is_heavy),
    most_bytes=PLAN_BYTES,
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
            heavy=or_a_plan(is_heavy),
            example={"by": "length"},
            refused={"engine_id": NOBODY},
            warns=Shows("unit", "usable_length_mm", recorded=SHORT_ON_RECORD),
        ),
    ),
)
