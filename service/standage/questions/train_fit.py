"""Does this train stand in that place, and if not, what would help?"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated

from standage.questions.asked import AskedPlace, AskedTrain
from standage.questions.example_stock import (
    MILK_TRAIN,
    NO_TRAIN,
    NOBODY,
    SHORT_ON_RECORD,
    SHORT_SIDING,
    SIDING,
)
from standage.questions.question import PLAN_BYTES, OnRecord, Question, Shows
from standage.questions.reckoning import (
    MayBeExact,
    as_written,
    or_a_plan,
    surveying,
    warned,
)
from standage.questions.resolving.plan_roads import OnGround, RoadOnPlan
from standage.questions.sources import KnownPlace, NamedPlace, Sources
from standage.questions.train_fit_answer import (
    AlsoField,
    AlsoMeasured,
    Instead,
    PlaceThatHolds,
    TrainFitAnswer,
    TurntableOverhang,
    WheelReserve,
)
from standage.railway.roads.allowances import (
    GIVEN,
    SURVEYED,
    Allowance,
    Provenance,
    allowance,
    platform_face_mm,
)
from standage.railway.roads.limits import longest_passenger_mm
from standage.railway.roads.places import Place
from standage.railway.standing.dropping import Dropped
from standage.railway.standing.remedies import spare_there, to_leave_off
from standage.railway.standing.spare import Stood, stand
from standage.railway.standing.suitability import (
    Suited,
    not_compared,
    reaching_of,
    suited,
)
from standage.railway.standing.turntable import reserve_mm
from standage.railway.standing.verdicts import (
    FitVerdict,
    sorted_reasons,
    verdict_of_both,
)
from standage.railway.stock.coupled import Coupled, coupled
from standage.railway.stock.couplings import CouplingKind, coupling_types
from standage.railway.stock.trains import Train
from standage.railway.terms.figures import IdOrName, Room, says, tidy, tidy_if_known
from standage.railway.terms.reasons import told
from standage.railway.terms.senses import ASIDE
from standage.shapes.faults import Ruled, all_of


class TrainFitRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """A train and a place, each inline or on record."""

    train: Annotated[AskedTrain, says("The train.")]
    place: Annotated[AskedPlace, says("The place it is to stand in.")]
    stopping_margin_mm: Annotated[
        Room | None,
        says(
            "Room left for stopping, both ends together, in mm; the place's own, or a"
            " stated default, if not given."
        ),
    ] = None


class PlaceTrainFitQuery(Ruled, frozen=True, kw_only=True):
    """Which train on record is to stand in the place."""

    train_id: Annotated[IdOrName, says("The train on record.")]
    stopping_margin_mm: Annotated[
        Room | None,
        says(
            "Room left for stopping, both ends together, in mm; the place's own if not"
            " given."
        ),
    ] = None


class OtherPlace(OnGround, frozen=True, kw_only=True):
    """Another place of the layout that might hold the train."""

    id: str
    known_by: Provenance = SURVEYED


class TrainFitCase(MayBeExact, frozen=True, kw_only=True):
    """All that the answer rests on. ``types`` are the club's own couplings."""

    train: Train
    place: Place
    known_by: Provenance = GIVEN
    on_plan: RoadOnPlan | None = None
    stopping_margin_mm: float | None = None
    types: tuple[CouplingKind, ...] = ()
    other_places: Annotated[tuple[OtherPlace, ...], ASIDE] = ()


@surveying
@warned
def reckon(case: TrainFitCase) -> TrainFitAnswer:
    """Return whether the train of ``case`` stands clear in its place, by length and in
    all else that is compared.
    """
    types = coupling_types(case.types)
    train = coupled(case.train, types=types)
    given = allowance(
        case.place, known_by=case.known_by, stopping_margin_mm=case.stopping_margin_mm
    )
    stood = stand(train, case.place, given)
    each = [suited(vehicle, case.place, types=types) for vehicle in case.train.vehicles]
    findings = [*stood.findings]
    guesses = [*train.guesses(), *stood.guesses]
    for suits in each:
        findings += suits.findings
        guesses += suits.guesses
    reaching = reaching_of(each)
    verdict = verdict_of_both(stood.verdict, reaching)
    pulled_out = train.pulled_out()
    counted_mm: float | None = None
    if stood.counted:
        counted_mm = stood.counted.length_mm
    reserve: WheelReserve | None = None
    if case.place.kind == "headshunt":
        reserve = _wheel_reserve(train)
    return TrainFitAnswer(
        verdict=verdict,
        standing=stood.verdict,
        reaching=reaching,
        train_length_mm=tidy_if_known(pulled_out.length_mm),
        buffered_up_mm=tidy_if_known(train.buffered_up_mm()),
        at_least_mm=tidy(pulled_out.least_mm),
        counted_length_mm=tidy_if_known(counted_mm),
        spare_mm=stood.fit.spare_mm,
        plus_minus_mm=stood.fit.plus_minus_mm,
        usable_length_mm=given.usable_mm,
        stopping_margin_mm=given.margin_mm,
        because=sorted_reasons(findings),
        assumed=(*told(guesses), *given.assumed),
        instead=_instead(case, train, stood, given=given, each=each, verdict=verdict),
        also=tuple(_also(case.place, pulled_out.length_mm)),
        face_spare_mm=stood.face_spare_mm,
        wheel_reserve_mm=reserve,
        turntable=_overhang(case.place, stood),
        not_compared=not_compared(case.place),
    )


def _instead(
    case: TrainFitCase,
    train: Coupled,
    stood: Stood,
    *,
    given: Allowance,
    each: Sequence[Suited],
    verdict: FitVerdict,
) -> Instead:
    longest_mm: float | None = None
    if stood.room_mm is not None:
        longest_mm = max(0.0, tidy(stood.room_mm - given.plus_minus_mm))
    along_face_mm: float | None = None
    if platform_face_mm(case.place) is not None:
        along_face_mm = longest_passenger_mm(case.place, given, longest_mm=longest_mm)
    if verdict == "fits":
        return Instead(
            drop=(),
            drop_proved=True,
            longest_train_mm=longest_mm,
            longest_passenger_train_mm=along_face_mm,
        )
    dropped = _left_off(case, train, stood, given=given, each=each)
    names: tuple[str, ...] | None = None
    if dropped.places is not None:
        names = tuple(train.members[place].name for place in sorted(dropped.places))
    return Instead(
        drop=names,
        drop_proved=dropped.proved,
        longest_train_mm=longest_mm,
        longest_passenger_train_mm=along_face_mm,
        places=tuple(_places_that_hold(case, train)),
    )


def _left_off(
    case: TrainFitCase,
    train: Coupled,
    stood: Stood,
    *,
    given: Allowance,
    each: Sequence[Suited],
) -> Dropped:
    if stood.counted is None or stood.counted.missing:
        # Of vehicles of unknown length all would have to go, so that nothing is said
        # but what to measure.
        return Dropped(
            places=None,
            proved=False,
        )
    barred: list[bool] = []
    for vehicle, found in zip(case.train.vehicles, each, strict=True):
        barred += [found.barred] * vehicle.count
    unfit = frozenset(place for place, is_barred in enumerate(barred) if is_barred)
    return to_leave_off(train, case.place, given, room_mm=stood.room_mm, unfit=unfit)


def _places_that_hold(case: TrainFitCase, train: Coupled) -> Iterator[PlaceThatHolds]:
    for other in case.other_places:
        spare_mm = spare_there(
            case.train,
            train,
            other.place,
            known_by=other.known_by,
            stopping_margin_mm=case.stopping_margin_mm,
        )
        if spare_mm is not None:
            each = (
                suited(vehicle, other.place, types=train.types)
                for vehicle in case.train.vehicles
            )
            yield PlaceThatHolds(
                id=other.id,
                name=other.place.name,
                spare_mm=spare_mm,
                reaching=reaching_of(each),
            )


def _also(place: Place, length_mm: float | None) -> Iterator[AlsoMeasured]:
    lengths: tuple[tuple[AlsoField, float | None], ...] = (
        ("blades_to_blades_mm", place.blades_to_blades_mm),
        ("stop_to_stop_mm", place.stop_to_stop_mm),
    )
    for field, road_mm in lengths:
        if road_mm is None:
            continue
        spare_mm: float | None = None
        if length_mm is not None:
            spare_mm = tidy(road_mm - length_mm)
        yield AlsoMeasured(
            field=field,
            length_mm=road_mm,
            spare_mm=spare_mm,
        )


def _overhang(place: Place, stood: Stood) -> TurntableOverhang | None:
    hangs = stood.overhang
    if hangs is None:
        return None
    return TurntableOverhang(
        beyond_rails_mm=hangs.beyond_rails_mm,
        circle_needed_mm=hangs.circle_mm,
        circle_over_bodies_mm=hangs.over_bodies_mm,
        clear_circle_mm=place.clear_circle_mm,
    )


def _wheel_reserve(train: Coupled) -> WheelReserve:
    return WheelReserve(
        head_mm=reserve_mm(train.members[0], at_head=True),
        tail_mm=reserve_mm(train.members[-1], at_head=False),
    )


@as_written
def gather(sources: Sources, request: TrainFitRequest) -> TrainFitCase:
    """Return the case that a request makes, with all it names on record resolved."""
    train, place = all_of(
        lambda: sources.trains.of(request.train, "/train"),
        lambda: sources.places.of(request.place, "/place"),
    )
    return case_of(sources, train, place, stopping_margin_mm=request.stopping_margin_mm)


def case_of(
    sources: Sources,
    train: Train,
    place: KnownPlace,
    *,
    stopping_margin_mm: float | None,
) -> TrainFitCase:
    """Return the case of a train and a place, which brings the other places of its
    layout where it is on record.
    """
    return TrainFitCase(
        train=train,
        place=place.place,
        known_by=place.known_by,
        on_plan=place.on_plan,
        stopping_margin_mm=stopping_margin_mm,
        types=sources.couplings.types_of(train.vehicles),
        other_places=tuple(_other(one) for one in place.others),
    )


def _other(one: NamedPlace) -> OtherPlace:
    return OtherPlace(
        id=one.id or "",
        place=one.place,
        known_by=one.known_by,
        on_plan=one.on_plan,
    )


def gather_at_place(
    sources: Sources, ids: Mapping[str, str], query: PlaceTrainFitQuery
) -> TrainFitCase:
    """Return the case of a train and a place that are both on record."""
    layout_id = ids["layout_id"]
    sources.records.read_ahead(query.train_id, layout_id=layout_id)
    place = sources.places.at(layout_id, ids["place_id"])
    train = sources.trains.asked(query.train_id, "train_id")
    margin_mm = query.stopping_margin_mm
    return case_of(sources, train, place, stopping_margin_mm=margin_mm)


QUESTION = Question(
    id="checkTrainFit",
    at="/v1/checks/train-fit",
    asks="Does this train fit this place?",
    tells=(
        "How long the train is coupled together, what is left over in the place, and"
        " what would help if it does not fit. Train and place may be given inline or by"
        " their ids."
    ),
    request=TrainFitRequest,
    answer=TrainFitAnswer,
    gather=gather,
    reckon=reckon,
    heavy=or_a_plan(),
    most_bytes=PLAN_BYTES,
    example={"train": MILK_TRAIN, "place": SIDING, "stopping_margin_mm": 20},
    refused=NO_TRAIN,
    warns=Shows("unit", "usable_length_mm", {"place": SHORT_SIDING}),
    others=(
        OnRecord(
            id="getPlaceTrainFit",
            at="/v1/layouts/{layout_id}/places/{place_id}/train-fit",
            asks="Does a train on record fit a place on record?",
            tells=(
                "As the inline question, with everything on record; names other places"
                " of the layout that hold the train."
            ),
            parameters=PlaceTrainFitQuery,
            answer=TrainFitAnswer,
            gather=gather_at_place,
            reckon=reckon,
            heavy=or_a_plan(),
            example={"train_id": "{train_id}"},
            refused={"train_id": NOBODY},
            warns=Shows("unit", "usable_length_mm", recorded=SHORT_ON_RECORD),
        ),
    ),
)
