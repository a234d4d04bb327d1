"""What a table of trains against places answers."""

from typing import Annotated

import msgspec

from standage.questions.reckoning import NOT_YET, Warnings
from standage.railway.curving.verdicts import CurveVerdict
from standage.railway.standing.verdicts import FitVerdict
from standage.railway.terms.figures import says
from standage.railway.terms.reasons import Assumed, Reason


class TrainOfTable(msgspec.Struct, frozen=True, kw_only=True):
    """A train as it was reckoned with: a row."""

    name: Annotated[str, says("What it is called.")]
    train_id: Annotated[str | None, says("Its id, where it is on record.")]
    length_mm: Annotated[
        float | None, says("Pulled out, free couplings included, in mm.")
    ]
    plus_minus_mm: Annotated[
        float | None, says("How far off that may be, either way, in mm.")
    ]


class PlaceOfTable(msgspec.Struct, frozen=True, kw_only=True):
    """A place as it was reckoned with: a column."""

    name: Annotated[str, says("What it is called.")]
    place_id: Annotated[str | None, says("Its id, where it is on record.")]
    usable_length_mm: Annotated[float | None, says("Its usable length, in mm.")]
    stopping_margin_mm: Annotated[
        float, says("What was taken off for stopping, both ends together, in mm.")
    ]


class FitsCell(msgspec.Struct, frozen=True, kw_only=True):
    """One train in one place."""

    train: Annotated[str, says("What the train is called.")]
    place: Annotated[str, says("What the place is called.")]
    verdict: Annotated[
        FitVerdict,
        says(
            "That of standing; does_not_fit where the train does not run there for"
            " certain."
        ),
    ]
    standing: Annotated[FitVerdict, says("Whether it stands clear there.")]
    reaching: Annotated[CurveVerdict, says("Whether it gets there.")]
    spare_mm: Annotated[
        float | None, says("What is left there, in mm; null where not known.")
    ]
    plus_minus_mm: Annotated[
        float | None, says("How far off that may be, either way, in mm.")
    ]


class BestPlace(msgspec.Struct, frozen=True, kw_only=True):
    """Where a train stands best."""

    train: Annotated[str, says("What the train is called.")]
    place: Annotated[str | None, says("The place; null where none holds it.")]
    verdict: Annotated[FitVerdict, says("The mildest verdict of any place.")]


class FitsAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Every train against every place."""

    verdict: Annotated[
        FitVerdict, says("Whether every train has a place: the worst of the best.")
    ]
    trains: Annotated[tuple[TrainOfTable, ...], says("The rows, as asked.")]
    places: Annotated[tuple[PlaceOfTable, ...], says("The columns, as asked.")]
    cells: Annotated[
        tuple[FitsCell, ...], says("Every pair: all places of a train, then the next.")
    ]
    best: Annotated[tuple[BestPlace, ...], says("Each train's best place.")]
    because: Annotated[
        tuple[Reason, ...],
        says("Trains without a place, with the worst reason where they come nearest."),
    ]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    warnings: Warnings = NOT_YET
