"""A track's centre line of straights and curves, and wheels standing on it.

A place on the path is how far along it lies, in mm; it grows the way the train runs,
and is 0 where the first piece ends. The first piece goes on for ever backwards and the
last for ever forwards. In the plane a point is a complex number and a direction one of
size 1; a piece curves to the left where its curvature, 1 ÷ radius, is more than 0.
"""

from bisect import bisect_right
from cmath import rect
from collections.abc import Sequence
from math import asin, pi, sin

import msgspec

_NEAR = 1e-11
_FIGURES = 1e-15
"""How near a wheel is put to its place: a part of the chord, and of what a number of
that size can tell apart.
"""
_MOST_TRIES = 40
_WIDEST_ANGLE = 0.1
"""The cosine of the angle between track and chord below which Newton's method may lose
its way.
"""
_FARTHEST = pi
"""No place is looked for farther back along the path than that many chords: half a
circle is 1.6 of them.
"""
_STEPS_TO_A_CHORD = 64
_HALVINGS = 60


class Piece(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """A straight (curvature 0) or an arc; ``length_mm`` of the first and the last piece
    of a path is not used.
    """

    curvature: float
    length_mm: float = 0.0


class Path(msgspec.Struct, frozen=True, kw_only=True):
    """Pieces that meet without a kink; ``ends_mm`` are the places where one piece
    changes into the next.
    """

    curvatures: tuple[float, ...]
    ends_mm: tuple[float, ...]
    anchors: tuple[tuple[float, complex, complex], ...]

    def at(self, along_mm: float) -> tuple[complex, complex]:
        """Return the point and the direction of the path at a place."""
        piece = bisect_right(self.ends_mm, along_mm)
        start_mm, point, direction = self.anchors[piece]
        return _onwards(point, direction, along_mm - start_mm, self.curvatures[piece])

    def behind(self, along_mm: float, *, chord_mm: float) -> float | None:
        """Return the first place behind ``along_mm`` that lies ``chord_mm`` from it as
        the crow flies.

        Exact within a piece; otherwise by Newton's method, to a
        hundred-thousand-millionth of the chord, or by walking where that loses its way.
        None where the path bends too sharply for a chord of that length to end on it.
        """
        piece = bisect_right(self.ends_mm, along_mm)
        arc_mm = _arc(chord_mm, self.curvatures[piece])
        if arc_mm is not None and (
            piece == 0 or along_mm - arc_mm >= self.ends_mm[piece - 1]
        ):
            return along_mm - arc_mm
        if piece == 0:
            return None
        met_mm = self._met(along_mm, chord_mm)
        return self._walked_to(along_mm, chord_mm) if met_mm is None else met_mm

    def _met(self, along_mm: float, chord_mm: float) -> float | None:
        """Return the place by Newton's method from the nearest it can be, or None where
        that loses its way.
        """
        point = self.at(along_mm)[0]
        found_mm = along_mm - chord_mm
        near_mm = _NEAR * chord_mm + _FIGURES * abs(point)
        for _ in range(_MOST_TRIES):
            other, direction = self.at(found_mm)
            chord = point - other
            length_mm = abs(chord)
            short_mm = chord_mm - length_mm
            if abs(short_mm) <= near_mm:
                return found_mm if found_mm >= along_mm - _FARTHEST * chord_mm else None
            cosine = (chord * direction.conjugate()).real / length_mm
            if cosine < _WIDEST_ANGLE:
                return None
            found_mm -= short_mm / cosine
        return None

    def _walked_to(self, along_mm: float, chord_mm: float) -> float | None:
        """Return the place by walking back in small steps until it is passed, then by
        halving; None if it never is.
        """
        point = self.at(along_mm)[0]

        def short(place_mm: float) -> bool:
            return abs(point - self.at(place_mm)[0]) < chord_mm

        step_mm = chord_mm / _STEPS_TO_A_CHORD
        far_mm = along_mm - chord_mm
        while short(far_mm):
            far_mm -= step_mm
            if far_mm < along_mm - _FARTHEST * chord_mm:
                return None
        near_mm = min(far_mm + step_mm, along_mm)
        for _ in range(_HALVINGS):
            middle_mm = (far_mm + near_mm) / 2
            far_mm, near_mm = (
                (far_mm, middle_mm) if short(middle_mm) else (middle_mm, near_mm)
            )
        return far_mm


def path(pieces: Sequence[Piece]) -> Path:
    """Return the path that runs through ``pieces`` in order, the first of which ends at
    0.

    Raises ValueError for no pieces at all.
    """
    if not pieces:
        raise ValueError("a path needs at least one piece")
    end_mm, point, direction = 0.0, 0j, 1 + 0j
    ends_mm, anchors = [], [(end_mm, point, direction)]
    for piece in pieces[1:]:
        ends_mm.append(end_mm)
        anchors.append((end_mm, point, direction))
        point, direction = _onwards(point, direction, piece.length_mm, piece.curvature)
        end_mm += piece.length_mm
    return Path(
        curvatures=tuple(piece.curvature for piece in pieces),
        ends_mm=tuple(ends_mm),
        anchors=tuple(anchors),
    )


def turned_round(pieces: Sequence[Piece]) -> tuple[Piece, ...]:
    """Return the pieces as a train meets them that comes from the other end."""
    return tuple(
        msgspec.structs.replace(piece, curvature=-piece.curvature)
        for piece in reversed(pieces)
    )


def _onwards(
    point: complex, direction: complex, run_mm: float, curvature: float
) -> tuple[complex, complex]:
    """Return where an arc of ``run_mm`` that sets off from a point ends, and in what
    direction.
    """
    if curvature == 0:
        return point + direction * run_mm, direction
    half = curvature * run_mm / 2
    if half == 0:
        return point, direction
    return point + direction * rect(run_mm * sin(half) / half, half), direction * rect(
        1.0, 2 * half
    )


def _arc(chord_mm: float, curvature: float) -> float | None:
    """Return the length of the arc over a chord, or None where the chord is longer than
    the circle is wide.
    """
    half = abs(curvature) * chord_mm / 2
    if half == 0:
        return chord_mm
    return chord_mm * asin(half) / half if half <= 1 else None
