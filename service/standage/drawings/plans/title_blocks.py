"""The block at a sheet's foot that says what it is, and the bar to measure by."""

from collections.abc import Iterator, Sequence
from xml.etree import ElementTree as ET

from standage.drawings.paper import line
from standage.drawings.plans.lettering import Words, width_mm, words, write
from standage.drawings.plans.looks import Look
from standage.drawings.plans.sheets import Paper
from standage.railway.terms.figures import millimetres
from standage.railway.track.plans.plan import Plan

BLOCK_MM = 11.0
BAR_HIGH_MM = 8.0
_BARS_MM = (
    *(1, 2, 5, 10, 20, 50, 100, 200, 250, 500, 1000, 2000, 5000),
    *(10_000, 20_000, 50_000, 100_000, 500_000, 1_000_000, 10_000_000),
)
_PARTS = 5
_PAD_MM = 1.5
_LABEL_MM = 2.2
_FACT_MM = 3.6
_LEAST_FACT_MM = 2.3
_CELL_MM = 34.0


def name_of(plan: Plan) -> str:
    """Return what a plan is called."""
    return plan.name or "Track plan"


def facts(plan: Plan, look: Look, scale: str) -> Iterator[tuple[str, str]]:
    """Yield what a title block says besides the plan's name."""
    if look.revision is not None:
        yield "revision", look.revision
    if look.dated is not None:
        yield "date", look.dated
    yield "drawn at", scale
    gauge_mm = plan.laid_gauge_mm
    if plan.scale is not None:
        yield "scale", plan.scale
    if gauge_mm is not None:
        yield "gauge", millimetres(gauge_mm)


def title_block(
    parent: ET.Element, paper: Paper, name: str, told: Sequence[tuple[str, str]]
) -> None:
    """Draw the block about the group's own 0, as wide as the paper has room."""
    cell_mm = min(_CELL_MM, 0.66 * paper.wide_mm / max(1, len(told)))
    name_mm = paper.wide_mm - cell_mm * len(told)
    box = {
        "width": f"{paper.wide_mm:.2f}",
        "height": f"{BLOCK_MM:g}",
        "fill": "white",
        "stroke": "black",
        "stroke-width": "0.4",
    }
    ET.SubElement(parent, "rect", box)
    shown = words(
        name,
        size_mm=5.0,
        most_mm=name_mm - 2 * _PAD_MM,
        is_bold=True,
    )
    write(
        parent,
        _PAD_MM,
        BLOCK_MM / 2 + shown.above_mm / 2,
        shown,
    )
    for number, (label, fact) in enumerate(told):
        left_mm = name_mm + number * cell_mm
        line(
            parent,
            (left_mm, 0),
            (left_mm, BLOCK_MM),
            width="0.2",
        )
        room_mm = cell_mm - 2 * _PAD_MM
        above = words(label, size_mm=_LABEL_MM, most_mm=room_mm)
        size_mm = _size_mm(fact, room_mm)
        below = words(fact, size_mm=size_mm, most_mm=room_mm)
        write(parent, left_mm + _PAD_MM, 3.4, above)
        write(parent, left_mm + _PAD_MM, 8.6, below)


def _size_mm(fact: str, room_mm: float) -> float:
    """Return how large a fact is written: smaller before it is cut."""
    wide_mm = width_mm(fact, size_mm=_FACT_MM)
    if wide_mm <= room_mm:
        return _FACT_MM
    return max(_LEAST_FACT_MM, _FACT_MM * room_mm / wide_mm)


def narrow_head(
    parent: ET.Element, paper: Paper, name: str, told: Sequence[tuple[str, str]]
) -> float:
    """Write the same at the head of a narrow sheet; return how high it is, in mm."""
    size_mm = paper.text_mm
    lines: list[Words] = [
        words(
            name,
            size_mm=1.3 * size_mm,
            most_mm=paper.wide_mm,
            is_bold=True,
        )
    ]
    for label, fact in told:
        text = f"{label}: {fact}"
        lines.append(
            words(
                text,
                size_mm=size_mm,
                most_mm=paper.wide_mm,
            )
        )
    down_mm = 0.0
    for one in lines:
        down_mm += 1.4 * one.size_mm
        write(parent, 0, down_mm, one)
    return down_mm + 2.0


def scale_bar(
    parent: ET.Element, *, one_in: float, most_mm: float, text_mm: float
) -> float:
    """Draw a bar of a round length about the group's own 0; return how long it is.

    It is as long on the paper as it says, in five parts, with its length beside it.
    """
    bar_mm = _round_mm(one_in, most_mm)
    long_mm = bar_mm / one_in
    for part in range(_PARTS):
        fill = "black" if part % 2 == 0 else "white"
        box = {
            "x": f"{part * long_mm / _PARTS:.3f}",
            "y": "0",
            "width": f"{long_mm / _PARTS:.3f}",
            "height": "1.6",
            "fill": fill,
            "stroke": "black",
            "stroke-width": "0.2",
        }
        ET.SubElement(parent, "rect", box)
    said = words(
        millimetres(bar_mm),
        size_mm=text_mm,
        most_mm=most_mm,
    )
    write(
        parent,
        long_mm + 1.5,
        0.8 + said.above_mm / 2,
        said,
    )
    return long_mm + 1.5 + said.width_mm


def _round_mm(one_in: float, most_mm: float) -> float:
    fits = [bar_mm for bar_mm in _BARS_MM if bar_mm / one_in <= most_mm]
    return float(fits[-1] if fits else _BARS_MM[0])
