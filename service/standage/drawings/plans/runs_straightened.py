"""A run straightened, for plans that were measured and have no shape: the train before
it above, after it beneath, and what is to spare. It runs to the right.
"""

from collections.abc import Iterator
from itertools import pairwise
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.paper import line
from standage.drawings.plans.drawn_runs import DrawnRun
from standage.drawings.plans.free_room import Box, Room
from standage.drawings.plans.lettering import words, write
from standage.drawings.plans.sheets import Paper
from standage.railway.terms.figures import millimetres
from standage.railway.track.survey.survey import Survey

PANEL_MM = 34.0
_BEFORE_MM = 2.0
_AFTER_MM = 11.0
_BODY_MM = 6.0
_RAIL_MM = 18.5
_BELOW_MM = 21.0
_ENGINE_MM = 2.4
KEY = "white: the train before the run · grey: after it · black: its engine's end"


def run_mm(run: DrawnRun, *, train_mm: float) -> float:
    """Return how much track a straightened run shows."""
    return run.to_mm - run.from_mm + train_mm + (run.spare_mm or 0.0)


class RunStraightened(msgspec.Struct, frozen=True, kw_only=True):
    """One run of a train along its way, at one in so many."""

    found: Survey
    paper: Paper
    one_in: float
    train_mm: float
    run: DrawnRun

    def draw(self, group: ET.Element) -> None:
        """Draw it about the group's own 0."""
        run = self.run
        self._rail(group)
        self._train(
            group,
            run.from_mm,
            _BEFORE_MM,
            "white",
            "before",
        )
        if not run.leaves:
            self._train(
                group,
                run.to_mm,
                _AFTER_MM,
                "#d4d4d4",
                "after",
            )
        self._blades(group)

    def _at(self, along_mm: float) -> float:
        first_mm = self.run.from_mm - self.train_mm
        return (along_mm - first_mm) / self.one_in

    def _rail(self, group: ET.Element) -> None:
        end_mm = self._at(self.run.to_mm)
        line(group, (0.0, _RAIL_MM), (end_mm, _RAIL_MM), width="0.7")
        spare_mm = self.run.spare_mm
        if not spare_mm:
            return
        stop_mm = self._at(self.run.to_mm + spare_mm)
        line(group, (end_mm, _RAIL_MM), (stop_mm, _RAIL_MM), width="0.3")
        line(group, (stop_mm, _RAIL_MM - 3.0), (stop_mm, _RAIL_MM + 3.0), width="0.9")
        said = words(
            f"{millimetres(spare_mm)} to spare",
            size_mm=self.paper.text_mm,
            most_mm=self.paper.wide_mm,
        )
        left_mm = min(end_mm + 1.0, self.paper.wide_mm - said.width_mm)
        write(
            group,
            left_mm,
            _BELOW_MM + 9.0,
            said,
        )

    def _train(
        self, group: ET.Element, lead_mm: float, top_mm: float, fill: str, when: str
    ) -> None:
        left_mm = self._at(lead_mm - self.train_mm)
        right_mm = self._at(lead_mm)
        box = {
            "x": f"{left_mm:.2f}",
            "y": f"{top_mm:g}",
            "width": f"{right_mm - left_mm:.2f}",
            "height": f"{_BODY_MM:g}",
            "fill": fill,
            "stroke": "black",
            "stroke-width": "0.3",
        }
        ET.SubElement(group, "rect", box)
        engine_mm = min(_ENGINE_MM, right_mm - left_mm)
        engine_at_mm = right_mm - engine_mm if self.run.engine_leads else left_mm
        end = {
            "x": f"{engine_at_mm:.2f}",
            "y": f"{top_mm:g}",
            "width": f"{engine_mm:.2f}",
            "height": f"{_BODY_MM:g}",
            "fill": "black",
        }
        ET.SubElement(group, "rect", end)
        room_mm = right_mm - left_mm - 2 * _ENGINE_MM
        said = words(when, size_mm=self.paper.text_mm, most_mm=max(0.1, room_mm))
        if said.whole is None:
            middle_mm = (left_mm + right_mm - said.width_mm) / 2
            base_mm = top_mm + (_BODY_MM + said.above_mm) / 2
            write(group, middle_mm, base_mm, said)

    def _blades(self, group: ET.Element) -> None:
        """Draw the blades and crossings on the way, each with its name beneath."""
        room = Room(self.paper.wide_mm, PANEL_MM)
        size_mm = self.paper.text_mm
        for name, along_mm in self._passed():
            at_mm = self._at(along_mm)
            line(group, (at_mm, _RAIL_MM - 2.0), (at_mm, _RAIL_MM + 2.0), width="0.5")
            said = words(
                name,
                size_mm=size_mm,
                most_mm=30.0,
                is_bold=True,
            )
            left_mm = at_mm - said.width_mm / 2
            left_mm = max(0.0, min(left_mm, self.paper.wide_mm - said.width_mm))
            box = Box(
                left_mm - 0.5,
                _BELOW_MM,
                said.width_mm + 1.0,
                size_mm,
            )
            if room.is_open(box):
                room.take(box)
                write(
                    group,
                    left_mm,
                    _BELOW_MM + said.above_mm,
                    said,
                )

    def _passed(self) -> Iterator[tuple[str, float]]:
        """Yield the pieces with blades or a crossing on the way shown, and where."""
        network = self.found.network
        first_mm = self.run.from_mm - self.train_mm
        base_mm = 0.0
        for before, after in pairwise(self.run.courses):
            base_mm += network.strand(before).length_mm or 0.0
            is_inside = network.piece(before) == network.piece(after)
            if is_inside and first_mm <= base_mm <= self.run.to_mm:
                yield network.piece(after), base_mm
