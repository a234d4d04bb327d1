"""Bodies placed by sampling, for want of the service's own way: a path is integrated in
steps of a twentieth of a mm, axles are found by halving, and shapely measures.
"""

from functools import cache
from typing import NamedTuple

import numpy as np
import shapely  # type: ignore[import-untyped] # ships no types
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Points = NDArray[np.complex128]

STEP_MM = 0.05
_HALVINGS = 44
_PIVOTS_MM = 0.5
_BEHIND_MM = 1200.0
"""So much straight lies before the blades, for what stands across them."""


class Body(NamedTuple):
    """A body by its pivots, its bogies' wheelbase, its two halves and its width.

    The tail is the half towards the blades.
    """

    pivots_mm: float
    bogie_mm: float
    head_mm: float
    tail_mm: float
    width_mm: float


class Sampled:
    """A way by lengths with their curvatures, to the left more than 0.

    Its positions count from the blades, and are less than 0 before them; there it sets
    out to the right.
    """

    def __init__(self, *lengths: tuple[float, float], start: complex = 0j) -> None:
        parts = ((_BEHIND_MM, 0.0), *lengths)
        bends: list[Floats] = []
        for length_mm, curvature in parts:
            steps = max(1, round(length_mm / STEP_MM))
            # each part in whole steps of its own length
            bends.append(
                np.column_stack(
                    (np.full(steps, length_mm / steps), np.full(steps, curvature))
                )
            )
        steps_mm, curvatures = np.concatenate(bends).T
        turned = np.cumsum(steps_mm * curvatures)
        middles = turned - steps_mm * curvatures / 2
        chords = steps_mm * np.exp(1j * middles)
        begin = start - _BEHIND_MM
        self._place = np.concatenate(([begin], begin + np.cumsum(chords)))
        self._at_mm = np.concatenate(([0.0], np.cumsum(steps_mm))) - _BEHIND_MM

    @property
    def line(self) -> shapely.LineString:
        """The way as a line, from 1200 mm before the blades."""
        return shapely.LineString(np.column_stack((self._place.real, self._place.imag)))

    def at(self, at_mm: Floats) -> Points:
        across = np.interp(at_mm, self._at_mm, self._place.real)
        up = np.interp(at_mm, self._at_mm, self._place.imag)
        places: Points = across + 1j * up
        return places

    def behind(self, first_mm: Floats, chord_mm: float) -> Floats:
        """Return where a chord ends that begins at each place, by halving."""
        if chord_mm == 0:
            return first_mm
        point = self.at(first_mm)
        low, high = first_mm - 1.6 * chord_mm, first_mm.copy()
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            is_far = np.abs(point - self.at(middle)) > chord_mm
            low = np.where(is_far, middle, low)
            high = np.where(is_far, high, middle)
        return (low + high) / 2

    @cache  # noqa: B019 - as long as the way is looked at
    def pivots(self, bogie_mm: float) -> tuple[Floats, Points]:
        """Return many places of a bogie's first axle, and its pivot for each."""
        first_mm = np.arange(self._at_mm[0] + 2 * bogie_mm, self._at_mm[-1], _PIVOTS_MM)
        last_mm = self.behind(first_mm, bogie_mm)
        return first_mm, (self.at(first_mm) + self.at(last_mm)) / 2

    def rectangles(self, first_mm: Floats, body: Body) -> Points:
        """Return the corners of the body for each place of its first axle: head left,
        head right, tail right, tail left."""
        known_mm, pivots = self.pivots(body.bogie_mm)

        def pivot(at_mm: Floats) -> Points:
            across = np.interp(at_mm, known_mm, pivots.real)
            up = np.interp(at_mm, known_mm, pivots.imag)
            places: Points = across + 1j * up
            return places

        front = pivot(first_mm)
        low = first_mm - 1.6 * (body.pivots_mm + body.bogie_mm)
        high = first_mm.copy()
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            rear = pivot(middle)
            is_far = np.abs(front - rear) > body.pivots_mm
            low = np.where(is_far, middle, low)
            high = np.where(is_far, high, middle)
        rear = pivot((low + high) / 2)
        axis = (front - rear) / np.abs(front - rear)
        centre = (front + rear) / 2
        aside = 1j * axis * body.width_mm / 2
        head = centre + axis * body.head_mm
        tail = centre - axis * body.tail_mm
        return np.column_stack((head + aside, head - aside, tail - aside, tail + aside))


def polygons(corners: Points) -> NDArray[np.object_]:
    both = np.stack((corners.real, corners.imag), axis=-1)
    made: NDArray[np.object_] = shapely.polygons(both)
    return made


class Question(NamedTuple):
    """Which body stands on which way, and which moves on which; how far they are tried."""

    own: Sampled
    standing: Body
    other: Sampled
    moving: Body
    margin_mm: float
    to_mm: float
    other_to_mm: float | None = None


def stands_clear_mm(asked: Question) -> float:
    """Return how far from the blades the near end's foot is, last of all that are too
    near: by 2 mm, then by halving."""
    behind_mm = asked.standing.tail_mm + asked.standing.pivots_mm / 2
    behind_mm += asked.standing.bogie_mm / 2
    tried = np.arange(behind_mm, asked.to_mm, 2.0)
    reach_mm = asked.to_mm if asked.other_to_mm is None else asked.other_to_mm
    moves = np.arange(-60.0, reach_mm, 1.0)
    swept = polygons(asked.other.rectangles(moves, asked.moving))
    stands = polygons(asked.own.rectangles(tried, asked.standing))
    gaps = np.array([shapely.distance(swept, one).min() for one in stands])
    near = np.flatnonzero(gaps < asked.margin_mm)
    if len(near) == 0:
        return 0.0
    low, high = tried[near[-1]], tried[near[-1]] + 2.0
    for _ in range(14):
        middle = (low + high) / 2
        if _gap_mm(asked, float(middle), moves, swept) < asked.margin_mm:
            low = middle
        else:
            high = middle
    return _foot_mm(asked, float(high))


def _gap_mm(
    asked: Question, first_mm: float, moves: Floats, swept: NDArray[np.object_]
) -> float:
    body = polygons(asked.own.rectangles(np.array([first_mm]), asked.standing))[0]
    worst = float(moves[shapely.distance(swept, body).argmin()])
    closer = np.arange(worst - 1.0, worst + 1.0, 0.01)
    around = polygons(asked.other.rectangles(closer, asked.moving))
    return float(shapely.distance(around, body).min())


def _foot_mm(asked: Question, first_mm: float) -> float:
    corners = asked.own.rectangles(np.array([first_mm]), asked.standing)[0]
    near_end = (corners[2] + corners[3]) / 2
    point = shapely.Point(near_end.real, near_end.imag)
    return float(asked.own.line.project(point)) - _BEHIND_MM
