"""The outermost layer of the service: what must hold for every request, whatever
becomes of it.

It gives each request an id, finds its address, answers what no operation knows (404,
405, OPTIONS), turns HEAD into GET, bounds the body, lets pages of other sites ask where
they are named, adds the security headers, makes a problem of every error that reaches
it, and logs and counts every answer.
"""

import logging
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple, Protocol, cast

from anyio import to_thread
from litestar.enums import ScopeType
from litestar.types import ASGIApp, HTTPScope, Message, Receive, Scope, Send

from standage.api.web import journal, metrics
from standage.api.web.journal import Asked
from standage.api.web.metrics import Metrics
from standage.api.web.operation import PATCHES
from standage.api.web.problems import Rejected, Rendered, render
from standage.api.web.receiving import (
    LARGE_BYTES,
    Intake,
    drain,
    may_be_large,
)
from standage.shapes.refusals import Refusal

log = logging.getLogger(__name__)

_PARAMETER = re.compile(r"\{(\w+)\}")


class Endpoint(Protocol):
    """What answers a method at an address."""

    async def admit(self, scope: HTTPScope) -> bool:
        """Return whether whoever asks is known; raises what speaks against taking a
        large body.
        """

    async def answer(
        self,
        scope: HTTPScope,
        parameters: Mapping[str, str],
        body: bytes,
        send: Send,
    ) -> None:
        """Answer a request of which the body has come in whole."""


@dataclass(frozen=True, slots=True)
class Way:
    """What a method does at an address: its name, and the largest body in bytes that it
    takes.
    """

    name: str | None
    most_bytes: int
    endpoint: Endpoint | None = None
    """None for what the framework serves."""


@dataclass(frozen=True, slots=True)
class Address:
    """One address: its template, such as ``/v1/vehicles/{vehicle_id}``, and what each
    of its methods does.
    """

    route: str
    methods: Mapping[str, Way]


class Found(NamedTuple):
    """An address, and what stands in the place of its parameters."""

    address: Address
    parameters: Mapping[str, str]


@dataclass(slots=True)
class _Place:
    """What has been read of a path so far: what may follow, and the address that it is
    if nothing does.
    """

    named: "dict[str, _Place]" = field(default_factory=dict)
    anything: "_Place | None" = None
    address: Address | None = None

    def then(self, part: str) -> "_Place":
        """Return the place after a part of a template, made where there is none."""
        if not _PARAMETER.fullmatch(part):
            return self.named.setdefault(part, _Place())
        self.anything = self.anything or _Place()
        return self.anything


class Addresses:
    """Every address that the service knows."""

    def __init__(self, known: Mapping[str, Mapping[str, Way]]) -> None:
        """Take path templates, each with its methods."""
        self._start = _Place()
        for route, methods in known.items():
            place = self._start
            for part in route.split("/"):
                place = place.then(part)
            place.address = Address(route, methods)

    def find(self, path: str) -> Found | None:
        """Return the address that a path is, or None where there is nothing. A part
        that is named goes before one that may be anything.
        """
        values: list[str] = []
        place: _Place | None = self._start
        for part in path.split("/"):
            if place is None:
                return None
            after = place.named.get(part)
            if after is None and part:
                values.append(part)
                after = place.anything
            place = after
        if place is None or place.address is None:
            return None
        names = _PARAMETER.findall(place.address.route)
        return Found(place.address, dict(zip(names, values, strict=True)))


Header = tuple[bytes, bytes]

_ALLOWED_HEADERS = (
    "Accept, Authorization, Content-Type, Idempotency-Key, If-Match, If-None-Match,"
    " X-Request-Id, traceparent"
)
_SHOWN_HEADERS = (
    "ETag, Link, Location, RateLimit, RateLimit-Policy, Retry-After, X-Request-Id"
)
_KEPT_S = 600


class CrossOrigin:
    """The sites whose pages may ask, each as a browser writes its origin."""

    def __init__(self, origins: Iterable[str] = ()) -> None:
        self._origins = frozenset(origin.encode() for origin in origins)

    def headers(self, asked: Iterable[Header]) -> list[Header]:
        """Return what every answer to such a request carries."""
        if not self._origins:
            return []
        found = [(b"vary", b"Origin")]  # of an answer that is for one site alone
        origin = dict(asked).get(b"origin")
        if origin in self._origins and origin is not None:
            found.append((b"access-control-allow-origin", origin))
            found.append((b"access-control-expose-headers", _SHOWN_HEADERS.encode()))
        return found

    def preflight(self, asked: Iterable[Header], methods: str) -> list[Header]:
        """Return what OPTIONS says besides to a browser that asks for a page's sake."""
        headers = dict(asked)
        if b"access-control-request-method" not in headers:
            return []
        if headers.get(b"origin") not in self._origins:
            return []
        return [
            (b"access-control-allow-methods", methods.encode()),
            (b"access-control-allow-headers", _ALLOWED_HEADERS.encode()),
            (b"access-control-max-age", str(_KEPT_S).encode()),
        ]


_ID = re.compile(
    r"[0-9a-f]{32}|[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}"
)
_TRACE = re.compile(
    r"(?!ff)[0-9a-f]{2}-([0-9a-f]{32})-[0-9a-f]{16}-[0-9a-f]{2}(?:-.*)?"
)
_LONGEST = 100
_NO_TRACE = "0" * 32


def id_for(headers: Iterable[tuple[bytes, bytes]]) -> str | None:
    """Return the id that a request brings, or None.

    It is that of X-Request-Id, or else the trace of traceparent (W3C Trace Context).
    """
    brought = {name.lower(): value[:_LONGEST] for name, value in headers}
    own = _text(brought, b"x-request-id").lower()
    if _ID.fullmatch(own):
        return own
    trace = _TRACE.fullmatch(_text(brought, b"traceparent"))
    if trace is None or trace[1] == _NO_TRACE:
        return None
    return trace[1]


def _text(brought: Mapping[bytes, bytes], name: bytes) -> str:
    return brought.get(name, b"").decode("latin-1").strip()


SECURITY_HEADERS: tuple[Header, ...] = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"x-frame-options", b"DENY"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"x-robots-tag", b"noindex, nofollow"),
)
NOT_STORED: Header = (b"cache-control", b"no-store")
"""What holds for caches where an answer does not say otherwise itself."""
CLOSED_POLICY: Header = (
    b"content-security-policy",
    b"default-src 'none'; frame-ancestors 'none'",
)


def allow(methods: Iterable[str]) -> str:
    """Return the value of the header Allow: the methods, HEAD where there is GET, and
    OPTIONS.
    """
    known = {*methods, "OPTIONS"}
    if "GET" in known:
        known.add("HEAD")
    return ", ".join(sorted(known))


class Outer:
    """Wraps the framework's application."""

    def __init__(
        self,
        inner: ASGIApp,
        addresses: Addresses,
        counted: Metrics | None = None,
        *,
        metrics_token: str | None = None,
        intake: Intake | None = None,
    ) -> None:
        """Take the framework's application; whoever has ``metrics_token`` may read what
        is counted.
        """
        self._intake = intake or Intake()
        self.cross_origin = CrossOrigin()
        """The sites whose pages may ask; none, unless whoever sets it up says so."""
        self._inner = inner
        self._addresses = addresses
        self._counted = counted or Metrics()
        self._metrics_token = metrics_token

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one ASGI connection."""
        if scope["type"] != ScopeType.HTTP:
            await self._inner(scope, receive, send)
            return
        asked = journal.begin(scope["method"], request_id=id_for(scope["headers"]))
        asked.headers += self.cross_origin.headers(scope["headers"])
        sender = _Sender(send, asked, is_head=scope["method"] == "HEAD")
        self._counted.begun()
        try:
            await self._serve(scope, receive, sender, asked)
        except Exception as error:  # noqa: BLE001 - nothing may leave the service but a problem
            await sender.problem(error, path=scope["path"])
        finally:
            duration_s = asked.duration_s
            self._counted.ended(asked, status=sender.status, duration_s=duration_s)
            journal.tell(asked, status=sender.status, duration_s=duration_s)

    async def _serve(
        self, scope: HTTPScope, receive: Receive, sender: "_Sender", asked: Asked
    ) -> None:
        method = scope["method"]
        if (
            scope["path"] == metrics.PATH
            and method in {"GET", "HEAD"}
            and self._may_read_metrics(scope)
        ):
            asked.route, asked.operation = metrics.PATH, "metrics"
            text = await to_thread.run_sync(self._counted.text)
            kept = [
                (b"content-type", metrics.MEDIA_TYPE.encode()),
                (b"cache-control", b"no-store"),
            ]
            await sender.whole(200, kept, text)
            return
        require_one_reading(scope)
        found = self._addresses.find(scope["path"])
        if found is None:
            raise Rejected("not_found", "There is nothing at this address.")
        asked.route, methods = found.address.route, found.address.methods
        allowed = allow(methods)
        if method == "OPTIONS":
            told = [(b"allow", allowed.encode())]
            if "PATCH" in methods:
                told.append((b"accept-patch", ", ".join(PATCHES).encode()))
            told += self.cross_origin.preflight(scope["headers"], allowed)
            await sender.empty(204, told)
            return
        wanted = "GET" if method == "HEAD" else method
        if wanted not in methods:
            raise Rejected(
                "method_not_allowed",
                f"{method} is not possible here.",
                headers=[("allow", allowed)],
            )
        way = methods[wanted]
        asked.operation = way.name
        scope["method"] = cast("Any", wanted)
        is_known = False
        # To look for who asks twice costs more than to hold what is small.
        takes_large = way.most_bytes > LARGE_BYTES and may_be_large(
            dict(scope["headers"])
        )
        if takes_large and way.endpoint is not None:
            is_known = await _admit(way.endpoint, scope, receive)
        if not has_body(scope):
            await self._answer(found, scope, b"", sender)
            return
        with self._intake.held(is_known=is_known) as held:
            body = await self._intake.body(
                scope, receive, held, most_bytes=way.most_bytes
            )
            await self._answer(found, scope, body, sender)

    async def _answer(
        self, found: Found, scope: HTTPScope, body: bytes, sender: "_Sender"
    ) -> None:
        endpoint = found.address.methods[scope["method"]].endpoint
        if endpoint is None:
            await self._inner(scope, _replay(body), sender)
        else:
            await endpoint.answer(scope, found.parameters, body, sender)

    def _may_read_metrics(self, scope: HTTPScope) -> bool:
        return metrics.may_read(dict(scope["headers"]), self._metrics_token)


def require_one_reading(scope: HTTPScope) -> None:
    """Raise ``Rejected`` (malformed) where a request can be read in two ways by two
    programs on its way.

    The server in use drops a length that stands beside a transfer coding before it
    comes here; a proxy refuses it. **Source** RFC 9112: section 3.2 asks for one Host,
    section 6.3 forbids a length beside a transfer coding.
    """
    names = [name for name, _ in scope["headers"]]
    hosts = [value for name, value in scope["headers"] if name == b"host"]
    is_named = (
        len(hosts) == 1 and hosts[0] != b""
    )  # the server gives an empty one where there is none
    if not is_named and (hosts or scope["http_version"].startswith("1")):
        raise Rejected("malformed", "A request has exactly one Host header.")
    lengths = {value for name, value in scope["headers"] if name == b"content-length"}
    if len(lengths) > 1 or (lengths and b"transfer-encoding" in names):
        raise Rejected(
            "malformed", "A request says how long its body is in one way only."
        )


def has_body(scope: HTTPScope) -> bool:
    """Tell whether a body comes with a request."""
    headers = dict(scope["headers"])
    return (
        headers.get(b"content-length", b"0") != b"0" or b"transfer-encoding" in headers
    )


async def _admit(endpoint: Endpoint, scope: HTTPScope, receive: Receive) -> bool:
    """Return whether whoever sends a large body is known, before it is read; raises
    what speaks against taking it.
    """
    try:
        return await endpoint.admit(scope)
    except Refusal:
        await drain(receive)
        raise


def _replay(body: bytes) -> Receive:
    messages: list[Any] = [{"type": "http.request", "body": body, "more_body": False}]

    async def receive() -> Any:
        if messages:
            return messages.pop()
        return {"type": "http.disconnect"}

    return receive


class _Sender:
    """Sends what the service answers: with its own headers on top, and without the body
    where HEAD asked.
    """

    def __init__(self, send: Send, asked: Asked, *, is_head: bool) -> None:
        self._send = send
        self._asked = asked
        self._is_head = is_head
        self.status: int | None = None
        """The status that was sent; None until then."""

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.status = message["status"]
            message["headers"] = list(_with_own(message["headers"], self._asked))
        elif message["type"] == "http.response.body" and self._is_head:
            message["body"] = b""
        await self._send(message)

    async def problem(self, error: Exception, *, path: str) -> None:
        """Answer with the problem that ``error`` is; log what nobody foresaw."""
        rendered = render(error, path=path, request_id=self._asked.id)
        if rendered.status == 500:  # noqa: PLR2004 - the one status that is the service's own fault
            log.error("request %s failed", self._asked.id, exc_info=error)
        if self.status is None:
            await self.rendered(rendered)

    async def rendered(self, rendered: Rendered) -> None:
        """Send a problem as it stands."""
        headers = [
            (name.encode(), value.encode("latin-1", "replace"))
            for name, value in rendered.headers
        ]
        await self.whole(rendered.status, headers, rendered.body)

    async def empty(self, status: int, headers: list[Header]) -> None:
        """Send an answer without a body."""
        await self.whole(status, headers, b"")

    async def whole(self, status: int, headers: list[Header], body: bytes) -> None:
        """Send a whole answer."""
        sized = (
            [*headers, (b"content-length", str(len(body)).encode())]
            if body
            else headers
        )
        await self({"type": "http.response.start", "status": status, "headers": sized})
        await self({"type": "http.response.body", "body": body, "more_body": False})


def _with_own(headers: Iterable[Header], asked: Asked) -> Iterable[Header]:
    kept = list(headers)
    names = {name.lower() for name, _ in kept}
    yield from kept
    yield from asked.headers
    yield b"x-request-id", asked.id.encode()
    for header in (*SECURITY_HEADERS, CLOSED_POLICY, NOT_STORED):
        if header[0] not in names:
            yield header
