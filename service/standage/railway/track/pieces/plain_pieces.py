"""Plain track: straights, curves, transitions, flexible track, and lengths by tape."""

from collections.abc import Iterable, Sequence
from math import inf, radians
from typing import Annotated

from msgspec import Meta

from standage.railway.terms.figures import says
from standage.railway.terms.scales import Practice
from standage.railway.track.paths.runs import (
    MOST_TURN,
    Hand,
    Run,
    arc,
    straight,
    transition,
)
from standage.railway.track.paths.spots import ORIGIN, arcs_of, length_of, through
from standage.railway.track.pieces.pieces import (
    CurveAngle,
    CurveRadius,
    Piece,
    TrackLength,
    beside_each_other,
    kept,
)
from standage.railway.track.pieces.shapes import START, Shape, Strand
from standage.shapes.faults import Fault, moved

MOST_SEGMENTS = 200


class Straight(Piece, frozen=True, kw_only=True, cache_hash=True, tag="straight"):
    """Straight track."""

    length_mm: Annotated[TrackLength, says("Its length, in mm; 0 changes nothing.")]

    def runs(self) -> tuple[Run, ...] | None:
        """Return its track going from a to b."""
        return kept(straight(self.length_mm))

    def shape(self, practice: Practice) -> Shape:  # noqa: ARG002 - nothing by practice
        """Return its shape."""
        return plain_shape(self.runs())


class Curve(Piece, frozen=True, kw_only=True, cache_hash=True, tag="curve"):
    """Track of one radius, by its angle or by its length."""

    radius_mm: Annotated[CurveRadius, says("To its centre line, in mm.")]
    hand: Annotated[Hand, says("Which way it bends going from a to b.")]
    angle_deg: Annotated[CurveAngle | None, says("How far it turns.")] = None
    length_mm: Annotated[TrackLength | None, says("Along its middle, in mm.")] = None

    def runs(self) -> tuple[Run, ...] | None:
        """Return its track going from a to b; None where a figure is missing or
        absurd."""
        length_mm = self.length_mm
        if self.angle_deg is not None:
            length_mm = self.radius_mm * radians(self.angle_deg)
        if length_mm is None or length_mm > MOST_TURN * self.radius_mm:
            return None
        return kept(
            arc(
                length_mm,
                radius_mm=self.radius_mm,
                hand=self.hand,
            )
        )

    def shape(self, practice: Practice) -> Shape:  # noqa: ARG002 - nothing by practice
        """Return its shape."""
        return plain_shape(self.runs())

    def amiss(self) -> Iterable[Fault]:
        """Yield what is wrong with its figures."""
        if self.angle_deg is None and self.length_mm is None:
            message = "give angle_deg or length_mm: how much of a curve it is"
            yield Fault(
                code="missing",
                message=message,
                pointer="/angle_deg",
            )
        yield from beside_each_other(self, "angle_deg", "length_mm")
        length_mm = self.length_mm or 0.0
        if length_mm > MOST_TURN * self.radius_mm:
            yield _goes_round_and_round()


class Transition(Piece, frozen=True, kw_only=True, cache_hash=True, tag="transition"):
    """Track whose curvature runs evenly from one radius to another, of one hand."""

    length_mm: Annotated[TrackLength, says("Along its middle, in mm.")]
    radius_from_mm: Annotated[
        CurveRadius | None, says("At end a, in mm; null where it is straight there.")
    ] = None
    radius_to_mm: Annotated[
        CurveRadius | None, says("At end b, in mm; null where it is straight there.")
    ] = None
    hand: Annotated[Hand, says("Which way it bends going from a to b.")]

    def runs(self) -> tuple[Run, ...] | None:
        """Return its track going from a to b; None where its figures are absurd."""
        if self._turns_too_often:
            return None
        run = transition(
            self.length_mm,
            radius_from_mm=self.radius_from_mm,
            radius_to_mm=self.radius_to_mm,
            hand=self.hand,
        )
        return kept(run)

    @property
    def _turns_too_often(self) -> bool:
        radii_mm = [self.radius_from_mm or inf, self.radius_to_mm or inf]
        return self.length_mm > MOST_TURN * min(radii_mm)

    def shape(self, practice: Practice) -> Shape:  # noqa: ARG002 - nothing by practice
        """Return its shape."""
        return plain_shape(self.runs())

    def amiss(self) -> Iterable[Fault]:
        """Yield what is wrong with its figures."""
        if self._turns_too_often:
            yield _goes_round_and_round()


Part = Straight | Curve | Transition


class Flexible(Piece, frozen=True, kw_only=True, cache_hash=True, tag="flexible"):
    """Flexible track: as its parts are laid, or fitted between what it is joined to."""

    segments: Annotated[
        Annotated[tuple[Part, ...], Meta(max_length=MOST_SEGMENTS)],
        says("Its parts from a to b."),
    ] = ()
    fitted: Annotated[
        bool, says("Whether it is laid between its two joined ends, wherever they lie.")
    ] = False

    def shape(self, practice: Practice) -> Shape:  # noqa: ARG002 - nothing by practice
        """Return its shape; a fitted one has none before its ends have a place."""
        if self.fitted:
            return unshaped(length_mm=None)
        laid: list[Run] = []
        for part in self.segments:
            runs = part.runs()
            if runs is None:
                return unshaped(length_mm=None)
            laid += runs
        return plain_shape(laid)

    def amiss(self) -> Iterable[Fault]:
        """Yield what is wrong with its figures, those of its parts included."""
        if not self.fitted and not self.segments:
            message = "give its segments, or say fitted: true"
            yield Fault(
                code="missing",
                message=message,
                pointer="/segments",
            )
        if self.fitted and self.segments:
            message = "segments are for track that is not fitted: give one of the two"
            yield Fault(
                code="one_or_the_other",
                message=message,
                pointer="/segments",
            )
        for position, part in enumerate(self.segments):
            for fault in part.amiss():
                yield moved(fault, f"/segments/{position}")


class Track(Piece, frozen=True, kw_only=True, cache_hash=True, tag="track"):
    """Track of which only the length is known."""

    length_mm: Annotated[TrackLength, says("Along its middle, in mm.")]
    minimum_radius_mm: Annotated[
        CurveRadius | None, says("The least radius on it, where known, in mm.")
    ] = None

    def shape(self, practice: Practice) -> Shape:  # noqa: ARG002 - nothing by practice
        """Return its length alone, since its shape is not known."""
        return unshaped(self.length_mm, minimum_radius_mm=self.minimum_radius_mm)

    @property
    def without_shape(self) -> bool:
        """Whether its figures are meant to be lengths alone."""
        return True


def plain_shape(runs: Sequence[Run] | None) -> Shape:
    """Return the shape of track from a to b; without its runs nothing is known of
    it.

    **Source** derived.
    """
    if runs is None:
        return unshaped(length_mm=None)
    strand = Strand(
        start="a",
        finish="b",
        length_mm=length_of(runs),
        runs=tuple(runs),
        spot=ORIGIN,
    )
    far = through(ORIGIN, runs)
    return Shape(
        ends={"a": START, "b": far},
        strands=(strand,),
        is_plain=True,
    )


def reckoned_parts(piece: object) -> int:
    """Return in how many parts the transitions of a piece are reckoned; 0 for others'.

    The longer and the sharper one is, the more. **Source** derived.
    """
    if isinstance(piece, Flexible):
        return sum(reckoned_parts(part) for part in piece.segments)
    if not isinstance(piece, Transition):
        return 0
    runs = piece.runs() or ()
    return sum(run.cells + arcs_of(run) for run in runs if not run.is_even)


def unshaped(
    length_mm: float | None, *, minimum_radius_mm: float | None = None
) -> Shape:
    """Return what is known of track from a to b that has no shape, or none as yet.

    **Source** derived.
    """
    strand = Strand(
        start="a",
        finish="b",
        length_mm=length_mm,
        minimum_radius_mm=minimum_radius_mm,
    )
    return Shape(
        ends={"a": None, "b": None},
        strands=(strand,),
        is_plain=True,
    )


def _goes_round_and_round() -> Fault:
    message = "so much of so sharp a curve goes round more than 150 times"
    return Fault(
        code="too_long",
        message=message,
        pointer="/length_mm",
    )
