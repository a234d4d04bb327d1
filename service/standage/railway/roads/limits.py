"""What a layout asks of trains that come to it: the figures of its places that bind,
each with the place it is from.
"""

from collections.abc import Callable, Sequence
from typing import Literal

import msgspec

from standage.railway.roads.allowances import (
    RAILS_MM,
    Allowance,
    Provenance,
    allowance,
    called,
    platform_face_mm,
)
from standage.railway.roads.places import Place, PlaceKind
from standage.railway.terms.figures import tidy
from standage.railway.terms.scales import scale

THROUGH: frozenset[PlaceKind] = frozenset(
    {"loop", "siding", "platform", "storage_road"}
)
"""Places in which a visiting train may be put: their lengths bind it."""
MARGIN_OF_GAUGE = 8
"""Trains that pass keep an eighth of the gauge apart. **Source** common practice."""

Bound = Literal["most", "least"]


class Limit(msgspec.Struct, frozen=True, kw_only=True):
    """A figure that binds, and the name of the place it is from; of two alike the first
    by name.
    """

    value: float
    place: str


class Swing(msgspec.Struct, frozen=True, kw_only=True):
    """How far from their centre lines bodies may stand out beside the next track: half
    the width and the throw.

    ``both_mm`` is for the two trains that meet there, ``each_mm`` for each of them
    where they are alike.
    """

    spacing_mm: float
    margin_mm: float
    both_mm: float
    each_mm: float
    place: str


class PlaceLimits(msgspec.Struct, frozen=True, kw_only=True):
    """What one place asks; None is what nobody measured. ``longest_mm`` is what stands
    there for certain.

    ``passenger_mm`` is that of a train from its first passenger vehicle to its last.
    """

    longest_mm: float | None
    passenger_mm: float | None
    radius_mm: float | None
    gradient_percent: float | None
    headroom_mm: float | None
    swing: Swing | None


def limits_of(place: Place, *, known_by: Provenance) -> PlaceLimits:
    """Return what ``place`` asks: the longest train is its room less its ±, never less
    than 0.

    On a turntable the ends of the rails that are kept free come off too: no wheelbase
    is longer than its train. A train's own ± is to be taken off all that. **Source**
    derived.
    """
    given = allowance(place, known_by=known_by, stopping_margin_mm=None)
    longest_mm = _for_certain(given, room_mm=given.room_mm)
    if place.kind == "turntable" and given.room_mm is not None:
        longest_mm = _for_certain(given, room_mm=given.room_mm - RAILS_MM)
    return PlaceLimits(
        longest_mm=longest_mm,
        passenger_mm=longest_passenger_mm(place, given, longest_mm=longest_mm),
        radius_mm=place.minimum_radius_mm,
        gradient_percent=place.steepest_gradient_percent,
        headroom_mm=place.headroom_mm,
        swing=_swing(place),
    )


def longest_passenger_mm(
    place: Place, given: Allowance, *, longest_mm: float | None
) -> float | None:
    """Return the longest train there from its first passenger vehicle to its last,
    where any may be ``longest_mm``.

    Along a platform's face no more than that holds for certain, its ± taken to be the
    road's. **Source** derived.
    """
    along_face_mm = _for_certain(given, room_mm=platform_face_mm(place))
    if longest_mm is None or along_face_mm is None:
        return longest_mm
    return min(longest_mm, along_face_mm)


def _for_certain(given: Allowance, *, room_mm: float | None) -> float | None:
    if room_mm is None:
        return None
    certain_mm = tidy(room_mm - given.plus_minus_mm)
    return max(0.0, certain_mm)


def binding(
    places: Sequence[Place], figure: Callable[[Place], float | None], *, bound: Bound
) -> Limit | None:
    """Return the greatest or the least figure of all that have one, with its place;
    None where none has. **Source** derived.
    """
    limits: list[Limit] = []
    for place in places:
        value = figure(place)
        if value is not None:
            limits.append(Limit(value=value, place=called(place)))
    sign = -1 if bound == "most" else 1

    def binds(one: Limit) -> tuple[float, str]:
        return sign * one.value, one.place

    return min(
        limits,
        key=binds,
        default=None,
    )


def tightest_swing(places: Sequence[Place]) -> Swing | None:
    """Return the swing of the place that leaves bodies least; None where no spacing is
    known. **Source** derived.
    """
    swings = filter(None, map(_swing, places))
    return min(
        swings,
        key=lambda one: (one.both_mm, one.place),
        default=None,
    )


def _swing(place: Place) -> Swing | None:
    if place.spacing_mm is None:
        return None
    gauge_mm = place.gauge_mm
    if gauge_mm is None and place.scale is not None:
        gauge_mm = scale(place.scale).gauge_mm
    # Of a track whose gauge nobody knows no margin is made up.
    margin_mm = 0.0 if gauge_mm is None else gauge_mm / MARGIN_OF_GAUGE
    left_mm = tidy(place.spacing_mm - margin_mm)
    both_mm = max(0.0, left_mm)
    return Swing(
        spacing_mm=place.spacing_mm,
        margin_mm=tidy(margin_mm),
        both_mm=both_mm,
        each_mm=tidy(both_mm / 2),
        place=called(place),
    )
