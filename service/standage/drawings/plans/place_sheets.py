"""A place with a train in it, as it lies: every vehicle where it stands on the curve,
the limits, and what is to spare.

Wheels are on the track's middle, and a body lies on the chord between its pivots.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import pairwise, product
from math import floor, pi
from xml.etree import ElementTree as ET

import msgspec
import numpy as np

from standage.drawings.plans.content import (
    Content,
    DrawnRoad,
    Named,
    content,
    track_of_pieces,
)
from standage.drawings.plans.listings import Listing, columns
from standage.drawings.plans.looks import Look
from standage.drawings.plans.plan_layout import Laid, laid_out
from standage.drawings.plans.plan_names import Beside, Names
from standage.drawings.plans.plan_sheets import PlanDrawn
from standage.drawings.plans.plan_strokes import draw_plan, open_line
from standage.drawings.plans.roads_drawn import StraightRoad
from standage.drawings.plans.sheets import Pages, Told
from standage.drawings.plans.spots_on_track import Line, spot_at
from standage.drawings.plans.train_stands import OnTheRoad, StoodBody, StoodTrain
from standage.drawings.plans.ways import Bend, View, along
from standage.railway.terms.figures import millimetres
from standage.railway.track.paths.paths import Path, Pose
from standage.railway.track.paths.wheels import Wheels, stood
from standage.railway.track.survey.survey import Survey

_INSIDE = 1.5
_STEP_MM = 4.0
_MOST_STEPS = 40_000
_Square = tuple[int, int]


def place_pages(
    found: Survey, look: Look, road: StraightRoad, on_it: OnTheRoad
) -> Pages | None:
    """Return a road with a train on it; None where its shape is not known."""
    path = _path_of(found, road)
    train = on_it.train
    if path is None:
        return None
    shown = _neighbourhood(found, road)
    bodies = tuple(outlines(path, train)) if train is not None else ()
    laid = laid_out(shown, look)
    group = ET.Element("g")
    draw_plan(group, shown, laid, look)
    limits = tuple(
        _limits(
            path,
            road,
            shown.gauge_mm,
        )
    )
    for limit in limits:
        open_line(group, limit, laid.view, width="1.4")
    for _, outline in bodies:
        _body(group, outline, laid.view)
    numbers = tuple(_numbers(bodies, train))
    limit_names = tuple(_limit_names(limits))
    is_wide = _is_wide(bodies, laid)
    beside = Beside(
        fixed=numbers if is_wide else (),
        names=limit_names if is_wide else (*numbers, *limit_names),
        clear=tuple(_edges(bodies)),
    )
    named = Names(shown, laid, look, beside)
    named.write(group)
    told = Told(
        title=road.name,
        description=_sum(road, train),
    )
    lists = columns(
        laid.paper,
        list(_listings(road, on_it)),
    )
    drawn = PlanDrawn(
        found=found,
        look=look,
        laid=laid,
        group=group,
        lists=lists,
    )
    if not laid.paper.is_printed:
        return drawn.narrow(told)
    return drawn.on_pages(told)


def _path_of(found: Survey, road: StraightRoad) -> Path | None:
    """Return a road's track where it lies; None where any of it has no shape."""
    known = [found.network.runs(course) for course in road.courses]
    if not known or None in known:
        return None
    runs = tuple(run for own in known for run in own or ())
    spot = spot_at(
        found,
        road.courses[0],
        0.0,
    )
    if spot is None:
        return None
    heading = float(np.angle(spot.direction))
    start = Pose(
        x_mm=spot.point.real,
        y_mm=spot.point.imag,
        heading=heading,
    )
    return Path(runs, start).going_on


def _neighbourhood(found: Survey, road: StraightRoad) -> Content:
    """Return the track of a road and of the points at its ends, and what is there."""
    shown = content(found)
    own = track_of_pieces(found, road.courses)
    line = DrawnRoad(
        number=1,
        name=road.name,
        usable=tuple(_usable(found, road)),
        usable_mm=road.usable_mm,
        too_close=False,
        middle=None,
    )
    bare = msgspec.structs.replace(
        shown,
        sound=own,
        doubtful=(),
        pieces=(),
        decks=(),
        boards=(),
        joints=(),
        obstacles=(),
        roads=(line,),
        wrong=(),
    )
    track = _Track(own, shown.gauge_mm)
    return msgspec.structs.replace(
        bare,
        points=tuple(one for one in shown.points if track.holds(one.place)),
        marks=tuple(one for one in shown.marks if any(map(track.holds, one))),
        stops=tuple(one for one in shown.stops if track.holds(sum(one) / len(one))),
        signs=tuple(one for one in shown.signs if track.holds(one.spot.point)),
        open_ends=tuple(one for one in shown.open_ends if track.holds(one.point)),
        gaps=tuple(one for one in shown.gaps if track.holds(one.place)),
    )


class _Track:
    """Track that is drawn: what does not lie on it would hang in the air."""

    def __init__(self, strands: Sequence[Sequence[Bend]], gauge_mm: float) -> None:
        whole_mm = sum(bend.length_mm for strand in strands for bend in strand)
        step_mm = max(_STEP_MM, whole_mm / _MOST_STEPS)
        self._near_mm = max(step_mm, gauge_mm / 2)
        self._squares: defaultdict[_Square, list[complex]] = defaultdict(list)
        for strand in strands:
            for place in along(strand, step_mm=step_mm):
                self._squares[self._square(place)].append(place)

    def _square(self, place: complex) -> _Square:
        return floor(place.real / self._near_mm), floor(place.imag / self._near_mm)

    def holds(self, place: complex) -> bool:
        """Tell whether a place lies on it, between its rails."""
        across, up = self._square(place)
        return any(
            abs(one - place) <= self._near_mm
            for off_x, off_y in product((-1, 0, 1), repeat=2)
            for one in self._squares.get((across + off_x, up + off_y), ())
        )


def _usable(found: Survey, road: StraightRoad) -> Iterator[Line]:
    path = _path_of(found, road)
    from_mm, usable_mm = road.usable_from_mm, road.usable_mm
    if path is None or from_mm is None or not usable_mm:
        return
    places_mm = np.linspace(
        from_mm,
        from_mm + usable_mm,
        200,
    )
    poses = path.at(places_mm)
    both = zip(poses.x_mm, poses.y_mm, strict=True)
    yield tuple(complex(x_mm, y_mm) for x_mm, y_mm in both)


def _limits(path: Path, road: StraightRoad, gauge_mm: float) -> Iterator[Line]:
    for limit_mm in road.limits_mm:
        if limit_mm is not None:
            pose = path.pose(limit_mm)
            ahead = complex(np.cos(pose.heading), np.sin(pose.heading))
            aside = 1j * ahead * 1.4 * gauge_mm
            yield (pose.point + aside, pose.point - aside)


def _limit_names(limits: Sequence[Line]) -> Iterator[Named]:
    for limit in limits:
        yield Named(
            name="limit",
            place=limit[0],
        )


def outlines(path: Path, train: StoodTrain) -> Iterator[tuple[str, Line]]:
    """Yield the outlines of the bodies of a train, each with its vehicle's name.

    A body that cannot stand there on the wheels that it has is left out.
    """
    for vehicle in train.vehicles:
        for body in vehicle.bodies:
            outline = _outline(path, body)
            if outline is not None:
                yield vehicle.name, outline


def _outline(path: Path, body: StoodBody) -> Line | None:
    wheels = Wheels(
        pivots_mm=body.pivots_mm, bogie_wheelbase_mm=body.bogie_wheelbase_mm
    )
    # The road is run from the train's head: its last axle is the first one along it.
    leading_mm = body.middle_mm + body.pivots_mm / 2 + body.bogie_wheelbase_mm / 2
    stands = stood(path, [leading_mm], wheels)
    behind_mm = leading_mm - float(stands.last_axle_mm[0])
    base_mm = body.pivots_mm + body.bogie_wheelbase_mm
    # On a circle an arc is at most π ÷ 2 times its chord: what is found farther behind
    # lies beyond the curve on which the body should stand. Nothing is found: nan.
    if not behind_mm <= base_mm * pi / 2:
        return None
    half_mm = body.width_mm / 2
    corners = (
        (body.behind_mm, half_mm),
        (body.behind_mm, -half_mm),
        (-body.before_mm, -half_mm),
        (-body.before_mm, half_mm),
    )
    places = (
        complex(
            stands.at(
                ahead_mm,
                left_mm=left_mm,
            )[0]
        )
        for ahead_mm, left_mm in corners
    )
    return tuple(places)


def _body(group: ET.Element, outline: Line, view: View) -> None:
    on_paper = map(view.place, outline)
    corners = " ".join(f"{place.real:.2f},{place.imag:.2f}" for place in on_paper)
    style = {"fill": "white", "stroke": "black", "stroke-width": "0.4"}
    ET.SubElement(
        group,
        "polygon",
        {"points": corners, **style},
    )


def _edges(bodies: Sequence[tuple[str, Line]]) -> Iterator[complex]:
    """Yield places on the outlines of bodies, to be kept clear of words."""
    for _, outline in bodies:
        for one, other in pairwise((*outline, outline[0])):
            for step in range(12):
                yield one + (other - one) * step / 12


def _numbers(
    bodies: Sequence[tuple[str, Line]], train: StoodTrain | None
) -> Iterator[Named]:
    """Yield the number of each vehicle in the list, beside its first body."""
    if train is None:
        return
    numbers = {name: number for number, name in enumerate(train.names, 1)}
    for name, outline in bodies:
        middle = sum(outline) / len(outline)
        yield Named(
            name=f"{numbers[name]}",
            place=middle,
        )


def _is_wide(bodies: Sequence[tuple[str, Line]], laid: Laid) -> bool:
    """Tell whether numbers go inside all bodies as they are drawn."""
    least_mm = _INSIDE * laid.paper.text_mm * laid.view.one_in
    sides_mm = [
        abs(two - one) for _, outline in bodies for one, two in pairwise(outline)
    ]
    return min(sides_mm, default=0.0) >= least_mm


def _sum(road: StraightRoad, train: StoodTrain | None) -> str:
    if train is None:
        return f"{road.said}, {road.length}."
    length = millimetres(train.length_mm)
    if train.spare_mm >= 0:
        left = f"{millimetres(train.spare_mm)} to spare, half of it at each end"
    else:
        left = f"{millimetres(-train.spare_mm)} too long"
    return f"{road.said}: {road.length}, train {length}, {left}."


def _listings(road: StraightRoad, on_it: OnTheRoad) -> Iterator[Listing]:
    train = on_it.train
    yield Listing(
        heading="Length",
        entries=(_sum(road, train),),
    )
    yield Listing(heading="The train is not drawn", entries=on_it.notes)
    if train is not None:
        entries = [f"{number}  {name}" for number, name in enumerate(train.names, 1)]
        yield Listing(
            heading="Train, its head first",
            entries=tuple(entries),
        )
