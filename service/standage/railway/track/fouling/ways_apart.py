"""Where two ways out of points are apart, for every way on from the one and the
other."""

from collections.abc import Iterator
from math import inf
from typing import NamedTuple

import msgspec

from standage.railway.track.fouling.beside import arc_at
from standage.railway.track.fouling.parting import Search, nearest, parted, up_to
from standage.railway.track.fouling.ways_on import WayOn, followed
from standage.railway.track.network.network import Network

REACHED_MM = 0.01
"""Ways that come so near the spacing, and never reach it, have reached it there."""
MOST_WAYS = 64
"""So many ways on are told one by one; beyond that nobody can tell."""
_MOST_NEVER = 4
"""Where so many ways are too close all along, the others are not followed to theirs."""
_MOST_STEPS = 3_000
_NEAR_SPACINGS = 12
_MOST_SPACINGS = 100
"""No limit is looked for farther from the blades than so many spacings."""


class Budget:
    """How much may still be looked at for one plan, in steps; a search is paid for
    once.
    """

    def __init__(self, steps: int) -> None:
        self.left = steps
        self._paid: set[Search] = set()

    def apart_mm(self, search: Search) -> float | None:
        """Return where two ways are apart, and pay for the search."""
        found = parted(search)
        if search not in self._paid:
            self._paid.add(search)
            self.left -= found.steps
        return found.at_mm


class Wanted(NamedTuple):
    """The spacing that is looked for, and what may still be looked at.

    Before ``beyond_mm`` the ways are known to be nearer than that.
    """

    spacing_mm: float
    budget: Budget
    beyond_mm: float = 0.0


class Pair(msgspec.Struct, frozen=True, kw_only=True):
    """Two ways, and where on the first a limit was found.

    It is inf for ways that are never so far apart, and None where nobody can tell, for
    want of the shape of ``unknown``, or since there was too much to look at (then it
    ``gave_up``). ``where_straight``: too near for curves all along, and clear from
    where both are straight. ``only_nearly``: a hundredth of a mm nearer than is wanted,
    and never farther.
    """

    own: WayOn
    other: WayOn
    at_mm: float | None
    unknown: str | None = None
    gave_up: bool = False
    where_straight: bool = False
    only_nearly: bool = False


class _Open(msgspec.Struct, frozen=True, kw_only=True):
    """Two ways that are nearer than the spacing from the blades up to ``from_mm``."""

    own: WayOn
    other: WayOn
    from_mm: float


def limits(
    network: Network, own: WayOn, other: WayOn, wanted: Wanted
) -> Iterator[Pair]:
    """Yield the limit on a way for every way on from it and from its rival.

    Ways are followed no farther than is needed to tell. Where there are more of them
    than ``MOST_WAYS``, or the budget is spent, the rest is told to be unknown.
    **Source** derived.
    """
    budget = wanted.budget
    waiting = [
        _Open(
            own=own,
            other=other,
            from_mm=wanted.beyond_mm,
        )
    ]
    told: list[Pair] = []
    never = 0
    for _ in range(_MOST_STEPS):
        is_full = len(told) >= MOST_WAYS or never >= _MOST_NEVER
        if not waiting or is_full or budget.left <= 0:
            break
        here = waiting.pop()
        budget.left -= 1
        found = _limit(here, wanted)
        if found is None:
            waiting += _on_from(network, here, wanted.spacing_mm)
        else:
            told.append(found)
            never += found.at_mm == inf
    yield from told
    for left in waiting:
        yield _left(network, left, is_too_close=never > 0)


def _left(network: Network, left: _Open, *, is_too_close: bool) -> Pair:
    """Return ways that are not followed to their limit, since there are too many.

    Nobody can tell; but where others are too close all along, these are up to here.
    """
    if is_too_close:
        return Pair(
            own=left.own,
            other=left.other,
            at_mm=inf,
        )
    unknown = network.piece(left.own.courses[-1])
    return Pair(
        own=left.own, other=left.other, at_mm=None, unknown=unknown, gave_up=True
    )


def _limit(here: _Open, wanted: Wanted) -> Pair | None:
    """Return the limit on two ways as far as they are followed; None for not yet."""
    own, other = here.own, here.other
    spacing_mm = wanted.spacing_mm
    if _come_together(own, other):
        return _met_again(own, other, wanted)
    to_mm = _known_up_to(here, spacing_mm)
    at_mm = _apart(
        own,
        other,
        wanted,
        from_mm=here.from_mm,
        to_mm=to_mm,
    )
    if at_mm is not None:
        return _settled(
            own,
            other,
            at_mm,
            spacing_mm,
        )
    if to_mm == inf or to_mm > _MOST_SPACINGS * spacing_mm:
        return _never(own, other, wanted)
    if own.unknown is not None and own.length_mm <= to_mm:
        return Pair(
            own=own,
            other=other,
            at_mm=None,
            unknown=own.unknown,
        )
    return None


def _known_up_to(here: _Open, spacing_mm: float) -> float:
    """Return how far along its own way a limit can be told, as far as both are
    known."""
    other_mm = here.other.length_mm - spacing_mm
    if here.other.is_whole:
        other_mm = inf
    return min(here.own.length_mm, other_mm)


def _on_from(network: Network, here: _Open, spacing_mm: float) -> Iterator[_Open]:
    """Yield the ways on by one piece, of whichever way it is that is known too
    little."""
    to_mm = _known_up_to(here, spacing_mm)
    from_mm = max(here.from_mm, to_mm)
    if here.own.length_mm <= to_mm:
        for way_on in followed(network, here.own):
            yield _Open(
                own=way_on,
                other=here.other,
                from_mm=from_mm,
            )
    else:
        for way_on in followed(network, here.other):
            yield _Open(
                own=here.own,
                other=way_on,
                from_mm=from_mm,
            )


def _come_together(one: WayOn, two: WayOn) -> bool:
    """Tell whether two ways have met again on one strand, or one has met itself.

    All but the last course of each has been looked at before.
    """
    for last in (one.courses[-1], two.courses[-1]):
        courses = one.courses + two.courses
        met = courses.count(last)
        met_the_other_way = courses.count(last ^ 1)
        if met + met_the_other_way > 1:
            return True
    return False


def _met_again(one: WayOn, two: WayOn, wanted: Wanted) -> Pair:
    """Return ways that meet before they are apart: no limit, up to where they meet."""
    strands = {course >> 1 for course in two.courses}
    own = [course for course in one.courses if course >> 1 not in strands]
    apart = msgspec.structs.replace(
        one,
        courses=tuple(own) or one.courses[:1],
    )
    to_mm = min(one.length_mm, two.length_mm - wanted.spacing_mm)
    at_mm = _apart(
        one,
        two,
        _nearly(wanted),
        from_mm=0.0,
        to_mm=to_mm,
    )
    return _nearly_apart(apart, two, at_mm)


def _nearly(wanted: Wanted) -> Wanted:
    return wanted._replace(spacing_mm=wanted.spacing_mm - REACHED_MM)


def _apart(
    one: WayOn, two: WayOn, wanted: Wanted, *, from_mm: float, to_mm: float
) -> float | None:
    most_mm = min(to_mm, from_mm + _MOST_SPACINGS * wanted.spacing_mm)
    if most_mm <= from_mm:
        return None
    near_mm = _NEAR_SPACINGS * wanted.spacing_mm
    if from_mm < near_mm < most_mm:
        # Most are apart so near that what leads on from there matters to none.
        found_mm = _searched(
            one,
            two,
            wanted,
            from_mm=from_mm,
            to_mm=near_mm,
        )
        if found_mm is not None:
            return found_mm
        from_mm = near_mm
    return _searched(
        one,
        two,
        wanted,
        from_mm=from_mm,
        to_mm=most_mm,
    )


def _searched(
    one: WayOn, two: WayOn, wanted: Wanted, *, from_mm: float, to_mm: float
) -> float | None:
    way = up_to(one.way.arcs, to_mm)
    other = up_to(two.way.arcs, to_mm + wanted.spacing_mm)
    search = Search(
        way,
        other,
        wanted.spacing_mm,
        from_mm,
        to_mm,
    )
    return wanted.budget.apart_mm(search)


def _settled(one: WayOn, two: WayOn, at_mm: float, spacing_mm: float) -> Pair:
    """Return a limit; unknown where what is nearest is the end of the known shape."""
    if two.unknown is not None:
        point = arc_at(one.way.arcs, at_mm).at(at_mm).point
        near = nearest(point, two.way.arcs, up_to_mm=at_mm + spacing_mm)
        if near is None or near.along_mm >= two.length_mm:
            return Pair(
                own=one,
                other=two,
                at_mm=None,
                unknown=two.unknown,
            )
    return Pair(
        own=one,
        other=two,
        at_mm=at_mm,
    )


def _never(one: WayOn, two: WayOn, wanted: Wanted) -> Pair:
    """Return where ways that are never so far apart are nearly so; else nowhere,
    inf."""
    if two.unknown is not None:
        return Pair(
            own=one,
            other=two,
            at_mm=None,
            unknown=two.unknown,
        )
    at_mm = _apart(
        one,
        two,
        _nearly(wanted),
        from_mm=0.0,
        to_mm=one.length_mm,
    )
    return _nearly_apart(one, two, at_mm)


def _nearly_apart(one: WayOn, two: WayOn, at_mm: float | None) -> Pair:
    if at_mm is None:
        return Pair(
            own=one,
            other=two,
            at_mm=inf,
        )
    return Pair(
        own=one,
        other=two,
        at_mm=at_mm,
        only_nearly=True,
    )
