"""How many vehicles of one type a road holds: standing coupled, and at work at fixed
spots.
"""

from collections.abc import Callable, Iterator
from typing import Literal

import msgspec

from standage.railway.stock.coupled import take_hold
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.ends import end_of
from standage.railway.stock.extents import (
    Extent,
    Unsaid,
    lacking,
    length_of,
    to_name,
    total,
)
from standage.railway.stock.joints import gap
from standage.railway.stock.mating import same_coupling
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import (
    agreeing,
    give_or_take,
    goes_into,
    left_for_stopping,
    millimetres,
    tidy,
)
from standage.railway.terms.reasons import Guess, Reason

CapacityVerdict = Literal["cannot_tell", "holds_none", "holds"]
MOST = 1_000_000
"""Nobody counts farther."""


class Row(msgspec.Struct, frozen=True, kw_only=True):
    """Vehicles of one type coupled in a row, all facing one way: one of them, the gap
    between two, and both free ends.

    ``together`` is whether they take hold of their like at all, None where nobody
    knows.
    """

    name: str
    vehicle: Extent
    joint: Extent
    free_ends: Extent
    rear_projection: Extent
    together: bool | None
    coupled_by: tuple[str | None, str | None]
    guesses: tuple[Guess, ...]

    @property
    def rear_projection_mm(self) -> float:
        """How far the free coupling at the rear stands out."""
        return self.rear_projection.known_mm

    @property
    def unsaid(self) -> tuple[Unsaid, ...]:
        """The couplings that nobody has named."""
        return (*self.joint.unsaid, *self.free_ends.unsaid)

    def with_each(self, ends: Callable[[Extent], Extent]) -> "Row":
        """Return the same vehicles with the longest, or the shortest, of the couplings
        that may be meant.
        """
        return msgspec.structs.replace(
            self,
            joint=ends(self.joint),
            free_ends=ends(self.free_ends),
            rear_projection=ends(self.rear_projection),
        )

    @property
    def pitch(self) -> Extent:
        """From one vehicle's end to the next one's like end."""
        return total((self.vehicle, self.joint))

    def standing(self, count: int) -> Extent:
        """Return the length of ``count`` of them pulled out, free couplings included;
        nothing for none.
        """
        if count == 0:
            return Extent(known_mm=0.0)
        known_mm = plus_minus_mm = 0.0
        parts = ((self.vehicle, count), (self.joint, count - 1), (self.free_ends, 1))
        for part, times in parts:
            known_mm += part.known_mm * times
            plus_minus_mm += part.plus_minus_mm * times
        return Extent(
            known_mm=known_mm,
            plus_minus_mm=plus_minus_mm,
        )

    def working_mm(self, count: int, *, fixed_spots: int) -> float:
        """Return what ``count`` of them need so that each in turn can be brought to one
        of the spots.

        The spots stand side by side, a vehicle's pitch apart, in a dead end. While the
        outermost vehicles are at them, all others stand farther in; while the innermost
        are, the row has been drawn out by as many places as there are vehicles more
        than spots. So n vehicles at k spots need n + (n - k) = 2n - k places, and n
        where k is no less. **Source** derived; a yard works at about half of what it
        holds (common practice).
        """
        drawn_out = max(0, count - fixed_spots)
        return self.standing(count).known_mm + drawn_out * self.pitch.known_mm


class Held(msgspec.Struct, frozen=True, kw_only=True):
    """How many a road holds, and the lengths that go with it; None where it cannot be
    told.
    """

    verdict: CapacityVerdict
    standing: int | None = None
    standing_for_certain: int | None = None
    working: int | None = None
    train_length_mm: float | None = None
    working_length_mm: float | None = None
    pitch_mm: float | None = None
    spare_mm: float | None = None
    plus_minus_mm: float | None = None
    because: tuple[Reason, ...]


def row_of(vehicle: Vehicle, *, types: CouplingTypes) -> Row:
    """Return vehicles like ``vehicle`` coupled in a row. **Source** derived."""
    length = length_of(vehicle)
    front = end_of(vehicle, at="front", over=length.over, types=types)
    rear = end_of(vehicle, at="rear", over=length.over, types=types)
    return Row(
        name=vehicle.name,
        vehicle=length.extent,
        joint=gap(rear, front),
        free_ends=total((front.projection, rear.projection)),
        rear_projection=rear.projection,
        together=take_hold(rear, front, types=types),
        coupled_by=(rear.type, front.type),
        guesses=(
            *front.reach_guesses,
            *rear.reach_guesses,
            *front.projection_guesses,
            *rear.projection_guesses,
            *length.guesses,
        ),
    )


class Working(msgspec.Struct, frozen=True, kw_only=True):
    """How many of as many as stand there can be worked, and the length that so many
    need to move in, in mm.
    """

    most: Callable[[int], int]
    length_mm: Callable[[int], float]


def side_by_side(row: Row, *, room_mm: float, fixed_spots: int) -> Working:
    """Return how many can be worked at spots side by side where they lie best. Lengths
    in mm. **Source** derived.
    """

    def needs_mm(count: int) -> float:
        return row.working_mm(count, fixed_spots=fixed_spots)

    def goes(count: int) -> bool:
        return goes_into(needs_mm(count), room_mm=room_mm)

    def most(standing: int) -> int:
        return greatest_count(goes, most=standing)

    return Working(most=most, length_mm=needs_mm)


class StandingRoom(msgspec.Struct, frozen=True, kw_only=True):
    """What a road has to stand in: its length with the margin for stopping taken off,
    its ±, and that margin, which is only told.
    """

    room_mm: float
    plus_minus_mm: float
    margin_mm: float = 0.0


def capacity(
    row: Row, room: StandingRoom, *, working: Callable[[Row], Working]
) -> Held:
    """Return how many of ``row`` a road holds; its ± counts only where that is said.

    Vehicles that do not take hold of their like for certain are held one at a time. At
    most ``MOST`` are counted. With couplings that nobody has named the longest that may
    be meant count; where any stand only with the shortest, it is ``cannot_tell``.
    **Source** derived.
    """
    if not row.unsaid:
        return _held(row, room, working(row))
    longest = row.with_each(Extent.longest)
    shortest = row.with_each(Extent.shortest)
    surely = _held(longest, room, working(longest))
    at_best = _held(shortest, room, working(shortest))
    if surely.standing == at_best.standing:
        return surely
    by_the_coupling = _by_the_coupling(row, surely.standing or 0, at_best.standing or 0)
    because = (by_the_coupling, *to_name(row.unsaid))
    if surely.verdict == at_best.verdict:
        return msgspec.structs.replace(surely, because=(*surely.because, *because))
    return Held(
        verdict="cannot_tell",
        because=because,
    )


def _held(row: Row, room: StandingRoom, working: Working) -> Held:
    missing = (*row.vehicle.missing, *row.joint.missing, *row.free_ends.missing)
    if missing:
        return Held(
            verdict="cannot_tell",
            because=lacking(missing),
        )
    if row.pitch.known_mm <= 0:
        return Held(
            verdict="cannot_tell",
            because=(_of_no_length(row),),
        )
    certain_room_mm = room.room_mm - room.plus_minus_mm

    def stand(count: int) -> bool:
        return goes_into(row.standing(count).known_mm, room_mm=room.room_mm)

    def stand_for_certain(count: int) -> bool:
        extent = row.standing(count)
        at_worst_mm = extent.known_mm + extent.plus_minus_mm
        return goes_into(at_worst_mm, room_mm=certain_room_mm)

    most = MOST if row.together else 1
    standing = greatest_count(stand, most=most)
    certain = greatest_count(stand_for_certain, most=most)
    worked = working.most(standing)
    held = row.standing(standing)
    off_mm = tidy(held.plus_minus_mm + room.plus_minus_mm)
    spare_mm = tidy(room.room_mm - held.known_mm)
    if standing == 0:
        reason = _none(row, room)
    else:
        stopping = left_for_stopping(room.margin_mm, joined="and")
        spare = f"{millimetres(spare_mm)} to spare{give_or_take(off_mm)}{stopping}"
        reason = _some(row, (standing, certain, worked), spare_mm=spare_mm, spare=spare)
    return Held(
        verdict="holds" if standing else "holds_none",
        standing=standing,
        standing_for_certain=certain,
        working=worked,
        train_length_mm=tidy(held.known_mm),
        working_length_mm=tidy(working.length_mm(worked)),
        pitch_mm=tidy(row.pitch.known_mm),
        spare_mm=spare_mm,
        plus_minus_mm=off_mm,
        because=(reason, *apart(row)),
    )


def greatest_count(goes: Callable[[int], bool], *, most: int) -> int:
    """Return the greatest count up to ``most`` that goes, where fewer always go if more
    do; 0 goes for nothing. **Source** derived.
    """
    low, high = 0, most
    while low < high:
        middle = (low + high + 1) // 2
        if goes(middle):
            low = middle
        else:
            high = middle - 1
    return low


def _some(
    row: Row, counts: tuple[int, int, int], *, spare_mm: float, spare: str
) -> Reason:
    """Return what a road holds in words; ``counts`` are how many stand, stand for
    certain, and can be worked.

    ``spare`` are the words for what is left over.
    """
    standing, certain, working = counts
    stand = agreeing(standing, "stands", "stand")
    surely = ""
    if certain == 0:
        surely = ", but not for certain"
    elif certain < standing:
        surely = f", but only {certain} for certain"
    message = (
        f"{row.name}: {standing} {stand} clear with {spare}{surely}; {working} can be"
        " worked there"
    )
    return Reason(code="holds", message=message, vehicle=row.name, amount_mm=spare_mm)


def _none(row: Row, room: StandingRoom) -> Reason:
    short_mm = tidy(row.standing(1).known_mm - room.room_mm)
    stopping = left_for_stopping(room.margin_mm)
    message = f"one {row.name} is {millimetres(short_mm)} too long by itself{stopping}"
    return Reason(
        code="too_long", message=message, vehicle=row.name, amount_mm=short_mm
    )


def apart(row: Row) -> Iterator[Reason]:
    """Yield that vehicles do not couple to their like, or that nobody knows whether
    they do. **Source** derived.
    """
    if row.together is None:
        yield same_coupling(row.name, f"the next {row.name}", row.coupled_by)
    if row.together is False:
        message = (
            f"{row.name} does not couple to another like it, rear to front: one at a"
            " time is counted"
        )
        yield Reason(
            code="couplings_do_not_mate",
            message=message,
            vehicle=row.name,
            other_vehicle=row.name,
        )


def _by_the_coupling(row: Row, surely: int, at_best: int) -> Reason:
    stand = agreeing(surely, "stands", "stand")
    message = (
        f"{row.name}: {surely} {stand} with the longest couplings it may have,"
        f" {at_best} with the shortest"
    )
    return Reason(code="depends_on_couplings", message=message, vehicle=row.name)


def _of_no_length(row: Row) -> Reason:
    message = (
        f"{row.name}: measure its length again; by these figures it takes up no room"
        " at all"
    )
    return Reason(
        code="figures_disagree", message=message, vehicle=row.name, field="length_mm"
    )
