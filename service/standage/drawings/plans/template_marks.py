"""What makes pages at 1:1 join and be checked: their windows' edges, crosses that cover
each other, and lines of 100 mm.
"""

from xml.etree import ElementTree as ET

from standage.drawings.paper import line
from standage.drawings.plans.lettering import words, write
from standage.drawings.plans.plan_strokes import open_line
from standage.drawings.plans.template_cells import SIDE_MM, Cell, Cells
from standage.drawings.plans.ways import View

CHECK_MM = 100.0
_CROSS_MM = 4.0


def joining_marks(group: ET.Element, cells: Cells, cell: Cell) -> None:
    """Draw a window's edge, where its neighbours begin, and the crosses."""
    size_mm, step_mm = cells.window_mm, cells.step_mm
    edge = {
        "width": f"{size_mm.real:.2f}",
        "height": f"{size_mm.imag:.2f}",
        "fill": "none",
        "stroke": "black",
        "stroke-width": "0.15",
    }
    ET.SubElement(group, "rect", edge)
    flat = View(1.0, 1 + 0j, 0j)
    row, column = cell
    held = set(cells.held)
    if (row, column + 1) in held:
        ends = (complex(step_mm.real, 0), complex(step_mm.real, -size_mm.imag))
        open_line(
            group,
            ends,
            flat,
            width="0.2",
            dashes="2 2",
        )
    if (row + 1, column) in held:
        ends = (complex(0, -step_mm.imag), complex(size_mm.real, -step_mm.imag))
        open_line(
            group,
            ends,
            flat,
            width="0.2",
            dashes="2 2",
        )
    for right_mm in (0.0, step_mm.real):
        for down_mm in (0.0, step_mm.imag):
            _cross(group, right_mm, down_mm)


def check_lines(group: ET.Element, cells: Cells) -> None:
    """Draw the lines of 100 mm, one across and one down."""
    paper = cells.paper
    right_mm = paper.wide_mm - 3.0
    line(
        group,
        (right_mm, 0.0),
        (right_mm, CHECK_MM),
        width="0.4",
    )
    foot_mm = cells.window_mm.imag + 5.5
    line(
        group,
        (0.0, foot_mm),
        (CHECK_MM, foot_mm),
        width="0.4",
    )
    for at_mm in (0.0, CHECK_MM):
        line(
            group,
            (right_mm - 2, at_mm),
            (right_mm + 2, at_mm),
            width="0.3",
        )
        line(
            group,
            (at_mm, foot_mm - 2),
            (at_mm, foot_mm + 2),
            width="0.3",
        )
    said = words(
        "100 mm",
        size_mm=paper.text_mm,
        most_mm=20.0,
    )
    write(
        group,
        CHECK_MM + 3.0,
        foot_mm + 1.0,
        said,
    )
    beside = words("100 mm", size_mm=2.2, most_mm=SIDE_MM)
    write(
        group,
        paper.wide_mm - beside.width_mm,
        CHECK_MM + 4.0,
        beside,
    )


def _cross(group: ET.Element, right_mm: float, down_mm: float) -> None:
    line(
        group,
        (right_mm - _CROSS_MM, down_mm),
        (right_mm + _CROSS_MM, down_mm),
        width="0.2",
    )
    line(
        group,
        (right_mm, down_mm - _CROSS_MM),
        (right_mm, down_mm + _CROSS_MM),
        width="0.2",
    )
    ring = {
        "cx": f"{right_mm:.2f}",
        "cy": f"{down_mm:.2f}",
        "r": "1.5",
        "fill": "none",
        "stroke": "black",
        "stroke-width": "0.2",
    }
    ET.SubElement(group, "circle", ring)
