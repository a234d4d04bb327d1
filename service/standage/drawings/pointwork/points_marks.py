"""The mark beyond points, true to scale: both legs, the mark between them, and how far it
is from the crossing of the lines and from the nose.

The points' own curve is drawn as in a simple set, from tips to nose.
"""

from collections.abc import Iterator
from math import isclose

import msgspec

from standage.drawings.plans.ways import Bend
from standage.drawings.pointwork.figures import (
    Dimension,
    Figure,
    NamedPlace,
    Stroke,
    between,
    onwards,
    straight,
    turned,
)
from standage.railway.pointwork.marks import (
    LegMark,
    Marks,
    MarkWanted,
    curve_begins_mm,
    marks,
)
from standage.railway.terms.figures import at_least, exceeds, millimetres

_BEYOND = 0.2
"""So much more of the roads is drawn beyond what is measured of them."""
_NEAR_MM, _FAR_MM = 6.0, 13.0
"""Of paper, beyond the rails: where dimensions stand."""


class MarkDrawn(msgspec.Struct, frozen=True, kw_only=True):
    """A mark that is looked for, and what is said of it."""

    wanted: MarkWanted
    is_known: bool
    """Whether there is a mark to be drawn."""
    facts: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]


def mark_figure(drawn: MarkDrawn) -> Figure:
    """Return the figure of a mark; without one both legs as far as they are known."""
    wanted = drawn.wanted
    found = marks(wanted) if drawn.is_known else None
    legs = _Legs(wanted, found)
    names = [
        NamedPlace(place=0j, name="crossing of lines"),
        NamedPlace(place=legs.nose, name="nose"),
    ]
    strokes = [
        Stroke(bends=(legs.centre_of_through,), weight="broken"),
        Stroke(bends=legs.branch, weight="broken"),
    ]
    if found is not None:
        mark = between(found.through.place, found.branch.place)
        strokes.append(Stroke(bends=(mark,), weight="heavy"))
    return Figure(
        title="Mark beyond points",
        facts=drawn.facts,
        tracks=((legs.through,), (*legs.points_curve, *legs.beyond_nose)),
        gauge_mm=wanted.gauge_mm,
        strokes=tuple(strokes),
        names=tuple(names),
        dimensions=tuple(_dimensions(wanted, found, legs)),
        notes=drawn.notes,
    )


class _Legs:
    """Both legs as they lie: lines cross at 0, the through leg along the x axis."""

    def __init__(self, wanted: MarkWanted, found: Marks | None) -> None:
        self._wanted = wanted
        self.nose_mm = wanted.parting.nose_mm(wanted.gauge_mm)
        self.nose = complex(self.nose_mm, wanted.gauge_mm / 2)
        begins_within_points = exceeds(self.nose_mm, limit=self.begins_mm)
        self._is_laid = wanted.back is not None and not begins_within_points
        out_mm = wanted.parting.along_leg_mm(wanted.apart_mm)
        if found is not None:
            out_mm = found.from_crossing_mm
        shown_mm = [out_mm, self.nose_mm]
        if self._is_laid:
            shown_mm.append(self.begins_mm + self._curve_mm)
        self.ends_mm = max(shown_mm) * (1 + _BEYOND)

    @property
    def begins_mm(self) -> float:
        """Where the curve back begins."""
        if self._wanted.back is None:
            return 0.0
        return curve_begins_mm(self._wanted.parting, self._wanted.back)

    @property
    def _curve_mm(self) -> float:
        if self._wanted.back is None:
            return 0.0
        return self._wanted.back.radius_mm * self._wanted.parting.angle

    @property
    def through(self) -> Bend:
        """The through leg, with the road before the points."""
        before_mm = self.nose_mm + 0.1 * self.ends_mm
        start = complex(-before_mm, 0)
        length_mm = before_mm + self._across_mm
        return straight(start, angle_deg=0, length_mm=length_mm)

    @property
    def centre_of_through(self) -> Bend:
        """Its centre line from the crossing of the lines on."""
        return straight(0j, angle_deg=0, length_mm=self._across_mm)

    @property
    def _across_mm(self) -> float:
        """How far the branch gets along the through leg."""
        return self.branch[-1].end.point.real

    @property
    def branch(self) -> tuple[Bend, ...]:
        """The branch's centre line from the crossing of the lines on."""
        return self._from(0.0)

    @property
    def beyond_nose(self) -> tuple[Bend, ...]:
        """The branch from abreast of the nose on."""
        return self._from(self.nose_mm)

    def _from(self, start_mm: float) -> tuple[Bend, ...]:
        back, angle_deg = self._wanted.back, self._wanted.parting.angle_deg
        start = straight(0j, angle_deg=angle_deg, length_mm=start_mm).end.point
        if back is None or not self._is_laid:
            length_mm = self.ends_mm - start_mm
            return (straight(start, angle_deg=angle_deg, length_mm=length_mm),)
        length_mm = self.begins_mm - start_mm
        to_curve = straight(start, angle_deg=angle_deg, length_mm=length_mm)
        turn = -self._wanted.parting.angle
        curve = turned(to_curve, radius_mm=back.radius_mm, turn=turn)
        rest_mm = self.ends_mm - self.begins_mm - self._curve_mm
        return (to_curve, curve, onwards(curve, length_mm=rest_mm))

    @property
    def points_curve(self) -> tuple[Bend, ...]:
        """The curve of a simple set, from its tips to abreast of the nose."""
        parting = self._wanted.parting
        radius_mm = self.nose_mm / parting.half_tangent
        start = complex(-self.nose_mm, 0)
        tips = straight(start, angle_deg=0, length_mm=0)
        return (turned(tips, radius_mm=radius_mm, turn=parting.angle),)

    def from_nose(self, branch: LegMark) -> tuple[Bend, ...]:
        """Return what lies between the nose and the branch's mark: centre line from
        abreast of it, or near rail from itself.
        """
        wanted, out_mm = self._wanted, branch.from_nose_mm
        if wanted.between == "centre_lines":
            return self.along_branch(self.nose_mm, branch.from_crossing_mm)
        straight_mm = out_mm
        if wanted.back is not None:
            straight_mm = min(out_mm, self.begins_mm - self.nose_mm)
        angle_deg = wanted.parting.angle_deg
        rail = straight(self.nose, angle_deg=angle_deg, length_mm=straight_mm)
        if wanted.back is None:
            return (rail,)
        radius_mm = wanted.back.radius_mm - wanted.gauge_mm / 2
        turn = (straight_mm - out_mm) / radius_mm
        return (rail, turned(rail, radius_mm=radius_mm, turn=turn))

    def along_branch(self, from_mm: float, to_mm: float) -> tuple[Bend, ...]:
        """Return the part of the branch between two places along it."""
        parts: list[Bend] = []
        at_mm = 0.0
        for bend in self.branch:
            first_mm = max(from_mm, at_mm)
            last_mm = min(to_mm, at_mm + bend.length_mm)
            if last_mm > first_mm:
                start = bend._replace(length_mm=first_mm - at_mm).end
                parts.append(Bend(start, last_mm - first_mm, bend.curvature))
            at_mm += bend.length_mm
        return tuple(parts)


def _dimensions(
    wanted: MarkWanted, found: Marks | None, legs: _Legs
) -> Iterator[Dimension]:
    to_nose = straight(0j, angle_deg=0, length_mm=legs.nose_mm)
    yield Dimension(
        bends=(to_nose,),
        aside_mm=-_NEAR_MM,
        said=millimetres(legs.nose_mm),
        meaning="from the crossing of the lines to abreast of the nose",
    )
    if found is not None:
        yield from _of_mark(wanted, found, legs)
    yield from _of_way_back(wanted, legs)


def _of_mark(wanted: MarkWanted, found: Marks, legs: _Legs) -> Iterator[Dimension]:
    by_nose = "from abreast of the nose to the mark, along the branch"
    if wanted.between == "near_rails":
        by_nose = "from the nose to the mark, along the branch's near rail"
    through, branch = found.through, found.branch
    yield Dimension(
        bends=(straight(0j, angle_deg=0, length_mm=through.from_crossing_mm),),
        aside_mm=-_FAR_MM,
        said=at_least(through.from_crossing_mm),
        meaning="from the crossing of the lines to the mark, along the through leg",
    )
    yield Dimension(
        bends=legs.along_branch(0.0, branch.from_crossing_mm),
        aside_mm=_FAR_MM,
        said=at_least(branch.from_crossing_mm),
        meaning="from the crossing of the lines to the mark, along the branch",
    )
    if branch.from_nose_mm > 0:
        yield Dimension(
            bends=legs.from_nose(branch),
            aside_mm=_NEAR_MM,
            said=at_least(branch.from_nose_mm),
            meaning=by_nose,
        )
    yield Dimension(
        bends=(between(through.place, branch.place),),
        aside_mm=0.0,
        said=millimetres(found.length_mm),
        meaning="the mark to paint",
    )


def _of_way_back(wanted: MarkWanted, legs: _Legs) -> Iterator[Dimension]:
    end = legs.branch[-1].end
    back = wanted.back
    is_parallel = isclose(end.direction.imag, 0.0, abs_tol=1e-9)
    if back is None or not is_parallel:
        return
    yield Dimension(
        bends=(between(complex(end.point.real, 0), end.point),),
        aside_mm=0.0,
        said=millimetres(back.parallel_mm),
        meaning="between centre lines where the roads are parallel",
    )
    curve = legs.branch[1]
    if curve.length_mm > 0:
        yield Dimension(
            bends=(curve,),
            aside_mm=0.0,
            said=f"R {millimetres(back.radius_mm)}",
            meaning="the curve back to parallel",
        )
