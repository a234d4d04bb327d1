"""What limits the train of a move: plain track that lets a longer one through as soon as
it is a little longer.
"""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from msgspec.structs import replace

from standage.railway.moves.alterations import Trials, each_alone, longer
from standage.railway.moves.ground import Ground
from standage.railway.moves.search import Effort, searched
from standage.railway.moves.wanted import Wanted

MOST_STEPS = 40_000
"""So many courses are looked at for what limits a train."""
_A_LITTLE_MM = 0.5
_NOTICED_MM = 1e-3


class Limits(NamedTuple):
    """What limits the longest train: strands of which each alone, a little longer, lets
    a longer one through; or else the roads that limit it together.

    ``gave_up`` where the budget of steps was spent before all was looked at. It took so
    many ``steps``.
    """

    strands: tuple[int, ...]
    roads: tuple[str, ...] = ()
    gave_up: bool = False
    steps: int = 0


def limits(
    ground: Ground,
    wanted: Wanted,
    roads: Mapping[str, Sequence[int]],
    *,
    longest_mm: float,
) -> Limits:
    """Return what of some roads, each by its strands of plain track, limits the longest
    train.

    Nothing where no train gets through at all, or where something else limits it. Only
    strands are looked at about which a longer train lacks little. **Source** the rules
    of moves.
    """
    if longest_mm == 0:
        return Limits(())
    asked = replace(wanted, train_mm=longest_mm + _NOTICED_MM)
    effort = Effort(near_mm=_A_LITTLE_MM + _NOTICED_MM, any_end=True)
    first = searched(ground, asked, effort)
    near = first.near
    trials = Trials(ground, asked, most_steps=MOST_STEPS)

    def helps(strands: Sequence[int]) -> bool:
        return trials.helps(longer(strands, by_mm=_A_LITTLE_MM))

    def told(strands: Sequence[int] = (), roads: Sequence[str] = ()) -> Limits:
        steps = first.steps + trials.steps
        return Limits(tuple(strands), tuple(roads), trials.have_stopped(), steps)

    close = {name: near.intersection(own) for name, own in roads.items()}
    each = [strand for own in roads.values() for strand in own if strand in near]
    alone = list(each_alone(each, helps))
    if alone or trials.have_stopped() or not each or not helps(each):
        return told(alone)
    needed = [
        name
        for name, own in close.items()
        if own and not helps([one for one in each if one not in own])
    ]
    return told() if trials.have_stopped() else told(roads=needed)
