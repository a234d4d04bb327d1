"""Where on the paper a label may stand: not over another, and over track only where
there is nowhere else.

The paper is cut into small squares; each row of them is one number, a bit a square.
"""

from collections.abc import Iterator
from math import ceil, cos, radians, sin
from typing import NamedTuple

import msgspec

_SQUARE_MM = 0.5
_PER_MM = 1 / _SQUARE_MM
_DOT_MM = 0.1
_NEAR_MM = (1.0, 2.5, 4.5, 7.0, 10.0, 14.0, 19.0, 25.0)
_DEGREES = (90, -90, 45, -45, 135, -135, 0, 180, 68, -68, 112, -112)
"""Above and below come first: most track runs from left to right."""
_WAYS = tuple((cos(radians(way)), -sin(radians(way))) for way in _DEGREES)
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


class _Touched(NamedTuple):
    """The squares that a box touches: these bits of these rows."""

    top: int
    foot: int
    bits: int


class Room:
    """The paper with what is drawn on it, and the labels that stand there already."""

    def __init__(self, width_mm: float, height_mm: float) -> None:
        """Begin with empty paper."""
        self._width_mm = width_mm
        self._height_mm = height_mm
        self._across = ceil(width_mm / _SQUARE_MM)
        self._down = max(1, ceil(height_mm / _SQUARE_MM))
        self._drawn = [0] * self._down
        self._taken = [0] * self._down

    def draw(self, place: complex, *, reach_mm: float) -> None:
        """Note that something is drawn about a place."""
        box = _about(place, reach_mm)
        _fill(self._drawn, self._touched(box))

    def take(self, box: Box) -> None:
        """Note that words stand there: no others may."""
        _fill(self._taken, self._touched(box))

    def is_open(self, box: Box) -> bool:
        """Tell whether no words stand where a box is."""
        return _is_free(self._taken, self._touched(box))

    def stand(
        self, anchor: complex, *, width_mm: float, height_mm: float, far: bool = True
    ) -> Stand | None:
        """Return where a label of that size may stand beside a place, and take it.

        Where nothing is drawn, the nearer the better; else over what is drawn but never
        over words; None where there is no such place. Takes at most a hundred tries.
        """
        otherwise: Stand | None = None
        for box in self._tries(anchor, width_mm, height_mm, far=far):
            touched = self._touched(box)
            if not _is_free(self._taken, touched):
                continue
            is_clear = _is_free(self._drawn, touched)
            if not is_clear and otherwise is not None:
                continue
            stand = _beside(anchor, box)
            if not self._may_lead(stand):
                continue
            if is_clear:
                return self._kept(stand)
            otherwise = stand
        if otherwise is None:
            return None
        return self._kept(otherwise)

    def _tries(
        self, anchor: complex, width_mm: float, height_mm: float, *, far: bool
    ) -> Iterator[Box]:
        """Yield the boxes about a place that lie on the paper, the nearest first."""
        farthest_mm = self._width_mm - width_mm
        lowest_mm = self._height_mm - height_mm
        half_width_mm, half_height_mm = width_mm / 2, height_mm / 2
        first_mm = anchor.real - half_width_mm
        first_down_mm = anchor.imag - half_height_mm
        for off_mm in _NEAR_MM if far else _NEAR_MM[:3]:
            off_x_mm = off_mm + half_width_mm
            off_y_mm = off_mm + half_height_mm
            for across, down in _WAYS:
                left_mm = first_mm + across * off_x_mm
                top_mm = first_down_mm + down * off_y_mm
                if 0 <= left_mm <= farthest_mm and 0 <= top_mm <= lowest_mm:
                    yield Box(
                        left_mm,
                        top_mm,
                        width_mm,
                        height_mm,
                    )

    def _touched(self, box: Box) -> _Touched:
        first = max(0, int(box.left_mm * _PER_MM))
        last = min(self._across, int(box.right_mm * _PER_MM) + 1)
        top = max(0, int(box.top_mm * _PER_MM))
        foot = min(self._down, int(box.foot_mm * _PER_MM) + 1)
        wide = max(0, last - first)
        bits = ((1 << wide) - 1) << first
        return _Touched(top, foot, bits)

    def _may_lead(self, stand: Stand) -> bool:
        """Tell whether a label's leader crosses no words."""
        return all(self.is_open(dot) for dot in _dots(stand))

    def _kept(self, stand: Stand) -> Stand:
        self.take(stand.box)
        for dot in _dots(stand):
            self.take(dot)
        return stand


def _fill(rows: list[int], touched: _Touched) -> None:
    top, foot, bits = touched
    for row in range(top, foot):
        rows[row] |= bits


def _is_free(rows: list[int], touched: _Touched) -> bool:
    top, foot, bits = touched
    return not any(row & bits for row in rows[top:foot])


def _beside(anchor: complex, box: Box) -> Stand:
    """Return a label in a box, with a leader where it stands farther off."""
    near = box.nearest(anchor)
    is_led = abs(near - anchor) > _LED_MM
    return Stand(
        box,
        (anchor, near) if is_led else None,
    )


def _about(place: complex, reach_mm: float) -> Box:
    across_mm = 2 * reach_mm
    left_mm = place.real - reach_mm
    top_mm = place.imag - reach_mm
    return Box(
        left_mm,
        top_mm,
        across_mm,
        across_mm,
    )


def _dots(stand: Stand) -> Iterator[Box]:
    """Yield small boxes along a leader, from beside the place that it leads from."""
    if stand.leader is None:
        return
    one, other = stand.leader
    along = other - one
    steps = ceil(abs(along) / _SQUARE_MM)
    for step in range(2, steps):
        place = one + along * step / steps
        yield _about(place, _DOT_MM)
