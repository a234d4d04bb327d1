"""Gradients: how steep a climb truly is once its ends are eased, what a train feels of
it, and the room in a helix.

A climb rises from level track to level track. Its run includes a vertical curve at its
foot and one at its top, each a parabola, which is what a bent board and a gentle spline
both come to. Lengths along the track and along the level are taken to be the same: at 4
% they differ by less than a thousandth.
"""

import math
from collections.abc import Iterable
from typing import Annotated

import msgspec
from msgspec.structs import replace

from standage.railway.terms.figures import LONGEST_MM, Length, Room, exceeds, says, tidy
from standage.railway.terms.senses import sense
from standage.shapes.faults import Fault, Ruled


class Climb(Ruled, frozen=True, kw_only=True):
    """A rise over a run, with the vertical curves at its ends, which are part of the
    run.
    """

    rise_mm: Annotated[Room, says("How much higher its top is than its foot, in mm.")]
    run_mm: Annotated[
        Length,
        says(
            "From the first of the rise to the last, vertical curves included, in mm."
        ),
    ]
    foot_curve_mm: Annotated[Room, says("The vertical curve at its foot, in mm.")] = 0.0
    top_curve_mm: Annotated[Room, says("The vertical curve at its top, in mm.")] = 0.0

    @property
    def curves_mm(self) -> float:
        """Both vertical curves together."""
        foot_mm = self.foot_curve_mm
        return foot_mm + self.top_curve_mm

    def rules(self) -> Iterable[Fault]:
        """The rise is no more than the run, and the vertical curves have room in it."""
        if self.rise_mm > self.run_mm:
            message = (
                f"is {self.rise_mm:.10g} mm over {self.run_mm:.10g} mm of run: are rise"
                " and run the wrong way round?"
            )
            yield Fault(code="steeper_than_stairs", message=message, pointer="/rise_mm")
        if exceeds(self.curves_mm, limit=self.run_mm):
            both = f"{tidy(self.curves_mm):.10g} mm"
            message = (
                f"need {both} together, more than the run of {self.run_mm:.10g} mm"
            )
            yield Fault(
                code="longer_than_run",
                message=f"the vertical curves {message}",
                pointer="/foot_curve_mm",
            )


def mean_percent(climb: Climb) -> float:
    """Return rise for 100 of run, from end to end: less than any train feels, where the
    ends are eased. **Source** derived.
    """
    rise = climb.rise_mm / climb.run_mm
    return 100 * rise


def steepest_percent(climb: Climb) -> float:
    """Return the gradient between the vertical curves; at their meeting where they fill
    the run.

    **Source** derived: each vertical curve rises half of what its length would at the
    full gradient, so that rise ÷ (run − (v1 + v2)/2).

    >>> climb = Climb(rise_mm=60, run_mm=2400, foot_curve_mm=400, top_curve_mm=400)
    >>> round(steepest_percent(climb), 2)
    3.0
    """
    lost_to_curves_mm = climb.curves_mm / 2
    straight_mm = climb.run_mm - lost_to_curves_mm
    return 100 * climb.rise_mm / straight_mm


def felt_percent(climb: Climb, *, train_length_mm: float) -> float:
    """Return the greatest of (height at the head − height at the tail) ÷ length over
    all positions of a train.

    A train that finds room between the vertical curves feels the steepest; one longer
    than the run feels rise ÷ its length; one between them stands best where the
    gradients under its two ends are alike, so that rise − steepest × (run − length)² ÷
    2(v1 + v2) separates its ends. **Source** derived.
    """
    rise_mm = climb.rise_mm
    short_mm = climb.run_mm - train_length_mm
    if short_mm <= 0:
        return 100 * rise_mm / train_length_mm
    steepest = steepest_percent(climb)
    if climb.curves_mm <= short_mm:
        return steepest
    # What a train as long as the run would feel, less what its ends are short of that.
    eased_mm = 2 * climb.curves_mm
    lost_mm = steepest / 100 * short_mm**2 / eased_mm
    felt_mm = rise_mm - lost_mm
    return 100 * felt_mm / train_length_mm


def judged_percent(climb: Climb, *, train_length_mm: float | None) -> float:
    """Return the gradient that counts: what a train of that length feels, the steepest
    where none is given. **Source** derived.
    """
    if train_length_mm is None:
        return steepest_percent(climb)
    return felt_percent(climb, train_length_mm=train_length_mm)


def least_run_mm(
    climb: Climb, *, limit_percent: float, train_length_mm: float | None = None
) -> float:
    """Return the least run in which the climb's rise keeps to ``limit_percent`` (more
    than 0).

    By what the train feels where its length is given, else by the steepest. The
    vertical curves keep their lengths and always have room, and no climb is steeper
    than 1 in 1. Inverse of ``felt_percent``. **Source** derived.

    >>> climb = Climb(rise_mm=60, run_mm=2400, foot_curve_mm=400, top_curve_mm=400)
    >>> least_run_mm(climb, limit_percent=2)
    3400.0
    """
    shortest_mm = max(climb.curves_mm, climb.rise_mm)
    if climb.rise_mm == 0:
        return shortest_mm
    shortest = replace(climb, run_mm=shortest_mm)
    judged = judged_percent(shortest, train_length_mm=train_length_mm)
    if judged <= limit_percent:
        return shortest_mm
    straight_mm = 100 * climb.rise_mm / limit_percent
    by_steepest_mm = straight_mm + climb.curves_mm / 2
    if train_length_mm is None:
        return by_steepest_mm
    beyond_train_mm = by_steepest_mm - train_length_mm
    if beyond_train_mm >= climb.curves_mm:
        # The train finds room between the vertical curves, and feels the steepest.
        return by_steepest_mm
    gained_mm = limit_percent / 100 * train_length_mm
    beside_mm = _room_beside_mm(
        climb,
        train_length_mm,
        gained_mm=gained_mm,
    )
    return train_length_mm + beside_mm


def _room_beside_mm(climb: Climb, train_length_mm: float, *, gained_mm: float) -> float:
    """Return by how much the run must exceed a train that finds no room between the
    vertical curves.

    Its ends may be ``gained_mm`` apart in height. What separates them in a run longer
    by s is rise - rise × s² ÷ 2v(length + s - v/2), of both vertical curves v together;
    solved for s.
    """
    rise_mm = climb.rise_mm
    lost = (rise_mm - gained_mm) / rise_mm
    half_mm = climb.curves_mm * lost
    straight_mm = train_length_mm - climb.curves_mm / 2
    # s² - 2 × half × s - 2 × half × straight = 0, and s is more than nothing
    square = half_mm**2 + 2 * half_mm * straight_mm
    return half_mm + math.sqrt(square)


def greatest_rise_mm(
    climb: Climb, *, limit_percent: float, train_length_mm: float | None = None
) -> float:
    """Return the greatest rise that the climb's run and vertical curves allow at
    ``limit_percent``.

    By what the train feels where its length is given, else by the steepest; never more
    than the run. Either grows in proportion to the rise. **Source** derived.
    """
    # What is felt grows in proportion to the rise, so any rise serves to find it.
    whole = replace(climb, rise_mm=climb.run_mm)
    judged = judged_percent(
        whole,
        train_length_mm=train_length_mm,
    )
    share = min(limit_percent / judged, 1.0)
    return climb.run_mm * share


def easing_needed_mm(climb: Climb, *, longest_vehicle_mm: float) -> float | None:
    """Return how long each vertical curve should be within the same run; None where the
    run has no room for them.

    One length of the longest vehicle for each per cent of change. A longer vertical
    curve makes the rest steeper, which asks for a longer one again: v (run − v) = 100 ×
    vehicle × rise, of which the lesser root counts. **Source** common practice.
    """
    run_mm = climb.run_mm
    asked_mm2 = 400 * longest_vehicle_mm * climb.rise_mm
    square = run_mm**2 - asked_mm2
    if square < 0:
        return None
    root_mm = math.sqrt(square)
    return (run_mm - root_mm) / 2


def one_in(percent: float) -> float | None:
    """Return the run for 1 of rise, as a gradient post says it; None on the level.
    **Source** the trade's definition.

    >>> one_in(2.0)
    50.0
    """
    if tidy(percent) == 0:
        return None
    return 100 / percent


class Helix(Ruled, frozen=True, kw_only=True):
    """A climb wound round on itself, of one radius throughout."""

    radius_mm: Annotated[
        float,
        msgspec.Meta(
            ge=10, le=LONGEST_MM, description="Of its track, to the centre line, in mm."
        ),
        sense("radius"),
    ]
    deck_mm: Annotated[Room, says("How thick the deck under the track is, in mm.")]
    track_mm: Annotated[
        Room, says("How thick the track is, from the deck to the rail's top, in mm.")
    ]

    @property
    def turn_mm(self) -> float:
        """The run of one turn."""
        turn = 2 * math.pi
        return turn * self.radius_mm


def least_rise_per_turn_mm(climb: Climb, helix: Helix) -> float | None:
    """Return by how much a turn lies above the one below, where that is least; None if
    the climb is less than a turn.

    It is least at one end of the climb, where a vertical curve has kept the track low
    at the foot or flat at the top. **Source** derived.
    """
    turn_mm = helix.turn_mm
    if exceeds(turn_mm, limit=climb.run_mm):
        return None
    last_turn_mm = climb.run_mm - turn_mm
    foot_mm = height_mm(climb, at_mm=turn_mm)
    below_top_mm = height_mm(climb, at_mm=last_turn_mm)
    top_mm = climb.rise_mm - below_top_mm
    return min(foot_mm, top_mm)


def headroom_mm(climb: Climb, helix: Helix) -> float | None:
    """Return the least height from a rail's top to the deck of the turn above; None if
    no turn lies above another.

    Rise per turn less the deck and the track on it. Less than 0: the turns cannot be
    built at all. **Source** derived.
    """
    rise_mm = least_rise_per_turn_mm(climb, helix)
    if rise_mm is None:
        return None
    built_mm = helix.deck_mm + helix.track_mm
    return rise_mm - built_mm


def height_mm(climb: Climb, *, at_mm: float) -> float:
    """Return how high the track is ``at_mm`` from the foot; level before it and beyond
    the top. **Source** derived: a vertical curve is a parabola.
    """
    steepest = steepest_percent(climb) / 100
    beyond_foot_mm = max(at_mm, 0.0)
    at_mm = min(beyond_foot_mm, climb.run_mm)
    left_mm = climb.run_mm - at_mm
    if at_mm < climb.foot_curve_mm:
        return _risen_mm(at_mm, steepest, curve_mm=climb.foot_curve_mm)
    if left_mm < climb.top_curve_mm:
        left_to_rise_mm = _risen_mm(
            left_mm,
            steepest,
            curve_mm=climb.top_curve_mm,
        )
        return climb.rise_mm - left_to_rise_mm
    eased_mm = climb.foot_curve_mm / 2
    return steepest * (at_mm - eased_mm)


def _risen_mm(along_mm: float, steepest: float, *, curve_mm: float) -> float:
    """Return what a vertical curve has risen so far along it, from its level end."""
    along_mm2 = along_mm**2
    twice_mm = 2 * curve_mm
    return steepest * along_mm2 / twice_mm
