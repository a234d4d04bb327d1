"""A train as it stands in a place: the road and every vehicle true to length, in black,
white and one grey.

The head of the train is on the left, and half of what is left for stopping lies before
it. What is left over, or what the train is too long by, is at its tail.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from textwrap import wrap
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.paper import (
    GREY,
    LETTERS,
    LINE_MM,
    MARGIN_MM,
    PAGE_MM,
    TEXT_MM,
    WITHIN_MM,
    inside,
    line,
    page,
    text,
    title,
    width_of,
    written,
)
from standage.drawings.yard_panels import HEIGHT_MM, engine, fits_in, wagon
from standage.railway.terms.figures import millimetres, tidy

_TRAIN_MM = 14.0  # from the upper edge down to each dimension and to the rail
_RAIL_MM = 24.0
_ROAD_MM = 32.0
_LEFT_OVER_MM = 39.0
_FACE_MM = 43.0
_WORDS_MM = 44.0
_FACE_NEEDS_MM = 11.0
_BOX_MM = 2.0


class DrawnVehicle(msgspec.Struct, frozen=True, kw_only=True):
    """A vehicle, or a rake that was measured whole, and how far behind the train's head
    it begins, in mm.
    """

    name: str
    from_mm: float
    length_mm: float
    is_engine: bool = False


class DrawnFace(msgspec.Struct, frozen=True, kw_only=True):
    """A platform's face, and how far behind the train's head its passenger vehicles
    begin and how long they are.
    """

    length_mm: float
    from_mm: float
    passengers_mm: float


class StandingTrain(msgspec.Struct, frozen=True, kw_only=True):
    """What is drawn of a train in a place; ``because`` are the reasons of the answer,
    in words.

    ``usable_mm``, or no vehicles, is what nobody knows. ``spare_mm`` is None where
    another length than the train's decides, and nothing is said of it.
    """

    place: str
    usable_mm: float | None
    margin_mm: float
    length_mm: float | None
    spare_mm: float | None
    vehicles: tuple[DrawnVehicle, ...]
    face: DrawnFace | None
    because: tuple[str, ...]

    @property
    def head_mm(self) -> float:
        """How far from the road's end the head of the train stands, in mm."""
        return self.margin_mm / 2


def standing_drawing(train: StandingTrain) -> str:
    """Return the train in its place as SVG; where a length is not known it says what is
    to be measured.
    """
    labels = _labels(train)
    lines = list(_lines(train, labels))
    drawn = train.usable_mm is not None and train.length_mm is not None
    top_mm = _words_top_mm(train) if drawn else TEXT_MM * 2
    height_mm = 2 * MARGIN_MM + top_mm + LINE_MM * (len(lines) + 1)
    root = page(
        width_mm=PAGE_MM, height_mm=height_mm, title=f"A train in {train.place}"
    )
    body = inside(root, margin_mm=MARGIN_MM)
    title(body, train.place, width_mm=WITHIN_MM)
    if train.usable_mm is not None and train.length_mm is not None:
        drawing = _Panel(
            body, train, usable_mm=train.usable_mm, length_mm=train.length_mm
        )
        drawing.draw(labels)
    for number, words in enumerate(lines, 1):
        text(
            body,
            0,
            top_mm + LINE_MM * number,
            words,
        )
    return written(root)


class _Panel:
    """The road with the train on it, and its lengths."""

    def __init__(
        self,
        body: ET.Element,
        train: StandingTrain,
        *,
        usable_mm: float,
        length_mm: float,
    ) -> None:
        self._body = body
        self._train = train
        self._usable_mm = usable_mm
        self._length_mm = length_mm
        self._scale = _scale(train)

    def draw(self, labels: Mapping[str, str]) -> None:
        """Draw all of it."""
        train = self._train
        head_mm, tail_mm = train.head_mm, train.head_mm + self._length_mm
        pulled_out = f"train pulled out {millimetres(self._length_mm)}"
        self._dimension(
            head_mm,
            tail_mm,
            _TRAIN_MM,
            pulled_out,
        )
        self._road()
        self._vehicles(labels)
        if train.spare_mm is not None:
            # too long, the train's tail lies beyond where it should stop
            stop_mm = self._usable_mm - head_mm
            left_mm, right_mm = sorted((stop_mm, tail_mm))
            words = _left_over(train.spare_mm)
            self._dimension(
                left_mm,
                right_mm,
                _LEFT_OVER_MM,
                words,
            )
        road = f"road {millimetres(self._usable_mm)}"
        self._dimension(
            0,
            self._usable_mm,
            _ROAD_MM,
            road,
        )
        if train.face is not None:
            self._face(train.face)

    def _road(self) -> None:
        stop_mm = self._usable_mm - self._train.head_mm
        self._margin(0)
        self._margin(stop_mm)
        body = self._body
        end_mm = self._usable_mm * self._scale
        line(body, (0, _RAIL_MM), (end_mm, _RAIL_MM), width="0.6")
        top_mm, foot_mm = _RAIL_MM - HEIGHT_MM - 2, _ROAD_MM + 1
        for at_mm in (0.0, end_mm):
            line(body, (at_mm, top_mm), (at_mm, foot_mm), width="0.3")

    def _margin(self, from_mm: float) -> None:
        left_mm = from_mm * self._scale
        width_mm = self._train.head_mm * self._scale
        if width_mm > 0:
            top_mm = _RAIL_MM + 0.6
            _box(
                self._body,
                left_mm,
                top_mm,
                width_mm,
            )

    def _vehicles(self, labels: Mapping[str, str]) -> None:
        body, scale = self._body, self._scale
        for vehicle in self._train.vehicles:
            from_mm = self._train.head_mm + vehicle.from_mm
            left_mm = from_mm * scale
            width_mm = vehicle.length_mm * scale
            label = labels[vehicle.name]
            if vehicle.is_engine:
                engine(
                    body,
                    left_mm,
                    _RAIL_MM,
                    width_mm,
                    label,
                )
            else:
                wagon(
                    body,
                    left_mm,
                    _RAIL_MM,
                    width_mm,
                    label,
                    named=False,
                )

    def _face(self, face: DrawnFace) -> None:
        from_mm = self._train.head_mm + face.from_mm
        to_mm = from_mm + face.passengers_mm
        left_mm = from_mm * self._scale
        width_mm = face.length_mm * self._scale
        _box(
            self._body,
            left_mm,
            _FACE_MM,
            width_mm,
        )
        passengers = millimetres(face.passengers_mm)
        words = f"face {millimetres(face.length_mm)}, passenger vehicles {passengers}"
        self._dimension(
            from_mm,
            to_mm,
            _FACE_MM + 7,
            words,
        )

    def _dimension(
        self, from_mm: float, to_mm: float, at_mm: float, words: str
    ) -> None:
        """Draw a length between two ticks; its words stand over its middle, but never
        off the paper.
        """
        body = self._body
        left_mm = from_mm * self._scale
        right_mm = to_mm * self._scale
        line(body, (left_mm, at_mm), (right_mm, at_mm), width="0.2")
        top_mm, foot_mm = at_mm - 1, at_mm + 1
        for tick_mm in (left_mm, right_mm):
            line(body, (tick_mm, top_mm), (tick_mm, foot_mm), width="0.2")
        words_mm = width_of(words)
        middle_mm = (left_mm + right_mm) / 2
        centred_mm = max(0.0, middle_mm - words_mm / 2)
        rightmost_mm = max(0.0, WITHIN_MM - words_mm)
        start_mm = min(centred_mm, rightmost_mm)
        text(
            body,
            start_mm,
            at_mm - 1.4,
            words,
        )


def _box(body: ET.Element, left_mm: float, top_mm: float, width_mm: float) -> None:
    box = {
        "x": f"{left_mm:.2f}",
        "y": f"{top_mm:.2f}",
        "width": f"{max(0.1, width_mm):.2f}",
        "height": f"{_BOX_MM:.2f}",
        "fill": GREY,
    }
    ET.SubElement(body, "rect", box)


def _words_top_mm(train: StandingTrain) -> float:
    if train.face is None:
        return _WORDS_MM
    return _WORDS_MM + _FACE_NEEDS_MM


def _left_over(spare_mm: float) -> str:
    if spare_mm >= 0:
        return f"{_exactly(spare_mm)} to spare"
    return f"{_exactly(-spare_mm)} too long"


def _scale(train: StandingTrain) -> float:
    """Return how many mm of paper one of the road is; of a road and a train of no
    length, one.
    """
    tail_mm = train.head_mm + (train.length_mm or 0.0)
    across_mm = max(train.usable_mm or 0.0, tail_mm, 1.0)
    return WITHIN_MM / across_mm


def _labels(train: StandingTrain) -> dict[str, str]:
    """Return what each vehicle bears: its name, or where a name does not fit, its
    number in the key.
    """
    scale = _scale(train)
    names = list(dict.fromkeys(vehicle.name for vehicle in train.vehicles))
    for vehicle in train.vehicles:
        # where one name does not fit all bear numbers: a mixture reads like two lists
        if not fits_in(vehicle.name, width_mm=vehicle.length_mm * scale):
            return {name: str(number) for number, name in enumerate(names, 1)}
    return {name: name for name in names}


def _lines(train: StandingTrain, labels: Mapping[str, str]) -> Iterator[str]:
    said = [*_sum(train), *train.because]
    for words in said:
        yield from wrap(f"{words[0].upper()}{words[1:]}.", LETTERS)
    if train.margin_mm > 0 and train.vehicles:
        yield (
            f"Grey under the rail: {millimetres(train.margin_mm)} left for stopping,"
            " half of it at each end."
        )
    yield from wrap(" · ".join(_key(train.vehicles, labels)), LETTERS)


def _sum(train: StandingTrain) -> Iterator[str]:
    if train.length_mm is None or train.usable_mm is None or train.spare_mm is None:
        return
    length, margin = _exactly(train.length_mm), _exactly(train.margin_mm)
    needed = _exactly(train.length_mm + train.margin_mm)
    usable = _exactly(train.usable_mm)
    yield (
        f"{length} of train + {margin} for stopping = {needed}; the road has {usable}:"
        f" {_left_over(train.spare_mm)}"
    )


def _exactly(value_mm: float) -> str:
    """Return a length with all its decimals, so that what is added up here comes out to
    the last.
    """
    shown = f"{tidy(value_mm):.6f}".rstrip("0").removesuffix(".")
    return f"{shown} mm"


def _key(vehicles: Sequence[DrawnVehicle], labels: Mapping[str, str]) -> Iterator[str]:
    """Yield how many there are of each vehicle, its name and its length, with the
    number that it bears.
    """
    counts = Counter((vehicle.name, vehicle.length_mm) for vehicle in vehicles)
    for (name, length_mm), count in counts.items():
        entry = f"{name}, {millimetres(length_mm)}"
        if count > 1:
            entry = f"{count} × {entry}"
        if labels[name] != name:
            entry = f"{labels[name]}: {entry}"
        yield entry
