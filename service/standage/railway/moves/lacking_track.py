"""The track that is too short for an engine to leave its train, and by how much."""

from collections.abc import Iterable
from math import ceil

from msgspec.structs import replace

from standage.railway.moves.cures import MOST_MM
from standage.railway.moves.ground import Ground
from standage.railway.moves.run_round import (
    Leaving,
    gets_away,
    longest_engine,
    near_strands,
    room_mm,
    with_longer_track,
)
from standage.railway.terms.figures import tidy

_NEAR_MM = 0.5
_NOTICED_MM = 1e-3
_STEPS_OF_A_MM = 10
"""Track is told too short to a tenth of a millimetre."""
_MOST_STRANDS = 12
"""So many strands are tried."""


def lacking_track(
    ground: Ground, leaving: Leaving, strands: Iterable[int]
) -> dict[int, float]:
    """Return by how much some strands are too short, in mm, each the only one.

    Tried are those of the train's place, and those about which an engine is stopped
    that is a little longer than the longest; up to two metres. Each was asked again,
    once it was so much longer. **Source** derived.
    """
    lacking = _Lacking(ground, leaving)
    near = [strand for strand in strands if strand in lacking.close]
    found: dict[int, float] = {}
    for strand in near[:_MOST_STRANDS]:
        lacking_mm = lacking.least_mm(strand)
        if lacking_mm is not None:
            found[strand] = lacking_mm
    return found


class _Lacking:
    """Track made longer, and asked again."""

    def __init__(self, ground: Ground, leaving: Leaving) -> None:
        self.ground = ground
        self.leaving = leaving
        self.close = frozenset(course >> 1 for course in leaving.place.courses)
        over_mm = leaving.train_mm - room_mm(ground, leaving.place)
        if over_mm <= 0:
            longest_mm = longest_engine(ground, leaving).mm or 0.0
            over_mm = leaving.engine_mm - longest_mm
            longer = replace(leaving, engine_mm=longest_mm + _NOTICED_MM)
            self.close |= near_strands(ground, longer, near_mm=_NEAR_MM)
        # What train or engine is too long by is likely to be just what is lacking.
        self._likely_mm = tidy(over_mm)

    def least_mm(self, strand: int) -> float | None:
        """Return the least by which a strand must be longer; None where that is no
        help.
        """
        if self._helps(strand, self._likely_mm):
            a_little_less_mm = self._likely_mm - 1 / _STEPS_OF_A_MM
            if not self._helps(strand, a_little_less_mm):
                return self._likely_mm
            return self._halfway(strand, self._likely_mm)
        if self._helps(strand, MOST_MM):
            return self._halfway(strand, MOST_MM)
        return None

    def _halfway(self, strand: int, enough_mm: float) -> float:
        too_few, enough = 0, ceil(enough_mm * _STEPS_OF_A_MM)
        while enough - too_few > 1:
            middle = (too_few + enough) // 2
            if self._helps(strand, middle / _STEPS_OF_A_MM):
                enough = middle
            else:
                too_few = middle
        return tidy(enough / _STEPS_OF_A_MM)

    def _helps(self, strand: int, by_mm: float) -> bool:
        if not 0 < by_mm <= MOST_MM:
            return False
        longer, asked = with_longer_track(
            self.ground, self.leaving, strand, by_mm=by_mm
        )
        return gets_away(longer, asked)
