"""The longest train for a place: what of the pool may go in, the best train of it, and
what was left out and why.
"""

from collections.abc import Iterator, Sequence
from itertools import chain, islice, product
from math import floor, inf
from typing import Literal

import msgspec

from standage.railway.longest.cars import (
    Car,
    Front,
    PoolVehicle,
    cars_of,
    front_of,
    made_up_of,
    members_of,
    unsure_joints,
    with_shortest,
)
from standage.railway.longest.room import A_MILLIMETRE, A_VEHICLE, By
from standage.railway.longest.search import DEFAULT_BUDGET, Found, Task, longest
from standage.railway.roads.allowances import Allowance, platform_face_mm
from standage.railway.roads.places import Place
from standage.railway.standing.spare import Stood, stand, unsurveyed
from standage.railway.standing.suitability import suited
from standage.railway.standing.verdicts import (
    WORST_FIRST,
    Finding,
    FitVerdict,
    overall,
    sorted_reasons,
)
from standage.railway.stock.coupled import Coupled, Member
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.extents import Unsaid, lacking, to_name
from standage.railway.stock.joints import gap
from standage.railway.stock.vehicles import Standing
from standage.railway.terms.figures import tidy
from standage.railway.terms.reasons import Reason

BY_TRIAL_STEPS = 1_500
"""So many trains are looked at where each has to be stood to know whether it stands."""

MOST_KEPT_APART = 3
"""So many pairs are told that would stand inside each other."""

ChoiceVerdict = Literal["holds_none", "cannot_tell", "holds"]


class LeftOut(msgspec.Struct, frozen=True, kw_only=True):
    """An entry of the pool that may not go in, by its place in it, with the worst that
    was found of it.
    """

    place: int
    verdict: FitVerdict
    reason: Reason


class Choice(msgspec.Struct, frozen=True, kw_only=True):
    """The best train: its vehicles behind the engines, by their places in the pool;
    None where none stands.

    ``proved`` tells that none of what could be judged has more vehicles, or none is
    longer, as was asked. ``at_most_vehicles`` behind the engines, or ``at_most_mm``, is
    what no train exceeds, where that is known. ``kept_apart`` tells of neighbours that
    were never coupled, since they would stand inside each other.
    """

    verdict: ChoiceVerdict
    taken: tuple[int, ...] | None
    proved: bool
    at_most_vehicles: int | None = None
    at_most_mm: float | None = None
    steps: int = 0
    left_out: tuple[LeftOut, ...] = ()
    kept_apart: tuple[Reason, ...] = ()
    because: tuple[Reason, ...] = ()
    questions: tuple[Reason, ...] = ()
    """Couplings of which nobody knows whether they take hold of each other; the train
    has no such joint.
    """


class TrainWanted(msgspec.Struct, frozen=True, kw_only=True):
    """What is asked: the best train of ``engines`` in that order, and vehicles of
    ``pool`` behind them, that fits ``place``.

    ``given`` is what of the place may be stood on.
    """

    engines: Sequence[Standing]
    pool: Sequence[PoolVehicle]
    place: Place
    given: Allowance
    by: By
    types: CouplingTypes

    @property
    def by_trial(self) -> bool:
        """Whether another length than the train pulled out counts, so that each train
        has to be stood there to know whether it stands.
        """
        return self.place.kind in {"turntable", "reversing_section"}

    @property
    def order_counts(self) -> bool:
        """Whether it matters in which order the same vehicles stand."""
        return self.by_trial or platform_face_mm(self.place) is not None

    def stood(self, train: Coupled) -> Stood:
        """Return how a train stands in the place."""
        return stand(train, self.place, self.given)


def choose(wanted: TrainWanted, *, budget_steps: int = DEFAULT_BUDGET) -> Choice:
    """Return the best train that there is of what is ``wanted``.

    Best is by the number of vehicles, then the length; or by the length, then the
    number. It fits for certain, its ± and the road's own included, and no vehicle in it
    is known not to get there. Each stands the way round it is given; one of which a
    figure is missing is left out. **Source** derived.
    """
    front = front_of(wanted.engines, types=wanted.types)
    against = [*_against(wanted), *_unknown_front(front)]
    if against:
        return _ruled_out(against)
    return _Choosing(wanted, front, budget_steps).choice()


def _ruled_out(against: Sequence[Finding]) -> Choice:
    """Return the choice where no train can stand there for certain."""
    never = overall(against) == "does_not_fit"
    return Choice(
        verdict="holds_none" if never else "cannot_tell",
        taken=None,
        proved=True,
        because=sorted_reasons(against),
    )


class _Choosing:
    """One question that nothing speaks against, answered step by step."""

    def __init__(
        self, wanted: TrainWanted, front: Front | None, budget_steps: int
    ) -> None:
        self._wanted = wanted
        self._front = front
        self._members = members_of(wanted.pool, types=wanted.types)
        self._barred: list[LeftOut] = []
        self._suits: list[int] = []
        for number, one in enumerate(wanted.pool):
            barred = _barred(number, one.vehicle, wanted)
            if barred is None:
                self._suits.append(number)
            else:
                self._barred.append(barred)
        self._steps = budget_steps
        if wanted.order_counts:
            self._steps = min(budget_steps, BY_TRIAL_STEPS)

    def choice(self) -> Choice:
        """Return the best train, what was left out of it, and what is asked."""
        cars, found = self._search(self._front, self._members)
        if found.order is None:
            unsaid = self._decided_by()
            if unsaid:
                because = to_name(unsaid)
                return Choice(
                    verdict="cannot_tell", taken=None, proved=True, because=because
                )
        left_out = sorted(
            [*self._barred, *self._not_known(cars)], key=lambda one: one.place
        )
        told = _told(
            found,
            cars,
            by=self._wanted.by,
            left_out=left_out,
        )
        ahead = self._front.members if self._front else ()
        apart = _kept_apart(cars, self._front)
        unsure = unsure_joints((*ahead, *self._members), types=self._wanted.types)
        return msgspec.structs.replace(
            told,
            kept_apart=tuple(islice(apart, MOST_KEPT_APART)),
            questions=tuple(islice(unsure, MOST_KEPT_APART)),
        )

    def _search(
        self, front: Front | None, members: Sequence[Member]
    ) -> tuple[list[Car], Found]:
        wanted = self._wanted
        cars = cars_of(
            wanted.pool, members, places=self._suits, alike=not wanted.order_counts
        )
        task = _task(wanted, cars, front)
        return cars, longest(task, budget_steps=self._steps)

    def _decided_by(self) -> tuple[Unsaid, ...]:
        """Return the couplings that nobody has named, where a train stands with the
        shortest that may be meant.
        """
        unsaid = _unsaid(self._front, self._members)
        if not unsaid:
            return ()
        front = with_shortest(self._front, types=self._wanted.types)
        members = [member.shortest() for member in self._members]
        _, at_best = self._search(front, members)
        if at_best.order is None:
            return ()
        return unsaid

    def _not_known(self, cars: Sequence[Car]) -> Iterator[LeftOut]:
        """Yield what gets there, but went into no car for its figures."""
        usable = set(chain.from_iterable(car.copies for car in cars))
        for number in self._suits:
            if number not in usable:
                yield _not_known(number, self._members[number])


def _against(wanted: TrainWanted) -> Iterator[Finding]:
    """Yield what speaks against every train there: the road not measured, an engine
    that does not get there.
    """
    if wanted.given.room_mm is None:
        reason = unsurveyed(wanted.place, wanted.given)
        yield Finding(
            verdict="cannot_tell",
            reason=reason,
        )
    for engine in wanted.engines:
        found = suited(engine, wanted.place, types=wanted.types)
        if found.barred:
            yield from found.against()


def _unknown_front(front: Front | None) -> Iterator[Finding]:
    if front is None:
        return
    if front.leading is not None or front.alone is not None:
        return
    # which couplings take hold is no part of the length, so no types are needed
    whole = made_up_of(front.members, types=CouplingTypes()).pulled_out()
    for reason in lacking(whole.missing):
        yield Finding(verdict="cannot_tell", reason=reason)


def _kept_apart(cars: Sequence[Car], front: Front | None) -> Iterator[Reason]:
    """Yield for every two that might be neighbours why they would stand inside each
    other, each reach once.
    """
    following = [car.member for car in cars]
    leading = list(following)
    if front is not None:
        leading.insert(0, front.members[-1])
    told: set[Reason] = set()
    for one, other in product(leading, following):
        for missing in gap(one.tail, other.head).missing:
            reason = missing.reason
            if reason is None or reason in told:
                continue
            told.add(reason)
            yield reason


def _unsaid(front: Front | None, members: Sequence[Member]) -> tuple[Unsaid, ...]:
    unsaid: list[Unsaid] = []
    if front is not None:
        for engine in front.members:
            unsaid += engine.unsaid
    for member in members:
        unsaid += member.unsaid
    return tuple(unsaid)


def _task(wanted: TrainWanted, cars: Sequence[Car], front: Front | None) -> Task:
    def stands(train: Coupled) -> bool:
        return wanted.stood(train).verdict == "fits"

    def hopeless(train: Coupled) -> bool:
        return wanted.stood(train).fit.verdict == "does_not_fit"

    room_mm = wanted.given.room_mm
    if wanted.by_trial:
        room_mm = None
    elif room_mm is not None:
        room_mm -= wanted.given.plus_minus_mm
    return Task(
        cars=cars,
        front=front,
        by=wanted.by,
        room_mm=room_mm,
        order_counts=wanted.order_counts,
        stands=stands,
        hopeless=hopeless if wanted.by_trial else None,
        types=wanted.types,
    )


def _barred(number: int, vehicle: Standing, wanted: TrainWanted) -> LeftOut | None:
    found = suited(vehicle, wanted.place, types=wanted.types)
    if not found.barred:
        return None
    worst = min(found.findings, key=lambda one: WORST_FIRST.index(one.verdict))
    return LeftOut(
        place=number,
        verdict=worst.verdict,
        reason=worst.reason,
    )


def _not_known(number: int, member: Member) -> LeftOut:
    missing = (
        *member.length.extent.missing,
        *member.head.reach.missing,
        *member.tail.reach.missing,
    )
    if missing:
        return LeftOut(place=number, verdict="cannot_tell", reason=lacking(missing)[0])
    message = (
        f"{member.name}: measure its couplings again; by these figures its neighbour"
        " would stand inside it"
    )
    reason = Reason(
        code="figures_disagree",
        message=message,
        vehicle=member.name,
        field=f"{member.head.at}_coupling.reach_mm",
    )
    return LeftOut(place=number, verdict="cannot_tell", reason=reason)


def _told(
    found: Found, cars: Sequence[Car], *, by: By, left_out: Sequence[LeftOut]
) -> Choice:
    if found.order is None:
        return _none_stands(found, left_out)
    copies = [iter(car.copies) for car in cars]
    at_most_vehicles: int | None = None
    at_most_mm: float | None = None
    if found.at_most < inf and by == "number":
        at_most_vehicles = floor(found.at_most / A_VEHICLE)
    elif found.at_most < inf:
        at_most_mm = tidy(found.at_most / A_MILLIMETRE)
    return Choice(
        verdict="holds",
        taken=tuple(next(copies[car]) for car in found.order),
        # none has more vehicles than that, though one may be longer
        proved=found.proved or at_most_vehicles == len(found.order),
        at_most_vehicles=at_most_vehicles,
        at_most_mm=at_most_mm,
        steps=found.steps,
        left_out=tuple(left_out),
    )


def _none_stands(found: Found, left_out: Sequence[LeftOut]) -> Choice:
    not_known = any(one.verdict == "cannot_tell" for one in left_out)
    sure = found.proved and not not_known
    return Choice(
        verdict="holds_none" if sure else "cannot_tell",
        taken=None,
        proved=found.proved,
        steps=found.steps,
        left_out=tuple(left_out),
    )
