"""One request as an operation meets it, decoded, and what goes back: a reply, put into
bytes, with what a read carries besides.
"""

import hashlib
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

import msgspec

from standage.api.web.problems import Rejected
from standage.api.web.spooled_answers import Spooled
from standage.questions.derived import DERIVED, Learned
from standage.railway.terms.reasons import Assumed
from standage.railway.terms.understanding import NOTHING_HEARD, Heard
from standage.registry.records.record import IfMatch, Permit
from standage.shapes.faults import shown

JSON = "application/json"
CSV = "text/csv"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
ODS = "application/vnd.oasis.opendocument.spreadsheet"
SVG = "image/svg+xml"


@dataclass(frozen=True, kw_only=True, slots=True)
class Call:
    """One decoded request, as far as an operation needs to know it."""

    permit: Permit | None
    path: Mapping[str, str]
    query: Any
    body: Any
    if_match: IfMatch
    now: datetime
    content_type: str = ""
    """In what form the body came; it matters only where it may come in several."""
    peer: str | None = None
    """From which address; None where nobody counts."""
    heard: Heard = NOTHING_HEARD
    """What was understood in reading the body, where that had to be."""

    @property
    def granted(self) -> Permit:
        """The permit of an operation that is never open to strangers."""
        if self.permit is None:
            message = "an operation that needs a permit was reached without one"
            raise RuntimeError(message)
        return self.permit

    @property
    def club_id(self) -> str:
        """The club that asks."""
        return self.granted.principal.club_id


@dataclass(frozen=True, kw_only=True, slots=True)
class Reply:
    """What goes back: a value to encode as JSON, bytes that go as they are, or nothing;
    with its headers.
    """

    content: Any = None
    media_type: str = JSON
    status: int = 200
    etag: str | None = None
    headers: tuple[tuple[str, str], ...] = ()
    secret: bool = False
    """Whether it holds what may never be kept, not even for a replay."""


LONGEST_HEADER = 1000
"""How many characters of entity tags a request may bring."""

_TAG = re.compile(r'\s*(W/)?"([\x21\x23-\x7e\x80-\xff]*)"\s*(?:,|$)')
_OWN = re.compile(r"\s*(v\d{1,19}(?:-[0-9a-f]{16})?|[0-9a-f]{32})\s*(?:,|$)", re.ASCII)
"""An entity tag of this service that lost its quotes on the way."""
_NOTHING = re.compile(r"\s*,")


def strong_tags(header: str) -> tuple[str, ...]:
    """Return the strong entity tags of a list, quotes included; weak tags never match a
    change and are left out.

    The service's own tags are known without their quotes too. Raises ``Rejected``
    (malformed) for anything else.
    """
    found: list[str] = []
    position = 0
    while header[position:].strip():
        if match := _TAG.match(header, position):
            found += [] if match[1] else [f'"{match[2]}"']
        elif match := _OWN.match(header, position):
            found.append(f'"{match[1]}"')
        else:
            match = _NOTHING.match(header, position)
        if match is None:
            raise _illegible(header[position:])
        position = match.end()
    if not header.strip(" \t,"):
        raise _illegible(header)
    return tuple(found)


def _illegible(rest: str) -> Rejected:
    such_as = (
        'send the ETag as you read it, such as If-Match: "v3-9f2c4be1f0c85d2a", or *'
        " for any version"
    )
    return Rejected(
        "malformed",
        f"The header If-Match has {shown(rest.strip())}, which is no ETag: {such_as}.",
    )


def has_current(header: str | None, etag: str) -> bool:
    """Tell whether If-None-Match names ``etag``, by the weak comparison that reads ask
    for.
    """
    if header is None:
        return False
    if header.strip() == "*":
        return True
    return any(f'"{tag}"' == etag for tag in _tags(header))


def _tags(header: str) -> list[str]:
    found, position = [], 0
    while match := _TAG.match(header, position):
        found.append(match[2])
        position = match.end()
    return found


def etag_of(body: bytes) -> str:
    """Return the strong entity tag of an answer that is no record: a hash of its
    bytes.
    """
    return f'"{hashlib.sha256(body).hexdigest()[:32]}"'


READ_CACHING = ("cache-control", "private, no-cache")


@dataclass(frozen=True, kw_only=True, slots=True)
class Sent:
    """One answer as it leaves."""

    status: int
    headers: tuple[tuple[str, str], ...]
    body: bytes
    spooled: Spooled | None = None
    """The body where it is long; ``body`` is empty then."""


def reported(
    report: Callable[[Any], Reply], gathered: Any, told: tuple[Assumed, ...] = ()
) -> Sent:
    """Return, as it leaves, what ``report`` says of what was gathered, with what was
    understood in reading it.
    """
    reply = report(gathered)
    if told and hasattr(reply.content, "assumed"):
        content = msgspec.structs.replace(
            reply.content, assumed=(*told, *reply.content.assumed)
        )
        return encoded(replace(reply, content=content))
    return encoded(reply)


def reported_apart(
    report: Callable[[Any], Reply], gathered: Any, told: tuple[Assumed, ...] = ()
) -> tuple[Sent, list[Learned]]:
    """Return what ``reported`` does, in another process, with what was learned on the
    way that the asking one may keep.
    """
    with DERIVED.handing_on() as learned:
        sent = reported(report, gathered, told)
    return sent, learned


def encoded(reply: Reply) -> Sent:
    """Return a reply as it leaves."""
    content = reply.content
    if isinstance(content, Spooled):
        headers = tuple(_headers(reply, content.etag, has_body=True))
        return Sent(
            status=reply.status,
            headers=headers,
            body=b"",
            spooled=content,
        )
    body = _bytes(content)
    headers = tuple(_headers(reply, reply.etag, has_body=bool(body)))
    return Sent(
        status=reply.status,
        headers=headers,
        body=body,
    )


def _headers(
    reply: Reply, etag: str | None, *, has_body: bool
) -> Iterator[tuple[str, str]]:
    if has_body:
        yield "content-type", _with_characters(reply.media_type)
    if etag:
        yield "etag", etag
    if reply.secret:
        yield "cache-control", "no-store"
    yield from reply.headers


def _with_characters(media_type: str) -> str:
    if media_type == CSV:
        return f"{CSV}; charset=utf-8"
    return media_type


def _bytes(content: object) -> bytes:
    if content is None:
        return b""
    if isinstance(content, bytes):
        return content
    return msgspec.json.encode(content)


def readable(sent: Sent, method: str, headers: Mapping[str, str]) -> Sent:
    """Add what a read carries: an entity tag and the rule for caches; answer 304 where
    the caller has it already.
    """
    own = dict(sent.headers)
    if method != "GET":
        return Sent(
            status=sent.status,
            headers=(*sent.headers, ("cache-control", "no-store")),
            body=sent.body,
        )
    etag = own.get("etag") or etag_of(sent.body)
    own = dict([READ_CACHING]) | own | {"etag": etag}
    if has_current(headers.get("if-none-match"), etag):
        own.pop("content-type", None)
        if sent.spooled:
            sent.spooled.drop()
        return Sent(
            status=304,
            headers=tuple(own.items()),
            body=b"",
        )
    return replace(sent, headers=tuple(own.items()))
