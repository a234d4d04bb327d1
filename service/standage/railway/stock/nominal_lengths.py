"""American classes by their nominal length in feet, which is that of the room inside,
and how long such cars are.

**Source** a 40 ft box car is 44 ft 2½ in over its pulling faces, as published; the
other classes are common practice from memory, with a scatter of 2 ft. Passenger cars
are called by their length over the couplers.
"""

from collections.abc import Mapping
from typing import NamedTuple

from standage.railway.stock.vehicles import (
    KEPT_KINDS,
    PASSENGER_KINDS,
    VehicleKind,
)

_FOOT_M = 0.3048
_FREIGHT_FT = {
    36.0: 40.0,
    40.0: 44 + 2.5 / 12,
    50.0: 54.5,
    60.0: 67.5,
    85.0: 92.0,
    86.0: 93.0,
    89.0: 94.0,
}
"""Over the pulling faces, by the class."""
_SCATTER_FT = 2.0
_PUBLISHED_FT = 40.0
_AS_PUBLISHED = "44 ft 2½ in in full size, as published"
_BY_ITS_LENGTH = "a passenger car is called by that"
_BOTH_FT = 85.0
_UNSAID: frozenset[VehicleKind | None] = frozenset({None, "other"})
_PASSENGER_FT = (40.0, 90.0)
"""Between these a passenger car's class is its length."""


class OverPullingFaces(NamedTuple):
    """How long a car of a class is over its couplings in full size, in metres, and how
    far off that may be.
    """

    length_m: float
    plus_minus_m: float
    found: str
    """In words, where that is from."""


def over_pulling_faces(
    class_ft: float, *, kind: VehicleKind | None
) -> OverPullingFaces | None:
    """Return how long a car of a class is in full size; None for a class that is not
    held, and for what is not called by one. In metres, with its ±.

    Of 85 ft there are freight cars and passenger cars, so that the kind has to be said.
    **Source** as published for 40 ft; other classes from memory, ± 2 ft.

    >>> round(over_pulling_faces(40, kind="wagon").length_m / 0.3048, 3)
    44.208
    """
    if kind in KEPT_KINDS or may_be_either(class_ft, kind=kind):
        return None
    if kind in PASSENGER_KINDS:
        least_ft, most_ft = _PASSENGER_FT
        if not least_ft <= class_ft <= most_ft:
            return None
        return OverPullingFaces(class_ft * _FOOT_M, 0.0, _BY_ITS_LENGTH)
    length_ft = _FREIGHT_FT.get(class_ft)
    if length_ft is None:
        return None
    length_m = length_ft * _FOOT_M
    if class_ft == _PUBLISHED_FT:
        return OverPullingFaces(length_m, 0.0, _AS_PUBLISHED)
    found = f"about {length_ft:g} ft in full size, from memory"
    return OverPullingFaces(length_m, _SCATTER_FT * _FOOT_M, found)


def may_be_either(class_ft: float, *, kind: VehicleKind | None) -> bool:
    """Tell whether freight cars and passenger cars are called so, of which nobody says
    which is meant. **Source** common practice.

    >>> may_be_either(85, kind=None), may_be_either(85, kind="coach")
    (True, False)
    """
    return kind in _UNSAID and class_ft == _BOTH_FT


def class_of(length_m: float) -> float | None:
    """Return the freight class whose nominal length in feet a full-size length is; None
    where it is none's. In metres; off by up to 0.35 ft it is still the class's.
    **Source** common practice.

    >>> class_of(40 * 0.3048), class_of(44.2 * 0.3048)
    (40.0, None)
    """
    return next(
        (feet for feet in _FREIGHT_FT if abs(length_m / _FOOT_M - feet) < _ALIKE_FT),
        None,
    )


def class_in_metres(length_m: float, *, kind: VehicleKind | None) -> float | None:
    """Return the class whose length in metres, as whole ones, is ``length_m``; None
    where it is none's. **Source** derived.

    >>> class_in_metres(12, kind="wagon"), class_in_metres(44, kind="wagon")
    (40.0, None)
    """
    feet = length_m / _FOOT_M
    if kind in PASSENGER_KINDS:
        nearest = float(round(feet))
    else:
        nearest = _nearest(feet, {one: one for one in _FREIGHT_FT})
    is_held = over_pulling_faces(nearest, kind=kind) is not None
    is_it = abs(nearest - feet) * _FOOT_M <= _HALF
    return nearest if is_held and is_it else None


def class_over_pulling_faces(
    length_ft: float, *, kind: VehicleKind | None
) -> float | None:
    """Return the freight class whose cars are so many whole feet long over their
    pulling faces; None where there is none, for what is not called by a class, and for
    passenger cars, whose class is that length. **Source** as the classes.

    >>> class_over_pulling_faces(44, kind="wagon"), class_over_pulling_faces(47, kind="wagon")
    (40.0, None)
    """
    if kind in PASSENGER_KINDS:
        return None
    nearest = _nearest(length_ft, _FREIGHT_FT)
    is_held = over_pulling_faces(nearest, kind=kind) is not None
    is_it = abs(_FREIGHT_FT[nearest] - length_ft) <= _HALF
    return nearest if is_held and is_it else None


def _nearest(feet: float, lengths_ft: Mapping[float, float]) -> float:
    """Return the class that is nearest by its length, the shorter of two."""

    def how_far(class_ft: float) -> float:
        return abs(lengths_ft[class_ft] - feet)

    return min(lengths_ft, key=how_far)


_HALF = 0.5
"""Whole metres and feet are off by so much of one."""
_ALIKE_FT = 0.35
"""As much as a ruler and a conversion are off in the smaller scales."""
