"""Two roads off a turntable, true to scale: the rim, both roads, and from where they are
clear of each other.
"""

from cmath import rect
from collections.abc import Iterator
from math import pi, radians

import msgspec

from standage.drawings.plans.ways import Bend
from standage.drawings.pointwork.figures import (
    Dimension,
    Figure,
    NamedPlace,
    Stroke,
    between,
    straight,
    turned,
)
from standage.railway.pointwork.turntables import SpokeRoads
from standage.railway.terms.figures import at_least, at_most, millimetres, tidy, tidy_up

_BEYOND = 0.25
_NEAR_MM, _FAR_MM = 6.0, 13.0


class TurntableDrawn(msgspec.Struct, frozen=True, kw_only=True):
    """Two roads off a turntable, their gauge where it is known, and what is said."""

    roads: SpokeRoads
    gauge_mm: float | None
    facts: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]


def turntable_figure(drawn: TurntableDrawn) -> Figure:
    """Return the figure of two roads; without an angle the turntable alone."""
    roads = drawn.roads
    angle_deg = roads.angle_deg
    angles_deg = [] if angle_deg is None else [0.0, angle_deg]
    rim_mm = roads.rim_radius_mm
    out_mm = (
        max(rim_mm, roads.clear_by_chord_mm or 0.0, roads.clear_by_nearest_mm or 0.0)
        + _BEYOND * rim_mm
    )
    strokes = [Stroke(bends=_circle(rim_mm))]
    for road_deg in angles_deg:
        spoke = straight(0j, angle_deg=road_deg, length_mm=rim_mm)
        strokes.append(Stroke(bends=(spoke,), weight="broken"))
    return Figure(
        title="Roads off a turntable",
        facts=drawn.facts,
        tracks=tuple(
            _road(turned_deg, from_mm=rim_mm, to_mm=out_mm) for turned_deg in angles_deg
        ),
        gauge_mm=drawn.gauge_mm,
        strokes=tuple(strokes),
        names=(NamedPlace(place=0j, name="centre"),),
        dimensions=tuple(_dimensions(roads)),
        notes=drawn.notes,
    )


def _circle(radius_mm: float) -> tuple[Bend, ...]:
    """Return a whole round, in quarters."""
    last = straight(complex(radius_mm, 0), angle_deg=90, length_mm=0)
    quarters: list[Bend] = []
    for _ in range(4):
        last = turned(last, radius_mm=radius_mm, turn=pi / 2)
        quarters.append(last)
    return tuple(quarters)


def _road(angle_deg: float, *, from_mm: float, to_mm: float) -> tuple[Bend, ...]:
    start = rect(from_mm, radians(angle_deg))
    return (straight(start, angle_deg=angle_deg, length_mm=to_mm - from_mm),)


def _dimensions(roads: SpokeRoads) -> Iterator[Dimension]:
    rim_mm = roads.rim_radius_mm
    yield Dimension(
        bends=(straight(0j, angle_deg=0, length_mm=rim_mm),),
        aside_mm=-_NEAR_MM,
        said=millimetres(rim_mm),
        meaning="from the centre to the rim, where roads begin",
    )
    angle_deg, at_rim_mm = roads.angle_deg, roads.at_rim_mm
    if angle_deg is None or at_rim_mm is None:
        across = between(complex(0, rim_mm), complex(0, -rim_mm))
        yield Dimension(
            bends=(across,),
            aside_mm=0.0,
            said=millimetres(2 * rim_mm),
            meaning="across the turntable: roads begin no farther apart",
        )
        return
    yield _of_the_angle(roads, angle_deg)
    begins = rect(rim_mm, radians(angle_deg))
    yield Dimension(
        bends=(between(complex(rim_mm, 0), begins),),
        aside_mm=0.0,
        said=at_most(at_rim_mm),
        meaning="between the roads where they begin",
    )
    yield from _of_clear_places(roads, angle_deg)


def _of_the_angle(roads: SpokeRoads, angle_deg: float) -> Dimension:
    out_mm = 0.6 * roads.rim_radius_mm
    start = straight(complex(out_mm, 0), angle_deg=90, length_mm=0)
    arc = turned(start, radius_mm=out_mm, turn=radians(angle_deg))
    shown_deg = tidy(angle_deg)
    if roads.given_angle_deg is None:
        shown_deg = tidy_up(angle_deg, step=0.01)
    return Dimension(
        bends=(arc,),
        aside_mm=0.0,
        said=f"{shown_deg:g}°",
        meaning="between the roads",
    )


def _of_clear_places(roads: SpokeRoads, angle_deg: float) -> Iterator[Dimension]:
    by_chord_mm, by_nearest_mm = roads.clear_by_chord_mm, roads.clear_by_nearest_mm
    if by_chord_mm is not None:
        yield Dimension(
            bends=(straight(0j, angle_deg=0, length_mm=by_chord_mm),),
            aside_mm=-_FAR_MM,
            said=at_least(by_chord_mm),
            meaning="from the centre to where the roads are clear abreast of each other",
        )
        place = rect(by_chord_mm, radians(angle_deg))
        yield Dimension(
            bends=(between(complex(by_chord_mm, 0), place),),
            aside_mm=0.0,
            said=millimetres(roads.spacing_mm or 0.0),
            meaning="between the roads abreast of each other",
        )
    if by_nearest_mm is not None:
        yield Dimension(
            bends=(straight(0j, angle_deg=angle_deg, length_mm=by_nearest_mm),),
            aside_mm=_NEAR_MM,
            said=at_least(by_nearest_mm),
            meaning="from the centre to where a vehicle is clear of a moving train",
        )
        place = rect(by_nearest_mm, radians(angle_deg))
        yield Dimension(
            bends=(between(place, complex(place.real, 0)),),
            aside_mm=0.0,
            said=millimetres(roads.spacing_mm or 0.0),
            meaning="from a vehicle there to the line of the other road",
        )
