"""Scales and gauges by their names.

Source: NEM 010 (2011) and NMRA S-3.2 for the ratios and gauges; British names from the trade's own standards bureau of
1950 (its EM gauge is given as it is laid today, 18.2 mm).
"""

from typing import Literal

import msgspec

ScaleName = Literal[
    "Z", "N", "N British", "3 mm", "TT", "H0", "HO", "H0m", "H0e", "00", "OO", "EM", "S", "0", "0 British", "O", "1"
]
Practice = Literal["british", "continental", "american"]


class Scale(msgspec.Struct, frozen=True, kw_only=True):
    """A scale: how many times smaller than life, on what gauge, by whose practice."""

    name: str
    ratio: float
    gauge_mm: float
    practice: Practice


_TABLE: tuple[tuple[ScaleName, float, float, Practice], ...] = (
    ("Z", 220.0, 6.5, "continental"),
    ("N", 160.0, 9.0, "continental"),
    ("N British", 148.0, 9.0, "british"),
    ("3 mm", 101.6, 12.0, "british"),
    ("TT", 120.0, 12.0, "continental"),
    ("H0", 87.0, 16.5, "continental"),
    ("HO", 87.1, 16.5, "american"),
    ("H0m", 87.0, 12.0, "continental"),
    ("H0e", 87.0, 9.0, "continental"),
    ("00", 76.2, 16.5, "british"),
    ("OO", 76.2, 16.5, "british"),
    ("EM", 76.2, 18.2, "british"),
    ("S", 64.0, 22.5, "american"),
    ("0", 45.0, 32.0, "continental"),
    ("0 British", 43.5, 32.0, "british"),
    ("O", 48.0, 32.0, "american"),
    ("1", 32.0, 45.0, "continental"),
)
_SCALES = {
    name: Scale(name=name, ratio=ratio, gauge_mm=gauge_mm, practice=practice)
    for name, ratio, gauge_mm, practice in _TABLE
}


def scale(name: ScaleName) -> Scale:
    """Return the scale of that name.

    >>> scale("00").ratio
    76.2
    """
    return _SCALES[name]


def full_size_mm(length_m: float, *, ratio: float) -> float:
    """Return how long ``length_m`` metres of the full size are in the model, in millimetres.

    >>> round(full_size_mm(26.4, ratio=87), 1)
    303.4
    """
    return length_m * 1000 / ratio


def same_scale(one: ScaleName, other: ScaleName) -> bool:
    """Tell whether two names mean models of one size (00 and EM do; H0 and HO do, within a fifth of a per cent)."""
    return abs(_SCALES[one].ratio / _SCALES[other].ratio - 1) < 0.002  # noqa: PLR2004 - H0 and HO differ by 0.0012
