"""Stretches of places: whether their parts follow one another, as a train runs."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from standage.railway.terms.figures import millimetres
from standage.railway.track.network.network import Network
from standage.railway.track.network.positions import Spotted, resolved
from standage.railway.track.plans.plan import Position, Stretch
from standage.shapes.faults import Fault

_SAME_MM = 1e-6
_MOST_TINY = 16
"""So many pieces may lie within the slack between two parts: of more nobody can tell
whether a train comes from the one to the other.
"""


def parted(
    network: Network, stretch: Sequence[Stretch], *, slack_mm: float
) -> Iterator[Fault]:
    """Yield a fault for each part of a stretch that does not begin where the one before
    it ends; pointers are relative to the stretch.

    A gap of up to ``slack_mm`` is none. A part on a leg that its piece does not have is
    not looked at, nor one of no length for its direction. **Source** derived.
    """
    within_mm = max(slack_mm, _SAME_MM)
    for number, (before, after) in enumerate(pairwise(stretch), start=1):
        ends = _places(network, before, before.to_mm)
        begins = _places(network, after, after.from_mm)
        if not ends or not begins:
            continue
        pairs = ((one, other) for one in ends for other in begins)
        if any(_meet(network, *pair, within_mm=within_mm) for pair in pairs):
            continue
        message = (
            f"{_said(after, after.from_mm)} is not where the part before it ends,"
            f" {_said(before, before.to_mm)}: name what lies between, or part the place"
        )
        yield Fault(
            code="does_not_follow",
            message=message,
            pointer=f"/{number}",
        )


def _places(network: Network, part: Stretch, at_mm: float) -> list[Spotted]:
    """Return a place of a part, looking the way it is run; both ways for one of no
    length. None on a leg that is not there, or whose length is not known.
    """
    position = Position(
        piece=part.piece,
        leg=part.leg,
        at_mm=at_mm,
    )
    spotted = resolved(network, position)
    if spotted is None or network.strand(spotted.course).length_mm is None:
        return []
    # A position is found on the course along which it counts.
    ways: list[Spotted] = []
    if part.to_mm >= part.from_mm:
        ways.append(spotted)
    if part.to_mm <= part.from_mm:
        ways.append(_about(network, spotted))
    return ways


def _about(network: Network, spotted: Spotted) -> Spotted:
    """Return the same place, looking back."""
    length_mm = network.strand(spotted.course).length_mm or 0.0
    return Spotted(course=spotted.course ^ 1, along_mm=length_mm - spotted.along_mm)


def _meet(network: Network, end: Spotted, start: Spotted, *, within_mm: float) -> bool:
    """Tell whether a train that runs on from one place comes to another at once."""
    if _leads_to(network, end, start, within_mm=within_mm):
        return True
    # What overlaps by no more than the slack leads there backwards.
    back, begun = _about(network, start), _about(network, end)
    return _leads_to(network, back, begun, within_mm=within_mm)


def _leads_to(
    network: Network, end: Spotted, start: Spotted, *, within_mm: float
) -> bool:
    begins_mm = {end.course: -end.along_mm}
    waiting = [end.course]
    while waiting:
        if len(begins_mm) > _MOST_TINY:
            return True
        course = waiting.pop()
        gap_mm = begins_mm[course] + start.along_mm
        if course == start.course and abs(gap_mm) <= within_mm:
            return True
        length_mm = network.strand(course).length_mm
        if length_mm is None:
            continue
        beyond_mm = begins_mm[course] + length_mm
        if beyond_mm > within_mm:
            continue
        for onwards in network.onwards(course):
            if onwards not in begins_mm:
                begins_mm[onwards] = beyond_mm
                waiting.append(onwards)
    return False


def _said(part: Stretch, at_mm: float) -> str:
    leg = "" if part.leg is None else f"'s {part.leg}"
    return f"{part.piece}{leg} at {millimetres(at_mm)}"
