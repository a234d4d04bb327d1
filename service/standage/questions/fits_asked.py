"""How a caller asks for a table: trains on record, by their vehicles or by their length,
and places.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Annotated

import msgspec

from standage.questions.asked import AskedEntry, AskedNamedTrain, AskedPlace, repeated
from standage.questions.reckoning import MayBeExact
from standage.railway.stock.trains import MeasuredRake
from standage.railway.terms.figures import (
    HeightMm,
    IdOrName,
    RadiusMm,
    Room,
    Tolerance,
    TrainLengthMm,
    says,
)
from standage.railway.terms.scales import ScaleName
from standage.shapes.faults import Fault, Ruled

MOST_TRAINS = 200
MOST_PLACES = 100
_OF_A_LENGTH = (
    "length_plus_minus_mm",
    "scale",
    "height_mm",
    "minimum_radius_mm",
)


class TrainToFit(AskedNamedTrain, frozen=True, kw_only=True):
    """A train on record, by its vehicles, or by its length alone."""

    length_mm: Annotated[
        TrainLengthMm | None,
        says(
            "Its length pulled out, free couplings included, in mm, instead of vehicles."
        ),
    ] = None
    length_plus_minus_mm: Annotated[
        Tolerance | None,
        says("How far off that length may be, in mm; 0.5 if not said."),
    ] = None
    scale: Annotated[ScaleName | None, says("Of that train its scale.")] = None
    height_mm: Annotated[
        HeightMm | None, says("Of that train its highest vehicle's height, in mm.")
    ] = None
    minimum_radius_mm: Annotated[
        RadiusMm | None,
        says("Of that train the sharpest curve that all of it runs on, in mm."),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """Either a length with what goes with it, or vehicles, or a train on record."""
        if self.length_mm is None:
            yield from super().rules()
            for field in _OF_A_LENGTH:
                if getattr(self, field) is not None:
                    message = "goes with length_mm: vehicles have their own"
                    yield _one_or_the_other(message, field)
            return
        for field in ("train_id", "vehicles", "measured_rakes"):
            if getattr(self, field):
                message = "cannot be given beside length_mm: leave one of them out"
                yield _one_or_the_other(message, field)


def _one_or_the_other(message: str, field: str) -> Fault:
    return Fault(code="one_or_the_other", message=message, pointer=f"/{field}")


class FitsRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """Trains, and the places in which they are to stand."""

    trains: Annotated[
        Annotated[
            tuple[TrainToFit, ...], msgspec.Meta(min_length=1, max_length=MOST_TRAINS)
        ],
        says("The trains."),
    ]
    places: Annotated[
        Annotated[tuple[AskedPlace, ...], msgspec.Meta(max_length=MOST_PLACES)],
        says("The places; needed unless layout_id is given."),
    ] = ()
    layout_id: Annotated[
        IdOrName | None, says("All places of a layout on record, instead of places.")
    ] = None
    stopping_margin_mm: Annotated[
        Room | None,
        says(
            "Room left for stopping, both ends together, in mm; each place's own, or a"
            " stated default, if not given."
        ),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """Places or a layout; nothing on record is named twice."""
        if (self.layout_id is None) == (not self.places):
            yield _one_or_the_other("give places, or a layout_id instead", "places")
        yield from repeated(
            (one.train_id for one in self.trains), "/trains", "train_id"
        )
        yield from repeated(
            (one.place_id for one in self.places), "/places", "place_id"
        )


def as_vehicles(asked: TrainToFit, number: int, *, exact: bool) -> AskedNamedTrain:
    """Return a train that is given by its length as a vehicle of unknown length that
    was measured coupled up: so it is judged as any other.
    """
    if asked.length_mm is None:
        return asked
    name = asked.name or f"train {number}"
    entry = AskedEntry(
        name=name,
        scale=asked.scale,
        height_mm=asked.height_mm,
        minimum_radius_mm=asked.minimum_radius_mm,
    )
    off_mm = asked.length_plus_minus_mm
    if off_mm is None and exact:
        off_mm = 0.0
    whole = MeasuredRake(
        first=1,
        last=1,
        length_mm=asked.length_mm,
        length_over="couplings",
        length_plus_minus_mm=off_mm,
    )
    return AskedNamedTrain(name=name, vehicles=(entry,), measured_rakes=(whole,))


def told_apart(names: Sequence[str], *, what: str) -> list[str]:
    """Return the names, with its number added to each that there is more than once.

    >>> told_apart(["Bay", "Loop", "Bay"], what="place")
    ['Bay (place 1)', 'Loop', 'Bay (place 3)']
    """
    often = Counter(names)
    apart = []
    for number, name in enumerate(names, 1):
        told = name
        if often[name] > 1:
            told = f"{name} ({what} {number})"
        apart.append(told)
    return apart
