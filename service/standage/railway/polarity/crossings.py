"""Live crossings: the rails that need a gap beyond them, and the feeds that are
switched with the blades.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Literal

import msgspec

from standage.railway.polarity.metal import Metal, Rail, metal
from standage.railway.track.network.positions import counted_along
from standage.railway.track.pieces.crossing_pieces import DoubleSlip, SingleSlip
from standage.railway.track.pieces.curved_points import CurvedPoints, YPoints
from standage.railway.track.pieces.piece_kinds import AnyPiece
from standage.railway.track.pieces.points_pieces import Points
from standage.railway.track.pieces.three_way_points import ThreeWay
from standage.railway.track.plans.plan import Fitting

Rails = Literal["left", "right", "both"]
_OTHER: Mapping[str, Rails] = {"left": "right", "right": "left"}
_SIDES: Mapping[Rails, tuple[int, ...]] = {"left": (0,), "right": (1,), "both": (0, 1)}
_SLIP: Mapping[str, Rails] = {"a1": "left", "b1": "right", "a2": "left", "b2": "right"}
_INNER: Mapping[type, Mapping[str, Rails]] = {
    YPoints: {"left": "right", "right": "left"},
    ThreeWay: {"left": "right", "middle": "both", "right": "left"},
    SingleSlip: _SLIP,
    DoubleSlip: _SLIP,
}
_WITH_CROSSINGS = (Points, YPoints, CurvedPoints, ThreeWay, SingleSlip, DoubleSlip)


class CrossingGap(msgspec.Struct, frozen=True, kw_only=True):
    """A rail that runs from a live crossing to track that is fed from elsewhere.

    ``rails`` looks from the blades outwards; None where nobody says to which hand the
    points lie. ``there`` tells whether a gap parts it; None where only one rail has one
    and nobody knows whether it is that one.
    """

    points: str
    leg: str
    rails: Rails | None
    there: bool | None


class LiveCrossings(msgspec.Struct, frozen=True, kw_only=True):
    """What live crossings ask for, and the points of which nobody says."""

    gaps: tuple[CrossingGap, ...]
    switched_feeds: tuple[str, ...]
    not_said: tuple[str, ...]


def live_crossings(gapped: Metal, fittings: Sequence[Fitting]) -> LiveCrossings:
    """Return the gaps and the switched feeds that live crossings need, with those there
    are in the metal.

    Beyond a crossing track is fed from elsewhere where a feed is on it, or where it
    leads to other points by one of their legs. **Source** common practice: the rails
    between two live crossings are parted, and each crossing takes the polarity of the
    road that is set.
    """
    as_it_is = _Fed(gapped, fittings)
    without_gaps = _Fed(metal(gapped.network), fittings)
    gaps: list[CrossingGap] = []
    live: list[str] = []
    not_said: list[str] = []
    for name, piece in gapped.network.flat.pieces.items():
        if not isinstance(piece, _WITH_CROSSINGS):
            continue
        if piece.crossing is None:
            not_said.append(name)
        if piece.crossing == "live":
            live.append(name)
            gaps += _gaps(
                without_gaps,
                as_it_is,
                name,
                piece,
            )
    return LiveCrossings(
        gaps=tuple(gaps), switched_feeds=tuple(live), not_said=tuple(not_said)
    )


def inner_rails(piece: AnyPiece) -> dict[str, Rails | None]:
    """Return the rails of each leg that run to a crossing, looking from the blades
    outwards; None where the hand is not known. **Source** derived.
    """
    if isinstance(piece, Points | CurvedPoints):
        far, near = ("through", "branch")
        if isinstance(piece, CurvedPoints):
            far, near = ("outer", "inner")
        if piece.hand is None:
            return {far: None, near: None}
        return {far: piece.hand, near: _OTHER[piece.hand]}
    return dict(_INNER.get(type(piece), {}))


def _gaps(
    without_gaps: "_Fed", as_it_is: "_Fed", name: str, piece: AnyPiece
) -> Iterator[CrossingGap]:
    for leg, rails in inner_rails(piece).items():
        sides = _SIDES[rails or "both"]
        if not any(without_gaps.beyond(name, leg, side) for side in sides):
            continue
        still = [as_it_is.beyond(name, leg, side) for side in sides]
        there: bool | None = not any(still)
        if rails is None and any(still) and not all(still):
            there = None
        yield CrossingGap(
            points=name,
            leg=leg,
            rails=rails,
            there=there,
        )


class _Fed:
    """Which rails feeds are on, and whether one is met on the way out from a leg."""

    def __init__(self, of: Metal, fittings: Sequence[Fitting]) -> None:
        self._metal = of
        self._track_of: dict[Rail, int] = {}
        for track, parts in enumerate(of.parts):
            for part in parts:
                self._track_of[part.left] = track
                self._track_of[part.right] = track
        self._fed: set[Rail] = set()
        for fitting in fittings:
            if fitting.kind == "feed":
                self._fed.update(_rails_at(of, fitting))
        self._leg_at = dict(_legs(of))

    def beyond(self, piece: str, leg: str, side: int) -> bool:
        """Tell whether a rail of a leg is fed from beyond; 0 is the left one."""
        network = self._metal.network
        course = network.at_end[piece, leg] ^ 1
        start = self._metal.at_start(course)[side]
        reached = {start}
        queue = [start]
        while queue:
            rail = queue.pop()
            if rail in self._fed:
                return True
            for other, joint in self._metal.touching[rail]:
                is_at_blades = self._metal.joints[joint].join is None
                if other in reached or (rail == start and is_at_blades):
                    continue
                if self._leg_at.get(joint) == self._track_of[rail]:
                    # other points, met by a leg, are fed from their toe
                    return True
                reached.add(other)
                queue.append(other)
        return False


def _legs(of: Metal) -> Iterator[tuple[int, int]]:
    """Yield the joints at blades, each with the track of the leg that it is at."""
    network = of.network
    legs = set()
    for name, shape in network.shapes.items():
        if shape.word == "crossing":
            continue
        for pair in shape.pairs:
            legs |= {network.at_end[name, leg] >> 1 for leg in pair}
    for number, joint in enumerate(of.joints):
        if joint.join is not None:
            continue
        for course in (joint.arriving, joint.leaving):
            if course >> 1 in legs:
                yield number, course >> 1


def _rails_at(of: Metal, feed: Fitting) -> Iterator[Rail]:
    spotted = counted_along(of.network, feed)
    if spotted is None:
        return
    track = spotted.course >> 1
    along_mm = spotted.along_mm
    if spotted.course & 1:
        along_mm = of.lengths_mm[track] - along_mm
    part = next((one for one in of.parts[track] if along_mm <= one.to_mm), None)
    if part is None:
        part = of.parts[track][-1]
    left, right = part.left, part.right
    if spotted.course & 1:
        left, right = right, left
    if feed.rails != "right":
        yield left
    if feed.rails != "left":
        yield right
