"""Three-way points: one set within another, told from the first tips outwards."""

from collections.abc import Iterable
from typing import Annotated, ClassVar

import msgspec

from standage.railway.terms.figures import says
from standage.railway.terms.scales import Practice
from standage.railway.track.paths.runs import Hand, Run, straight
from standage.railway.track.pieces.forks import Leg, laid, said, turning, twice_forked
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


class ThreeWay(Blades, frozen=True, kw_only=True, cache_hash=True, tag="three_way"):
    """Three-way points: a second set within the first, to the other hand."""

    end_names: ClassVar[tuple[str, ...]] = ("toe", "left", "middle", "right")

    first_hand: Annotated[Hand, says("To which side the first leg parts.")]
    first_radius_mm: Annotated[CurveRadius | None, says("Of the first leg, in mm.")] = (
        None
    )
    first_angle_deg: Annotated[CrossingAngle | None, says("The first leg's turn.")] = (
        None
    )
    second_after_mm: Annotated[
        TrackLength | None, says("From the first tips to the second, in mm.")
    ] = None
    second_radius_mm: Annotated[
        CurveRadius | None, says("Of the second leg, in mm.")
    ] = None
    second_angle_deg: Annotated[
        CrossingAngle | None, says("The second leg's turn.")
    ] = None
    left_straight_mm: Annotated[
        TrackLength | None, says("Straight after the left leg's curve, in mm.")
    ] = None
    middle_after_blades_mm: Annotated[
        TrackLength | None, says("The middle road from the lead-in's end, in mm.")
    ] = None
    right_straight_mm: Annotated[
        TrackLength | None, says("Straight after the right leg's curve, in mm.")
    ] = None
    left_mm: Annotated[
        TrackLength | None,
        says("Measured: from the first tips to the left end, in mm."),
    ] = None
    middle_mm: Annotated[
        TrackLength | None,
        says("Measured: from the first tips to the middle end, in mm."),
    ] = None
    right_mm: Annotated[
        TrackLength | None,
        says("Measured: from the first tips to the right end, in mm."),
    ] = None
    fouling_left_mm: Annotated[
        TrackLength | None,
        says("From the first tips to the left fouling point, in mm."),
    ] = None
    fouling_middle_mm: Annotated[
        TrackLength | None,
        says("From the first tips to the middle fouling point, in mm."),
    ] = None
    fouling_right_mm: Annotated[
        TrackLength | None,
        says("From the first tips to the right fouling point, in mm."),
    ] = None

    @property
    def is_laid_out(self) -> bool:
        """Whether it is given by radii and angles, and not by lengths alone."""
        return self.first_radius_mm is not None or self.second_radius_mm is not None

    @property
    def second_hand(self) -> Hand:
        """To which side the second leg parts."""
        if self.first_hand == "left":
            return "right"
        return "left"

    def shape(self, practice: Practice) -> Shape:  # noqa: ARG002 - nothing by practice
        """Return its shape: two knots, the second beyond a core along the middle."""
        legs = self._measured_legs()
        if self.is_laid_out:
            legs = self._laid_legs()
        given = {
            "left": self.fouling_left_mm,
            "middle": self.fouling_middle_mm,
            "right": self.fouling_right_mm,
        }
        shape = twice_forked(self.to_tips_mm, self.second_after_mm, legs)
        return msgspec.structs.replace(
            shape,
            fouling_mm=said(given),
        )

    def _measured_legs(self) -> tuple[Leg, Leg, Leg]:
        ways_mm = {"left": self.left_mm, "right": self.right_mm}
        core_mm = self.second_after_mm
        return (
            Leg(self.first_hand, ways_mm[self.first_hand]),
            Leg("middle", _rest(self.middle_mm, core_mm)),
            Leg(self.second_hand, _rest(ways_mm[self.second_hand], core_mm)),
        )

    def _laid_legs(self) -> tuple[Leg, Leg, Leg]:
        lead = self.after_tips()
        first = Leg(self.first_hand, None)
        if lead is not None:
            first = self._laid_leg(
                self.first_hand, lead, self.first_radius_mm, self.first_angle_deg
            )
        after_tips_mm = 0.0 if lead is None else lead.length_mm
        beyond_mm = _rest(self.middle_after_blades_mm, self.second_after_mm)
        middle = Leg("middle", None)
        if beyond_mm is not None:
            middle = laid("middle", straight(beyond_mm + after_tips_mm))
        second = self._laid_leg(
            self.second_hand,
            straight(0.0),
            self.second_radius_mm,
            self.second_angle_deg,
        )
        return first, middle, second

    def _laid_leg(
        self, hand: Hand, lead: Run, radius_mm: float | None, turn_deg: float | None
    ) -> Leg:
        if radius_mm is None or turn_deg is None:
            return Leg(hand, None)
        straights_mm = {"left": self.left_straight_mm, "right": self.right_straight_mm}
        beyond = straight(straights_mm[hand] or 0.0)
        return laid(
            hand,
            lead,
            turning(
                turn_deg,
                radius_mm=radius_mm,
                hand=hand,
            ),
            beyond,
        )

    def amiss(self) -> Iterable[Fault]:
        """Yield what is wrong with its figures."""
        yield from self.blades_amiss()
        yield from missing(self, "second_after_mm")
        radii = ("first_radius_mm", "second_radius_mm")
        angles = ("first_angle_deg", "second_angle_deg")
        lengths = ("left_mm", "middle_mm", "right_mm")
        straights = ("left_straight_mm", "right_straight_mm")
        if self.is_laid_out:
            yield from missing(
                self,
                *radii,
                *angles,
                "middle_after_blades_mm",
            )
            yield from not_alike(self, MEASURED, *lengths)
        else:
            yield from missing(self, *lengths)
            yield from not_alike(
                self,
                LAID_OUT,
                *angles,
                *straights,
            )
        yield from self._second_beyond()

    def _second_beyond(self) -> Iterable[Fault]:
        after_mm = self.second_after_mm
        for field in ("middle_after_blades_mm", f"{self.second_hand}_mm", "middle_mm"):
            whole_mm = getattr(self, field)
            if after_mm is not None and whole_mm is not None and whole_mm < after_mm:
                message = f"ends before the second tips, {after_mm:g} mm from the first"
                yield Fault(
                    code="too_long",
                    message=message,
                    pointer=f"/{field}",
                )


def _rest(whole_mm: float | None, part_mm: float | None) -> float | None:
    if whole_mm is None or part_mm is None:
        return None
    return max(0.0, whole_mm - part_mm)
