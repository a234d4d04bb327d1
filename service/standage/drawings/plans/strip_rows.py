"""One row of a road straightened: everything stands where it is along the road, seen
from the side with the first end on the left.
"""

from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.paper import GREY, line
from standage.drawings.plans.free_room import Box, Room
from standage.drawings.plans.lettering import Words, words, write
from standage.drawings.plans.roads_drawn import StraightRoad
from standage.drawings.plans.sheets import Paper, moved
from standage.drawings.plans.signs import WORDS, draw_shape
from standage.drawings.plans.train_stands import OnTheRoad
from standage.railway.terms.figures import millimetres

ROW_MM = 52.0
_RAIL_MM = 25.0
"""From a row's upper edge down to its rail."""
_BODY_MM = 7.0
_BAND_MM = 2.4
_LENGTH_MM = 37.0
_WHOLE_MM = 44.0
_END_MM = 34.0


class Row(msgspec.Struct, frozen=True, kw_only=True):
    """A part of a road that stands on one row."""

    road: StraightRoad
    from_mm: float
    to_mm: float
    number: int
    of: int


class StripRow:
    """One row: everything stands where it is along the road."""

    def __init__(
        self,
        group: ET.Element,
        row: Row,
        one_in: float,
        paper: Paper,
        on_it: OnTheRoad,
    ) -> None:
        self._group = group
        self._row = row
        self._road = row.road
        self._one_in = one_in
        self._paper = paper
        self._size_mm = paper.text_mm
        self._on_it = on_it
        self._room = Room(paper.wide_mm, ROW_MM)

    def draw(self) -> None:
        """Draw all of it."""
        self._heading()
        if self._road.length_mm is None:
            return
        self._usable()
        right_mm = self._at(self._row.to_mm)
        line(
            self._group,
            (0, _RAIL_MM),
            (right_mm, _RAIL_MM),
            width="0.7",
        )
        self._limits()
        # Lines down to fittings run behind vehicles, not across their names.
        self._fittings_named()
        self._vehicles()
        self._dimensions()
        self._ends()
        self._joints()
        self._fittings_drawn()

    def _at(self, along_mm: float) -> float:
        return (along_mm - self._row.from_mm) / self._one_in

    def _holds(self, along_mm: float) -> bool:
        return self._row.from_mm - 1e-6 <= along_mm <= self._row.to_mm + 1e-6

    def _heading(self) -> None:
        text = f"{self._road.said}: {self._road.length}"
        if self._row.of > 1:
            text = f"{text} (strip {self._row.number} of {self._row.of})"
        said = words(
            text,
            size_mm=1.2 * self._size_mm,
            most_mm=self._paper.wide_mm,
            is_bold=True,
        )
        write(self._group, 0, said.above_mm, said)
        self._room.take(
            Box(
                0,
                0,
                said.width_mm,
                1.3 * said.size_mm,
            )
        )
        for text in self._notes:
            note = words(
                text,
                size_mm=self._size_mm,
                most_mm=self._paper.wide_mm,
            )
            write(
                self._group,
                0,
                2.9 * self._size_mm,
                note,
            )
            self._room.take(
                Box(
                    0,
                    4.0,
                    note.width_mm,
                    2.2 * note.size_mm,
                )
            )

    @property
    def _notes(self) -> tuple[str, ...]:
        """What is said of the train beneath the heading, on one line."""
        train = self._on_it.train
        if train is None:
            return self._on_it.notes[:1]
        length = f"train {millimetres(train.length_mm)}"
        if train.spare_mm < 0:
            return (f"{length}, {millimetres(-train.spare_mm)} too long",)
        return (f"{length}, {millimetres(train.spare_mm)} to spare",)

    def _usable(self) -> None:
        from_mm, usable_mm = self._road.usable_from_mm, self._road.usable_mm
        if from_mm is None or not usable_mm:
            return
        one_mm = max(from_mm, self._row.from_mm)
        other_mm = min(from_mm + usable_mm, self._row.to_mm)
        if other_mm <= one_mm:
            return
        box = {
            "x": f"{self._at(one_mm):.2f}",
            "y": f"{_RAIL_MM + 0.5:.2f}",
            "width": f"{self._at(other_mm) - self._at(one_mm):.2f}",
            "height": f"{_BAND_MM:g}",
            "fill": GREY,
        }
        ET.SubElement(self._group, "rect", box)

    def _limits(self) -> None:
        for limit_mm in self._road.limits_mm:
            if limit_mm is not None and self._holds(limit_mm):
                at_mm = self._at(limit_mm)
                top_mm, foot_mm = _RAIL_MM - 4.0, _RAIL_MM + 4.0
                line(
                    self._group,
                    (at_mm, top_mm),
                    (at_mm, foot_mm),
                    width="0.9",
                )

    def _vehicles(self) -> None:
        train = self._on_it.train
        if train is None:
            return
        for vehicle in train.vehicles:
            one_mm = max(vehicle.from_mm, self._row.from_mm)
            other_mm = min(vehicle.to_mm, self._row.to_mm)
            if other_mm > one_mm:
                self._vehicle(
                    vehicle.name,
                    self._at(one_mm),
                    self._at(other_mm),
                )

    def _vehicle(self, name: str, left_mm: float, right_mm: float) -> None:
        wide_mm = right_mm - left_mm
        top_mm = _RAIL_MM - _BODY_MM - 1.0
        box = {
            "x": f"{left_mm:.2f}",
            "y": f"{top_mm:.2f}",
            "width": f"{wide_mm:.2f}",
            "height": f"{_BODY_MM:g}",
            "fill": "white",
            "stroke": "black",
            "stroke-width": "0.3",
        }
        ET.SubElement(self._group, "rect", box)
        self._room.take(
            Box(
                left_mm,
                top_mm,
                wide_mm,
                _BODY_MM,
            )
        )
        size_mm = min(self._size_mm, 0.5 * _BODY_MM)
        said = words(
            name,
            size_mm=size_mm,
            most_mm=max(0.1, wide_mm - 1.0),
        )
        if said.width_mm <= wide_mm - 1.0:
            middle_mm = (left_mm + right_mm - said.width_mm) / 2
            base_mm = top_mm + (_BODY_MM + said.above_mm) / 2
            write(self._group, middle_mm, base_mm, said)

    def _dimensions(self) -> None:
        road = self._road
        if road.usable_from_mm is not None and road.usable_mm:
            to_mm = road.usable_from_mm + road.usable_mm
            self._dimension(
                road.usable_from_mm,
                to_mm,
                _LENGTH_MM,
                road.length,
            )
        if road.length_mm is not None and len(road.limits_mm) > 0:
            whole = f"from end to end {millimetres(road.length_mm)}"
            self._dimension(0.0, road.length_mm, _WHOLE_MM, whole)

    def _dimension(
        self, from_mm: float, to_mm: float, down_mm: float, text: str
    ) -> None:
        one_mm = max(from_mm, self._row.from_mm)
        other_mm = min(to_mm, self._row.to_mm)
        if other_mm <= one_mm:
            return
        left_mm, right_mm = self._at(one_mm), self._at(other_mm)
        line(
            self._group,
            (left_mm, down_mm),
            (right_mm, down_mm),
            width="0.2",
        )
        for end_mm, at_mm in ((from_mm, left_mm), (to_mm, right_mm)):
            if self._holds(end_mm):
                ends = (at_mm, down_mm - 1.2), (at_mm, down_mm + 1.2)
                line(self._group, *ends, width="0.3")
        said = words(
            text,
            size_mm=self._size_mm,
            most_mm=self._paper.wide_mm,
        )
        start_mm = self._within(
            (left_mm + right_mm) / 2,
            said,
        )
        write(
            self._group,
            start_mm,
            down_mm + 1.0 + said.size_mm,
            said,
        )
        taken = Box(
            start_mm,
            down_mm,
            said.width_mm,
            1.5 + said.size_mm,
        )
        self._room.take(taken)

    def _within(self, middle_mm: float, said: Words) -> float:
        """Return where words begin whose middle is there, but never off the row."""
        most_mm = self._paper.wide_mm - said.width_mm
        return min(max(0.0, middle_mm - said.width_mm / 2), most_mm)

    def _ends(self) -> None:
        """Write what is at the road's ends beneath them."""
        if not self._road.ends or self._road.length_mm is None:
            return
        most_mm = 0.45 * self._paper.wide_mm
        both = zip(self._road.ends, (0.0, self._road.length_mm), strict=True)
        for end, along_mm in both:
            if self._holds(along_mm):
                said = words(
                    end,
                    size_mm=self._size_mm,
                    most_mm=most_mm,
                )
                left_mm = self._within(
                    self._at(along_mm),
                    said,
                )
                box = Box(
                    left_mm,
                    _END_MM - said.size_mm,
                    said.width_mm,
                    said.size_mm,
                )
                if self._room.is_open(box):
                    self._room.take(box)
                    write(
                        self._group,
                        left_mm,
                        _END_MM - 0.5,
                        said,
                    )

    def _joints(self) -> None:
        for part in self._road.parts:
            if self._holds(part.from_mm):
                at_mm = self._at(part.from_mm)
                ends = (at_mm, _RAIL_MM + 0.3), (at_mm, _RAIL_MM + 2.5)
                line(self._group, *ends, width="0.3")
        for part in self._road.parts:
            self._piece(
                part.piece,
                (part.from_mm + part.to_mm) / 2,
            )

    def _piece(self, name: str, middle_mm: float) -> None:
        """Write a piece's name beneath its middle, where there is room."""
        if not self._holds(middle_mm):
            return
        said = words(
            name,
            size_mm=self._size_mm,
            most_mm=40.0,
        )
        left_mm = self._within(
            self._at(middle_mm),
            said,
        )
        box = Box(
            left_mm,
            _RAIL_MM + 3.2,
            said.width_mm,
            said.size_mm,
        )
        if self._room.is_open(box):
            self._room.take(box)
            write(
                self._group,
                left_mm,
                box.top_mm + said.above_mm,
                said,
            )

    def _fittings_named(self) -> None:
        for fitting in self._road.fittings:
            if self._holds(fitting.at_mm):
                text = f"{WORDS[fitting.kind]} {millimetres(fitting.at_mm)}"
                self._above(text, self._at(fitting.at_mm))

    def _fittings_drawn(self) -> None:
        for fitting in self._road.fittings:
            if self._holds(fitting.at_mm):
                at_mm = self._at(fitting.at_mm)
                draw_shape(
                    moved(self._group, at_mm, _RAIL_MM),
                    fitting.kind,
                )

    def _above(self, text: str, at_mm: float) -> None:
        """Write words above the rail, with a line down to their place."""
        said = words(
            text,
            size_mm=self._size_mm,
            most_mm=60.0,
        )
        left_mm = self._within(at_mm, said)
        for top_mm in (12.5, 8.5, 4.8):
            box = Box(
                left_mm,
                top_mm,
                said.width_mm,
                said.size_mm,
            )
            if self._room.is_open(box):
                self._room.take(box)
                foot_mm = top_mm + said.size_mm
                ends = (at_mm, foot_mm), (at_mm, _RAIL_MM - 1.5)
                line(self._group, *ends, width="0.15")
                write(
                    self._group,
                    left_mm,
                    top_mm + said.above_mm,
                    said,
                )
                return
