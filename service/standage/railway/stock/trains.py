"""Trains: vehicles in order from the head, and how long they are coupled together."""

from collections.abc import Iterable
from typing import Annotated

import msgspec

from standage.railway.stock.vehicles import EndsOver, Standing
from standage.railway.terms.figures import Tolerance, TrainLengthMm, says
from standage.shapes.faults import Fault, Ruled

MOST_VEHICLES = 200
"""Entries in the list of a train's vehicles."""
MOST_IN_ALL = 1000
"""Vehicles of a train, like ones counted out: more than any layout runs, and few enough
to be answered at once.
"""

Position = Annotated[
    int,
    msgspec.Meta(
        ge=1,
        le=MOST_VEHICLES,
        description="A place in the list, counted from 1 at the head.",
    ),
]


class MeasuredRake(Ruled, frozen=True, kw_only=True):
    """Neighbours in a train whose length was measured as a whole, coupled and pulled
    out; it overrules their sum.
    """

    first: Annotated[
        Position,
        says("Where in the list of vehicles it begins, counted from 1 at the head."),
    ]
    last: Annotated[Position, says("Where in the list it ends.")]
    length_mm: Annotated[TrainLengthMm, says("Of the rake pulled out, in mm.")]
    length_over: Annotated[
        EndsOver,
        says("Over its outer buffers, or over the couplings of its outer ends."),
    ]
    length_plus_minus_mm: Annotated[
        Tolerance | None,
        says("How far off it may be, either way, in mm; 0.5 if not said."),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """A rake ends where it begins or after."""
        if self.last < self.first:
            yield Fault(
                code="contradiction",
                message="must not come before first",
                pointer="/last",
            )


Rakes = Annotated[tuple[MeasuredRake, ...], msgspec.Meta(max_length=50)]


class Train(msgspec.Struct, frozen=True, kw_only=True):
    """Vehicles in order from the head of the train, with the rakes that were measured
    whole.
    """

    vehicles: tuple[Standing, ...]
    measured_rakes: tuple[MeasuredRake, ...] = ()


def rakes_out_of_place(
    rakes: Iterable[MeasuredRake], *, vehicles: int
) -> Iterable[Fault]:
    """Yield a fault for every rake that runs beyond the list of ``vehicles`` or into
    the rake before it. Entries are counted from 1. **Source** derived.
    """
    taken = 0
    for position, rake in sorted(enumerate(rakes), key=lambda pair: pair[1].first):
        pointer = f"/measured_rakes/{position}"
        if rake.last > vehicles:
            message = f"is beyond the train's {vehicles} entries"
            yield Fault(
                code="beyond_train",
                message=message,
                pointer=f"{pointer}/last",
            )
        if rake.first <= taken:
            message = "overlaps the measured rake before it"
            yield Fault(
                code="contradiction", message=message, pointer=f"{pointer}/first"
            )
        taken = max(taken, rake.last)


def too_many_in_all(counts: Iterable[int]) -> Iterable[Fault]:
    """Yield a fault where ``counts``, of like vehicles in each entry, come to more than
    a train may hold. **Source** derived: a bound of the service, far beyond any train.
    """
    in_all = sum(counts)
    if in_all > MOST_IN_ALL:
        message = (
            f"come to {in_all} vehicles with their counts; a train holds at most"
            f" {MOST_IN_ALL}"
        )
        yield Fault(code="too_many", message=message, pointer="/vehicles")
