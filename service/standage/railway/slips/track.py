"""Slips of the pen in radii, spacings, gradients, and the lengths of places."""

import math
from collections.abc import Iterator

import msgspec

from standage.railway.roads.places import PlaceFigures
from standage.railway.slips.slip import Likely, Sense, Slip, shown, unit_slip
from standage.railway.terms.lengths import feet_and_inches, lengths_named_in
from standage.railway.terms.scales import Scale, ScaleName, scale

_RADIUS = Sense(what="a curve's radius", least_m=9.0, usual_m=55.0, most_m=1500.0)
_SPACING = Sense(
    what="the spacing between two centre lines", least_m=3.3, usual_m=4.1, most_m=20.0
)
_NARROW_SPACING = msgspec.structs.replace(_SPACING, least_m=2.4)
"""British double track has 11 ft 2 in (3.40 m) between centre lines, NEM 112 scales to
4.0 m (H0 46, N 25 mm) and NMRA S-8 to 4.0 m and more: nothing less than 3.3 m is a
spacing. Narrow gauge: common practice."""
ROAD = Sense(what="the length of a road", least_m=5.0, usual_m=150.0, most_m=3000.0)
HEADROOM = Sense(what="headroom", least_m=2.5, usual_m=5.5, most_m=60.0)
_PLACE = {
    "usable_length_mm": ROAD,
    "blades_to_blades_mm": ROAD,
    "stop_to_stop_mm": ROAD,
    "face_length_mm": ROAD,
    "clear_circle_mm": Sense(
        what="a turntable's circle", least_m=4.0, usual_m=25.0, most_m=120.0
    ),
    "headroom_mm": HEADROOM,
}
_BRITISH_SECTIONAL = frozenset({"00", "OO"})
_SECTIONAL_RADII_MM = (371.0, 438.0, 505.0, 572.0)
"""Radii of sectional track sold in Britain for 00: makers' geometry, no standard."""
_SAME_RADIUS_MM = 1.0
_STEEPEST_PERCENT = 10.0
"""Steeper than any adhesion line: the practice of 1 in 30 for steep is 3.3 %."""
_MOST_ONE_IN = 200.0
_SAME_LENGTH = 0.03
"""A nominal foot of 300 mm is 1.6 % short, which is no slip."""
_NEARLY = 0.25
_LEAST_NAMED_MM = 100.0


def radius_slips(
    radius_mm: float,
    *,
    field: str = "radius_mm",
    of: Scale | None = None,
    longest_mm: float | None = None,
) -> Iterator[Slip]:
    """Yield the likely slips in a radius.

    ``longest_mm`` is the longest vehicle that is to run there. A slip of unit is looked
    for only where the radius is none by itself, and what it proposes is no less than
    that vehicle. A diameter is suspected in 00, where the figure is twice a sectional
    track's radius.
    """
    least_mm = longest_mm or 0.0
    slip = None
    if unit_slip(radius_mm, _RADIUS, field=field, scale=of) is not None:
        slip = unit_slip(
            radius_mm, _at_least(_RADIUS, least_mm, of), field=field, scale=of
        )
    if slip is not None:
        yield slip
    elif radius_mm < least_mm:
        message = (
            f"a radius of {shown(radius_mm)} mm is less than the length of the vehicle,"
            f" {shown(least_mm)} mm"
        )
        yield Slip(
            code="radius_smaller_than_vehicle",
            field=field,
            message=message,
            likely="unknown",
        )
    elif (
        of is not None
        and of.name in _BRITISH_SECTIONAL
        and _is_sectional_diameter(radius_mm, least_mm=least_mm)
    ):
        yield _diameter(
            radius_mm,
            field=field,
            why=f"{shown(radius_mm)} mm is twice a radius of sectional track",
        )


def spacing_slips(
    spacing_mm: float, *, field: str = "spacing_mm", of: Scale | None = None
) -> Iterator[Slip]:
    """Yield the likely slips in a spacing between two centre lines, above all the gap
    between the near rails.
    """
    sense = _NARROW_SPACING if of is not None and of.is_narrow else _SPACING
    if of is not None:
        centres_mm = spacing_mm + of.gauge_mm
        if spacing_mm < sense.least_m * 1000 / of.ratio <= centres_mm:
            yield Slip(
                code="spacing_or_gap",
                field=field,
                message=(
                    f"{shown(spacing_mm)} mm is too little between centre lines in"
                    f" {of.name}: if it is the gap between the near rails, add the"
                    f" gauge of {of.gauge_mm:g} mm and write {shown(centres_mm)}"
                ),
                likely="gap",
                likely_value=round(centres_mm, 3),
            )
            return
    slip = unit_slip(spacing_mm, sense, field=field, scale=of)
    if slip is not None:
        yield slip


def gradient_slips(gradient_percent: float, *, field: str) -> Iterator[Slip]:
    """Yield a slip where a gradient of so many per cent makes sense only as one in so
    many.
    """
    if not _STEEPEST_PERCENT < gradient_percent <= _MOST_ONE_IN:
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


def place_slips(
    place: PlaceFigures, *, name: str | None = None, of: ScaleName | None = None
) -> Iterator[Slip]:
    """Yield the likely slips in a place's figures; ``of`` is the scale where the place
    itself names none.
    """
    named = place.scale or of
    model = None if named is None else scale(named)
    return (
        msgspec.structs.replace(slip, place=name)
        for slip in _place_slips(place, model, name or "")
    )


def _place_slips(place: PlaceFigures, model: Scale | None, name: str) -> Iterator[Slip]:
    for field, sense in _PLACE.items():
        value_mm = getattr(place, field)
        slip = (
            None
            if value_mm is None
            else unit_slip(value_mm, sense, field=field, scale=model)
        )
        if slip is not None:
            yield slip
    if place.minimum_radius_mm is not None:
        yield from radius_slips(
            place.minimum_radius_mm, field="minimum_radius_mm", of=model
        )
    if place.spacing_mm is not None:
        yield from spacing_slips(place.spacing_mm, of=model)
    if place.steepest_gradient_percent is not None:
        yield from gradient_slips(
            place.steepest_gradient_percent, field="steepest_gradient_percent"
        )
    if place.usable_length_mm is not None:
        yield from called_slips(
            name, length_mm=place.usable_length_mm, field="usable_length_mm"
        )


def called_slips(text: str, *, length_mm: float, field: str) -> Iterator[Slip]:
    """Yield a slip where a name calls a length something that it nearly is but is not,
    as 2,000 mm called 7 ft.

    A length in the name that has nothing to do with the figure is left alone.
    """
    named_mm = [float(mm) for mm in lengths_named_in(text) if mm >= _LEAST_NAMED_MM]
    if length_mm <= 0 or any(
        _near(mm / length_mm, within=_SAME_LENGTH) for mm in named_mm
    ):
        return
    for mm in named_mm:
        likely = _likely_apart(mm / length_mm)
        if likely is not None:
            yield two_lengths_slip(length_mm, called_mm=mm, field=field, likely=likely)


def two_lengths_slip(
    length_mm: float, *, called_mm: float, field: str, likely: Likely = "rounded"
) -> Slip:
    """Return the slip of one length written in two ways that do not agree."""
    apart_mm = abs(called_mm - length_mm)
    return Slip(
        code="two_lengths",
        field=field,
        message=(
            f"{shown(length_mm)} mm is"
            f" {feet_and_inches(round(length_mm / 25.4 * 8) * 25.4 / 8)}, but is called"
            f" {feet_and_inches(called_mm)}, which is {shown(called_mm)} mm:"
            f" {shown(apart_mm)} mm apart"
        ),
        likely=likely,
        likely_value=round(called_mm, 3),
    )


def lengths_agree(length_mm: float, *, called_mm: float) -> bool:
    """Tell whether two ways of writing one length agree, a nominal foot of 300 mm
    included.
    """
    return length_mm == called_mm or (
        length_mm > 0 and _near(called_mm / length_mm, within=_SAME_LENGTH)
    )


def _likely_apart(times: float) -> Likely | None:
    """Return what makes one length ``times`` the other, if it is a slip at all."""
    known: tuple[tuple[float, Likely], ...] = (
        (25.4, "inches"),
        (10.0, "centimetres"),
        (1000.0, "metres"),
    )
    for factor, likely in (*known, (304.8, "feet")):
        if _near(times / factor, within=_SAME_LENGTH):
            return likely
    return "rounded" if _near(times, within=_NEARLY) else None


def _near(times: float, *, within: float) -> bool:
    return abs(math.log(times)) <= math.log(1 + within)


def _at_least(sense: Sense, least_mm: float, of: Scale | None) -> Sense:
    ratio = 220.0 if of is None else of.ratio
    return msgspec.structs.replace(
        sense, least_m=max(sense.least_m, least_mm * ratio / 1000)
    )


def _is_sectional_diameter(radius_mm: float, *, least_mm: float) -> bool:
    """Tell whether half of it is a sectional track's radius, and no less than the
    vehicle that is to run there.
    """
    return radius_mm / 2 >= least_mm and any(
        abs(radius_mm - 2 * one) <= _SAME_RADIUS_MM for one in _SECTIONAL_RADII_MM
    )


def _diameter(radius_mm: float, *, field: str, why: str) -> Slip:
    return Slip(
        code="radius_or_diameter",
        field=field,
        message=(
            f"{why}: if {shown(radius_mm)} mm is the diameter, write"
            f" {shown(radius_mm / 2)}"
        ),
        likely="diameter",
        likely_value=radius_mm / 2,
    )
