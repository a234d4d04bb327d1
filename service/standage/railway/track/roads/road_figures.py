"""What a road's track is like: its least radius, and where it bends the other way."""

from collections.abc import Iterator, Sequence

import msgspec

from standage.railway.track.network.network import Course, Network
from standage.railway.track.paths.runs import Run

_STRAIGHT = 1e-9
"""A curvature that is none: a radius of more than a thousand kilometres."""


class Bending(msgspec.Struct, frozen=True, kw_only=True):
    """The sharpest of some track, and its reverse curves.

    Without a ``minimum_radius_mm`` all of it is straight, but for what is ``unknown``:
    pieces without a shape of which no least radius is given.
    """

    minimum_radius_mm: float | None
    reverse_curves: tuple["ReverseCurve", ...]
    unknown: tuple[str, ...]


class ReverseCurve(msgspec.Struct, frozen=True, kw_only=True):
    """Two curves of opposite hands, with so much straight between, where the second
    begins."""

    piece: str
    straight_between_mm: float
    first_radius_mm: float
    second_radius_mm: float


def bending(
    network: Network, courses: Sequence[Course], *, is_closed: bool = False
) -> Bending:
    """Return how sharply the track of some courses bends, in the order they are run.

    Where ``is_closed`` the first follows the last. Radii of a transition are those
    where it is sharpest. **Source** derived.
    """
    radii_mm = list(_radii(network, courses))
    unknown = [
        network.piece(course)
        for course in courses
        if network.runs(course) is None and _given_radius(network, course) is None
    ]
    return Bending(
        minimum_radius_mm=min(radii_mm, default=None),
        reverse_curves=tuple(_reverse_curves(network, courses, is_closed=is_closed)),
        unknown=tuple(dict.fromkeys(unknown)),
    )


def _given_radius(network: Network, course: Course) -> float | None:
    return network.strand(course).minimum_radius_mm


def _radii(network: Network, courses: Sequence[Course]) -> Iterator[float]:
    for course in courses:
        given_mm = _given_radius(network, course)
        if given_mm is not None:
            yield given_mm
        for run in network.runs(course) or ():
            sharpest = max(abs(run.curvature_from), abs(run.curvature_to))
            if sharpest > _STRAIGHT:
                yield 1 / sharpest


def _reverse_curves(
    network: Network, courses: Sequence[Course], *, is_closed: bool
) -> Iterator[ReverseCurve]:
    """Yield where the hand changes; track without a shape between hides whether it
    does."""
    before = 0.0
    straight_mm = 0.0
    # Whoever has gone round once knows what comes before the first curve.
    rounds = 2 if is_closed else 1
    for number, course in enumerate(tuple(courses) * rounds):
        is_last_round = number >= len(courses) * (rounds - 1)
        runs = network.runs(course)
        if runs is None:
            before = 0.0
            continue
        for run in runs:
            bend = _sharpest(run)
            if bend == 0:
                straight_mm += run.length_mm
                continue
            if before * bend < 0 and is_last_round:
                yield ReverseCurve(
                    piece=network.piece(course),
                    straight_between_mm=straight_mm,
                    first_radius_mm=1 / abs(before),
                    second_radius_mm=1 / abs(bend),
                )
            before = bend
            straight_mm = 0.0


def _sharpest(run: Run) -> float:
    """Return the curvature of a run where it is sharpest, with its sign; 0 for a
    straight."""
    both = (run.curvature_from, run.curvature_to)
    bend = max(both, key=abs)
    if abs(bend) > _STRAIGHT:
        return bend
    return 0.0
