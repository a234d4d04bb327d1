"""Slips of the pen: figures that make no sense as they stand, and what was most likely
meant.

A slip is a warning and never a refusal. It is raised only where a figure lies outside
what railways have, and a common mistake explains it: centimetres or inches taken for
millimetres, a full-size figure for the model's, and so on.
"""

import math
from typing import Literal

import msgspec

from standage.railway.terms.scales import Scale

SlipCode = Literal[
    "unit",
    "scale",
    "radius_or_diameter",
    "radius_smaller_than_vehicle",
    "spacing_or_gap",
    "percent_or_one_in",
    "area_or_diameter",
    "two_lengths",
]
Likely = Literal[
    "centimetres",
    "inches",
    "feet",
    "metres",
    "full_size",
    "full_size_metres",
    "full_size_feet",
    "ten_times",
    "thousand_times",
    "converted_twice",
    "another_scale",
    "diameter",
    "gap",
    "one_in",
    "rounded",
    "unknown",
]


class Slip(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A figure that is probably not what was meant."""

    code: SlipCode
    field: str
    message: str
    likely: Likely
    likely_value: float | None = None
    """The figure probably meant, in the field's own unit."""
    vehicle: str | None = None
    place: str | None = None


class Sense(msgspec.Struct, frozen=True, kw_only=True):
    """What a figure of one sort is on full-size railways: the least, the usual and the
    most, in metres.
    """

    what: str
    least_m: float
    usual_m: float
    most_m: float


class _Reading(msgspec.Struct, frozen=True, kw_only=True):
    """One way in which a figure goes wrong: what turns it into the figure meant, and
    how it came about.

    ``rare`` is how far from the usual a commoner slip may lie and still be named first,
    as a logarithm.
    """

    likely: Likely
    words: str
    factor: float
    full_size: bool = False
    rare: float = 0.0


_READINGS = (
    _Reading(likely="centimetres", words="in centimetres", factor=10),
    _Reading(likely="inches", words="in inches", factor=25.4),
    _Reading(likely="feet", words="in feet", factor=304.8),
    _Reading(likely="metres", words="in metres", factor=1000),
    _Reading(
        likely="full_size_metres",
        words="in full-size metres",
        factor=1000,
        full_size=True,
        rare=0.2,
    ),
    _Reading(
        likely="full_size_feet",
        words="in full-size feet",
        factor=304.8,
        full_size=True,
        rare=0.2,
    ),
    _Reading(likely="full_size", words="in full-size mm", factor=1, full_size=True),
    _Reading(
        likely="ten_times", words="a nought or the point is one place out", factor=0.1
    ),
    _Reading(
        likely="thousand_times",
        words="a decimal point was taken for a thousands mark",
        factor=0.001,
    ),
    _Reading(
        likely="converted_twice",
        words="inches were turned into mm twice",
        factor=1 / 25.4,
        rare=0.4,
    ),
)
_MOST_READINGS_NAMED = 3
_GREATEST_RATIO, _USUAL_RATIO, _LEAST_RATIO = 220.0, 87.0, 22.5


def unit_slip(
    value_mm: float, sense: Sense, *, field: str, scale: Scale | None
) -> Slip | None:
    """Return the slip of unit or scale that explains a figure out of all sense, if one
    does.

    Without a scale the figure may be of any usual one, from 1:220 to 1:22.5, and fewer
    slips are seen. The likeliest reading is the one whose figure comes nearest to the
    usual, rare slips held back; up to two more are named.
    """
    least_mm = (
        sense.least_m * 1000 / (_GREATEST_RATIO if scale is None else scale.ratio)
    )
    most_mm = sense.most_m * 1000 / (_LEAST_RATIO if scale is None else scale.ratio)
    if value_mm <= 0 or least_mm <= value_mm <= most_mm:
        return None
    usual_mm = sense.usual_m * 1000 / (_USUAL_RATIO if scale is None else scale.ratio)
    meant = [
        (value_mm * _factor(one, scale), one)
        for one in _READINGS
        if scale is not None or not one.full_size
    ]
    sensible = [(mm, one) for mm, one in meant if least_mm <= mm <= most_mm]
    if not sensible:
        return None
    sensible.sort(key=lambda pair: abs(math.log(pair[0] / usual_mm)) + pair[1].rare)
    size = "small" if value_mm < least_mm else "great"
    where = (
        "any usual scale"
        if scale is None
        else f"{scale.name} ({shown(value_mm * scale.ratio / 1000)} m full size)"
    )
    causes = "; ".join(
        f"if {one.words}, write {shown(mm)}"
        for mm, one in sensible[:_MOST_READINGS_NAMED]
    )
    return Slip(
        code="unit",
        field=field,
        message=(
            f"{shown(value_mm)} mm is too {size} for {sense.what} in {where}: {causes}"
        ),
        likely=sensible[0][1].likely,
        likely_value=round(sensible[0][0], 3),
    )


def _factor(reading: _Reading, scale: Scale | None) -> float:
    return reading.factor / (
        scale.ratio if reading.full_size and scale is not None else 1
    )


def shown(value: float) -> str:
    """Return a figure as a message shows it: to a tenth, below 1 to a thousandth,
    without needless noughts.

    >>> shown(303.448), shown(2600.0), shown(0.25)
    ('303.4', '2600', '0.25')
    """
    digits = 1 if value >= 1 else 3
    return f"{value:.{digits}f}".rstrip("0").rstrip(".")
