"""Where on the paper a label may stand: not over another, and over track only where
there is nowhere else.

The paper is cut into small squares; each row of them is one number, a bit a square.
"""

from collections.abc import Iterator
from itertools import product
from math import ceil, cos, radians, sin

import msgspec

_SQUARE_MM = 0.5
_NEAR_MM = (1.0, 2.5, 4.5, 7.0, 10.0, 14.0, 19.0, 25.0, 32.0)
_WAYS = (90, -90, 45, -45, 135, -135, 0, 180, 68, -68, 112, -112)
"""Above and below come first: most track runs from left to right."""
_LED_MM = 2.0
"""A label that stands farther off than this has a line that leads to it."""


class Box(msgspec.Struct, frozen=True):
    """A rectangle on the paper."""

    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float

    @property
    def right_mm(self) -> float:
        """Its right edge."""
        return self.left_mm + self.width_mm

    @property
    def foot_mm(self) -> float:
        """Its lower edge."""
        return self.top_mm + self.height_mm

    def nearest(self, place: complex) -> complex:
        """Return the place of it that lies nearest to another."""
        x_mm = min(max(place.real, self.left_mm), self.right_mm)
        y_mm = min(max(place.imag, self.top_mm), self.foot_mm)
        return complex(x_mm, y_mm)


class Stand(msgspec.Struct, frozen=True):
    """Where a label stands, and the line that leads to it, if it needs one."""

    box: Box
    leader: tuple[complex, complex] | None


class Squares:
    """A layer of squares, each free or not; what lies off the paper is not free."""

    def __init__(self, width_mm: float, height_mm: float) -> None:
        """Begin with nothing on it."""
        self._across = ceil(width_mm / _SQUARE_MM)
        rows = ceil(height_mm / _SQUARE_MM)
        self._rows = [0] * max(1, rows)

    def fill(self, box: Box) -> None:
        """Take up all squares that a box touches."""
        rows, bits = self._touched(box)
        for row in rows:
            self._rows[row] |= bits

    def is_free(self, box: Box) -> bool:
        """Tell whether no square that a box touches is taken."""
        rows, bits = self._touched(box)
        return not any(self._rows[row] & bits for row in rows)

    def _touched(self, box: Box) -> tuple[range, int]:
        first = max(0, int(box.left_mm / _SQUARE_MM))
        last = min(self._across, int(box.right_mm / _SQUARE_MM) + 1)
        top = max(0, int(box.top_mm / _SQUARE_MM))
        foot = min(len(self._rows), int(box.foot_mm / _SQUARE_MM) + 1)
        wide = max(0, last - first)
        return range(top, foot), ((1 << wide) - 1) << first


class Room:
    """The paper with what is drawn on it, and the labels that stand there already."""

    def __init__(self, width_mm: float, height_mm: float) -> None:
        """Begin with empty paper."""
        self._width_mm = width_mm
        self._height_mm = height_mm
        self._drawn = Squares(width_mm, height_mm)
        self._taken = Squares(width_mm, height_mm)

    def draw(self, place: complex, *, reach_mm: float) -> None:
        """Note that something is drawn about a place."""
        self._drawn.fill(_about(place, reach_mm))

    def take(self, box: Box) -> None:
        """Note that words stand there: no others may."""
        self._taken.fill(box)

    def is_open(self, box: Box) -> bool:
        """Tell whether no words stand where a box is."""
        return self._taken.is_free(box)

    def stand(
        self, anchor: complex, *, width_mm: float, height_mm: float, far: bool = True
    ) -> Stand | None:
        """Return where a label of that size may stand beside a place, and take it.

        First where nothing is drawn, the nearer the better, then over what is drawn but
        never over words; None where there is no such place. Takes at most two hundred
        tries.
        """
        tries = list(self._tries(anchor, width_mm, height_mm, far=far))
        for stand in tries:
            if self._drawn.is_free(stand.box) and self._may(stand):
                return self._kept(stand)
        for stand in tries:
            if self._may(stand):
                return self._kept(stand)
        return None

    def _tries(
        self, anchor: complex, width_mm: float, height_mm: float, *, far: bool
    ) -> Iterator[Stand]:
        nearest = _NEAR_MM if far else _NEAR_MM[:3]
        for off_mm, way in product(nearest, _WAYS):
            aside = cos(radians(way)) * (off_mm + width_mm / 2)
            down = -sin(radians(way)) * (off_mm + height_mm / 2)
            left_mm = anchor.real + aside - width_mm / 2
            top_mm = anchor.imag + down - height_mm / 2
            box = Box(left_mm, top_mm, width_mm, height_mm)
            if self._holds(box):
                near = box.nearest(anchor)
                is_led = abs(near - anchor) > _LED_MM
                yield Stand(box, (anchor, near) if is_led else None)

    def _holds(self, box: Box) -> bool:
        across = box.left_mm >= 0 and box.right_mm <= self._width_mm
        return across and box.top_mm >= 0 and box.foot_mm <= self._height_mm

    def _may(self, stand: Stand) -> bool:
        if not self.is_open(stand.box):
            return False
        return all(self._taken.is_free(dot) for dot in _dots(stand))

    def _kept(self, stand: Stand) -> Stand:
        self._taken.fill(stand.box)
        for dot in _dots(stand):
            self._taken.fill(dot)
        return stand


def _about(place: complex, reach_mm: float) -> Box:
    across_mm = 2 * reach_mm
    return Box(place.real - reach_mm, place.imag - reach_mm, across_mm, across_mm)


def _dots(stand: Stand) -> Iterator[Box]:
    """Yield small boxes along a leader, from beside the place that it leads from."""
    if stand.leader is None:
        return
    one, other = stand.leader
    length_mm = abs(other - one)
    steps = ceil(length_mm / _SQUARE_MM)
    for step in range(2, steps):
        place = one + (other - one) * step / steps
        yield _about(place, 0.1)
