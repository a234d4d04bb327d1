"""One position of a yard, drawn true to length in millimetres of paper, in black and
white.

The headshunt lies on the left, its points on the right of it; each siding runs to the
right from its points. The engine is black with a sloping nose, wagons that the goal
names are grey with a bold name, the others white. What has just been moved stands on a
heavy bar. A mark under a road is an uncoupling place.
"""

from collections.abc import Mapping, Sequence
from typing import NamedTuple
from xml.etree import ElementTree as ET

import msgspec

from standage.railway.shunting.check import Position
from standage.railway.shunting.yard import Puzzle
from standage.railway.terms.phrases import millimetres

LADDER_MM = 16.0
ROAD_MM = 14.0
HEIGHT_MM = 6.0
TEXT_MM = 3.2
LEAST_TEXT_MM = 2.0
_FIRST_MM = 10.5  # from a panel's upper edge to its first rail
_LABEL_MM = 8.0  # from a rail up to its road's name
_LETTER = 0.58  # of its height, a letter's width on the average

_NOT_IN_XML = (
    0xFFFE,
    0xFFFF,
)  # XML 1.0, section 2.2; control characters are in no name

Labels = Mapping[str, str]


class Sheet(msgspec.Struct, frozen=True, kw_only=True):
    """How a puzzle is drawn: how wide the paper is, how much of it a millimetre of yard
    takes, and what wagons bear.
    """

    width_mm: float
    scale: float
    labels: dict[str, str]
    named: frozenset[str]

    def __post_init__(self) -> None:
        """Refuse a scale that would draw nothing."""
        if self.scale <= 0:
            raise ValueError(f"scale is {self.scale}, and must be more than 0")


def sheet_for(puzzle: Puzzle, *, width_mm: float) -> Sheet:
    """Return the sheet on which the whole yard is so wide. Names that do not fit their
    wagons become numbers.
    """
    longest_mm = max(siding.usable_length_mm for siding in puzzle.yard.sidings)
    across_mm = (
        max(puzzle.yard.headshunt_usable_length_mm, puzzle.engine_length_mm)
        + longest_mm
    )
    scale = (width_mm - LADDER_MM) / max(across_mm, 1.0)
    fits = all(
        fits_in(wagon.name, width_mm=wagon.length_mm * scale) for wagon in puzzle.wagons
    )
    labels = {
        wagon.name: wagon.name if fits else str(number)
        for number, wagon in enumerate(puzzle.wagons, 1)
    }
    named = frozenset(name for name, _ in puzzle.goal.named())
    return Sheet(width_mm=width_mm, scale=scale, labels=labels, named=named)


def panel_height_mm(puzzle: Puzzle) -> float:
    """Return how high a panel of the puzzle's yard is, in mm of paper."""
    return ROAD_MM * len(puzzle.yard.sidings) + 3


def panel(
    parent: ET.Element,
    puzzle: Puzzle,
    position: Position,
    sheet: Sheet,
    *,
    moved: Sequence[str] = (),
    top_mm: float = 0.0,
) -> None:
    """Draw one position under ``parent``, its upper edge so far down."""
    group = ET.SubElement(parent, "g", {"transform": f"translate(0 {top_mm:.2f})"})
    points_mm = (
        max(puzzle.yard.headshunt_usable_length_mm, puzzle.engine_length_mm)
        * sheet.scale
    )
    _headshunt(group, puzzle, position, sheet, points_mm, moved)
    for number, siding in enumerate(puzzle.yard.sidings):
        left_mm, rail_mm = points_mm + LADDER_MM, ROAD_MM * number + _FIRST_MM
        line(group, (points_mm, _middle_mm(puzzle)), (left_mm, rail_mm))
        right_mm = left_mm + siding.usable_length_mm * sheet.scale
        _road(group, left_mm, right_mm, rail_mm, stop_at_mm=right_mm)
        room = sheet.width_mm - left_mm
        text(
            group,
            left_mm,
            rail_mm - _LABEL_MM,
            _road_name(siding.name, siding.usable_length_mm, room),
        )
        _places(group, siding.uncoupling_places_mm or (), rail_mm, left_mm, sheet.scale)
        standing = position.sidings[number]
        string_mm = puzzle.length_mm(standing) * sheet.scale
        _string(
            group,
            _Standing(puzzle, sheet, moved),
            standing,
            right_mm - string_mm,
            rail_mm,
        )


def _middle_mm(puzzle: Puzzle) -> float:
    return ROAD_MM * (len(puzzle.yard.sidings) - 1) / 2 + _FIRST_MM


def _headshunt(
    group: ET.Element,
    puzzle: Puzzle,
    position: Position,
    sheet: Sheet,
    points_mm: float,
    moved: Sequence[str],
) -> None:
    rail_mm, length_mm = (
        _middle_mm(puzzle),
        puzzle.yard.headshunt_usable_length_mm * sheet.scale,
    )
    _road(
        group,
        points_mm - length_mm,
        points_mm,
        rail_mm,
        stop_at_mm=points_mm - length_mm,
    )
    label = f"headshunt: {millimetres(puzzle.yard.headshunt_usable_length_mm)}"
    text(group, points_mm - length_mm, rail_mm - _LABEL_MM, label)
    for place_mm in puzzle.yard.headshunt_uncoupling_places_mm or ():
        _places(group, (place_mm,), rail_mm, points_mm, -sheet.scale)
    engine_mm = puzzle.engine_length_mm * sheet.scale
    string_mm = engine_mm + puzzle.length_mm(position.engine) * sheet.scale
    left_mm = max(points_mm - length_mm, points_mm - string_mm)
    if engine_mm:
        engine(group, left_mm, rail_mm, engine_mm, "engine")
    _string(
        group,
        _Standing(puzzle, sheet, moved),
        position.engine,
        left_mm + engine_mm,
        rail_mm,
    )


def engine(
    group: ET.Element, left_mm: float, rail_mm: float, engine_mm: float, label: str
) -> None:
    """Draw an engine on its rail, its nose to the left."""
    nose_mm = min(3.0, engine_mm / 3)
    rear_mm = engine_mm - 0.4
    outline = (
        (0.0, 0.0),
        (0.0, -HEIGHT_MM / 2),
        (nose_mm, -HEIGHT_MM),
        (rear_mm, -HEIGHT_MM),
        (rear_mm, 0.0),
    )
    corners = " ".join(f"{left_mm + x:.2f},{rail_mm - 0.4 + y:.2f}" for x, y in outline)
    ET.SubElement(group, "polygon", {"points": corners, "fill": "black"})
    _label(group, left_mm + engine_mm / 2, rail_mm, label, engine_mm, {"fill": "white"})


class _Standing(NamedTuple):
    """What every string of wagons in a panel is drawn by."""

    puzzle: Puzzle
    sheet: Sheet
    moved: Sequence[str]


def _string(
    group: ET.Element,
    by: _Standing,
    names: Sequence[str],
    left_mm: float,
    rail_mm: float,
) -> None:
    for name in names:
        width_mm = by.puzzle.length_mm((name,)) * by.sheet.scale
        wagon(
            group,
            left_mm,
            rail_mm,
            width_mm,
            by.sheet.labels[name],
            named=name in by.sheet.named,
        )
        if name in by.moved:
            line(
                group,
                (left_mm + 0.4, rail_mm + 1.1),
                (left_mm + width_mm - 0.4, rail_mm + 1.1),
                width="1.2",
            )
        left_mm += width_mm


def wagon(
    group: ET.Element,
    left_mm: float,
    rail_mm: float,
    width_mm: float,
    label: str,
    *,
    named: bool,
) -> None:
    """Draw one wagon on its rail; a wagon that the goal names is grey with a bold
    name.
    """
    box = {
        "x": f"{left_mm + 0.4:.2f}",
        "y": f"{rail_mm - HEIGHT_MM - 0.4:.2f}",
        "width": f"{max(0.1, width_mm - 0.8):.2f}",
        "height": f"{HEIGHT_MM:.2f}",
        "fill": "#d4d4d4" if named else "white",
        "stroke": "black",
        "stroke-width": "0.6" if named else "0.25",
    }
    ET.SubElement(group, "rect", box)
    _label(
        group,
        left_mm + width_mm / 2,
        rail_mm,
        label,
        width_mm,
        {"font-weight": "bold"} if named else {},
    )


def text(
    parent: ET.Element, left_mm: float, base_mm: float, words: str, **more: str
) -> None:
    """Write words from a place on their base line."""
    style = {
        "font-size": f"{TEXT_MM:.2f}",
        **{name.replace("_", "-"): value for name, value in more.items()},
    }
    ET.SubElement(
        parent, "text", {"x": f"{left_mm:.2f}", "y": f"{base_mm:.2f}", **style}
    ).text = words


def width_of(words: str) -> float:
    """Return how wide words come out on the paper, in mm; it depends on the reader's
    font.
    """
    return _LETTER * TEXT_MM * len(words)


def fits_in(label: str, *, width_mm: float) -> bool:
    """Tell whether a vehicle drawn so wide can bear its label in letters that can be
    read.
    """
    return _text_mm(label, width_mm) >= LEAST_TEXT_MM


def cut_short(words: str, *, width_mm: float, text_mm: float = TEXT_MM) -> str:
    """Return the words, or as many of their letters as there is room for."""
    letters = max(1, int(width_mm / (_LETTER * text_mm)))
    return words if len(words) <= letters else f"{words[: letters - 1]}…"


def _road_name(name: str, length_mm: float, width_mm: float) -> str:
    length = f": {millimetres(length_mm)}"
    return cut_short(name, width_mm=width_mm - len(length) * _LETTER * TEXT_MM) + length


def page(*, width_mm: float, height_mm: float, title: str) -> ET.Element:
    """Return an empty drawing of that size on white paper, its title for those who
    cannot see it.
    """
    size = {
        "width": f"{width_mm:.2f}mm",
        "height": f"{height_mm:.2f}mm",
        "viewBox": f"0 0 {width_mm:.2f} {height_mm:.2f}",
    }
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            **size,
            "font-family": "sans-serif",
            "role": "img",
        },
    )
    ET.SubElement(root, "title").text = title
    ET.SubElement(
        root,
        "rect",
        {"width": f"{width_mm:.2f}", "height": f"{height_mm:.2f}", "fill": "white"},
    )
    return root


def written(root: ET.Element) -> str:
    """Return the drawing as text; what XML cannot hold of a name becomes the sign for
    that.
    """
    return ET.tostring(root, encoding="unicode").translate(
        dict.fromkeys(_NOT_IN_XML, "\ufffd")
    )


def _label(
    group: ET.Element,
    middle_mm: float,
    rail_mm: float,
    words: str,
    width_mm: float,
    more: Labels,
) -> None:
    size = max(LEAST_TEXT_MM, _text_mm(words, width_mm))
    base = {
        "x": f"{middle_mm:.2f}",
        "y": f"{rail_mm - 0.4 - HEIGHT_MM / 2 + size * 0.36:.2f}",
    }
    ET.SubElement(
        group,
        "text",
        {**base, "font-size": f"{size:.2f}", "text-anchor": "middle", **more},
    ).text = words


def _text_mm(words: str, width_mm: float) -> float:
    """Return how high words may be to fit so wide, at most half as high again as other
    text.
    """
    return min(TEXT_MM * 1.4, (width_mm - 1.6) / (_LETTER * max(1, len(words))))


def _road(
    group: ET.Element,
    left_mm: float,
    right_mm: float,
    rail_mm: float,
    *,
    stop_at_mm: float,
) -> None:
    line(group, (left_mm, rail_mm), (right_mm, rail_mm), width="0.6")
    line(group, (stop_at_mm, rail_mm - 3), (stop_at_mm, rail_mm + 1.5), width="1")


def _places(
    group: ET.Element,
    places_mm: Sequence[float],
    rail_mm: float,
    points_mm: float,
    scale: float,
) -> None:
    for place_mm in places_mm:
        x_mm = points_mm + place_mm * scale
        corners = (
            f"{x_mm:.2f},{rail_mm + 0.5:.2f} {x_mm - 1:.2f},{rail_mm + 2.3:.2f}"
            f" {x_mm + 1:.2f},{rail_mm + 2.3:.2f}"
        )
        ET.SubElement(group, "polygon", {"points": corners, "fill": "black"})


def line(
    group: ET.Element,
    one: tuple[float, float],
    other: tuple[float, float],
    *,
    width: str = "0.4",
) -> None:
    """Draw a straight line from one place to another."""
    (x1, y1), (x2, y2) = one, other
    ends = {"x1": f"{x1:.2f}", "y1": f"{y1:.2f}", "x2": f"{x2:.2f}", "y2": f"{y2:.2f}"}
    ET.SubElement(group, "line", {**ends, "stroke": "black", "stroke-width": width})
