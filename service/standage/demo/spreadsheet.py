"""A member's own spreadsheet, as somebody could have written it, and what the service makes of it: over HTTP."""

from collections.abc import Iterator
from importlib.resources import files
from typing import Any

from standage.demo import telling
from standage.demo.caller import Club

OWNER = "Sorrel"
_FILE = "sorrels-stock.csv"


def told(club: Club) -> Iterator[str]:
    """Send the list in, import its good rows, and tell what was found."""
    raw = files("standage.demo").joinpath(_FILE).read_bytes()
    preview = club.send("/v1/stock-imports", raw, media_type="text/csv")
    mapping = preview["mapping"] | {"owner_id": club.member(OWNER), "scale": "00"}
    preview = club.put_mapping(preview["id"], mapping, version=preview["version"])
    yield telling.heading(f"{OWNER}'s own spreadsheet comes in")
    counts = preview["counts"]
    yield telling.paragraph(
        f"{OWNER} keeps a list in a spreadsheet ({preview['file']['read_as']}). Of its rows {counts['create']} make a "
        f"vehicle and {counts['fault']} are held back:"
    )
    for shared in preview.get("alike", ()):
        yield telling.paragraph(f"{shared['rows']} rows: {shared['message']}.", indent="   · ")
    for row in club.ask(f"/v1/stock-imports/{preview['id']}/rows", limit=200)["items"]:
        yield from _of_row(row)
    done = club.commit(preview["id"], rows="good")
    taken = done["taken"]
    yield telling.paragraph(
        f"The good rows are imported: {taken['created']} vehicles. The {taken['rejected']} others can be "
        "downloaded with a column that says why, mended, and sent again."
    )


def _of_row(row: dict[str, Any]) -> Iterator[str]:
    for fault in row.get("faults", ()):
        where = fault.get("header") or "the row"
        value = f" “{fault['value']}”" if "value" in fault else ""
        yield telling.paragraph(
            f"row {row['row']}, {where}{value}: {fault['message']}. To mend it: {fault['mend']}.", indent="   ✗ "
        )
    for note in row.get("notes", ()):
        value = f" “{note['value']}”" if "value" in note else ""
        yield telling.paragraph(f"row {row['row']}{value}: {note['message']}.", indent="   · ")
