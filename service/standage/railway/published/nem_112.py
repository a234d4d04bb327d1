"""How far apart tracks lie by NEM 112, as far as it is held."""

from typing import Literal

from standage.railway.published.nem_103_groups import Group, in_words
from standage.railway.published.tables import Found, Standard, Table
from standage.railway.terms.figures import tidy
from standage.railway.terms.scales import ScaleName

NEM_112 = Standard(name="NEM 112", as_quoted=True)
Beside = Literal["running_line", "station"]
"""Tracks of a running line, or of a station with room to walk between them."""

_STRAIGHT = Table[tuple[ScaleName, Beside]](
    NEM_112,
    {
        ("H0", "running_line"): 46.0,
        ("H0", "station"): 52.0,
        ("N", "running_line"): 25.0,
        ("N", "station"): 28.0,
        ("TT", "running_line"): 34.0,
    },
)
_CURVES = Table[tuple[ScaleName, float, Group | None]](
    NEM_112,
    {
        ("H0", 400.0, "C"): 64.0,
        ("H0", 500.0, "C"): 59.0,
        ("H0", 600.0, "C"): 55.0,
        ("H0", 800.0, "C"): 50.0,
        ("H0", 1000.0, "C"): 47.0,
    },
)
_WORDS: dict[Beside, str] = {"running_line": "running line", "station": "station"}


def straight_spacing(scale: ScaleName, *, beside: Beside) -> Found:
    """Return the spacing of straight tracks in a scale, in mm. **Source** NEM 112 as
    quoted.

    >>> straight_spacing("H0", beside="station").value_mm
    52.0
    """
    words = f"{scale}, straight, {_WORDS[beside]}"
    return _STRAIGHT.found((scale, beside), words=words)


def curve_spacing(
    scale: ScaleName, *, inner_radius_mm: float, group: Group | None
) -> Found:
    """Return the spacing of curved tracks for vehicles of a group, by the inner
    track's radius, in mm; a group of None is of no row. **Source** NEM 112 as quoted.

    >>> curve_spacing("H0", inner_radius_mm=400, group="C").value_mm
    64.0
    """
    words = f"{scale}, curve of {inner_radius_mm:g} mm, {in_words(group)}"
    row = (scale, tidy(inner_radius_mm), group)
    return _CURVES.found(row, words=words)
