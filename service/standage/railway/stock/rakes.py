"""Rakes (cuts): vehicles that stay together, which trains are made up of as of single
vehicles.
"""

from collections.abc import Iterator, Sequence

import msgspec

from standage.railway.stock.trains import MeasuredRake, Train
from standage.railway.stock.vehicles import EndsOver, Standing


class WholeLength(msgspec.Struct, frozen=True, kw_only=True):
    """The length of a rake measured as a whole, coupled and pulled out, in mm."""

    length_mm: float
    length_over: EndsOver
    length_plus_minus_mm: float | None = None


class Rake(msgspec.Struct, frozen=True, kw_only=True):
    """Vehicles in order from the rake's own head, and its length where it was measured
    whole.
    """

    vehicles: tuple[Standing, ...]
    whole: WholeLength | None = None

    def turned(self) -> "Rake":
        """Return the rake the other way round: its order reversed, and every vehicle's
        facing with it.
        """
        faced = (
            msgspec.structs.replace(one, reversed=not one.reversed)
            for one in reversed(self.vehicles)
        )
        return msgspec.structs.replace(self, vehicles=tuple(faced))


def strung(
    entries: Sequence[Standing | Rake], *, measured_rakes: Sequence[MeasuredRake] = ()
) -> Train:
    """Return the train that ``entries``, in order from the head, make: every rake is
    replaced by its vehicles.

    ``measured_rakes`` count the entries and must lie within them; the train's own count
    its vehicles. A rake that was measured whole brings that length along, unless one of
    ``measured_rakes`` covers it: what was measured of the train as it stands overrules.
    **Source** derived.
    """
    vehicles: list[Standing] = []
    starts: list[int] = []  # each entry's first vehicle, counted from 1
    for one in entries:
        starts.append(len(vehicles) + 1)
        if isinstance(one, Rake):
            vehicles += one.vehicles
        else:
            vehicles.append(one)
    starts.append(len(vehicles) + 1)
    measured: list[MeasuredRake] = []
    covered: set[int] = set()
    for whole in measured_rakes:
        first, last = starts[whole.first - 1], starts[whole.last] - 1
        measured.append(msgspec.structs.replace(whole, first=first, last=last))
        covered.update(range(whole.first - 1, whole.last))
    left = [pair for pair in enumerate(entries) if pair[0] not in covered]
    measured += _measured_whole(left, starts)
    measured.sort(key=lambda rake: rake.first)
    return Train(
        vehicles=tuple(vehicles),
        measured_rakes=tuple(measured),
    )


def _measured_whole(
    entries: Sequence[tuple[int, Standing | Rake]], starts: Sequence[int]
) -> Iterator[MeasuredRake]:
    for entry, one in entries:
        if isinstance(one, Rake) and one.whole is not None:
            yield MeasuredRake(
                first=starts[entry],
                last=starts[entry + 1] - 1,
                length_mm=one.whole.length_mm,
                length_over=one.whole.length_over,
                length_plus_minus_mm=one.whole.length_plus_minus_mm,
            )
