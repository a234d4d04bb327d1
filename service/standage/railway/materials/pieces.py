"""What each piece of a plan takes: itself, its wires, its motors and what lies under
it.
"""

from collections.abc import Iterator, Sequence

import msgspec

from standage.railway.materials.cutting import in_lengths
from standage.railway.materials.goods import (
    NO_GEOMETRY,
    Geometry,
    Good,
    What,
    module_of,
)
from standage.railway.materials.rules import Rules
from standage.railway.terms.figures import exceeds, tidy, tidy_if_known
from standage.railway.terms.scales import Practice
from standage.railway.track.pieces.crossing_pieces import DoubleSlip, SingleSlip
from standage.railway.track.pieces.end_pieces import (
    BufferStop,
    Cassette,
    OpenEnd,
    SectorPlate,
    Trap,
    Traverser,
    Turntable,
)
from standage.railway.track.pieces.piece_kinds import AnyPiece
from standage.railway.track.pieces.plain_pieces import (
    Curve,
    Flexible,
    Part,
    Straight,
    Track,
    Transition,
)
from standage.railway.track.pieces.points_pieces import Blades, Points, number_by
from standage.railway.track.pieces.shapes import Shape
from standage.railway.track.pieces.three_way_points import ThreeWay
from standage.railway.track.placing.fitting import Fit
from standage.railway.track.survey.survey import Survey

_OF_POINTWORK = (
    "hand",
    "first_hand",
    "radius_mm",
    "outer_radius_mm",
    "inner_radius_mm",
    "first_radius_mm",
    "second_radius_mm",
    "slip_radius_mm",
    "angle_deg",
    "outer_angle_deg",
    "inner_angle_deg",
    "first_angle_deg",
    "second_angle_deg",
    "number",
    "number_is",
    "crossing",
    "deck_mm",
)
_PLAIN_PIECES = (Straight, Curve, Transition, Flexible, Track)
ENDS_OF_SLIPS = 2
"""A slip has blades at both ends; those of one end are thrown together."""


def is_nothing(shape: Shape) -> bool:
    """Tell whether a piece is plain track of no length, which is not laid. **Source**
    the plan's document.
    """
    lengths_mm = [tidy_if_known(strand.length_mm) for strand in shape.strands]
    return shape.is_plain and lengths_mm == [0.0]


def goods_of_pieces(found: Survey, rules: Rules) -> Iterator[Good]:
    """Yield what the pieces of a plan take, joints apart. In mm. **Source** derived."""
    practices = _practices(found)
    flat = found.placed.flat
    for name, piece in flat.pieces.items():
        shape = found.placed.shapes[name]
        if isinstance(piece, OpenEnd | Trap) or is_nothing(shape):
            continue
        own = _Own(name, piece, shape, found.placed.fits.get(name))
        yield from own.goods(practices[module_of(name)], rules)


def _practices(found: Survey) -> dict[str, Practice]:
    practices: dict[str, Practice] = {"": found.plan.practice}
    for name, module in found.plan.modules.items():
        if module.plan is not None:
            practices[name] = module.plan.practice
    return practices


class _Own:
    """One piece, and all that it takes."""

    def __init__(
        self, name: str, piece: AnyPiece, shape: Shape, fitted: Fit | None
    ) -> None:
        self._name = name
        self._piece = piece
        self._fitted = fitted
        self._length_mm = _length_of(shape)
        self._figures = msgspec.structs.replace(piece, state=None)

    def goods(self, practice: Practice, rules: Rules) -> Iterator[Good]:
        """Yield the piece itself, then what goes with it."""
        what: What = self._piece.__struct_config__.tag  # type: ignore[assignment] # its kind
        if isinstance(self._piece, _PLAIN_PIECES):
            geometry = _plain_geometry(self._piece, self._fitted)
            yield self._good(what, geometry, length_mm=self._length_mm)
            yield from self._within(rules)
        else:
            yield self._good(what, _geometry(self._piece, practice))
        motors = _motors(self._piece)
        if motors:
            yield self._good("point_motors", count=motors)
        # a deck, and a stop without track of its own, have 0 mm of it
        if self._length_mm != 0:
            yield self._good("underlay", length_mm=self._length_mm)

    def _within(self, rules: Rules) -> Iterator[Good]:
        """Yield the joints within long track, and its wires."""
        if self._length_mm is None:
            return
        stock_mm = rules.stock_length_mm
        whole, rest_mm = in_lengths(self._length_mm, stock_length_mm=stock_mm)
        parts = whole + (rest_mm > 0)
        if parts > 1:
            yield self._good("joiners_within", count=2 * (parts - 1))
        droppers = whole * exceeds(stock_mm, limit=rules.dropper_over_mm)
        droppers += exceeds(rest_mm, limit=rules.dropper_over_mm)
        if droppers:
            yield self._good("droppers", count=droppers)

    def _good(
        self,
        what: What,
        geometry: Geometry = NO_GEOMETRY,
        *,
        count: int = 1,
        length_mm: float | None = None,
    ) -> Good:
        return Good(
            what=what,
            pieces=(self._name,),
            module=module_of(self._name),
            state=self._piece.state or "planned",
            count=count,
            length_mm=length_mm,
            geometry=geometry,
            made_of=(self._figures, self._length_mm),
        )


def _length_of(shape: Shape) -> float | None:
    """Return how much track a piece has, along each of its roads; None where nobody
    knows.
    """
    lengths_mm = [strand.length_mm for strand in shape.strands]
    known_mm = [length_mm for length_mm in lengths_mm if length_mm is not None]
    if len(known_mm) < len(lengths_mm):
        return None
    return tidy(sum(known_mm))


def _plain_geometry(piece: AnyPiece, fitted: Fit | None) -> Geometry:
    """Return the least radius of plain track; nothing of straight track, and where
    nobody knows.
    """
    radii_mm: Sequence[float | None] = ()
    if isinstance(piece, Flexible):
        radii_mm = [radius for part in piece.segments for radius in _radii(part)]
    elif isinstance(piece, Track):
        radii_mm = [piece.minimum_radius_mm]
    elif isinstance(piece, Straight | Curve | Transition):
        radii_mm = _radii(piece)
    if fitted is not None:
        radii_mm = [fitted.least_radius_mm]
    known_mm = [radius_mm for radius_mm in radii_mm if radius_mm is not None]
    if not known_mm:
        return NO_GEOMETRY
    return (("radius_mm", tidy(min(known_mm))),)


def _radii(part: Part) -> list[float | None]:
    if isinstance(part, Curve):
        return [part.radius_mm]
    if isinstance(part, Transition):
        return [part.radius_from_mm, part.radius_to_mm]
    return []


def _geometry(piece: AnyPiece, practice: Practice) -> Geometry:
    """Return the figures by which points, crossings, stops and decks are alike."""
    if isinstance(piece, BufferStop | Cassette):
        if piece.length_mm == 0:
            return NO_GEOMETRY
        return (("length_mm", tidy(piece.length_mm)),)
    figures: list[tuple[str, str | float]] = []
    for field in _OF_POINTWORK:
        value = getattr(piece, field, None)
        if field == "number_is" and isinstance(piece, Points):
            value = _number_is(piece, practice)
        if isinstance(value, float):
            value = tidy(value)
        if value is not None:
            figures.append((field, value))
    if isinstance(piece, Turntable | Traverser | SectorPlate):
        roads = [end for end in piece.ends if end != "a"]
        figures.append(("roads", len(roads)))
    return tuple(figures)


def _number_is(piece: Points, practice: Practice) -> str | None:
    if piece.number is None:
        return None
    return piece.number_is or number_by(practice)


def _motors(piece: AnyPiece) -> int:
    if isinstance(piece, ThreeWay):
        return 2
    if isinstance(piece, SingleSlip | DoubleSlip):
        return ENDS_OF_SLIPS
    return 1 if isinstance(piece, Blades) else 0
