"""What a set of points by its number comes to: the angle, the number by the other
measure, the simple set's curve.
"""

from collections.abc import Iterable, Iterator
from typing import Annotated, Literal

import msgspec

from standage.questions.question import NeverWarns, Question, as_asked
from standage.questions.reckoning import NOT_YET, Warnings, warned
from standage.railway.terms.crossings import (
    Measure,
    crossing_angle_deg,
    crossing_number,
    simple_lead_mm,
    simple_radius_mm,
)
from standage.railway.terms.figures import GaugeMm, says, tidy
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.terms.scales import ScaleName, scale
from standage.shapes.faults import Fault, Ruled

MEASURE_WORDS: dict[Measure, str] = {
    "centre_line": "along the line that halves the angle",
    "tangent": "along one road (1:n)",
}
PointsVerdict = Literal["by_number", "by_angle"]
Number = Annotated[
    float,
    msgspec.Meta(ge=1, le=100, description="The number: 6 of a No. 6, 9 of a 1:9."),
]
Angle = Annotated[
    float,
    msgspec.Meta(ge=0.5, le=53, description="The angle of the crossing, in degrees."),
]


class NumberOrAngle(Ruled, frozen=True, kw_only=True):
    """Points by their number or by their angle, and the track they lie in."""

    number: Annotated[Number | None, says("The number; instead of angle_deg.")] = None
    angle_deg: Annotated[
        Angle | None,
        says("The angle at which the roads part, in degrees; instead of number."),
    ] = None
    scale: Annotated[
        ScaleName | None, says("The scale, for its gauge and its practice.")
    ] = None
    gauge_mm: Annotated[
        GaugeMm | None, says("The gauge, where it is not the scale's usual one, in mm.")
    ] = None

    def rules(self) -> Iterable[Fault]:
        """A number or an angle, not both."""
        if self.number is None and self.angle_deg is None:
            yield Fault(
                code="missing", message="give number or angle_deg", pointer="/number"
            )
        elif self.number is not None and self.angle_deg is not None:
            message = "give number or angle_deg, not both"
            yield Fault(code="one_or_the_other", message=message, pointer="/angle_deg")

    @property
    def known_gauge_mm(self) -> float | None:
        """The gauge, in mm: as it is given, or the scale's; None without either."""
        if self.gauge_mm is not None or self.scale is None:
            return self.gauge_mm
        return scale(self.scale).gauge_mm


class PointsRequest(NumberOrAngle, frozen=True, kw_only=True):
    """A set of points by its number or by its angle, and the track it lies in."""

    measure: Annotated[
        Measure | None,
        says(
            "How the number is measured: by the centre line (American, British) or the"
            " tangent (continental, 1:n)."
        ),
    ] = None


class PointsAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The crossing by both measures, and the simple set of points that has it."""

    verdict: Annotated[PointsVerdict, says("What it was found from.")]
    angle_deg: Annotated[float, says("The angle of the crossing, in degrees.")]
    number_by_centre_line: Annotated[
        float, says("Its number along the line that halves the angle.")
    ]
    number_by_tangent: Annotated[float, says("Its number along one road: n of 1:n.")]
    lead_mm: Annotated[
        float | None,
        says("From blade tips to the crossing's nose where one curve fills it, in mm."),
    ]
    greatest_radius_mm: Annotated[
        float | None,
        says(
            "The radius of that curve in mm: a set with straight blades or crossing is"
            " sharper; null without gauge."
        ),
    ]
    because: Annotated[tuple[Reason, ...], says("What it comes to, in words.")]
    assumed: Annotated[tuple[Assumed, ...], says("What was not said.")]
    warnings: Warnings = NOT_YET


@warned
def reckon(request: PointsRequest) -> PointsAnswer:
    """Return the angle and both numbers of the crossing that ``request`` names."""
    measure = request.measure or usual_measure(request.scale)
    by_number = request.number is not None
    angle_deg = request.angle_deg or 0.0
    if request.number is not None:
        angle_deg = crossing_angle_deg(request.number, measure=measure)
    gauge_mm = request.known_gauge_mm
    lead_mm = radius_mm = None
    if gauge_mm is not None:
        lead_mm = tidy(simple_lead_mm(angle_deg, gauge_mm=gauge_mm))
        radius_mm = tidy(simple_radius_mm(angle_deg, gauge_mm=gauge_mm))
    return PointsAnswer(
        verdict="by_number" if by_number else "by_angle",
        angle_deg=tidy(angle_deg),
        number_by_centre_line=tidy(crossing_number(angle_deg, measure="centre_line")),
        number_by_tangent=tidy(crossing_number(angle_deg, measure="tangent")),
        lead_mm=lead_mm,
        greatest_radius_mm=radius_mm,
        because=tuple(_because(angle_deg, radius_mm)),
        assumed=tuple(_assumed(request, measure)),
    )


def usual_measure(name: ScaleName | None) -> Measure:
    """Return how a number is measured by the practice of a scale."""
    return (
        "tangent"
        if name is not None and scale(name).practice == "continental"
        else "centre_line"
    )


def _because(angle_deg: float, radius_mm: float | None) -> Iterator[Reason]:
    number = crossing_number(angle_deg, measure="centre_line")
    ratio = crossing_number(angle_deg, measure="tangent")
    message = (
        f"the roads part at {angle_deg:.2f}°: No. {number:.2f} by the centre line,"
        f" 1:{ratio:.2f} by the tangent"
    )
    yield Reason(code="crossing", message=message, value_deg=tidy(angle_deg))
    if radius_mm is not None:
        message = (
            f"the curve through it has a radius of {radius_mm:.0f} mm at most: blades"
            " or a crossing that are straight make it sharper, so measure the set that"
            " you have"
        )
        yield Reason(code="greatest_radius", message=message, value_mm=radius_mm)


def _assumed(request: PointsRequest, measure: Measure) -> Iterator[Assumed]:
    if request.number is not None and request.measure is None:
        other: Measure = "tangent" if measure == "centre_line" else "centre_line"
        angle_deg = crossing_angle_deg(request.number, measure=other)
        message = (
            f"the number is measured {MEASURE_WORDS[measure]}; {MEASURE_WORDS[other]} it would be"
            f" {angle_deg:.2f}°"
        )
        yield Assumed(
            field="measure", message=message, source="common_practice", value=measure
        )


QUESTION = Question(
    id="readPoints",
    at="/v1/points",
    asks="What angle has a set of points by its number, and what curve?",
    tells=(
        "The number by either measure and the angle, from one of them; with a gauge,"
        " lead and radius of the simple set."
    ),
    request=PointsRequest,
    asked_by="parameters",
    answer=PointsAnswer,
    gather=as_asked,
    reckon=reckon,
    example={"number": 8, "scale": "H0"},
    refused={"number": 8, "angle_deg": 7.2},
    warns=NeverWarns("a number and an angle have no unit that could be mistaken"),
)
