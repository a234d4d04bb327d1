"""The words on a plan, each where nothing else stands; the rest goes into lists."""

from collections.abc import Iterator
from itertools import islice, pairwise
from math import ceil
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.paper import HALO, line
from standage.drawings.plans.content import Content, DrawnRoad, Named
from standage.drawings.plans.free_room import Box, Room
from standage.drawings.plans.lettering import Words, words, write
from standage.drawings.plans.looks import Look
from standage.drawings.plans.plan_layout import Laid, pen_for
from standage.drawings.plans.track_pen import Pen
from standage.drawings.plans.ways import along

_MOST_LABELS = 600
_MOST_DOTS = 40_000
"""So many places of track are kept clear of words."""
_NUMBER_ALONE = 1.6
"""A road so many times shorter than its label bears its number alone."""


class _Label(msgspec.Struct, frozen=True, kw_only=True):
    """Words beside a place of the paper."""

    place: complex
    said: Words
    far: bool = True


class Beside(msgspec.Struct, frozen=True, kw_only=True):
    """Names that stand on a drawing besides the plan's, those that stand just where
    they are, and places of the plan that are kept clear.
    """

    fixed: tuple[Named, ...] = ()
    names: tuple[Named, ...] = ()
    clear: tuple[complex, ...] = ()


_NOTHING = Beside()


class Names:
    """The words on a plan, each where nothing else stands; the rest goes into lists."""

    def __init__(
        self, shown: Content, laid: Laid, look: Look, beside: Beside = _NOTHING
    ) -> None:
        self._shown = shown
        self._laid = laid
        self._beside = beside
        self._size_mm = laid.paper.text_mm
        self._room = Room(laid.width_mm, laid.height_mm)
        self._keep_clear(pen_for(shown, laid, look))
        self._stood: list[tuple[_Label, Box]] = []
        self._leaders: list[tuple[complex, complex]] = []
        self.nameless = tuple(self._stand())

    def _keep_clear(self, pen: Pen) -> None:
        """Note where track and signs are drawn."""
        shown, view = self._shown, self._laid.view
        strands = (*shown.sound, *shown.doubtful)
        whole_mm = sum(bend.length_mm for strand in strands for bend in strand)
        step_mm = max(0.8 * view.one_in, whole_mm / _MOST_DOTS)
        for strand in strands:
            for point in along(strand, step_mm=step_mm):
                self._room.draw(
                    view.place(point),
                    reach_mm=pen.reach_mm,
                )
        for sign in shown.signs:
            self._room.draw(
                view.place(sign.spot.point),
                reach_mm=2.0,
            )
        for gap in shown.gaps:
            self._room.draw(
                view.place(gap.place),
                reach_mm=2.2,
            )
        for place in islice(self._edges(), _MOST_DOTS):
            self._room.draw(view.place(place), reach_mm=0.4)
        for place in self._beside.clear:
            self._room.draw(
                view.place(place),
                reach_mm=0.4,
            )

    def _edges(self) -> Iterator[complex]:
        """Yield places along what lies beneath and beside the track."""
        shown = self._shown
        closed = [one.outline for one in (*shown.boards, *shown.obstacles)]
        lines = [(*outline, outline[0]) for outline in closed]
        lines += [joint.outline for joint in shown.joints]
        edges = [edge for one in lines for edge in pairwise(one)]
        whole_mm = sum(abs(two - one) for one, two in edges)
        step_mm = max(0.8 * self._laid.view.one_in, whole_mm / _MOST_DOTS)
        for one, two in edges:
            steps = max(1, ceil(abs(two - one) / step_mm))
            for step in range(steps + 1):
                yield one + (two - one) * step / steps

    def _stand(self) -> Iterator[str]:
        """Stand every label in its turn; yield the points for which there is no room."""
        left = _MOST_LABELS
        for name in self._beside.fixed:
            self._fix(
                self._label(
                    name.place,
                    name.name,
                )
            )
        for name in self._shown.points:
            label = self._label(
                name.place,
                name.name,
                is_bold=True,
            )
            if left <= 0 or not self._put(label):
                yield name.name
            left -= 1
        for label in self._others():
            if left <= 0:
                return
            self._put(label)
            left -= 1

    def _others(self) -> Iterator[_Label]:
        """Yield the labels that stand in a list besides, and may be left out here."""
        shown = self._shown
        for name in self._beside.names:
            yield self._label(name.place, name.name)
        for gap in shown.gaps:
            yield self._label(
                gap.place,
                gap.name,
                is_bold=True,
            )
        for number, wrong in enumerate(shown.wrong, 1):
            if wrong.place is not None:
                yield self._label(
                    wrong.place,
                    f"fault {number}",
                    is_bold=True,
                )
        for road in shown.roads:
            if road.middle is not None:
                yield self._of_road(road)
        for deck in shown.decks:
            yield self._label(
                deck.middle,
                deck.name,
                is_bold=True,
            )
        for one in (*shown.joints, *shown.boards, *shown.obstacles):
            if one.name:
                middle = sum(one.outline) / len(one.outline)
                yield self._label(middle, one.name)

    def _of_road(self, road: DrawnRoad) -> _Label:
        """Return a road's number, name and length; its number alone where it is
        short.
        """
        middle = road.middle or 0j
        whole = f"{road.number}  {road.said}  {road.length}"
        label = self._label(middle, whole)
        usable_mm = (road.usable_mm or 0.0) / self._laid.view.one_in
        if label.said.width_mm <= _NUMBER_ALONE * usable_mm:
            return label
        number = self._label(
            middle,
            f"{road.number}",
        )
        return msgspec.structs.replace(number, far=False)

    def _label(self, point: complex, text: str, *, is_bold: bool = False) -> _Label:
        most_mm = 0.45 * self._laid.width_mm
        said = words(
            text,
            size_mm=self._size_mm,
            most_mm=most_mm,
            is_bold=is_bold,
        )
        return _Label(
            place=self._laid.view.place(point),
            said=said,
        )

    def _put(self, label: _Label) -> bool:
        stand = self._room.stand(
            label.place,
            width_mm=label.said.width_mm,
            height_mm=label.said.size_mm,
            far=label.far,
        )
        if stand is None:
            return False
        self._stood.append((label, stand.box))
        if stand.leader is not None:
            self._leaders.append(stand.leader)
        return True

    def _fix(self, label: _Label) -> None:
        """Stand a label over the middle of its place, whatever is there."""
        said = label.said
        left_mm = label.place.real - said.width_mm / 2
        top_mm = label.place.imag - said.size_mm / 2
        box = Box(
            left_mm,
            top_mm,
            said.width_mm,
            said.size_mm,
        )
        self._room.take(box)
        self._stood.append((label, box))

    def write(self, group: ET.Element) -> None:
        """Draw leaders, then the words over them."""
        for one, other in self._leaders:
            line(
                group,
                (one.real, one.imag),
                (other.real, other.imag),
                width="0.2",
            )
        for name in self._shown.points:
            place = self._laid.view.place(name.place)
            dot = {"cx": f"{place.real:.2f}", "cy": f"{place.imag:.2f}", "r": "0.6"}
            ET.SubElement(group, "circle", dot)
        for label, box in self._stood:
            base_mm = box.top_mm + label.said.above_mm
            write(
                group,
                box.left_mm,
                base_mm,
                label.said,
                **HALO,
            )
