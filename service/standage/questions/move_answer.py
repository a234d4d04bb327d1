"""What is answered of a move, field by field."""

from collections.abc import Mapping
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


class MoveTurn(msgspec.Struct, frozen=True, kw_only=True):
    """A verdict that turns."""

    asked: Literal["move", "move_back", "standing"]
    place: str | None = None
    becomes: MoveVerdict


class MoveShift(msgspec.Struct, frozen=True, kw_only=True):
    """Points that, moved along by so much, let the train through."""

    points: str
    by_mm: int
    towards: Literal["toe", "legs"]
    state: State
    pieces: Annotated[tuple[MoveCure, ...], says("Shorter where below 0.")]
    roads: Annotated[
        Mapping[str, float], says("How many mm more each then holds, or less.")
    ]
    turns: tuple[MoveTurn, ...]
    message: str


class MoveAlternative(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What alone would let the train through, without a saw."""

    code: str
    message: str
    place: str | None = None
    amount_mm: float | None = None
    draws: int | None = None
    vehicles: tuple[str, ...] = ()


class MoveFinish(msgspec.Struct, frozen=True, kw_only=True):
    """The best way for one end to which the engine may point, or that leads out."""

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
    """The best way has the fewest reversals, then the least distance: until the train
    is first wholly in its place, or its tail has passed the joint.
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
        says("Each alone, a little longer, lets a longer train through."),
    ]
    cures: Annotated[
        tuple[MoveCure, ...],
        says("Each alone lets it through."),
    ]
    shifts: Annotated[tuple[MoveShift, ...], says("Each alone lets it through.")]
    alternatives: tuple[MoveAlternative, ...]
    shorter_way: ShorterWay | None
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]
    warnings: Warnings = NOT_YET
