"""Which of these trains stand in which of these places? A whole table in one answer."""

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import msgspec

from standage.questions.asked import (
    each_of,
)
from standage.questions.example_stock import (
    DAIRY_LOOP,
    MILK_TRAIN,
    NOBODY,
    SHORT_SIDING,
    SIDING,
)
from standage.questions.fits_answer import (
    BestPlace,
    FitsAnswer,
    FitsCell,
    PlaceOfTable,
    TrainOfTable,
)
from standage.questions.fits_asked import (
    MOST_PLACES,
    FitsRequest,
    as_vehicles,
    told_apart,
)
from standage.questions.question import PLAN_BYTES, Question, Shows
from standage.questions.reckoning import (
    MayBeExact,
    as_written,
    or_a_plan,
    surveying,
    with_warnings,
)
from standage.questions.resolving.trains import NamedTrain
from standage.questions.sources import NamedPlace, Sources
from standage.railway.slips.slip import Slip
from standage.railway.standing.crosswise import Crosswise
from standage.railway.standing.verdicts import WORST_FIRST, Finding, of_vehicle
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.extents import lacking
from standage.railway.storing.best_places import (
    best_place,
    has_a_place,
    nearest_place,
)
from standage.railway.terms.figures import (
    agreeing,
    counted,
    tidy,
    tidy_if_known,
)
from standage.railway.terms.reasons import Assumed, Reason, worst
from standage.registry.records.reading import Listing
from standage.shapes.faults import all_of

MOST_ON_RECORD = 1000
"""So many of the club's trains go into one table."""
CUT_SHORT = f"only the first {MOST_ON_RECORD} trains by name were looked at"
MOST_TOLD = 10
"""Of so many trains without a place it is said why."""
MOST_GUESSED = 400
"""Of so many vehicles and sorts of road it is told what is taken for granted."""
HEAVY_PAIRS = 1_000
HEAVY_VEHICLES = 100
"""More of either is reckoned in a process of its own."""
_IN_A_RAKE = re.compile(r"trains/(\d+)/train/measured_rakes/(\d+)/length_mm")


class FitsCase(MayBeExact, frozen=True, kw_only=True):
    """All that a table rests on: ``by_length`` are the numbers of trains that were given
    so, ``layout`` is what the layout is called of which all places are meant, and ``cut``
    tells that the club has more trains.
    """

    trains: tuple[NamedTrain, ...]
    places: tuple[NamedPlace, ...]
    stopping_margin_mm: float | None = None
    types: tuple[CouplingKind, ...] = ()
    by_length: frozenset[int] = frozenset()
    layout: str | None = None
    cut: bool = False


class Tabulated(NamedTuple):
    """An answer, and the number of each train's best place."""

    answer: FitsAnswer
    best: tuple[int | None, ...]


def is_heavy(case: FitsCase) -> bool:
    """Tell whether it may take over 20 ms."""
    pairs = len(case.trains) * len(case.places)
    vehicles = sum(len(one.train.vehicles) for one in case.trains)
    return pairs > HEAVY_PAIRS or vehicles > HEAVY_VEHICLES


@surveying
def reckon(case: FitsCase) -> FitsAnswer:
    """Return every train of ``case`` against every place: verdict and spare of each
    pair as the question of one pair has them, without its reasons.
    """
    return tabulated(case).answer


def tabulated(case: FitsCase) -> Tabulated:
    """Return the table of a case whose roads of plans have their figures."""
    table = _Table(case)
    answer = with_warnings(table.answer(), case)
    slips = [_as_sent(one, case) for one in answer.warnings]
    answer = msgspec.structs.replace(answer, warnings=tuple(slips))
    return Tabulated(answer, tuple(table.best))


def _as_sent(slip: Slip, case: FitsCase) -> Slip:
    """Return a slip of a train's length with the field in which that was sent."""
    found = _IN_A_RAKE.fullmatch(slip.field)
    if found is None:
        return slip
    number = int(found[1])
    rake = "" if number in case.by_length else f"measured_rakes/{found[2]}/"
    field = f"trains/{number}/{rake}length_mm"
    return msgspec.structs.replace(slip, field=field)


class _Table:
    """One table, reckoned and put into words."""

    def __init__(self, case: FitsCase) -> None:
        self._case = case
        trains = [one.train for one in case.trains]
        places = [one.place for one in case.places]
        self._kinds = [one.kind for one in places]
        self._crosswise = Crosswise(
            trains,
            places,
            known_by=[one.known_by for one in case.places],
            types=CouplingTypes(case.types),
            stopping_margin_mm=case.stopping_margin_mm,
        )
        self._rows = [self._crosswise.row(train) for train in range(len(trains))]
        self.best = [best_place(row, self._kinds) for row in self._rows]
        self._verdicts = [has_a_place(row) for row in self._rows]

    def answer(self) -> FitsAnswer:
        return FitsAnswer(
            verdict=worst(self._verdicts, order=WORST_FIRST),
            trains=tuple(map(self._train, range(len(self._rows)))),
            places=tuple(map(self._place, range(len(self._kinds)))),
            cells=tuple(self._cells()),
            best=tuple(map(self._best_of, range(len(self._rows)))),
            because=tuple(self._because()),
            assumed=tuple(self._assumed()),
        )

    def _train(self, number: int) -> TrainOfTable:
        named, extent = self._case.trains[number], self._crosswise.length(number)
        length_mm = tidy_if_known(extent.length_mm)
        return TrainOfTable(
            name=named.name,
            train_id=named.id,
            length_mm=length_mm,
            plus_minus_mm=None if length_mm is None else tidy(extent.plus_minus_mm),
        )

    def _place(self, number: int) -> PlaceOfTable:
        named, given = self._case.places[number], self._crosswise.grounds[number].given
        return PlaceOfTable(
            name=named.name,
            place_id=named.id,
            usable_length_mm=given.usable_mm,
            stopping_margin_mm=given.margin_mm,
        )

    def _cells(self) -> Iterator[FitsCell]:
        names = [one.name for one in self._case.places]
        for named, row in zip(self._case.trains, self._rows, strict=True):
            for place, pair in zip(names, row, strict=True):
                yield FitsCell(
                    train=named.name,
                    place=place,
                    verdict=pair.verdict,
                    standing=pair.standing,
                    reaching=pair.reaching,
                    spare_mm=pair.spare_mm,
                    plus_minus_mm=pair.plus_minus_mm,
                )

    def _best_of(self, number: int) -> BestPlace:
        best = self.best[number]
        return BestPlace(
            train=self._case.trains[number].name,
            place=None if best is None else self._case.places[best].name,
            verdict=self._verdicts[number],
        )

    def _because(self) -> Iterator[Reason]:
        order = [WORST_FIRST.index(one) for one in self._verdicts]
        doubtful = [
            train for train, verdict in enumerate(self._verdicts) if verdict != "fits"
        ]
        doubtful.sort(key=order.__getitem__)
        for train in doubtful[:MOST_TOLD]:
            yield from self._why(train)
        more = len(doubtful) - MOST_TOLD
        if more > 0:
            have = agreeing(more, "has", "have")
            message = f"{counted(more, 'more train')} {have} no place here for certain"
            yield Reason(code="no_place", message=message)
        if self._case.cut:
            yield Reason(code="trains_cut_short", message=CUT_SHORT)
        yield self._in_all()

    def _why(self, train: int) -> Iterator[Reason]:
        """Yield that a train has no place for certain, and the worst reason where it
        comes nearest to one.
        """
        name = self._case.trains[train].name
        surely = self._verdicts[train] == "does_not_fit"
        certain = "" if surely else " for certain"
        yield Reason(code="no_place", message=f"{name} has no place here{certain}")
        missing = lacking(self._crosswise.length(train).missing)
        if missing and not surely:
            yield missing[0]
        elif self._kinds:
            yield self._worst_reason(train, name)

    def _worst_reason(self, train: int, name: str) -> Reason:
        place = self.best[train]
        if place is None:
            place = nearest_place(self._rows[train], self._kinds)
        paired = self._crosswise.pair(train, place)
        return _said_of(name, paired.because[0])

    def _in_all(self) -> Reason:
        trains, places = len(self._rows), len(self._kinds)
        counts = {one: self._verdicts.count(one) for one in WORST_FIRST}
        has, too_close = counts["fits"], counts["tight"]
        message = (
            f"{counted(trains, 'train')} against {counted(places, 'place')}:"
            f" {has} {agreeing(has, 'has', 'have')} a place for certain,"
            f" {too_close} only one that is too close to call,"
            f" {counts['cannot_tell']} cannot be told, {counts['does_not_fit']} none"
        )
        return Reason(code="looked_at", message=message)

    def _assumed(self) -> Iterator[Assumed]:
        on_the_way = self._crosswise.guessed_on_the_way(most=MOST_GUESSED)
        if on_the_way is None:
            message = (
                "what is guessed of how vehicles get to these places is told"
                " pair by pair: ask train-fit"
            )
            yield Assumed(field="reaching", message=message, source="taken_as_read")
        yield from self._crosswise.assumed(on_the_way or ())


def _said_of(name: str, reason: Reason) -> Reason:
    """Return a reason that speaks of the train with the train's own name."""
    finding = Finding(verdict="does_not_fit", reason=reason)
    return of_vehicle(finding, name).reason


@as_written
def gather(sources: Sources, request: FitsRequest) -> FitsCase:
    """Return the case that a request makes, with all it names on record resolved."""
    trains = [
        as_vehicles(one, number, exact=request.exact)
        for number, one in enumerate(request.trains, 1)
    ]
    named, places = all_of(
        lambda: sources.trains.several(trains, each_of("/trains", trains)),
        lambda: _places(sources, request),
    )
    return FitsCase(
        trains=_trains_told_apart(named),
        places=_places_told_apart(places.places),
        by_length=frozenset(
            number
            for number, one in enumerate(request.trains)
            if one.length_mm is not None
        ),
        layout=places.layout,
        stopping_margin_mm=request.stopping_margin_mm,
        types=sources.couplings.types(),
    )


def _trains_told_apart(trains: Sequence[NamedTrain]) -> tuple[NamedTrain, ...]:
    names = told_apart([one.name for one in trains], what="train")
    named = zip(trains, names, strict=True)
    return tuple(msgspec.structs.replace(one, name=name) for one, name in named)


def _places_told_apart(places: Sequence[NamedPlace]) -> tuple[NamedPlace, ...]:
    names = told_apart([one.name for one in places], what="place")
    named = zip(places, names, strict=True)
    return tuple(_place_called(name, one) for one, name in named)


def _place_called(name: str, named: NamedPlace) -> NamedPlace:
    if name == named.name:
        return named
    place = msgspec.structs.replace(named.place, name=name)
    return msgspec.structs.replace(named, place=place)


class _Places(NamedTuple):
    """Places, and the layout of which they are all."""

    places: tuple[NamedPlace, ...]
    layout: str | None


def _places(sources: Sources, request: FitsRequest) -> _Places:
    if request.layout_id is None:
        pointers = each_of("/places", request.places)
        places = sources.places.several(request.places, pointers)
        return _Places(places, None)
    layout = sources.places.layout_of(request.layout_id, "/layout_id", most=MOST_PLACES)
    return _Places(layout.places, layout.name)


def gather_layout(sources: Sources, layout_id: str) -> FitsCase:
    """Return the case of all the club's trains in all places of a layout; raises
    ``Absent``.
    """
    layout = sources.places.layout_at(layout_id)
    found = sources.trains.listed(Listing(limit=MOST_ON_RECORD + 1))
    return FitsCase(
        trains=_trains_told_apart([named for _, named in found[:MOST_ON_RECORD]]),
        places=layout.places,
        types=sources.couplings.types(),
        layout=layout.name,
        cut=len(found) > MOST_ON_RECORD,
    )


_VISITING = {"name": "Visiting railcar", "length_mm": 480, "scale": "00"}
_TRAINS = [{"name": "Milk", **MILK_TRAIN}, _VISITING]
QUESTION = Question(
    id="checkFits",
    at="/v1/checks/fits",
    asks="Which of these trains stand in which of these places?",
    tells=(
        "Up to 200 trains against up to 100 places; a pair's reasons: ask train-fit. Best"
        " is where a train fits, else is too close to call; of those where it runs; then"
        " where the least is left over. Null where no place holds it."
    ),
    request=FitsRequest,
    answer=FitsAnswer,
    gather=gather,
    reckon=reckon,
    heavy=or_a_plan(is_heavy),
    most_bytes=PLAN_BYTES,
    example={"trains": _TRAINS, "places": [SIDING, DAIRY_LOOP]},
    refused={"trains": _TRAINS, "places": [{"place_id": NOBODY}]},
    warns=Shows("unit", "usable_length_mm", {"places": [SHORT_SIDING]}),
)
