"""The sheet of what stands beside the track: its cross-section, on a curve its plan, and
what is said of it beneath.
"""

from collections.abc import Iterator, Sequence
from textwrap import wrap
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.lineside_plans import Curve, draw_plan
from standage.drawings.lineside_sections import Section, draw_section
from standage.drawings.paper import (
    LETTERS,
    LINE_MM,
    MARGIN_MM,
    PAGE_MM,
    WITHIN_MM,
    inside,
    page,
    text,
    title,
    written,
)

_MOST_LINES = 18  # with which a sheet still goes on Letter
_TOP_MM = 12.0
_BETWEEN_MM = 7.0


class DrawnLineside(msgspec.Struct, frozen=True, kw_only=True):
    """What a sheet shows; without a section, of which nothing is known, words alone.

    ``notes`` are what is said beneath it.
    """

    called: str
    section: Section | None
    curve: Curve | None
    notes: tuple[str, ...]


def lineside_drawing(drawn: DrawnLineside) -> str:
    """Return the sheet as SVG."""
    # what is drawn tells how far down it ends, and so how high the page is
    group = ET.Element("g")
    down_mm = _TOP_MM
    if drawn.section is not None:
        down_mm = draw_section(group, drawn.section, top_mm=down_mm, wide_mm=WITHIN_MM)
    if drawn.curve is not None:
        top_mm = down_mm + _BETWEEN_MM
        down_mm = draw_plan(group, drawn.curve, top_mm=top_mm, wide_mm=WITHIN_MM)
    said = (*drawn.notes, *_key(drawn))
    return on_a_page(group, called=drawn.called, said=said, down_mm=down_mm)


def on_a_page(
    group: ET.Element, *, called: str, said: Sequence[str], down_mm: float
) -> str:
    """Return a page with a title above what is drawn and words beneath it, so far down,
    as SVG.
    """
    lines = list(_lines(said))
    height_mm = 2 * MARGIN_MM + down_mm + LINE_MM * (len(lines) + 1)
    root = page(width_mm=PAGE_MM, height_mm=height_mm, title=called)
    body = inside(root, margin_mm=MARGIN_MM)
    title(body, called, width_mm=WITHIN_MM)
    body.append(group)
    for number, words in enumerate(lines, 1):
        text(body, 0, down_mm + LINE_MM * number, words)
    return written(root)


def _lines(said: Sequence[str]) -> Iterator[str]:
    lines: list[str] = []
    for words in said:
        first, rest = words[0].upper(), words[1:]
        lines += wrap(f"{first}{rest}.", LETTERS)
    if len(lines) > _MOST_LINES:
        lines[_MOST_LINES - 1 :] = ["The answer says more than goes on this sheet."]
    yield from lines


def _key(drawn: DrawnLineside) -> Iterator[str]:
    """Yield what the lines of a sheet mean."""
    if drawn.section is None:
        return
    if drawn.curve is None:
        yield "cross-section: the stock at its widest, true to scale"
        return
    yield "cross-section: broken, how far the stock reaches; inside the curve is left"
    stands = "its leading bogie or axle where the curve ends"
    if drawn.curve.ends_at_mm is None:
        stands = "in the middle of the curve"
    yield f"plan: the vehicle that decides, {stands}; inside the curve is above"
