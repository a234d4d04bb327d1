"""Least radii by NMRA RP-11, with the points that go with them, as far as it is
held.
"""

from typing import Literal

from standage.railway.published.tables import Found, Standard, Table
from standage.railway.terms.figures import tidy
from standage.railway.terms.scales import ScaleName

NMRA_RP_11 = Standard(name="NMRA RP-11", as_quoted=True)
Line = Literal["main_line", "branch"]
LINES: tuple[Line, ...] = ("main_line", "branch")
_INCH_MM = 25.4


def _mm(inches: float) -> float:
    return tidy(inches * _INCH_MM)


_RADII = Table[tuple[ScaleName, Line]](
    NMRA_RP_11,
    {
        ("HO", "main_line"): _mm(40),
        ("HO", "branch"): _mm(16.5),
        ("N", "main_line"): _mm(21.5),
        ("N", "branch"): _mm(8.875),
    },
)
_POINTS: dict[tuple[ScaleName, Line], int] = {
    ("HO", "main_line"): 7,
    ("HO", "branch"): 5,
}
"""As they are quoted beside the radius: in N none is."""
_WORDS: dict[Line, str] = {"main_line": "main line", "branch": "branch"}


def least_radius(scale: ScaleName, *, line: Line) -> Found:
    """Return the least radius of a line in a scale, in mm. **Source** NMRA RP-11 as
    quoted, in inches: main line HO 40, N 21 1/2; branch HO 16 1/2, N 8 7/8.

    >>> least_radius("HO", line="main_line").value_mm
    1016.0
    """
    words = f"{scale}, {_WORDS[line]}"
    return _RADII.found((scale, line), words=words)


def points_number(scale: ScaleName, *, line: Line) -> int | None:
    """Return the number of the points that go with that radius; None where none is
    quoted. **Source** NMRA RP-11 as quoted.

    >>> points_number("HO", line="branch")
    5
    """
    return _POINTS.get((scale, line))
