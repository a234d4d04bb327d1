"""The moves of two plans held against each other: which verdicts of a train turn."""

from collections.abc import Iterator
from typing import NamedTuple

from standage.questions.move_answer import MoveVerdict
from standage.questions.move_judging import plus_minus_of, verdict_by_longest
from standage.questions.moved_train import KnownTrain
from standage.questions.places_reached import PlacesReached
from standage.railway.terms.figures import tidy
from standage.railway.track.plans.plan import PlusMinus

Named = tuple[str, str]
"""The places between which a move goes."""


class TurnedMove(NamedTuple):
    """A move with its verdicts in both plans, and what is left over in the second."""

    place: str
    to: str
    before: MoveVerdict
    after: MoveVerdict
    spare_mm: float | None


class MovesOfTwo:
    """The moves that two plans have in common; those that are alike in both turn no
    verdict and are left out.
    """

    def __init__(self, before: PlacesReached, after: PlacesReached) -> None:
        self._before = before.plus_minus
        self._after = after.plus_minus
        was_mm, now_mm = _by_name(before), _by_name(after)
        # plans that are not as good as each other may turn a verdict by that alone
        are_alike = self._before == self._after
        self.shared = [pair for pair in now_mm if pair in was_mm]
        self._unlike = [
            (pair, was_mm[pair], now_mm[pair])
            for pair in self.shared
            if not (are_alike and was_mm[pair] == now_mm[pair])
        ]

    def turned(self, train: KnownTrain) -> Iterator[TurnedMove]:
        """Yield the moves of ``train`` whose verdict turns."""
        for (place, to), was_mm, now_mm in self._unlike:
            before = _verdict(train, self._before, was_mm)
            after = _verdict(train, self._after, now_mm)
            if before == after:
                continue
            yield TurnedMove(
                place=place,
                to=to,
                before=before,
                after=after,
                spare_mm=_spare_mm(train, now_mm),
            )


def _by_name(reached: PlacesReached) -> dict[Named, float | None]:
    names = reached.places
    return {
        (names[start], names[goal]): longest_mm
        for (start, goal), longest_mm in reached.pairs()
    }


def _verdict(
    train: KnownTrain, plan: PlusMinus | None, longest_mm: float | None
) -> MoveVerdict:
    if longest_mm is None:
        return "cannot_tell"
    plus_minus_mm = plus_minus_of(plan, train, longest_mm)
    return verdict_by_longest(train, longest_mm, plus_minus_mm)


def _spare_mm(train: KnownTrain, longest_mm: float | None) -> float | None:
    if not longest_mm or train.length_mm is None:
        return None
    return tidy(longest_mm - train.length_mm)
