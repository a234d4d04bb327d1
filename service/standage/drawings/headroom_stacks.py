"""One track over another, cut across: from the lower rail up layer by layer, each with
its height, true to scale.
"""

from collections.abc import Sequence
from typing import Literal
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.lineside_sheets import on_a_page
from standage.drawings.paper import TEXT_MM, text
from standage.drawings.to_scale import Box, Fill, Frame, block, upright_dimension
from standage.railway.terms.figures import at_least, millimetres

HIGH_MM = 120.0
_TOP_MM = 14.0
_LEFT_MM = 12.0
_WIDE_MM = 60.0
_WORDS_MM = 84.0
_WHOLE_MM = 153.0
_FILLS: dict[str, Fill] = {"deck": "grey", "stock": "white"}
_BENEATH = 0.06
"""Of the stack, what is shown of the lower track."""

LayerName = Literal["rail", "deck", "reserve", "wire", "stock"]


class DrawnLayer(msgspec.Struct, frozen=True, kw_only=True):
    """One layer: its height, and its underside above the lower rail's top, in mm."""

    layer: LayerName
    height_mm: float
    from_mm: float


class DrawnStack(msgspec.Struct, frozen=True, kw_only=True):
    """A stack from the top, and what there is from rail to rail, where that was said;
    ``notes`` are what is said beneath it.
    """

    layers: tuple[DrawnLayer, ...]
    needed_mm: float | None
    there_mm: float | None
    notes: tuple[str, ...]


def stack_drawing(stack: DrawnStack) -> str:
    """Return the stack as SVG; words alone where its height is not known."""
    group = ET.Element("g")
    down_mm = _TOP_MM
    if stack.needed_mm is not None and stack.needed_mm > 0:
        down_mm = _draw(group, stack, stack.needed_mm)
    called = "One track over another"
    return on_a_page(group, called=called, said=stack.notes, down_mm=down_mm)


def _draw(group: ET.Element, stack: DrawnStack, needed_mm: float) -> float:
    high_mm = max(needed_mm, stack.there_mm or 0.0)
    beneath_mm = _BENEATH * high_mm
    # as wide as looks like a bridge, whatever the figures
    box = Box(0.0, -beneath_mm, high_mm * _WIDE_MM / HIGH_MM, high_mm)
    within = (_WIDE_MM, HIGH_MM)
    frame = Frame.of(box, left_mm=_LEFT_MM, top_mm=_TOP_MM, within=within)
    for layer in stack.layers:
        _layer(group, frame, layer, box.right_mm)
    ground = Box(0.0, -beneath_mm, box.right_mm, -beneath_mm / 2)
    frame.shape(group, block(ground), fill="grey", width="0.2")
    frame.along(group, (0j, complex(box.right_mm, 0.0)), width="0.8")
    _words(group, frame, stack.layers, box.right_mm)
    _, lower_mm = frame.at(0j)
    _, upper_mm = frame.at(complex(0.0, needed_mm))
    upright_dimension(group, _WHOLE_MM, lower_mm, upper_mm, "")
    needed = f"needed {at_least(needed_mm)}"
    text(group, _WHOLE_MM - 2.0, upper_mm + TEXT_MM, needed, text_anchor="end")
    if stack.there_mm is not None:
        _, upper_mm = frame.at(complex(0.0, stack.there_mm))
        x_mm = _WHOLE_MM + 4.0
        upright_dimension(group, x_mm, lower_mm, upper_mm, "")
        there = f"there {millimetres(stack.there_mm)}"
        text(group, x_mm + 2.0, upper_mm + TEXT_MM, there)
    _, foot_mm = frame.at(complex(0.0, -beneath_mm))
    return foot_mm + 3.0


def _layer(group: ET.Element, frame: Frame, layer: DrawnLayer, right_mm: float) -> None:
    top_mm = layer.from_mm + layer.height_mm
    if layer.layer in {"rail", "deck"}:
        box = Box(0.0, layer.from_mm, right_mm, top_mm)
        fill = _FILLS.get(layer.layer, "white")
        frame.shape(group, block(box), fill=fill, width="0.3")
        return
    if layer.layer == "stock":
        box = Box(0.22 * right_mm, 0.0, 0.78 * right_mm, top_mm)
        frame.shape(group, block(box), fill="white", width="0.5")
        return
    level = (complex(0.0, top_mm), complex(right_mm, top_mm))
    frame.along(group, level, width="0.25", dashes="1.6 1")


def _words(
    group: ET.Element,
    frame: Frame,
    layers: Sequence[DrawnLayer],
    right_mm: float,
) -> None:
    """Write each layer beside it, with a line to where it is; none over another."""
    lines_mm = TEXT_MM * 1.5
    middles = [
        frame.at(complex(right_mm, one.from_mm + one.height_mm / 2)) for one in layers
    ]
    lowest_mm = middles[-1][1]
    bases: list[float] = []
    last_mm = _TOP_MM - lines_mm
    for _, y_mm in middles:
        last_mm = max(y_mm, last_mm + lines_mm)
        bases.append(last_mm)
    # what was pushed below the lowest goes up again
    for place in range(len(bases) - 1, -1, -1):
        room_mm = lowest_mm - lines_mm * (len(bases) - 1 - place)
        bases[place] = max(min(bases[place], room_mm), _TOP_MM + lines_mm * place)
    for layer, (x_mm, y_mm), base_mm in zip(layers, middles, bases, strict=True):
        start, end = (x_mm, y_mm), (_WORDS_MM - 1.5, base_mm)
        _leader(group, start, end)
        words = f"{layer.layer} {millimetres(layer.height_mm)}"
        text(group, _WORDS_MM, base_mm + TEXT_MM / 3, words)


def _leader(
    group: ET.Element, start: tuple[float, float], end: tuple[float, float]
) -> None:
    style = {"stroke": "black", "stroke-width": "0.2"}
    for number, (x_mm, y_mm) in enumerate((start, end), 1):
        style[f"x{number}"] = f"{x_mm:.2f}"
        style[f"y{number}"] = f"{y_mm:.2f}"
    ET.SubElement(group, "line", style)
