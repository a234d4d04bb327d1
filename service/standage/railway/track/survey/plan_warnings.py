"""What a builder should look at before track is laid: points where they give trouble,
ends of modules that will not meet well.

**Source** common practice, no source: 50 mm from a board's joint, 100 mm straight and
free at a module's end.
"""

from collections.abc import Iterator, Sequence
from itertools import islice, pairwise

import msgspec

from standage.railway.track.network.lines import Line
from standage.railway.track.network.network import Course
from standage.railway.track.network.profiles import Known
from standage.railway.track.paths.spots import Spot, along_arc, in_arcs
from standage.railway.track.pieces.shapes import Strand, is_knot
from standage.railway.track.placing.placing import Placing, within
from standage.railway.track.plans.flat import end_of, inner_plans, written
from standage.railway.track.plans.plan import ModulePlan, Obstacle, Plan
from standage.railway.track.survey.survey import Survey
from standage.railway.track.survey.unlike_boards import unlike_boards

FROM_A_JOINT_MM = 50.0
STRAIGHT_AND_FREE_MM = 100.0
MOST_WARNINGS = 100
MOST_LOOKED = 500_000
"""So many corners of outlines are looked at beside points."""
_NOT_LOOKED_AT = (
    "there are too many frames and edges of boards to look at beside points: from here"
    " on look yourself"
)
_STEP_MM = 5.0
"""Points are looked at so often along their legs."""
_SAME_SLOPE = 1e-9
_STRAIGHT = 1e-9


class PlanWarning(msgspec.Struct, frozen=True, kw_only=True):
    """Something on a plan that works on paper and gives trouble on boards."""

    code: str
    message: str
    piece: str | None = None


def plan_warnings(found: Survey) -> tuple[PlanWarning, ...]:
    """Return what to look at, at most a hundred, in the order of the pieces. **Source**
    common practice; each warning says its bound.
    """
    return tuple(islice(_all(found), MOST_WARNINGS))


def _all(found: Survey) -> Iterator[PlanWarning]:
    yield from _laid_twice(found.plan)
    for message in unlike_boards(found.plan, found.placed):
        yield PlanWarning(code="unlike_boards", message=message)
    yield from _points_on_slopes(found)
    yield from _points_near_joints(found)
    yield from _points_at_module_ends(found)
    yield from _module_ends(found)


def _laid_twice(plan: Plan) -> Iterator[PlanWarning]:
    first: dict[str, str] = {}
    for name, module in plan.modules.items():
        if module.module_id is None:
            continue
        if module.module_id in first:
            message = (
                f"{first[module.module_id]} and {name} are the same module: there is"
                " only one of it"
            )
            yield PlanWarning(code="module_twice", message=message)
        first.setdefault(module.module_id, name)


def _points(found: Survey) -> Iterator[str]:
    for piece, shape in found.network.shapes.items():
        if shape.pairs:
            yield piece


def _points_on_slopes(found: Survey) -> Iterator[PlanWarning]:
    """Yield the points where the gradient changes, within its vertical curve too."""
    high = found.heights
    both = zip(high.lines, high.known, strict=True)
    bends = [list(_bends(line, known)) for line, known in both]
    for piece in _points(found):
        if any(_bends_on(found, bends, strand) for strand in _strands(found, piece)):
            message = (
                f"{piece} lies where the gradient changes: points want one even"
                " gradient, or none"
            )
            yield PlanWarning(
                code="points_on_a_bend",
                message=message,
                piece=piece,
            )


def _strands(found: Survey, piece: str) -> range:
    first = found.network.first_of[piece]
    count = len(found.network.shapes[piece].strands)
    return range(first, first + count)


def _bends(line: Line, known: Sequence[Known]) -> Iterator[tuple[float, float]]:
    """Yield from where to where the gradient of a line changes; level beyond its
    ends.
    """
    between = [_slope(one, two) for one, two in pairwise(known)]
    slopes = [0.0, *between, 0.0]
    ends = {0, len(known) - 1}
    for number, one in enumerate(known):
        # A ring has its last height again before its first, and the first after it.
        is_again = line.is_closed and number in ends
        before, after = slopes[number : number + 2]
        if not is_again and abs(before - after) > _SAME_SLOPE:
            half_mm = one.vertical_curve_mm / 2
            yield one.at_mm - half_mm, one.at_mm + half_mm


def _slope(one: Known, two: Known) -> float:
    run_mm = two.at_mm - one.at_mm
    if run_mm <= 0:
        return 0.0
    rise_mm = two.height_mm - one.height_mm
    return rise_mm / run_mm


def _bends_on(
    found: Survey, bends: Sequence[Sequence[tuple[float, float]]], strand: int
) -> bool:
    line = found.heights.line_of.get(strand)
    if line is None:
        return False
    start_mm, end_mm = found.heights.lines[line].span_mm(2 * strand)
    return any(
        from_mm < end_mm - _SAME_SLOPE and to_mm > start_mm + _SAME_SLOPE
        for from_mm, to_mm in bends[line]
    )


def _points_near_joints(found: Survey) -> Iterator[PlanWarning]:
    """Yield points near the edge where boards meet, and tie bars over a frame."""
    edges = [_Outlined(corners) for corners in _outlines(found, "board_edge")]
    frames = [_Outlined(corners) for corners in _outlines(found, "frame")]
    if not edges and not frames:
        return
    looked = 0
    for piece in _points(found):
        if piece not in found.placed.frames:
            continue
        if looked > MOST_LOOKED:
            yield PlanWarning(
                code="too_many",
                message=_NOT_LOOKED_AT,
                piece=piece,
            )
            return
        traced = _trace(found.placed, piece)
        near = [edge for edge in edges if edge.is_near(traced)]
        looked += sum(len(edge.corners) * len(traced) for edge in near)
        if any(_gap_mm(edge.corners, traced) < FROM_A_JOINT_MM for edge in near):
            yield _near_a_joint(piece)
        tips = [
            strand for strand in _laid(found, piece) if strand.limit == "blade_tips"
        ]
        for tie_bar in _tips(found, piece, tips):
            about = [frame for frame in frames if frame.is_near([tie_bar])]
            looked += len(frames) + sum(len(frame.corners) for frame in about)
            if any(_holds(frame.corners, tie_bar) for frame in about):
                message = f"the tie bar of {piece} lies over a frame of the board"
                yield PlanWarning(
                    code="tie_bar_over_frame", message=message, piece=piece
                )
                break


class _Outlined:
    """An outline by its corners, and the square-on box that it lies in."""

    def __init__(self, corners: Sequence[complex]) -> None:
        self.corners = corners
        self._box = _box(corners)

    def is_near(self, places: Sequence[complex]) -> bool:
        """Tell whether any of it may lie within 50 mm of some places."""
        left, right, low, high = self._box
        first, last, lowest, highest = _box(places)
        apart_mm = max(
            first - right,
            left - last,
            lowest - high,
            low - highest,
        )
        return apart_mm < FROM_A_JOINT_MM


def _box(places: Sequence[complex]) -> tuple[float, float, float, float]:
    """Return from where to where places lie along x, and along y."""
    across = [place.real for place in places]
    up = [place.imag for place in places]
    return min(across), max(across), min(up), max(up)


def _near_a_joint(piece: str) -> PlanWarning:
    message = (
        f"{piece} lies across a joint of the boards, or within"
        f" {FROM_A_JOINT_MM:g} mm of one"
    )
    return PlanWarning(code="points_near_a_joint", message=message, piece=piece)


def _outlines(found: Survey, kind: str) -> Iterator[list[complex]]:
    """Yield the outlines of obstacles of a kind, as they lie in the layout."""
    for obstacle in _of_kind(found.plan, kind):
        yield [complex(x, y) for x, y in obstacle.outline]
    for name, inner in inner_plans(found.plan):
        body = found.placed.bodies.get(name)
        if body is None:
            continue
        for obstacle in _of_kind(inner, kind):
            corners = [Spot(complex(x, y), 1 + 0j) for x, y in obstacle.outline]
            yield [within(body, corner).point for corner in corners]


def _of_kind(plan: ModulePlan, kind: str) -> Iterator[Obstacle]:
    for obstacle in plan.obstacles:
        if obstacle.kind == kind:
            yield obstacle


def _laid(found: Survey, piece: str) -> Iterator[Strand]:
    return iter(found.placed.shapes[piece].strands)


def _trace(placed: Placing, piece: str) -> list[complex]:
    """Return places along all legs of a piece, a few mm apart."""
    places: list[complex] = []
    frame = placed.frames[piece]
    for strand in placed.shapes[piece].strands:
        if strand.spot is None or strand.runs is None:
            continue
        spot = within(frame, strand.spot)
        places.append(spot.point)
        for run in strand.runs:
            for arc in in_arcs(run):
                steps = max(1, min(200, int(arc.length_mm / _STEP_MM)))
                for step in range(steps + 1):
                    along_mm = arc.length_mm * step / steps
                    places.append(along_arc(spot, along_mm, arc.curvature_from).point)
                spot = along_arc(spot, arc.length_mm, arc.curvature_from)
    return places


def _gap_mm(outline: Sequence[complex], traced: Sequence[complex]) -> float:
    """Return how near places lie to an outline's edges."""
    edges = list(_edges(outline))
    gaps_mm = (_from_edge_mm(place, *edge) for place in traced for edge in edges)
    return min(gaps_mm, default=FROM_A_JOINT_MM)


def _from_edge_mm(place: complex, start: complex, end: complex) -> float:
    along = end - start
    length_mm = abs(along)
    if length_mm == 0:
        return abs(place - start)
    beside = (place - start) * along.conjugate() / length_mm
    off_mm = max(0.0, -beside.real, beside.real - length_mm)
    return abs(complex(off_mm, beside.imag))


def _tips(found: Survey, piece: str, strands: Sequence[Strand]) -> Iterator[complex]:
    """Yield where a piece's blade tips lie: at the knots that its toe leads to."""
    frame = found.placed.frames[piece]
    for strand in strands:
        if strand.spot is None or strand.runs is None:
            continue
        spot = within(frame, strand.spot)
        if is_knot(strand.start):
            yield spot.point
            continue
        for run in strand.runs:
            for arc in in_arcs(run):
                spot = along_arc(spot, arc.length_mm, arc.curvature_from)
        yield spot.point


def _holds(outline: Sequence[complex], place: complex) -> bool:
    """Tell whether a place lies within an outline: by the edges that a line to the
    right of it crosses.
    """
    inside = False
    for start, end in _edges(outline):
        if (start.imag > place.imag) == (end.imag > place.imag):
            continue
        edge = end - start
        share = (place.imag - start.imag) / edge.imag
        crossed_at = start.real + share * edge.real
        inside ^= crossed_at > place.real
    return inside


def _edges(outline: Sequence[complex]) -> Iterator[tuple[complex, complex]]:
    """Return the edges of an outline, the last one back to its first corner."""
    beyond = [*outline[1:], outline[0]]
    return zip(outline, beyond, strict=True)


class _Inwards(msgspec.Struct, frozen=True, kw_only=True):
    """What is met on a track from a module's end inwards: how far it is straight, and
    the first points with how far they lie in.
    """

    straight_mm: float
    points: str | None
    points_at_mm: float


def _module_tracks(found: Survey) -> Iterator[tuple[str, str, _Inwards]]:
    """Yield each track at a module's end, with the end's name and what is met."""
    whole: list[tuple[str, ModulePlan]] = [("", found.plan)]
    whole += [(f"{name}/", inner) for name, inner in inner_plans(found.plan)]
    for prefix, plan in whole:
        for end in plan.module_ends:
            for track in end.tracks:
                piece, own = end_of(track)
                track_end = (prefix + piece, own)
                course = found.network.at_end.get(track_end)
                if course is not None:
                    inwards = _inwards(found, course)
                    yield f"{prefix}{end.name}", written(track_end), inwards


def _inwards(found: Survey, course: Course) -> _Inwards:
    network = found.network
    at_mm = 0.0
    straight_mm: float | None = None
    points: str | None = None
    # Track of no length may lead back to itself.
    seen: set[Course] = set()
    while at_mm < STRAIGHT_AND_FREE_MM and course not in seen:
        seen.add(course)
        piece = network.piece(course)
        if network.shapes[piece].pairs:
            points = piece
            break
        runs = network.runs(course)
        for run in runs or ():
            sharpest = max(abs(run.curvature_from), abs(run.curvature_to))
            if sharpest > _STRAIGHT and straight_mm is None:
                straight_mm = at_mm
            at_mm += run.length_mm
        if runs is None:
            at_mm += network.strand(course).length_mm or STRAIGHT_AND_FREE_MM
        onwards = network.onwards(course)
        if not onwards:
            break
        course = onwards[0]
    return _Inwards(
        straight_mm=at_mm if straight_mm is None else straight_mm,
        points=points,
        points_at_mm=at_mm,
    )


def _points_at_module_ends(found: Survey) -> Iterator[PlanWarning]:
    told: set[str] = set()
    for _, _, met in _module_tracks(found):
        is_near = met.points is not None and met.points_at_mm < FROM_A_JOINT_MM
        if is_near and met.points is not None and met.points not in told:
            told.add(met.points)
            yield _near_a_joint(met.points)


def _module_ends(found: Survey) -> Iterator[PlanWarning]:
    for end, track, met in _module_tracks(found):
        if met.straight_mm < STRAIGHT_AND_FREE_MM:
            message = (
                f"{track} at the end {end}: the first {STRAIGHT_AND_FREE_MM:g} mm should"
                f" be straight and free of points, and are so for"
                f" {met.straight_mm:.0f} mm"
            )
            yield PlanWarning(code="end_not_straight", message=message, piece=track)
