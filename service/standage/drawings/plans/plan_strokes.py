"""A plan's strokes, from what lies beneath to what lies on top; words are no part."""

from xml.etree import ElementTree as ET

from standage.drawings.paper import GREY
from standage.drawings.plans.content import Content
from standage.drawings.plans.looks import Look
from standage.drawings.plans.plan_layout import Laid, pen_for
from standage.drawings.plans.signs import draw_open_end, draw_sign
from standage.drawings.plans.spots_on_track import Line
from standage.drawings.plans.track_pen import Pen
from standage.drawings.plans.ways import View


def draw_plan(group: ET.Element, shown: Content, laid: Laid, look: Look) -> None:
    """Draw all that has a place of a plan."""
    view = laid.view
    pen = pen_for(shown, laid, look)
    _beneath(
        group,
        shown,
        view,
        pen,
    )
    pen.draw(group, shown.sound)
    pen.draw(group, shown.doubtful, broken=True)
    _decks(group, shown, view)
    draw_on_track(group, shown, view)


def _beneath(group: ET.Element, shown: Content, view: View, pen: Pen) -> None:
    """Draw boards, what stands beside the track, and where trains may stand."""
    draw_boards(group, shown, view)
    width = f"{pen.band_mm:.2f}"
    for road in shown.roads:
        for usable in road.usable:
            open_line(
                group,
                usable,
                view,
                width=width,
                stroke=GREY,
            )


def draw_boards(group: ET.Element, shown: Content, view: View) -> None:
    """Draw the edges of boards, and what stands beside and above the track."""
    for board in shown.boards:
        style = {"fill": "none", "stroke-width": "0.2"}
        _closed(group, board.outline, view, style)
    for obstacle in shown.obstacles:
        style = {
            "fill": "none",
            "stroke-width": "0.25",
            "stroke-dasharray": "0.8 0.8",
        }
        _closed(group, obstacle.outline, view, style)


def draw_on_track(group: ET.Element, shown: Content, view: View) -> None:
    """Draw marks, ends, joints, fittings and gaps."""
    for mark in shown.marks:
        open_line(group, mark, view, width="0.8")
    for stop in shown.stops:
        open_line(group, stop, view, width="1.2")
    for spot in shown.open_ends:
        draw_open_end(group, spot, view)
    for joint in shown.joints:
        open_line(
            group,
            joint.outline,
            view,
            width="0.5",
            dashes="3 1 0.8 1",
        )
    for sign in shown.signs:
        draw_sign(group, sign, view)
    for gap in shown.gaps:
        place = view.place(gap.place)
        _ring(group, place)


def _closed(
    group: ET.Element, outline: Line, view: View, style: dict[str, str]
) -> None:
    corners = _corners(outline, view)
    ET.SubElement(
        group,
        "polygon",
        {"points": corners, "stroke": "black", **style},
    )


def open_line(
    group: ET.Element,
    places: Line,
    view: View,
    *,
    width: str,
    stroke: str = "black",
    dashes: str = "",
) -> None:
    """Draw a line through places of the plan."""
    style = {"fill": "none", "stroke": stroke, "stroke-width": width}
    if dashes:
        style["stroke-dasharray"] = dashes
    corners = _corners(places, view)
    ET.SubElement(
        group,
        "polyline",
        {"points": corners, **style},
    )


def _corners(places: Line, view: View) -> str:
    on_paper = map(view.place, places)
    return " ".join(f"{place.real:.2f},{place.imag:.2f}" for place in on_paper)


def _decks(group: ET.Element, shown: Content, view: View) -> None:
    for deck in shown.decks:
        middle = view.place(deck.middle)
        for end in deck.ends:
            open_line(
                group,
                (deck.middle, end),
                view,
                width="0.3",
                dashes="1 1",
            )
        if deck.radius_mm is not None:
            style = {
                "cx": f"{middle.real:.2f}",
                "cy": f"{middle.imag:.2f}",
                "r": f"{deck.radius_mm / view.one_in:.2f}",
                "fill": "none",
                "stroke": "black",
                "stroke-width": "0.4",
            }
            ET.SubElement(group, "circle", style)


def _ring(group: ET.Element, place: complex) -> None:
    style = {
        "cx": f"{place.real:.2f}",
        "cy": f"{place.imag:.2f}",
        "r": "2.2",
        "fill": "none",
        "stroke": "black",
        "stroke-width": "0.5",
    }
    ET.SubElement(group, "circle", style)
