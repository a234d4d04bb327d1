"""Slips of the pen in radii, spacings and gradients, and in lengths that are told
twice.
"""

import math
from collections.abc import Iterator

import msgspec

from standage.railway.slips.bounds import RADIUS, SPACING
from standage.railway.slips.columns import column_slips
from standage.railway.slips.slip import Likely, Slip, shown, unit_slip
from standage.railway.terms.lengths import feet_and_inches, lengths_named_in
from standage.railway.terms.scales import Scale

_BRITISH_SECTIONAL = frozenset({"00", "OO"})
_SECTIONAL_RADII_MM = (371.0, 438.0, 505.0, 572.0)
"""Radii of sectional track sold in Britain for 00: makers' geometry, no standard."""
_SAME_RADIUS_MM = 1.0
STEEPEST_PERCENT = 10.0
"""Steeper than any adhesion line: the practice of 1 in 30 for steep is 3.3 %."""
_MOST_ONE_IN = 200.0
_SAME_LENGTH = 0.03
"""A nominal foot of 300 mm is 1.6 % short, which is no slip."""
_NEARLY = 0.25
_LEAST_NAMED_MM = 100.0
_GREATEST_RATIO = 220.0
_EIGHTH_MM = 25.4 / 8
"""An eighth of an inch, to which lengths are read."""
_TIMES_APART: tuple[tuple[float, Likely], ...] = (
    (25.4, "inches"),
    (10.0, "centimetres"),
    (1000.0, "metres"),
    (304.8, "feet"),
)


def radius_slips(
    radius_mm: float,
    *,
    field: str = "",
    of: Scale | None = None,
    longest_mm: float | None = None,
) -> Iterator[Slip]:
    """Yield the likely slips in a radius, in mm to the centre line.

    ``longest_mm`` is the longest vehicle that is to run there. A slip of unit is looked
    for only where the radius is none by itself, and what it proposes is no less than
    that vehicle. A diameter is suspected in 00, where the figure is twice a sectional
    track's radius. **Source** common practice; the bounds bring theirs.
    """
    least_mm = longest_mm or 0.0
    in_unit = _radius_in_another_unit(
        radius_mm,
        field=field,
        of=of,
        least_mm=least_mm,
    )
    if in_unit is not None:
        yield in_unit
    elif radius_mm < least_mm:
        yield _less_than_the_vehicle(radius_mm, field=field, longest_mm=least_mm)
    elif _is_british(of) and _is_sectional_diameter(radius_mm, least_mm=least_mm):
        yield _diameter(radius_mm, field=field)


def _radius_in_another_unit(
    radius_mm: float, *, field: str, of: Scale | None, least_mm: float
) -> Slip | None:
    if unit_slip(radius_mm, RADIUS, scale=of) is None:
        return None
    # What is proposed must take the vehicle too.
    ratio = _GREATEST_RATIO if of is None else of.ratio
    vehicle_m = least_mm * ratio / 1000
    least_m = max(RADIUS.least_m, vehicle_m)
    bounds = msgspec.structs.replace(RADIUS, least_m=least_m)
    return unit_slip(radius_mm, bounds, field=field, scale=of)


def _less_than_the_vehicle(radius_mm: float, *, field: str, longest_mm: float) -> Slip:
    message = (
        f"a radius of {shown(radius_mm)} mm is less than the length of the vehicle,"
        f" {shown(longest_mm)} mm"
    )
    return Slip(
        code="radius_smaller_than_vehicle",
        field=field,
        message=message,
        likely="unknown",
    )


def spacing_slips(
    spacing_mm: float,
    *,
    field: str = "",
    of: Scale | None = None,
    is_straight: bool = True,
) -> Iterator[Slip]:
    """Yield the likely slips in a spacing between two centre lines, in mm, above all
    the gap between the near rails.

    Without a scale no gap is suspected, as it takes the gauge, nor another column of a
    table. **Source** NEM 112 and NMRA S-8 for the least; the gap for the spacing is
    common practice.
    """
    slip = None
    if of is not None:
        of_column = column_slips(
            spacing_mm,
            of=of,
            is_straight=is_straight,
            field=field,
        )
        slip = next(of_column, None) or _gap_slip(spacing_mm, field=field, of=of)
    if slip is None:
        slip = unit_slip(spacing_mm, SPACING, field=field, scale=of)
    if slip is not None:
        yield slip


def _gap_slip(spacing_mm: float, *, field: str, of: Scale) -> Slip | None:
    """Return the slip where only a gauge more makes the figure a spacing."""
    least_mm = SPACING.on_the_gauge_of(of).least_m * 1000 / of.ratio
    centres_mm = spacing_mm + of.gauge_mm
    if not spacing_mm < least_mm <= centres_mm:
        return None
    message = (
        f"{shown(spacing_mm)} mm is too little between centre lines in"
        f" {of.name}: if it is the gap between the near rails, add the"
        f" gauge of {of.gauge_mm:g} mm and write {shown(centres_mm)}"
    )
    return Slip(
        code="spacing_or_gap",
        field=field,
        message=message,
        likely="gap",
        likely_value=round(centres_mm, 3),
    )


def gradient_slips(gradient_percent: float, *, field: str = "") -> Iterator[Slip]:
    """Yield a slip where a gradient of so many per cent makes sense only as one in so
    many: from 10 % to 200. **Source** common practice.
    """
    if not STEEPEST_PERCENT < gradient_percent <= _MOST_ONE_IN:
        return
    meant = 100 / gradient_percent
    message = (
        f"{gradient_percent:g} % is far too steep: if 1 in {gradient_percent:g} is"
        f" meant, write {meant:.2f} %"
    )
    yield Slip(
        code="percent_or_one_in",
        field=field,
        message=message,
        likely="one_in",
        likely_value=round(meant, 3),
    )


def called_slips(text: str, *, length_mm: float, field: str) -> Iterator[Slip]:
    """Yield a slip where a name calls a length something that it nearly is but is not,
    as 2,000 mm called 7 ft.

    A length in the name that has nothing to do with the figure is left alone, and so is
    a name in which one of several lengths agrees. **Source** common practice.
    """
    named_mm = [float(mm) for mm in lengths_named_in(text) if mm >= _LEAST_NAMED_MM]
    if length_mm <= 0:
        return
    if any(_near(mm / length_mm, within=_SAME_LENGTH) for mm in named_mm):
        return
    for mm in named_mm:
        likely = _likely_apart(mm / length_mm)
        if likely is not None:
            yield two_lengths_slip(
                length_mm,
                called_mm=mm,
                field=field,
                likely=likely,
            )


def two_lengths_slip(
    length_mm: float, *, called_mm: float, field: str, likely: Likely = "rounded"
) -> Slip:
    """Return the slip of one length, in mm, written in two ways that do not agree.
    **Source** derived.
    """
    apart_mm = abs(called_mm - length_mm)
    to_an_eighth_mm = round(length_mm / _EIGHTH_MM) * _EIGHTH_MM
    message = (
        f"{shown(length_mm)} mm is {feet_and_inches(to_an_eighth_mm)}, but is called"
        f" {feet_and_inches(called_mm)}, which is {shown(called_mm)} mm:"
        f" {shown(apart_mm)} mm apart"
    )
    return Slip(
        code="two_lengths",
        field=field,
        message=message,
        likely=likely,
        likely_value=round(called_mm, 3),
    )


def lengths_agree(length_mm: float, *, called_mm: float) -> bool:
    """Tell whether two ways of writing one length agree, a nominal foot of 300 mm
    included; nothing agrees with nothing only. **Source** common practice.
    """
    if length_mm == called_mm:
        return True
    return length_mm > 0 and _near(called_mm / length_mm, within=_SAME_LENGTH)


def _likely_apart(times: float) -> Likely | None:
    """Return what makes one length ``times`` the other, if it is a slip at all."""
    for factor, likely in _TIMES_APART:
        if _near(times / factor, within=_SAME_LENGTH):
            return likely
    return "rounded" if _near(times, within=_NEARLY) else None


def _near(times: float, *, within: float) -> bool:
    apart = math.log(times)
    allowed = math.log(1 + within)
    return abs(apart) <= allowed


def _is_british(of: Scale | None) -> bool:
    if of is None:
        return False
    return of.name in _BRITISH_SECTIONAL


def _is_sectional_diameter(radius_mm: float, *, least_mm: float) -> bool:
    """Tell whether half of it is a sectional track's radius, and no less than the
    vehicle that is to run there.
    """
    half_mm = radius_mm / 2
    if half_mm < least_mm:
        return False
    return any(
        abs(radius_mm - 2 * sold_mm) <= _SAME_RADIUS_MM
        for sold_mm in _SECTIONAL_RADII_MM
    )


def _diameter(radius_mm: float, *, field: str) -> Slip:
    message = (
        f"{shown(radius_mm)} mm is twice a radius of sectional track: if"
        f" {shown(radius_mm)} mm is the diameter, write {shown(radius_mm / 2)}"
    )
    return Slip(
        code="radius_or_diameter",
        field=field,
        message=message,
        likely="diameter",
        likely_value=radius_mm / 2,
    )
