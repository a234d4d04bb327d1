"""What is looked at, taken apart: its parts in their order, and what they tell about
the whole.

Vehicles and places are things of their own: a path to a figure begins at them. So it
does at whatever else bears a name.
"""

from typing import NamedTuple

import msgspec

from standage.railway.roads.places import PlaceFigures
from standage.railway.slips.sensed import scale_of, shape_of, told
from standage.railway.stock.vehicles import VehicleFigures
from standage.railway.terms.scales import Practice, ScaleName


class Part(NamedTuple):
    """A struct within what is looked at: the scale and the name nearest to it, and the
    path to it from there.
    """

    figures: msgspec.Struct
    of: ScaleName | None
    name: str | None
    path: tuple[str, ...] = ()


class Apart:
    """A whole, taken apart.

    Of like vehicles only the first is a part: a long train has many, and hundreds of
    trains many more.
    """

    def __init__(self, whole: msgspec.Struct) -> None:
        self.parts: list[Part] = []
        self.scales: set[ScaleName] = set()
        self.vehicle_scales: set[ScaleName] = set()
        self.practices: set[Practice] = set()
        self.longest_mm: float | None = None
        """The longest vehicle."""
        self._seen: set[tuple[VehicleFigures, ScaleName | None]] = set()
        self._take_in(Part(whole, None, None))

    def _take_in(self, found: Part) -> None:
        """Add a struct, which is found below the scale, the name and the path that
        ``found`` has, and all the parts in it.
        """
        figures = found.figures
        if isinstance(figures, VehicleFigures):
            self._add_vehicle(figures, found.of)
        elif isinstance(figures, PlaceFigures):
            scale = figures.scale or found.of
            self._add(Part(figures, scale, told(figures, "name")))
        else:
            part = _own(found)
            self._add(part)
            self._take_all_in(part)

    def _take_all_in(self, part: Part) -> None:
        shape = shape_of(type(part.figures))
        for way in shape.ways:
            path = part.path
            if not way.is_itself:
                path = (*path, way.sent)
            within = getattr(part.figures, way.name)
            if isinstance(within, tuple):
                self._take_row_in(within, part, path)
            elif isinstance(within, msgspec.Struct):
                below = Part(within, part.of, part.name, path)
                self._take_in(below)

    def _take_row_in(
        self, row: tuple[msgspec.Struct, ...], part: Part, path: tuple[str, ...]
    ) -> None:
        for position, one in enumerate(row):
            if isinstance(one, VehicleFigures):  # most rows are of vehicles
                self._add_vehicle(one, part.of)
                continue
            at = (*path, str(position))
            below = Part(one, part.of, part.name, at)
            self._take_in(below)

    def _add(self, part: Part) -> None:
        if part.of is not None:
            self.scales.add(part.of)
        self.parts.append(part)

    def _add_vehicle(self, vehicle: VehicleFigures, of: ScaleName | None) -> None:
        key = (vehicle, of)
        if key in self._seen:
            return
        self._seen.add(key)
        self.parts.append(Part(vehicle, of, told(vehicle, "name")))
        if vehicle.scale is not None:
            self.vehicle_scales.add(vehicle.scale)
        if vehicle.practice is not None:
            self.practices.add(vehicle.practice)
        self._measure(vehicle.length_mm)

    def _measure(self, length_mm: float | None) -> None:
        if length_mm is None:
            return
        if self.longest_mm is None or length_mm > self.longest_mm:
            self.longest_mm = length_mm


def _own(found: Part) -> Part:
    """Return a struct with its own scale, and its own name, from which paths begin,
    where it has them.
    """
    figures = found.figures
    scale = scale_of(figures) or found.of
    name = told(figures, "name")
    if name is None:
        return found._replace(of=scale)
    return Part(figures, scale, name)
