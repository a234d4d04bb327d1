"""Stretches of a plan as trains meet them: what they cover, and places that lie on them."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from standage.railway.moves.ground import Span, span_on
from standage.railway.moves.standing import Lying, Stand
from standage.railway.terms.figures import listed, millimetres, tidy
from standage.railway.track.network.network import Course, Network
from standage.railway.track.network.positions import Spotted, legs_of, told
from standage.railway.track.plans.plan import Stretch
from standage.railway.track.roads.road_places import FoundPlace

_NEAR_MM = 1e-6
_TAPED_MM = 1.0
"""Between two parts of a stretch so much may be missing: figures are rounded, and read off
a tape.
"""


class Amiss(NamedTuple):
    """What is wrong with a part of a stretch, by its number."""

    number: int
    code: str
    message: str


class _Met(NamedTuple):
    """A part of a course, in mm from its start."""

    course: Course
    from_mm: float
    to_mm: float


def amiss(network: Network, stretch: Sequence[Stretch]) -> Iterator[Amiss]:
    """Yield what is wrong with the parts of a stretch: what is on no piece.

    **Source** derived.
    """
    for number, part in enumerate(stretch):
        fault = _fault_of(network, part)
        if fault is not None:
            yield Amiss(number, *fault)


def _fault_of(network: Network, part: Stretch) -> tuple[str, str] | None:
    if part.piece not in network.first_of:
        return "unknown_piece", f"there is no piece {part.piece}"
    legs = legs_of(network, part.piece)
    if part.leg not in legs:
        named = [leg for leg in legs if leg is not None]
        if not named:
            return "unknown_leg", f"{part.piece} has no legs: leave leg out"
        return "unknown_leg", f"say which leg of {part.piece}: {listed(named)}"
    most_mm = max(hi_mm for _, _, hi_mm in _on_leg(network, part))
    farthest_mm = max(part.from_mm, part.to_mm)
    if farthest_mm > most_mm + _NEAR_MM:
        leg = "" if part.leg is None else f"'s {part.leg}"
        return "past_the_end", f"{part.piece}{leg} ends at {millimetres(most_mm)}"
    return None


def _on_leg(network: Network, part: Stretch) -> Iterator[tuple[int, float, float]]:
    """Yield the strands that a leg lies on, each from where to where it counts there."""
    first = network.first_of[part.piece]
    for number, strand in enumerate(network.shapes[part.piece].strands):
        if strand.leg != part.leg:
            continue
        length_mm = network.strands[first + number].length_mm or 0.0
        lo_mm = strand.at_mm if strand.rising else strand.at_mm - length_mm
        yield first + number, lo_mm, lo_mm + length_mm


def _met(network: Network, stretch: Sequence[Stretch]) -> Iterator[_Met]:
    """Yield a sound stretch as it is met, in the order of travel."""
    for part in stretch:
        runs_on = part.to_mm >= part.from_mm
        lo_mm, hi_mm = sorted((part.from_mm, part.to_mm))
        found = sorted(
            _on_leg(network, part),
            key=_begins,
            reverse=not runs_on,
        )
        for number, begins_mm, ends_mm in found:
            from_mm = max(lo_mm, begins_mm) - begins_mm
            to_mm = min(hi_mm, ends_mm) - begins_mm
            if to_mm - from_mm > _NEAR_MM:
                yield _as_met(
                    network,
                    number,
                    from_mm,
                    to_mm,
                    runs_on=runs_on,
                )


def _begins(on_leg: tuple[int, float, float]) -> float:
    return on_leg[1]


def _as_met(
    network: Network, number: int, from_mm: float, to_mm: float, *, runs_on: bool
) -> _Met:
    strand = network.strands[number]
    if runs_on:
        course = 2 * number + (0 if strand.rising else 1)
        return _Met(course, from_mm, to_mm)
    length_mm = strand.length_mm or 0.0
    course = 2 * number + (1 if strand.rising else 0)
    return _Met(course, length_mm - to_mm, length_mm - from_mm)


def spans_of(network: Network, stretch: Sequence[Stretch]) -> tuple[Span, ...]:
    """Return what a sound stretch covers, by strand; see ``amiss``. **Source**
    derived.
    """
    return tuple(
        span_on(
            met.course,
            met.from_mm,
            met.to_mm,
            own_mm=network.strand(met.course).length_mm or 0.0,
        )
        for met in _met(network, stretch)
    )


def stand_on(network: Network, stretch: Sequence[Stretch]) -> Stand | int:
    """Return the place that a sound stretch makes; the number of its first part that
    does not follow the one before, where there is one. **Source** derived.
    """
    courses: list[Course] = []
    begins_mm = ends_mm = base_mm = 0.0
    for number, part in enumerate(stretch):
        for met in _met(network, (part,)):
            if not courses:
                courses.append(met.course)
                begins_mm = met.from_mm
            elif courses[-1] != met.course:
                own_mm = network.strand(courses[-1]).length_mm or 0.0
                base_mm += own_mm
                leads_there = met.course in network.onwards(courses[-1])
                if not leads_there or met.from_mm + base_mm > ends_mm + _TAPED_MM:
                    return number
                courses.append(met.course)
            elif met.from_mm + base_mm > ends_mm + _TAPED_MM:
                return number
            ends_mm = base_mm + met.to_mm
    return Stand(
        courses=tuple(courses), from_mm=begins_mm, to_mm=ends_mm, measured=True
    )


def stand_in(network: Network, place: FoundPlace) -> Stand | int | None:
    """Return where trains stand in a place; as ``stand_on`` where that was measured,
    None where a length or a limit of it is not known. **Source** derived.
    """
    if place.place.stretch:
        return stand_on(network, place.place.stretch)
    limits_mm = [limit.from_blades_mm for limit in place.limits]
    return stand_between(place.courses, place.blades_to_blades_mm, limits_mm)


def stand_between(
    courses: tuple[Course, ...],
    length_mm: float | None,
    limits_mm: Sequence[float | None],
) -> Stand | None:
    """Return where trains stand on courses between limits, each so far from its end;
    None where a length is not known. In mm. **Source** derived.
    """
    if length_mm is None or None in limits_mm:
        return None
    near_mm, far_mm = ((mm or 0.0) for mm in limits_mm or (0.0, 0.0))
    to_mm = max(near_mm, length_mm - far_mm)
    return Stand(
        courses=courses,
        from_mm=min(near_mm, to_mm),
        to_mm=to_mm,
    )


def stretch_under(
    network: Network, train: Lying, *, train_mm: float
) -> tuple[Stretch, ...]:
    """Return the track under a train, from its rear to its lead, in mm. **Source**
    derived.
    """
    lead_mm = train.rear_mm + train_mm
    under = []
    for course, base_mm in zip(train.courses, train.bases_mm, strict=True):
        own_mm = network.strand(course).length_mm or 0.0
        from_mm = max(0.0, train.rear_mm - base_mm)
        to_mm = min(own_mm, lead_mm - base_mm)
        if to_mm - from_mm > _NEAR_MM:
            under.append(
                _part(
                    network,
                    course,
                    from_mm,
                    to_mm,
                )
            )
    return tuple(under)


def _part(network: Network, course: Course, from_mm: float, to_mm: float) -> Stretch:
    begins = told(network, Spotted(course=course, along_mm=from_mm))
    ends = told(network, Spotted(course=course, along_mm=to_mm))
    return Stretch(
        piece=begins.piece,
        leg=begins.leg,
        from_mm=tidy(max(0.0, begins.at_mm)),
        to_mm=tidy(max(0.0, ends.at_mm)),
    )
