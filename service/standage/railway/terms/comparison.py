"""The one comparison of lengths, for every question: whether a length goes into the
room that there is for it.

People measure in tenths of a millimetre. Binary fractions hold none of those exactly,
so that a sum is off by a hair: 3 × 60.2 comes out above 180.6. Lengths are therefore
compared to a millionth of a millimetre, which is more than such sums are ever off by
and less than anybody measures. What is equal fits. Heights, radii and other figures
that a sum or a difference goes into are compared in the same way.
"""

from standage.railway.terms.figures import tidy

DUST_MM = 5e-7
"""Lengths that differ by no more are equal."""
_GRAINS_IN_A_MM = 1_000_000


def exceeds(value: float, *, limit: float) -> bool:
    """Tell whether ``value`` is more than ``limit``, both in the same unit; what is
    equal is not. **Source** derived.

    >>> exceeds(3 * 60.2, limit=180.6), exceeds(180.7, limit=180.6)
    (False, True)
    """
    over = tidy(value - limit)
    return over > 0


def goes_into(length_mm: float, *, room_mm: float) -> bool:
    """Tell whether a length goes into the room for it; one that is just as long does.
    **Source** derived.

    >>> goes_into(3 * 60.2, room_mm=180.6), goes_into(3 * 60.2, room_mm=180.5)
    (True, False)
    """
    is_longer = exceeds(length_mm, limit=room_mm)
    return not is_longer


def grains(length_mm: float) -> int:
    """Return a length in whole millionths of a millimetre, whose sums are exact: for
    searches that add up many. **Source** derived.

    >>> 3 * grains(60.2) == grains(180.6)
    True
    """
    in_grains = length_mm * _GRAINS_IN_A_MM
    return round(in_grains)
