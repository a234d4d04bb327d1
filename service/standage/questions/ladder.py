"""How long is a ladder of points, and how near may its roads lie?"""

from collections.abc import Iterable, Iterator
from typing import Annotated, Literal

import msgspec

from standage.questions.asked_points import (
    AskedPoints,
    measured_otherwise,
    points_assumed,
    radius_within_gauge,
    spacing_within_gauge,
)
from standage.questions.question import Question, Shows, as_asked
from standage.questions.reckoning import NOT_YET, Warnings, warned
from standage.railway.pointwork.ladders import (
    Ladder,
    spacing_for_curves_mm,
    spacing_for_points_mm,
)
from standage.railway.terms.figures import (
    LONGEST_MM,
    Count,
    Length,
    PointsRadiusMm,
    SpacingMm,
    VehicleLengthMm,
    at_least,
    counted,
    exceeds,
    millimetres,
    says,
    tidy,
    tidy_if_known,
    tidy_up,
)
from standage.railway.terms.reasons import Assumed, Reason
from standage.shapes.faults import Fault

LadderVerdict = Literal["fits", "tight", "too_close", "cannot_tell"]
SpacingRule = Literal["points", "curves", "s_bend"]


class LadderRequest(AskedPoints, frozen=True, kw_only=True):
    """Roads at one spacing, and the points of the ladder that leads to them."""

    roads: Annotated[Count, says("How many roads.")]
    lead_counts: Annotated[
        bool, says("Whether the road that the ladder leaves is one of them.")
    ]
    spacing_mm: Annotated[SpacingMm, says("Between the roads' centre lines, in mm.")]
    points_length_mm: Annotated[
        Length | None,
        says("A set of points, from its tips to the end of its leg, in mm."),
    ] = None
    radius_mm: Annotated[
        PointsRadiusMm | None,
        says("Of the curve in the points, to its centre line, in mm."),
    ] = None
    longest_vehicle_mm: Annotated[
        VehicleLengthMm | None, says("The longest vehicle that runs there, in mm.")
    ] = None

    def rules(self) -> Iterable[Fault]:
        """Points, and roads that do not lie within each other."""
        yield from super().rules()
        yield from spacing_within_gauge(self, self.spacing_mm)
        yield from radius_within_gauge(self, self.radius_mm, "/radius_mm")

    @property
    def ladder(self) -> Ladder:
        """The ladder that is asked about."""
        return Ladder(
            parting=self.parting,
            spacing_mm=self.spacing_mm,
            roads=self.roads,
            lead_counts=self.lead_counts,
        )


class LeastSpacing(msgspec.Struct, frozen=True, kw_only=True):
    """How far apart the roads must lie by one rule."""

    rule: Annotated[
        SpacingRule,
        says(
            "Points go one behind another; two curves do not overlap; the longest vehicle"
            " has straight between them."
        ),
    ]
    spacing_mm: Annotated[float, says("The least by it, in mm.")]


class LadderAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The lengths of a ladder, and the least spacing of its roads."""

    verdict: Annotated[LadderVerdict, says("Whether its points go in at that spacing.")]
    angle_deg: Annotated[float, says("At which the roads part, in degrees.")]
    pitches: Annotated[int, says("How many times the spacing the last road lies off.")]
    pitch_along_line_mm: Annotated[
        float, says("From points to points along the roads, in mm.")
    ]
    pitch_along_ladder_mm: Annotated[float, says("The same along the ladder, in mm.")]
    length_along_line_mm: Annotated[
        float, says("All pitches along the roads, between crossings of lines, in mm.")
    ]
    length_along_ladder_mm: Annotated[float, says("All along the ladder, in mm.")]
    least_spacing_mm: Annotated[
        float | None,
        says("The least spacing by all that is known, in mm; null without figures."),
    ]
    least_spacing_by: Annotated[
        tuple[LeastSpacing, ...], says("The same rule by rule, the greatest first.")
    ]
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("What was not said.")]
    warnings: Warnings = NOT_YET


@warned
def reckon(request: LadderRequest) -> LadderAnswer:
    """Return the lengths of the ladder of ``request``, and what its spacing allows."""
    laid = request.ladder
    rules = _least_spacings(request)
    least_mm = rules[0].spacing_mm if rules else None
    return LadderAnswer(
        verdict=_verdict(request, rules),
        angle_deg=tidy(laid.parting.angle_deg),
        pitches=laid.pitches,
        pitch_along_line_mm=tidy(laid.along_line_mm),
        pitch_along_ladder_mm=tidy(laid.along_ladder_mm),
        length_along_line_mm=tidy(laid.pitches * laid.along_line_mm),
        length_along_ladder_mm=tidy(laid.pitches * laid.along_ladder_mm),
        least_spacing_mm=tidy_if_known(least_mm),
        least_spacing_by=rules,
        because=tuple(_because(request, rules)),
        assumed=tuple(_assumed(request)),
    )


def _least_spacings(request: LadderRequest) -> tuple[LeastSpacing, ...]:
    """Return the least spacing by each rule of which the figures are known, the greatest
    first; none where there is no road to lead to.
    """
    if request.ladder.pitches == 0:
        return ()
    parting = request.parting
    radius_mm, longest_mm = request.radius_mm, request.longest_vehicle_mm
    found_mm: dict[SpacingRule, float] = {}
    if request.points_length_mm is not None:
        found_mm["points"] = spacing_for_points_mm(
            parting, points_length_mm=request.points_length_mm
        )
    if radius_mm is not None:
        found_mm["curves"] = spacing_for_curves_mm(
            parting, radius_mm=radius_mm, straight_mm=0.0
        )
    if radius_mm is not None and longest_mm is not None:
        found_mm["s_bend"] = spacing_for_curves_mm(
            parting, radius_mm=radius_mm, straight_mm=longest_mm
        )
    rules = [
        LeastSpacing(rule=rule, spacing_mm=tidy_up(least_mm))
        for rule, least_mm in found_mm.items()
    ]
    return tuple(sorted(rules, key=lambda one: -one.spacing_mm))


def _verdict(request: LadderRequest, rules: tuple[LeastSpacing, ...]) -> LadderVerdict:
    if request.ladder.pitches == 0:
        return "fits"
    broken = _broken(request, rules)
    if any(one.rule != "s_bend" for one in broken):
        return "too_close"
    if request.points_length_mm is None or _lacks_radius(request):
        return "cannot_tell"
    return "tight" if broken or _vehicle_is_too_long(request) else "fits"


def _broken(
    request: LadderRequest, rules: tuple[LeastSpacing, ...]
) -> list[LeastSpacing]:
    """Return the rules that the spacing does not keep; what cannot be laid comes first."""
    broken = [one for one in rules if exceeds(one.spacing_mm, limit=request.spacing_mm)]
    return sorted(broken, key=lambda one: one.rule == "s_bend")


def _vehicle_is_too_long(request: LadderRequest) -> bool:
    """Tell whether the longest vehicle is longer than a whole pitch: no radius leaves
    straight enough.
    """
    longest_mm = request.longest_vehicle_mm
    pitch_mm = tidy(request.ladder.along_ladder_mm)
    return longest_mm is not None and longest_mm >= pitch_mm


def _lacks_radius(request: LadderRequest) -> bool:
    """Tell whether only the radius would say if a vehicle has straight enough."""
    is_asked = request.longest_vehicle_mm is not None and request.radius_mm is None
    return is_asked and not _vehicle_is_too_long(request)


_RULES: dict[SpacingRule, str] = {
    "points": "for sets of points to lie one behind another along the ladder",
    "curves": "for the curve off the lead and the one into the first road not to overlap",
    "s_bend": "for the longest vehicle to be on one curve at a time",
}


def _because(
    request: LadderRequest, rules: tuple[LeastSpacing, ...]
) -> Iterator[Reason]:
    if request.ladder.pitches == 0:
        message = "the lead's own road is the only one: there is nothing to lead to"
        yield Reason(code="no_ladder", message=message)
        return
    broken = _broken(request, rules)
    for one in broken:
        message = (
            f"the roads must lie {at_least(one.spacing_mm)} apart {_RULES[one.rule]}"
        )
        yield Reason(
            code=f"too_close_for_{one.rule}",
            message=message,
            value_mm=request.spacing_mm,
            limit_mm=one.spacing_mm,
        )
    if broken:
        yield from _lay_wider(request, rules)
    if request.radius_mm is None and _vehicle_is_too_long(request):
        message = (
            f"the longest vehicle is as long as a pitch of"
            f" {millimetres(request.ladder.along_ladder_mm)} or longer: on both curves of"
            " the first road at once, whatever the radius"
        )
        yield Reason(code="s_bend_short", message=message)
    yield from _missing(request)
    if rules and not broken:
        shown = at_least(rules[0].spacing_mm)
        message = f"the roads may lie as near as {shown} {_RULES[rules[0].rule]}"
        yield Reason(
            code="least_spacing", message=message, limit_mm=rules[0].spacing_mm
        )
    yield _lengths(request)


def _lay_wider(
    request: LadderRequest, rules: tuple[LeastSpacing, ...]
) -> Iterator[Reason]:
    """Yield the spacing that keeps all rules, with the verdict that it brings, where that
    is another and it can be asked about.
    """
    least_mm = rules[0].spacing_mm
    if least_mm > LONGEST_MM:
        return
    wider = msgspec.structs.replace(request, spacing_mm=least_mm)
    brings = _verdict(wider, rules)
    if brings == _verdict(request, rules):
        return
    message = f"lay the roads {at_least(least_mm)} apart or more"
    yield Reason(
        code="lay_wider",
        message=message,
        field="spacing_mm",
        limit_mm=least_mm,
        brings=brings,
    )


def _missing(request: LadderRequest) -> Iterator[Reason]:
    if request.points_length_mm is None:
        message = (
            "nobody can tell whether the points go in one behind another: measure a set of"
            " points from its tips to the end of its leg"
        )
        yield Reason(code="missing_figure", message=message, field="points_length_mm")
    if _lacks_radius(request):
        message = (
            "nobody can tell whether the longest vehicle has straight enough between two"
            " curves: give the radius of the points' curve"
        )
        yield Reason(code="missing_figure", message=message, field="radius_mm")


def _lengths(request: LadderRequest) -> Reason:
    laid = request.ladder
    length_mm = tidy(laid.pitches * laid.along_line_mm)
    message = (
        f"{counted(laid.pitches, 'pitch', plural='pitches')} of"
        f" {millimetres(laid.along_line_mm)} along the roads,"
        f" {millimetres(laid.along_ladder_mm)} along the ladder: {millimetres(length_mm)}"
        f" along the roads in all"
    )
    return Reason(code="ladder", message=message, value_mm=length_mm)


def _assumed(request: LadderRequest) -> Iterator[Assumed]:
    yield from points_assumed(request, otherwise=_otherwise(request))
    if request.radius_mm is not None:
        message = (
            "each curve is taken to begin at the tips and to reach as far beyond the"
            " crossing of the lines, R tan(angle ÷ 2)"
        )
        yield Assumed(field="radius_mm", message=message, source="default")
    message = (
        "all sets of points are taken to be alike, and the last road to be reached as the"
        " others are"
    )
    yield Assumed(field="roads", message=message, source="default")


def _otherwise(request: LadderRequest) -> str:
    other = measured_otherwise(request)
    if other is None:
        return ""
    laid = other.ladder
    along_line = millimetres(laid.along_line_mm)
    along_ladder = millimetres(laid.along_ladder_mm)
    return f"a pitch {along_line} along the roads, {along_ladder} along the ladder"


_FIDDLE_YARD = {
    "roads": 5,
    "lead_counts": True,
    "spacing_mm": 50,
    "number": 6,
    "number_is": "centre_line",
    "scale": "00",
    "points_length_mm": 219,
}
QUESTION = Question(
    id="checkLadder",
    at="/v1/checks/ladder",
    asks="How long is a ladder of points, and how near may its roads lie?",
    tells=(
        "The pitch and the whole length, along the roads and along the ladder; the least"
        " spacing at which points go in one behind another, curves do not overlap and the"
        " longest vehicle has straight between them."
    ),
    request=LadderRequest,
    answer=LadderAnswer,
    gather=as_asked,
    reckon=reckon,
    example=_FIDDLE_YARD,
    refused=_FIDDLE_YARD | {"angle_deg": 9.5},
    warns=Shows("spacing_or_gap", "spacing_mm", {"spacing_mm": 28.5}),
)
