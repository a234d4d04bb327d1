"""What is answered of a climb, field by field."""

from typing import Annotated, Literal

import msgspec

from standage.questions.reckoning import NOT_YET, Warnings
from standage.railway.terms.figures import says
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.track.plans.plan import Position, Stretch

ClimbVerdict = Literal["cannot_tell", "does_not_climb", "marginal", "climbs"]


class FeltThere(msgspec.Struct, frozen=True, kw_only=True):
    """What the train feels with its head at a place; less than 0 downhill."""

    position: Position
    percent: float


class WorstFelt(msgspec.Struct, frozen=True, kw_only=True):
    """Where the train feels the most, and the track that it then stands on."""

    position: Position
    percent: float
    one_in: float | None
    stretch: tuple[Stretch, ...]


class ClimbHaulage(msgspec.Struct, frozen=True, kw_only=True):
    """How many vehicles the engines haul where that is hardest."""

    position: Position
    gradient_percent: float
    curve_drag_percent: float
    rolling_resistance_percent: tuple[float, float]
    engines: int
    vehicles: int
    vehicles_fewest: int
    vehicles_most: int


class Runaway(msgspec.Struct, frozen=True, kw_only=True):
    """A place where stock that stands unbraked runs away."""

    name: str
    position: Position
    percent: float
    towards: str
    message: str


class ClimbAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """What a train feels from the first limit of its first place to the last of its
    last, and whether its engines haul it up.
    """

    verdict: ClimbVerdict
    train_length_mm: float | None
    distance_mm: float | None
    pieces: tuple[str, ...]
    felt: Annotated[
        tuple[FeltThere, ...],
        says("In order; between one and the next it only rises or only falls."),
    ]
    worst: WorstFelt | None
    haulage: ClimbHaulage | None
    vehicles_off: Annotated[
        int | None,
        says("The fewest with which off it climbs for certain; null if none is known."),
    ]
    engines_needed: Annotated[
        int | None,
        says("How many take it up for certain; null if not 20."),
    ]
    runaway: Annotated[
        tuple[Runaway, ...],
        says("Where stock of the route's places, or that stands, is on 0.5 % or more."),
    ]
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]
    cautions: tuple[Reason, ...]
    warnings: Warnings = NOT_YET
