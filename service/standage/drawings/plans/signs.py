"""The signs on a plan: fittings, open ends, stops, gaps; and the words of its key."""

from cmath import phase
from collections.abc import Sequence
from math import degrees
from xml.etree import ElementTree as ET

from standage.drawings.plans.content import Sign
from standage.drawings.plans.sheets import moved
from standage.drawings.plans.ways import View
from standage.railway.track.paths.spots import Spot
from standage.railway.track.plans.plan import FittingKind

SIGN_MM = 1.6
"""So far from the track's centre a sign reaches."""
_THIN = {"fill": "none", "stroke": "black", "stroke-width": "0.3"}
_FULL = {"fill": "black", "stroke": "none"}
_WHITE = {"fill": "white", "stroke": "black", "stroke-width": "0.3"}
Shape = tuple[str, dict[str, str]]
_SHAPES: dict[FittingKind, Sequence[Shape]] = {
    "gap": [("M-0.4 -1.6V1.6M0.4 -1.6V1.6", _THIN)],
    "feed": [("M0 0L-0.8 1.9H0.8Z", _FULL)],
    "uncoupling": [("M-1.2 -0.8H1.2V0.8H-1.2Z", _WHITE)],
    "stopping_mark": [("M0 -1.8V1.8M-0.8 -1.8H0.8", _THIN | {"stroke-width": "0.5"})],
    "signal": [
        ("M0 1.2H1.6", _THIN),
        ("M1.6 1.2m-0.7 0a0.7 0.7 0 1 0 1.4 0a0.7 0.7 0 1 0 -1.4 0Z", _FULL),
    ],
    "loading_spot": [("M-0.8 1H0.8V2.4H-0.8Z", _WHITE)],
}
"""As seen looking to the right along the track, in mm of paper, y down."""
_MIDDLES_MM: dict[FittingKind, complex] = {
    "feed": 0.95j,
    "signal": 1.15 + 1.2j,
    "loading_spot": 1.7j,
}
"""Where the middle of a sign lies that does not stand over the track."""
WORDS: dict[FittingKind, str] = {
    "gap": "gap in the rails",
    "feed": "feed",
    "uncoupling": "uncoupling place",
    "stopping_mark": "stopping mark",
    "signal": "signal",
    "loading_spot": "loading spot",
}


def draw_sign(group: ET.Element, sign: Sign, view: View) -> None:
    """Draw a fitting's sign on its track."""
    place = view.place(sign.spot.point)
    inner = moved(group, place.real, place.imag)
    inner.set(
        "transform",
        f"{inner.get('transform')} {_turned(sign.spot, view)}",
    )
    if sign.rails == "left" and sign.kind in {"feed", "gap"}:
        inner = ET.SubElement(
            inner,
            "g",
            {"transform": "scale(1 -1)"},
        )
    draw_shape(inner, sign.kind)


def draw_shape(group: ET.Element, kind: FittingKind) -> None:
    """Draw a sign about the group's own 0."""
    for steps, style in _SHAPES[kind]:
        ET.SubElement(
            group,
            "path",
            {"d": steps, **style},
        )


def draw_sample(group: ET.Element, kind: FittingKind) -> None:
    """Draw a sign with its middle at the group's own 0, as a key shows it."""
    middle_mm = _MIDDLES_MM.get(kind, 0j)
    draw_shape(moved(group, -middle_mm.real, -middle_mm.imag), kind)


def draw_open_end(group: ET.Element, spot: Spot, view: View) -> None:
    """Draw the mark of track that ends without a stop: an open angle."""
    place = view.place(spot.point)
    inner = moved(group, place.real, place.imag)
    inner.set(
        "transform",
        f"{inner.get('transform')} {_turned(spot, view)}",
    )
    ET.SubElement(
        inner,
        "path",
        {"d": "M0 -1.5L1.5 0L0 1.5", **_THIN},
    )


def _turned(spot: Spot, view: View) -> str:
    on_paper = (spot.direction * view.turn).conjugate()
    return f"rotate({degrees(phase(on_paper)):.2f})"
