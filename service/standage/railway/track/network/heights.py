"""How high the rails lie, and how steeply they climb.

Between two heights a line climbs evenly, but for the vertical curves at them; past its
last height it is level, which is assumed. A branch begins at the height that the
points' tips have, and roads that cross on one level have one height there.
"""

from bisect import bisect_right
from collections import deque
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from itertools import islice, pairwise, permutations

import msgspec

from standage.railway.terms.figures import millimetres
from standage.railway.track.network.lines import Line, Place, lines_of
from standage.railway.track.network.network import Course, Network
from standage.railway.track.network.positions import resolved
from standage.railway.track.network.profiles import (
    SAME_MM,
    Known,
    Part,
    eased,
    parts_between,
)
from standage.railway.track.pieces.shapes import is_knot
from standage.railway.track.plans.flat import End
from standage.railway.track.plans.plan import HeightPoint, Plan
from standage.shapes.faults import Fault

_Touch = tuple[int, Place, Place]
"""Another line by its number, and where the two meet: on the one, and on the other."""


class _Crossing(msgspec.Struct, frozen=True, kw_only=True):
    """A piece on which roads cross, and where on lines by their numbers they do."""

    piece: str
    roads: tuple[tuple[int, Place], ...]


class Slope(msgspec.Struct, frozen=True, kw_only=True):
    """Track between two heights; without a ``percent`` its vertical curves overlap.

    ``percent`` is the steepest on it, between the vertical curves at its ends.
    """

    from_mm: float
    to_mm: float
    percent: float | None


class Heights(msgspec.Struct, frozen=True, kw_only=True):
    """The heights of a plan's lines: where each strand lies on one, and what is
    known."""

    lines: tuple[Line, ...]
    line_of: Mapping[int, int]
    known: tuple[tuple[Known, ...], ...]
    slopes: tuple[tuple[Slope, ...], ...]
    faults: tuple[Fault, ...]

    def height_mm(self, course: Course, along_mm: float) -> float | None:
        """Return how high a place of a course lies; None where no height is known."""
        line = self.line_of.get(course >> 1)
        if line is None or not self.known[line]:
            return None
        at_mm = self.lines[line].place_mm(course, along_mm)
        return _height(self.known[line], at_mm)

    def parts(self, course: Course) -> tuple[Part, ...] | None:
        """Return how a course rises as it is run, in mm from its start; None where no
        height is known, or where vertical curves overlap."""
        line = self.line_of.get(course >> 1)
        if line is None or not self.known[line]:
            return None
        start_mm, end_mm = self.lines[line].span_mm(course)
        found = parts_between(self.known[line], start_mm, end_mm)
        if found is None:
            return None
        own = tuple(part.moved(-start_mm) for part in found)
        if course in self.lines[line].spans_mm:
            return own
        whole_mm = end_mm - start_mm
        return tuple(part.turned(whole_mm) for part in reversed(own))

    def steepest_percent(self, courses: Iterable[Course]) -> float | None:
        """Return the steepest gradient that any of some courses has; None for unknown,
        also where vertical curves overlap."""
        found: list[float] = []
        for course in courses:
            line = self.line_of.get(course >> 1)
            if line is None or not self.known[line]:
                return None
            start_mm, end_mm = self.lines[line].span_mm(course)
            percents = list(_percents(self.slopes[line], start_mm, end_mm))
            known = [percent for percent in percents if percent is not None]
            if len(known) < len(percents):
                return None
            found += known
        return max(found, default=0.0)

    @property
    def levels_off(self) -> bool:
        """Whether track goes on beyond the last height that is given on its line."""
        for line, own in zip(self.lines, self.known, strict=True):
            given = [one.at_mm for one in own]
            if given and not line.is_closed:
                beyond_mm = max(given[0], line.length_mm - given[-1])
                if beyond_mm > SAME_MM:
                    return True
        return False


def heights(
    plan: Plan, network: Network, closing: Collection[End] = frozenset()
) -> Heights:
    """Return the heights of a plan's lines and how steeply they climb.

    Two heights at the ends that close a circuit are a gap there and no fault: those
    ends are ``closing``.

    The steepest part of track that rises h over a run, with vertical curves v at its
    ends, has the gradient h ÷ (run − (v₁ + v₂)/2). Two heights at one place, and
    vertical curves that overlap, are faults. **Source** derived.
    """
    lines = tuple(lines_of(network))
    line_of = {
        course >> 1: number
        for number, line in enumerate(lines)
        for course in line.courses
    }
    given = _given(plan.heights, network, lines, line_of)
    crossings = list(_crossings(network, line_of))
    known = _spread(network, lines, line_of, given, crossings)
    slopes = [tuple(_slopes(line, own)) for line, own in zip(lines, known, strict=True)]
    return Heights(
        lines=lines,
        line_of=line_of,
        known=tuple(known),
        slopes=tuple(slopes),
        faults=(
            *_faults(known, _numbers_at(plan, network, closing)),
            *_uneven(plan, lines, known, crossings),
        ),
    )


def _given(
    points: Sequence[HeightPoint],
    network: Network,
    lines: Sequence[Line],
    line_of: Mapping[int, int],
) -> list[list[Known]]:
    given: list[list[Known]] = [[] for _ in lines]
    for number, point in enumerate(points):
        spotted = resolved(network, point)
        line = None if spotted is None else line_of.get(spotted.course >> 1)
        if spotted is None or line is None:
            continue
        at_mm = lines[line].place_mm(spotted.course, spotted.along_mm)
        known = Known(
            at_mm=at_mm,
            height_mm=point.height_mm,
            vertical_curve_mm=point.vertical_curve_mm or 0.0,
            number=number,
        )
        given[line].append(known)
    return given


def _spread(
    network: Network,
    lines: Sequence[Line],
    line_of: Mapping[int, int],
    given: Sequence[list[Known]],
    crossings: Sequence[_Crossing],
) -> list[tuple[Known, ...]]:
    """Return what is known of each line, with what its ends have from other lines.

    A line of which nothing is given has heights from lines that it crosses too.
    """
    known = [_in_order(line, own) for line, own in zip(lines, given, strict=True)]
    touching = _touching(network, lines, line_of)
    waiting = deque(number for number, own in enumerate(known) if own)
    done = set(waiting)
    own_heights = list(known)
    for number in list(waiting):
        line = lines[number]
        ties = _ties(line, lines, touching[number], own_heights)
        known[number] = _in_order(line, [*given[number], *ties])
    for crossing in crossings:
        for (number, own_place), (other, place) in permutations(crossing.roads, 2):
            touching[number].append((other, own_place, place))
    while waiting:
        number = waiting.popleft()
        for other, _, _ in touching[number]:
            if other not in done:
                done.add(other)
                waiting.append(other)
                ties = _all_ties(lines, other, touching[other], known)
                known[other] = _in_order(lines[other], ties)
    return known


def _all_ties(
    lines: Sequence[Line],
    number: int,
    touches: Sequence[_Touch],
    known: Sequence[tuple[Known, ...]],
) -> Iterator[Known]:
    """Yield the heights that a line without any has from all the lines it meets."""
    for other, own_place, place in touches:
        if known[other]:
            there = _at(known[other], lines[other].place_mm(*place))
            at_mm = lines[number].place_mm(*own_place)
            yield msgspec.structs.replace(there, at_mm=at_mm)


def _touching(
    network: Network, lines: Sequence[Line], line_of: Mapping[int, int]
) -> list[list[_Touch]]:
    """Return where each line meets others: at knots that one of the two ends at."""
    touching: list[list[_Touch]] = [[] for _ in lines]
    for number, line in enumerate(lines):
        for end in (line.courses[0] ^ 1, line.courses[-1]):
            if line.is_closed or not is_knot(network.leads_to(end)):
                continue
            for beyond in network.onwards(end)[:1]:
                other = line_of.get(beyond >> 1)
                if other is None:
                    continue
                own_place = (end, network.strand(end).length_mm or 0.0)
                other_place = (beyond, 0.0)
                touching[number].append((other, own_place, other_place))
                touching[other].append((number, other_place, own_place))
    return touching


def _crossings(network: Network, line_of: Mapping[int, int]) -> Iterator[_Crossing]:
    """Yield where the roads of crossings and slips meet, of those that lie on lines."""
    for piece, shape in network.shapes.items():
        roads: list[tuple[int, Place]] = []
        for strand, along_mm in shape.meeting:
            number = network.first_of[piece] + strand
            if number in line_of:
                roads.append((line_of[number], (2 * number, along_mm)))
        if len(roads) > 1:
            yield _Crossing(piece=piece, roads=tuple(roads))


def _ties(
    line: Line,
    lines: Sequence[Line],
    touches: Sequence[_Touch],
    given: Sequence[tuple[Known, ...]],
) -> Iterator[Known]:
    """Yield the heights that a line's ends have from lines that run on there."""
    for other, own_place, place in touches:
        is_end = own_place[0] in {line.courses[0] ^ 1, line.courses[-1]}
        if is_end and given[other]:
            there = _at(given[other], lines[other].place_mm(*place))
            at_mm = line.place_mm(*own_place)
            yield msgspec.structs.replace(there, at_mm=at_mm)


def _in_order(line: Line, known: Iterable[Known]) -> tuple[Known, ...]:
    """Return heights in their order; on a ring, the last and first again beyond its
    ends."""
    ordered = sorted(known)
    if not line.is_closed or not ordered:
        return tuple(ordered)
    last = _moved(ordered[-1], -line.length_mm)
    first = _moved(ordered[0], line.length_mm)
    return (last, *ordered, first)


def _moved(known: Known, by_mm: float) -> Known:
    return msgspec.structs.replace(known, at_mm=known.at_mm + by_mm)


def _at(known: Sequence[Known], at_mm: float) -> Known:
    """Return the height at a place, with the number of one that sets it."""
    after = bisect_right(known, at_mm, key=lambda one: one.at_mm)
    beside = known[max(0, after - 1) : after + 1]
    return Known(
        at_mm=at_mm,
        height_mm=_height(known, at_mm),
        number=max(one.number for one in beside),
    )


def _height(known: Sequence[Known], at_mm: float) -> float:
    after = bisect_right(known, at_mm, key=lambda one: one.at_mm)
    if after == 0:
        return known[0].height_mm
    if after == len(known):
        return known[-1].height_mm
    before, beyond = known[after - 1], known[after]
    for part in eased(before, beyond) or ():
        if at_mm <= part.to_mm:
            return part.height_at(at_mm)
    # Where vertical curves overlap, which is a fault, as if there were none.
    run_mm = beyond.at_mm - before.at_mm
    rise_mm = beyond.height_mm - before.height_mm
    share = (at_mm - before.at_mm) / run_mm
    return before.height_mm + share * rise_mm


def _slopes(line: Line, known: Sequence[Known]) -> Iterator[Slope]:
    for one, two in pairwise(known):
        run_mm = two.at_mm - one.at_mm
        if run_mm <= SAME_MM or one.at_mm > line.length_mm or two.at_mm < 0:
            continue
        curved_mm = one.vertical_curve_mm + two.vertical_curve_mm
        percent = None
        if curved_mm <= run_mm:
            rise_mm = abs(two.height_mm - one.height_mm)
            percent = 100 * rise_mm / (run_mm - curved_mm / 2)
        yield Slope(
            from_mm=one.at_mm,
            to_mm=two.at_mm,
            percent=percent,
        )


def _percents(
    slopes: Sequence[Slope], start_mm: float, end_mm: float
) -> Iterator[float | None]:
    first = bisect_right(slopes, start_mm, key=lambda slope: slope.to_mm)
    for slope in islice(slopes, first, None):
        if slope.from_mm >= end_mm:
            return
        yield slope.percent


def _faults(
    known: Iterable[Sequence[Known]], closing: Collection[int]
) -> Iterator[Fault]:
    told: set[tuple[int, int]] = set()
    for own in known:
        for one, two in pairwise(own):
            pair = (min(one.number, two.number), max(one.number, two.number))
            if pair in told or (closing and set(pair) <= set(closing)):
                continue
            for fault in _amiss(one, two, pair[1]):
                told.add(pair)
                yield fault


def _uneven(
    plan: Plan,
    lines: Sequence[Line],
    known: Sequence[Sequence[Known]],
    crossings: Iterable[_Crossing],
) -> Iterator[Fault]:
    """Yield the crossings whose two roads do not lie at one height there."""
    for crossing in crossings:
        met = [
            _at(known[number], lines[number].place_mm(*place))
            for number, place in crossing.roads
            if known[number]
        ]
        low_mm = min((one.height_mm for one in met), default=0.0)
        high_mm = max((one.height_mm for one in met), default=0.0)
        if high_mm - low_mm <= max(plan.slack_mm, SAME_MM):
            continue
        message = (
            f"the two roads of {crossing.piece} cross on one level, but the heights put"
            f" them at {millimetres(low_mm)} and {millimetres(high_mm)} there"
        )
        number = max(one.number for one in met)
        yield Fault(
            code="contradiction",
            message=message,
            pointer=f"/heights/{number}",
        )


def _amiss(one: Known, two: Known, number: int) -> Iterator[Fault]:
    run_mm = two.at_mm - one.at_mm
    curved_mm = one.vertical_curve_mm + two.vertical_curve_mm
    at = f"/heights/{number}"
    if run_mm <= SAME_MM and one.height_mm != two.height_mm:
        message = f"the rail lies at {millimetres(one.height_mm)} there already"
        yield Fault(
            code="contradiction",
            message=message,
            pointer=at,
        )
    elif curved_mm > run_mm + SAME_MM:
        message = (
            f"its vertical curve and its neighbour's take {millimetres(curved_mm)}, "
            f"and there are {millimetres(run_mm)} between the two heights"
        )
        at = f"{at}/vertical_curve_mm"
        yield Fault(
            code="too_long",
            message=message,
            pointer=at,
        )


def _numbers_at(plan: Plan, network: Network, ends: Collection[End]) -> Collection[int]:
    """Return which of the heights are given just at one of some ends."""
    if not ends:
        return ()
    return {
        number
        for number, point in enumerate(plan.heights)
        if any(end in ends for end in _ends_at(network, point))
    }


def _ends_at(network: Network, point: HeightPoint) -> list[End]:
    """Return the ends of its own piece at which a height is given: none or one, but
    both of track without a length.
    """
    spotted = resolved(network, point)
    if spotted is None or network.piece(spotted.course) != point.piece:
        return []
    length_mm = network.strand(spotted.course).length_mm or 0.0
    ends: list[End] = []
    if abs(spotted.along_mm) <= SAME_MM:
        ends.append((point.piece, network.begins(spotted.course)))
    if abs(length_mm - spotted.along_mm) <= SAME_MM:
        ends.append((point.piece, network.leads_to(spotted.course)))
    return ends


def heights_at_ends(plan: Plan, network: Network) -> dict[End, float]:
    """Return the heights that are given just at the ends of their own pieces. In mm.
    **Source** derived.
    """
    return {
        end: point.height_mm
        for point in plan.heights
        for end in _ends_at(network, point)
    }
