"""What would let a joint run: more straight between the curves of a reverse curve, or easier curves."""

from collections.abc import Callable
from functools import cache
from math import ceil, floor

import msgspec

from standage.railway.curving.alignment import Alignment, deciding_paths
from standage.railway.curving.strains import MARGINAL_FROM, TriedJoint, hardest
from standage.railway.terms.figures import LONGEST_MM

SAMPLES = 16
"""Lengths of straight that are looked at before closing in: more straight is not always better."""

Hardness = Callable[[int], float]


class Cures(msgspec.Struct, frozen=True, kw_only=True):
    """In whole mm: from what length of straight, or radius, on the joint runs, and from what on it barely does.

    None is that nothing does. The radius is that to which every sharper curve of the alignment would have to be eased.
    ``straight_helps`` tells whether any length of straight betters the verdict; None where there is none to lengthen.
    """

    least_straight_mm: int | None = None
    bare_straight_mm: int | None = None
    straight_helps: bool | None = None
    least_radius_mm: int | None = None
    bare_radius_mm: int | None = None


def cures(joint: TriedJoint, alignment: Alignment) -> Cures:
    """Return what would cure ``joint``, which does not run well on ``alignment``; what is not known is left out.

    From the straight that it names on, every longer one does too, at the samples at least that are looked at. With
    room for all the wheels on the straight more of it changes nothing. A larger radius is never worse, so that the
    radius is found by halving.
    """
    longest_mm = max(joint.pulled.wheels_mm, joint.pushed.wheels_mm)

    @cache
    def by_radius(radius_mm: int) -> float:
        return hardest(deciding_paths(alignment.no_sharper_than(radius_mm), longest_mm=longest_mm), joint)

    @cache
    def by_straight(straight_mm: int) -> float:
        return hardest(deciding_paths(alignment.with_straight(straight_mm), longest_mm=longest_mm), joint)

    least_radius_mm = _least_radius(by_radius, MARGINAL_FROM, sharpest_mm=min(alignment.radii_mm))
    bare_radius_mm = _least_radius(by_radius, 1.0, sharpest_mm=min(alignment.radii_mm))
    if not alignment.reverse:
        return Cures(least_radius_mm=least_radius_mm, bare_radius_mm=bare_radius_mm)
    present = hardest(deciding_paths(alignment, longest_mm=longest_mm), joint)
    least_mm = _least_straight(by_straight, MARGINAL_FROM, longest_mm=ceil(longest_mm))
    bare_mm = _least_straight(by_straight, 1.0, longest_mm=ceil(longest_mm))
    return Cures(
        least_straight_mm=least_mm,
        bare_straight_mm=bare_mm,
        straight_helps=least_mm is not None or (bare_mm is not None and present > 1),
        least_radius_mm=least_radius_mm,
        bare_radius_mm=bare_radius_mm,
    )


def _least_straight(hardness: Hardness, limit: float, *, longest_mm: int) -> int | None:
    """Return the least whole mm of straight from which on, at the samples, the hardness keeps to ``limit``."""
    if hardness(longest_mm) > limit:
        return None
    good_mm = longest_mm
    for sample in range(SAMPLES - 1, -1, -1):
        tried_mm = longest_mm * sample // SAMPLES
        if hardness(tried_mm) > limit:
            return _between(hardness, limit, bad_mm=tried_mm, good_mm=good_mm)
        good_mm = tried_mm
    return 0


def _least_radius(hardness: Hardness, limit: float, *, sharpest_mm: float) -> int | None:
    bad_mm, good_mm = floor(sharpest_mm), ceil(sharpest_mm)
    while hardness(good_mm) > limit:
        if good_mm >= LONGEST_MM:
            return None
        bad_mm, good_mm = good_mm, 2 * good_mm
    return _between(hardness, limit, bad_mm=bad_mm, good_mm=good_mm)


def _between(hardness: Hardness, limit: float, *, bad_mm: int, good_mm: int) -> int:
    while good_mm - bad_mm > 1:
        middle_mm = (bad_mm + good_mm) // 2
        if hardness(middle_mm) > limit:
            bad_mm = middle_mm
        else:
            good_mm = middle_mm
    return good_mm
