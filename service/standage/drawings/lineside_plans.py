"""A plan of a curve with what stands beside it, the stock that decides on it; where the
curve ends, that place and the straight beyond.

The inside of the curve is above.
"""

from math import asin, pi
from xml.etree import ElementTree as ET

import msgspec
import numpy as np

from standage.drawings.to_scale import Box, Frame, box_about, named
from standage.railway.lineside.laid_out import beside, laid
from standage.railway.track.paths.outlines import Outline

HIGH_MM = 70.0
_POINTS = 72
_LONGER = 1.3
_MOST_TURN = 0.8 * pi


class Curve(msgspec.Struct, frozen=True, kw_only=True):
    """What a plan shows; all in mm.

    ``ends_at_mm`` is where the curve ends, counted from where what stands beside it
    begins; None where it does not end there. ``centres_mm`` is an island's, whose outer
    track is drawn too.
    """

    outline: Outline
    radius_mm: float
    gauge_mm: float
    inside_mm: float
    outside_mm: float
    ends_at_mm: float | None
    centres_mm: float | None = None

    @property
    def long_mm(self) -> float:
        """How much of the track is shown, on the curve and beyond it each."""
        long_mm = _LONGER * self.outline.length_mm
        return min(long_mm, _MOST_TURN * self.radius_mm)

    @property
    def shown_mm(self) -> tuple[float, float]:
        """From where to where along the track is shown; the curve ends at 0."""
        if self.ends_at_mm is None:
            return -self.long_mm, 0.0
        return -self.long_mm, self.long_mm

    @property
    def begins_mm(self) -> float:
        """Where along the track what stands beside it begins, as far as is shown."""
        first_mm, last_mm = self.shown_mm
        if self.ends_at_mm is None:
            return first_mm
        return min(last_mm, max(first_mm, -self.ends_at_mm))

    @property
    def pivot_mm(self) -> float:
        """Where the leading bogie's middle is: in the middle of the curve, or where it
        ends.
        """
        if self.ends_at_mm is not None:
            return 0.0
        half_sine = self.outline.wheels.pivots_mm / 2 / self.radius_mm
        half_mm = self.radius_mm * asin(min(1.0, half_sine))
        return min(0.0, half_mm - self.long_mm / 2)


class _Drawn:
    """A plan in its frame, turned so that the middle of a curve lies level."""

    def __init__(self, curve: Curve) -> None:
        self.curve = curve
        self._turn: complex = 1 + 0j
        if curve.ends_at_mm is None:
            half_way = curve.long_mm / 2 / curve.radius_mm
            self._turn = complex(np.exp(1j * half_way))

    def line(self, aside_mm: float, *, from_mm: float | None = None) -> list[complex]:
        """Return a line beside the track, all along or from some place on."""
        first_mm, last_mm = self.curve.shown_mm
        if from_mm is not None:
            first_mm = from_mm
        places = np.linspace(first_mm, last_mm, _POINTS)
        return [self.at(float(place_mm), aside_mm) for place_mm in places]

    def at(self, place_mm: float, aside_mm: float) -> complex:
        point = beside(place_mm, radius_mm=self.curve.radius_mm, aside_mm=aside_mm)
        return point * self._turn

    @property
    def body(self) -> tuple[complex, ...]:
        """The corners of the body, all round."""
        curve = self.curve
        corners = laid(
            curve.outline,
            radius_mm=curve.radius_mm,
            leading_pivot_mm=curve.pivot_mm,
        )
        return tuple(corner * self._turn for corner in corners)

    @property
    def bands(self) -> tuple[tuple[float, float], ...]:
        """What stands beside the track: from how far aside to how far, to the left."""
        curve = self.curve
        # no deeper than goes inside a curve
        deep_mm = min(2 * curve.gauge_mm, max(0.0, curve.radius_mm - curve.inside_mm))
        outside_mm = curve.outside_mm
        if curve.centres_mm is not None:
            return ((-outside_mm, curve.inside_mm - curve.centres_mm),)
        return (
            (curve.inside_mm, curve.inside_mm + deep_mm),
            (-outside_mm, -outside_mm - 2 * curve.gauge_mm),
        )

    @property
    def tracks_mm(self) -> tuple[float, ...]:
        """The centre lines of the tracks, each so far to the left."""
        if self.curve.centres_mm is None:
            return (0.0,)
        return (0.0, -self.curve.centres_mm)

    @property
    def rails_mm(self) -> tuple[float, ...]:
        """Their rails, each so far to the left."""
        half_mm = self.curve.gauge_mm / 2
        inner = [track_mm + half_mm for track_mm in self.tracks_mm]
        outer = [track_mm - half_mm for track_mm in self.tracks_mm]
        return (*inner, *outer)

    @property
    def box(self) -> Box:
        """All that is drawn."""
        points = list(self.body)
        sides_mm = [side_mm for band in self.bands for side_mm in band]
        for side_mm in (*sides_mm, *self.rails_mm):
            points += self.line(side_mm)
        return box_about(points)


def draw_plan(
    group: ET.Element, curve: Curve, *, top_mm: float, wide_mm: float
) -> float:
    """Draw a plan from so far down; return how far down it ends."""
    drawn = _Drawn(curve)
    box = drawn.box
    within = (wide_mm, HIGH_MM)
    frame = Frame.of(box, left_mm=0.0, top_mm=top_mm, within=within)
    from_mm = curve.begins_mm
    for near_mm, far_mm in drawn.bands:
        near = drawn.line(near_mm, from_mm=from_mm)
        far = drawn.line(far_mm, from_mm=from_mm)
        frame.shape(group, [*near, *reversed(far)], fill="grey", width="0.1")
        frame.along(group, near, width="0.7")
    for rail_mm in drawn.rails_mm:
        frame.along(group, drawn.line(rail_mm), width="0.2")
    if drawn.body:
        frame.shape(group, drawn.body, width="0.6")
    if curve.ends_at_mm is not None:
        _end(group, frame, drawn)
    _, foot_mm = frame.at(complex(0.0, box.lower_mm))
    return foot_mm + 2.0


def _end(group: ET.Element, frame: Frame, drawn: _Drawn) -> None:
    """Mark where the curve ends."""
    box = drawn.box
    lower, upper = complex(0.0, box.lower_mm), complex(0.0, box.upper_mm)
    frame.along(group, (lower, upper), width="0.2", dashes="1.2 0.8")
    x_mm, top_mm = frame.at(upper)
    named(group, x_mm, top_mm - 1.0, "the curve ends")
