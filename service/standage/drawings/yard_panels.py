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

from standage.drawings.paper import (
    GREY,
    LETTER,
    TEXT_MM,
    corner,
    cut_short,
    line,
    polygon,
    text,
)
from standage.railway.shunting.check import Position
from standage.railway.shunting.yard import Puzzle, Siding
from standage.railway.terms.figures import millimetres

LADDER_MM = 16.0
ROAD_MM = 14.0
HEIGHT_MM = 6.0
LEAST_TEXT_MM = 2.0
_FIRST_MM = 10.5  # from a panel's upper edge to its first rail
_LABEL_MM = 8.0  # from a rail up to its road's name


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
    across_mm = _headshunt_mm(puzzle) + longest_mm
    scale = (width_mm - LADDER_MM) / max(across_mm, 1.0)
    labels = {wagon.name: wagon.name for wagon in puzzle.wagons}
    for wagon in puzzle.wagons:
        if not fits_in(wagon.name, width_mm=wagon.length_mm * scale):
            labels = {name: str(number) for number, name in enumerate(labels, 1)}
            break
    named = frozenset(name for name, _ in puzzle.goal.named())
    return Sheet(
        width_mm=width_mm,
        scale=scale,
        labels=labels,
        named=named,
    )


def _headshunt_mm(puzzle: Puzzle) -> float:
    # an engine that is too long for it is drawn all the same
    return max(puzzle.yard.headshunt_usable_length_mm, puzzle.engine_length_mm)


def panel_height_mm(puzzle: Puzzle) -> float:
    """Return how high a panel of the puzzle's yard is, in mm of paper."""
    roads_mm = ROAD_MM * len(puzzle.yard.sidings)
    return roads_mm + 3


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
    points_mm = _headshunt_mm(puzzle) * sheet.scale
    standing = _Standing(puzzle, sheet, moved)
    _headshunt(
        group,
        standing,
        position.engine,
        points_mm,
    )
    points = (points_mm, _middle_mm(puzzle))
    left_mm = points_mm + LADDER_MM
    for number, siding in enumerate(puzzle.yard.sidings):
        rail_mm = ROAD_MM * number + _FIRST_MM
        at = _At(left_mm, rail_mm)
        line(group, points, at)
        names = position.sidings[number]
        _siding(
            group,
            standing,
            siding,
            names,
            at,
        )


class _At(NamedTuple):
    """Where a siding begins on the paper, and how far down its rail lies."""

    left_mm: float
    rail_mm: float


def _siding(
    group: ET.Element,
    by: "_Standing",
    siding: Siding,
    names: Sequence[str],
    at: _At,
) -> None:
    left_mm, rail_mm = at
    scale = by.sheet.scale
    right_mm = left_mm + siding.usable_length_mm * scale
    _road(
        group,
        left_mm,
        right_mm,
        rail_mm,
        stop_at_mm=right_mm,
    )
    room_mm = by.sheet.width_mm - left_mm
    name = _road_name(siding.name, siding.usable_length_mm, room_mm)
    text(
        group,
        left_mm,
        rail_mm - _LABEL_MM,
        name,
    )
    _places(
        group,
        siding.uncoupling_places_mm or (),
        rail_mm,
        left_mm,
        scale,
    )
    # wagons are pushed up to the end
    string_mm = by.puzzle.length_mm(names) * scale
    _string(
        group,
        by,
        names,
        right_mm - string_mm,
        rail_mm,
    )


def _middle_mm(puzzle: Puzzle) -> float:
    last = len(puzzle.yard.sidings) - 1
    return ROAD_MM * last / 2 + _FIRST_MM


def _headshunt(
    group: ET.Element, by: "_Standing", names: Sequence[str], points_mm: float
) -> None:
    yard, scale = by.puzzle.yard, by.sheet.scale
    rail_mm = _middle_mm(by.puzzle)
    end_mm = points_mm - yard.headshunt_usable_length_mm * scale
    _road(
        group,
        end_mm,
        points_mm,
        rail_mm,
        stop_at_mm=end_mm,
    )
    label = f"headshunt: {millimetres(yard.headshunt_usable_length_mm)}"
    text(
        group,
        end_mm,
        rail_mm - _LABEL_MM,
        label,
    )
    # they are measured from the points, which lie on the right
    places_mm = yard.headshunt_uncoupling_places_mm or ()
    _places(
        group,
        places_mm,
        rail_mm,
        points_mm,
        -scale,
    )
    engine_mm = by.puzzle.engine_length_mm * scale
    string_mm = engine_mm + by.puzzle.length_mm(names) * scale
    left_mm = max(end_mm, points_mm - string_mm)
    if engine_mm:
        engine(
            group,
            left_mm,
            rail_mm,
            engine_mm,
            "engine",
        )
    _string(
        group,
        by,
        names,
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
    wheels_mm = rail_mm - 0.4
    corners = [corner(left_mm + x, wheels_mm + y) for x, y in outline]
    polygon(group, corners)
    middle_mm = left_mm + engine_mm / 2
    _label(
        group,
        middle_mm,
        rail_mm,
        label,
        engine_mm,
        {"fill": "white"},
    )


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
        label = by.sheet.labels[name]
        is_named = name in by.sheet.named
        wagon(group, left_mm, rail_mm, width_mm, label, named=is_named)
        right_mm = left_mm + width_mm
        if name in by.moved:
            below_mm = rail_mm + 1.1
            line(
                group,
                (left_mm + 0.4, below_mm),
                (right_mm - 0.4, below_mm),
                width="1.2",
            )
        left_mm = right_mm


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
    fill, stroke = "white", "0.25"
    weight: dict[str, str] = {}
    if named:
        fill, stroke = GREY, "0.6"
        weight["font-weight"] = "bold"
    top_mm = rail_mm - HEIGHT_MM - 0.4
    box = {
        "x": f"{left_mm + 0.4:.2f}",
        "y": f"{top_mm:.2f}",
        "width": f"{max(0.1, width_mm - 0.8):.2f}",
        "height": f"{HEIGHT_MM:.2f}",
        "fill": fill,
        "stroke": "black",
        "stroke-width": stroke,
    }
    ET.SubElement(group, "rect", box)
    middle_mm = left_mm + width_mm / 2
    _label(group, middle_mm, rail_mm, label, width_mm, weight)


def fits_in(label: str, *, width_mm: float) -> bool:
    """Tell whether a vehicle drawn so wide can bear its label in letters that can be
    read.
    """
    fitting_mm = _text_mm(label, width_mm)
    return fitting_mm >= LEAST_TEXT_MM


def _road_name(name: str, length_mm: float, width_mm: float) -> str:
    length = f": {millimetres(length_mm)}"
    left_mm = width_mm - len(length) * LETTER * TEXT_MM
    return cut_short(name, width_mm=left_mm) + length


def _label(
    group: ET.Element,
    middle_mm: float,
    rail_mm: float,
    words: str,
    width_mm: float,
    more: Labels,
) -> None:
    text_mm = max(LEAST_TEXT_MM, _text_mm(words, width_mm))
    # about a third of a letter's height lies below the middle of what is seen of it
    base_mm = rail_mm - 0.4 - HEIGHT_MM / 2 + text_mm * 0.36
    style = {
        "x": f"{middle_mm:.2f}",
        "y": f"{base_mm:.2f}",
        "font-size": f"{text_mm:.2f}",
        "text-anchor": "middle",
    }
    ET.SubElement(group, "text", {**style, **more}).text = words


def _text_mm(words: str, width_mm: float) -> float:
    """Return how high words may be to fit so wide, at most half as high again as other
    text.
    """
    letters = max(1, len(words))
    fitting_mm = (width_mm - 1.6) / (LETTER * letters)
    return min(TEXT_MM * 1.4, fitting_mm)


def _road(
    group: ET.Element,
    left_mm: float,
    right_mm: float,
    rail_mm: float,
    *,
    stop_at_mm: float,
) -> None:
    left, right = (left_mm, rail_mm), (right_mm, rail_mm)
    line(group, left, right, width="0.6")
    top = (stop_at_mm, rail_mm - 3)
    foot = (stop_at_mm, rail_mm + 1.5)
    line(group, top, foot, width="1")


def _places(
    group: ET.Element,
    places_mm: Sequence[float],
    rail_mm: float,
    points_mm: float,
    scale: float,
) -> None:
    top_mm, foot_mm = rail_mm + 0.5, rail_mm + 2.3
    for place_mm in places_mm:
        x_mm = points_mm + place_mm * scale
        corners = (
            corner(x_mm, top_mm),
            corner(x_mm - 1, foot_mm),
            corner(x_mm + 1, foot_mm),
        )
        polygon(group, corners)
