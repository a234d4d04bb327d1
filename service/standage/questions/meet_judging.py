"""Two trains that meet, judged: the verdict, and the way they get by each other."""

from typing import NamedTuple

from msgspec.structs import replace

from standage.questions.move_answer import MoveVerdict
from standage.questions.moved_train import KnownTrain
from standage.questions.moves_ground import Surveyed
from standage.railway.moves.meeting.meet import Meeting, Met, met
from standage.railway.moves.meeting.met_runs import Both
from standage.railway.moves.meeting.replay import replayed_meeting
from standage.railway.terms.figures import tidy

_HAIR_MM = 1e-4
"""What is to spare by just as much as it may be off is no longer too close to call."""
_LEAST_MM = 1.0

Trains = tuple[KnownTrain, KnownTrain]


class JudgedMeeting(NamedTuple):
    """Two trains with their verdict.

    ``met`` is of the lengths that count. ``plus_minus_mm`` is how far off each may be
    against the room for it.
    """

    verdict: MoveVerdict
    both: Both
    met: Met
    plus_minus_mm: tuple[float, float]
    is_known: bool

    @property
    def best(self) -> Meeting | None:
        """The way there, where both lengths are known."""
        return self.met.best if self.is_known else None


def judged_meeting(known: Surveyed, both: Both, trains: Trains) -> JudgedMeeting:
    """Return the verdict on two trains; ``both`` have the lengths that count."""
    found = met(known.ground, both)
    if found.best is not None:
        replayed_meeting(known.ground, both, found.best)
    plus_minus_mm = (
        _plus_minus_mm(known, trains[0], both[0].train_mm),
        _plus_minus_mm(known, trains[1], both[1].train_mm),
    )
    is_known = all(one.length_mm is not None for one in trains)
    verdict = _verdict(
        known,
        both,
        found,
        plus_minus_mm,
    )
    if not is_known and verdict != "impossible":
        verdict = "cannot_tell"
    return JudgedMeeting(
        verdict,
        both,
        found,
        plus_minus_mm,
        is_known,
    )


def _plus_minus_mm(known: Surveyed, train: KnownTrain, length_mm: float) -> float:
    """Return how far off a train and the room for it may be together."""
    of_plan_mm = 0.0
    if known.found.plan.plus_minus is not None:
        of_plan_mm = known.found.plan.plus_minus.of(length_mm)
    return tidy(train.plus_minus_mm + of_plan_mm)


def _verdict(
    known: Surveyed, both: Both, found: Met, plus_minus_mm: tuple[float, float]
) -> MoveVerdict:
    if _is_unsure(found):
        return "cannot_tell"
    is_possible = found.best is not None
    if not any(plus_minus_mm):
        return "possible" if is_possible else "impossible"
    # The longest that they may be, or the shortest where even that is in doubt.
    sign = 1 if is_possible else -1
    one, other = (
        _changed_mm(wanted.train_mm, sign * off_mm)
        for wanted, off_mm in zip(both, plus_minus_mm, strict=True)
    )
    at_worst = (replace(both[0], train_mm=one), replace(both[1], train_mm=other))
    doubted = met(known.ground, at_worst)
    if _is_unsure(doubted):
        return "cannot_tell"
    if (doubted.best is not None) != is_possible:
        return "tight"
    return "possible" if is_possible else "impossible"


def _is_unsure(found: Met) -> bool:
    """Tell whether there may be a way that was not found."""
    return found.best is None and (found.gave_up or found.may_creep)


def _changed_mm(length_mm: float, by_mm: float) -> float:
    if by_mm > 0:
        return length_mm + max(0.0, by_mm - _HAIR_MM)
    return max(_LEAST_MM, length_mm + min(0.0, by_mm + _HAIR_MM))
