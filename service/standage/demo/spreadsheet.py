"""A member's own spreadsheet, as somebody could have written it, and what the service
makes of it: over HTTP.
"""

from collections.abc import Iterator
from importlib.resources import files
from typing import Any

from standage.demo import telling
from standage.demo.caller import Club

OWNER = "Sorrel"
_FILE = "sorrels-stock.csv"


def told(club: Club) -> Iterator[str]:
    """Send the list in, import its good rows, and tell what was found, with one row at
    fault.
    """
    raw = files("standage.demo").joinpath(_FILE).read_bytes()
    preview = club.send("/v1/stock-imports", raw, media_type="text/csv")
    mapping = preview["mapping"] | {"owner_id": club.member(OWNER), "scale": "00"}
    preview = club.put_mapping(preview["id"], mapping)
    rows = club.ask(f"/v1/stock-imports/{preview['id']}/rows", limit=200)["items"]
    taken = club.commit(preview["id"], rows="good")["taken"]
    yield telling.heading(f"{OWNER}'s spreadsheet comes in")
    yield telling.paragraph(
        f"Of its {len(rows)} rows {taken['created']} are now vehicles and"
        f" {taken['rejected']} are held back, each with what is to be mended. One of"
        " them:"
    )
    faulty = [
        (row, fault)
        for row in rows
        for fault in row.get("faults", ())
        if "value" in fault
    ]
    yield from (_of_row(row, fault) for row, fault in faulty[-1:])


def _of_row(row: dict[str, Any], fault: dict[str, Any]) -> str:
    column = fault.get("header") or "the row"
    where = f"row {row['row']}, {column} “{fault['value']}”"
    words = f"{where}: {fault['message']}. To mend it: {fault['mend']}."
    return telling.paragraph(words, indent="   · ")
