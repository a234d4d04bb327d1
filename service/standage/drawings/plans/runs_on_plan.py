"""A run on the plan: black where the train stands after it, outlined where it stood
before.
"""

from collections.abc import Iterator
from math import ceil
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.paper import corner, polygon
from standage.drawings.plans.content import Content, Named
from standage.drawings.plans.drawn_runs import DrawnMove, DrawnRun
from standage.drawings.plans.looks import Look
from standage.drawings.plans.plan_layout import Laid
from standage.drawings.plans.plan_names import Beside, Names
from standage.drawings.plans.plan_strokes import draw_plan, open_line
from standage.drawings.plans.spots_on_track import Line, spot_at
from standage.railway.track.network.network import Course
from standage.railway.track.paths.spots import Spot
from standage.railway.track.survey.survey import Survey

TRAIN_MM = 2.0
"""How wide a train is drawn, on paper."""
_BEFORE_MM = 4.0
_INSIDE_MM = 3.2
_BROKEN = "1.6 1"
_STEP_MM = 1.0
_MOST_STEPS = 2_000
_ARROW_MM = 2.6
KEY = "black: the train after the run · broken: before it · arrow: its way"


def is_placed(found: Survey, move: DrawnMove) -> bool:
    """Tell whether all the track of a move has a place on the plan."""
    courses = {course for run in move.runs for course in run.courses}
    return all(spot_at(found, course, 0.0) is not None for course in courses)


class RunOnPlan(msgspec.Struct, frozen=True, kw_only=True):
    """The plan, laid out, with one run of a train on it."""

    found: Survey
    shown: Content
    laid: Laid
    look: Look
    train_mm: float
    run: DrawnRun

    def draw(self, group: ET.Element) -> None:
        """Draw it about the group's own 0."""
        view = self.laid.view
        before = self._along(self.run.from_mm)
        after = () if self.run.leaves else self._along(self.run.to_mm)
        if len(before) > 1:
            width = f"{_BEFORE_MM:g}"
            open_line(
                group,
                before,
                view,
                width=width,
                dashes=_BROKEN,
            )
            inside = f"{_INSIDE_MM:g}"
            open_line(
                group,
                before,
                view,
                width=inside,
                stroke="white",
            )
        draw_plan(group, self.shown, self.laid, self.look)
        if len(after) > 1:
            open_line(group, after, view, width=f"{TRAIN_MM:g}")
        self._arrow(group)
        beside = Beside(
            fixed=(),
            names=tuple(self._ends(after or before)),
            clear=(*before, *after),
        )
        Names(self._with_own_roads(), self.laid, self.look, beside).write(group)

    def _with_own_roads(self) -> Content:
        """Return what is shown, with names for those roads alone on which the train
        stands: others would cover it.
        """
        # A phone has no room for them: the words above each run name its road.
        stood_on = set(self._stood_on()) if self.laid.paper.is_printed else set()
        roads = tuple(
            road
            if stood_on & usable.road.place_of.keys()
            else msgspec.structs.replace(road, middle=None)
            for road, usable in zip(self.shown.roads, self.found.usable, strict=True)
        )
        return msgspec.structs.replace(self.shown, roads=roads)

    def _stood_on(self) -> Iterator[int]:
        """Yield the strands under the train before the run and after it."""
        for lead_mm in (self.run.from_mm, self.run.to_mm):
            rear_mm = lead_mm - self.train_mm
            for course, _, _ in _under(
                self.found,
                self.run.courses,
                rear_mm,
                lead_mm,
            ):
                yield course >> 1

    def _along(self, lead_mm: float) -> Line:
        """Return places under the train, from its rear to its lead."""
        rear_mm = lead_mm - self.train_mm
        places: list[complex] = []
        for course, from_mm, to_mm in _under(
            self.found, self.run.courses, rear_mm, lead_mm
        ):
            places += self._on_course(course, from_mm, to_mm)
        return tuple(places)

    def _on_course(
        self, course: Course, from_mm: float, to_mm: float
    ) -> Iterator[complex]:
        wanted = ceil((to_mm - from_mm) / (_STEP_MM * self.laid.view.one_in))
        steps = max(1, min(_MOST_STEPS, wanted))
        for step in range(steps + 1):
            spot = spot_at(
                self.found, course, from_mm + (to_mm - from_mm) * step / steps
            )
            if spot is not None:
                yield spot.point

    def _ends(self, train: Line) -> Iterator[Named]:
        if train:
            end = train[-1] if self.run.engine_leads else train[0]
            yield Named(name="engine", place=end)

    def _arrow(self, group: ET.Element) -> None:
        """Draw the way that the train goes, before its lead."""
        spot = self._spot(self.run.to_mm)
        if spot is None:
            return
        view = self.laid.view
        tip = view.place(spot.point)
        ahead = (spot.direction * view.turn).conjugate()
        shape = (
            tip + ahead * _ARROW_MM,
            tip + 1j * ahead * _ARROW_MM / 2,
            tip - 1j * ahead * _ARROW_MM / 2,
        )
        polygon(group, [corner(one.real, one.imag) for one in shape])

    def _spot(self, along_mm: float) -> Spot | None:
        """Return where a place along the run lies; past its end it runs on."""
        base_mm = 0.0
        *before, last = self.run.courses
        for course in before:
            length_mm = self.found.network.strand(course).length_mm or 0.0
            if along_mm <= base_mm + length_mm:
                return spot_at(self.found, course, along_mm - base_mm)
            base_mm += length_mm
        own_mm = self.found.network.strand(last).length_mm or 0.0
        return spot_at(self.found, last, min(own_mm, along_mm - base_mm))


def _under(
    found: Survey, courses: tuple[Course, ...], rear_mm: float, lead_mm: float
) -> Iterator[tuple[Course, float, float]]:
    """Yield what of each course lies under a train, from its own start."""
    base_mm = 0.0
    for course in courses:
        length_mm = found.network.strand(course).length_mm or 0.0
        from_mm = max(0.0, rear_mm - base_mm)
        to_mm = min(length_mm, lead_mm - base_mm)
        if to_mm > from_mm:
            yield course, from_mm, to_mm
        base_mm += length_mm
