"""Which of our vehicles may not use a curve of that radius?"""

from collections.abc import Iterable, Iterator, Mapping
from typing import Annotated

import msgspec

from standage.questions.asked import StockFilter
from standage.questions.question import InPages, Page, Shows
from standage.questions.reckoning import NOT_YET, Warnings, warned
from standage.questions.resolving.trains import NamedVehicle
from standage.questions.sources import Sources
from standage.railway.curving.curves import OnCurve, Weighed, weigh
from standage.railway.curving.verdicts import WORST_FIRST, CurveVerdict
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.terms.figures import RadiusMm, Tolerance, agreeing, counted, says
from standage.railway.terms.reasons import Assumed, Reason, told, worst
from standage.registry.records.kinds import VEHICLES
from standage.registry.records.reading import Listing, Position, position
from standage.shapes.faults import Fault
from standage.shapes.paging import Cursor, Next, NextCursor

MOST_LOOKED_AT = 200

LookedAt = Annotated[
    int,
    msgspec.Meta(
        ge=1, le=MOST_LOOKED_AT, description="How many vehicles a page looks at."
    ),
]


class UnsuitableStockQuery(StockFilter, frozen=True, kw_only=True):
    """Which curve, and which of the club's vehicles."""

    radius_mm: Annotated[
        RadiusMm,
        says("The radius of the curve to the centre line of the track, in mm."),
    ]
    radius_plus_minus_mm: Annotated[
        Tolerance | None,
        says("How far off the radius may be, either way, in mm; 0 if not said."),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """The curve is still a curve at the sharp end of its ±."""
        if (
            self.radius_plus_minus_mm is not None
            and self.radius_plus_minus_mm >= self.radius_mm
        ):
            message = "must be less than the radius itself"
            yield Fault(
                code="contradiction", message=message, pointer="/radius_plus_minus_mm"
            )


class CurveStockQuery(UnsuitableStockQuery, frozen=True, kw_only=True):
    """Which curve, which of the club's vehicles, and which page."""

    limit: LookedAt = MOST_LOOKED_AT
    cursor: Cursor | None = None


class UnsuitableStockCase(msgspec.Struct, frozen=True, kw_only=True):
    """All that the answer rests on; ``then`` is the last vehicle of this page where
    there are more.
    """

    radius_mm: RadiusMm
    vehicles: tuple[NamedVehicle, ...]
    types: tuple[CouplingKind, ...] = ()
    radius_plus_minus_mm: float = 0.0
    then: Position | None = None


class Unsuitable(msgspec.Struct, frozen=True, kw_only=True):
    """A vehicle that may not use the curve, or not for certain."""

    vehicle_id: Annotated[str | None, says("Its id.")]
    name: Annotated[str, says("What it is called.")]
    because: Annotated[tuple[Reason, ...], says("The reasons.")]


class UnsuitableStockAnswer(
    msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True
):
    """The vehicles of this page that may not use the curve, by how sure that is, each
    list by name.
    """

    verdict: Annotated[
        CurveVerdict, says("The worst verdict of this page; runs where all of it runs.")
    ]
    radius_mm: Annotated[float, says("The radius asked about, in mm.")]
    does_not_run: Annotated[
        tuple[Unsuitable, ...], says("Those that do not run on it.")
    ]
    cannot_tell: Annotated[
        tuple[Unsuitable, ...], says("Those of which too little is known.")
    ]
    marginal: Annotated[
        tuple[Unsuitable, ...], says("Those that may or may not; try them.")
    ]
    looked_at: Annotated[int, says("How many vehicles this page looked at.")]
    because: Annotated[tuple[Reason, ...], says("What this page comes to, in words.")]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    next: Next = None
    next_cursor: NextCursor = None
    warnings: Warnings = NOT_YET


@warned
def reckon(case: UnsuitableStockCase) -> UnsuitableStockAnswer:
    """Return the vehicles of ``case`` that may not use its curve."""
    types = CouplingTypes(case.types)
    weighed = [
        (
            one,
            weigh(
                one.vehicle,
                radius_mm=case.radius_mm,
                radius_plus_minus_mm=case.radius_plus_minus_mm,
                types=types,
            ),
        )
        for one in case.vehicles
    ]
    verdict = worst((each.answer.verdict for _, each in weighed), order=WORST_FIRST)
    lists = {one: tuple(_of(weighed, one)) for one in WORST_FIRST}
    return UnsuitableStockAnswer(
        verdict=verdict,
        radius_mm=case.radius_mm,
        does_not_run=lists["does_not_run"],
        cannot_tell=lists["cannot_tell"],
        marginal=lists["marginal"],
        looked_at=len(weighed),
        because=(_said(case, [each.answer for _, each in weighed]),),
        assumed=told(guess for _, each in weighed for guess in each.guesses),
    )


def _of(
    weighed: list[tuple[NamedVehicle, Weighed]], verdict: CurveVerdict
) -> Iterator[Unsuitable]:
    for one, each in weighed:
        if each.answer.verdict == verdict and verdict != "runs":
            yield Unsuitable(
                vehicle_id=one.id, name=one.vehicle.name, because=each.answer.because
            )


def _said(case: UnsuitableStockCase, answers: list[OnCurve]) -> Reason:
    counts = {
        verdict: sum(answer.verdict == verdict for answer in answers)
        for verdict in WORST_FIRST
    }
    do_not = agreeing(counts["does_not_run"], "does not run", "do not run")
    run = agreeing(counts["runs"], "runs", "run")
    message = (
        f"on a radius of {case.radius_mm:g} mm, of {counted(len(answers), 'vehicle')}"
        f" on this page: {counts['does_not_run']} {do_not}, {counts['cannot_tell']}"
        f" cannot be told, {counts['marginal']} marginal, {counts['runs']} {run}"
    )
    return Reason(
        code="looked_at",
        message=message,
        value_mm=case.radius_mm,
    )


def gather(
    sources: Sources,
    _ids: Mapping[str, str],
    query: CurveStockQuery,
    after: Position | None,
) -> UnsuitableStockCase:
    """Return the case of one page: so many vehicles of the club by name, from just
    after a position.
    """
    limit = query.limit
    found = sources.trains.stock(
        Listing(
            filters=query.filters(),
            after=after,
            limit=limit + 1,
        )
    )
    return UnsuitableStockCase(
        radius_mm=query.radius_mm,
        radius_plus_minus_mm=query.radius_plus_minus_mm or 0.0,
        vehicles=tuple(one for _, one in found[:limit]),
        types=sources.couplings.types(),
        then=position(VEHICLES, found[limit - 1][0]) if len(found) > limit else None,
    )


def page(case: UnsuitableStockCase) -> Page[UnsuitableStockAnswer]:
    """Return a page of the answer, and the last vehicle on it where there are more."""
    return Page(
        answer=reckon(case),
        then=case.then,
    )


QUESTION = InPages(
    id="getUnsuitableStock",
    at="/v1/curves/unsuitable-stock",
    asks="Which of our vehicles may not use this curve?",
    tells=(
        "Those that do not run on it, those of which too little is known, and those"
        " that may or may not; a page looks at so many vehicles by name."
    ),
    parameters=CurveStockQuery,
    answer=UnsuitableStockAnswer,
    gather=gather,
    reckon=page,
    example={"radius_mm": 438},
    refused={"radius": 438},
    warns=Shows("unit", "radius_mm", {"radius_mm": 24}),
)
