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
    path = f"/v1/stock-imports/{preview['id']}/rows"
    rows = club.ask(path, limit=200)["items"]
    taken = club.commit(preview["id"], rows="good")["taken"]
    yield telling.heading(f"{OWNER}'s spreadsheet comes in")
    yield telling.paragraph(
        f"Of its {len(rows)} rows {taken['created']} are now vehicles and"
        f" {taken['rejected']} are held back, each with what is to be mended. One of"
        " them:"
    )
    # the last that has a value to show
    for row in reversed(rows):
        faults = [fault for fault in row.get("faults", ()) if "value" in fault]
        if faults:
            yield _of_row(row, faults[-1])
            return


def _of_row(row: dict[str, Any], fault: dict[str, Any]) -> str:
    column = fault.get("header") or "the row"
    value, message, mend = fault["value"], fault["message"], fault["mend"]
    where = f"row {row['row']}, {column} “{value}”"
    words = f"{where}: {message}. To mend it: {mend}."
    return telling.paragraph(words, indent="   · ")
