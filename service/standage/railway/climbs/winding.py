"""A helix out of as few figures as give it: its radius, turns, run and rise, its gradient
and what a turn rises.

With t the run of a turn, a helix of n turns runs n × t and rises by its gradient over
that, less half of both vertical curves. What a turn rises is the least height from one
turn to the next, as headroom counts it: without vertical curves the rise over the
turns.
"""

import math
from collections.abc import Callable, Iterator
from typing import NamedTuple

from msgspec.structs import replace

from standage.railway.climbs.gradients import (
    Climb,
    Helix,
    least_rise_per_turn_mm,
    steepest_percent,
)
from standage.railway.terms.figures import LONGEST_MM

_ONE_TURN = 2 * math.pi
_HALVINGS = 200
"""More than a figure has binary places."""
_SAME_MM, _SAME = 0.05, 0.005
_SAME_PART = 0.001
"""Figures that people round agree: to half a tenth of a mm, to half a hundredth of a
turn or of a per cent, or to a thousandth.
"""


class Winding(NamedTuple):
    """What is known of a helix; lengths in mm, None is not said."""

    radius_mm: float | None = None
    turns: float | None = None
    run_mm: float | None = None
    rise_mm: float | None = None
    percent: float | None = None
    rise_per_turn_mm: float | None = None

    @property
    def names(self) -> frozenset[str]:
        """Which of its figures are known."""
        return frozenset(
            name for name in self._fields if getattr(self, name) is not None
        )

    def figure(self, name: str) -> float:
        """Return a figure that is known."""
        value: float = getattr(self, name)
        return value


class Wound(NamedTuple):
    """A helix of which every figure is known; ``one_turn`` where nobody said how many
    turns it has.
    """

    radius_mm: float
    turns: float
    run_mm: float
    rise_mm: float
    percent: float
    rise_per_turn_mm: float
    one_turn: bool


def wound(said: Winding, *, eased: Climb) -> Wound | None:
    """Return the helix that is said; None where too little is said of it, or nothing
    can be built by it. One turn is taken where nothing says how many.

    Of ``eased`` only the vertical curves count. What is said twice is not compared:
    ``disagreeing`` does. **Source** derived.

    >>> level = Climb(rise_mm=0, run_mm=1)
    >>> found = wound(Winding(radius_mm=500, turns=3, percent=2), eased=level)
    >>> round(found.rise_mm, 1), round(found.rise_per_turn_mm, 1)
    (188.5, 62.8)
    """
    known = _solved(said, eased)
    one_turn = known.turns is None
    if one_turn:
        known = _solved(known._replace(turns=1.0), eased)
    radius_mm, run_mm, rise_mm = known.radius_mm, known.run_mm, known.rise_mm
    if radius_mm is None or run_mm is None or rise_mm is None:
        return None
    if not 0 < run_mm <= LONGEST_MM or run_mm < eased.curves_mm or rise_mm < 0:
        return None
    climb = _climb(eased, rise_mm=rise_mm, run_mm=run_mm)
    return Wound(
        radius_mm=radius_mm,
        turns=run_mm / (_ONE_TURN * radius_mm),
        run_mm=run_mm,
        rise_mm=rise_mm,
        percent=steepest_percent(climb),
        rise_per_turn_mm=turn_rises_mm(climb, radius_mm=radius_mm),
        one_turn=one_turn,
    )


def is_enough(said: Winding) -> bool:
    """Tell whether so much is said of a helix that all the rest follows, whatever the
    figures are. **Source** derived.
    """
    follows = _following(said.names | {"turns"})
    return follows >= {"radius_mm", "run_mm", "rise_mm"}


def _following(names: frozenset[str]) -> frozenset[str]:
    for _ in _RULES:
        follows = {gives for gives, needs, _rule in _RULES if needs <= names}
        names |= follows
    return names


class Disagreeing(NamedTuple):
    """A figure that was said, and what the others make it."""

    name: str
    said: float
    would_be: float


def disagreeing(said: Winding, found: Wound) -> Iterator[Disagreeing]:
    """Yield what was said of a helix that the figures which it was found by do not
    agree with, but for what people round. **Source** derived.
    """
    for name in sorted(said.names):
        would_be: float = getattr(found, name)
        value = said.figure(name)
        same = _SAME_MM if name.endswith("_mm") else _SAME
        if abs(value - would_be) > max(same, _SAME_PART * would_be):
            yield Disagreeing(name, value, would_be)


def turn_rises_mm(climb: Climb, *, radius_mm: float) -> float:
    """Return the least height in mm from a turn of a climb to the next; of less than a turn
    what a whole one would rise at its mean. **Source** derived.
    """
    helix = Helix(radius_mm=radius_mm, deck_mm=0, track_mm=0)
    least_mm = least_rise_per_turn_mm(climb, helix)
    if least_mm is None:
        return climb.rise_mm * helix.turn_mm / climb.run_mm
    return least_mm


def _climb(eased: Climb, *, rise_mm: float, run_mm: float) -> Climb:
    return replace(eased, rise_mm=rise_mm, run_mm=run_mm)


_Rule = Callable[[Winding, Climb], float | None]


def _solved(known: Winding, eased: Climb) -> Winding:
    """Return all that follows from what is known."""
    found = True
    while found:
        found = False
        for gives, needs, rule in _RULES:
            if gives in known.names or not needs <= known.names:
                continue
            value = rule(known, eased)
            if value is not None and math.isfinite(value) and value > 0:
                known = known._replace(**{gives: value})
                found = True
    return known


def _run_round(known: Winding, _eased: Climb) -> float:
    return _ONE_TURN * known.figure("radius_mm") * known.figure("turns")


def _radius_round(known: Winding, _eased: Climb) -> float:
    return known.figure("run_mm") / (_ONE_TURN * known.figure("turns"))


def _turns_round(known: Winding, _eased: Climb) -> float:
    return known.figure("run_mm") / (_ONE_TURN * known.figure("radius_mm"))


def _rise_by_gradient(known: Winding, eased: Climb) -> float:
    straight_mm = known.figure("run_mm") - eased.curves_mm / 2
    return known.figure("percent") / 100 * straight_mm


def _run_by_gradient(known: Winding, eased: Climb) -> float:
    straight_mm = 100 * known.figure("rise_mm") / known.figure("percent")
    return straight_mm + eased.curves_mm / 2


def _rise_by_turn(known: Winding, eased: Climb) -> float | None:
    """The least rise of a turn grows in proportion to the whole rise."""
    run_mm = known.figure("run_mm")
    if run_mm < eased.curves_mm:
        return None
    of_one_mm = turn_rises_mm(
        _climb(eased, rise_mm=1.0, run_mm=run_mm),
        radius_mm=known.figure("radius_mm"),
    )
    if of_one_mm <= 0:
        return None
    return known.figure("rise_per_turn_mm") / of_one_mm


def _radius_by_turn(known: Winding, eased: Climb) -> float | None:
    """On a larger radius a turn of the same climb rises more."""
    rise_mm, run_mm = known.figure("rise_mm"), known.figure("run_mm")
    if run_mm < eased.curves_mm or rise_mm <= 0:
        return None
    climb = _climb(eased, rise_mm=rise_mm, run_mm=run_mm)

    def rises_mm(radius_mm: float) -> float:
        return turn_rises_mm(climb, radius_mm=radius_mm)

    return _where(rises_mm, known.figure("rise_per_turn_mm"), least=0.0)


def _run_by_turn(known: Winding, eased: Climb) -> float | None:
    """Over a longer run a turn of the same radius rises less."""
    rise_mm, radius_mm = known.figure("rise_mm"), known.figure("radius_mm")
    if rise_mm <= 0:
        return None

    def sinks_mm(run_mm: float) -> float:
        climb = _climb(eased, rise_mm=rise_mm, run_mm=run_mm)
        return -turn_rises_mm(climb, radius_mm=radius_mm)

    return _where(sinks_mm, -known.figure("rise_per_turn_mm"), least=eased.curves_mm)


def _radius_by_gradient_and_turn(known: Winding, eased: Climb) -> float | None:
    """On a larger radius a turn of the same gradient rises more, of as many turns."""
    turns, percent = known.figure("turns"), known.figure("percent")
    shortest_mm = eased.curves_mm / (_ONE_TURN * turns)

    def rises_mm(radius_mm: float) -> float:
        run_mm = _ONE_TURN * radius_mm * turns
        straight_mm = run_mm - eased.curves_mm / 2
        climb = _climb(eased, rise_mm=percent / 100 * straight_mm, run_mm=run_mm)
        return turn_rises_mm(climb, radius_mm=radius_mm)

    return _where(rises_mm, known.figure("rise_per_turn_mm"), least=shortest_mm)


_RULES: tuple[tuple[str, frozenset[str], _Rule], ...] = (
    ("run_mm", frozenset({"radius_mm", "turns"}), _run_round),
    ("turns", frozenset({"radius_mm", "run_mm"}), _turns_round),
    ("radius_mm", frozenset({"turns", "run_mm"}), _radius_round),
    ("rise_mm", frozenset({"run_mm", "percent"}), _rise_by_gradient),
    ("run_mm", frozenset({"rise_mm", "percent"}), _run_by_gradient),
    ("rise_mm", frozenset({"radius_mm", "run_mm", "rise_per_turn_mm"}), _rise_by_turn),
    (
        "radius_mm",
        frozenset({"rise_mm", "run_mm", "rise_per_turn_mm"}),
        _radius_by_turn,
    ),
    ("run_mm", frozenset({"radius_mm", "rise_mm", "rise_per_turn_mm"}), _run_by_turn),
    (
        "radius_mm",
        frozenset({"turns", "percent", "rise_per_turn_mm"}),
        _radius_by_gradient_and_turn,
    ),
)
"""What a figure follows from; of several the one that stands first."""


def _where(
    rising: Callable[[float], float], wanted: float, *, least: float
) -> float | None:
    """Return where a figure that only rises comes to what is wanted, by halving; None
    where it does not from ``least`` to the longest.
    """
    low, high = least, LONGEST_MM
    if low >= high:
        return None
    if rising(high) < wanted or (least > 0 and rising(least) > wanted):
        return None
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if not low < middle < high:
            break
        if rising(middle) < wanted:
            low = middle
        else:
            high = middle
    return high
