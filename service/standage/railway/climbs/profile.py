"""What a way is like for a train that runs over it: how it rises, how its curves drag,
and what a train of some length feels of that at each place of its head.

A *profile* is the height along a way. The drag of curves is one too: as much as if the
way rose by it, so that what a train feels of both is the profile of both added up.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from standage.railway.climbs.haulage import curve_drag_percent
from standage.railway.track.network.heights import Heights
from standage.railway.track.network.network import Course, Network
from standage.railway.track.network.profiles import Part
from standage.railway.track.paths.runs import Floats, Run

_DUST_MM = 1e-6
_NOTHING_MM = 1e-9
_SAME_PERCENT = 1e-9


class Step(NamedTuple):
    """Two heights at one place of a way, which no train gets over."""

    at_mm: float
    before_mm: float
    after_mm: float


class Rising(NamedTuple):
    """How a way rises; ``unknown`` are the courses of which nobody knows."""

    parts: tuple[Part, ...]
    unknown: tuple[Course, ...]
    steps: tuple[Step, ...]


class Dragging(NamedTuple):
    """How the curves of a way drag, as if it rose by that.

    ``unknown`` are the courses of which the shape is not known: straight where no least
    radius is given, else of that radius throughout.
    """

    parts: tuple[Part, ...]
    unknown: tuple[Course, ...]


def rising(network: Network, heights: Heights, courses: Sequence[Course]) -> Rising:
    """Return how a way rises from the start of its first course to the end of its last,
    in as few parts as there are. In mm. **Source** derived.
    """
    parts: list[Part] = []
    unknown: list[Course] = []
    steps: list[Step] = []
    base_mm = 0.0
    for course in courses:
        found = heights.parts(course)
        if found is None:
            unknown.append(course)
        for part in found or ():
            _add(parts, part.moved(base_mm), steps)
        base_mm += network.strand(course).length_mm or 0.0
    return Rising(tuple(parts), tuple(unknown), tuple(steps))


def _add(parts: list[Part], part: Part, steps: list[Step]) -> None:
    """Add a part to those before it; as one with the last where it goes on just so."""
    if part.to_mm - part.from_mm <= _NOTHING_MM:
        return
    last = parts[-1] if parts else None
    if last is None:
        parts.append(part)
        return
    if abs(last.end_mm - part.height_mm) > _DUST_MM:
        steps.append(Step(part.from_mm, last.end_mm, part.height_mm))
    if last.goes_on_as(part):
        parts[-1] = Part(
            last.from_mm,
            part.to_mm,
            last.height_mm,
            last.slope_from,
            part.slope_to,
        )
    else:
        parts.append(part)


def dragging(
    network: Network, courses: Sequence[Course], *, ratio: float | None
) -> Dragging:
    """Return how the curves of a way drag; ``ratio`` is the scale's, without which
    nothing drags.

    Drag goes with curvature: even on an arc, growing evenly on a transition. In mm.
    **Source** that of ``curve_drag_percent``.
    """
    of_a_mm = 0.0
    if ratio is not None:
        # of a curve of 1 mm radius, to be multiplied by curvature
        of_a_mm = curve_drag_percent(1.0, ratio=ratio) / 100
    parts: list[Part] = []
    unknown: list[Course] = []
    at_mm = height_mm = 0.0
    for course in courses:
        if network.runs(course) is None:
            unknown.append(course)
        for run in _runs(network, course):
            for one in _one_hand(run):
                slope_from = of_a_mm * abs(one.curvature_from)
                slope_to = of_a_mm * abs(one.curvature_to)
                end_mm = at_mm + one.length_mm
                part = Part(
                    at_mm,
                    end_mm,
                    height_mm,
                    slope_from,
                    slope_to,
                )
                _add(parts, part, [])
                at_mm, height_mm = end_mm, part.end_mm
    return Dragging(tuple(parts), tuple(unknown))


def _runs(network: Network, course: Course) -> tuple[Run, ...]:
    runs = network.runs(course)
    if runs is not None:
        return tuple(run for run in runs if run.length_mm > 0)
    strand = network.strand(course)
    length_mm = strand.length_mm or 0.0
    radius_mm = strand.minimum_radius_mm
    curvature = 0.0 if radius_mm is None else 1 / radius_mm
    return (
        Run(
            length_mm=length_mm,
            curvature_from=curvature,
            curvature_to=curvature,
        ),
    )


def _one_hand(run: Run) -> Iterator[Run]:
    """Yield a run in parts that bend one way only."""
    if run.curvature_from * run.curvature_to >= 0:
        yield run
        return
    middle_mm = -run.curvature_from / run.rate
    yield run.part(0.0, middle_mm)
    yield run.part(middle_mm, run.length_mm)


class Profile(NamedTuple):
    """A way by the places where its slope changes otherwise than before.

    Between one and the next slopes change evenly; ``heights`` has one for each place,
    ``slopes_from`` and ``slopes_to`` one for each part between.
    """

    at: Floats
    heights: Floats
    slopes_from: Floats
    slopes_to: Floats

    def height(self, at: Floats) -> Floats:
        """Return the heights at places, in mm."""
        part = self.part_at(at)
        along = at - self.at[part]
        begins = self.slopes_from[part]
        mean = begins + self._rates[part] * along / 2
        return self.heights[part] + mean * along

    def slope(self, part: "Numbers", at: Floats) -> Floats:
        """Return the slopes at places, each as it is on a part by its number."""
        along = at - self.at[part]
        return self.slopes_from[part] + self._rates[part] * along

    def part_at(self, at: Floats) -> "Numbers":
        """Return the numbers of the parts that places lie on."""
        found = np.searchsorted(self.at, at, side="right") - 1
        return np.clip(found, 0, len(self.slopes_from) - 1)

    @property
    def _rates(self) -> Floats:
        return (self.slopes_to - self.slopes_from) / np.diff(self.at)


Numbers = np.ndarray[tuple[int], np.dtype[np.intp]]


def profile(parts: Sequence[Part]) -> Profile:
    """Return the profile of parts that follow each other, one at least, without steps,
    as ``rising`` and ``dragging`` give them. **Source** derived.
    """
    last = parts[-1]
    at = [part.from_mm for part in parts] + [last.to_mm]
    heights = [part.height_mm for part in parts] + [last.end_mm]
    return Profile(
        at=np.array(at),
        heights=np.array(heights),
        slopes_from=np.array([part.slope_from for part in parts]),
        slopes_to=np.array([part.slope_to for part in parts]),
    )


def added(one: Profile, other: Profile, *, share: float) -> Profile:
    """Return a profile with a share of another of the same way added to it.

    **Source** derived.
    """
    at = np.union1d(one.at, other.at)
    begins = np.maximum(one.at[0], other.at[0])
    ends = np.minimum(one.at[-1], other.at[-1])
    at = at[(at >= begins) & (at <= ends)]
    at = at[np.append(True, np.diff(at) > _NOTHING_MM)]
    middle = (at[:-1] + at[1:]) / 2
    first, second = one.part_at(middle), other.part_at(middle)

    def slopes(places: Floats) -> Floats:
        more: Floats = share * other.slope(second, places)
        return one.slope(first, places) + more

    return Profile(
        at=at,
        heights=one.height(at) + share * other.height(at),
        slopes_from=slopes(at[:-1]),
        slopes_to=slopes(at[1:]),
    )


class Felt(NamedTuple):
    """What a train feels with its head at a place of the way."""

    head_mm: float
    percent: float


def felt_percent(way: Profile, heads: Floats, *, train_mm: float) -> Floats:
    """Return (height at the head − height at the tail) ÷ length in per cent, for a
    train with its head at each of some places of a way. **Source** the definition.
    """
    rise = way.height(heads) - way.height(heads - train_mm)
    percent: Floats = 100 * rise / train_mm
    return percent


class Between(NamedTuple):
    """A train that runs with its head from one place of a way to another, in mm."""

    train_mm: float
    from_mm: float
    to_mm: float


def telling_heads(way: Profile, run: Between) -> Floats:
    """Return the places of a train's head between which what it feels only rises or
    only falls, in order.

    They are those where its head or its tail comes to a change of slope, and between
    these where the slopes under both are alike: what is felt changes by the difference
    of the two, which changes evenly. **Source** derived.
    """
    knots = np.concatenate((way.at, way.at + run.train_mm, (run.from_mm, run.to_mm)))
    inside = (knots >= run.from_mm) & (knots <= run.to_mm)
    heads = _apart(np.sort(knots[inside]))
    if len(heads) < 2:  # noqa: PLR2004 - it stands in one place only
        return heads
    begins, ends = heads[:-1], heads[1:]
    middle = (begins + ends) / 2
    lead, rear = way.part_at(middle), way.part_at(middle - run.train_mm)

    def gaining(at: Floats) -> Floats:
        return way.slope(lead, at) - way.slope(rear, at - run.train_mm)

    first, last = gaining(begins), gaining(ends)
    turns = first * last < 0
    share = first[turns] / (first[turns] - last[turns])
    turning = begins[turns] + share * (ends[turns] - begins[turns])
    return _apart(np.sort(np.concatenate((heads, turning))))


def _apart(places: Floats) -> Floats:
    """Return places in order without those that another one lies just before."""
    if len(places) == 0:
        return places
    stays = np.append(True, np.diff(places) > _DUST_MM)
    left: Floats = places[stays]
    return left


def felt(way: Profile, run: Between) -> tuple[Felt, ...]:
    """Return what a train feels, in order of travel, at the places between which it
    only rises or only falls. **Source** derived.
    """
    heads = telling_heads(way, run)
    percents = felt_percent(way, heads, train_mm=run.train_mm)
    pairs = zip(heads.tolist(), percents.tolist(), strict=True)
    return tuple(Felt(head_mm, percent) for head_mm, percent in pairs)


def worst(way: Profile, run: Between) -> Felt:
    """Return the most that a train feels, where it first does. **Source** derived."""
    heads = telling_heads(way, run)
    percents = felt_percent(way, heads, train_mm=run.train_mm)
    # Places that feel alike but for rounding are alike: the first counts.
    number = int(np.argmax(percents >= percents.max() - _SAME_PERCENT))
    return Felt(float(heads[number]), float(percents[number]))


def steepest(parts: Sequence[Part], from_mm: float, to_mm: float) -> Part | None:
    """Return the steepest of some track between two places of it, up or down: what the
    shortest cut that stands there may stand on. None on none. **Source** derived.
    """
    there = [
        part.between(from_mm, to_mm)
        for part in parts
        if min(part.to_mm, to_mm) - max(part.from_mm, from_mm) > _DUST_MM
    ]
    return max(there, key=_slope, default=None)


def _slope(part: Part) -> float:
    return max(abs(part.slope_from), abs(part.slope_to))
