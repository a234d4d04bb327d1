"""By what materials are counted where no plan says it."""

import msgspec

STOCK_LENGTH_MM = 914.0
"""A yard, as plain track is sold in many places. **Source** common practice, no
source."""
SAW_MM = 1.0
DROPPER_OVER_MM = 100.0
UNDERLAY_GAUGES = 2.3
"""So many gauges wide underlay is. **Source** common practice, no source."""


class Rules(msgspec.Struct, frozen=True, kw_only=True):
    """How long track is that is bought, what a cut takes, from which length on a piece
    has wires of its own, and how wide underlay is; None where nobody knows. In mm.
    """

    stock_length_mm: float = STOCK_LENGTH_MM
    saw_mm: float = SAW_MM
    dropper_over_mm: float = DROPPER_OVER_MM
    underlay_width_mm: float | None = None


def underlay_width(gauge_mm: float | None) -> float | None:
    """Return how wide underlay is for a gauge, to whole mm; None where the gauge is not
    known. **Source** common practice, no source.

    >>> underlay_width(16.5)
    38.0
    """
    if gauge_mm is None:
        return None
    return float(max(1, round(UNDERLAY_GAUGES * gauge_mm)))
