"""What is answered of an engine that leaves its train, field by field."""

from typing import Annotated

import msgspec

from standage.questions.move_answer import MoveRun, MoveVerdict
from standage.questions.reckoning import NOT_YET, Warnings
from standage.railway.terms.figures import says
from standage.railway.terms.reasons import Assumed, Reason


class EngineLeavesAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Whether the engine gets there, how, and how long it and its train might be.

    By the fewest reversals, then the least distance, wherever the train stands.
    """

    verdict: MoveVerdict
    reversals: int | None = None
    distance_mm: float | None = None
    train_stands_from_first_end_mm: Annotated[
        float | None, says("How far the train then stands from the place's first end.")
    ] = None
    runs: tuple[MoveRun, ...] = ()
    train_length_mm: float | None
    engine_length_mm: float | None
    longest_train_mm: Annotated[
        float | None, says("The longest with this engine; 0 where there is none.")
    ] = None
    longest_engine_mm: Annotated[
        float | None,
        says("The longest with this train; null where one of 5 m has room."),
    ] = None
    plus_minus_mm: Annotated[
        float | None, says("How far off both may be together; null where exact.")
    ] = None
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]
    warnings: Warnings = NOT_YET
