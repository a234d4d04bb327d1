"""A spacing that was read from another column of a published table: that of another
scale, or one that is not for straight track.
"""

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import NamedTuple

from standage.railway.published.nem_112 import straight_spacing
from standage.railway.published.nmra_s_8 import tangent_spacing
from standage.railway.published.tables import Found, Held
from standage.railway.slips.bounds import SPACING
from standage.railway.slips.slip import Likely, Slip, shown
from standage.railway.terms.scales import Scale, ScaleName, scale

_INCH_MM = 25.4
_AS_READ_MM = 0.15
"""So far off a row is still that row, as people turn inches into tenths of a mm."""
_NOT_FOR_STRAIGHTS: dict[ScaleName, float] = {"O": 3.75 * _INCH_MM}
"""**Source** NMRA S-8 as quoted: 3 3/4 in stands in another column than that for
straight track.
"""


class _Rows(NamedTuple):
    """One row a scale, and the scales that have one."""

    scales: Sequence[ScaleName]
    look: Callable[[ScaleName], Found]


_TABLES = (
    _Rows(("N", "HO", "S", "O"), tangent_spacing),
    _Rows(("N", "TT", "H0"), partial(straight_spacing, beside="running_line")),
    _Rows(("N", "H0"), partial(straight_spacing, beside="station")),
)


def column_slips(
    spacing_mm: float, *, of: Scale, is_straight: bool, field: str = ""
) -> Iterator[Slip]:
    """Yield a slip where a spacing, in mm, is just what a table has for another scale
    and too little for its own, or of straight track what the table has for curves.

    **Source** NMRA S-8 and NEM 112 as quoted; that people read the wrong column is
    common practice.
    """
    least_mm = SPACING.on_the_gauge_of(of).least_m * 1000 / of.ratio
    if spacing_mm < least_mm:
        yield from _of_another_scale(spacing_mm, of, field)
    elif is_straight:
        yield from _not_for_straights(spacing_mm, of, field)


def _of_another_scale(spacing_mm: float, of: Scale, field: str) -> Iterator[Slip]:
    for rows in _TABLES:
        own = _row(rows, of)
        others = map(scale, rows.scales)
        read = [one for one in others if _is_row(spacing_mm, _row(rows, one))]
        if own is None or not read:
            continue
        message = (
            f"{shown(spacing_mm)} mm is what {own.standard.called} has for"
            f" {read[0].name}: for {of.name} write {_written(own.value_mm)}"
        )
        yield _slip(message, field, meant_mm=own.value_mm, likely="another_scale")
        return


def _not_for_straights(spacing_mm: float, of: Scale, field: str) -> Iterator[Slip]:
    for name, column_mm in _NOT_FOR_STRAIGHTS.items():
        own = tangent_spacing(name)
        if of.name != name or not isinstance(own, Held):
            continue
        if abs(spacing_mm - column_mm) > _AS_READ_MM:
            continue
        message = (
            f"{shown(spacing_mm)} mm stands in another column of"
            f" {own.standard.called}: for straight track in {name} it has"
            f" {_written(own.value_mm)}"
        )
        yield _slip(message, field, meant_mm=own.value_mm, likely="another_column")


def _row(rows: _Rows, of: Scale) -> Held | None:
    for name in rows.scales:
        found = rows.look(name)
        if name == of.name and isinstance(found, Held):
            return found
    return None


def _is_row(spacing_mm: float, row: Held | None) -> bool:
    if row is None:
        return False
    return abs(spacing_mm - row.value_mm) <= _AS_READ_MM


def _written(value_mm: float) -> str:
    """Return a row as somebody would write it: to a hundredth."""
    return f"{round(value_mm, 2):g}"


def _slip(message: str, field: str, *, meant_mm: float, likely: Likely) -> Slip:
    return Slip(
        code="another_column",
        field=field,
        message=message,
        likely=likely,
        likely_value=round(meant_mm, 3),
    )
