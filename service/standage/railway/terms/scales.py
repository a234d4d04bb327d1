"""Scales and gauges by their names.

**Source** NEM 010 (2011) for the continental ones and NMRA S-3.2 for the American ones.
British ratios and gauges, the fine and the narrow ones, and the Japanese ones are
common practice, no source. EM is given as it is laid today, 18.2 mm; the British
standards bureau of 1950 had 18.0 mm.
"""

from fractions import Fraction
from typing import Literal

import msgspec

ScaleName = Literal[
    "Z",
    "N",
    "N British",
    "N Japanese",
    "2 mm fine",
    "3 mm",
    "3 mm fine",
    "TT",
    "H0",
    "HO",
    "H0 Japanese",
    "H0m",
    "H0e",
    "HOn3",
    "HOn30",
    "00",
    "OO",
    "EM",
    "P4",
    "S4",
    "009",
    "S",
    "Sn3",
    "0",
    "0 British",
    "S7",
    "O",
    "0e",
    "016.5",
    "On3",
    "On30",
    "1",
    "II",
    "G",
]
Practice = Literal["british", "continental", "american"]


class Scale(msgspec.Struct, frozen=True, kw_only=True):
    """A scale: how many times smaller than life, on what gauge, by whose practice."""

    name: str
    ratio: float
    gauge_mm: float
    practice: Practice

    @property
    def is_narrow(self) -> bool:
        """Whether its track is a narrow gauge in full size, Cape gauge included."""
        full_size_gauge_mm = self.gauge_mm * self.ratio
        return full_size_gauge_mm < _STANDARD_GAUGE_FROM_MM


_STANDARD_GAUGE_FROM_MM = 1200.0
"""Between Cape gauge, 1067 mm, and what 12 mm track comes to in 3 mm scale, 1219 mm:
both full-size figures.
"""
_TABLE: tuple[tuple[ScaleName, float, float, Practice], ...] = (
    ("Z", 220.0, 6.5, "continental"),
    ("N", 160.0, 9.0, "continental"),
    ("N British", 148.0, 9.0, "british"),
    ("N Japanese", 150.0, 9.0, "continental"),
    ("2 mm fine", 152.4, 9.42, "british"),
    ("3 mm", 101.6, 12.0, "british"),
    ("3 mm fine", 101.6, 14.2, "british"),
    ("TT", 120.0, 12.0, "continental"),
    ("H0", 87.0, 16.5, "continental"),
    ("HO", 87.1, 16.5, "american"),
    ("H0 Japanese", 80.0, 16.5, "continental"),
    ("H0m", 87.0, 12.0, "continental"),
    ("H0e", 87.0, 9.0, "continental"),
    ("HOn3", 87.1, 10.5, "american"),
    ("HOn30", 87.1, 9.0, "american"),
    ("00", 76.2, 16.5, "british"),
    ("OO", 76.2, 16.5, "british"),
    ("EM", 76.2, 18.2, "british"),
    ("P4", 76.2, 18.83, "british"),
    ("S4", 76.2, 18.83, "british"),
    ("009", 76.2, 9.0, "british"),
    ("S", 64.0, 22.5, "american"),
    ("Sn3", 64.0, 14.3, "american"),
    ("0", 45.0, 32.0, "continental"),
    ("0 British", 43.5, 32.0, "british"),
    ("S7", 43.5, 33.0, "british"),
    ("O", 48.0, 32.0, "american"),
    ("0e", 45.0, 16.5, "continental"),
    ("016.5", 43.5, 16.5, "british"),
    ("On3", 48.0, 19.05, "american"),
    ("On30", 48.0, 16.5, "american"),
    ("1", 32.0, 45.0, "continental"),
    ("II", 22.5, 64.0, "continental"),
    ("G", 22.5, 45.0, "continental"),
)
_SCALES = {
    name: Scale(name=name, ratio=ratio, gauge_mm=gauge_mm, practice=practice)
    for name, ratio, gauge_mm, practice in _TABLE
}


def scale(name: ScaleName) -> Scale:
    """Return the scale of that name. **Source** that of this file.

    >>> scale("00").ratio
    76.2
    """
    return _SCALES[name]


def full_size_mm(length_m: float, *, ratio: float) -> float:
    """Return how long ``length_m`` metres of the full size are in the model, in
    millimetres. **Source** derived.

    >>> round(full_size_mm(26.4, ratio=87), 1)
    303.4
    """
    full_size_mm = length_m * 1000
    return full_size_mm / ratio


def in_another_scale(
    length_mm: Fraction, *, from_scale: ScaleName, to_scale: ScaleName
) -> Fraction:
    """Return how long a model's length is in another scale: the same in full size.
    **Source** derived.

    >>> in_another_scale(Fraction(258), from_scale="00", to_scale="2 mm fine")
    Fraction(129, 1)
    """
    ratio = Fraction(str(_SCALES[from_scale].ratio))
    to_ratio = Fraction(str(_SCALES[to_scale].ratio))
    return length_mm * ratio / to_ratio


def same_scale(one: ScaleName, other: ScaleName) -> bool:
    """Tell whether two names mean models of one size (00 and EM do; H0 and HO do,
    within a fifth of a per cent). **Source** derived.
    """
    ratios = _SCALES[one].ratio / _SCALES[other].ratio
    return abs(ratios - 1) < 0.002  # noqa: PLR2004 - H0 and HO differ by 0.0012
