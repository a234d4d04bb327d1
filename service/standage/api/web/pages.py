"""Pages of a list: opaque cursors, bound to the club, the list, its filters and its
order.
"""

import base64
import binascii
import hashlib
from collections.abc import Mapping
from urllib.parse import urlencode

import msgspec

from standage.shapes.faults import Fault, Faulty
from standage.shapes.paging import DEFAULT_LIMIT as DEFAULT_LIMIT
from standage.shapes.paging import Cursor as Cursor
from standage.shapes.paging import Limit as Limit


class _Place(msgspec.Struct, frozen=True, array_like=True):
    value: str
    id: str
    check: str


def cursor(*, list_digest: str, value: str, record_id: str) -> str:
    """Return the cursor of the page after the record with that sort value and id."""
    check = hashlib.sha256(
        msgspec.json.encode([list_digest, value, record_id])
    ).hexdigest()[:16]
    raw = msgspec.json.encode(_Place(value, record_id, check))
    return base64.urlsafe_b64encode(raw).decode().rstrip("=")


def after(text: str | None, *, list_digest: str) -> tuple[str, str] | None:
    """Return the sort value and id that a cursor stands for; ``Faulty`` where this very
    list gave no such cursor.
    """
    if text is None:
        return None
    try:
        raw = base64.b64decode(
            text + "=" * (-len(text) % 4), altchars=b"-_", validate=True
        )
        place = msgspec.json.decode(raw, type=_Place)
    except (binascii.Error, msgspec.DecodeError, UnicodeError, ValueError):
        place = None
    if (
        place is None
        or cursor(list_digest=list_digest, value=place.value, record_id=place.id)
        != text
    ):
        message = (
            "is not a cursor of this list with these filters; begin again without it"
        )
        raise Faulty([Fault(code="bad_cursor", message=message, parameter="cursor")])
    return place.value, place.id


def digest(path: str, *, club_id: str, query: Mapping[str, object]) -> str:
    """Return what binds a cursor to one list of one club, with its filters and its
    order.
    """
    settled = sorted(
        (name, str(value))
        for name, value in query.items()
        if name not in {"cursor", "limit"}
    )
    return hashlib.sha256(msgspec.json.encode([path, club_id, settled])).hexdigest()


def next_path(path: str, query: Mapping[str, object], *, cursor_text: str) -> str:
    """Return the address of the next page."""
    said = {
        name: value
        for name, value in query.items()
        if value is not None and name != "cursor"
    }
    kept = {
        name: str(value).lower() if isinstance(value, bool) else value
        for name, value in said.items()
    }
    return f"{path}?{urlencode({**kept, 'cursor': cursor_text})}"
