"""What is told of a plan: circuits, roads, fouling points, places and where all of it
lies.

The names of the fields are those of the interface.
"""

from collections.abc import Iterator, Mapping
from math import inf
from typing import Annotated, Literal, NamedTuple

import msgspec

from standage.railway.terms.figures import says, tidy
from standage.railway.track.fouling.fouling import FoulingPoint, LegFouling, Reach
from standage.railway.track.network.heights import heights_at_ends
from standage.railway.track.network.network import Course, Network
from standage.railway.track.network.positions import onwards, told
from standage.railway.track.paths.spots import Spot, heading_deg
from standage.railway.track.pieces.shapes import LimitKind
from standage.railway.track.placing.circuits import Circuit
from standage.railway.track.placing.fitting import Fit
from standage.railway.track.placing.placing import is_fitted
from standage.railway.track.plans.flat import End, written
from standage.railway.track.plans.plan import Plan, Position
from standage.railway.track.roads.limits import EndLimit, Usable
from standage.railway.track.roads.road_figures import Bending, bending
from standage.railway.track.roads.road_places import FoundPlace, end_name
from standage.railway.track.roads.roads import plain_pieces
from standage.railway.track.roads.stopping import Stopping
from standage.railway.track.survey.survey import Survey

HALF_TURN_DEG = 180.0
FoundBy = Literal["spacing", "stock", "measured"]


class ToldPose(msgspec.Struct, frozen=True, kw_only=True):
    """Where an end of a piece lies, and which way it points, out of the piece."""

    x_mm: float
    y_mm: float
    heading_deg: float


class ToldOpenEnd(msgspec.Struct, frozen=True, kw_only=True):
    """An end that nothing is joined to; no place where its piece has none."""

    end: str
    x_mm: float | None
    y_mm: float | None
    heading_deg: float | None


class ToldCircuit(msgspec.Struct, frozen=True, kw_only=True):
    """A closed run of pieces, and the gap that is left where it should meet.

    ``exchanges_rails`` is null over a diamond's two roads, and over a deck.
    """

    pieces: tuple[str, ...]
    closing_join: tuple[str, str]
    gap_mm: float
    gap_deg: float
    gap_height_mm: float | None
    least_gap_mm: float
    greatest_gap_mm: float
    exchanges_rails: bool | None


class ToldFitted(msgspec.Struct, frozen=True, kw_only=True):
    """Track that is fitted between its two ends, as it comes out.

    Without a ``least_radius_mm`` it is straight; without a ``length_mm`` nothing leads
    there, and a fault says what would.
    """

    piece: str
    length_mm: float | None
    least_radius_mm: float | None


class ToldLimit(msgspec.Struct, frozen=True, kw_only=True):
    """Where trains must stop short at an end of a road; ``because`` of that piece.

    ``from_blades_mm`` is from the blades at that end, or whatever else is there.
    """

    kind: LimitKind
    because: str
    position: Position | None
    from_stopping_mark_mm: float | None
    from_blades_mm: float | None
    plus_minus_mm: float | None


class ToldReverse(msgspec.Struct, frozen=True, kw_only=True):
    """Two curves of opposite hands, and the straight between them; where the second
    begins.
    """

    piece: str
    straight_between_mm: float
    first_radius_mm: float
    second_radius_mm: float


class ToldRoad(msgspec.Struct, frozen=True, kw_only=True):
    """A road from limit to limit; null is what nobody can tell.

    A ``minimum_radius_mm`` of null with no piece ``of_unknown_radius`` is straight.
    """

    name: str
    kind: str
    ends: tuple[str, ...]
    pieces: tuple[str, ...]
    usable_length_mm: float | None
    plus_minus_mm: float | None
    blades_to_blades_mm: float | None
    stop_to_stop_mm: float | None
    limits: tuple[ToldLimit, ...]
    minimum_radius_mm: float | None
    of_unknown_radius: tuple[str, ...]
    reverse_curves: tuple[ToldReverse, ...]
    steepest_percent: float | None


class ToldPlace(msgspec.Struct, frozen=True, kw_only=True):
    """A place of the plan, and what the plan makes of it.

    ``differs_by_mm`` is what was surveyed less what the plan gives.
    """

    name: str
    kind: str | None
    ends: tuple[str, ...]
    roads: tuple[str, ...]
    pieces: tuple[str, ...]
    usable_length_mm: float | None
    plus_minus_mm: float | None
    blades_to_blades_mm: float | None
    stop_to_stop_mm: float | None
    limits: tuple[ToldLimit, ...]
    surveyed_usable_length_mm: float | None
    differs_by_mm: float | None
    minimum_radius_mm: float | None
    of_unknown_radius: tuple[str, ...]
    reverse_curves: tuple[ToldReverse, ...]
    steepest_percent: float | None


class ToldLeg(msgspec.Struct, frozen=True, kw_only=True):
    """Where a train stands clear on one leg of points; null where nobody can tell.

    ``decided_by`` is the other leg, whose way decides.
    """

    leg: str
    from_blades_mm: float | None
    plus_minus_mm: float | None
    from_nose_mm: float | None
    position: Position | None
    by: FoundBy
    decided_by: str | None
    too_close: Annotated[
        bool, says("Whether the two ways are too close all along, so that none is.")
    ]


class ToldFouling(msgspec.Struct, frozen=True, kw_only=True):
    """The fouling points of one set of points, a crossing or a slip, and the mark to
    paint.
    """

    points: str
    legs: tuple[ToldLeg, ...]
    mark_length_mm: float | None
    spacing_mm: float | None


class ToldFootprint(msgspec.Struct, frozen=True, kw_only=True):
    """The room that the boards take, or the track where no board is given."""

    length_mm: float
    width_mm: float
    with_operating_space_mm: tuple[float, float]
    goes_into_room: bool | None


Poses = dict[str, dict[str, ToldPose]]


def told_circuits(found: Survey) -> tuple[ToldCircuit, ...]:
    """Return every circuit with its gap, in the order of the joins that close them."""
    at_ends = heights_at_ends(found.plan, found.network)
    circuits = found.closed.circuits
    return tuple(_circuit(found, one, at_ends) for one in circuits)


def _circuit(
    found: Survey, circuit: Circuit, at_ends: Mapping[End, float]
) -> ToldCircuit:
    one, other = circuit.closing_join
    return ToldCircuit(
        pieces=circuit.pieces,
        closing_join=(written(one), written(other)),
        gap_mm=tidy(circuit.gap.mm),
        gap_deg=tidy(circuit.gap.deg),
        gap_height_mm=_height_gap_mm(found, one, other, at_ends),
        least_gap_mm=tidy(circuit.least_gap_mm),
        greatest_gap_mm=tidy(circuit.greatest_gap_mm),
        exchanges_rails=circuit.exchanges_rails,
    )


def _height_gap_mm(
    found: Survey, one: End, other: End, at_ends: Mapping[End, float]
) -> float | None:
    """Return by how much the rails differ in height at a join; None without heights."""
    if one in at_ends and other in at_ends:
        return tidy(abs(at_ends[one] - at_ends[other]))
    course = found.network.at_end.get(one)
    if course is None or found.heights.height_mm(course, 0.0) is None:
        return None
    # Between two heights the rails climb evenly, over this join as over any other.
    return 0.0


def told_open_ends(found: Survey) -> tuple[ToldOpenEnd, ...]:
    """Return the ends that nothing is joined to."""
    flat = found.placed.flat
    ends = (
        (piece, end)
        for piece, shape in found.placed.shapes.items()
        for end in shape.ends
    )
    return tuple(_open_end(found, end) for end in ends if end not in flat.joint)


def told_fitted(found: Survey) -> tuple[ToldFitted, ...]:
    """Return every piece that is fitted, with its length and its least radius."""
    pieces = found.placed.flat.pieces
    fitted = [name for name, piece in pieces.items() if is_fitted(piece)]
    return tuple(_fitted(found.placed.fits.get(name), name) for name in fitted)


def _fitted(fit: Fit | None, name: str) -> ToldFitted:
    known = fit or Fit(runs=None)
    return ToldFitted(
        piece=name,
        length_mm=_finite(known.length_mm),
        least_radius_mm=_finite(known.least_radius_mm),
    )


def _open_end(found: Survey, end: End) -> ToldOpenEnd:
    spot = found.placed.spot(end)
    if spot is None:
        return ToldOpenEnd(
            end=written(end),
            x_mm=None,
            y_mm=None,
            heading_deg=None,
        )
    pose = _pose(spot)
    return ToldOpenEnd(
        end=written(end), x_mm=pose.x_mm, y_mm=pose.y_mm, heading_deg=pose.heading_deg
    )


def _pose(spot: Spot) -> ToldPose:
    heading = tidy(heading_deg(spot.direction))
    return ToldPose(
        x_mm=tidy(spot.point.real),
        y_mm=tidy(spot.point.imag),
        # Half a turn, less a dust, is half a turn and not minus that.
        heading_deg=180.0 if heading <= -HALF_TURN_DEG else heading,
    )


def told_poses(found: Survey) -> Poses:
    """Return where every end of every piece lies that has a place."""
    return {
        piece: dict(_ends_of(found, piece))
        for piece in found.placed.flat.pieces
        if piece in found.placed.frames
    }


def _ends_of(found: Survey, piece: str) -> Iterator[tuple[str, ToldPose]]:
    for end in found.placed.shapes[piece].ends:
        spot = found.placed.spot((piece, end))
        if spot is not None:
            yield end, _pose(spot)


def told_roads(found: Survey) -> tuple[ToldRoad, ...]:
    """Return every road with its three lengths and its limits."""
    both = zip(found.usable, found.stopping, strict=True)
    return tuple(_road(found, usable, marks) for usable, marks in both)


def _road(found: Survey, usable: Usable, marks: Stopping) -> ToldRoad:
    road = usable.road
    bends = bending(found.network, road.courses, is_closed=road.stops is None)
    from_marks_mm = marks.from_marks_mm
    limits = zip(usable.limits, from_marks_mm, strict=True)
    stops = road.stops or ()
    return ToldRoad(
        name=road.name,
        kind=road.kind,
        ends=tuple(end_name(stop) for stop in stops),
        pieces=road.pieces,
        usable_length_mm=_finite(usable.usable_length_mm),
        plus_minus_mm=_plus_minus_mm(found.plan, usable.usable_length_mm),
        blades_to_blades_mm=_finite(usable.blades_to_blades_mm),
        stop_to_stop_mm=marks.stop_to_stop_mm,
        limits=tuple(_limit(found.plan, one, mark_mm) for one, mark_mm in limits),
        minimum_radius_mm=_finite(bends.minimum_radius_mm),
        of_unknown_radius=bends.unknown,
        reverse_curves=_told_reverses(bends),
        steepest_percent=_finite(found.heights.steepest_percent(road.courses)),
    )


def _told_reverses(bends: Bending) -> tuple[ToldReverse, ...]:
    return tuple(
        ToldReverse(
            piece=one.piece,
            straight_between_mm=tidy(one.straight_between_mm),
            first_radius_mm=tidy(one.first_radius_mm),
            second_radius_mm=tidy(one.second_radius_mm),
        )
        for one in bends.reverse_curves
    )


def _limit(plan: Plan, limit: EndLimit, mark_mm: float | None) -> ToldLimit:
    return ToldLimit(
        kind=limit.kind,
        because=limit.because,
        position=limit.position,
        from_stopping_mark_mm=mark_mm,
        from_blades_mm=_finite(limit.from_blades_mm),
        plus_minus_mm=_plus_minus_mm(plan, limit.from_blades_mm),
    )


def told_places(found: Survey) -> tuple[ToldPlace, ...]:
    """Return every place that lies on roads or on a stretch of its own."""
    known: dict[tuple[tuple[Course, ...], bool], _Lie] = {}
    told = []
    for one in found.places:
        # Many places may lie on one long road.
        lies_on = (one.courses, bool(one.limits))
        if lies_on not in known:
            known[lies_on] = _lie(found, one)
        told.append(_place(found, one, known[lies_on]))
    return tuple(told)


class _Lie(NamedTuple):
    """How sharp and how steep some track is, and its pieces."""

    bends: Bending
    steepest_percent: float | None
    pieces: tuple[str, ...]


def _lie(found: Survey, place: FoundPlace) -> _Lie:
    is_closed = bool(place.courses) and not place.limits
    bends = bending(found.network, place.courses, is_closed=is_closed)
    if not place.courses:
        return _Lie(bends, None, ())
    pieces = plain_pieces(found.network, place.courses)
    return _Lie(bends, found.heights.steepest_percent(place.courses), pieces)


def _place(found: Survey, one: FoundPlace, lie: _Lie) -> ToldPlace:
    bends = lie.bends
    limits = zip(one.limits, one.marks.from_marks_mm, strict=True)
    return ToldPlace(
        name=one.place.name,
        kind=one.place.kind,
        ends=one.ends,
        roads=one.roads,
        pieces=lie.pieces,
        usable_length_mm=_finite(one.usable_length_mm),
        plus_minus_mm=_plus_minus_mm(found.plan, one.usable_length_mm),
        blades_to_blades_mm=_finite(one.blades_to_blades_mm),
        stop_to_stop_mm=one.marks.stop_to_stop_mm,
        limits=tuple(_limit(found.plan, limit, mark_mm) for limit, mark_mm in limits),
        surveyed_usable_length_mm=one.place.surveyed_usable_length_mm,
        differs_by_mm=one.differs_by_mm,
        minimum_radius_mm=_finite(bends.minimum_radius_mm),
        of_unknown_radius=bends.unknown,
        reverse_curves=_told_reverses(bends),
        steepest_percent=_finite(lie.steepest_percent),
    )


def told_fouling(network: Network, plan: Plan, point: FoulingPoint) -> ToldFouling:
    """Return the fouling points of one piece's legs."""
    return ToldFouling(
        points=point.points,
        legs=tuple(told_leg(network, plan, leg) for leg in point.legs),
        mark_length_mm=_finite(point.mark_length_mm),
        spacing_mm=_finite(point.spacing_mm),
    )


def told_leg(network: Network, plan: Plan, leg: LegFouling) -> ToldLeg:
    """Return where a train stands clear on one leg."""
    reach = leg.farthest
    by: FoundBy = "measured" if reach.by == "nose" else reach.by
    too_close = reach.from_blades_mm == inf
    return ToldLeg(
        leg=leg.leg,
        from_blades_mm=_finite(reach.from_blades_mm),
        plus_minus_mm=_plus_minus_mm(plan, reach.from_blades_mm),
        from_nose_mm=_finite(reach.from_nose_mm),
        position=_position(network, reach),
        by=by,
        decided_by=reach.other or None,
        too_close=too_close,
    )


def _position(network: Network, reach: Reach) -> Position | None:
    """Return where on the plan a limit is, along the way on that sets it."""
    if reach.along_mm is None or reach.along_mm == inf:
        return None
    left_mm = reach.along_mm
    course: Course = reach.courses[0]
    for here in reach.courses:
        course = here
        length_mm = network.strand(here).length_mm
        if length_mm is None or left_mm <= length_mm or here == reach.courses[-1]:
            break
        left_mm -= length_mm
    return told(network, onwards(network, course, left_mm))


def told_footprint(found: Survey) -> ToldFootprint | None:
    """Return how much room the plan takes; None where nothing has a place."""
    footprint = found.footprint
    if footprint is None:
        return None
    length_mm, width_mm = footprint.with_operating_space_mm
    return ToldFootprint(
        length_mm=tidy(footprint.length_mm),
        width_mm=tidy(footprint.width_mm),
        with_operating_space_mm=(tidy(length_mm), tidy(width_mm)),
        goes_into_room=footprint.goes_into_room,
    )


def _finite(figure: float | None) -> float | None:
    if figure is None or abs(figure) == inf:
        return None
    return tidy(figure)


def _plus_minus_mm(plan: Plan, length_mm: float | None) -> float | None:
    """Return how far off a length of the plan may be; None where the plan is exact."""
    if plan.plus_minus is None or length_mm is None or length_mm == inf:
        return None
    return tidy(plan.plus_minus.of(length_mm))
