"""What is told of one row of a list."""

from typing import Annotated, Any, Literal

import msgspec

from standage.exchange.rows import RowFault, RowNote
from standage.railway.terms.figures import says

Outcome = Literal["create", "update", "unchanged", "fault"]


class CellChange(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One field that a row changes; absent before or after is what nobody said."""

    field: Annotated[str, says("The record's field.")]
    before: Annotated[str | None, says("What is on record.")] = None
    after: Annotated[str | None, says("What the row makes of it.")] = None


class RowOutcome(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What becomes of one row of the sheet."""

    row: Annotated[int, says("The row, counted from 1 as a spreadsheet does.")]
    outcome: Annotated[
        Outcome,
        says(
            "Whether it makes a record, changes one, changes nothing, or is not taken."
        ),
    ]
    name: Annotated[str | None, says("What the record is called.")] = None
    key: Annotated[
        str | None,
        says("What it is found again by: its key, else its number, else its name."),
    ] = None
    record_id: Annotated[
        str | None, says("The record that it means, where there is one.")
    ] = None
    changes: Annotated[
        tuple[CellChange, ...], says("What it changes on the record.")
    ] = ()
    faults: Annotated[
        tuple[RowFault, ...], says("Why it is not taken: all of it at once.")
    ] = ()
    notes: Annotated[
        tuple[RowNote, ...],
        says("Likely slips, and what was understood; they stop nothing."),
    ] = ()


class Judged(msgspec.Struct, frozen=True, kw_only=True):
    """A row's outcome, with the record as it is and as it is to be."""

    told: RowOutcome
    body: Any = None
    before: Any = None
    version: int | None = None
