"""Buffers: where they stand, and when they lock on a curve.

Two vehicles' buffers lock when the faces can touch on the inside of the curve while the
heads overlap sideways by less than a third of the narrower one: pushed, one head slips
behind the other. A vehicle without buffers cannot lock.
"""

from math import cos, inf, sin

import msgspec

from standage.railway.curving.pairs import PairStanding
from standage.railway.terms.scales import Practice, ScaleName, full_size_mm, scale

LEAST_OVERLAP = 1 / 3
"""Of the narrower head, below which buffers lock. **Source** common practice."""


class BufferPlace(msgspec.Struct, frozen=True, kw_only=True):
    """Between the middles of the buffers at one end, and from the rail's top to their
    middle, in mm.
    """

    centres_mm: float
    height_mm: float


_NEM_303: dict[ScaleName, BufferPlace] = {
    "N": BufferPlace(centres_mm=11.0, height_mm=6.7),
    "TT": BufferPlace(centres_mm=14.5, height_mm=8.9),
    "H0": BufferPlace(centres_mm=20.0, height_mm=12.2),
    "0": BufferPlace(centres_mm=39.5, height_mm=23.6),
}
CENTRES_M: dict[Practice, float] = {"british": 1.74, "continental": 1.75}
"""Full-size buffer centres, taken where NEM 303 gives none; American stock has none.
**Source** common practice.
"""


def standard_buffers(name: ScaleName) -> BufferPlace | None:
    """Return where buffers stand in that scale, or None where the standard does not
    say. **Source** NEM 303 (2015).
    """
    return _NEM_303.get(name)


def usual_centres_mm(name: ScaleName, *, practice: Practice | None = None) -> float:
    """Return how far apart buffers usually are: by NEM 303, else scaled down; 0 for
    American stock, which has none. **Source** NEM 303 (2015), scaled.

    >>> usual_centres_mm("H0")
    20.0
    >>> round(usual_centres_mm("00"), 1)
    22.8
    """
    known = scale(name)
    practice = practice or known.practice
    if practice == "american":
        return 0.0
    place = standard_buffers(name)
    return (
        full_size_mm(CENTRES_M[practice], ratio=known.ratio)
        if place is None
        else place.centres_mm
    )


class Faces(msgspec.Struct, frozen=True, kw_only=True):
    """The buffers that face each other at a joint: centres and head widths of the
    leading end and the following one.

    A head whose width is not known counts as 0 wide.
    """

    centres_mm: tuple[float, float]
    heads_mm: tuple[float, float] = (0.0, 0.0)

    def gap_mm(self, gap_mm: float, *, bend: float) -> float:
        """Return how far apart the faces are on the inside, along the mean of the two
        axes, at the heads' outer edges.

        ``gap_mm`` is the gap between the middles of the ends, ``bend`` the angle in
        radians between the two axes. Less than 0 where the heads would have to pass
        into each other.

        >>> round(Faces(centres_mm=(20, 20)).gap_mm(3.0, bend=0.2), 3)
        1.003
        """
        return gap_mm - (sum(self.centres_mm) + sum(self.heads_mm)) / 2 * sin(
            abs(bend) / 2
        )

    def locking_margin_mm(self, standing: PairStanding, *, gap_mm: float) -> float:
        """Return how far the buffers are from locking: less than 0 where they lock.

        The greater of the gap between the faces and of what the heads overlap beyond a
        third, on the side of the track where it is less.
        """
        across_mm = sum(self.centres_mm) + sum(self.heads_mm)
        nearer_mm = across_mm / 2 * sin(standing.bend / 2)
        heads_mm = sum(self.heads_mm) / 2
        least_mm = LEAST_OVERLAP * min(self.heads_mm)
        margins_mm = []
        for side in (1, -1):
            apart_mm = gap_mm - side * nearer_mm
            overlap_mm = heads_mm - self._aside(standing, side)
            margins_mm.append(max(apart_mm, overlap_mm - least_mm))
        return min(margins_mm)

    def head_needed_mm(
        self, standing: PairStanding, *, gap_mm: float, widest_mm: float
    ) -> float:
        """Return the least width of head that does not lock; 0 where no width up to
        ``widest_mm`` would.

        For heads whose width is not known, taken to be alike at both ends: too narrow a
        one touches and slips, too wide a one there cannot be.
        """
        half = standing.bend / 2
        needed_mm = 0.0
        for side in (1, -1):
            inward = side * sin(half)
            near_mm = gap_mm - inward * sum(self.centres_mm) / 2
            touching_mm = (
                0.0 if near_mm <= 0 else near_mm / inward if inward > 0 else inf
            )
            slipping_mm = self._aside(standing, side) / (1 - LEAST_OVERLAP)
            if touching_mm < min(slipping_mm, widest_mm):
                needed_mm = max(needed_mm, slipping_mm)
        return needed_mm

    def _aside(self, standing: PairStanding, side: int) -> float:
        """Return how far the middles of the two heads on one side of the track are out
        of line.
        """
        return abs(
            standing.offset_mm
            + side
            * (self.centres_mm[0] - self.centres_mm[1])
            / 2
            * cos(standing.bend / 2)
        )


class EndBuffers(msgspec.Struct, frozen=True, kw_only=True):
    """The buffers at an end: between their middles, across a head, and the vehicle's
    width; None is not known.
    """

    centres_mm: float | None
    head_width_mm: float | None
    width_mm: float | None

    @property
    def is_known(self) -> bool:
        """Whether it is known where the heads are and how wide."""
        return self.centres_mm is not None and self.head_width_mm is not None


def faces(leading: EndBuffers | None, following: EndBuffers | None) -> Faces | None:
    """Return the buffers that face each other; None where an end has none or their
    places are not known. **Source** derived.
    """
    if (
        leading is None
        or following is None
        or leading.centres_mm is None
        or following.centres_mm is None
    ):
        return None
    return Faces(
        centres_mm=(leading.centres_mm, following.centres_mm),
        heads_mm=(leading.head_width_mm or 0.0, following.head_width_mm or 0.0),
    )


def outermost_mm(
    leading: EndBuffers | None, following: EndBuffers | None
) -> float | None:
    """Return the most that there can be between an end's outer edges, the mean of both
    ends; None where unknown. **Source** derived.
    """
    if leading is None or following is None:
        return None
    edges = (_edges(leading), _edges(following))
    if edges[0] is None or edges[1] is None:
        return None
    return (edges[0] + edges[1]) / 2


def widest_head_mm(leading: EndBuffers | None, following: EndBuffers | None) -> float:
    """Return the widest head that the vehicles' widths leave room for, taken to be
    alike at both ends. **Source** derived.
    """
    ends = [each for each in (leading, following) if each is not None]
    return min(
        (
            each.width_mm - each.centres_mm
            for each in ends
            if each.width_mm and each.centres_mm
        ),
        default=inf,
    )


def _edges(buffers: EndBuffers) -> float | None:
    """Return how far apart the outer edges are: by the buffers themselves, else no more
    than the vehicle's width.
    """
    if buffers.centres_mm is not None and buffers.head_width_mm is not None:
        return buffers.centres_mm + buffers.head_width_mm
    return buffers.width_mm
