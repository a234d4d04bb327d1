"""Points whose legs both curve: away from each other, or the same way."""

from collections.abc import Iterable
from typing import Annotated, ClassVar

import msgspec

from standage.railway.terms.figures import says
from standage.railway.terms.scales import Practice
from standage.railway.track.paths.runs import Hand, straight
from standage.railway.track.pieces.forks import Leg, forked, laid, said, turning
from standage.railway.track.pieces.pieces import (
    CrossingAngle,
    CurveRadius,
    TrackLength,
    missing,
    not_alike,
)
from standage.railway.track.pieces.points_pieces import LAID_OUT, MEASURED, Blades
from standage.railway.track.pieces.shapes import Shape
from standage.shapes.faults import Fault


class YPoints(Blades, frozen=True, kw_only=True, cache_hash=True, tag="y_points"):
    """Points whose two legs curve away to either side."""

    end_names: ClassVar[tuple[str, ...]] = ("toe", "left", "right")

    radius_mm: Annotated[CurveRadius | None, says("Of either leg, in mm.")] = None
    angle_deg: Annotated[
        CrossingAngle | None, says("By how much each leg turns to its side.")
    ] = None
    left_straight_mm: Annotated[
        TrackLength | None, says("Straight after the left leg's curve, in mm.")
    ] = None
    right_straight_mm: Annotated[
        TrackLength | None, says("Straight after the right leg's curve, in mm.")
    ] = None
    left_mm: Annotated[
        TrackLength | None, says("Measured: from the tips to the left end, in mm.")
    ] = None
    right_mm: Annotated[
        TrackLength | None, says("Measured: from the tips to the right end, in mm.")
    ] = None
    fouling_left_mm: Annotated[
        TrackLength | None,
        says("From the tips to the left leg's fouling point, in mm."),
    ] = None
    fouling_right_mm: Annotated[
        TrackLength | None,
        says("From the tips to the right leg's fouling point, in mm."),
    ] = None

    @property
    def is_laid_out(self) -> bool:
        """Whether it is given by radii and angles, and not by lengths alone."""
        return self.radius_mm is not None

    def shape(self, practice: Practice) -> Shape:  # noqa: ARG002 - nothing by practice
        """Return its shape, laid out or measured."""
        left = self._leg("left", self.left_straight_mm, self.left_mm)
        right = self._leg("right", self.right_straight_mm, self.right_mm)
        given = {"left": self.fouling_left_mm, "right": self.fouling_right_mm}
        shape = forked(self.to_tips_mm, (left, right), ("left", "right"))
        return msgspec.structs.replace(
            shape,
            fouling_mm=said(given),
        )

    def _leg(self, hand: Hand, beyond_mm: float | None, taped_mm: float | None) -> Leg:
        if self.radius_mm is None:
            return Leg(hand, taped_mm)
        before = self.after_tips()
        if before is None or self.angle_deg is None:
            return Leg(hand, None)
        curve = turning(self.angle_deg, radius_mm=self.radius_mm, hand=hand)
        return laid(
            hand,
            before,
            curve,
            straight(beyond_mm or 0.0),
        )

    def amiss(self) -> Iterable[Fault]:
        """Yield what is wrong with its figures."""
        yield from self.blades_amiss()
        if self.is_laid_out:
            yield from missing(self, "angle_deg")
            yield from not_alike(
                self,
                MEASURED,
                "left_mm",
                "right_mm",
            )
            return
        yield from missing(self, "left_mm", "right_mm")
        fields = ("angle_deg", "left_straight_mm", "right_straight_mm")
        yield from not_alike(self, LAID_OUT, *fields)


class CurvedPoints(
    Blades, frozen=True, kw_only=True, cache_hash=True, tag="curved_points"
):
    """Points whose two legs curve the same way, the inner one more sharply."""

    end_names: ClassVar[tuple[str, ...]] = ("toe", "outer", "inner")

    hand: Annotated[Hand | None, says("Which way both legs curve from the toe.")] = None
    outer_radius_mm: Annotated[CurveRadius | None, says("The greater, in mm.")] = None
    inner_radius_mm: Annotated[CurveRadius | None, says("The smaller, in mm.")] = None
    outer_angle_deg: Annotated[CrossingAngle | None, says("The outer leg's turn.")] = (
        None
    )
    inner_angle_deg: Annotated[CrossingAngle | None, says("The inner leg's turn.")] = (
        None
    )
    outer_mm: Annotated[
        TrackLength | None, says("Measured: from the tips to the outer end, in mm.")
    ] = None
    inner_mm: Annotated[
        TrackLength | None, says("Measured: from the tips to the inner end, in mm.")
    ] = None
    fouling_outer_mm: Annotated[
        TrackLength | None,
        says("From the tips to the outer leg's fouling point, in mm."),
    ] = None
    fouling_inner_mm: Annotated[
        TrackLength | None,
        says("From the tips to the inner leg's fouling point, in mm."),
    ] = None

    @property
    def is_laid_out(self) -> bool:
        """Whether it is given by radii and angles, and not by lengths alone."""
        return self.outer_radius_mm is not None or self.inner_radius_mm is not None

    def shape(self, practice: Practice) -> Shape:  # noqa: ARG002 - nothing by practice
        """Return its shape, laid out or measured."""
        given = {"outer": self.fouling_outer_mm, "inner": self.fouling_inner_mm}
        shape = forked(self.to_tips_mm, self._legs(), ("outer", "inner"))
        return msgspec.structs.replace(
            shape,
            fouling_mm=said(given),
        )

    def _legs(self) -> tuple[Leg, ...]:
        if not self.is_laid_out:
            return (Leg("outer", self.outer_mm), Leg("inner", self.inner_mm))
        outer = self._leg("outer", self.outer_radius_mm, self.outer_angle_deg)
        inner = self._leg("inner", self.inner_radius_mm, self.inner_angle_deg)
        return (outer, inner)

    def _leg(self, name: str, radius_mm: float | None, turn_deg: float | None) -> Leg:
        before = self.after_tips()
        if before is None or self.hand is None:
            return Leg(name, None)
        if radius_mm is None or turn_deg is None:
            return Leg(name, None)
        curve = turning(
            turn_deg,
            radius_mm=radius_mm,
            hand=self.hand,
        )
        return laid(name, before, curve)

    def amiss(self) -> Iterable[Fault]:
        """Yield what is wrong with its figures."""
        yield from self.blades_amiss()
        drawn = ("hand", "outer_radius_mm", "inner_radius_mm")
        angles = ("outer_angle_deg", "inner_angle_deg")
        if not self.is_laid_out:
            yield from missing(self, "outer_mm", "inner_mm")
            yield from not_alike(self, LAID_OUT, *angles)
            return
        yield from missing(self, *drawn, *angles)
        yield from not_alike(
            self,
            MEASURED,
            "outer_mm",
            "inner_mm",
        )
        outer_mm = self.outer_radius_mm
        inner_mm = self.inner_radius_mm
        if outer_mm is not None and inner_mm is not None and inner_mm >= outer_mm:
            message = f"the inner leg is the sharper one: less than {outer_mm:g} mm"
            yield Fault(
                code="contradiction", message=message, pointer="/inner_radius_mm"
            )
