"""Scale speed: how fast a model goes when it goes as fast as the full size, and how long
it takes over a measured length.

Time is not scaled: a second of the model is a second.
"""

from fractions import Fraction

METRES_IN_A_MILE = Fraction("1609.344")
"""**Source** the international yard, 0.9144 m, of 1959; 1760 of them are a mile."""
_MM_IN_A_KILOMETRE = 1_000_000
_SECONDS_IN_AN_HOUR = 3_600


def kmh_of_mph(speed_mph: Fraction) -> Fraction:
    """Return miles an hour in kilometres an hour, exactly.

    **Source** the mile above.

    >>> float(kmh_of_mph(Fraction(60)))
    96.56064
    """
    return speed_mph * METRES_IN_A_MILE / 1000


def model_speed_mm_s(speed_kmh: Fraction, *, ratio: Fraction) -> Fraction:
    """Return how many millimetres a model goes in a second, where the full size goes at
    ``speed_kmh`` and is ``ratio`` times as large, exactly. 0 is 0.

    **Source** common practice: lengths are scaled down and time is not.

    >>> float(model_speed_mm_s(kmh_of_mph(Fraction(60)), ratio=Fraction("76.2")))
    352.0
    """
    full_size_mm_s = speed_kmh * _MM_IN_A_KILOMETRE / _SECONDS_IN_AN_HOUR
    return full_size_mm_s / ratio


def seconds_over(length_mm: Fraction, *, speed_mm_s: Fraction) -> Fraction:
    """Return how long it takes to go ``length_mm``, exactly. Raises ``ValueError`` where
    the speed is not above 0 mm/s: nothing then arrives.

    **Source** derived: length divided by speed.

    >>> float(seconds_over(Fraction(1056), speed_mm_s=Fraction(352)))
    3.0
    """
    if speed_mm_s <= 0:
        message = f"speed_mm_s is {float(speed_mm_s):g} mm/s, but must be above 0"
        raise ValueError(message)
    return length_mm / speed_mm_s
