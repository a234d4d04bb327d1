"""From rail to rail where one track crosses over another, as a stack; and how high the
stock is that goes beneath.
"""

from collections.abc import Iterable, Iterator
from typing import Annotated, Literal

import msgspec

from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import millimetres, says, tidy
from standage.railway.terms.nem import ample_height_mm
from standage.railway.terms.reasons import Guess, Reason
from standage.railway.terms.scales import ScaleName

LayerName = Literal["rail", "deck", "reserve", "wire", "stock"]


class Layer(msgspec.Struct, frozen=True, kw_only=True):
    """One layer of the stack from the upper rail's top down to the lower one's."""

    layer: Annotated[LayerName, says("What it is.")]
    height_mm: Annotated[float, says("How high it is, in mm.")]
    from_mm: Annotated[float, says("Its underside above the lower rail's top, in mm.")]
    to_mm: Annotated[float, says("Its top above the lower rail's top, in mm.")]


def stacked(heights_mm: Iterable[tuple[LayerName, float]]) -> tuple[Layer, ...]:
    """Return the layers from the uppermost down, each standing on the next; heights in
    mm. **Source** derived.

    >>> [layer.to_mm for layer in stacked([("rail", 3.2), ("deck", 10), ("stock", 37)])]
    [50.2, 47.0, 37.0]
    """
    layers: list[Layer] = []
    below_mm = 0.0
    for name, height_mm in reversed(tuple(heights_mm)):
        top_mm = tidy(below_mm + height_mm)
        layer = Layer(
            layer=name,
            height_mm=height_mm,
            from_mm=below_mm,
            to_mm=top_mm,
        )
        layers.append(layer)
        below_mm = top_mm
    layers.reverse()
    return tuple(layers)


class Tallest(msgspec.Struct, frozen=True, kw_only=True):
    """How high the stock is: the tallest that was measured, and the tallest that may be
    among what was not; None where nothing is known of either.
    """

    measured_mm: float | None = None
    vehicle: str | None = None
    at_most_mm: float | None = None
    guesses: tuple[Guess, ...] = ()
    lacking: tuple[Reason, ...] = ()

    @property
    def height_mm(self) -> float | None:
        """The height that surely does; None where that is not known."""
        if self.lacking:
            return None
        known_mm = [
            height_mm
            for height_mm in (self.measured_mm, self.at_most_mm)
            if height_mm is not None
        ]
        return max(known_mm, default=None)


def tallest(vehicles: Iterable[Vehicle], *, scale: ScaleName | None) -> Tallest:
    """Return how high vehicles are, in mm; one that gives no scale is of ``scale``.

    One whose height nobody measured counts as high as any stock of its scale may be;
    without a scale its height is lacking. **Source** ``terms.nem.ample_height_mm``.
    """
    measured_mm: float | None = None
    name: str | None = None
    unmeasured: list[Vehicle] = []
    for vehicle in vehicles:
        height_mm = vehicle.height_mm
        if height_mm is None:
            unmeasured.append(vehicle)
        elif measured_mm is None or height_mm > measured_mm:
            measured_mm = height_mm
            name = vehicle.name
    guesses = list(_as_high_as_any(unmeasured, scale))
    at_most_mm = [guess.value_mm for guess in guesses if guess.value_mm is not None]
    return Tallest(
        measured_mm=measured_mm,
        vehicle=name,
        at_most_mm=max(at_most_mm, default=None),
        guesses=tuple(guesses),
        lacking=tuple(_lacking(unmeasured, scale)),
    )


def _as_high_as_any(
    unmeasured: Iterable[Vehicle], scale: ScaleName | None
) -> Iterator[Guess]:
    for vehicle in unmeasured:
        name = vehicle.scale or scale
        if name is None:
            continue
        ample_mm = ample_height_mm(name, practice=vehicle.practice)
        about = (
            f"its height is not given and is taken to be {millimetres(ample_mm)}: no"
            " stock of its scale is higher"
        )
        yield Guess(
            vehicle=vehicle.name,
            field="height_mm",
            about=about,
            source="typical",
            value_mm=ample_mm,
        )


def _lacking(
    unmeasured: Iterable[Vehicle], scale: ScaleName | None
) -> Iterator[Reason]:
    told: set[str] = set()
    for vehicle in unmeasured:
        is_of_a_scale = (vehicle.scale or scale) is not None
        if is_of_a_scale or vehicle.name in told:
            continue
        told.add(vehicle.name)
        yield measure_its_height(vehicle.name)


def measure_its_height(vehicle: str) -> Reason:
    """Return the reason that a vehicle's height has to be measured. **Source** plain
    English.
    """
    message = f"{vehicle}: measure its height, to know what it passes under"
    return Reason(
        code="missing_figure",
        message=message,
        vehicle=vehicle,
        field="height_mm",
    )
