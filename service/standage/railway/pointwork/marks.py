"""Where the mark stands beyond points from which on a vehicle on either road is clear of
the other: on straight legs, and where the one leg curves back to run parallel.

What is measured, centre lines or near rails, is the same picture: two lines that meet at
the angle of the points, the *through* line straight, the *branch* straight up to its
curve, and then parallel. Centre lines meet where the lines cross, the near rails at the
nose; a near rail's curve is sharper by half the gauge, its parallel closer by a gauge.
"""

from cmath import rect
from math import asin, sqrt
from typing import Literal

import msgspec

from standage.railway.pointwork.parting import Parting
from standage.railway.terms.figures import exceeds

Between = Literal["centre_lines", "near_rails"]
Outcome = Literal["clear", "never_clear", "cannot_be_laid"]


class WayBack(msgspec.Struct, frozen=True, kw_only=True):
    """How a branch comes back to parallel: at so much between centre lines, by a curve
    of that radius to its centre line, which is more than half the gauge.
    """

    parallel_mm: float
    radius_mm: float


class MarkWanted(msgspec.Struct, frozen=True, kw_only=True):
    """Points of a gauge, and how far apart the roads are to be at the mark, above 0;
    without a way back both legs go on straight.
    """

    parting: Parting
    gauge_mm: float
    apart_mm: float
    between: Between = "centre_lines"
    back: WayBack | None = None


class LegMark(msgspec.Struct, frozen=True, kw_only=True):
    """The mark on one leg.

    ``from_crossing_mm`` is along the leg's centre line from where the lines cross;
    ``from_nose_mm`` the same from abreast of the nose, along whichever is measured,
    centre line or near rail. ``place`` is where it lies: the through line runs along the
    x axis, and the lines cross at 0.
    """

    from_crossing_mm: float
    from_nose_mm: float
    place: complex


class Marks(msgspec.Struct, frozen=True, kw_only=True):
    """The mark on both legs; the one that is farther out counts."""

    through: LegMark
    branch: LegMark

    @property
    def from_crossing_mm(self) -> float:
        """How far the mark is from where the lines cross, on the leg where that is
        more.
        """
        return max(self.through.from_crossing_mm, self.branch.from_crossing_mm)

    @property
    def from_nose_mm(self) -> float:
        """How far the mark is from the nose, on the leg where that is more."""
        return max(self.through.from_nose_mm, self.branch.from_nose_mm)

    @property
    def length_mm(self) -> float:
        """How long the mark is that joins both legs."""
        return abs(self.branch.place - self.through.place)

    @property
    def squaring_mm(self) -> float:
        """How much too near the nose the mark comes on the through leg where it is
        squared across to the branch's instead of measured: c tan(α ÷ 2) on straight
        legs.
        """
        error_mm = self.through.place.real - self.branch.place.real
        return max(0.0, error_mm)

    @property
    def from_nose_if_squared_mm(self) -> float:
        """How far from the nose the mark comes then, along the through leg: c cot α less
        the nose on straight legs.
        """
        return self.through.from_nose_mm - self.squaring_mm


def outcome(wanted: MarkWanted) -> Outcome:
    """Return whether there is a mark; where none is, what is worse comes first.

    Never clear: the parallel is closer than the mark. Not to be laid: the curve back
    would have to begin before the crossing's nose, where the points' own angle ends.
    **Source** derived.
    """
    back = wanted.back
    if back is None:
        return "clear"
    least_mm = centres_at_mark_mm(wanted)
    if exceeds(least_mm, limit=back.parallel_mm):
        return "never_clear"
    nose_mm = wanted.parting.nose_mm(wanted.gauge_mm)
    begins_mm = curve_begins_mm(wanted.parting, back)
    if exceeds(nose_mm, limit=begins_mm):
        return "cannot_be_laid"
    return "clear"


def centres_at_mark_mm(wanted: MarkWanted) -> float:
    """Return how far apart the centre lines of two parallel roads are that are as far
    apart as at the mark. **Source** derived.
    """
    if wanted.between == "near_rails":
        return wanted.apart_mm + wanted.gauge_mm
    return wanted.apart_mm


def curve_begins_mm(parting: Parting, back: WayBack) -> float:
    """Return how far from where the lines cross, along the branch, the curve back to
    parallel begins: P ÷ sin α − R tan(α ÷ 2). **Source** derived.

    >>> back = WayBack(parallel_mm=50.0, radius_mm=60.0)
    >>> round(curve_begins_mm(Parting(53.130102354), back), 6)
    32.5
    """
    tangents_mm = parting.along_leg_mm(back.parallel_mm)
    return tangents_mm - parting.curve_mm(back.radius_mm)


def least_parallel_mm(wanted: MarkWanted, *, radius_mm: float) -> float:
    """Return the least distance between parallel centre lines at which a branch that
    curves back by that radius can be laid and comes clear. **Source** derived.
    """
    parting = wanted.parting
    begins_mm = parting.nose_mm(wanted.gauge_mm)
    laid_mm = (begins_mm + parting.curve_mm(radius_mm)) * parting.sine
    return max(laid_mm, centres_at_mark_mm(wanted))


def greatest_radius_mm(wanted: MarkWanted, *, parallel_mm: float) -> float:
    """Return the greatest radius by which a branch comes back to that parallel from
    beyond the nose; 0 or less where none does. **Source** derived.
    """
    parting = wanted.parting
    tangents_mm = parting.along_leg_mm(parallel_mm)
    left_mm = tangents_mm - parting.nose_mm(wanted.gauge_mm)
    return left_mm / parting.half_tangent


def marks(wanted: MarkWanted) -> Marks:
    """Return the mark on both legs; ``outcome`` is ``clear``.

    On straight legs both lie c ÷ sin α from where the lines meet. On a branch that
    curves back before that, its own lies where it is so far from the through line, the
    through leg's where the nearest place of the branch is. Raises ValueError where there
    is none. **Source** derived.

    >>> straight = MarkWanted(parting=Parting(30.0), gauge_mm=16.5, apart_mm=45.0)
    >>> round(marks(straight).from_crossing_mm, 6)
    90.0
    """
    found = outcome(wanted)
    if found != "clear":
        message = f"there is no mark: {found}"
        raise ValueError(message)
    lines = _measured(wanted)
    turned, branch_mm = _on_branch(lines)
    through_mm = _on_through(lines)
    from_meeting_mm = lines.meeting.real
    # What is measured of a straight leg is as long as its centre line.
    along_curve_mm = branch_mm
    if turned > 0 and wanted.back is not None:
        begins_mm = curve_begins_mm(wanted.parting, wanted.back)
        along_curve_mm = begins_mm - from_meeting_mm + wanted.back.radius_mm * turned
    return Marks(
        through=LegMark(
            from_crossing_mm=from_meeting_mm + through_mm,
            from_nose_mm=_from_nose_mm(wanted, through_mm),
            place=lines.meeting + through_mm,
        ),
        branch=LegMark(
            from_crossing_mm=from_meeting_mm + along_curve_mm,
            from_nose_mm=_from_nose_mm(wanted, branch_mm),
            place=lines.meeting + lines.branch_at(branch_mm, turned),
        ),
    )


class HeldRoads(msgspec.Struct, frozen=True, kw_only=True):
    """How long a road is that holds a length clear of its marks, from nose to nose with
    points at both ends, from the nose to the stop with one; None for what was not asked.
    """

    nose_to_nose_mm: float | None = None
    nose_to_stop_mm: float | None = None


def held_roads(
    found: Marks, *, standing_length_mm: float | None, ends: int | None
) -> HeldRoads:
    """Return how long a road is to be that holds that length beyond the mark, both ends
    like each other; of unknown ``ends`` for points at one and at both. **Source**
    derived.
    """
    if standing_length_mm is None:
        return HeldRoads()
    to_stop_mm = standing_length_mm + found.from_nose_mm
    if ends == 1:
        return HeldRoads(nose_to_stop_mm=to_stop_mm)
    to_nose_mm = to_stop_mm + found.from_nose_mm
    if ends is None:
        return HeldRoads(nose_to_nose_mm=to_nose_mm, nose_to_stop_mm=to_stop_mm)
    return HeldRoads(nose_to_nose_mm=to_nose_mm)


def _from_nose_mm(wanted: MarkWanted, along_mm: float) -> float:
    if wanted.between == "near_rails":
        return along_mm
    return along_mm - wanted.parting.nose_mm(wanted.gauge_mm)


class _Lines(msgspec.Struct, frozen=True, kw_only=True):
    """What is measured between, about where it meets; ``radius_mm`` is 0 where the
    branch goes on straight.
    """

    parting: Parting
    meeting: complex
    apart_mm: float
    parallel_mm: float = 0.0
    radius_mm: float = 0.0

    @property
    def goes_straight_on(self) -> bool:
        return self.radius_mm <= 0

    @property
    def begins_mm(self) -> float:
        """Where the curve back begins along the branch."""
        tangents_mm = self.parting.along_leg_mm(self.parallel_mm)
        return tangents_mm - self.parting.curve_mm(self.radius_mm)

    @property
    def parallel_from_mm(self) -> float:
        """Where the branch has become parallel, along the through line."""
        tangents_mm = self.parting.along_line_mm(self.parallel_mm)
        return tangents_mm + self.parting.curve_mm(self.radius_mm)

    def branch_at(self, along_mm: float, turned: float) -> complex:
        """Where a place of the branch lies, which has turned back by so much there."""
        if turned <= 0:
            return rect(along_mm, self.parting.angle)
        middle = complex(self.parallel_from_mm, self.parallel_mm - self.radius_mm)
        still_to_turn = self.parting.angle - turned
        return middle + 1j * rect(self.radius_mm, still_to_turn)


def _measured(wanted: MarkWanted) -> _Lines:
    by_rails = wanted.between == "near_rails"
    less_mm = wanted.gauge_mm if by_rails else 0.0
    meeting = 0j
    if by_rails:
        nose_mm = wanted.parting.nose_mm(wanted.gauge_mm)
        meeting = complex(nose_mm, wanted.gauge_mm / 2)
    back = wanted.back
    if back is None:
        return _Lines(parting=wanted.parting, meeting=meeting, apart_mm=wanted.apart_mm)
    return _Lines(
        parting=wanted.parting,
        meeting=meeting,
        apart_mm=wanted.apart_mm,
        parallel_mm=back.parallel_mm - less_mm,
        radius_mm=back.radius_mm - less_mm / 2,
    )


def _on_branch(lines: _Lines) -> tuple[float, float]:
    """Return by how much the branch has turned back at its mark, and how far along it
    that is from where the lines meet.
    """
    straight_mm = lines.parting.along_leg_mm(lines.apart_mm)
    if lines.goes_straight_on or straight_mm <= lines.begins_mm:
        return 0.0, straight_mm
    # It still has to come nearer the parallel by this much, on the curve's last part.
    short_mm = max(0.0, lines.parallel_mm - lines.apart_mm)
    still_to_turn = 2 * asin(sqrt(short_mm / lines.radius_mm / 2))
    turned = max(0.0, lines.parting.angle - still_to_turn)
    return turned, lines.begins_mm + lines.radius_mm * turned


def _on_through(lines: _Lines) -> float:
    """Return how far along the through line its mark is from where the lines meet.

    Where the branch's curve is nearest its middle lies beyond the through line, since
    P ÷ sin α − P tan(α ÷ 2) is P cot α: a curve of a radius below P begins only beyond
    that.
    """
    straight_mm = lines.parting.along_leg_mm(lines.apart_mm)
    foot_mm = lines.parting.along_line_mm(lines.apart_mm)
    if lines.goes_straight_on or foot_mm <= lines.begins_mm:
        return straight_mm
    # (R − c)² − (R − P)²; dust of binary fractions must not make it less than nothing.
    short_mm = lines.parallel_mm - lines.apart_mm
    across_mm = 2 * lines.radius_mm - lines.apart_mm - lines.parallel_mm
    before_mm = sqrt(max(0.0, short_mm * across_mm))
    return lines.parallel_from_mm - before_mm
