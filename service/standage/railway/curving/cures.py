"""What would let a joint run: more straight between the curves of a reverse curve, or
easier curves.
"""

from collections.abc import Callable
from functools import cache
from math import ceil, floor

import msgspec

from standage.railway.curving.strains import (
    MARGINAL_FROM,
    TriedJoint,
    both_verdicts,
    hardest,
    strain,
)
from standage.railway.curving.verdicts import WORST_FIRST, CurveVerdict
from standage.railway.terms.figures import LONGEST_MM
from standage.railway.terms.reasons import worst
from standage.railway.track.paths.alignment import Alignment, deciding_paths

SAMPLES = 16
"""Lengths of straight that are looked at before closing in: more straight is not always
better.
"""

Holds = Callable[[int], bool]


class Cures(msgspec.Struct, frozen=True, kw_only=True):
    """In whole mm: from what length of straight, or radius, on the joint runs, and from
    what on it is not refused.

    A whole mm less does not do it; None is that nothing does. Every sharper curve of
    the alignment would have to be eased to the radius. What is ``bare`` is just not
    refused, and ``brings`` that verdict. ``straight_helps`` tells whether any straight
    betters the verdict; None where there is none.
    """

    least_straight_mm: int | None = None
    bare_straight_mm: int | None = None
    bare_straight_brings: CurveVerdict | None = None
    straight_helps: bool | None = None
    least_radius_mm: int | None = None
    bare_radius_mm: int | None = None
    bare_radius_brings: CurveVerdict | None = None


def cures(joint: TriedJoint, alignment: Alignment) -> Cures:
    """Return what would cure ``joint``, which does not run well on ``alignment``.

    A joint of which too little is known to say that it runs is only helped: until what
    is known no longer refuses it. From the straight that is named on, every longer one
    does too, at the samples at least that are looked at. With room for all the wheels
    on the straight more of it changes nothing. A larger radius is never worse, so that
    the radius is found by halving. **Source** derived.
    """
    longest_mm = max(joint.pulled.wheels_mm, joint.pushed.wheels_mm)

    @cache
    def hardness(tried: Alignment) -> float:
        return hardest(deciding_paths(tried, longest_mm=longest_mm), joint)

    def well(tried: Alignment) -> bool:
        if not joint.pulling_known or hardness(tried) > MARGINAL_FROM:
            return False
        return joint.pushing_known or verdict_on(joint, tried) == "runs"

    def barely(tried: Alignment) -> bool:
        return hardness(tried) <= 1

    sharpest_mm = min(alignment.radii_mm)
    least_radius_mm = _least_radius(
        lambda each: well(alignment.no_sharper_than(each)), sharpest_mm=sharpest_mm
    )
    bare_radius_mm = _least_radius(
        lambda each: barely(alignment.no_sharper_than(each)), sharpest_mm=sharpest_mm
    )
    by_radius = Cures(
        least_radius_mm=least_radius_mm,
        bare_radius_mm=bare_radius_mm,
        bare_radius_brings=(
            None
            if bare_radius_mm is None
            else verdict_on(joint, alignment.no_sharper_than(bare_radius_mm))
        ),
    )
    if not alignment.reverse:
        return by_radius
    most_mm = ceil(longest_mm)
    least_mm = _least_straight(
        lambda each: well(alignment.with_straight(each)), longest_mm=most_mm
    )
    bare_mm = _least_straight(
        lambda each: barely(alignment.with_straight(each)), longest_mm=most_mm
    )
    return msgspec.structs.replace(
        by_radius,
        least_straight_mm=least_mm,
        bare_straight_mm=bare_mm,
        bare_straight_brings=(
            None
            if bare_mm is None
            else verdict_on(joint, alignment.with_straight(bare_mm))
        ),
        straight_helps=least_mm is not None
        or (bare_mm is not None and not barely(alignment)),
    )


def verdict_on(joint: TriedJoint, alignment: Alignment) -> CurveVerdict:
    """Return how a joint bears an alignment, its entry counted. **Source** derived."""
    longest_mm = max(joint.pulled.wheels_mm, joint.pushed.wheels_mm)
    paths = deciding_paths(alignment, longest_mm=longest_mm)
    found = strain(paths, joint)
    verdicts = both_verdicts(joint, found)
    return worst(verdicts, order=WORST_FIRST)


def _least_straight(holds: Holds, *, longest_mm: int) -> int | None:
    """Return the least whole mm of straight from which on, at the samples, it holds."""
    if not holds(longest_mm):
        return None
    good_mm = longest_mm
    for sample in range(SAMPLES - 1, -1, -1):
        tried_mm = longest_mm * sample // SAMPLES
        if not holds(tried_mm):
            return _between(holds, bad_mm=tried_mm, good_mm=good_mm)
        good_mm = tried_mm
    return 0


def _least_radius(holds: Holds, *, sharpest_mm: float) -> int | None:
    bad_mm, good_mm = floor(sharpest_mm), ceil(sharpest_mm)
    while not holds(good_mm):
        if good_mm >= LONGEST_MM:
            return None
        bad_mm, good_mm = good_mm, min(2 * good_mm, int(LONGEST_MM))
    return _between(holds, bad_mm=bad_mm, good_mm=good_mm)


def _between(holds: Holds, *, bad_mm: int, good_mm: int) -> int:
    while good_mm - bad_mm > 1:
        middle_mm = (bad_mm + good_mm) // 2
        if holds(middle_mm):
            good_mm = middle_mm
        else:
            bad_mm = middle_mm
    return good_mm
