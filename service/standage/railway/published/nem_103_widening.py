"""By how much NEM 103 widens the structure gauge in curves."""

from collections.abc import Iterator

from standage.railway.published.nem_102 import size_of
from standage.railway.published.nem_103_groups import Group
from standage.railway.published.tables import Found, Held, Standard, Table
from standage.railway.terms.figures import tidy
from standage.railway.terms.nem import Size
from standage.railway.terms.scales import ScaleName

NEM_103 = Standard(name="NEM 103", edition="2016")

_Row = tuple[ScaleName, float, Group | None]
_SIZES: tuple[Size, ...] = ("N", "TT", "H0", "0")
_GROUPS: tuple[Group, ...] = ("A", "B", "C")
_SHEET = """
 175  4/-/-  -/-/-  -/-/-   -/-/-
 200  4/-/-  -/-/-  -/-/-   -/-/-
 225  3/5/-  -/-/-  -/-/-   -/-/-
 250  3/5/6  6/-/-  -/-/-   -/-/-
 275  3/4/6  5/-/-  -/-/-   -/-/-
 300  2/4/5  5/7/-  -/-/-   -/-/-
 325  2/3/5  4/6/-  -/-/-   -/-/-
 350  2/3/4  4/6/8  8/-/-   -/-/-
 400  1/2/4  3/5/7  7/11/-  -/-/-
 450  1/2/3  3/4/6  6/9/12  -/-/-
 500  1/1/3  2/4/5  5/8/11  -/-/-
 550  0/1/2  2/3/4  4/7/10  -/-/-
 600  0/1/2  1/3/4  4/6/9   19/-/-
 700  0/0/2  1/2/3  3/5/7   16/-/-
 800  0/0/1  0/2/3  3/4/6   14/22/-
 900  0/0/1  0/1/2  2/3/5   12/19/25
1000  0/0/0  0/1/2  2/3/4   10/17/22
1200  0/0/0  0/0/1  1/2/3   8/14/18
1400  0/0/0  0/0/1  1/2/2   7/11/15
1600  0/0/0  0/0/1  0/1/2   6/9/13
1800  0/0/0  0/0/0  0/1/1   5/8/11
2000  0/0/0  0/0/0  0/0/1   4/7/9
2500  0/0/0  0/0/0  0/0/0   3/5/7
3000  0/0/0  0/0/0  0/0/0   2/3/5
3500  0/0/0  0/0/0  0/0/0   1/2/4
4000  0/0/0  0/0/0  0/0/0   0/1/3
"""
"""A line a radius, a column a size, in each the groups A/B/C; - is not allowed."""


def _rows() -> Iterator[tuple[_Row, float | None]]:
    for line in _SHEET.strip().splitlines():
        radius, *columns = line.split()
        for size, column in zip(_SIZES, columns, strict=True):
            cells = column.split("/")
            for group, cell in zip(_GROUPS, cells, strict=True):
                widening_mm = None if cell == "-" else float(cell)
                yield (size, float(radius), group), widening_mm


_WIDENINGS = Table[_Row](NEM_103, dict(_rows()))


def widening(name: ScaleName, *, radius_mm: float | None, group: Group | None) -> Found:
    """Return by how much the structure gauge is wider at each side on a curve, in mm; a
    radius of None is straight, and a group of None of no row.

    **Source** NEM 103 (2016).

    >>> widening("H0", radius_mm=600, group="B").value_mm
    6.0
    """
    if radius_mm is None and size_of(name) is not None:
        return Held(standard=NEM_103, row=f"{name}, straight", value_mm=0.0)
    of = "vehicles of no known group" if group is None else f"group {group}"
    where = "straight" if radius_mm is None else f"curve of {radius_mm:g} mm"
    words = f"{name}, {where}, {of}"
    radius = 0.0 if radius_mm is None else tidy(radius_mm)
    return _WIDENINGS.found((name, radius, group), words=words)
