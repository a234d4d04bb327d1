"""How fast is a model to go, so that it looks as fast as the full size?"""

from collections.abc import Iterable
from fractions import Fraction
from typing import Annotated, Literal

import msgspec

from standage.questions.question import Question, Shows, as_asked
from standage.questions.reckoning import NOT_YET, Warnings, warned
from standage.railway.terms.figures import RoadLengthMm, millimetres, says, tidy
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.terms.scale_speed import (
    kmh_of_mph,
    model_speed_mm_s,
    seconds_over,
)
from standage.railway.terms.scales import ScaleName, scale
from standage.shapes.faults import Fault, Ruled

SpeedKmh = Annotated[float, msgspec.Meta(ge=0.1, le=600)]
SpeedMph = Annotated[float, msgspec.Meta(ge=0.1, le=375)]
"""The bounds leave out what no wheel on rails has reached."""
_SPEEDS = ("speed_kmh", "speed_mph")


class ScaleSpeedRequest(Ruled, frozen=True, kw_only=True):
    """A speed of the full size, the model's scale, and a length to time it over."""

    speed_kmh: Annotated[
        SpeedKmh | None, says("The full size's speed in kilometres an hour.")
    ] = None
    speed_mph: Annotated[
        SpeedMph | None, says("The same in miles an hour, instead.")
    ] = None
    scale: Annotated[ScaleName, says("The model's scale.")]
    length_mm: Annotated[
        RoadLengthMm | None,
        says("Between two marks beside the model's track, in mm: to be timed over."),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """One speed, in one unit."""
        given = [name for name in _SPEEDS if getattr(self, name) is not None]
        if not given:
            message = "give speed_kmh or speed_mph"
            yield Fault(
                code="missing",
                message=message,
                pointer="/speed_kmh",
            )
        elif len(given) > 1:
            message = "give speed_kmh or speed_mph, not both"
            yield Fault(
                code="one_or_the_other",
                message=message,
                pointer="/speed_mph",
            )


class ScaleSpeedAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """How fast the model is to go, and how long it then takes."""

    verdict: Annotated[
        Literal["by_kmh", "by_mph"], says("In which unit the speed was given.")
    ]
    model_speed_mm_s: Annotated[float, says("The model's speed, in mm a second.")]
    seconds_over_length: Annotated[
        float | None,
        says("How long it takes over the length, in seconds; null without a length."),
    ]
    because: Annotated[tuple[Reason, ...], says("The same in words.")]
    assumed: Annotated[tuple[Assumed, ...], says("What is taken to be so.")]
    warnings: Warnings = NOT_YET


@warned
def reckon(request: ScaleSpeedRequest) -> ScaleSpeedAnswer:
    """Return the speed of the model, exact until it is written down."""
    speed_mm_s = _model_speed_mm_s(request)
    seconds = None
    if request.length_mm is not None:
        length_mm = Fraction(str(request.length_mm))
        seconds = seconds_over(length_mm, speed_mm_s=speed_mm_s)
    return ScaleSpeedAnswer(
        verdict="by_mph" if request.speed_kmh is None else "by_kmh",
        model_speed_mm_s=tidy(float(speed_mm_s)),
        seconds_over_length=None if seconds is None else tidy(float(seconds)),
        because=tuple(_because(request, speed_mm_s, seconds)),
        assumed=(_time_is_not_scaled(),),
    )


def _model_speed_mm_s(request: ScaleSpeedRequest) -> Fraction:
    if request.speed_kmh is None:
        speed_kmh = kmh_of_mph(Fraction(str(request.speed_mph)))
    else:
        speed_kmh = Fraction(str(request.speed_kmh))
    ratio = Fraction(str(scale(request.scale).ratio))
    return model_speed_mm_s(speed_kmh, ratio=ratio)


def _because(
    request: ScaleSpeedRequest, speed_mm_s: Fraction, seconds: Fraction | None
) -> Iterable[Reason]:
    if request.speed_kmh is None:
        said = f"{request.speed_mph:g} mph"
    else:
        said = f"{request.speed_kmh:g} km/h"
    model = scale(request.scale)
    goes = f"{_shown(speed_mm_s)} mm a second"
    message = f"{said} is {goes} in {model.name}, 1:{model.ratio:g}"
    yield Reason(
        code="scaled_down",
        message=message,
        ratio=model.ratio,
    )
    if seconds is None or request.length_mm is None:
        return
    over = millimetres(request.length_mm)
    message = f"over {over} it then takes {_shown(seconds)} s"
    yield Reason(
        code="timed",
        message=message,
        value_mm=request.length_mm,
    )


def _shown(value: Fraction) -> str:
    tenths = round(float(value), 1)
    if tenths:
        return f"{tenths:.10g}"
    return "less than 0.1"


def _time_is_not_scaled() -> Assumed:
    message = "time is not scaled: a second of the model is a second"
    return Assumed(field="model_speed_mm_s", message=message, source="common_practice")


_EXPRESS = {"speed_mph": 60, "scale": "00", "length_mm": 1056}
QUESTION = Question(
    id="checkScaleSpeed",
    at="/v1/checks/scale-speed",
    asks="How fast is a model to go, so that it looks as fast as the full size?",
    tells=(
        "A full-size speed and a scale give the model's speed in mm a second, and the"
        " seconds it takes over a length, to be timed with a watch."
    ),
    request=ScaleSpeedRequest,
    answer=ScaleSpeedAnswer,
    gather=as_asked,
    reckon=reckon,
    example=_EXPRESS,
    refused=_EXPRESS | {"speed_kmh": 96.5},
    warns=Shows("unit", "length_mm", {"length_mm": 1.056}),
)
