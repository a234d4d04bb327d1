"""What a figure is about: the sense that stands in its type.

A name such as ``length_mm`` does not say whether a train is meant or a piece of track.
So the type says it, and whatever judges figures by what they are about (the likely
slips, above all) goes by the sense and knows no field.
"""

from collections.abc import Mapping
from typing import Any, Final, Literal

from msgspec import Meta

Sense = Literal[
    "usable_length",
    "road_length",
    "train_length",
    "vehicle_length",
    "body_length",
    "one_body_length",
    "full_size_length",
    "nominal_length",
    "bogie_centres",
    "bogie_wheelbase",
    "rigid_wheelbase",
    "total_wheelbase",
    "width",
    "height",
    "gauge",
    "radius",
    "points_radius",
    "spacing",
    "rim_spacing",
    "angle",
    "track_offset",
    "gradient",
    "climb_run",
    "climb_rise",
    "turns",
    "turn_rise",
    "headroom",
    "turntable_circle",
    "board_side",
    "wire_area",
    "wire",
    "notes",
    "name",
    "itself",
    "aside",
]
"""``name`` is what the struct is called in which it stands, ``wire`` what a wire is
called, ``notes`` are remarks beside it. Of a part, ``itself`` says that it is what was
asked about, so that no path names it, and ``aside`` that nobody asked about it.
"""

_KEY: Final = "sense"


def sense(of: Sense) -> Meta:
    """Return the annotation that gives a type its sense; no document shows it.

    **Source** derived: msgspec keeps ``extra`` for programs, and what describes a
    value for people stands elsewhere.

    >>> said(sense("radius").extra)
    'radius'
    """
    for_programs = {_KEY: of}
    return Meta(extra=for_programs)


def said(extra: Mapping[str, Any] | None) -> Sense | None:
    """Return the sense within what a type says for programs; None where there is none.
    **Source** derived.
    """
    if extra is None:
        return None
    return extra.get(_KEY)


NAMES_IT: Final = sense("name")
ITSELF: Final = sense("itself")
ASIDE: Final = sense("aside")
