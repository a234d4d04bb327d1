"""Points of either hand, and what all sorts of points have at their toe.

Laid out where they have a radius, else measured with a tape from the blades' tips. All
of it is told from the tips outwards, the toe too.
"""

from collections.abc import Iterable
from typing import Annotated, ClassVar

import msgspec

from standage.railway.terms.crossings import crossing_angle_deg
from standage.railway.terms.figures import says
from standage.railway.terms.scales import Practice
from standage.railway.track.paths.runs import Hand, Run, straight
from standage.railway.track.pieces.forks import Leg, forked, laid, said, turning
from standage.railway.track.pieces.pieces import (
    CrossingAngle,
    CrossingNumber,
    CurveRadius,
    Live,
    NumberIs,
    Piece,
    TrackLength,
    beside_each_other,
    missing,
    not_alike,
)
from standage.railway.track.pieces.shapes import Nose, Shape
from standage.shapes.faults import Fault

MEASURED = "points that are measured, without a radius"
LAID_OUT = "points that are laid out, with a radius"


class Blades(Piece, frozen=True, kw_only=True, cache_hash=True):
    """What all laid-out and measured points have at their toe."""

    lead_in_mm: Annotated[
        TrackLength | None,
        says("From the toe's joint to where the curve begins, in mm."),
    ] = None
    blades_mm: Annotated[
        TrackLength | None,
        says(
            "From the toe's joint to the blades' tips; the lead-in if not said, in mm."
        ),
    ] = None
    toe_mm: Annotated[
        TrackLength | None, says("Measured: from the toe's joint to the tips, in mm.")
    ] = None
    crossing: Annotated[Live | None, says("Whether its crossing is live or dead.")] = (
        None
    )

    @property
    def is_laid_out(self) -> bool:
        """Whether it is given by radii and angles."""
        return False

    @property
    def without_shape(self) -> bool:
        """Whether its figures are meant to be lengths alone."""
        return not self.is_laid_out

    @property
    def to_tips_mm(self) -> float | None:
        """From the toe's joint to the tips."""
        if not self.is_laid_out:
            return self.toe_mm
        if self.blades_mm is None:
            return self.lead_in_mm
        return self.blades_mm

    def after_tips(self) -> Run | None:
        """Return the straight from the tips to where the curve begins."""
        if self.lead_in_mm is None or self.to_tips_mm is None:
            return None
        return straight(max(0.0, self.lead_in_mm - self.to_tips_mm))

    def blades_amiss(self) -> Iterable[Fault]:
        """Yield what is wrong with the figures of its toe."""
        if self.is_laid_out:
            yield from missing(self, "lead_in_mm")
            yield from not_alike(self, MEASURED, "toe_mm")
        else:
            yield from missing(self, "toe_mm")
            yield from not_alike(
                self,
                LAID_OUT,
                "lead_in_mm",
                "blades_mm",
            )
        lead_in_mm = self.lead_in_mm
        blades_mm = self.blades_mm
        if lead_in_mm is not None and blades_mm is not None and blades_mm > lead_in_mm:
            message = f"the tips lie no farther in than the lead-in, {lead_in_mm:g} mm"
            yield Fault(
                code="too_long",
                message=message,
                pointer="/blades_mm",
            )


class Points(Blades, frozen=True, kw_only=True, cache_hash=True, tag="points"):
    """Points with a through road and a branch that curves away from it."""

    end_names: ClassVar[tuple[str, ...]] = ("toe", "through", "branch")

    hand: Annotated[
        Hand | None, says("Where the branch lies as seen from the toe.")
    ] = None
    radius_mm: Annotated[CurveRadius | None, says("Of the branch, in mm.")] = None
    angle_deg: Annotated[
        CrossingAngle | None, says("By how much the branch turns away.")
    ] = None
    number: Annotated[
        CrossingNumber | None, says("Of the crossing, as 6 of a No. 6.")
    ] = None
    number_is: Annotated[
        NumberIs | None,
        says("How the number is reckoned; by the practice of the scale if not said."),
    ] = None
    through_after_blades_mm: Annotated[
        TrackLength | None, says("The through road from the lead-in's end, in mm.")
    ] = None
    branch_straight_mm: Annotated[
        TrackLength | None, says("Straight after the branch's curve, in mm.")
    ] = None
    through_mm: Annotated[
        TrackLength | None, says("Measured: from the tips to the through end, in mm.")
    ] = None
    branch_mm: Annotated[
        TrackLength | None, says("Measured: from the tips to the branch's end, in mm.")
    ] = None
    fouling_through_mm: Annotated[
        TrackLength | None, says("From the tips to the through road's fouling point.")
    ] = None
    fouling_branch_mm: Annotated[
        TrackLength | None, says("From the tips to the branch's fouling point, in mm.")
    ] = None
    nose_mm: Annotated[
        TrackLength | None,
        says("Measured: from the tips to the crossing's nose, in mm."),
    ] = None

    @property
    def is_laid_out(self) -> bool:
        """Whether it is given by radii and angles, and not by lengths alone."""
        return self.radius_mm is not None

    def turn_deg(self, practice: Practice) -> float | None:
        """Return the crossing's angle; None where neither it nor a number is given."""
        if self.angle_deg is not None or self.number is None:
            return self.angle_deg
        measure = self.number_is or number_by(practice)
        return crossing_angle_deg(self.number, measure=measure)

    def shape(self, practice: Practice) -> Shape:
        """Return its shape, laid out or measured."""
        shape = forked(self.to_tips_mm, self._legs(practice), ("through", "branch"))
        given = {"through": self.fouling_through_mm, "branch": self.fouling_branch_mm}
        return msgspec.structs.replace(
            shape,
            fouling_mm=said(given),
            nose=self._nose(practice),
            assumed=self._assumed(practice),
        )

    def _legs(self, practice: Practice) -> tuple[Leg, ...]:
        if not self.is_laid_out:
            return (Leg("through", self.through_mm), Leg("branch", self.branch_mm))
        before = self.after_tips()
        after_mm = self.through_after_blades_mm
        turn_deg = self.turn_deg(practice)
        if before is None or after_mm is None:
            return (Leg("through", None), Leg("branch", None))
        through_leg = laid("through", before, straight(after_mm))
        if turn_deg is None or self.hand is None or self.radius_mm is None:
            return (through_leg, Leg("branch", None))
        curve = turning(turn_deg, radius_mm=self.radius_mm, hand=self.hand)
        beyond = straight(self.branch_straight_mm or 0.0)
        return (
            through_leg,
            laid(
                "branch",
                before,
                curve,
                beyond,
            ),
        )

    def _nose(self, practice: Practice) -> Nose | None:
        turn_deg = self.turn_deg(practice)
        if self.nose_mm is None or turn_deg is None:
            return None
        return Nose(
            from_blades_mm=self.nose_mm,
            angle_deg=turn_deg,
        )

    def _assumed(self, practice: Practice) -> tuple[str, ...]:
        asks = self.number is not None and self.angle_deg is None
        if not asks or self.number_is is not None:
            return ()
        how = number_by(practice).replace("_", " ")
        return (
            f"its number {self.number:g} is taken by the {how}: {practice} practice",
        )

    def amiss(self) -> Iterable[Fault]:
        """Yield what is wrong with its figures."""
        yield from self.blades_amiss()
        yield from beside_each_other(self, "angle_deg", "number")
        if not self.is_laid_out:
            yield from missing(self, "through_mm", "branch_mm")
            fields = ("through_after_blades_mm", "branch_straight_mm")
            yield from not_alike(self, LAID_OUT, *fields)
            return
        yield from missing(self, "hand", "through_after_blades_mm")
        yield from not_alike(
            self,
            MEASURED,
            "through_mm",
            "branch_mm",
            "nose_mm",
        )
        if self.angle_deg is None and self.number is None:
            message = "give angle_deg or number: how far the branch turns away"
            yield Fault(
                code="missing",
                message=message,
                pointer="/angle_deg",
            )


def number_by(practice: Practice) -> NumberIs:
    """Return how a crossing's number is reckoned where nobody says.

    **Source** North American and British practice, and continental practice.
    """
    if practice == "continental":
        return "tangent"
    return "centre_line"
