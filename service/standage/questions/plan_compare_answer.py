"""What is answered of two plans held against each other, field by field."""

from typing import Annotated, Literal

import msgspec

from standage.questions.materials_answer import AlterationMaterials
from standage.questions.reckoning import NOT_YET, Warnings
from standage.railway.alterations.roads_changed import RoadFigures
from standage.railway.terms.figures import says
from standage.railway.terms.reasons import Assumed, Reason

CompareVerdict = Literal[
    "same", "no_verdict_turns", "better", "worse", "mixed", "cannot_tell"
]
TurnedVerdict = Literal[
    "fits",
    "tight",
    "does_not_fit",
    "runs",
    "marginal",
    "does_not_run",
    "possible",
    "impossible",
    "cannot_tell",
]

Turning = Literal["worse", "otherwise", "better"]
Compared = Literal["fits", "runs", "moves"]


class ToldPiece(msgspec.Struct, frozen=True, kw_only=True):
    """A piece that is not as it was; ``by_mm`` is how far an end of it moves at most."""

    piece: str
    by_mm: float | None
    state: Literal["laid", "planned", "fixed"]


class ToldPieces(msgspec.Struct, frozen=True, kw_only=True):
    """What is done to the pieces, laid ones first."""

    added: tuple[ToldPiece, ...]
    removed: tuple[ToldPiece, ...]
    moved: Annotated[tuple[ToldPiece, ...], says("As they were, and somewhere else.")]
    altered: Annotated[tuple[ToldPiece, ...], says("With other figures.")]
    rejoined: Annotated[
        tuple[ToldPiece, ...], says("As and where they were, joined otherwise.")
    ]


class ToldChange(msgspec.Struct, frozen=True, kw_only=True):
    """A road that is not as it was; null in the plan that has no such road."""

    name: str
    before: RoadFigures | None
    after: RoadFigures | None
    message: str


class ToldTurn(msgspec.Struct, frozen=True, kw_only=True):
    """A verdict that turns; null where a plan has no such road."""

    question: Compared
    train: str
    train_id: str | None
    place: str
    to: Annotated[str | None, says("The place where a move ends.")]
    before: TurnedVerdict | None
    after: TurnedVerdict | None
    turns: Annotated[
        Turning,
        says("Otherwise: into what nobody can tell, or out of it."),
    ]
    spare_mm: Annotated[
        float | None,
        says("What is left over after it, in mm; before it of a road that is gone."),
    ]
    message: str


class PlanCompareAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """What an alteration changes: what is laid and has to come up stands first."""

    verdict: CompareVerdict
    laid_to_come_up: Annotated[
        tuple[str, ...], says("Laid pieces that are taken out, moved or altered.")
    ]
    pieces: ToldPieces
    roads: tuple[ToldChange, ...]
    materials: AlterationMaterials
    verdicts: Annotated[
        tuple[ToldTurn, ...], says("Those for the worse first; 1,000 at most.")
    ]
    verdicts_left_out: int
    trains_compared: int
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]
    warnings: Warnings = NOT_YET
