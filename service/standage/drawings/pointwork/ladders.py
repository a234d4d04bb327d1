"""A ladder, true to scale: the lead, the ladder, every road, and the pitch along both.

Its curves have the radius that is given, else that of a simple set; where they would
overlap, lines stand for them.
"""

from collections.abc import Iterator

import msgspec

from standage.drawings.plans.ways import Bend
from standage.drawings.pointwork.figures import (
    Dimension,
    Figure,
    NamedPlace,
    between,
    onwards,
    straight,
    turned,
)
from standage.railway.pointwork.ladders import Ladder
from standage.railway.terms.figures import millimetres

_NEAR_MM, _FAR_MM = 6.0, 13.0
_FEW = 12
"""So many roads are numbered each; of more the first and the last."""


class LadderDrawn(msgspec.Struct, frozen=True, kw_only=True):
    """A ladder, its gauge and the radius of its points where these are known, and what
    is said of it.
    """

    ladder: Ladder
    gauge_mm: float | None
    radius_mm: float | None
    facts: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]


def ladder_figure(drawn: LadderDrawn) -> Figure:
    """Return the figure of a ladder; the lead's lines cross at 0."""
    lines = _Lines(drawn)
    laid = drawn.ladder
    roads = [lines.road(number) for number in range(1, laid.pitches + 1)]
    tracks = [lines.lead, *roads]
    if laid.pitches:
        tracks.insert(1, lines.ladder)
    return Figure(
        title="Ladder",
        facts=drawn.facts,
        tracks=tuple(tracks),
        gauge_mm=drawn.gauge_mm,
        strokes=(),
        names=tuple(_names(laid, lines)),
        dimensions=tuple(_dimensions(laid, lines)),
        notes=drawn.notes,
    )


class _Lines:
    """A ladder as it lies: the lead along the x axis, roads above it."""

    def __init__(self, drawn: LadderDrawn) -> None:
        laid = self._laid = drawn.ladder
        self._angle_deg = laid.parting.angle_deg
        self._turn = laid.parting.angle
        radius_mm = drawn.radius_mm
        if radius_mm is None:
            # A simple set's curve reaches as far as the nose.
            nose_mm = laid.parting.nose_mm(drawn.gauge_mm or 0.0)
            radius_mm = nose_mm / laid.parting.half_tangent
        curve_mm = laid.parting.curve_mm(radius_mm)
        is_curved = 0 < 2 * curve_mm <= laid.along_ladder_mm
        self._radius_mm = radius_mm if is_curved else 0.0
        self._curve_mm = curve_mm if is_curved else 0.0
        whole_mm = laid.pitches * laid.along_line_mm
        self.ends_mm = whole_mm + self._curve_mm + laid.along_line_mm

    @property
    def lead(self) -> tuple[Bend, ...]:
        """The road that the ladder leaves."""
        before_mm = self._curve_mm + 0.4 * self._laid.along_line_mm
        start = complex(-before_mm, 0)
        length_mm = before_mm + self.ends_mm
        return (straight(start, angle_deg=0, length_mm=length_mm),)

    def _on_ladder(self, out_mm: float) -> Bend:
        """Return the ladder's line from the lead's to a place, curves left out."""
        return straight(0j, angle_deg=self._angle_deg, length_mm=out_mm)

    @property
    def ladder(self) -> tuple[Bend, ...]:
        """The ladder, off the lead and up to where the last road leaves it."""
        whole_mm = self._laid.pitches * self._laid.along_ladder_mm
        if not self._curve_mm:
            return (self._on_ladder(whole_mm),)
        start = complex(-self._curve_mm, 0)
        tips = straight(start, angle_deg=0, length_mm=0)
        curve = turned(tips, radius_mm=self._radius_mm, turn=self._turn)
        length_mm = whole_mm - 2 * self._curve_mm
        return (curve, onwards(curve, length_mm=length_mm))

    def road(self, number: int) -> tuple[Bend, ...]:
        """Return a road from where it leaves the ladder."""
        out_mm = number * self._laid.along_ladder_mm
        if not self._curve_mm:
            leaves = self._on_ladder(out_mm).end.point
            length_mm = self.ends_mm - leaves.real
            return (straight(leaves, angle_deg=0, length_mm=length_mm),)
        tips = self._on_ladder(out_mm - self._curve_mm)
        curve = turned(tips, radius_mm=self._radius_mm, turn=-self._turn)
        length_mm = self.ends_mm - curve.end.point.real
        return (curve, onwards(curve, length_mm=length_mm))


def _names(laid: Ladder, lines: _Lines) -> Iterator[NamedPlace]:
    first = 0 if laid.lead_counts else 1
    for road in range(1, laid.roads + 1):
        is_at_an_end = road in {1, laid.roads}
        if laid.roads > _FEW and not is_at_an_end:
            continue
        up_mm = (road - 1 + first) * laid.spacing_mm
        end = complex(lines.ends_mm, up_mm)
        yield NamedPlace(place=end, name=f"road {road}", has_dot=False)


def _dimensions(laid: Ladder, lines: _Lines) -> Iterator[Dimension]:
    if not laid.pitches:
        return
    pitch_mm, whole_mm = laid.along_line_mm, laid.pitches * laid.along_line_mm
    along_mm, all_mm = laid.along_ladder_mm, laid.pitches * laid.along_ladder_mm
    angle_deg = laid.parting.angle_deg
    yield Dimension(
        bends=(straight(0j, angle_deg=0, length_mm=pitch_mm),),
        aside_mm=-_NEAR_MM,
        said=millimetres(pitch_mm),
        meaning="a pitch along the roads",
    )
    yield Dimension(
        bends=(straight(0j, angle_deg=angle_deg, length_mm=along_mm),),
        aside_mm=_NEAR_MM,
        said=millimetres(along_mm),
        meaning="a pitch along the ladder",
    )
    if laid.pitches > 1:
        yield Dimension(
            bends=(straight(0j, angle_deg=0, length_mm=whole_mm),),
            aside_mm=-_FAR_MM,
            said=millimetres(whole_mm),
            meaning=f"all {laid.pitches} pitches along the roads",
        )
        yield Dimension(
            bends=(straight(0j, angle_deg=angle_deg, length_mm=all_mm),),
            aside_mm=_FAR_MM,
            said=millimetres(all_mm),
            meaning=f"all {laid.pitches} pitches along the ladder",
        )
    end = complex(lines.ends_mm - 0.5 * pitch_mm, 0)
    yield Dimension(
        bends=(between(end, end + 1j * laid.spacing_mm),),
        aside_mm=0.0,
        said=millimetres(laid.spacing_mm),
        meaning="between the roads' centre lines",
    )
