"""Least radii by NEM 111: by groups of vehicles and sorts of line, and where buffers
touch.
"""

from collections.abc import Sequence
from typing import Literal

from standage.railway.published.nem_103_groups import Group, in_words
from standage.railway.published.tables import Found, Standard, Table
from standage.railway.terms.scales import ScaleName

NEM_111 = Standard(name="NEM 111", edition="2012", as_quoted=True)
Line = Literal["absolute", "station", "branch_main", "main_line"]
LINES: tuple[Line, ...] = ("absolute", "station", "branch_main", "main_line")
RunningGear = Literal["two_axle", "bogies"]

_RADII = Table[tuple[ScaleName, Line, Group | None]](
    NEM_111,
    {
        ("H0", "absolute", "A"): 363.0,
        ("H0", "absolute", "B"): 412.0,
        ("H0", "absolute", "C"): 495.0,
        ("H0", "station", "A"): 412.0,
        ("H0", "station", "B"): 495.0,
        ("H0", "station", "C"): 577.0,
        ("H0", "branch_main", "A"): 495.0,
        ("H0", "branch_main", "B"): 577.0,
        ("H0", "branch_main", "C"): 660.0,
        ("H0", "main_line", "A"): 577.0,
        ("H0", "main_line", "B"): 660.0,
        ("H0", "main_line", "C"): 742.0,
    },
)
_WORDS: dict[Line, str] = {
    "absolute": "the least of all",
    "station": "side tracks of stations",
    "branch_main": "main tracks of branch lines",
    "main_line": "main tracks of main lines",
}
_TOUCHING: dict[RunningGear, Sequence[tuple[float, float, float]]] = {
    "two_axle": ((9.8, 5.0, 50.0),),
    "bogies": ((20.0, 14.0, 57.0), (24.2, 17.2, 60.0), (27.2, 19.5, 84.0)),
}
"""So long over buffers, with axles or pivots so far apart, in metres; and the multiple
of the gauge.
"""


def least_radius(scale: ScaleName, *, line: Line, group: Group | None) -> Found:
    """Return the least radius of a sort of line for vehicles of a group, in mm; a group
    of None is of no row. **Source** NEM 111 as quoted in 2012, H0: groups A, B and C.

    >>> least_radius("H0", line="absolute", group="C").value_mm
    495.0
    """
    words = f"{scale}, {_WORDS[line]}, {in_words(group)}"
    row = (scale, line, group)
    return _RADII.found(row, words=words)


def touching_buffers_radius_mm(
    gauge_mm: float, *, over_buffers_m: float, pivots_m: float, gear: RunningGear
) -> float | None:
    """Return the least radius on which a vehicle runs with touching buffers, or None
    where the standard has no group.

    ``over_buffers_m`` and ``pivots_m`` (between bogie pivots, or the wheelbase of two
    axles) are full-size metres. It holds with a transition, or a straight longer than
    the longest vehicle, between curves. **Source** NEM 111 (2016), section 3.2:
    multiples of the gauge; groups of bogie vehicles by NEM 103 (2016).

    >>> touching_buffers_radius_mm(16.5, over_buffers_m=26.4, pivots_m=19.0, gear="bogies")
    1386.0
    """
    for longest_m, widest_m, gauges in _TOUCHING[gear]:
        if over_buffers_m <= longest_m and pivots_m <= widest_m:
            return gauges * gauge_mm
    return None
