"""How far from nose to nose in a crossover, and how much straight between its curves?"""

from collections.abc import Iterable, Iterator
from typing import Annotated, Literal

import msgspec

from standage.questions.asked_points import (
    AskedPoints,
    gauge_missing,
    measured_otherwise,
    points_assumed,
    radius_within_gauge,
    spacing_within_gauge,
)
from standage.questions.question import Question, Shows, as_asked
from standage.questions.reckoning import NOT_YET, Warnings, warned
from standage.railway.pointwork.crossovers import Crossover
from standage.railway.pointwork.ladders import spacing_for_curves_mm
from standage.railway.terms.figures import (
    LONGEST_MM,
    PointsRadiusMm,
    SpacingMm,
    VehicleLengthMm,
    at_least,
    at_most,
    exceeds,
    millimetres,
    says,
    tidy,
    tidy_down,
    tidy_if_known,
    tidy_up,
)
from standage.railway.terms.reasons import Assumed, Reason
from standage.shapes.faults import Fault

SBend = Literal["none", "short", "cannot_tell"]
CrossoverVerdict = Literal["runs", "marginal", "cannot_be_laid", "cannot_tell"]
_VERDICTS: dict[SBend, CrossoverVerdict] = {
    "none": "runs",
    "short": "marginal",
    "cannot_tell": "cannot_tell",
}


class CrossoverRequest(AskedPoints, frozen=True, kw_only=True):
    """Two parallel roads, and the points of a crossover between them."""

    spacing_mm: Annotated[SpacingMm, says("Between the roads' centre lines, in mm.")]
    radius_mm: Annotated[
        PointsRadiusMm | None,
        says("Of the curve in the points, to its centre line, in mm."),
    ] = None
    longest_vehicle_mm: Annotated[
        VehicleLengthMm | None, says("The longest vehicle that runs over it, in mm.")
    ] = None

    def rules(self) -> Iterable[Fault]:
        """Points, on track of a gauge."""
        yield from super().rules()
        yield from gauge_missing(self)
        yield from spacing_within_gauge(self, self.spacing_mm)
        yield from radius_within_gauge(self, self.radius_mm, "/radius_mm")

    @property
    def crossover(self) -> Crossover:
        """The crossover that is asked about."""
        return Crossover(
            parting=self.parting,
            spacing_mm=self.spacing_mm,
            gauge_mm=self.known_gauge_mm or 0.0,
        )

    @property
    def straight_mm(self) -> float | None:
        """How much straight lies between its curves, in mm; None without a radius."""
        if self.radius_mm is None:
            return None
        return tidy(self.crossover.straight_mm(radius_mm=self.radius_mm))


class CrossoverAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The lengths of a crossover, and whether it is an S-bend to be feared."""

    verdict: Annotated[
        CrossoverVerdict, says("Whether it can be laid, and the longest vehicle runs.")
    ]
    angle_deg: Annotated[float, says("At which the roads part, in degrees.")]
    nose_to_nose_along_line_mm: Annotated[
        float, says("From nose to nose along the roads, in mm.")
    ]
    nose_to_nose_along_crossover_mm: Annotated[
        float, says("The same along the crossover, in mm.")
    ]
    straight_mm: Annotated[
        float | None,
        says("Between the two curves, in mm; below 0 they overlap; null: no radius."),
    ]
    s_bend: Annotated[SBend, says("Whether that is too short for the longest vehicle.")]
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("What was not said.")]
    warnings: Warnings = NOT_YET


@warned
def reckon(request: CrossoverRequest) -> CrossoverAnswer:
    """Return the lengths of the crossover of ``request``."""
    laid = request.crossover
    s_bend = _s_bend(request)
    return CrossoverAnswer(
        verdict=_verdict(request, s_bend),
        angle_deg=tidy(laid.parting.angle_deg),
        nose_to_nose_along_line_mm=tidy(laid.noses_along_line_mm),
        nose_to_nose_along_crossover_mm=tidy(laid.noses_along_crossover_mm),
        straight_mm=tidy_if_known(request.straight_mm),
        s_bend=s_bend,
        because=tuple(_because(request, s_bend)),
        assumed=tuple(_assumed(request)),
    )


def _s_bend(request: CrossoverRequest) -> SBend:
    longest_mm = request.longest_vehicle_mm
    straight_mm = request.straight_mm
    if straight_mm is not None and straight_mm < 0:
        return "short"
    if longest_mm is None:
        return "cannot_tell"
    if straight_mm is not None:
        return "short" if exceeds(longest_mm, limit=straight_mm) else "none"
    # Any curve takes something of what lies between the crossings of the lines.
    between_mm = tidy(request.crossover.along_crossover_mm)
    return "short" if longest_mm >= between_mm else "cannot_tell"


def _verdict(request: CrossoverRequest, s_bend: SBend) -> CrossoverVerdict:
    if _noses_overlap(request) or _curves_overlap(request):
        return "cannot_be_laid"
    return _VERDICTS[s_bend]


def _noses_overlap(request: CrossoverRequest) -> bool:
    return tidy(request.crossover.noses_along_crossover_mm) < 0


def _curves_overlap(request: CrossoverRequest) -> bool:
    straight_mm = request.straight_mm
    return straight_mm is not None and straight_mm < 0


def _because(request: CrossoverRequest, s_bend: SBend) -> Iterator[Reason]:
    laid = request.crossover
    if _noses_overlap(request):
        over_mm = -tidy(laid.noses_along_crossover_mm)
        message = (
            f"the noses would pass each other by {millimetres(over_mm)}: two ordinary"
            " sets of points do not go so near each other"
        )
        yield Reason(code="noses_overlap", message=message, amount_mm=over_mm)
    if _curves_overlap(request):
        over_mm = -(request.straight_mm or 0.0)
        message = f"the curves of the two sets of points would overlap by {millimetres(over_mm)}"
        yield Reason(code="curves_overlap", message=message, amount_mm=over_mm)
    if s_bend == "cannot_tell":
        yield from _missing(request)
    elif request.longest_vehicle_mm is not None:
        yield _held_against(request, request.longest_vehicle_mm, s_bend)
    if s_bend == "short" or _noses_overlap(request):
        yield from _advice(request)
    if not _noses_overlap(request):
        yield _noses(laid)


def _noses(laid: Crossover) -> Reason:
    """Return how far it is from nose to nose. Along the roads a steep crossover's may lie
    past each other though along the crossover they do not.
    """
    along_line_mm = tidy(laid.noses_along_line_mm)
    along_crossover = millimetres(laid.noses_along_crossover_mm)
    if along_line_mm < 0:
        message = (
            f"from nose to nose {along_crossover} along the crossover; along the roads"
            f" they lie {millimetres(-along_line_mm)} past each other"
        )
    else:
        message = (
            f"from nose to nose {millimetres(along_line_mm)} along the roads,"
            f" {along_crossover} along the crossover"
        )
    return Reason(code="nose_to_nose", message=message, value_mm=along_line_mm)


def _missing(request: CrossoverRequest) -> Iterator[Reason]:
    """Yield each figure that is missing to know whether the straight is long enough."""
    if request.longest_vehicle_mm is None:
        yield _give("longest_vehicle_mm", "the length of the longest vehicle")
    if request.radius_mm is None:
        yield _give("radius_mm", "the radius of the points' curve")


def _give(field: str, words: str) -> Reason:
    message = (
        "nobody can tell whether the straight between the curves is long enough: give"
        f" {words}"
    )
    return Reason(code="missing_figure", message=message, field=field)


def _held_against(
    request: CrossoverRequest, longest_mm: float, s_bend: SBend
) -> Reason:
    longest = millimetres(longest_mm)
    straight_mm = request.straight_mm
    if straight_mm is None:
        between_mm = tidy(request.crossover.along_crossover_mm)
        message = (
            f"the whole crossover has {millimetres(between_mm)} between the crossings of"
            f" its lines: too short for {longest}, whatever the radius"
        )
    elif straight_mm <= 0:
        message = (
            f"no straight is left between the curves for the {longest} of a vehicle"
        )
    elif s_bend == "short":
        message = (
            f"an S-bend: {at_most(straight_mm)} of straight between the curves, too short"
            f" for the {longest} of the longest vehicle"
        )
    else:
        message = (
            f"{at_most(straight_mm)} of straight between the curves is enough for the"
            f" {longest} of the longest vehicle"
        )
    code = "s_bend_short" if s_bend == "short" else "straight_enough"
    return Reason(code=code, message=message, value_mm=straight_mm, limit_mm=longest_mm)


def _advice(request: CrossoverRequest) -> Iterator[Reason]:
    """Yield what would let the longest vehicle over, or where none is known would let the
    crossover be laid; each with the verdict that it brings.
    """
    laid = request.crossover
    wider_mm = tidy_up(_least_spacing_mm(request))
    message = f"lay the roads {at_least(wider_mm)} apart or more"
    yield from _if_it_helps(
        request,
        msgspec.structs.replace(request, spacing_mm=wider_mm),
        Reason(
            code="lay_wider", message=message, field="spacing_mm", limit_mm=wider_mm
        ),
    )
    most_mm = tidy_down(
        laid.greatest_radius_mm(straight_mm=request.longest_vehicle_mm or 0.0)
    )
    if request.radius_mm is None or most_mm <= laid.gauge_mm / 2:
        return
    message = f"or use points of a radius of {at_most(most_mm)} or less"
    yield from _if_it_helps(
        request,
        msgspec.structs.replace(request, radius_mm=most_mm),
        Reason(
            code="curve_sharper", message=message, field="radius_mm", limit_mm=most_mm
        ),
    )


def _least_spacing_mm(request: CrossoverRequest) -> float:
    laid = request.crossover
    noses_mm = 2 * laid.parting.nose_mm(laid.gauge_mm) * laid.parting.sine
    if request.radius_mm is None:
        return noses_mm
    curves_mm = spacing_for_curves_mm(
        laid.parting,
        radius_mm=request.radius_mm,
        straight_mm=request.longest_vehicle_mm or 0.0,
    )
    return max(noses_mm, curves_mm)


def _if_it_helps(
    request: CrossoverRequest, altered: CrossoverRequest, advice: Reason
) -> Iterator[Reason]:
    """Yield a piece of advice with the verdict that it brings, where that is another; none
    that is more than can be asked about.
    """
    if advice.limit_mm is not None and advice.limit_mm > LONGEST_MM:
        return
    brings = _verdict(altered, _s_bend(altered))
    if brings != _verdict(request, _s_bend(request)):
        yield msgspec.structs.replace(advice, brings=brings)


def _assumed(request: CrossoverRequest) -> Iterator[Assumed]:
    yield from points_assumed(request, otherwise=_otherwise(request))
    if request.radius_mm is not None:
        message = (
            "each curve is taken to begin at the tips and to reach as far beyond the"
            " crossing of the lines, R tan(angle ÷ 2)"
        )
        yield Assumed(field="straight_mm", message=message, source="default")


def _otherwise(request: CrossoverRequest) -> str:
    other = measured_otherwise(request)
    if other is None:
        return ""
    along_mm = other.crossover.noses_along_line_mm
    return f"{millimetres(along_mm)} from nose to nose along the roads"


_YARD_THROAT = {
    "spacing_mm": 50,
    "number": 6,
    "number_is": "centre_line",
    "scale": "00",
    "radius_mm": 610,
    "longest_vehicle_mm": 258,
}
QUESTION = Question(
    id="checkCrossover",
    at="/v1/checks/crossover",
    asks="How far from nose to nose in a crossover, and is it an S-bend?",
    tells=(
        "Along the roads and along the crossover; with the points' radius the straight"
        " between the two curves, held against the longest vehicle."
    ),
    request=CrossoverRequest,
    answer=CrossoverAnswer,
    gather=as_asked,
    reckon=reckon,
    example=_YARD_THROAT,
    refused=_YARD_THROAT | {"angle_deg": 9.5},
    warns=Shows("spacing_or_gap", "spacing_mm", {"spacing_mm": 28.5}),
)
