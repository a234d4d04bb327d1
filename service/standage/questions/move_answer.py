"""What is answered of a move, field by field."""

from typing import Annotated, Literal

import msgspec

from standage.questions.reckoning import NOT_YET, Warnings
from standage.railway.terms.figures import says
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.track.plans.plan import Stretch

MoveVerdict = Literal["possible", "tight", "impossible", "cannot_tell"]
Leading = Literal["engine", "tail"]
State = Literal["laid", "planned", "fixed"]


class MoveCure(msgspec.Struct, frozen=True, kw_only=True):
    """A piece, and the least by which it alone must be longer."""

    piece: str
    lengthen_mm: int
    state: State


class RoadChange(msgspec.Struct, frozen=True, kw_only=True):
    """How much more a road then holds; less where below 0."""

    road: str
    longer_by_mm: float


class MoveTurn(msgspec.Struct, frozen=True, kw_only=True):
    """A verdict that turns: on the move, on the way back to its place, or on whether
    the train stands in a place at all.
    """

    asked: Literal["move", "move_back", "standing"]
    place: str | None = None
    becomes: Literal["possible", "impossible"]


class MoveShift(msgspec.Struct, frozen=True, kw_only=True):
    """Points that, moved along by so much, let the train through."""

    points: str
    by_mm: int
    towards: Literal["toe", "legs"]
    state: State
    pieces: Annotated[
        tuple[MoveCure, ...], says("What is then longer; shorter where below 0.")
    ]
    roads: tuple[RoadChange, ...]
    turns: tuple[MoveTurn, ...]
    message: str


class MoveFinish(msgspec.Struct, frozen=True, kw_only=True):
    """The best way to one of the ends that the engine may point to, or that may lead
    out.
    """

    leading: Leading
    engine_towards: str | None
    reversals: int
    distance_mm: float


class MoveRun(msgspec.Struct, frozen=True, kw_only=True):
    """A way without a reversal; what the train stands on before and after it."""

    leading: Leading
    from_: tuple[Stretch, ...] = msgspec.field(name="from")
    to: tuple[Stretch, ...]
    distance_mm: float
    pieces: tuple[str, ...]
    spare_mm: Annotated[
        float | None,
        says("How much farther it could have gone; null where nothing stops it."),
    ]
    message: str


class ShorterWay(msgspec.Struct, frozen=True, kw_only=True):
    """A way that is much shorter, with more reversals."""

    reversals: int
    distance_mm: float
    runs: tuple[MoveRun, ...]


class MoveAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Whether a train gets there, how, and how long it might be.

    The best way has the fewest reversals, then the least distance: the train's travel
    until it is first wholly in its place, or its tail has passed the joint.
    """

    verdict: MoveVerdict
    reversals: int | None
    distance_mm: float | None
    distance_from_best_start_mm: Annotated[
        float | None,
        says("The same had it stood anywhere in its place."),
    ]
    leading_at_finish: Leading | None
    finishes: tuple[MoveFinish, ...]
    runs: tuple[MoveRun, ...]
    train_length_mm: float | None
    longest_train_mm: Annotated[
        float | None, says("The longest that gets there; 0 where none does.")
    ]
    longest_with_these_reversals_mm: float | None
    spare_mm: Annotated[
        float | None,
        says("How much longer it might be with as many reversals."),
    ]
    plus_minus_mm: Annotated[
        float | None, says("How far off that may be; null where all counts as exact.")
    ]
    limited_by: Annotated[
        tuple[str, ...],
        says("Pieces of which any one, a little longer, lets a longer train through."),
    ]
    cures: Annotated[
        tuple[MoveCure, ...],
        says("Pieces of which any one, so much longer, lets it through."),
    ]
    shifts: Annotated[
        tuple[MoveShift, ...], says("Points of which any one, moved, lets it through.")
    ]
    shorter_way: ShorterWay | None
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]
    warnings: Warnings = NOT_YET
