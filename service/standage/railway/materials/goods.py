"""What one thing is that a plan is made of."""

from typing import Literal

import msgspec

from standage.railway.track.pieces.pieces import State

What = Literal[
    "straight",
    "curve",
    "transition",
    "flexible",
    "track",
    "points",
    "y_points",
    "curved_points",
    "three_way",
    "diamond",
    "single_slip",
    "double_slip",
    "buffer_stop",
    "turntable",
    "traverser",
    "sector_plate",
    "cassette",
    "joiners",
    "joiners_within",
    "insulated_joiners",
    "board_joints",
    "droppers",
    "feeds",
    "gaps",
    "uncouplers",
    "point_motors",
    "underlay",
]
"""In the order of a list. ``joiners_within`` lie within track that is longer than a
stock length; ``gaps`` are sawn in a rail away from joints.
"""
PLAIN: tuple[What, ...] = ("straight", "curve", "transition", "flexible", "track")
Geometry = tuple[tuple[str, str | float], ...]
NO_GEOMETRY: Geometry = ()


class Good(msgspec.Struct, frozen=True, kw_only=True):
    """Something that one piece, or one joint, takes; ``pieces`` are those it is of.

    Without a ``length_mm`` nobody knows it, or it has none. ``made_of`` tells it from
    one that has to be made anew: all its figures, but not how far it is laid.
    """

    what: What
    pieces: tuple[str, ...]
    module: str
    state: State
    count: int = 1
    length_mm: float | None = None
    geometry: Geometry = NO_GEOMETRY
    made_of: tuple[object, ...] = ()


def whole_state(states: tuple[State, ...]) -> State:
    """Return how far that is laid which several pieces make together: it is planned
    where one of them is. **Source** derived.
    """
    if "planned" in states:
        return "planned"
    return "laid" if "laid" in states else "fixed"


def module_of(piece: str) -> str:
    """Return the module that a piece is of, by its name in the layout; nothing for the
    layout's own. **Source** the plan's document.

    >>> module_of("west/T1"), module_of("T1")
    ('west', '')
    """
    module, stroke, _ = piece.partition("/")
    return module if stroke else ""
