"""How many vehicles can be worked at loading spots that lie anywhere along a dead end.

Vehicles stand coupled in one row that is pushed up to the buffer stop or drawn out from
it, always within the road. One can be worked where its middle can be brought to a spot.
With all of them k side by side in the best place this falls back on n vehicles needing
2n - k lengths. **Source** derived.
"""

from collections.abc import Sequence
from math import ceil, floor

from standage.railway.standing.capacity import Row, Working
from standage.railway.terms.figures import goes_into, tidy

_DUST = 1e-9


def worked_at(
    row: Row,
    *,
    vehicles: int,
    room_mm: float,
    spots_mm: Sequence[float],
    play_mm: float = 0.0,
) -> bool:
    """Tell whether each of so many vehicles in turn can be brought to one of the spots
    without leaving the road.

    ``spots_mm`` are measured from the buffer stop to the middle of each spot; a
    vehicle's middle may be off by ``play_mm`` either way. All lie in ``room_mm``, which
    is the road's length less its margin. True for none. **Source** derived: the row
    moves along the road as one.
    """
    if vehicles == 0:
        return True
    standing_mm = row.standing(vehicles).known_mm
    if not goes_into(standing_mm, room_mm=room_mm):
        return False
    moves_mm = tidy(room_mm - standing_mm)
    innermost_mm = _innermost_mm(row)
    pitch_mm = row.pitch.known_mm
    reached = 0
    for spot_mm in sorted(spots_mm):
        nearest_mm, farthest_mm = spot_mm - play_mm, spot_mm + play_mm
        # drawn out as far as may be, and pushed up to the stop
        first = ceil((nearest_mm - moves_mm - innermost_mm) / pitch_mm - _DUST)
        last = floor((farthest_mm - innermost_mm) / pitch_mm + _DUST)
        if first <= reached <= last:
            reached = last + 1
    return reached >= vehicles


def most_worked_at(
    row: Row,
    *,
    standing: int,
    room_mm: float,
    spots_mm: Sequence[float],
    play_mm: float = 0.0,
) -> int:
    """Return how many vehicles, at most ``standing``, can be worked at the spots: if so
    many can, fewer can too. Lengths in mm; 0 where not even one can. **Source**
    derived.
    """
    low, high = 0, standing
    while low < high:
        middle = (low + high + 1) // 2
        goes = worked_at(
            row, vehicles=middle, room_mm=room_mm, spots_mm=spots_mm, play_mm=play_mm
        )
        if goes:
            low = middle
        else:
            high = middle - 1
    return low


def working_mm(
    row: Row, *, vehicles: int, spots_mm: Sequence[float], play_mm: float = 0.0
) -> float:
    """Return the length that so many vehicles need to be worked at the spots, drawn out
    no farther than they must. **Source** derived.
    """
    if vehicles == 0:
        return 0.0
    innermost_mm = _innermost_mm(row)
    pitch_mm = row.pitch.known_mm
    drawn_mm, reached = 0.0, 0
    for spot_mm in sorted(spots_mm):
        nearest_mm, farthest_mm = spot_mm - play_mm, spot_mm + play_mm
        pushed_up = floor((farthest_mm - innermost_mm) / pitch_mm + _DUST)
        last = min(vehicles - 1, pushed_up)
        if last >= reached:
            asked_mm = nearest_mm - innermost_mm - reached * pitch_mm
            drawn_mm = max(drawn_mm, asked_mm)
            reached = last + 1
    return tidy(row.standing(vehicles).known_mm + drawn_mm)


def at_spots(
    row: Row, *, room_mm: float, spots_mm: Sequence[float], play_mm: float = 0.0
) -> Working:
    """Return how many can be worked at spots that lie where they lie. Lengths in mm,
    from the buffer stop. **Source** derived.
    """

    def most(standing: int) -> int:
        return most_worked_at(
            row, standing=standing, room_mm=room_mm, spots_mm=spots_mm, play_mm=play_mm
        )

    def length_mm(count: int) -> float:
        return working_mm(
            row,
            vehicles=count,
            spots_mm=spots_mm,
            play_mm=play_mm,
        )

    return Working(most=most, length_mm=length_mm)


def _innermost_mm(row: Row) -> float:
    """Return from the buffer stop to the middle of the vehicle beside it, whose free
    coupling touches the stop.
    """
    half_mm = row.vehicle.known_mm / 2
    return row.rear_projection_mm + half_mm
