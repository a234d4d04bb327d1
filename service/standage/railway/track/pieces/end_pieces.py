"""Where track ends: stops, open ends, traps, and decks that carry stock away."""

from collections.abc import Iterable
from typing import Annotated, ClassVar

from msgspec import Meta

from standage.railway.terms.figures import LONGEST_MM, says
from standage.railway.terms.scales import Practice
from standage.railway.track.paths.runs import straight
from standage.railway.track.paths.spots import ORIGIN, Spot, towards
from standage.railway.track.pieces.pieces import (
    Bearing,
    DeckLength,
    Piece,
    TrackLength,
    kept,
)
from standage.railway.track.pieces.shapes import START, LimitKind, Shape, Strand
from standage.shapes.faults import Fault

MOST_ROADS = 100
Offset = Annotated[
    float,
    Meta(
        ge=-LONGEST_MM, le=LONGEST_MM, description="To the left of its middle, in mm."
    ),
]
Bearings = Annotated[tuple[Bearing, ...], Meta(min_length=1, max_length=MOST_ROADS)]
Offsets = Annotated[tuple[Offset, ...], Meta(max_length=MOST_ROADS)]


class BufferStop(Piece, frozen=True, kw_only=True, cache_hash=True, tag="buffer_stop"):
    """The end of a road that trains may stand against."""

    end_names: ClassVar[tuple[str, ...]] = ("a",)
    length_mm: Annotated[
        TrackLength, says("Track from its joint to its face, in mm; 0 if not said.")
    ] = 0.0

    def shape(self, practice: Practice) -> Shape:  # noqa: ARG002 - nothing by practice
        """Return its track up to its face."""
        return dead_end(self.length_mm, limit="buffer_stop")


class OpenEnd(Piece, frozen=True, kw_only=True, cache_hash=True, tag="open_end"):
    """Track that goes on beyond the plan."""

    end_names: ClassVar[tuple[str, ...]] = ("a",)
    beyond_mm: Annotated[
        TrackLength, says("How much track beyond may be used, in mm; 0 if not said.")
    ] = 0.0

    def shape(self, practice: Practice) -> Shape:  # noqa: ARG002 - nothing by practice
        """Return the track beyond that may be used, taken to be straight."""
        return dead_end(self.beyond_mm, limit="open_end")


class Trap(Piece, frozen=True, kw_only=True, cache_hash=True, tag="trap"):
    """What a trap leads to: a leg joined to it is never entered."""

    end_names: ClassVar[tuple[str, ...]] = ("a",)

    def shape(self, practice: Practice) -> Shape:  # noqa: ARG002 - nothing by practice
        """Return its end."""
        return Shape(
            ends={"a": START},
            edge="trap",
        )


class Turntable(Piece, frozen=True, kw_only=True, cache_hash=True, tag="turntable"):
    """A deck that turns about its middle."""

    deck_mm: Annotated[DeckLength, says("Its deck's length, in mm.")]
    roads: Annotated[
        Bearings, says("Bearings of its roads from r1's, r1's 0 included.")
    ]

    @property
    def ends(self) -> tuple[str, ...]:
        """The names of its ends, in order."""
        return numbered("r", len(self.roads))

    def shape(self, practice: Practice) -> Shape:  # noqa: ARG002 - nothing by practice
        """Return its ends, around its middle."""
        middle = {
            end: towards(bearing)
            for end, bearing in zip(self.ends, self.roads, strict=True)
        }
        half_mm = self.deck_mm / 2
        ends = {end: Spot(out * half_mm, out) for end, out in middle.items()}
        return Shape(
            ends=ends,
            edge="deck_edge",
        )

    def amiss(self) -> Iterable[Fault]:
        """Yield a fault where r1's bearing is not 0, or two roads lie in one place."""
        yield from _bearings_amiss(self.roads)


class Traverser(Piece, frozen=True, kw_only=True, cache_hash=True, tag="traverser"):
    """A deck that moves sideways, with roads to its left and right."""

    deck_mm: Annotated[DeckLength, says("Its deck's length, in mm.")]
    left: Annotated[Offsets, says("Where its roads l1, l2 and so on lie, in mm.")] = ()
    right: Annotated[Offsets, says("Where its roads r1, r2 and so on lie, in mm.")] = ()

    @property
    def ends(self) -> tuple[str, ...]:
        """The names of its ends, in order."""
        return numbered("l", len(self.left)) + numbered("r", len(self.right))

    def shape(self, practice: Practice) -> Shape:  # noqa: ARG002 - nothing by practice
        """Return its ends, the left ones at x 0."""
        near = [Spot(complex(0, offset), -1 + 0j) for offset in self.left]
        far = [Spot(complex(self.deck_mm, offset), 1 + 0j) for offset in self.right]
        ends = dict(zip(self.ends, near + far, strict=True))
        return Shape(
            ends=ends,
            edge="deck_edge",
        )

    def amiss(self) -> Iterable[Fault]:
        """Yield a fault where it has no road, or two of a side lie in one place."""
        if not self.left and not self.right:
            message = "give left or right: where its roads lie"
            yield Fault(
                code="missing",
                message=message,
                pointer="/left",
            )
        for side, offsets_mm in (("left", self.left), ("right", self.right)):
            for position, offset_mm in enumerate(offsets_mm):
                if offset_mm in offsets_mm[:position]:
                    message = f"there is a road at {offset_mm:g} mm already"
                    at = f"/{side}/{position}"
                    yield Fault(
                        code="repeated",
                        message=message,
                        pointer=at,
                    )


class SectorPlate(
    Piece, frozen=True, kw_only=True, cache_hash=True, tag="sector_plate"
):
    """A deck that swings about one end: one line to several roads."""

    deck_mm: Annotated[DeckLength, says("Its deck's length, in mm.")]
    roads: Annotated[
        Bearings, says("Bearings of its roads from r1's, r1's 0 included.")
    ]

    @property
    def ends(self) -> tuple[str, ...]:
        """The names of its ends, in order."""
        return ("a", *numbered("r", len(self.roads)))

    def shape(self, practice: Practice) -> Shape:  # noqa: ARG002 - nothing by practice
        """Return its ends, a at the pivot."""
        ends = {"a": START}
        for end, bearing in zip(self.ends[1:], self.roads, strict=True):
            out = towards(bearing)
            ends[end] = Spot(out * self.deck_mm, out)
        return Shape(
            ends=ends,
            edge="deck_edge",
        )

    def amiss(self) -> Iterable[Fault]:
        """Yield a fault where r1's bearing is not 0, or two roads lie in one place."""
        yield from _bearings_amiss(self.roads)


class Cassette(Piece, frozen=True, kw_only=True, cache_hash=True, tag="cassette"):
    """A length of track that is taken away with what stands on it."""

    length_mm: Annotated[DeckLength, says("Its length, in mm.")]

    def shape(self, practice: Practice) -> Shape:  # noqa: ARG002 - nothing by practice
        """Return its ends, in one line."""
        far = Spot(complex(self.length_mm), 1 + 0j)
        return Shape(
            ends={"a": START, "b": far},
            edge="deck_edge",
        )


def dead_end(length_mm: float, *, limit: LimitKind) -> Shape:
    """Return the shape of track from an end a that leads nowhere.

    **Source** derived.
    """
    strand = Strand(
        start="a",
        finish="@end",
        length_mm=length_mm,
        runs=kept(straight(length_mm)),
        spot=ORIGIN,
        limit=limit,
    )
    return Shape(
        ends={"a": START},
        strands=(strand,),
    )


def numbered(letter: str, count: int) -> tuple[str, ...]:
    """Return names such as r1, r2 and r3. **Source** derived."""
    return tuple(f"{letter}{number}" for number in range(1, count + 1))


def _bearings_amiss(roads: tuple[float, ...]) -> Iterable[Fault]:
    if roads[0] != 0:
        message = "bearings are from r1's, so that the first is 0"
        yield Fault(
            code="contradiction",
            message=message,
            pointer="/roads/0",
        )
    seen: set[float] = set()
    for position, bearing in enumerate(roads):
        if bearing % 360 in seen:
            message = f"there is a road at {bearing % 360:g} degrees already"
            yield Fault(
                code="repeated",
                message=message,
                pointer=f"/roads/{position}",
            )
        seen.add(bearing % 360)
