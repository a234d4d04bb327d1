"""Sending lists of stock, and what comes of them."""

from typing import Any

import httpx

from api.asking import Caller

CSV = "text/csv"
LIST = """\
Name,Number,Type,Scale,Length over buffers,Weight (oz),Min. radius
Ore wagon,47,wagon,00,"3 1/2 in",1.5,438 mm
Harbour tank,12,loco,00,57' full size,,
,13,wagon,00,80,,
"""


def sent(
    caller: Caller,
    text: str | bytes,
    content_type: str = CSV,
    query: str = "",
    **headers: str,
) -> httpx.Response:
    raw = text if isinstance(text, bytes) else text.encode()
    return caller.send(
        "POST", f"/v1/stock-imports{query}", raw, content_type=content_type, **headers
    )


def previewed(
    caller: Caller, text: str | bytes, content_type: str = CSV, query: str = ""
) -> dict[str, Any]:
    response = sent(caller, text, content_type, query)
    assert response.status_code == 201, response.text
    answer: dict[str, Any] = response.json()
    assert response.headers["location"] == f"/v1/stock-imports/{answer['id']}"
    return answer


def rows(caller: Caller, stock_import: dict[str, Any]) -> list[dict[str, Any]]:
    items: list[dict[str, Any]] = caller.read(
        f"/v1/stock-imports/{stock_import['id']}/rows"
    )["items"]
    return items


def imported(
    caller: Caller, stock_import: dict[str, Any], which: str = "all"
) -> httpx.Response:
    return caller.ask(
        "POST", f"/v1/stock-imports/{stock_import['id']}/commit", {"rows": which}
    )


def counted(stock_import: dict[str, Any]) -> dict[str, int]:
    return {
        name: count
        for name, count in stock_import["counts"].items()
        if count and name != "with_notes"
    }


def vehicles(caller: Caller) -> dict[str, dict[str, Any]]:
    return {one["name"]: one for one in caller.read("/v1/vehicles?limit=200")["items"]}
