"""Pages of a list: opaque cursors, bound to the club, the list, its filters and its
order; and the address of the page that follows.
"""

import base64
import binascii
import hashlib
from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

import msgspec

from standage.api.web.call import Call, Reply
from standage.shapes.faults import Fault, Faulty
from standage.shapes.paging import DEFAULT_LIMIT as DEFAULT_LIMIT
from standage.shapes.paging import Cursor as Cursor
from standage.shapes.paging import Limit as Limit
from standage.shapes.paging import Next as Next
from standage.shapes.paging import NextCursor as NextCursor


class PageAsked(msgspec.Struct, frozen=True, kw_only=True):
    """Which page of which list somebody asks for."""

    path: str
    query: dict[str, Any]
    list_digest: str

    @property
    def limit(self) -> int:
        """How many things the page may hold."""
        limit: int = self.query["limit"]
        return limit

    def after(self) -> tuple[str, str] | None:
        """Return the sort value and id of the thing that the page comes after; raises
        ``Faulty`` where this very list gave no such cursor.
        """
        text = self.query["cursor"]
        return _after(text, list_digest=self.list_digest)

    def answer(self, content: Any, then: tuple[str, str] | None) -> Reply:
        """Answer with a page, ``then`` being the sort value and id of its last thing
        where another page follows: its address stands in the body and in the header
        Link.
        """
        if then is None:
            return Reply(content=content)
        value, record_id = then
        text = _cursor(
            list_digest=self.list_digest,
            value=value,
            record_id=record_id,
        )
        address = _next_path(self.path, self.query, cursor_text=text)
        following = {"next": address, "next_cursor": text}
        link = ("link", f'<{address}>; rel="next"')
        return Reply(content=_with(content, following), headers=(link,))


def _with(content: Any, following: Mapping[str, str]) -> Any:
    if isinstance(content, msgspec.Struct):
        return msgspec.structs.replace(content, **following)
    return {**content, **following}


def page_asked(call: Call, path: str, *, version: str | None = None) -> PageAsked:
    """Return which page of the list at ``path`` a request is for.

    The cursors of a list that is kept in versions are good for one ``version`` only.
    """
    query = msgspec.structs.asdict(call.query)
    bound = path if version is None else f"{path} {version}"
    list_digest = _digest(bound, club_id=call.club_id, query=query)
    return PageAsked(
        path=path,
        query=query,
        list_digest=list_digest,
    )


class _Place(msgspec.Struct, frozen=True, array_like=True):
    value: str
    id: str
    check: str


def _cursor(*, list_digest: str, value: str, record_id: str) -> str:
    """Return the cursor of the page after the record with that sort value and id."""
    list_and_place = msgspec.json.encode([list_digest, value, record_id])
    check = hashlib.sha256(list_and_place).hexdigest()[:16]
    raw = msgspec.json.encode(_Place(value, record_id, check))
    text = base64.urlsafe_b64encode(raw).decode()
    return text.rstrip("=")


def _after(text: str | None, *, list_digest: str) -> tuple[str, str] | None:
    """Return the sort value and id that a cursor stands for; ``Faulty`` where this very
    list gave no such cursor.
    """
    if text is None:
        return None
    place = _place_in(text)
    if place is not None:
        given = _cursor(list_digest=list_digest, value=place.value, record_id=place.id)
        if given == text:
            return place.value, place.id
    message = "is not a cursor of this list with these filters; begin again without it"
    raise Faulty([Fault(code="bad_cursor", message=message, parameter="cursor")])


def _place_in(text: str) -> _Place | None:
    padded = text + "=" * (-len(text) % 4)
    try:
        raw = base64.b64decode(
            padded,
            altchars=b"-_",
            validate=True,
        )
        return msgspec.json.decode(raw, type=_Place)
    except (binascii.Error, msgspec.DecodeError, UnicodeError, ValueError):
        return None


def _digest(path: str, *, club_id: str, query: Mapping[str, object]) -> str:
    """Return what binds a cursor to one list of one club, with its filters and its
    order.
    """
    settled = []
    for name, value in sorted(query.items()):
        # a cursor goes on with pages of another size
        if name not in {"cursor", "limit"}:
            settled.append((name, str(value)))
    bound = msgspec.json.encode([path, club_id, settled])
    return hashlib.sha256(bound).hexdigest()


def _next_path(path: str, query: Mapping[str, object], *, cursor_text: str) -> str:
    """Return the address of the next page."""
    said: dict[str, object] = {}
    for name, value in query.items():
        if value is None or name == "cursor":
            continue
        # as JSON and queries write it, not as Python does
        said[name] = str(value).lower() if isinstance(value, bool) else value
    said["cursor"] = cursor_text
    return f"{path}?{urlencode(said)}"
