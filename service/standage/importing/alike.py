"""What many rows of a list have in common, told once for the whole file."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Annotated, Literal

import msgspec

from standage.exchange.rows import RowFault, RowNote
from standage.importing.outcomes import Judged
from standage.railway.terms.figures import says

_FEWEST = 3
_MOST_ROWS_NAMED = 10
_MOST_VALUES = 5


class Alike(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One fault or note that several rows share."""

    what: Annotated[
        Literal["fault", "note"],
        says("Whether the rows are at fault, or have something to look at."),
    ]
    code: Annotated[str, says("Stable, for programs.")]
    message: Annotated[
        str,
        says("What is said of all of them, or of the first where the figures differ."),
    ]
    rows: Annotated[int, says("How many rows it is said of.")]
    first_rows: Annotated[
        tuple[int, ...],
        says("The first of them, counted from 1 as a spreadsheet does."),
    ]
    mend: Annotated[str | None, says("How to mend it.")] = None
    field: Annotated[str | None, says("The record's field.")] = None
    column: Annotated[int | None, says("The column, counted from 1.")] = None
    values: Annotated[
        tuple[str, ...], says("What stands in the cells: the first few, each once.")
    ] = ()


Told = RowFault | RowNote
Key = tuple[str | None, ...]


class _Group(msgspec.Struct, frozen=True, kw_only=True):
    """Rows with what is told of them, all of one key."""

    rows: tuple[int, ...]
    told: tuple[Told, ...]


def told_once(
    judged: Sequence[Judged], *, slips: frozenset[str]
) -> tuple[tuple[Alike, ...], list[Judged]]:
    """Return what rows have in common, and the rows without the notes that are told of
    all of them.

    A note is shared where it says the very same of three rows; one of the ``slips``,
    which names each row's own figures, where it is made in half of all rows. Faults
    stay on their rows too, since each is mended there.
    """
    told = [one.told for one in judged]
    all_faults = [(one.row, fault) for one in told for fault in one.faults]
    all_notes = [(one.row, note) for one in told for note in one.notes]
    faults = _groups(all_faults, _as_fault)
    same = _groups(all_notes, _word_for_word)
    others = [
        (row, note)
        for row, note in all_notes
        if note.code in slips and _word_for_word(note) not in same
    ]
    half = max(_FEWEST, len(judged) / 2)
    shared_slips = _groups(others, _as_slip, fewest=half)
    notes = {**same, **shared_slips}
    alike = (*_told("fault", faults), *_told("note", notes))
    shared = frozenset(notes)
    return alike, [_without(one, shared) for one in judged]


def _as_fault(told: Told) -> Key:
    return ("fault", told.code, told.field)


def _word_for_word(told: Told) -> Key:
    return ("note", told.code, told.field, told.message)


def _as_slip(told: Told) -> Key:
    return ("slip", told.code, told.field)


def _groups(
    found: Iterable[tuple[int, Told]],
    key: Callable[[Told], Key],
    *,
    fewest: float = _FEWEST,
) -> dict[Key, _Group]:
    """Return what so many rows share, by its key."""
    sorted_out: dict[Key, list[tuple[int, Told]]] = {}
    for row, told in found:
        sorted_out.setdefault(key(told), []).append((row, told))
    groups = {
        one: _Group(
            rows=tuple(dict.fromkeys(row for row, _ in pairs)),
            told=tuple(told for _, told in pairs),
        )
        for one, pairs in sorted_out.items()
    }
    return {one: group for one, group in groups.items() if len(group.rows) >= fewest}


def _told(
    what: Literal["fault", "note"], groups: Mapping[Key, _Group]
) -> Iterator[Alike]:
    for group in groups.values():
        first = group.told[0]
        values = dict.fromkeys(
            told.value for told in group.told if told.value is not None
        )
        yield Alike(
            what=what,
            code=first.code,
            message=first.message,
            rows=len(group.rows),
            first_rows=group.rows[:_MOST_ROWS_NAMED],
            mend=first.mend if isinstance(first, RowFault) else None,
            field=first.field,
            column=first.column,
            values=tuple(values)[:_MOST_VALUES],
        )


def _without(one: Judged, shared: frozenset[Key]) -> Judged:
    notes = tuple(
        note
        for note in one.told.notes
        if not {_word_for_word(note), _as_slip(note)} & shared
    )
    if len(notes) == len(one.told.notes):
        return one
    return msgspec.structs.replace(
        one, told=msgspec.structs.replace(one.told, notes=notes)
    )
