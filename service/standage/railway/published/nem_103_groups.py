"""The groups of long vehicles of NEM 103, by which other sheets have their rows too."""

from typing import Literal

from standage.railway.terms.figures import goes_into
from standage.railway.terms.nem import Size
from standage.railway.terms.scales import full_size_mm

Group = Literal["A", "B", "C"]

_LONGEST_M: tuple[tuple[Group, float, float], ...] = (
    ("A", 20.0, 14.0),
    ("B", 24.2, 17.2),
    ("C", 27.2, 19.5),
)
_BODIES_MM: dict[Size, tuple[float, float, float]] = {
    "N": (125.0, 151.0, 170.0),
    "TT": (167.0, 202.0, 227.0),
    "H0": (230.0, 278.0, 313.0),
    "0": (460.0, 556.0, 625.0),
}
_RATIOS: dict[Size, float] = {"N": 160.0, "TT": 120.0, "H0": 87.0, "0": 43.5}
"""The sheet's lengths in size 0 are at 1:43.5, though NEM 010 has 1:45."""


def in_words(of: Group | None) -> str:
    """Return a group as the words of a row have it; None is of no row. **Source** plain
    English.
    """
    if of is None:
        return "vehicles of no known group"
    return f"group {of}"


def group(size: Size, *, body_mm: float, pivots_mm: float) -> Group | None:
    """Return the first group that a model vehicle goes into by the length of its body
    and its pivot centres, in mm; None where it is longer than the last.

    A body may be as long as the sheet's whole millimetres, or as the full size scaled
    down where that is a little more. **Source** NEM 103 (2016): full-size bodies of
    20.0, 24.2 and 27.2 m, pivots 14.0, 17.2 and 19.5 m apart, and the model lengths.

    >>> group("H0", body_mm=303.4, pivots_mm=218.4)
    'C'
    """
    ratio = _RATIOS[size]
    for (name, length_m, apart_m), sheet_mm in zip(
        _LONGEST_M, _BODIES_MM[size], strict=True
    ):
        longest_mm = max(sheet_mm, full_size_mm(length_m, ratio=ratio))
        widest_mm = full_size_mm(apart_m, ratio=ratio)
        if goes_into(body_mm, room_mm=longest_mm) and goes_into(
            pivots_mm, room_mm=widest_mm
        ):
            return name
    return None
