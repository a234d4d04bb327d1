"""The least radius on which the joints of a train run, each swept along the curve and
the way into it.
"""

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

import msgspec

from standage.railway.curving.joints_on_curves import JointOnCurve, joints_on_curve
from standage.railway.curving.least_radii import STEP_MM, RadiusRule
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.vehicles import Standing
from standage.railway.terms.figures import LONGEST_MM, millimetres, tidy
from standage.railway.terms.reasons import Assumed, Reason, named_once
from standage.railway.track.paths.alignment import Alignment

MOST_SOUGHT = 8
"""So many joints that differ have a radius of their own looked for; each may take a
second or two. Of the others it is found out that the largest of those does for them.
"""
_STEPS_IN_A_MM = 10
_LONGEST_STEPS = int(LONGEST_MM) * _STEPS_IN_A_MM


class JointRadii(msgspec.Struct, frozen=True, kw_only=True):
    """The radii of the joints that could be swept, and why others could not.

    ``never`` are those that run on no curve, ``unknown`` what nobody knows of others.
    """

    rules: tuple[RadiusRule, ...] = ()
    never: tuple[Reason, ...] = ()
    unknown: tuple[Reason, ...] = ()
    assumed: tuple[Assumed, ...] = ()

    @property
    def all_swept(self) -> bool:
        """Whether every joint could be told."""
        return not self.never and not self.unknown


def joint_radii(
    vehicles: Sequence[Standing], *, types: CouplingTypes, from_mm: float
) -> JointRadii:
    """Return from what radius on the joints of ``vehicles``, in order from the head,
    run; to a tenth of a mm, on the safe side.

    ``from_mm`` is a radius that the vehicles ask for in any case: what joints beyond
    the first few need is only looked for where that does not do. **Source** derived:
    a larger radius is never worse, so that it is found by halving.
    """
    rules: list[RadiusRule] = []
    never: list[Reason] = []
    unknown: list[Reason] = []
    assumed: list[Assumed] = []
    enough_mm = max(from_mm, STEP_MM)
    for leading, following in _pairs(vehicles):
        joint = _Joint(leading, following, types)
        easiest = joint.on(LONGEST_MM)
        assumed.extend(easiest.assumed)
        if easiest.verdict == "cannot_tell":
            unknown.extend(_told(easiest))
        elif easiest.verdict != "runs":
            never.extend(_told(easiest))
        elif len(rules) < MOST_SOUGHT or not joint.runs(enough_mm):
            rule = joint.rule()
            rules.append(rule)
            enough_mm = max(enough_mm, rule.radius_mm)
    return JointRadii(
        rules=tuple(rules),
        never=tuple(dict.fromkeys(never)),
        unknown=named_once(unknown),
        assumed=tuple(dict.fromkeys(assumed)),
    )


def _told(joint: JointOnCurve) -> Iterator[Reason]:
    """Yield why a joint does not run, but for the cure that nobody asked for."""
    for reason in joint.because:
        if reason.code != "cure_not_worked_out":
            yield reason


def _pairs(vehicles: Sequence[Standing]) -> Iterator[tuple[Standing, Standing]]:
    """Yield every two neighbours that differ from all before, each by itself."""
    single: list[Standing] = []
    for vehicle in vehicles:
        one = msgspec.structs.replace(vehicle, count=1)
        # of many alike in a row two make every joint that they have
        single += [one] * min(vehicle.count, 2)
    yield from dict.fromkeys(pairwise(single))


class _Joint(msgspec.Struct, frozen=True):
    """Two neighbours, tried on one curve after another."""

    leading: Standing
    following: Standing
    types: CouplingTypes

    def on(self, radius_mm: float) -> JointOnCurve:
        """Return how the joint bears a curve of that radius and the way into it."""
        both = (self.leading, self.following)
        alignment = Alignment(radius_mm=radius_mm)
        return joints_on_curve(both, alignment, types=self.types)[0]

    def runs(self, radius_mm: float) -> bool:
        """Tell whether it runs well there."""
        return self.on(radius_mm).verdict == "runs"

    def rule(self) -> RadiusRule:
        """Return the radius from which on it runs well."""
        least_mm = _least(lambda steps: self.runs(_mm(steps)))
        message = (
            f"{self.leading.name} and {self.following.name} run well coupled from"
            f" {millimetres(least_mm)} on"
        )
        return RadiusRule(
            rule="swept_joint",
            vehicle=self.leading.name,
            other_vehicle=self.following.name,
            radius_mm=least_mm,
            counts=True,
            message=message,
        )


def _mm(steps: int) -> float:
    return tidy(steps / _STEPS_IN_A_MM)


def _least(runs: Callable[[int], bool]) -> float:
    """Return the least radius on which it runs, by whole steps, which it does in the
    end.
    """
    good = _STEPS_IN_A_MM
    while good < _LONGEST_STEPS and not runs(good):
        good = min(2 * good, _LONGEST_STEPS)
    bad = good // 2
    while good - bad > 1:
        middle = (bad + good) // 2
        if runs(middle):
            good = middle
        else:
            bad = middle
    return _mm(good)
