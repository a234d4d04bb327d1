"""What is answered of moves that are not possible, field by field."""

from typing import Annotated, Literal

import msgspec

from standage.questions.reckoning import NOT_YET, Warnings
from standage.railway.terms.figures import says
from standage.railway.terms.reasons import Assumed, Reason
from standage.shapes.paging import Next, NextCursor

BlockedVerdict = Literal["all_go", "tight", "some_blocked", "cannot_tell"]


class BlockedMove(msgspec.Struct, frozen=True, kw_only=True):
    """A train that does not get from one place to another, or not for certain."""

    train_id: str
    train: str
    from_: str = msgspec.field(name="from")
    to: str
    verdict: Literal["impossible", "tight"]
    longest_train_mm: Annotated[
        float, says("The longest that gets there; 0 where none does.")
    ]
    short_by_mm: Annotated[
        float, says("How much too long the train is; below 0 where it has to spare.")
    ]
    plus_minus_mm: float | None
    limited_by: Annotated[
        tuple[str, ...],
        says("Pieces of which any one, a little longer, lets a longer train through."),
    ]
    message: str


class UnknownTrain(msgspec.Struct, frozen=True, kw_only=True):
    """A train of which nobody can tell how long it is, and what to measure."""

    train_id: str
    train: str
    because: tuple[Reason, ...]


class MovesCounted(msgspec.Struct, frozen=True, kw_only=True):
    """How many moves there are of each verdict."""

    impossible: int
    tight: int
    possible: int
    cannot_tell: int


class BlockedMovesAnswer(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A page of the moves that are not possible, those first that are worst."""

    verdict: BlockedVerdict
    items: tuple[BlockedMove, ...]
    moves: Annotated[MovesCounted, says("Of all pages.")]
    unknown_trains: tuple[UnknownTrain, ...]
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]
    next: Next = None
    next_cursor: NextCursor = None
    warnings: Warnings = NOT_YET
