"""Stopping marks on roads: from mark to mark, and from each limit to the nearest."""

from bisect import insort
from collections.abc import Sequence
from math import inf

import msgspec

from standage.railway.terms.figures import tidy
from standage.railway.track.network.network import Network
from standage.railway.track.network.positions import Spotted, resolved
from standage.railway.track.plans.plan import Plan
from standage.railway.track.roads.limits import EndLimit, Usable


class Stopping(msgspec.Struct, frozen=True, kw_only=True):
    """Where trains stop on a road: ``marks_mm`` from its first end, in order.

    ``stop_to_stop_mm`` is from the first mark to the last, None without two. For each
    limit ``from_marks_mm`` has how far it is from the mark nearest to it, less than 0
    for a mark beyond the limit; None without a mark, or where the limit is not known.
    """

    marks_mm: tuple[float, ...]
    stop_to_stop_mm: float | None
    from_marks_mm: tuple[float | None, ...]


def stopping(
    plan: Plan, network: Network, usable: Sequence[Usable]
) -> tuple[Stopping, ...]:
    """Return the stopping marks of each road, in the order of ``usable``.

    A mark on track of unknown length, or in no road, is left out. In mm. **Source**
    derived.
    """
    found_on = {
        course >> 1: (number, place)
        for number, one in enumerate(usable)
        for place, course in enumerate(one.road.courses)
    }
    marks: list[list[float]] = [[] for _ in usable]
    for fitting in plan.fittings:
        if fitting.kind != "stopping_mark":
            continue
        spotted = resolved(network, fitting)
        if spotted is None or spotted.course >> 1 not in found_on:
            continue
        number, place = found_on[spotted.course >> 1]
        at_mm = _along(
            network,
            usable[number],
            place,
            spotted,
        )
        if at_mm is not None:
            insort(marks[number], tidy(at_mm))
    both = zip(usable, marks, strict=True)
    return tuple(_stopping(one, tuple(own)) for one, own in both)


def _along(
    network: Network, usable: Usable, place: int, spotted: Spotted
) -> float | None:
    """Return how far from a road's first end a place on it lies."""
    road = usable.road
    start_mm = road.starts_mm[place]
    length_mm = network.strand(spotted.course).length_mm
    if start_mm is None or length_mm is None:
        return None
    if road.courses[place] == spotted.course:
        return start_mm + spotted.along_mm
    return start_mm + length_mm - spotted.along_mm


def _stopping(usable: Usable, marks_mm: tuple[float, ...]) -> Stopping:
    length_mm = usable.road.length_mm
    return between_marks(marks_mm, usable.limits, length_mm=length_mm)


def between_marks(
    marks_mm: tuple[float, ...],
    limits: Sequence[EndLimit],
    *,
    length_mm: float | None,
) -> Stopping:
    """Return how marks lie in track that is so long, from blades to blades, between its
    limits; ``marks_mm`` count from its first end, in order. In mm. **Source** derived.
    """
    apart_mm = None
    if len(marks_mm) > 1:
        apart_mm = tidy(marks_mm[-1] - marks_mm[0])
    return Stopping(
        marks_mm=marks_mm,
        stop_to_stop_mm=apart_mm,
        from_marks_mm=tuple(_from_marks(marks_mm, limits, length_mm=length_mm)),
    )


def _from_marks(
    marks_mm: Sequence[float],
    limits: Sequence[EndLimit],
    *,
    length_mm: float | None,
) -> list[float | None]:
    if not limits:
        return []
    if not marks_mm or length_mm is None:
        return [None for _ in limits]
    near, far = limits
    return [
        _beyond(near.from_blades_mm, mark_mm=marks_mm[0]),
        _beyond(far.from_blades_mm, mark_mm=length_mm - marks_mm[-1]),
    ]


def _beyond(limit_mm: float | None, *, mark_mm: float) -> float | None:
    if limit_mm is None or limit_mm == inf:
        return None
    return tidy(mark_mm - limit_mm)
