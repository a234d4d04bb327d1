"""All that is to be said of the polarity of a plan's rails."""

from collections.abc import Sequence
from math import inf

import msgspec

from standage.railway.polarity.circuits import Circuits, circuits
from standage.railway.polarity.closed_runs import reversing_parts
from standage.railway.polarity.crossings import LiveCrossings, live_crossings
from standage.railway.polarity.metal import Metal, metal
from standage.railway.polarity.shorts import (
    MOST_STEPS,
    Budget,
    OutOfStepsError,
    Short,
    least_short,
    lies,
    metal_between,
    shorts_at_rest,
)
from standage.railway.track.network.network import Network
from standage.railway.track.plans.plan import Fitting


class Polarity(msgspec.Struct, frozen=True, kw_only=True):
    """The metal of a plan, its circuits, and where its two rails are joined.

    ``joined_over`` are the pieces round which metal joins both rails at rest. ``least``
    is the least lie over which a train does; None where none does, or where rails are
    joined at rest. ``stopped`` tells that the search for it did not come to its end.
    """

    metal: Metal
    circuits: Circuits
    crossings: LiveCrossings
    joined_over: tuple[str, ...]
    least: Short | None
    stopped: bool

    @property
    def between(self) -> tuple[str, ...]:
        """The pieces that the least lie is over, in order."""
        tracks = () if self.least is None else self.least.tracks
        return tuple(dict.fromkeys(self.metal.piece_of[track] for track in tracks))

    @property
    def unknown(self) -> tuple[str, ...]:
        """The pieces of the least lie of which nobody knows the length."""
        counted = () if self.least is None else self.least.counted
        unknown = [track for track in counted if track in self.metal.unknown]
        return tuple(dict.fromkeys(self.metal.piece_of[track] for track in unknown))


def polarity(network: Network, fittings: Sequence[Fitting]) -> Polarity:
    """Return where the rails of a plan are joined, with the gaps among its fittings.

    In mm. **Source** derived; see each room.
    """
    of = metal(network, fittings)
    joined_over: tuple[str, ...] = ()
    least: Short | None = None
    stopped = False
    try:
        short = _worst(of)
    except OutOfStepsError:
        short, stopped = None, True
    if short is not None and short.is_at_rest:
        joined_over = _pieces_round(of, short)
    else:
        least = short
    return Polarity(
        metal=of,
        circuits=circuits(of),
        crossings=live_crossings(of, fittings),
        joined_over=joined_over,
        least=least,
        stopped=stopped,
    )


def _worst(of: Metal) -> Short | None:
    """Return a short at rest, or else the least lie that is one."""
    conductors = of.conductors()
    parts = [lies(of, part.tracks) for part in reversing_parts(of)]
    for over in parts:
        at_rest = next(shorts_at_rest(over, conductors), None)
        if at_rest is not None:
            return at_rest
    budget = Budget(MOST_STEPS)
    worst: Short | None = None
    below_mm = inf
    for over in parts:
        found = least_short(over, conductors, below_mm=below_mm, budget=budget)
        if found is not None:
            worst, below_mm = found, found.length_mm
    return worst


def _pieces_round(of: Metal, short: Short) -> tuple[str, ...]:
    """Return the pieces along the metal from one rail of a place to the other."""
    names = dict.fromkeys(of.piece_of[track] for track in short.tracks)
    for _, joint in metal_between(of, short):
        for course in (of.joints[joint].arriving, of.joints[joint].leaving):
            names[of.piece_of[course >> 1]] = None
    return tuple(names)
