"""The longest train for a place: what of the pool may go in, the best train of it, and
what was left out and why.
"""

from collections.abc import Iterator, Sequence
from itertools import islice, product
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
from standage.railway.roads.allowances import Allowance
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


def choose(  # noqa: PLR0913 - engines, pool and place are the question; the rest only says how
    engines: Sequence[Standing],
    pool: Sequence[PoolVehicle],
    place: Place,
    given: Allowance,
    *,
    by: By,
    types: CouplingTypes,
    budget_steps: int = DEFAULT_BUDGET,
) -> Choice:
    """Return the best train of ``engines`` in that order and vehicles of ``pool``
    behind them that fits ``place``.

    Best is by the number of vehicles, then the length; or by the length, then the
    number. It fits for certain, its ± and the road's own included, and no vehicle in it
    is known not to get there. Each stands the way round it is given; one of which a
    figure is missing is left out. **Source** derived.
    """
    front = front_of(engines, types=types)
    against = [*_against(engines, place, given, types=types), *_unknown_front(front)]
    if against:
        verdict: ChoiceVerdict = (
            "holds_none" if overall(against) == "does_not_fit" else "cannot_tell"
        )
        return Choice(
            verdict=verdict, taken=None, proved=True, because=sorted_reasons(against)
        )
    members = members_of(pool, types=types)
    barred = {
        number: _barred(number, one.vehicle, place, types=types)
        for number, one in enumerate(pool)
    }
    suits = [number for number, one in barred.items() if one is None]
    order_counts = _by_trial(place) or place.platform_face_mm is not None
    steps = min(budget_steps, BY_TRIAL_STEPS) if order_counts else budget_steps

    def search(
        front: Front | None, members: Sequence[Member]
    ) -> tuple[list[Car], Found]:
        cars = cars_of(pool, members, places=suits, alike=not order_counts)
        task = _task(
            cars, front, place, given, by=by, types=types, order_counts=order_counts
        )
        return cars, longest(task, budget_steps=steps)

    cars, found = search(front, members)
    unsaid = _unsaid(front, members) if found.order is None else ()
    if unsaid:
        _, at_best = search(
            with_shortest(front, types=types), [member.shortest() for member in members]
        )
        if at_best.order is not None:
            return Choice(
                verdict="cannot_tell", taken=None, proved=True, because=to_name(unsaid)
            )
    usable = {copy for car in cars for copy in car.copies}
    unknown = [
        _not_known(number, members[number]) for number in suits if number not in usable
    ]
    left_out = [*(one for one in barred.values() if one is not None), *unknown]
    told = _told(
        found, cars, by=by, left_out=sorted(left_out, key=lambda one: one.place)
    )
    engines_and_pool = (*(front.members if front else ()), *members)
    return msgspec.structs.replace(
        told,
        kept_apart=tuple(islice(_kept_apart(cars, front), MOST_KEPT_APART)),
        questions=tuple(
            islice(unsure_joints(engines_and_pool, types=types), MOST_KEPT_APART)
        ),
    )


def _against(
    engines: Sequence[Standing], place: Place, given: Allowance, *, types: CouplingTypes
) -> Iterator[Finding]:
    """Yield what speaks against every train there: the road not measured, an engine
    that does not get there.
    """
    if given.room_mm is None:
        yield Finding(verdict="cannot_tell", reason=unsurveyed(place, given))
    for engine in engines:
        found = suited(engine, place, types=types)
        if found.barred:
            yield from found.against()


def _unknown_front(front: Front | None) -> Iterator[Finding]:
    if front is not None and front.leading is None and front.alone is None:
        whole = made_up_of(front.members, types=CouplingTypes()).pulled_out()
        yield from (
            Finding(verdict="cannot_tell", reason=reason)
            for reason in lacking(whole.missing)
        )


def _kept_apart(cars: Sequence[Car], front: Front | None) -> Iterator[Reason]:
    """Yield for every two that might be neighbours why they would stand inside each
    other, each reach once.
    """
    following = [car.member for car in cars]
    leading = following if front is None else [*front.members[-1:], *following]
    told: set[Reason] = set()
    for one, other in product(leading, following):
        joint = gap(one.tail, other.head)
        for missing in joint.missing:
            if missing.reason is not None and missing.reason not in told:
                told.add(missing.reason)
                yield missing.reason


def _unsaid(front: Front | None, members: Sequence[Member]) -> tuple[Unsaid, ...]:
    engines = () if front is None else front.members
    return tuple(unsaid for member in (*engines, *members) for unsaid in member.unsaid)


def _by_trial(place: Place) -> bool:
    return place.kind in {"turntable", "reversing_section"}


def _task(  # noqa: PLR0913 - one field of the task each
    cars: Sequence[Car],
    front: Front | None,
    place: Place,
    given: Allowance,
    *,
    by: By,
    types: CouplingTypes,
    order_counts: bool,
) -> Task:
    def stood(train: Coupled) -> Stood:
        return stand(train, place, given)

    room_mm = (
        None
        if given.room_mm is None or _by_trial(place)
        else given.room_mm - given.plus_minus_mm
    )
    return Task(
        cars=cars,
        front=front,
        by=by,
        room_mm=room_mm,
        order_counts=order_counts,
        stands=lambda train: stood(train).verdict == "fits",
        hopeless=(
            (lambda train: stood(train).fit.verdict == "does_not_fit")
            if _by_trial(place)
            else None
        ),
        types=types,
    )


def _barred(
    number: int, vehicle: Standing, place: Place, *, types: CouplingTypes
) -> LeftOut | None:
    found = suited(vehicle, place, types=types)
    if not found.barred:
        return None
    worst = min(found.findings, key=lambda one: WORST_FIRST.index(one.verdict))
    return LeftOut(place=number, verdict=worst.verdict, reason=worst.reason)


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
        unsure = not found.proved or any(
            one.verdict == "cannot_tell" for one in left_out
        )
        return Choice(
            verdict="cannot_tell" if unsure else "holds_none",
            taken=None,
            proved=found.proved,
            steps=found.steps,
            left_out=tuple(left_out),
        )
    copies = [iter(car.copies) for car in cars]
    known = found.at_most < inf
    most = floor(found.at_most / A_VEHICLE) if known and by == "number" else None
    return Choice(
        verdict="holds",
        taken=tuple(next(copies[car]) for car in found.order),
        proved=found.proved or most == len(found.order),
        at_most_vehicles=most,
        at_most_mm=(
            tidy(found.at_most / A_MILLIMETRE) if known and by == "length" else None
        ),
        steps=found.steps,
        left_out=tuple(left_out),
    )
