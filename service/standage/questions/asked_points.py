"""The points that a question is about: by number or angle, how the number is measured,
and the track they lie in.
"""

from collections.abc import Iterator
from typing import Annotated, TypeVar

import msgspec

from standage.questions.points import (
    MEASURE_WORDS,
    NumberOrAngle,
    usual_measure,
)
from standage.railway.pointwork.parting import Parting
from standage.railway.terms.crossings import Measure, crossing_angle_deg
from standage.railway.terms.figures import exceeds, says
from standage.railway.terms.reasons import Assumed
from standage.shapes.faults import Fault


class AskedPoints(NumberOrAngle, frozen=True, kw_only=True):
    """Points by their number or angle, of a scale or a gauge."""

    number_is: Annotated[
        Measure | None,
        says(
            "How the number is measured: by the centre line or the tangent; by the"
            " scale's practice if not said."
        ),
    ] = None

    @property
    def measure(self) -> Measure:
        """How the number is measured: as it is said, or by the scale's practice."""
        if self.number_is is not None:
            return self.number_is
        return usual_measure(self.scale)

    @property
    def parting(self) -> Parting:
        """The two roads as lines that part; of what the rules let pass."""
        if self.number is None:
            return Parting(self.angle_deg or 0.0)
        return Parting(crossing_angle_deg(self.number, measure=self.measure))

    @property
    def called(self) -> str:
        """What the points are called: by the number or the angle that is given."""
        if self.number is None:
            return f"{self.angle_deg:g}°"
        if self.measure == "tangent":
            return f"1:{self.number:g}"
        return f"No. {self.number:g}"


def gauge_missing(asked: AskedPoints) -> Iterator[Fault]:
    """Yield the fault of points of which neither gauge nor scale is given."""
    if asked.known_gauge_mm is None:
        yield Fault(
            code="missing", message="give gauge_mm or scale", pointer="/gauge_mm"
        )


def spacing_within_gauge(asked: AskedPoints, spacing_mm: float) -> Iterator[Fault]:
    """Yield the fault of roads so near each other that their rails would cross."""
    gauge_mm = asked.known_gauge_mm
    if gauge_mm is None or exceeds(spacing_mm, limit=gauge_mm):
        return
    message = (
        f"must be more than the gauge of {gauge_mm:g} mm: nearer, the rails of one road"
        " lie within the other"
    )
    yield Fault(code="too_small", message=message, pointer="/spacing_mm")


def radius_within_gauge(
    asked: AskedPoints, radius_mm: float | None, pointer: str
) -> Iterator[Fault]:
    """Yield the fault of a curve so sharp that its inner rail has no radius left."""
    gauge_mm = asked.known_gauge_mm
    if gauge_mm is None or radius_mm is None:
        return
    half_mm = gauge_mm / 2
    if not exceeds(radius_mm, limit=half_mm):
        message = f"must be more than half the gauge, {half_mm:g} mm"
        yield Fault(code="too_small", message=message, pointer=pointer)


P = TypeVar("P", bound=AskedPoints)


def measured_otherwise(asked: P) -> P | None:
    """Return the same points with their number measured the other way; None where an
    angle was given, or it was said which way.
    """
    if asked.number is None or asked.number_is is not None:
        return None
    other: Measure = "tangent" if asked.measure == "centre_line" else "centre_line"
    return msgspec.structs.replace(asked, number_is=other)


def points_assumed(asked: AskedPoints, *, otherwise: str) -> Iterator[Assumed]:
    """Yield what was not said of the points: how their number is measured, with what the
    other way would give besides its angle, and the gauge.
    """
    other = measured_otherwise(asked)
    if other is not None:
        message = (
            f"the number is measured {MEASURE_WORDS[asked.measure]},"
            f" {asked.parting.angle_deg:.2f}°; {MEASURE_WORDS[other.measure]} it is"
            f" {other.parting.angle_deg:.2f}°, and {otherwise}"
        )
        yield Assumed(
            field="number_is",
            message=message,
            source="common_practice",
            value=asked.measure,
        )
    gauge_mm = asked.known_gauge_mm
    if asked.gauge_mm is None and gauge_mm is not None:
        message = f"the gauge is that of {asked.scale}, {gauge_mm:g} mm"
        yield Assumed(
            field="gauge_mm", message=message, source="default", value_mm=gauge_mm
        )


def points_facts(asked: AskedPoints) -> tuple[tuple[str, str], ...]:
    """Return what the title block of a drawing says of points."""
    facts = [("points", asked.called)]
    if asked.scale is not None:
        facts.append(("scale", asked.scale))
    gauge_mm = asked.known_gauge_mm
    if gauge_mm is not None:
        facts.append(("gauge", f"{gauge_mm:g} mm"))
    return tuple(facts)
