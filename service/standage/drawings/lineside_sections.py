"""A cross-section of the track with what stands beside it: the stock as wide as it is,
broken as far as it reaches on the curve, grey what stands there.

The inside of the curve is on the left. An island lies between its two tracks.
"""

from typing import Literal
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.paper import TEXT_MM, cut_short
from standage.drawings.to_scale import (
    Box,
    Frame,
    block,
    level_dimension,
    named,
    upright_dimension,
)
from standage.railway.terms.figures import at_least, millimetres

HIGH_MM = 64.0
BENEATH_MM = 13.0
"""For the dimensions beneath it."""
_BESIDE_MM = 30.0
"""For the height that stands beside it."""
_LEAST_NAMED_MM = 9.0


class Section(msgspec.Struct, frozen=True, kw_only=True):
    """What a cross-section shows; all in mm.

    ``inside_mm`` and ``outside_mm`` are the edges, the reaches how far stock comes.
    ``height_mm`` is None where nobody says how high it is: it is then drawn as high as
    the stock. ``centres_mm`` is an island's.
    """

    what: Literal["platform", "island", "wall", "portal", "pier"]
    gauge_mm: float
    vehicle: str
    half_width_mm: float
    stock_mm: float
    inside_mm: float
    outside_mm: float
    inside_reach_mm: float
    outside_reach_mm: float
    height_mm: float | None
    centres_mm: float | None = None

    @property
    def thick_mm(self) -> float:
        """How much of it is shown at each side."""
        return 0.4 * max(self.inside_mm, self.outside_mm)

    @property
    def upper_mm(self) -> float:
        """How high the whole is above the rail."""
        highest_mm = max(self.stock_mm, self.height_mm or 0.0)
        if self.what == "portal":
            return highest_mm + self.thick_mm / 2
        return highest_mm

    @property
    def lower_mm(self) -> float:
        """How far what it stands on lies below the rail's top."""
        return -0.25 * self.gauge_mm

    @property
    def beside_mm(self) -> float:
        """How high what stands beside the track is drawn."""
        return self.stock_mm if self.height_mm is None else self.height_mm

    @property
    def box(self) -> Box:
        """All that is drawn."""
        left_mm = -self.inside_mm - self.thick_mm
        right_mm = self.outside_mm + self.thick_mm
        if self.centres_mm is not None:
            left_mm = -self.inside_reach_mm
            right_mm = self.centres_mm + self.outside_reach_mm
        sleeper_mm = self.gauge_mm
        return Box(
            min(left_mm, -sleeper_mm),
            self.lower_mm,
            max(right_mm, (self.centres_mm or 0.0) + sleeper_mm),
            self.upper_mm,
        )


def draw_section(
    group: ET.Element, section: Section, *, top_mm: float, wide_mm: float
) -> float:
    """Draw a cross-section from so far down; return how far down it ends."""
    within = (wide_mm - _BESIDE_MM, HIGH_MM)
    frame = Frame.of(section.box, left_mm=0.0, top_mm=top_mm, within=within)
    _ground(group, frame, section)
    if section.centres_mm is None:
        _beside_one_track(group, frame, section)
    else:
        _between_two(group, frame, section, section.centres_mm)
    _height(group, frame, section)
    _, foot_mm = frame.at(complex(0.0, section.lower_mm))
    return foot_mm + BENEATH_MM


def _ground(group: ET.Element, frame: Frame, section: Section) -> None:
    box = section.box
    frame.line(
        group,
        complex(box.left_mm, section.lower_mm),
        complex(box.right_mm, section.lower_mm),
        width="0.6",
    )


def _beside_one_track(group: ET.Element, frame: Frame, section: Section) -> None:
    _blocks(group, frame, section)
    _track(group, frame, section, 0.0)
    inside_mm, outside_mm = section.inside_mm, section.outside_mm
    foot_mm = frame.at(complex(0.0, section.lower_mm))[1] + 2.5
    from_mm, _ = frame.at(complex(-inside_mm, 0.0))
    middle_mm, _ = frame.at(0j)
    to_mm, _ = frame.at(complex(outside_mm, 0.0))
    inside, outside = at_least(inside_mm), at_least(outside_mm)
    level_dimension(group, (from_mm, middle_mm), foot_mm, inside, leans="left")
    level_dimension(group, (middle_mm, to_mm), foot_mm, outside, leans="right")


def _blocks(group: ET.Element, frame: Frame, section: Section) -> None:
    """Draw what stands to both sides of the track, and over it."""
    inside_mm, outside_mm = section.inside_mm, section.outside_mm
    thick_mm, high_mm = section.thick_mm, section.beside_mm
    lower_mm = section.lower_mm
    left = Box(-inside_mm - thick_mm, lower_mm, -inside_mm, high_mm)
    right = Box(outside_mm, lower_mm, outside_mm + thick_mm, high_mm)
    for one in (left, right):
        frame.shape(group, block(one), fill="grey")
    if section.what == "portal":
        over = Box(left.left_mm, high_mm, right.right_mm, section.upper_mm)
        frame.shape(group, block(over), fill="grey")


def _between_two(
    group: ET.Element, frame: Frame, section: Section, centres_mm: float
) -> None:
    from_mm = section.outside_mm
    to_mm = centres_mm - section.inside_mm
    island = Box(from_mm, section.lower_mm, to_mm, section.beside_mm)
    frame.shape(group, block(island), fill="grey")
    _track(group, frame, section, 0.0)
    _track(group, frame, section, centres_mm)
    foot_mm = frame.at(complex(0.0, section.lower_mm))[1] + 2.5
    near_mm, start_mm, end_mm, far_mm = (
        frame.at(complex(place_mm, 0.0))[0]
        for place_mm in (0.0, from_mm, to_mm, centres_mm)
    )
    outside, inside = at_least(section.outside_mm), at_least(section.inside_mm)
    level_dimension(group, (near_mm, start_mm), foot_mm, outside, leans="left")
    level_dimension(group, (end_mm, far_mm), foot_mm, inside, leans="right")
    # lower, since the others may reach beneath it
    width = millimetres(to_mm - from_mm)
    level_dimension(group, (start_mm, end_mm), foot_mm + TEXT_MM + 2.0, width)


def _track(group: ET.Element, frame: Frame, section: Section, at_mm: float) -> None:
    half_gauge_mm = section.gauge_mm / 2
    sleeper_mm = section.gauge_mm * 0.9
    lower_mm = section.lower_mm
    sleeper = Box(at_mm - sleeper_mm, lower_mm, at_mm + sleeper_mm, lower_mm / 2)
    stock = section.stock_mm
    reach = Box(
        at_mm - section.inside_reach_mm,
        0.06 * stock,
        at_mm + section.outside_reach_mm,
        stock,
    )
    body = Box(
        at_mm - section.half_width_mm,
        0.06 * stock,
        at_mm + section.half_width_mm,
        stock,
    )
    frame.shape(group, block(reach), width="0.25", dashes="1.6 1")
    frame.shape(group, block(body), fill="white", width="0.5")
    frame.shape(group, block(sleeper), fill="white", width="0.25")
    for rail_mm in (at_mm - half_gauge_mm, at_mm + half_gauge_mm):
        foot, head = complex(rail_mm, lower_mm / 2), complex(rail_mm, 0.0)
        frame.line(group, foot, head, width="1")
    middle = (complex(at_mm, lower_mm), complex(at_mm, 0.94 * stock))
    frame.along(group, middle, width="0.2", dashes="3 1 0.6 1")
    _name(group, frame, section, at_mm)


def _name(group: ET.Element, frame: Frame, section: Section, at_mm: float) -> None:
    room_mm = 2 * section.half_width_mm * frame.scale - 2.0
    if room_mm < _LEAST_NAMED_MM:
        return
    x_mm, y_mm = frame.at(complex(at_mm, 0.7 * section.stock_mm))
    shown = cut_short(section.vehicle, width_mm=room_mm, text_mm=TEXT_MM)
    named(group, x_mm, y_mm, shown)


def _height(group: ET.Element, frame: Frame, section: Section) -> None:
    """Draw how high it is above the rail's top, to the right of all."""
    if section.height_mm is None:
        return
    right_mm = section.box.right_mm
    x_mm, lower_mm = frame.at(complex(right_mm, 0.0))
    _, upper_mm = frame.at(complex(right_mm, section.height_mm))
    words = millimetres(section.height_mm)
    upright_dimension(group, x_mm + 3.0, lower_mm, upper_mm, words)
