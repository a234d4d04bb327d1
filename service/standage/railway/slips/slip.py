"""Slips of the pen: figures that make no sense as they stand, and what was most likely
meant.

A slip is a warning and never a refusal. It is raised only where a figure lies outside
what railways have, and a common mistake explains it: centimetres or inches taken for
millimetres, a full-size figure for the model's, and so on.
"""

import math
from typing import Literal, NamedTuple

import msgspec
from msgspec.structs import replace

from standage.railway.terms.scales import Scale

SlipCode = Literal[
    "unit",
    "scale",
    "radius_or_diameter",
    "radius_smaller_than_vehicle",
    "spacing_or_gap",
    "another_column",
    "percent_or_one_in",
    "one_turn",
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
    "another_column",
    "diameter",
    "gap",
    "one_in",
    "one_turn",
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


class Bounds(msgspec.Struct, frozen=True, kw_only=True):
    """What a figure of one sort is on full-size railways: the least, the usual and the
    most, in metres.

    ``narrow_least_m`` is the least on the narrow gauge, where that is another. What
    ``follows_no_scale`` is as large beside every model: its metres are the figure's own.
    """

    what: str
    least_m: float
    usual_m: float
    most_m: float
    narrow_least_m: float | None = None
    follows_no_scale: bool = False

    def on_the_gauge_of(self, model: Scale | None) -> "Bounds":
        """Return the bounds that hold in a scale: of standard gauge where none is
        known.
        """
        is_narrow = model is not None and model.is_narrow
        if not is_narrow or self.narrow_least_m is None:
            return self
        return replace(self, least_m=self.narrow_least_m)


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
    _Reading(likely="ten_times", words="ten times too great", factor=0.1),
    _Reading(
        likely="thousand_times",
        words="a point became a comma",
        factor=0.001,
    ),
    _Reading(
        likely="converted_twice",
        words="turned from inches twice",
        factor=1 / 25.4,
        rare=0.4,
    ),
)
_MOST_READINGS_NAMED = 3
_GREATEST_RATIO, _USUAL_RATIO, _LEAST_RATIO = 220.0, 87.0, 22.5


class _Span(NamedTuple):
    """The least, the usual and the most that a figure of one sort is on a model, in
    mm.
    """

    least_mm: float
    usual_mm: float
    most_mm: float

    def holds(self, value_mm: float) -> bool:
        is_enough = value_mm >= self.least_mm
        return is_enough and value_mm <= self.most_mm


class _Meant(NamedTuple):
    """A figure that may have been meant, and how it became the one that was
    written.
    """

    mm: float
    reading: _Reading


def unit_slip(
    value_mm: float, bounds: Bounds, *, field: str = "", scale: Scale | None
) -> Slip | None:
    """Return the slip of unit or scale that explains a figure out of all sense, if one
    does.

    ``value_mm`` is the figure as it was written, in mm; nothing or less is left alone.
    Without a scale the figure may be of any usual one, from 1:220 to 1:22.5, and fewer
    slips are seen. The likeliest reading is the one whose figure comes nearest to the
    usual, rare slips held back; up to two more are named. **Source** derived: the
    bounds bring theirs with them, and which slips are rare is common practice.
    """
    span = _span(bounds.on_the_gauge_of(scale), scale)
    if value_mm <= 0 or span.holds(value_mm):
        return None
    of = None if bounds.follows_no_scale else scale
    meant = _meant(value_mm, span, of)
    if not meant:
        return None
    size = "small" if value_mm < span.least_mm else "great"
    where = "" if bounds.follows_no_scale else _in_scale(value_mm, scale)
    too = f"{shown(value_mm)} mm is too {size} for {bounds.what}{where}"
    causes = "; ".join(map(_cause, meant[:_MOST_READINGS_NAMED]))
    likeliest = meant[0]
    return Slip(
        code="unit",
        field=field,
        message=f"{too}: {causes}",
        likely=likeliest.reading.likely,
        likely_value=round(likeliest.mm, 3),
    )


def _span(bounds: Bounds, scale: Scale | None) -> _Span:
    if bounds.follows_no_scale:
        least_at = usual_at = most_at = 1.0
    elif scale is None:
        least_at, usual_at, most_at = _GREATEST_RATIO, _USUAL_RATIO, _LEAST_RATIO
    else:
        least_at = usual_at = most_at = scale.ratio
    return _Span(
        least_mm=bounds.least_m * 1000 / least_at,
        usual_mm=bounds.usual_m * 1000 / usual_at,
        most_mm=bounds.most_m * 1000 / most_at,
    )


def _meant(value_mm: float, span: _Span, scale: Scale | None) -> list[_Meant]:
    """Return the sensible figures that may have been meant, the likeliest first."""
    sensible: list[_Meant] = []
    for reading in _READINGS:
        factor = _factor(reading, scale)
        if factor is None:
            continue
        mm = value_mm * factor
        if span.holds(mm):
            sensible.append(_Meant(mm, reading))

    def unlikely(one: _Meant) -> float:
        from_the_usual = math.log(one.mm / span.usual_mm)
        return abs(from_the_usual) + one.reading.rare

    return sorted(sensible, key=unlikely)


def _factor(reading: _Reading, scale: Scale | None) -> float | None:
    """Return what turns a figure into the one meant; None where that takes a scale and
    there is none.
    """
    factor = reading.factor
    if not reading.full_size:
        return factor
    if scale is None:
        return None
    return factor / scale.ratio


def _in_scale(value_mm: float, scale: Scale | None) -> str:
    if scale is None:
        return " in any usual scale"
    full_size_m = value_mm * scale.ratio / 1000
    return f" in {scale.name} ({shown(full_size_m)} m full size)"


def _cause(meant: _Meant) -> str:
    words = meant.reading.words
    return f"if {words}, write {shown(meant.mm)}"


def shown(value: float) -> str:
    """Return a figure as a message shows it: to a tenth, below 1 to a thousandth,
    without needless noughts. **Source** common practice: nobody measures finer.

    >>> shown(303.448), shown(2600.0), shown(0.25)
    ('303.4', '2600', '0.25')
    """
    digits = 1 if value >= 1 else 3
    figure = f"{value:.{digits}f}"
    without_noughts = figure.rstrip("0")
    return without_noughts.rstrip(".")
