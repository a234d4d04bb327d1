"""How the rail's height goes on: parts, on each of which it is straight or a parabola.

Between two heights a line climbs evenly. A vertical curve at one of them belongs to the
run between the two: there the rail lies level at that height, and bends to the even
gradient along it.
"""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

import msgspec

SAME_MM = 1e-6
_SAME_SLOPE = 1e-9
_SAME_RATE = 1e-12


class Known(msgspec.Struct, frozen=True, kw_only=True, order=True):
    """A height that is given at a place of a line, or that another line has there."""

    at_mm: float
    height_mm: float
    vertical_curve_mm: float = 0.0
    number: int = -1


class Part(NamedTuple):
    """Track from one place to another on which the slope changes evenly, or not at all.

    ``height_mm`` is where it begins; slopes are rise ÷ run, less than 0 downhill.
    """

    from_mm: float
    to_mm: float
    height_mm: float
    slope_from: float
    slope_to: float

    @property
    def rate(self) -> float:
        """How much the slope grows in a mm."""
        length_mm = self.to_mm - self.from_mm
        if length_mm <= 0:
            return 0.0
        return (self.slope_to - self.slope_from) / length_mm

    def slope_at(self, at_mm: float) -> float:
        """Return the slope at a place of it."""
        return self.slope_from + self.rate * (at_mm - self.from_mm)

    def height_at(self, at_mm: float) -> float:
        """Return the height at a place of it, in mm."""
        along_mm = at_mm - self.from_mm
        mean_slope = self.slope_from + self.rate * along_mm / 2
        return self.height_mm + mean_slope * along_mm

    @property
    def end_mm(self) -> float:
        """Its height where it ends."""
        return self.height_at(self.to_mm)

    def between(self, from_mm: float, to_mm: float) -> "Part":
        """Return what of it lies between two places."""
        begins_mm = max(self.from_mm, from_mm)
        ends_mm = min(self.to_mm, to_mm)
        return Part(
            begins_mm,
            ends_mm,
            self.height_at(begins_mm),
            self.slope_at(begins_mm),
            self.slope_at(ends_mm),
        )

    def moved(self, by_mm: float) -> "Part":
        """Return it so much farther on."""
        return Part(
            self.from_mm + by_mm,
            self.to_mm + by_mm,
            self.height_mm,
            self.slope_from,
            self.slope_to,
        )

    def turned(self, whole_mm: float) -> "Part":
        """Return it as it is met from the other end of track of that length."""
        return Part(
            whole_mm - self.to_mm,
            whole_mm - self.from_mm,
            self.end_mm,
            -self.slope_to,
            -self.slope_from,
        )

    def goes_on_as(self, other: "Part") -> bool:
        """Tell whether the part that follows bends, or does not, just as it does."""
        is_smooth = abs(self.slope_to - other.slope_from) <= _SAME_SLOPE
        return is_smooth and abs(self.rate - other.rate) <= _SAME_RATE


def eased(one: Known, two: Known) -> tuple[Part, ...] | None:
    """Return the track between two heights that follow each other; None where their
    vertical curves overlap. In mm.

    With vertical curves v the gradient between them is rise ÷ (run − (v₁ + v₂)/2).
    **Source** derived: each rises half of what its length would at that gradient.
    """
    run_mm = two.at_mm - one.at_mm
    if run_mm <= SAME_MM:
        return ()
    curved_mm = one.vertical_curve_mm + two.vertical_curve_mm
    if curved_mm > run_mm + SAME_MM:
        return None
    rise_mm = two.height_mm - one.height_mm
    slope = rise_mm / (run_mm - curved_mm / 2)
    foot_mm = one.at_mm + one.vertical_curve_mm
    top_mm = max(foot_mm, two.at_mm - two.vertical_curve_mm)
    foot_height_mm = one.height_mm + slope * one.vertical_curve_mm / 2
    top_height_mm = two.height_mm - slope * two.vertical_curve_mm / 2
    parts = (
        Part(
            one.at_mm,
            foot_mm,
            one.height_mm,
            0.0,
            slope,
        ),
        Part(
            foot_mm,
            top_mm,
            foot_height_mm,
            slope,
            slope,
        ),
        Part(
            top_mm,
            two.at_mm,
            top_height_mm,
            slope,
            0.0,
        ),
    )
    return tuple(part for part in parts if part.to_mm > part.from_mm)


def parts_between(
    known: Sequence[Known], from_mm: float, to_mm: float
) -> tuple[Part, ...] | None:
    """Return the track of a line from one place to another, by the heights known of it
    in order; None where it hangs on vertical curves that overlap.

    Level before the first height and past the last. In mm. **Source** derived.
    """
    first, last = known[0], known[-1]
    parts: list[Part] = []
    if from_mm < first.at_mm:
        parts.append(
            Part(
                from_mm,
                first.at_mm,
                first.height_mm,
                0.0,
                0.0,
            )
        )
    before = bisect_right(known, from_mm, key=_at) - 1
    for one, two in pairwise(known[max(before, 0) :]):
        if one.at_mm >= to_mm:
            break
        between = eased(one, two)
        if between is None:
            return None
        parts += between
    if to_mm > last.at_mm:
        parts.append(
            Part(
                last.at_mm,
                to_mm,
                last.height_mm,
                0.0,
                0.0,
            )
        )
    return tuple(_within(parts, from_mm, to_mm))


def _at(known: Known) -> float:
    return known.at_mm


def _within(parts: Sequence[Part], from_mm: float, to_mm: float) -> Iterator[Part]:
    for part in parts:
        if part.to_mm > from_mm and part.from_mm < to_mm:
            yield part.between(from_mm, to_mm)
