"""What is said of a row of a stock list: how a figure out of bounds is mended, and what
may not mean what it does.
"""

from collections.abc import Iterator, Sequence

from standage.exchange.cells import Cell
from standage.exchange.numbers import Trouble
from standage.exchange.rows import Heads, RowFault, RowNote
from standage.exchange.stock.fields import FIELDS
from standage.railway.stock.couplings import TYPICAL
from standage.railway.terms.scales import ScaleName
from standage.registry.database.tables import name_key
from standage.registry.records.bodies import VehicleBody
from standage.shapes.faults import Fault

_MENDS = {
    "missing": "fill it in, or say it for all rows in the mapping",
    "too_long": "make it shorter",
    "bad_characters": "keep to one line of plain text",
    "one_or_the_other": "leave one of the two empty",
    "longer_than_vehicle": "measure again: one of the two figures cannot be right",
}
_LENGTHS = frozenset({"length", "radius", "reach"})


def of_cell(fault: Fault, cells: Sequence[Cell], heads: Heads) -> RowFault:
    """Return a fault of the vehicle as one of the cell that it comes from."""
    path = (fault.pointer or "").removeprefix("/").split("/")
    field = next(
        (name for name in (".".join(path), path[0]) if name in FIELDS.by_name),
        ".".join(path),
    )
    column = heads.column(field)
    cell = cells[column - 1] if column is not None and column <= len(cells) else None
    trouble = Trouble(
        code=fault.code,
        message=fault.message,
        mend=_mend(fault, field),
    )
    return heads.fault(
        trouble,
        field=field,
        cell=cell,
    )


def _mend(fault: Fault, name: str) -> str:
    if fault.code == "missing" and name == "name":
        return "fill the name in, or map the column that holds it"
    field = FIELDS.by_name.get(name)
    if (
        fault.code not in {"too_small", "too_large"}
        or field is None
        or not field.is_figure
    ):
        return _MENDS.get(
            fault.code, "mend the cell, or leave it empty if nobody knows"
        )
    if field.name == "count":
        return (
            f"write how many there are, such as {field.such_as}, or delete the row if"
            " there are none any more"
        )
    right = (
        ", and is the unit right? It can stand in the cell, as in 12 in"
        if field.sort in _LENGTHS
        else ""
    )
    return (
        f"leave it empty if nobody knows it, else write it like {field.such_as}{right}"
    )


def no_such_record(record_id: str, heads: Heads) -> RowNote:
    """Return that the row names a record that is not there, and is taken by its other
    words.
    """
    message = (
        "no vehicle on record has this id: it is looked for by its key, its number or"
        " its name instead"
    )
    return RowNote(
        code="no_such_record",
        message=message,
        field="id",
        column=heads.column("id"),
        value=record_id[:120],
    )


def named_otherwise(
    body: VehicleBody, *, before: VehicleBody, key: tuple[str, str], heads: Heads
) -> Iterator[RowNote]:
    """Yield a doubt where the number is that of a vehicle on record which is called
    otherwise.

    ``key`` is the field that it is found again by, and what stands there.
    """
    if name_key(body.name) != name_key(before.name):
        message = (
            f"{key[1]} is {before.name} on record, which this row changes; if another "
            "vehicle is meant, give both a key of their own"
        )
        column = heads.column(key[0])
        yield RowNote(
            code="named_otherwise",
            message=message,
            field=key[0],
            column=column,
            value=key[1][:120],
        )


def either_number(one: VehicleBody, other: VehicleBody) -> Trouble:
    """Return that a number is one vehicle's, and the name beside it that of another
    with other noughts.
    """
    first, second = (body.number or body.external_key for body in (one, other))
    message = (
        f"is {one.name} on record, but {other.name} has {second}: has the number lost"
        " its noughts?"
    )
    mend = (
        f"write {second} in a column formatted as text, or put the name of {first}"
        " beside it"
    )
    return Trouble(code="lost_noughts", message=message, mend=mend)


def other_noughts(given: str, on_record: str, heads: Heads) -> RowNote:
    """Return that a row is taken for a vehicle whose number has more noughts before it,
    or fewer.
    """
    longer = max(given, on_record, key=len)
    becomes = "stays" if longer == on_record else "becomes"
    message = (
        f"is taken for {on_record} on record, as spreadsheets drop noughts: the number"
        f" {becomes} {longer}"
    )
    return _of_number(message, heads, value=given)


def perhaps_lost_noughts(other: VehicleBody, heads: Heads) -> RowNote:
    """Return that a row makes a vehicle although one is on record whose number differs
    by its noughts alone.
    """
    message = (
        f"makes a new vehicle, but {other.number or other.external_key} is on record as"
        f" {other.name}: if that is meant, the number has lost its noughts"
    )
    return _of_number(message, heads)


def _of_number(message: str, heads: Heads, *, value: str | None = None) -> RowNote:
    column = heads.column("number") or heads.column("external_key")
    shown = None if value is None else value[:120]
    return RowNote(
        code="lost_noughts", message=message, field="number", column=column, value=shown
    )


def gauge_of_another(gauge_mm: float, scale: ScaleName, heads: Heads) -> RowNote:
    """Return that a gauge is none of the scale that rows without one are taken to be
    in.
    """
    message = (
        f"{gauge_mm:g} mm is no gauge of {scale}, so that scale is not assumed here:"
        " say the scale"
    )
    column = heads.column("gauge_mm")
    return RowNote(
        code="another_gauge",
        message=message,
        field="scale",
        column=column,
        value=f"{gauge_mm:g}",
    )


def unknown_couplings(
    body: VehicleBody, known: frozenset[str], heads: Heads
) -> Iterator[RowNote]:
    """Yield a doubt for each type of coupling that neither the club has nor is typical,
    and that says no reach.
    """
    typical = {name_key(kind.name) for kind in TYPICAL}
    told: set[str] = set()
    for end in ("front_coupling", "rear_coupling"):
        coupling = getattr(body, end)
        named = (
            None if coupling is None or coupling.reach_mm is not None else coupling.type
        )
        if named is None or name_key(named) in known | typical or named in told:
            continue
        told.add(named)
        message = (
            f"{named} is no coupling type of the club, and no typical one: until it is"
            " recorded, or its reach is measured, no answer can count on it"
        )
        field = f"{end}.type"
        yield RowNote(
            code="unknown_coupling",
            message=message,
            field=field,
            column=heads.column(field),
            value=named[:120],
        )
