"""What is told of a sheet besides its rows: columns left out, rows and sheets that are
hidden.
"""

from collections.abc import Iterator, Sequence

from standage.exchange.book_sheets import asked_for
from standage.exchange.cells import Sheet
from standage.exchange.headings import Column, SheetMapping
from standage.importing.description import Assumption
from standage.importing.outcomes import Judged
from standage.registry.writing.names_listed import listed

_MOST_NAMED = 12


def left_out(mapping: SheetMapping, columns: Sequence[Column]) -> Iterator[Assumption]:
    """Yield which columns are not taken although something stands in them."""
    for one in columns:
        if one.remark is not None:
            yield Assumption(
                field=one.field or "columns",
                message=f"column {one.letters} ({one.header}) {one.remark}",
            )
    taken = {use.column for use in mapping.columns}
    remarked = {one.column for one in columns if one.remark is not None}
    left = [
        one for one in columns if one.column not in taken | remarked and one.samples
    ]
    if left:
        message = (
            f"nothing is taken from {_named(left)}: to have one, say in the mapping"
            " what it holds"
        )
        yield Assumption(field="columns", message=message)


def _named(columns: Sequence[Column]) -> str:
    """Return columns by their letters and heads: the first of them, where there are
    many.
    """
    names = [_name(one) for one in columns]
    told = ", ".join(names[:_MOST_NAMED])
    more = len(names) - _MOST_NAMED
    if more > 0:
        return f"{told} and {more} more"
    return told


def _name(column: Column) -> str:
    if not column.header:
        return column.letters
    return f"{column.letters} ({column.header})"


def hidden_rows(sheet: Sheet, rows: Sequence[Judged]) -> Iterator[Assumption]:
    """Yield which rows are taken although the spreadsheet hides them."""
    hidden = set(sheet.hidden_rows)
    taken = [str(one.told.row) for one in rows if one.told.row in hidden]
    if taken:
        which = listed(taken, most=_MOST_NAMED)
        one = f"row {which}, which the spreadsheet hides, is"
        several = f"hidden rows ({which}) are"
        words = one if len(taken) == 1 else several
        yield Assumption(
            field="rows",
            message=f"{words} taken like the others: delete what is not wanted",
        )


def other_sheets(sheet: Sheet, *, listed: str, named: bool) -> Iterator[Assumption]:
    """Yield which other sheets may be wanted: those that list such records, all of
    them where this one does not. ``listed`` says what is listed.
    """
    others = sheet.lists if named else sheet.others
    if others:
        message = (
            f"only the sheet {sheet.name} is taken: send the file again with"
            f" {asked_for(others)} for another"
        )
        yield Assumption(field="sheet", message=message)
    if sheet.hidden and named:
        message = (
            f"{listed} on hidden sheets is left out: send the file again with"
            f" {asked_for(sheet.hidden)} to have it"
        )
        yield Assumption(field="sheet", message=message)
