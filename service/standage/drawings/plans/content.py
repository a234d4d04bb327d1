"""What is drawn of a plan, found on its survey: everything in mm of the plan, y up."""

from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from itertools import islice, pairwise
from math import inf

import msgspec

from standage.drawings.plans.ways import Bend, bends_of
from standage.railway.terms.phrases import millimetres
from standage.railway.track.fouling.fouling import LegFouling
from standage.railway.track.network.network import Course
from standage.railway.track.network.positions import resolved
from standage.railway.track.paths.spots import ORIGIN, Spot, along_arc
from standage.railway.track.pieces.end_pieces import Turntable
from standage.railway.track.pieces.shapes import is_knot
from standage.railway.track.placing.placing import Unplaced, within
from standage.railway.track.plans.flat import End, end_of, inner_plans
from standage.railway.track.plans.plan import Fitting, FittingKind, Join, Outline
from standage.railway.track.roads.limits import Usable
from standage.railway.track.survey.lying import Lying, at, between, lying, road_lying
from standage.railway.track.survey.survey import Survey
from standage.shapes.faults import Fault

USUAL_GAUGE_MM = 16.5
_USUAL_SPACING_MM = 50.0
_MOST_SPACINGS = 3
"""A mark is not longer than so many spacings of tracks: nobody would paint it."""
_HALF_A_STOP = 0.8
"""Of the gauge: a stop's face stands out beyond the rails."""
_HALF_A_JOINT_MM = 30.0
"""So far the line of a boards' joint goes on beyond its outermost track."""
_GAP_MM = 3.0
"""Two places that lie so much farther apart than they should do not meet."""

Line = tuple[complex, ...]


class Named(msgspec.Struct, frozen=True, kw_only=True):
    """A name, beside the place that it is of."""

    name: str
    place: complex


class DrawnRoad(msgspec.Struct, frozen=True, kw_only=True):
    """A road by name and number; ``usable`` are lines along which trains may stand.

    One, but where track does not meet; none where nobody knows, or nothing is left.
    ``middle`` is the whole road's.
    """

    number: int
    name: str
    usable: tuple[Line, ...]
    middle: complex | None
    usable_mm: float | None
    too_close: bool

    @property
    def length(self) -> str:
        """Its usable length in words."""
        if self.too_close:
            return "tracks too close"
        if self.usable_mm is None:
            return "usable length not known"
        return millimetres(self.usable_mm)


class Sign(msgspec.Struct, frozen=True, kw_only=True):
    """A fitting where it is, looking the way positions count."""

    kind: FittingKind
    spot: Spot
    rails: str


class Shown(msgspec.Struct, frozen=True, kw_only=True):
    """An outline with what it is called: a board, or something beside the track."""

    name: str
    outline: Line


class Deck(msgspec.Struct, frozen=True, kw_only=True):
    """A deck that carries stock away; ``radius_mm`` where it turns about its middle."""

    name: str
    middle: complex
    ends: Line
    radius_mm: float | None


class Wrong(msgspec.Struct, frozen=True, kw_only=True):
    """A fault in words; ``place`` is where its piece lies, None for one without."""

    message: str
    place: complex | None


class Content(msgspec.Struct, frozen=True, kw_only=True):
    """All that is drawn of a plan; ``doubtful`` is track of pieces with faults."""

    sound: tuple[tuple[Bend, ...], ...]
    doubtful: tuple[tuple[Bend, ...], ...]
    gauge_mm: float
    roads: tuple[DrawnRoad, ...]
    points: tuple[Named, ...]
    marks: tuple[Line, ...]
    stops: tuple[Line, ...]
    open_ends: tuple[Spot, ...]
    decks: tuple[Deck, ...]
    signs: tuple[Sign, ...]
    boards: tuple[Shown, ...]
    joints: tuple[Shown, ...]
    obstacles: tuple[Shown, ...]
    gaps: tuple[Named, ...]
    wrong: tuple[Wrong, ...]
    unplaced: tuple[str, ...]

    @property
    def is_empty(self) -> bool:
        """Whether none of its track has a place."""
        return not self.sound and not self.doubtful and not self.decks


def content(found: Survey) -> Content:
    """Return what is drawn of a plan, sound or not. Takes as many steps as it has
    track, roads and fittings.
    """
    faulty = {piece for fault in found.faults for piece in faulty_pieces(found, fault)}
    sound: list[tuple[Bend, ...]] = []
    doubtful: list[tuple[Bend, ...]] = []
    for number, piece in enumerate(found.network.piece_of):
        bends = tuple(bends_of(found, number))
        if bends and piece in faulty:
            doubtful.append(bends)
        elif bends:
            sound.append(bends)
    return Content(
        sound=tuple(sound),
        doubtful=tuple(doubtful),
        gauge_mm=found.plan.laid_gauge_mm or USUAL_GAUGE_MM,
        roads=tuple(drawn_roads(found)),
        points=tuple(_points(found)),
        marks=tuple(fouling_marks(found)),
        stops=tuple(_stops(found)),
        open_ends=tuple(_open_ends(found)),
        decks=tuple(_decks(found)),
        signs=tuple(_signs(found)),
        boards=tuple(_boards(found)),
        joints=tuple(_joints(found)),
        obstacles=tuple(_obstacles(found)),
        gaps=tuple(_gaps(found)),
        wrong=tuple(_wrong(found)),
        unplaced=tuple(map(why_unplaced, found.placed.unplaced)),
    )


def track_of_pieces(
    found: Survey, courses: Sequence[Course]
) -> tuple[tuple[Bend, ...], ...]:
    """Return the track of all pieces that some courses run over, where it lies."""
    pieces = {found.network.piece(course) for course in courses}
    strands = [
        tuple(bends_of(found, number))
        for number, piece in enumerate(found.network.piece_of)
        if piece in pieces
    ]
    return tuple(strand for strand in strands if strand)


def faulty_pieces(found: Survey, fault: Fault) -> list[str]:
    """Return the pieces that a fault is about, by their names in the whole."""
    plain = (fault.pointer or "").replace("~0", "~")
    _, *parts = plain.split("/")
    if parts[:1] != ["modules"]:
        return _named(parts, found.plan.joins)
    inner = dict(inner_plans(found.plan)).get(parts[1])
    if inner is None:
        return []
    named = _named(parts[3:], inner.joins)
    return [f"{parts[1]}/{piece}" for piece in named]


def _named(parts: Sequence[str], joins: Sequence[Join]) -> list[str]:
    """Return the pieces that a pointer's parts within a plan lead to."""
    field, entry, *_ = (*parts, "", "")
    if field == "pieces":
        return [entry]
    is_join = field == "joins" and entry.isdecimal()
    if is_join and int(entry) < len(joins):
        return [end_of(end)[0] for end in joins[int(entry)]]
    return []


def drawn_roads(found: Survey) -> Iterator[DrawnRoad]:
    """Yield the roads by number, as their places are called."""
    called = called_roads(found)
    for number, usable in enumerate(found.usable, 1):
        name = usable.road.name
        yield DrawnRoad(
            number=number,
            name=called.get(name, name),
            usable=tuple(usable_lines(found, usable)),
            middle=_middle(road_lying(found, usable.road.courses)),
            usable_mm=usable.usable_length_mm,
            too_close=usable.is_too_close,
        )


def called_roads(found: Survey) -> Mapping[str, str]:
    """Return what the builder calls roads to which alone a place is pinned."""
    called: dict[str, str] = {}
    for place in found.places:
        if len(place.roads) == 1:
            called.setdefault(place.roads[0], place.place.name)
    return called


def usable_lines(found: Survey, usable: Usable) -> Iterator[Line]:
    """Yield the lines along which trains may stand on a road, parted at its gaps."""
    places = road_lying(found, usable.road.courses)
    left_mm = usable.usable_length_mm
    if not places or not left_mm:
        return
    from_mm = 0.0
    if usable.limits:
        from_mm = usable.limits[0].from_blades_mm or 0.0
    kept = between(places, from_mm, from_mm + left_mm)
    here: list[complex] = [kept[0].spot.point]
    for one, two in pairwise(kept):
        point = two.spot.point
        apart_mm = abs(point - one.spot.point)
        if apart_mm > two.along_mm - one.along_mm + _GAP_MM:
            yield tuple(here)
            here = []
        here.append(point)
    yield tuple(here)


def _points(found: Survey) -> Iterator[Named]:
    """Yield points by name at their blades, crossings at their middle."""
    for piece, shape in found.network.shapes.items():
        if not shape.pairs:
            continue
        places = lying(found, 2 * found.network.first_of[piece])
        if places:
            from_knot = is_knot(shape.strands[0].start)
            knot = places[0] if from_knot else places[-1]
            yield Named(name=piece, place=knot.spot.point)


def fouling_marks(found: Survey) -> Iterator[Line]:
    """Yield the marks to paint: each joins the fouling points of two legs.

    Where these lie far from each other, or one of them beyond the track's end, the
    other has a mark of its own across its track.
    """
    half_mm = 0.8 * (found.plan.laid_gauge_mm or USUAL_GAUGE_MM)
    for point in found.points:
        spots = [_leg_spot(found, leg) for leg in point.legs[:2]]
        known = [spot for spot in spots if spot is not None]
        joined = tuple(spot.point for spot in known)
        spacing_mm = point.spacing_mm or _USUAL_SPACING_MM
        is_both = len(joined) == 2  # noqa: PLR2004 - two legs that part
        if is_both and abs(joined[0] - joined[1]) <= _MOST_SPACINGS * spacing_mm:
            yield joined
        else:
            yield from (_across(spot, half_mm) for spot in known)


def _leg_spot(found: Survey, leg: LegFouling) -> Spot | None:
    """Return where a leg's fouling point lies, along the way on that sets it.

    None where nobody knows, and where it lies beyond the end of the track.
    """
    reach = leg.farthest
    if reach.along_mm is None or reach.along_mm == inf:
        return None
    left_mm = reach.along_mm
    for course in reach.courses:
        length_mm = found.network.strand(course).length_mm or 0.0
        if left_mm <= length_mm:
            return spot_at(found, course, left_mm)
        left_mm -= length_mm
    return None


def spot_at(found: Survey, course: Course, along_mm: float) -> Spot | None:
    """Return a place so far along a course; None where that has no place.

    Before its start and past its end the course runs on as it does there.
    """
    bends = bends_of(found, course >> 1)
    if not bends:
        return None
    left_mm = along_mm
    if course & 1:
        left_mm = sum(bend.length_mm for bend in bends) - along_mm
    spot = _along(bends, left_mm)
    return spot.turned_about if course & 1 else spot


def _along(bends: Sequence[Bend], left_mm: float) -> Spot:
    *before, last = bends
    for bend in before:
        if left_mm <= bend.length_mm:
            return along_arc(bend.start, left_mm, bend.curvature)
        left_mm -= bend.length_mm
    return along_arc(last.start, left_mm, last.curvature)


def _stops(found: Survey) -> Iterator[Line]:
    gauge_mm = found.plan.laid_gauge_mm or USUAL_GAUGE_MM
    for number, strand in enumerate(found.network.strands):
        if strand.limit != "buffer_stop":
            continue
        places = lying(found, 2 * number)
        if places:
            yield _across(places[-1].spot, gauge_mm * _HALF_A_STOP)


def _across(spot: Spot, half_mm: float) -> Line:
    aside = 1j * spot.direction * half_mm
    return (spot.point + aside, spot.point - aside)


def _open_ends(found: Survey) -> Iterator[Spot]:
    joint = found.placed.flat.joint
    for piece, shape in found.placed.shapes.items():
        if shape.edge is not None:
            continue
        for end in shape.ends:
            spot = found.placed.spot((piece, end))
            if spot is not None and (piece, end) not in joint:
                yield spot


def _decks(found: Survey) -> Iterator[Deck]:
    for name, shape in found.placed.shapes.items():
        frame = found.placed.frames.get(name)
        if shape.edge != "deck_edge" or frame is None:
            continue
        spots = [found.placed.spot((name, end)) for end in shape.ends]
        ends = tuple(spot.point for spot in spots if spot is not None)
        radius_mm = None
        middle = sum(ends, 0j) / max(1, len(ends))
        piece = found.placed.flat.pieces[name]
        if isinstance(piece, Turntable):
            radius_mm = piece.deck_mm / 2
            middle = within(frame, ORIGIN).point
        yield Deck(name=name, middle=middle, ends=ends, radius_mm=radius_mm)


def _signs(found: Survey) -> Iterator[Sign]:
    for fitting in found.plan.fittings:
        spot = _fitting_spot(found, fitting)
        if spot is not None:
            rails = fitting.rails or "both"
            yield Sign(kind=fitting.kind, spot=spot, rails=rails)


def _fitting_spot(found: Survey, fitting: Fitting) -> Spot | None:
    if fitting.piece not in found.network.shapes:
        return None
    spotted = resolved(found.network, fitting)
    if spotted is None:
        return None
    spot = spot_at(found, spotted.course, spotted.along_mm)
    if spot is None:
        return None
    is_back = found.network.strand(spotted.course).rising == bool(spotted.course & 1)
    return spot.turned_about if is_back else spot


def _boards(found: Survey) -> Iterator[Shown]:
    if found.plan.board is not None:
        outline = _outline(found.plan.board.outline, ORIGIN)
        yield Shown(name="", outline=outline)
    for name, inner in inner_plans(found.plan):
        body = found.placed.bodies.get(name)
        if body is not None and inner.board is not None:
            yield Shown(name=name, outline=_outline(inner.board.outline, body))


def _outline(corners: Outline, frame: Spot) -> Line:
    spots = [Spot(complex(x_mm, y_mm), 1 + 0j) for x_mm, y_mm in corners]
    return tuple(within(frame, spot).point for spot in spots)


def _joints(found: Survey) -> Iterator[Shown]:
    """Yield the joints of modules as lines across the tracks that meet there."""
    for mating in found.placed.flat.matings:
        spots = [found.placed.spot(join[0]) for join in mating.joins]
        known = [spot for spot in spots if spot is not None]
        if known:
            one, other = (end[0] for end in mating.ends)
            outwards = 1j * known[0].direction * _HALF_A_JOINT_MM
            first, last = _outermost(known)
            ends = (first + outwards, last - outwards)
            yield Shown(name=f"{one} | {other}", outline=ends)


def _outermost(spots: Sequence[Spot]) -> tuple[complex, complex]:
    """Return the leftmost and the rightmost track as one looks along the first."""
    ahead = spots[0].direction.conjugate()
    by_left = sorted(spots, key=lambda spot: (spot.point * ahead).imag)
    return by_left[-1].point, by_left[0].point


def _obstacles(found: Survey) -> Iterator[Shown]:
    for own in found.plan.obstacles:
        name = own.kind.replace("_", " ")
        yield Shown(name=name, outline=_outline(own.outline, ORIGIN))
    for module, inner in inner_plans(found.plan):
        body = found.placed.bodies.get(module)
        if body is None:
            continue
        for own in inner.obstacles:
            name = own.kind.replace("_", " ")
            yield Shown(name=name, outline=_outline(own.outline, body))


def _gaps(found: Survey) -> Iterator[Named]:
    for circuit in found.closed.circuits:
        if circuit.gap.is_open(found.plan):
            yield from _gap(found, circuit.closing_join[0], circuit.gap.mm)
    for mated in found.closed.unmated:
        if mated.gap.is_open(found.plan):
            yield from _gap(found, mated.join[0], mated.gap.mm)


def _gap(found: Survey, end: End, gap_mm: float) -> Iterator[Named]:
    spot = found.placed.spot(end)
    if spot is not None:
        yield Named(name=f"gap {millimetres(gap_mm)}", place=spot.point)


def _wrong(found: Survey) -> Iterator[Wrong]:
    middle_of = partial(_middle_of, found)
    for fault in found.faults:
        places = map(middle_of, faulty_pieces(found, fault))
        known = (place for place in places if place is not None)
        place = next(islice(known, 1), None)
        yield Wrong(message=fault.message, place=place)


def _middle_of(found: Survey, piece: str) -> complex | None:
    first = found.network.first_of.get(piece)
    if first is None or first >= len(found.network.piece_of):
        return None
    return _middle(lying(found, 2 * first))


def _middle(places: Sequence[Lying]) -> complex | None:
    if not places:
        return None
    half_mm = places[-1].along_mm / 2
    return at(places, half_mm).spot.point


def why_unplaced(one: Unplaced) -> str:
    """Return in words why a piece has no place.

    >>> why_unplaced(Unplaced(piece="T1", because="no_shape"))
    'T1: its shape is not known'
    """
    if one.because == "no_shape":
        return f"{one.piece}: its shape is not known"
    if one.because == "beyond_no_shape":
        return f"{one.piece}: lies beyond {one.over}, which has no shape"
    return f"{one.piece}: joined to nothing that has a place"
