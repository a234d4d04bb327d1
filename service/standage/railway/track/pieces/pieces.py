"""What all kinds of piece have in common, and the figures they are given in."""

from collections.abc import Iterable
from typing import Annotated, ClassVar, Literal

from msgspec import Meta

from standage.railway.terms.figures import LONGEST_MM, says
from standage.railway.terms.scales import Practice
from standage.railway.track.paths.runs import Run
from standage.railway.track.pieces.shapes import Shape
from standage.shapes.faults import Fault, Ruled

State = Literal["laid", "planned", "fixed"]
Live = Literal["live", "dead"]
NumberIs = Literal["tangent", "centre_line"]

TrackLength = Annotated[
    float, Meta(ge=0, le=LONGEST_MM, description="A length of track, in mm.")
]
CurveRadius = Annotated[
    float,
    Meta(ge=1, le=LONGEST_MM, description="A radius to the centre line, in mm."),
]
CurveAngle = Annotated[
    float, Meta(gt=0, le=36_000, description="How far it turns, in degrees.")
]
CrossingAngle = Annotated[  # 0.1° is a crossing of 1:573: nobody lays a flatter one
    float, Meta(ge=0.1, le=179.9, description="An angle in degrees.")
]
CrossingNumber = Annotated[
    float, Meta(ge=1, le=100, description="Of a crossing: 6 of a No. 6, 9 of a 1:9.")
]
Bearing = Annotated[
    float, Meta(ge=-360, le=360, description="In degrees, anticlockwise from r1's.")
]
DeckLength = Annotated[
    float, Meta(gt=0, le=LONGEST_MM, description="The length of a deck, in mm.")
]


class Piece(
    Ruled, frozen=True, kw_only=True, tag_field="kind", cache_hash=True, gc=False
):
    """A piece of track: its ends, and what it says of itself."""

    end_names: ClassVar[tuple[str, ...]] = ("a", "b")

    state: Annotated[
        State | None,
        says("Whether it is laid, planned or fixed for good; planned if not said."),
    ] = None

    @property
    def ends(self) -> tuple[str, ...]:
        """The names of its ends, in order."""
        return self.end_names

    def shape(self, practice: Practice) -> Shape:  # noqa: ARG002 - for those with a number
        """Return its shape, as far as its figures tell; by ``practice`` what is not
        said."""
        return Shape(ends=dict.fromkeys(self.ends))

    def amiss(self) -> Iterable[Fault]:
        """Yield what is wrong with its figures; pointers are relative to it."""
        return ()

    @property
    def without_shape(self) -> bool:
        """Whether its figures are meant to be lengths alone."""
        return False


def missing(piece: Piece, *fields: str) -> Iterable[Fault]:
    """Yield a fault for each of ``fields`` that the piece lacks.

    **Source** the plan's document.
    """
    for field in fields:
        if getattr(piece, field) is None:
            yield Fault(
                code="missing", message=f"{field} is missing", pointer=f"/{field}"
            )


def beside_each_other(piece: Piece, one: str, other: str) -> Iterable[Fault]:
    """Yield a fault where two fields are given that say the same.

    **Source** the plan's document.
    """
    if getattr(piece, one) is None or getattr(piece, other) is None:
        return
    message = f"{other} says the same as {one}: give one of them"
    yield Fault(
        code="one_or_the_other",
        message=message,
        pointer=f"/{other}",
    )


def not_alike(piece: Piece, sort: str, *fields: str) -> Iterable[Fault]:
    """Yield a fault for each of ``fields`` that is given, though it is for others.

    **Source** the plan's document.
    """
    for field in fields:
        if getattr(piece, field) is not None:
            message = f"{field} is for {sort}: leave it out here"
            yield Fault(
                code="one_or_the_other",
                message=message,
                pointer=f"/{field}",
            )


def kept(*runs: Run) -> tuple[Run, ...]:
    """Return the runs that have a length. **Source** derived."""
    return tuple(segment for segment in runs if segment.length_mm > 0)
