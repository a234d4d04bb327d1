"""What a length, as somebody wrote it, is in the model's millimetres."""

import re
from collections.abc import Iterable, Iterator
from fractions import Fraction
from typing import Annotated, Literal

import msgspec

from standage.questions.question import Question, Shows, as_asked
from standage.railway.slips.slip import Slip, shown
from standage.railway.slips.track import lengths_agree, two_lengths_slip
from standage.railway.terms.figures import LONGEST_MM, says, tidy
from standage.railway.terms.lengths import (
    MOST_CHARACTERS,
    Unread,
    Written,
    feet_and_inches,
    in_great_units,
    model_mm,
    read_length,
)
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.terms.scales import Scale, ScaleName, in_another_scale, scale
from standage.shapes.faults import Fault, Faulty, Ruled

_POINT_BEFORE_THREE = re.compile(r"(?<![\d.,])[1-9]\d{0,2}\.\d{3}(?![\d.,])", re.ASCII)
LengthVerdict = Literal["as_it_stands", "scaled_down"]


class LengthRequest(Ruled, frozen=True, kw_only=True):
    """A length in words and figures, and the scale that the model is in."""

    text: Annotated[
        str,
        msgspec.Meta(
            min_length=1,
            max_length=MOST_CHARACTERS,
            pattern=r"^[^\x00-\x1f\x7f]*(?!\n)$",
            description=(
                "The length as it is written: 4 ft 6 in, 3/4 in, 26.4 m, 163.8, 64 ft 6"
                " in full size."
            ),
        ),
    ]
    scale: Annotated[
        ScaleName | None,
        says("The model's scale, needed where the text says full size."),
    ] = None
    to_scale: Annotated[
        ScaleName | None,
        says("Another scale, in which the same full-size length is told too."),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """A length is carried over from one scale to another."""
        if self.to_scale is not None and self.scale is None:
            message = "is needed beside to_scale: in which scale is the length?"
            yield Fault(
                code="missing",
                message=message,
                pointer="/scale",
            )


class LengthAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The length in mm, and how the text was understood."""

    verdict: Annotated[
        LengthVerdict,
        says("Whether the length was taken as it stands, or as full size."),
    ]
    text: Annotated[str, says("The text.")]
    length_mm: Annotated[float, says("The length in the model's mm.")]
    feet_and_inches: Annotated[
        str, says("The same on a ruler, to the nearest 64th of an inch.")
    ]
    full_size_mm: Annotated[
        float | None,
        says("The same on the full-size railway in mm, where a scale is given."),
    ]
    to_scale_mm: Annotated[
        float | None,
        says("The same full-size length in the other scale, in mm; null without one."),
    ]
    because: Annotated[tuple[Reason, ...], says("How the text was understood.")]
    assumed: Annotated[tuple[Assumed, ...], says("What the text does not say.")]
    warnings: Annotated[tuple[Slip, ...], says("What was likely meant otherwise.")]


def reckon(request: LengthRequest) -> LengthAnswer:
    """Return the length that the text means; raise ``Faulty``, naming the parameter,
    where it cannot be told.
    """
    written = read_length(request.text)
    if isinstance(written, Unread):
        raise _refused(request.text, written, parameter="text")
    model = None if request.scale is None else scale(request.scale)
    said_full_size = written.full_size
    if model is not None and in_great_units(request.text):
        written = msgspec.structs.replace(written, full_size=True)
    length_mm = model_mm(written, ratio=None if model is None else model.ratio)
    if isinstance(length_mm, Unread):
        parameter = "scale" if length_mm.code == "no_scale" else "text"
        raise _refused(request.text, length_mm, parameter=parameter)
    carried_over = _carried_over(request, length_mm)
    return LengthAnswer(
        verdict="scaled_down" if written.full_size else "as_it_stands",
        text=request.text,
        length_mm=tidy(float(length_mm)),
        feet_and_inches=feet_and_inches(length_mm),
        full_size_mm=(
            None
            if model is None
            else tidy(float(length_mm * Fraction(str(model.ratio))))
        ),
        to_scale_mm=None if carried_over is None else tidy(float(carried_over)),
        because=(
            _understood(written, model, length_mm),
            *_in_the_other_scale(request, carried_over),
        ),
        assumed=(
            *_points(request.text),
            *_assumed(written, model, said_full_size=said_full_size),
            *_made_to_scale(request, written),
        ),
        warnings=_warnings(written),
    )


def _carried_over(request: LengthRequest, length_mm: Fraction) -> Fraction | None:
    """Return the length in the other scale; None where there is none. Raise ``Faulty``
    where it is longer than any hall.
    """
    if request.scale is None or request.to_scale is None:
        return None
    found_mm = in_another_scale(
        length_mm, from_scale=request.scale, to_scale=request.to_scale
    )
    if found_mm > Fraction(LONGEST_MM):
        what = "is more than a kilometre of model there: longer than any hall"
        unread = Unread(code="too_long", what=what)
        raise _refused(request.text, unread, parameter="to_scale")
    return found_mm


def _in_the_other_scale(
    request: LengthRequest, to_scale_mm: Fraction | None
) -> Iterator[Reason]:
    if request.to_scale is None or to_scale_mm is None:
        return
    other = scale(request.to_scale)
    in_mm = f"{shown(float(to_scale_mm))} mm"
    message = f"the same in {other.name}, 1:{other.ratio:g}, is {in_mm}"
    yield Reason(
        code="carried_over",
        message=message,
        value_mm=tidy(float(to_scale_mm)),
        ratio=other.ratio,
    )


def _made_to_scale(request: LengthRequest, written: Written) -> Iterator[Assumed]:
    """Yield that a model's own length is taken to be true to its scale."""
    if request.to_scale is None or written.full_size:
        return
    message = (
        "the model is taken to be made to scale: couplings, wheels and track are not,"
        " nor are many long carriages in H0"
    )
    yield Assumed(field="to_scale_mm", message=message, source="scaled")


def _refused(text: str, unread: Unread, *, parameter: str) -> Faulty:
    shown_text = text.strip().encode("utf-8", "replace").decode()
    colon = ":" if unread.message[:1].isdigit() else ""
    return Faulty(
        [
            Fault(
                code=unread.code,
                message=f"“{shown_text}”{colon} {unread.message}",
                parameter=parameter,
            )
        ]
    )


def _understood(written: Written, model: Scale | None, length_mm: Fraction) -> Reason:
    in_mm = f"{shown(float(length_mm))} mm"
    if written.full_size and model is not None:
        full_size = (
            f"{float(written.mm) / 1000:.2f}".rstrip("0").rstrip(".") + " m full size"
        )
        message = f"{full_size} is {in_mm} in {model.name}, 1:{model.ratio:g}"
        return Reason(
            code="scaled_down",
            message=message,
            value_mm=tidy(float(length_mm)),
            ratio=model.ratio,
        )
    message = f"it is {in_mm} as it stands"
    return Reason(
        code="as_it_stands",
        message=message,
        value_mm=tidy(float(length_mm)),
    )


def _points(text: str) -> Iterator[Assumed]:
    """Yield how a point was read that stands before three figures, where some write the
    thousands so.
    """
    for figure in dict.fromkeys(_POINT_BEFORE_THREE.findall(text)):
        message = (
            f"the point in {figure} is a decimal point: it is {float(figure):g}, not"
            f" {figure.replace('.', '')}"
        )
        yield Assumed(
            field="text",
            message=message,
            source="taken_as_read",
            value=".",
        )


def _assumed(
    written: Written, model: Scale | None, *, said_full_size: bool
) -> tuple[Assumed, ...]:
    assumed = []
    if not written.unit_said:
        message = "no unit is given: millimetres are meant"
        assumed.append(
            Assumed(field="text", message=message, source="taken_as_read", value="mm")
        )
    if model is not None and written.full_size and not said_full_size:
        stands = shown(float(written.mm))
        message = (
            "a scale is given beside it: full size is meant; as the model's own length"
            f" it would be {stands} mm"
        )
        assumed.append(
            Assumed(
                field="scale", message=message, source="taken_as_read", value=model.name
            )
        )
    if model is not None and not written.full_size:
        scaled = shown(float(written.mm) / model.ratio)
        message = (
            "it does not say full size: the model's own length is meant; as full size"
            f" it would be {scaled} mm"
        )
        assumed.append(
            Assumed(
                field="scale", message=message, source="taken_as_read", value=model.name
            )
        )
    return tuple(assumed)


def _warnings(written: Written) -> tuple[Slip, ...]:
    if written.also_mm is None or lengths_agree(
        float(written.mm), called_mm=float(written.also_mm)
    ):
        return ()
    return (
        two_lengths_slip(
            float(written.mm), called_mm=float(written.also_mm), field="text"
        ),
    )


QUESTION = Question(
    id="readLength",
    at="/v1/lengths",
    asks="What is a length, as somebody wrote it, in millimetres?",
    tells=(
        "Feet and inches, fractions, metres, millimetres; with a scale where it is the"
        " full size's, and in another scale too."
    ),
    request=LengthRequest,
    asked_by="parameters",
    answer=LengthAnswer,
    gather=as_asked,
    reckon=reckon,
    example={"text": "17 ft 6 in full size", "scale": "00"},
    refused={"text": "a bit more"},
    warns=Shows("two_lengths", "text", {"text": "2000 mm (7 ft)"}),
)
