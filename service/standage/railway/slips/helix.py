"""A helix whose run is that of one turn, though it rises as high as several."""

import math
from collections.abc import Iterator

from standage.railway.slips.slip import Slip, shown
from standage.railway.slips.track import STEEPEST_PERCENT

_AS_RECKONED = 0.01
"""So far off a turn's length is still that: 22/7 and 3 1/7 are nearer, 3.1 is not."""
_STEEP = 1 / 30
"""Practice has 1 in 30 for steep. **Source** common practice."""


def one_turn_slips(
    run_mm: float, *, rise_mm: float, radius_mm: float, field: str = ""
) -> Iterator[Slip]:
    """Yield a slip where a climb's run, in mm, is the length of one turn of its helix
    and far too short for its rise: steeper than any line, from 10 % on.

    What is proposed is the run of the fewest turns by which it is no steeper than 1 in
    30. **Source** common practice.
    """
    turn_mm = math.tau * radius_mm
    is_one_turn = abs(run_mm / turn_mm - 1) <= _AS_RECKONED
    if not is_one_turn or 100 * rise_mm <= STEEPEST_PERCENT * run_mm:
        return
    turns = math.ceil(rise_mm / _STEEP / turn_mm)
    meant_mm = turns * turn_mm
    message = (
        f"{shown(run_mm)} mm is one turn of {shown(radius_mm)} mm radius, in which"
        f" nothing climbs {shown(rise_mm)} mm: write the whole run, with {turns} turns"
        f" {shown(meant_mm)}"
    )
    yield Slip(
        code="one_turn",
        field=field,
        message=message,
        likely="one_turn",
        likely_value=round(meant_mm, 3),
    )
