"""A second kind of list, of types of coupling: what the general machinery is asked for
besides lists of stock, and as little as a kind can be.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

import msgspec

from standage.exchange.cells import Sheet
from standage.exchange.fields import Fields, Vocabulary, fields_of
from standage.exchange.headings import (
    Column,
    SheetMapping,
    found_columns,
    is_list,
    suggested,
)
from standage.exchange.list_kinds import ListKind
from standage.exchange.numbers import Trouble
from standage.exchange.rows import Heads, ReadRow, flat, read_rows
from standage.importing.description import Assumption, Described, ReadList, Words
from standage.importing.meeting import rows_by_meaning, twice_in_the_file
from standage.importing.merging import changes, upon
from standage.importing.outcomes import Judged, Outcome, RowOutcome
from standage.registry.database.tables import name_key
from standage.registry.records.bodies import CouplingTypeBody
from standage.registry.records.kinds import COUPLING_TYPES
from standage.registry.records.reading import Reading, live
from standage.registry.records.record import Permit
from standage.registry.writing.list_imports import RecordText, from_lots, in_lots
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty

TABLE = """
name | text | Coupling | type, called
reach_mm | reach | Reach (mm) | pulled out
swing_deg | degrees | Swing (degrees) | turns
notes | remark | Notes | remarks
"""
FIELDS = Fields(fields_of(TABLE, Vocabulary(), words={}), vocabulary=Vocabulary())
COUPLINGS = ListKind(
    one="coupling",
    totalled="couplings",
    fields=FIELDS,
    naming=frozenset({"name"}),
)


def _is_list(sheet: Sheet) -> bool:
    return is_list(sheet, COUPLINGS)


def _gather(_reading: Reading, _permit: Permit) -> None:
    return None


def _suggested(sheet: Sheet, _about: Any) -> tuple[SheetMapping, tuple[Column, ...]]:
    found = suggested(sheet, COUPLINGS)
    return found.mapping, found.columns


def _found_columns(sheet: Sheet, mapping: SheetMapping) -> Sequence[Column]:
    return found_columns(sheet, mapping.header_row, COUPLINGS)


def _require(_mapping: SheetMapping, _about: Any) -> None:
    return None


def _rows_read(sheet: Sheet, mapping: SheetMapping) -> list[ReadRow]:
    return list(read_rows(sheet, mapping, COUPLINGS))


def _wanted(
    rows: Sequence[ReadRow], _sheet: Sheet, _mapping: SheetMapping, _about: Any
) -> bytes:
    return msgspec.msgpack.encode([one.values.get("name", "") for one in rows])


def _look_up(
    reading: Reading, permit: Permit, listed: ReadList[SheetMapping]
) -> ReadList[SheetMapping]:
    found = _meant(reading, permit.principal.club_id, listed.wanted)
    return msgspec.structs.replace(listed, on_record=in_lots(found))


def _meant(reading: Reading, club_id: str, wanted: bytes) -> list[RecordText]:
    names = {name_key(one) for one in msgspec.msgpack.decode(wanted, type=list[str])}
    rows = reading.connection.execute(live(COUPLING_TYPES, club_id).order_by("id"))
    texts = [RecordText(id=row.id, version=row.version, body=row.body) for row in rows]
    return [text for text in texts if _key_on_record(text) in names]


def _key_on_record(text: RecordText) -> str:
    return name_key(msgspec.json.decode(text.body)["name"])


def _judged(listed: ReadList[SheetMapping], sheet: Sheet) -> list[Judged]:
    heads = Heads(sheet, listed.mapping, FIELDS)
    rows = list(from_lots(listed.rows, ReadRow))
    texts = from_lots(listed.on_record, RecordText)
    present = {_key_on_record(one): one for one in texts}
    alike = rows_by_meaning((_means(one), one.row) for one in rows)
    return [
        _one(row, present.get(_key(row)), alike.get(_means(row), []), heads)
        for row in rows
    ]


def _key(row: ReadRow) -> str:
    return name_key(row.values.get("name", ""))


def _means(row: ReadRow) -> tuple[str, str]:
    return ("name", _key(row))


def _one(
    row: ReadRow, present: RecordText | None, alike: Sequence[int], heads: Heads
) -> Judged:
    before = None
    if present is not None:
        before = msgspec.json.decode(present.body, type=CouplingTypeBody)
    on_record = {} if before is None else msgspec.to_builtins(before)
    faults = list(row.faults)
    twice = twice_in_the_file(row.row, alike, mend="leave one of them out")
    troubles = filter(None, (row.apart, twice))
    faults += [heads.fault(trouble, field=None) for trouble in troubles]
    try:
        body = convert(upon(on_record, row.values), CouplingTypeBody)
    except Faulty as faulty:
        faults += _of_the_body(faulty, heads)
        return _refused(row, faults)
    if faults:
        return _refused(row, faults)
    outcome: Outcome = "create"
    if before is not None:
        outcome = "unchanged" if body == before else "update"
    now = flat(msgspec.to_builtins(body), FIELDS)
    differences = tuple(changes(flat(on_record, FIELDS), now)) if before else ()
    told = RowOutcome(
        row=row.row,
        outcome=outcome,
        name=body.name,
        record_id=None if present is None else present.id,
        changes=differences,
    )
    version = None if present is None else present.version
    return Judged(told=told, body=body, before=before, version=version)


def _of_the_body(faulty: Faulty, heads: Heads) -> Iterator[Any]:
    for fault in faulty.faults:
        trouble = Trouble(code=fault.code, message=fault.message, mend="fill it in")
        field = (fault.pointer or "").removeprefix("/")
        yield heads.fault(trouble, field=field)


def _refused(row: ReadRow, faults: Sequence[Any]) -> Judged:
    told = RowOutcome(row=row.row, outcome="fault", faults=tuple(faults))
    return Judged(told=told)


def _assumed(
    _listed: ReadList[SheetMapping], _sheet: Sheet, _rows: Sequence[Judged]
) -> Iterable[Assumption]:
    return ()


COUPLING_LIST = Described[SheetMapping](
    kind_name=COUPLING_TYPES.name,
    words=Words(called="list of couplings", on_record="what is known of couplings"),
    mapping=SheetMapping,
    slips=frozenset(),
    is_list=_is_list,
    gather=_gather,
    suggested=_suggested,
    found_columns=_found_columns,
    require=_require,
    rows_read=_rows_read,
    wanted=_wanted,
    look_up=_look_up,
    meant=_meant,
    judged=_judged,
    assumed=_assumed,
)
