"""What is answered of two trains that meet, field by field."""

from typing import Annotated, Literal

import msgspec

from standage.questions.move_answer import MoveRun, MoveVerdict
from standage.questions.reckoning import NOT_YET, Warnings
from standage.railway.terms.figures import says
from standage.railway.terms.reasons import Assumed, Reason

WhichTrain = Literal["first", "second"]


class MeetRun(MoveRun, frozen=True, kw_only=True):
    """A run of one of the trains, while the other stands still."""

    train: WhichTrain


class MeetAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Whether two trains, kept whole, get by each other, and how.

    The best way has the fewest reversals of both together, then the least distance. A
    train that waits and then goes on the same way has not reversed.
    """

    verdict: MoveVerdict
    reversals: int | None
    distance_mm: Annotated[float | None, says("How far both go together, in mm.")]
    runs: tuple[MeetRun, ...]
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]
    warnings: Warnings = NOT_YET
