"""What every kind of piece says of itself, whatever its kind.

A *strand* is track without a choice: from an end to another, or from an end to a
*knot*, which is where blades, a crossing or a stop's face are. Knots are named with a
leading @.
"""

from collections.abc import Mapping
from typing import Literal

import msgspec

from standage.railway.track.paths.runs import Run
from standage.railway.track.paths.spots import ORIGIN, Spot

LimitKind = Literal[
    "fouling_point", "blade_tips", "buffer_stop", "open_end", "deck_edge", "trap"
]
"""What ends a road; a trap's whole leg is never entered."""


class Strand(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """Track without a choice, from ``start`` to ``finish``, each an end or a knot.

    Without ``runs`` only its length is known, without ``length_mm`` nothing.
    Positions count ``at_mm`` along ``leg``: at the start, and rising or falling from
    it. ``limit`` is what a road over it meets at the knot; a ``core`` lies between
    knots.
    """

    start: str
    finish: str
    length_mm: float | None
    runs: tuple[Run, ...] | None = None
    spot: Spot | None = None
    leg: str | None = None
    at_mm: float = 0.0
    rising: bool = True
    limit: LimitKind | None = None
    core: bool = False
    minimum_radius_mm: float | None = None


class Rivals(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """Two ways out of a piece that part from each other, from where they do.

    ``lead`` and ``other_lead`` run from there to the start of the strands by number.
    From the blades a way is ``shift_mm`` longer than from there.
    """

    leg: str
    strand: int
    spot: Spot
    other: str
    other_strand: int
    other_spot: Spot
    lead: tuple[Run, ...] = ()
    other_lead: tuple[Run, ...] = ()
    shift_mm: float = 0.0
    other_shift_mm: float = 0.0


class Nose(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """Where a crossing's nose was measured, from the blades, and the crossing's
    angle."""

    from_blades_mm: float
    angle_deg: float


class Shape(msgspec.Struct, frozen=True, kw_only=True):
    """A piece in its own frame: ends point outwards; None where the shape is not known.

    ``passages`` has for each knot the pairs of strands between which wheels pass there.
    ``meeting`` are the places where two roads cross on one level, each on a strand by
    its number.
    ``edge`` is what a road meets at an end that no strand leads from. ``word`` is what
    a piece is called whose legs roads end at.
    """

    ends: Mapping[str, Spot | None]
    strands: tuple[Strand, ...] = ()
    passages: Mapping[str, tuple[tuple[int, int], ...]] = {}
    rivals: tuple[Rivals, ...] = ()
    pairs: tuple[tuple[str, str], ...] = ()
    fouling_mm: Mapping[str, float] = {}
    nose: Nose | None = None
    meeting: tuple[tuple[int, float], ...] = ()
    edge: LimitKind | None = None
    word: Literal["points", "crossing", "slip"] = "points"
    assumed: tuple[str, ...] = ()
    is_plain: bool = False

    @property
    def has_shape(self) -> bool:
        """Whether each of its ends has a place beside the others."""
        return None not in self.ends.values()


def is_knot(node: str) -> bool:
    """Tell whether a strand's start or finish is a knot, and no end.

    **Source** the names of knots, above.

    >>> is_knot("@tips"), is_knot("toe")
    (True, False)
    """
    return node.startswith("@")


START = ORIGIN.turned_about
"""The first end of a piece in its own frame: at 0, pointing out to the left."""
