"""A run of track, straight, arc or transition: its curvature is linear in its length.

Curvature is 1 ÷ radius, in 1/mm, and is more than 0 where the run bends to the left as
seen going along it. A run of one curvature is a straight (0) or an arc.
"""

from math import ceil, inf, isfinite, sqrt
from typing import Literal, TypeVar

import msgspec
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Number = TypeVar("Number", float, Floats)
Hand = Literal["left", "right"]

MOST_TURN = 1000.0
"""Radians that one run may turn: a helix of 159 rounds. More is a slip of the pen."""
_TURN_OF_A_CELL = 1 / 8
_BOW_OF_A_CELL = 1 / 128
_NEXT_TO_NONE_MM = 1e-9
"""Of a run so short the curvature's rate may be too large a number to reckon with."""


class Run(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """So many mm of track, and its curvature where it begins and where it ends.

    Raises ValueError for a length below 0, for figures that are no numbers, and for a
    run that turns by more than ``MOST_TURN`` radians.
    """

    length_mm: float = 0.0
    curvature_from: float = 0.0
    curvature_to: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what is no track."""
        if not 0 <= self.length_mm < inf:
            limits = "but has to be 0 mm or more, and not endless"
            raise ValueError(f"length_mm is {self.length_mm:g} mm, {limits}")
        for name in ("curvature_from", "curvature_to"):
            curvature = getattr(self, name)
            if not isfinite(curvature):
                limit = "but has to be a number"
                raise ValueError(f"{name} is {curvature:g} per mm, {limit}")
        if self._most_turn > MOST_TURN:
            limit = f"but {MOST_TURN:g} radians is the most"
            raise ValueError(f"the run turns by {self._most_turn:g} radians, {limit}")

    @property
    def is_even(self) -> bool:
        """Whether it has one curvature: a straight or an arc."""
        return self.curvature_from == self.curvature_to

    @property
    def rate(self) -> float:
        """How much its curvature grows in a mm; 0 for a run of next to no length."""
        length_mm = self.length_mm
        if self.is_even:
            return 0.0
        if length_mm < _NEXT_TO_NONE_MM:
            return 0.0
        return self._gained / length_mm

    @property
    def turn(self) -> float:
        """The angle in radians by which it turns to the left."""
        return self.length_mm * (self.curvature_from + self.curvature_to) / 2

    @property
    def reversed(self) -> "Run":
        """The run as it is met from its other end: of the other hand."""
        return Run(
            length_mm=self.length_mm,
            curvature_from=-self.curvature_to,
            curvature_to=-self.curvature_from,
        )

    @property
    def mirrored(self) -> "Run":
        """The run of the other hand."""
        return Run(
            length_mm=self.length_mm,
            curvature_from=-self.curvature_from,
            curvature_to=-self.curvature_to,
        )

    def curvature_at(self, along_mm: float) -> float:
        """Return its curvature so many mm from where it begins."""
        return self.curvature_from + self.rate * along_mm

    def part(self, from_mm: float, to_mm: float) -> "Run":
        """Return what of it lies between two places; 0 and its length give it whole."""
        ends_with_it = to_mm == self.length_mm
        curvature_to = self.curvature_to if ends_with_it else self.curvature_at(to_mm)
        return Run(
            length_mm=to_mm - from_mm,
            curvature_from=self.curvature_at(from_mm),
            curvature_to=curvature_to,
        )

    @property
    def cells(self) -> int:
        """Into how many equal parts it has to be cut for ``chord_of_cell`` to be exact.

        Each turns by an eighth of a radian at most.
        """
        by_turn = self._most_turn / _TURN_OF_A_CELL
        bow = abs(self._gained) * self.length_mm / 8
        by_bow = sqrt(bow / _BOW_OF_A_CELL)
        return max(
            1,
            ceil(by_turn),
            ceil(by_bow),
        )

    @property
    def _gained(self) -> float:
        return self.curvature_to - self.curvature_from

    @property
    def _most_turn(self) -> float:
        sharpest = max(
            abs(self.curvature_from),
            abs(self.curvature_to),
        )
        return sharpest * self.length_mm


def even(curvature: float, *, length_mm: float = 0.0) -> Run:
    """Return a run of one curvature: a straight for 0. **Source** derived."""
    return Run(
        length_mm=length_mm,
        curvature_from=curvature,
        curvature_to=curvature,
    )


def straight(length_mm: float) -> Run:
    """Return so many mm of straight track. **Source** derived."""
    return Run(length_mm=length_mm)


def arc(length_mm: float, *, radius_mm: float, hand: Hand) -> Run:
    """Return an arc by its length along the centre line; ``hand`` is that going along.

    Raises ValueError for a radius of 0 or less. **Source** derived.
    """
    curvature = curvature_of(radius_mm, hand=hand)
    return even(curvature, length_mm=length_mm)


def transition(
    length_mm: float,
    *,
    radius_from_mm: float | None,
    radius_to_mm: float | None,
    hand: Hand,
) -> Run:
    """Return a transition from one radius to another; a radius of None is straight.

    It is of one hand only: through an inflection go two. Equal radii give an arc.
    Raises ValueError for a radius of 0 or less. **Source** derived.
    """
    return Run(
        length_mm=length_mm,
        curvature_from=curvature_of(radius_from_mm, hand=hand),
        curvature_to=curvature_of(radius_to_mm, hand=hand),
    )


def curvature_of(radius_mm: float | None, *, hand: Hand) -> float:
    """Return 1 ÷ radius, less than 0 for a bend to the right; 0 for None: straight.

    **Source** derived.

    >>> curvature_of(400, hand="right")
    -0.0025
    """
    if radius_mm is None:
        return 0.0
    if not radius_mm > 0:
        raise ValueError(f"radius_mm is {radius_mm:g} mm, but has to be more than 0 mm")
    curvature = 1 / radius_mm
    if hand == "right":
        return -curvature
    return curvature


def chord_of_cell(half_turn: Number, bow: Number) -> tuple[Number, Number]:
    """Return a cell's chord as parts of its length: as its middle looks, and aside.

    ``half_turn`` is the angle by which it would turn from its middle to its end with
    the curvature k of its middle: k · u ÷ 2 for a cell of u mm. ``bow`` is
    rate · u² ÷ 8. Exact to 1e-14 for a half turn of 1/16 and a bow of 1/128, the most
    that ``Run.cells`` leaves.

    **Source** derived: measured from the middle, with t from −1 to 1, the direction
    is half_turn · t + bow · t². The integral of its cosine and sine over t is
    expanded in both, and what is odd in t falls out.

    >>> chord_of_cell(0.0, 0.0)
    (1.0, 0.0)
    """
    turned = half_turn * half_turn
    bowed = bow * bow
    plain = 1 - turned * (1 / 6 - turned * (1 / 120 - turned / 5040))
    second = 1 / 5 - turned * (1 / 14 - turned / 216)
    fourth = 1 / 9 - turned / 22
    along = plain - bowed * (second / 2 - bowed * fourth / 24)
    first = 1 / 3 - turned * (1 / 10 - turned * (1 / 168 - turned / 6480))
    third = 1 / 7 - turned / 18
    aside = bow * (first - bowed * (third / 6 - bowed / 1320))
    return along, aside
