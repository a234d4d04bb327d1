"""What is drawn of a plan, found on its survey: everything in mm of the plan, y up."""

from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from itertools import islice

import msgspec

from standage.drawings.plans.beside_track import Shown, boards, joints, obstacles
from standage.drawings.plans.lettering import kept_apart
from standage.drawings.plans.spots_on_track import (
    USUAL_GAUGE_MM,
    Line,
    across,
    fouling_marks,
    spot_at,
    usable_lines,
)
from standage.drawings.plans.ways import Bend, bends_of
from standage.railway.terms.figures import millimetres
from standage.railway.track.network.network import Course
from standage.railway.track.network.positions import resolved
from standage.railway.track.paths.spots import ORIGIN, Spot
from standage.railway.track.pieces.end_pieces import Turntable
from standage.railway.track.pieces.shapes import is_knot
from standage.railway.track.placing.placing import Unplaced, within
from standage.railway.track.plans.flat import End, end_of, inner_plans
from standage.railway.track.plans.plan import Fitting, FittingKind, Join
from standage.railway.track.survey.lying import Lying, at, lying, road_lying
from standage.railway.track.survey.survey import NOT_LISTED, Survey
from standage.shapes.faults import Fault

_HALF_A_STOP = 0.8
"""Of the gauge: a stop's face stands out beyond the rails."""


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
    def said(self) -> str:
        """Its name as it stands among other words."""
        return kept_apart(self.name)

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


class Deck(msgspec.Struct, frozen=True, kw_only=True):
    """A deck that carries stock away; ``radius_mm`` where it turns about its middle."""

    name: str
    middle: complex
    ends: Line
    radius_mm: float | None


class Wrong(msgspec.Struct, frozen=True, kw_only=True):
    """A fault in words; ``place`` is where its piece lies, None for one without.

    Not ``is_one`` is what stands for all that are not listed.
    """

    message: str
    place: complex | None
    is_one: bool = True


class Content(msgspec.Struct, frozen=True, kw_only=True):
    """All that is drawn of a plan; ``doubtful`` is track of pieces with faults.

    ``pieces`` are those that sound track is of, then those of doubtful track.
    """

    sound: tuple[tuple[Bend, ...], ...]
    doubtful: tuple[tuple[Bend, ...], ...]
    pieces: tuple[str, ...]
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
    of_sound: list[str] = []
    of_doubtful: list[str] = []
    for number, piece in enumerate(found.network.piece_of):
        bends = tuple(bends_of(found, number))
        if bends and piece in faulty:
            doubtful.append(bends)
            of_doubtful.append(piece)
        elif bends:
            sound.append(bends)
            of_sound.append(piece)
    return Content(
        sound=tuple(sound),
        doubtful=tuple(doubtful),
        pieces=(*of_sound, *of_doubtful),
        gauge_mm=found.plan.laid_gauge_mm or USUAL_GAUGE_MM,
        roads=tuple(drawn_roads(found)),
        points=tuple(_points(found)),
        marks=tuple(fouling_marks(found)),
        stops=tuple(_stops(found)),
        open_ends=tuple(_open_ends(found)),
        decks=tuple(_decks(found)),
        signs=tuple(_signs(found)),
        boards=tuple(boards(found)),
        joints=tuple(joints(found)),
        obstacles=tuple(obstacles(found)),
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
    plain = (fault.pointer or "").replace(
        "~0",
        "~",
    )
    _, *parts = plain.split("/")
    if parts[:1] != ["modules"]:
        return _named(parts, found.plan.joins)
    inner = dict(inner_plans(found.plan)).get(parts[1])
    if inner is None:
        return []
    named = _named(
        parts[3:],
        inner.joins,
    )
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
        places = road_lying(found, usable.road.courses)
        yield DrawnRoad(
            number=number,
            name=called.get(name, name),
            usable=tuple(usable_lines(usable, places)),
            middle=_middle(places),
            usable_mm=usable.usable_length_mm,
            too_close=usable.is_too_close,
        )


def called_roads(found: Survey) -> Mapping[str, str]:
    """Return what the builder calls roads to which alone a place is pinned."""
    called: dict[str, str] = {}
    for place in found.places:
        if len(place.roads) == 1:
            called.setdefault(
                place.roads[0],
                place.place.name,
            )
    return called


def _points(found: Survey) -> Iterator[Named]:
    """Yield points by name at their blades, crossings at their middle."""
    for piece, shape in found.network.shapes.items():
        if not shape.pairs:
            continue
        places = lying(
            found,
            2 * found.network.first_of[piece],
        )
        if places:
            from_knot = is_knot(shape.strands[0].start)
            knot = places[0] if from_knot else places[-1]
            yield Named(
                name=piece,
                place=knot.spot.point,
            )


def _stops(found: Survey) -> Iterator[Line]:
    gauge_mm = found.plan.laid_gauge_mm or USUAL_GAUGE_MM
    for number, strand in enumerate(found.network.strands):
        if strand.limit != "buffer_stop":
            continue
        places = lying(found, 2 * number)
        if places:
            yield across(
                places[-1].spot,
                gauge_mm * _HALF_A_STOP,
            )


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
        yield Deck(
            name=name,
            middle=middle,
            ends=ends,
            radius_mm=radius_mm,
        )


def _signs(found: Survey) -> Iterator[Sign]:
    for fitting in found.plan.fittings:
        spot = _fitting_spot(found, fitting)
        if spot is not None:
            rails = fitting.rails or "both"
            yield Sign(
                kind=fitting.kind,
                spot=spot,
                rails=rails,
            )


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
    if is_back:
        return spot.turned_about
    return spot


def _gaps(found: Survey) -> Iterator[Named]:
    for circuit in found.closed.circuits:
        if circuit.gap.is_open(found.plan):
            yield from _gap(
                found,
                circuit.closing_join[0],
                circuit.gap.mm,
            )
    for mated in found.closed.unmated:
        if mated.gap.is_open(found.plan):
            yield from _gap(
                found,
                mated.join[0],
                mated.gap.mm,
            )


def _gap(found: Survey, end: End, gap_mm: float) -> Iterator[Named]:
    spot = found.placed.spot(end)
    if spot is not None:
        yield Named(
            name=f"gap {millimetres(gap_mm)}",
            place=spot.point,
        )


def _wrong(found: Survey) -> Iterator[Wrong]:
    middle_of = partial(_middle_of, found)
    for fault in found.faults:
        places = map(middle_of, faulty_pieces(found, fault))
        known = (place for place in places if place is not None)
        place = next(islice(known, 1), None)
        is_one = fault.code != NOT_LISTED
        yield Wrong(
            message=fault.message,
            place=place,
            is_one=is_one,
        )


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
