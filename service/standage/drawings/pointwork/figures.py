"""A figure of points and roads, in its own mm: track, strokes, names, and lengths that
are dimensioned on it.
"""

from cmath import exp
from collections.abc import Iterator
from math import copysign, radians
from typing import Literal

import msgspec

from standage.drawings.plans.ways import Bend, along
from standage.railway.track.paths.spots import Spot

Weight = Literal["thin", "broken", "heavy"]
_PARTS = 12
"""An arc bulges between its ends."""
_SHARPEST_MM = 1e-6
"""A sharper arc is a corner, and its curvature might be no number."""


class Stroke(msgspec.Struct, frozen=True, kw_only=True):
    """A line that is no track; ``heavy`` is the mark to paint."""

    bends: tuple[Bend, ...]
    weight: Weight = "thin"


class NamedPlace(msgspec.Struct, frozen=True, kw_only=True):
    """A place with its name beside it, and a dot where it is a point."""

    place: complex
    name: str
    has_dot: bool = True


class Dimension(msgspec.Struct, frozen=True, kw_only=True):
    """A length as it is measured: along ``bends``, drawn so far to their left on the
    paper (to their right below 0), ``said`` beside it; ``meaning`` stands in the list.
    """

    bends: tuple[Bend, ...]
    aside_mm: float
    said: str
    meaning: str


class Figure(msgspec.Struct, frozen=True, kw_only=True):
    """What is drawn on a sheet; track of no ``gauge_mm`` is drawn as its centre line."""

    title: str
    facts: tuple[tuple[str, str], ...]
    tracks: tuple[tuple[Bend, ...], ...]
    gauge_mm: float | None
    strokes: tuple[Stroke, ...]
    names: tuple[NamedPlace, ...]
    dimensions: tuple[Dimension, ...]
    notes: tuple[str, ...]

    @property
    def places(self) -> Iterator[complex]:
        """Places about which there must be paper."""
        for bends in self.tracks:
            yield from _places(bends)
        for stroke in self.strokes:
            yield from _places(stroke.bends)
        for dimension in self.dimensions:
            yield from _places(dimension.bends)


def _places(bends: tuple[Bend, ...]) -> Iterator[complex]:
    for bend in bends:
        parts = 1 if bend.curvature == 0 else _PARTS
        yield from along([bend], step_mm=max(1e-9, bend.length_mm / parts))


def straight(start: complex, *, angle_deg: float, length_mm: float) -> Bend:
    """Return a straight from a place, at an angle to the x axis; one of less than
    nothing has no length.
    """
    direction = exp(1j * radians(angle_deg))
    return Bend(Spot(start, direction), max(0.0, length_mm), 0.0)


def between(start: complex, end: complex) -> Bend:
    """Return the straight from one place to another."""
    way = end - start
    length_mm = abs(way)
    direction = way / length_mm if length_mm > 0 else 1 + 0j
    return Bend(Spot(start, direction), length_mm, 0.0)


def onwards(bend: Bend, *, length_mm: float) -> Bend:
    """Return the straight that is laid on at the end of a bend."""
    return Bend(bend.end, max(0.0, length_mm), 0.0)


def turned(bend: Bend, *, radius_mm: float, turn: float) -> Bend:
    """Return the arc that is laid on at the end of a bend; ``turn`` is in radians, to the
    left above 0.
    """
    drawn_mm = max(_SHARPEST_MM, radius_mm)
    curvature = copysign(1 / drawn_mm, turn)
    return Bend(bend.end, drawn_mm * abs(turn), curvature)
