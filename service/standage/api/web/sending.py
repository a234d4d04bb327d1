"""What leaves: a reply put into bytes, and what a read carries besides."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import msgspec

from standage.api.web.call import CSV, Reply
from standage.api.web.preconditions import etag_of, has_current
from standage.api.web.spooled_answers import Spooled
from standage.railway.terms.reasons import Assumed

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
    return f"{CSV}; charset=utf-8" if media_type == CSV else media_type


def _bytes(content: object) -> bytes:
    if content is None:
        return b""
    return content if isinstance(content, bytes) else msgspec.json.encode(content)


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
