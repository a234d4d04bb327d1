"""A crossover, true to scale: both roads, the crossover between them, its noses and what
lies between them.

Its curves have the radius that is given; of an unknown one they are drawn as in a simple
set, from tips to nose. Where curves would overlap, lines stand for them.
"""

from collections.abc import Iterator

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
from standage.railway.pointwork.crossovers import Crossover
from standage.railway.terms.figures import millimetres

_BEYOND = 0.15
_NEAR_MM, _FAR_MM = 6.0, 13.0


class CrossoverDrawn(msgspec.Struct, frozen=True, kw_only=True):
    """A crossover, the radius of its points where that is known, and what is said."""

    crossover: Crossover
    radius_mm: float | None
    facts: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]


def crossover_figure(drawn: CrossoverDrawn) -> Figure:
    """Return the figure of a crossover; the lower road's lines cross at 0."""
    laid = drawn.crossover
    lines = _Lines(drawn)
    names = [
        NamedPlace(place=lines.lower_nose, name="nose"),
        NamedPlace(place=lines.upper_nose, name="nose"),
    ]
    centre = Stroke(bends=(between(0j, lines.upper_crossing),), weight="broken")
    return Figure(
        title="Crossover",
        facts=drawn.facts,
        tracks=(lines.road(0.0), lines.road(laid.spacing_mm), lines.crossover),
        gauge_mm=laid.gauge_mm,
        strokes=(centre,),
        names=tuple(names),
        dimensions=tuple(_dimensions(drawn, lines)),
        notes=drawn.notes,
    )


class _Lines:
    """A crossover as it lies: the lower road along the x axis, to the upper one."""

    def __init__(self, drawn: CrossoverDrawn) -> None:
        laid = self._laid = drawn.crossover
        self.nose_mm = laid.parting.nose_mm(laid.gauge_mm)
        half_mm = laid.gauge_mm / 2
        self.lower_nose = complex(self.nose_mm, half_mm)
        self.upper_crossing = complex(laid.along_line_mm, laid.spacing_mm)
        self.upper_nose = self.upper_crossing - self.lower_nose
        radius_mm = drawn.radius_mm
        if radius_mm is None:
            radius_mm = self.nose_mm / laid.parting.half_tangent
        self.curve_mm = laid.parting.curve_mm(radius_mm)
        self._radius_mm = radius_mm
        self._straight_mm = laid.straight_mm(radius_mm=radius_mm)
        self.is_curved = self._straight_mm >= 0

    def road(self, up_mm: float) -> tuple[Bend, ...]:
        """Return one of the roads."""
        reach_mm = self.nose_mm
        if self.is_curved:
            reach_mm = max(reach_mm, self.curve_mm)
        across_mm = abs(self.upper_crossing)
        before_mm = reach_mm + _BEYOND * across_mm
        length_mm = 2 * before_mm + self._laid.along_line_mm
        start = complex(-before_mm, up_mm)
        return (straight(start, angle_deg=0, length_mm=length_mm),)

    @property
    def crossover(self) -> tuple[Bend, ...]:
        """The crossover from tips to tips."""
        if not self.is_curved:
            return (between(0j, self.upper_crossing),)
        start = complex(-self.curve_mm, 0)
        tips = straight(start, angle_deg=0, length_mm=0)
        turn = self._laid.parting.angle
        first = turned(tips, radius_mm=self._radius_mm, turn=turn)
        middle = onwards(first, length_mm=self._straight_mm)
        last = turned(middle, radius_mm=self._radius_mm, turn=-turn)
        return (first, middle, last)


def _dimensions(drawn: CrossoverDrawn, lines: _Lines) -> Iterator[Dimension]:
    laid = drawn.crossover
    angle_deg = laid.parting.angle_deg
    if laid.noses_along_line_mm > 0:
        start = complex(lines.nose_mm, 0)
        yield Dimension(
            bends=(straight(start, angle_deg=0, length_mm=laid.noses_along_line_mm),),
            aside_mm=-_NEAR_MM,
            said=millimetres(laid.noses_along_line_mm),
            meaning="from nose to nose along the roads",
        )
    yield Dimension(
        bends=(straight(0j, angle_deg=0, length_mm=laid.along_line_mm),),
        aside_mm=-_FAR_MM,
        said=millimetres(laid.along_line_mm),
        meaning="from crossing to crossing of the lines along the roads",
    )
    if laid.noses_along_crossover_mm > 0:
        abreast = straight(0j, angle_deg=angle_deg, length_mm=lines.nose_mm)
        yield Dimension(
            bends=(onwards(abreast, length_mm=laid.noses_along_crossover_mm),),
            aside_mm=_NEAR_MM,
            said=millimetres(laid.noses_along_crossover_mm),
            meaning="from nose to nose along the crossover",
        )
    yield from _of_curves(drawn, lines)
    end = lines.road(0.0)[0].end.point
    yield Dimension(
        bends=(between(end, end + 1j * laid.spacing_mm),),
        aside_mm=0.0,
        said=millimetres(laid.spacing_mm),
        meaning="between the roads' centre lines",
    )


def _of_curves(drawn: CrossoverDrawn, lines: _Lines) -> Iterator[Dimension]:
    if drawn.radius_mm is None or not lines.is_curved:
        return
    first, middle, _ = lines.crossover
    yield Dimension(
        bends=(first,),
        aside_mm=0.0,
        said=f"R {millimetres(drawn.radius_mm)}",
        meaning="each of the two curves",
    )
    if middle.length_mm > 0:
        yield Dimension(
            bends=(middle,),
            aside_mm=-_NEAR_MM,
            said=millimetres(middle.length_mm),
            meaning="straight between the two curves",
        )
