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


class SawByAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """How they would get by if one were divided once, in a loop too short for either."""

    kept_whole: WhichTrain
    divided: WhichTrain
    parts_mm: Annotated[
        tuple[float, ...],
        says("How long its parts are: the one with the engine, and the rest, in mm."),
    ]
    room_needed_mm: Annotated[
        tuple[float, ...],
        says(
            "Beyond the loop's points, from the blade tips, in mm: where the first train"
            " stands, and on the other side."
        ),
    ]
    room_mm: Annotated[
        tuple[float, ...], says("What room there is, on the same sides, in mm.")
    ]
    possible: bool
    message: str
    steps: Annotated[tuple[str, ...], says("What to do, one step after the other.")]


class MeetAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Whether two trains, kept whole, get by each other, and how.

    The best way has the fewest reversals of both together, then the least distance. A
    train that waits and then goes on the same way has not reversed.
    """

    verdict: MoveVerdict
    reversals: int | None
    distance_mm: Annotated[float | None, says("How far both go together, in mm.")]
    runs: tuple[MeetRun, ...]
    saw_by: Annotated[
        SawByAnswer | None,
        says("Where neither gets by whole, with a loop between; null elsewhere."),
    ]
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]
    warnings: Warnings = NOT_YET
