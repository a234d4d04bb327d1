"""An engine that leaves its train, judged: the verdict, and how long both may be."""

from collections.abc import Iterator
from typing import NamedTuple

from msgspec.structs import replace

from standage.questions.move_answer import MoveVerdict
from standage.questions.moved_train import KnownTrain
from standage.questions.moves_ground import Surveyed
from standage.railway.moves.ground import Ground
from standage.railway.moves.replay import replayed
from standage.railway.moves.roads_away import roads_away
from standage.railway.moves.run_round import (
    Leaving,
    Left,
    WaysLeft,
    gets_away,
    longest_engine,
    ways_left,
)
from standage.railway.moves.standing import Stand
from standage.railway.moves.stretches import stand_between
from standage.railway.terms.figures import tidy
from standage.railway.track.plans.plan import PlusMinus

_HAIR_MM = 2e-6
"""So much less than its ± a length may lack, and be too close to call."""


class JudgedLeaving(NamedTuple):
    """The verdict; ``best`` is the way, None where there is none.

    What was not looked for to its end is None, where it ``gave_up``.
    ``is_known`` where the lengths of both train and engine are. ``off_mm`` is how far
    off the room for each, with its length, may be.
    """

    verdict: MoveVerdict
    leaving: Leaving
    best: Left | None
    longest_train_mm: float | None
    longest_engine_mm: float | None
    off_mm: tuple[float, float]
    is_known: bool
    gave_up: bool

    @property
    def plus_minus_mm(self) -> float:
        """How far off train and engine may be together."""
        return tidy(sum(self.off_mm))


def judged_leaving(
    ground: Ground,
    leaving: Leaving,
    trains: tuple[KnownTrain, KnownTrain],
    *,
    of_plan: PlusMinus | None,
) -> JudgedLeaving:
    """Return the verdict for a train and its engine; ``leaving`` has the lengths that
    count.
    """
    train, engine = trains
    found = ways_left(ground, leaving)
    if found.best is not None:
        replayed(found.best.ground, found.best.wanted, found.best.finish)
    engines = longest_engine(ground, leaving)
    rooms_mm = (found.longest_train_mm, engines.mm or 0.0)
    off_mm = tuple(
        one.plus_minus_mm + (of_plan.of(room_mm) if of_plan and room_mm else 0.0)
        for one, room_mm in zip(trains, rooms_mm, strict=True)
    )
    judged = JudgedLeaving(
        verdict="impossible",
        leaving=leaving,
        best=found.best,
        longest_train_mm=None if found.gave_up else found.longest_train_mm,
        longest_engine_mm=None if engines.gave_up else engines.mm,
        off_mm=(off_mm[0], off_mm[1]),
        is_known=train.length_mm is not None and engine.length_mm is not None,
        gave_up=found.gave_up or engines.gave_up,
    )
    verdict = _verdict(ground, judged, found)
    is_told = verdict in {"possible", "tight"}
    return judged._replace(verdict=verdict, best=found.best if is_told else None)


def _verdict(ground: Ground, judged: JudgedLeaving, found: WaysLeft) -> MoveVerdict:
    is_possible = found.best is not None
    if not judged.is_known:
        return "cannot_tell" if is_possible else _no(judged)
    if judged.plus_minus_mm == 0:
        return "possible" if is_possible else _no(judged)
    if is_possible and gets_away(ground, at_worst(judged)):
        return "possible"
    if is_possible or gets_away(ground, _at_best(judged)):
        return "tight"
    return _no(judged)


def _no(judged: JudgedLeaving) -> MoveVerdict:
    return "cannot_tell" if judged.gave_up else "impossible"


def at_worst(judged: JudgedLeaving) -> Leaving:
    """Return the same with train and engine as long as they may be, for their room."""
    train_off_mm, engine_off_mm = judged.off_mm
    leaving = judged.leaving
    return replace(
        leaving,
        train_mm=leaving.train_mm + train_off_mm,
        engine_mm=leaving.engine_mm + engine_off_mm,
    )


def _at_best(judged: JudgedLeaving) -> Leaving:
    train_off_mm, engine_off_mm = judged.off_mm
    leaving = judged.leaving
    return replace(
        leaving,
        train_mm=_shorter_mm(leaving.train_mm, by_mm=train_off_mm),
        engine_mm=_shorter_mm(leaving.engine_mm, by_mm=engine_off_mm),
    )


def _shorter_mm(length_mm: float, *, by_mm: float) -> float:
    if by_mm == 0:
        return length_mm
    return max(_HAIR_MM, length_mm - by_mm + _HAIR_MM)


def goals_away(known: Surveyed, on: Ground, place: Stand) -> tuple[Stand, ...]:
    """Return the roads on which an engine is away from a train in ``place``, which is
    as it is run over from the engine's end; ``on`` tells how points lie.
    """
    return roads_away(on, place, _roads(known))


def _roads(known: Surveyed) -> Iterator[Stand]:
    """Yield where trains stand on each road of which that is known."""
    for usable in known.found.usable:
        limits_mm = [limit.from_blades_mm for limit in usable.limits]
        length_mm = usable.blades_to_blades_mm
        stand = stand_between(usable.road.courses, length_mm, limits_mm)
        if stand is not None and stand.length_mm > 0:
            yield stand
