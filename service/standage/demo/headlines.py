"""The verdict of an answer in capitals, with the figure that somebody wants first."""

from collections.abc import Callable, Mapping
from typing import Any

Answer = Mapping[str, Any]

_WORDS = {
    "fits": "IT FITS",
    "tight": "TIGHT",
    "does_not_fit": "IT DOES NOT FIT",
    "cannot_tell": "CANNOT TELL",
    "runs": "IT RUNS",
    "marginal": "MARGINAL",
    "does_not_run": "IT DOES NOT RUN",
    "clear": "CLEAR",
    "fouls": "THEY TOUCH",
    "holds_none": "NONE STANDS THERE",
    "joins": "THEY JOIN",
    "joins_with_care": "THEY JOIN, WITH CARE",
    "does_not_join": "THEY DO NOT JOIN",
}


def headline(answer: Answer) -> str:
    """Return the verdict in capitals with the figure behind it; how many stand there is
    both in one.
    """
    standing: int | None = answer.get("from_pool")
    if standing:
        stand = "STANDS" if standing == 1 else "STAND"
        return f"{standing} {stand} THERE"
    words = _WORDS[answer["verdict"]]
    for figure in _FIGURES:
        said = figure(answer)
        if said is not None:
            return f"{words}: {said}"
    return words


def lacks_face(answer: Answer) -> bool:
    """Tell whether it is a platform's face that is too short, not the road."""
    face_mm = answer.get("face_spare_mm")
    return (
        answer["verdict"] == "does_not_fit"
        and face_mm is not None
        and face_mm < 0 <= answer["spare_mm"]
    )


def _of_a_face(answer: Answer) -> str | None:
    if lacks_face(answer):
        return f"{millimetres(-answer['face_spare_mm'])} too long for the face"
    return None


def _of_a_length(answer: Answer) -> str | None:
    if "counted_length_mm" not in answer or answer["spare_mm"] is None:
        return None
    spare_mm = answer["spare_mm"]
    amount = millimetres(abs(spare_mm))
    too_long = answer["verdict"] == "does_not_fit"
    if spare_mm < 0:
        if too_long:
            return f"{amount} too long"
        return f"{amount} too little"
    if too_long:
        return None
    return f"{amount} to spare"


def _of_a_gap(answer: Answer) -> str | None:
    gap_mm = answer.get("least_gap_mm")
    if gap_mm is None:
        return None
    if gap_mm >= 0:
        return f"{millimetres(gap_mm)} apart"
    return f"they overlap by {millimetres(-gap_mm)}"


def _of_a_swing(answer: Answer) -> str | None:
    swings = [
        reason
        for reason in answer["because"]
        if {"value_deg", "limit_deg"} <= set(reason)
    ]
    if not swings:
        return None
    worst = max(swings, key=lambda reason: reason["value_deg"] - reason["limit_deg"])
    return (
        f"a coupling would swing {worst['value_deg']:.1f}°, and can swing"
        f" {worst['limit_deg']:g}°"
    )


def _of_a_joint(answer: Answer) -> str | None:
    asides_mm = [abs(track["aside_mm"]) for track in answer.get("tracks", ())]
    aside_mm = max(asides_mm, default=0.0)
    if not aside_mm:
        return None
    step = millimetres(answer["step_mm"])
    return f"rails {millimetres(aside_mm)} aside, {step} of step"


def millimetres(value_mm: float) -> str:
    """Return a length with its thousands apart, to a tenth of a millimetre.

    >>> millimetres(1182.0), millimetres(51.64)
    ('1,182 mm', '51.6 mm')
    """
    shown = f"{value_mm:,.1f}".removesuffix(".0")
    return f"{shown} mm"


_FIGURES: tuple[Callable[[Answer], str | None], ...] = (
    _of_a_face,
    _of_a_length,
    _of_a_gap,
    _of_a_swing,
    _of_a_joint,
)
