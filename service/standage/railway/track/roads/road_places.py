"""Places of a plan, on the roads that their pieces lie on."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import chain, pairwise

import msgspec

from standage.railway.terms.figures import tidy
from standage.railway.track.network.network import Course, Network, Stop
from standage.railway.track.pieces.shapes import LimitKind
from standage.railway.track.plans.plan import Plan, PlannedPlace, Stretch
from standage.railway.track.roads.limits import EndLimit, Usable, left_between
from standage.railway.track.roads.roads import Road
from standage.railway.track.roads.stopping import Stopping, between_marks
from standage.railway.track.roads.stretches import parted
from standage.shapes.faults import Fault, moved

_WORDS: dict[LimitKind, str] = {
    "buffer_stop": "buffers",
    "open_end": "open end",
    "deck_edge": "deck",
    "trap": "trap",
}
_TWO_ENDS = ("first", "second")
NO_MARKS = Stopping(marks_mm=(), stop_to_stop_mm=None, from_marks_mm=())


_Known = tuple[Usable, Stopping]


class FoundPlace(msgspec.Struct, frozen=True, kw_only=True):
    """A place and what the plan makes of it; by its stretch, it has no limits but that.

    ``differs_by_mm`` is what was surveyed less what the plan gives.
    """

    place: PlannedPlace
    roads: tuple[str, ...]
    ends: tuple[str, str]
    courses: tuple[Course, ...]
    limits: tuple[EndLimit, ...]
    usable_length_mm: float | None
    blades_to_blades_mm: float | None
    differs_by_mm: float | None
    marks: Stopping = NO_MARKS


class Places(msgspec.Struct, frozen=True, kw_only=True):
    """All places that lie on roads, and a fault for each that does not."""

    found: tuple[FoundPlace, ...]
    faults: tuple[Fault, ...]


class _Lies(msgspec.Struct, frozen=True, kw_only=True):
    """Where a place lies: roads run one after the other, each on or back (False).

    ``before`` is what lies between points that follow each other, ahead of a road.
    """

    usable: Usable
    runs_on: bool
    stopping: Stopping
    before: tuple[Course, ...] = ()

    @property
    def marks_mm(self) -> tuple[float, ...]:
        """The stopping marks from the end at which the place enters the road."""
        length_mm = self.usable.road.length_mm
        if self.runs_on or length_mm is None:
            return self.stopping.marks_mm
        return tuple(length_mm - at_mm for at_mm in reversed(self.stopping.marks_mm))

    @property
    def courses(self) -> tuple[Course, ...]:
        """The road's courses as the place runs over them."""
        courses = self.usable.road.courses
        if not self.runs_on:
            courses = tuple(course ^ 1 for course in reversed(courses))
        return self.before + courses

    def end(self, which: int) -> tuple[Stop, EndLimit] | None:
        """Return what ends it: 0 for the first end, 1 for the last; None on a
        circuit."""
        stops = self.usable.road.stops
        if stops is None:
            return None
        at = which if self.runs_on else 1 - which
        return stops[at], self.usable.limits[at]


def places(
    plan: Plan,
    network: Network,
    usable: Sequence[Usable],
    stopping: Sequence[Stopping],
) -> Places:
    """Return the places of a plan with their limits and lengths; ``stopping`` has an
    entry for each of ``usable``.

    Takes as many steps as roads and places have pieces. **Source** derived.
    """
    by_piece: dict[str, list[_Known]] = {}
    for one in zip(usable, stopping, strict=True):
        names = {network.piece(course) for course in one[0].road.courses}
        for name in names:
            by_piece.setdefault(name, []).append(one)
    found: list[FoundPlace] = []
    faults: list[Fault] = []
    for number, place in enumerate(plan.places):
        if place.stretch:
            found.append(_measured(place, place.stretch))
            at = f"/places/{number}/stretch"
            faults += (
                moved(fault, at)
                for fault in parted(network, place.stretch, slack_mm=plan.slack_mm)
            )
            continue
        on = place.on or ()
        if any(name not in network.shapes for name in on):
            # A fault of the plan itself tells that.
            continue
        try:
            lies = _run_on(network, on, list(_lies(network, on, by_piece)))
        except _NotThereError as error:
            at = f"/places/{number}/on/{error.number}"
            faults.append(
                Fault(
                    code=error.code,
                    message=str(error),
                    pointer=at,
                )
            )
            continue
        if lies:
            found.append(_on_roads(network, place, lies))
        elif on:
            message = f"{on[0]} alone is no road: name its track too"
            at = f"/places/{number}/on/0"
            faults.append(
                Fault(
                    code="no_road",
                    message=message,
                    pointer=at,
                )
            )
    return Places(found=tuple(found), faults=tuple(faults))


class _NotThereError(Exception):
    """A place's piece is in no road, or not in the one that the others are in."""

    def __init__(self, message: str, *, code: str, number: int) -> None:
        super().__init__(message)
        self.code = code
        self.number = number


def _measured(place: PlannedPlace, stretch: Sequence[Stretch]) -> FoundPlace:
    """Return a place by its stretch: whoever gives it has measured."""
    parts_mm = [abs(part.to_mm - part.from_mm) for part in stretch]
    length_mm = tidy(sum(parts_mm))
    return FoundPlace(
        place=place,
        roads=(),
        ends=_given_or(place, _TWO_ENDS),
        courses=(),
        limits=(),
        usable_length_mm=length_mm,
        blades_to_blades_mm=None,
        differs_by_mm=_difference(place, length_mm),
    )


def _lies(
    network: Network, names: Sequence[str], by_piece: Mapping[str, Sequence[_Known]]
) -> Iterator[_Lies]:
    """Yield the roads that a place's pieces lie on, in their order.

    Points that are named lead from one road into the next.
    """
    road: _Known | None = None
    entered: list[str] = []
    through: str | None = None
    for number, name in enumerate(names):
        if network.shapes[name].pairs if name in network.shapes else False:
            if road is not None:
                yield _lying(network, road, entered, through)
            road, entered, through = None, [], name
            continue
        here = _road_of(name, by_piece, number)
        if road is not None and here is not road:
            message = f"{name} lies on another road than {entered[-1]}"
            raise _NotThereError(
                message,
                code="two_roads",
                number=number,
            )
        road = here
        entered.append(name)
    if road is not None:
        yield _lying(network, road, entered, through)


def _run_on(
    network: Network, names: Sequence[str], lies: Sequence[_Lies]
) -> list[_Lies]:
    """Return roads each turned so that the next one follows over the points between."""
    found: list[_Lies] = list(lies[:1])
    for number, one in enumerate(lies[1:], start=1):
        near = found[-1]
        # Only the first road may yet be turned about.
        ways = [near] if number > 1 else [near, _about(near)]
        both = [(way, next_one) for way in ways for next_one in (one, _about(one))]
        linked = ((*pair, _between(network, names, *pair)) for pair in both)
        first = next(((a, b, mid) for a, b, mid in linked if mid is not None), None)
        if first is None:
            raise _unlinked(
                network,
                names,
                near,
                one,
            )
        found[-1] = first[0]
        found.append(msgspec.structs.replace(first[1], before=first[2]))
    return found


def _about(lies: _Lies) -> _Lies:
    return msgspec.structs.replace(lies, runs_on=not lies.runs_on)


def _between(
    network: Network, names: Sequence[str], near: _Lies, far: _Lies
) -> tuple[Course, ...] | None:
    """Return the track over named points from one road to another; None without any."""
    wanted = far.courses[0]
    seen: set[Course] = set()
    waiting: list[tuple[Course, tuple[Course, ...]]] = [(near.courses[-1], ())]
    while waiting:
        here, over = waiting.pop()
        for beyond in network.onwards(here):
            if beyond == wanted:
                return over
            if beyond not in seen and network.piece(beyond) in names:
                seen.add(beyond)
                waiting.append((beyond, (*over, beyond)))
    return None


def _unlinked(
    network: Network, names: Sequence[str], near: _Lies, far: _Lies
) -> _NotThereError:
    own = {network.piece(course) for course in far.usable.road.courses}
    before = {network.piece(course) for course in near.usable.road.courses}
    plain = [number for number, name in enumerate(names) if _is_plain(network, name)]
    # A list may come back to a road: what counts is where it is entered over points.
    last, number = next(
        (one, other)
        for one, other in pairwise(plain)
        if other > one + 1 and names[other] in own
    )
    from_name = names[last] if names[last] in before else names[0]
    over = ", ".join(names[last + 1 : number])
    message = f"no train runs from {from_name} over {over} to {names[number]}"
    return _NotThereError(
        message,
        code="two_roads",
        number=number,
    )


def _is_plain(network: Network, name: str) -> bool:
    return not network.shapes[name].pairs


def _road_of(
    name: str, by_piece: Mapping[str, Sequence[_Known]], number: int
) -> _Known:
    found = by_piece.get(name, ())
    if not found:
        message = f"{name} lies on no road"
        raise _NotThereError(message, code="no_road", number=number)
    if len(found) > 1:
        message = f"{name} lies on more than one road"
        raise _NotThereError(message, code="two_roads", number=number)
    return found[0]


def _lying(
    network: Network, known: _Known, names: Sequence[str], through: str | None
) -> _Lies:
    """Return a road the way round in which ``names`` follow, or lead on from
    ``through``."""
    usable, stopping = known
    road = usable.road
    if len(names) > 1:
        runs_on = _place_of(network, road, names[0]) <= _place_of(
            network, road, names[-1]
        )
    elif through is not None and road.stops is not None:
        runs_on = road.stops[0].piece == through
    else:
        # One piece alone: its end a first.
        runs_on = not road.courses[_place_of(network, road, names[0])] & 1
    return _Lies(
        usable=usable,
        runs_on=runs_on,
        stopping=stopping,
    )


def _place_of(network: Network, road: Road, piece: str) -> int:
    """Return where a road's first course over a piece stands in its order."""
    first = network.first_of[piece]
    last = first + len(network.shapes[piece].strands)
    found = [
        road.place_of[strand]
        for strand in range(first, last)
        if strand in road.place_of
    ]
    return min(found)


def _on_roads(
    network: Network, place: PlannedPlace, lies: Sequence[_Lies]
) -> FoundPlace:
    near = lies[0].end(0)
    far = lies[-1].end(1)
    cores = _cores(lies)
    length_mm = _whole_mm(network, lies, cores)
    ends: tuple[str, str] = _TWO_ENDS
    limits: tuple[EndLimit, ...] = ()
    usable_mm = length_mm
    if near is not None and far is not None:
        ends = _names(near[0], far[0])
        limits = (near[1], far[1])
        left_mm = left_between(length_mm, [limit.from_blades_mm for limit in limits])
        usable_mm = None if left_mm is None else max(0.0, left_mm)
    return FoundPlace(
        place=place,
        roads=tuple(one.usable.road.name for one in lies),
        ends=_given_or(place, ends),
        courses=_all_courses(lies, cores),
        limits=limits,
        usable_length_mm=usable_mm,
        blades_to_blades_mm=length_mm,
        differs_by_mm=_difference(place, usable_mm),
        marks=between_marks(
            _marks_mm(network, lies, cores), limits, length_mm=length_mm
        ),
    )


_Cores = Sequence[tuple[Course, ...]]


def _cores(lies: Sequence[_Lies]) -> _Cores:
    """Return the track over named points that leads from each road into the next."""
    return [one.before for one in lies[1:]]


def _all_courses(lies: Sequence[_Lies], cores: _Cores) -> tuple[Course, ...]:
    if len(lies) == 1:
        return lies[0].courses
    before: _Cores = [(), *cores]
    parts = [(*core, *one.courses) for core, one in zip(before, lies, strict=True)]
    return tuple(chain.from_iterable(parts))


def _core_mm(network: Network, core: Sequence[Course]) -> float | None:
    """Return how long the core between two roads is; None where nobody knows."""
    lengths_mm = [network.strand(course).length_mm for course in core]
    known_mm = [length_mm for length_mm in lengths_mm if length_mm is not None]
    if len(known_mm) == len(lengths_mm):
        return sum(known_mm)
    return None


def _parts_mm(
    network: Network, lies: Sequence[_Lies], cores: _Cores
) -> list[float | None]:
    """Return the lengths of a place's roads, each with the core that follows it."""
    parts_mm: list[float | None] = []
    for number, one in enumerate(lies):
        road_mm = one.usable.road.length_mm
        core_mm: float | None = 0.0
        if number < len(cores):
            core_mm = _core_mm(network, cores[number])
        unknown = road_mm is None or core_mm is None
        parts_mm.append(None if unknown else (road_mm or 0.0) + (core_mm or 0.0))
    return parts_mm


def _marks_mm(
    network: Network, lies: Sequence[_Lies], cores: _Cores
) -> tuple[float, ...]:
    """Return the stopping marks from a place's first end; none where it has a road of
    unknown length."""
    begins_mm = 0.0
    found_mm: list[float] = []
    for one, part_mm in zip(lies, _parts_mm(network, lies, cores), strict=True):
        if part_mm is None:
            return ()
        found_mm += [tidy(begins_mm + at_mm) for at_mm in one.marks_mm]
        begins_mm += part_mm
    return tuple(found_mm)


def _whole_mm(network: Network, lies: Sequence[_Lies], cores: _Cores) -> float | None:
    parts_mm = _parts_mm(network, lies, cores)
    known_mm = [part_mm for part_mm in parts_mm if part_mm is not None]
    if len(known_mm) == len(parts_mm):
        return tidy(sum(known_mm))
    return None


def _difference(place: PlannedPlace, usable_mm: float | None) -> float | None:
    surveyed_mm = place.surveyed_usable_length_mm
    if surveyed_mm is None or usable_mm is None:
        return None
    return tidy(surveyed_mm - usable_mm)


def _names(near: Stop, far: Stop) -> tuple[str, str]:
    """Return what stands at the two ends, in words; two alike are first and second."""
    one, other = (end_name(stop) for stop in (near, far))
    if one == other:
        return _TWO_ENDS
    return (one, other)


def end_name(stop: Stop) -> str:
    """Return what stands at the end of a road, in words. **Source** plain English.

    >>> end_name(Stop(kind="blade_tips", piece="P1", at="@tips"))
    'points P1'
    """
    word = _WORDS.get(stop.kind, stop.word)
    if stop.kind in {"buffer_stop", "open_end"}:
        return word
    return f"{word} {stop.piece}"


def _given_or(place: PlannedPlace, ends: tuple[str, str]) -> tuple[str, str]:
    if place.ends is None:
        return ends
    first, second = place.ends
    return first, second
