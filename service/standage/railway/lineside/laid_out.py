"""A body as it lies in plan on a curve that runs out into straight track, and what lies
along that, for whoever draws it.

The curve ends at 0 and bends to the left before it; places count along the track.
"""

from math import pi

import numpy as np

from standage.railway.track.paths.outlines import Outline, rectangles
from standage.railway.track.paths.paths import Path, Pose
from standage.railway.track.paths.runs import arc, straight

_ROUND = (0, 1, 3, 2)
"""The corners of a rectangle, by their rows, all round."""


def beside(place_mm: float, *, radius_mm: float, aside_mm: float = 0.0) -> complex:
    """Return the point so far to the left of a place of the track, in mm; less than 0
    is to the right.

    **Source** derived.

    >>> beside(100, radius_mm=500, aside_mm=-20)
    (100-20j)
    """
    if place_mm >= 0:
        return complex(place_mm, aside_mm)
    turned = np.exp(1j * place_mm / radius_mm)
    return complex(1j * radius_mm - 1j * turned * (radius_mm - aside_mm))


def laid(
    outline: Outline, *, radius_mm: float, leading_pivot_mm: float
) -> tuple[complex, ...]:
    """Return the corners of a body, all round, with its leading bogie's middle, or its
    leading axle, so far along the track; none where it cannot stand there.

    Lengths in mm. **Source** derived: the definition of ``track.paths.wheels``.
    """
    wheels = outline.wheels
    ahead_mm = leading_pivot_mm + wheels.bogie_wheelbase_mm / 2
    axles_mm = pi / 2 * (wheels.pivots_mm + 2 * wheels.bogie_wheelbase_mm)
    # what can stand there spans half a circle at most
    before_mm = min(1.01 * axles_mm + max(0.0, -ahead_mm), 10.0 * radius_mm)
    start = beside(-before_mm, radius_mm=radius_mm)
    path = Path(
        runs=(
            arc(before_mm, radius_mm=radius_mm, hand="left"),
            straight(max(0.0, ahead_mm)),
        ),
        start=Pose(x_mm=start.real, y_mm=start.imag, heading=-before_mm / radius_mm),
    ).going_on
    first_axle_mm = np.array([before_mm + ahead_mm])
    with np.errstate(invalid="ignore"):
        corners = rectangles(path, first_axle_mm, outline).corners[:, 0]
    if np.isnan(corners).any():
        return ()
    return tuple(complex(corners[row]) for row in _ROUND)
