"""What is drawn true to scale on a sheet: a frame in which the model's millimetres are
brought to the paper, with lines, shapes and dimensions in it.

In the model x is to the right and y up; on the paper y is down.
"""

from collections.abc import Iterable, Sequence
from typing import Literal, NamedTuple
from xml.etree import ElementTree as ET

from standage.drawings.paper import GREY, HALO, TEXT_MM, line, text, width_of

_TICK_MM = 1.0

Fill = Literal["none", "white", "grey"]
_FILLS: dict[Fill, str] = {"none": "none", "white": "white", "grey": GREY}


class Box(NamedTuple):
    """A part of the model, or of the paper, by its edges in mm."""

    left_mm: float
    lower_mm: float
    right_mm: float
    upper_mm: float

    @property
    def wide_mm(self) -> float:
        """From its left edge to its right one."""
        return self.right_mm - self.left_mm

    @property
    def high_mm(self) -> float:
        """From its lower edge to its upper one."""
        return self.upper_mm - self.lower_mm


def box_about(points: Iterable[complex]) -> Box:
    """Return the least box that holds all of some points."""
    held = list(points)
    across = [point.real for point in held]
    up = [point.imag for point in held]
    return Box(min(across), min(up), max(across), max(up))


class Frame(NamedTuple):
    """Where the model's 0 lies on the paper, and how much of that one of its mm is."""

    x_mm: float
    y_mm: float
    scale: float

    @classmethod
    def of(
        cls, model: Box, *, left_mm: float, top_mm: float, within: tuple[float, float]
    ) -> "Frame":
        """Return the frame in which a part of the model lies from a place on the paper
        on, as large as goes in so wide and so high.
        """
        wide_mm, high_mm = within
        scale = min(
            wide_mm / max(model.wide_mm, 1e-6),
            high_mm / max(model.high_mm, 1e-6),
        )
        spare_mm = wide_mm - model.wide_mm * scale
        return cls(
            x_mm=left_mm + spare_mm / 2 - model.left_mm * scale,
            y_mm=top_mm + model.upper_mm * scale,
            scale=scale,
        )

    def at(self, point: complex) -> tuple[float, float]:
        """Return where a point of the model lies on the paper."""
        x_mm = self.x_mm + point.real * self.scale
        y_mm = self.y_mm - point.imag * self.scale
        return x_mm, y_mm

    def line(
        self, group: ET.Element, one: complex, other: complex, *, width: str = "0.3"
    ) -> None:
        """Draw a straight line from one point to another."""
        line(group, self.at(one), self.at(other), width=width)

    def along(
        self,
        group: ET.Element,
        points: Sequence[complex],
        *,
        width: str = "0.3",
        dashes: str | None = None,
    ) -> None:
        """Draw a line through points, broken where ``dashes`` say how."""
        style = {"fill": "none", "stroke": "black", "stroke-width": width}
        if dashes is not None:
            style["stroke-dasharray"] = dashes
        style["points"] = self._listed(points)
        ET.SubElement(group, "polyline", style)

    def shape(
        self,
        group: ET.Element,
        points: Sequence[complex],
        *,
        fill: Fill = "none",
        width: str = "0.4",
        dashes: str | None = None,
    ) -> None:
        """Draw a shape by its corners."""
        style = {"fill": _FILLS[fill], "stroke": "black", "stroke-width": width}
        if dashes is not None:
            style["stroke-dasharray"] = dashes
        style["points"] = self._listed(points)
        ET.SubElement(group, "polygon", style)

    def _listed(self, points: Sequence[complex]) -> str:
        places = [self.at(point) for point in points]
        return " ".join(f"{x_mm:.2f},{y_mm:.2f}" for x_mm, y_mm in places)


def block(box: Box) -> tuple[complex, ...]:
    """Return the corners of a box, all round."""
    left_mm, lower_mm, right_mm, upper_mm = box
    return (
        complex(left_mm, lower_mm),
        complex(right_mm, lower_mm),
        complex(right_mm, upper_mm),
        complex(left_mm, upper_mm),
    )


Leans = Literal["left", "middle", "right"]


def level_dimension(
    group: ET.Element,
    span: tuple[float, float],
    at_mm: float,
    words: str,
    *,
    leans: Leans = "middle",
) -> None:
    """Draw a dimension on the paper from left to right, its words beneath the middle of
    it; where it is shorter than they are they stand out to the side that they lean to.
    """
    from_mm, to_mm = span
    line(group, (from_mm, at_mm), (to_mm, at_mm), width="0.2")
    for x_mm in span:
        upper, lower = (x_mm, at_mm - _TICK_MM), (x_mm, at_mm + _TICK_MM)
        line(group, upper, lower, width="0.2")
    words_mm = width_of(words)
    left_mm = (from_mm + to_mm - words_mm) / 2
    if leans == "left":
        left_mm = min(left_mm, to_mm - words_mm - 1.0)
    elif leans == "right":
        left_mm = max(left_mm, from_mm + 1.0)
    text(group, left_mm, at_mm + TEXT_MM + 1.2, words, **HALO)


def upright_dimension(
    group: ET.Element, x_mm: float, lower_mm: float, upper_mm: float, words: str
) -> None:
    """Draw a dimension on the paper from below upwards, its words to the right."""
    line(group, (x_mm, lower_mm), (x_mm, upper_mm), width="0.2")
    for y_mm in (lower_mm, upper_mm):
        left, right = (x_mm - _TICK_MM, y_mm), (x_mm + _TICK_MM, y_mm)
        line(group, left, right, width="0.2")
    middle_mm = (lower_mm + upper_mm) / 2
    text(group, x_mm + 2.0, middle_mm + TEXT_MM / 3, words, **HALO)


def named(group: ET.Element, x_mm: float, base_mm: float, words: str) -> None:
    """Write words about a place, so that they are read across lines."""
    text(group, x_mm, base_mm, words, text_anchor="middle", **HALO)
