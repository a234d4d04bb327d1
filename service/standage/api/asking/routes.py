"""From operations to the framework's routes."""

from collections.abc import Iterable
from typing import Any

from anyio import to_thread
from litestar import Request, Response
from litestar.handlers import HTTPRouteHandler, route
from litestar.response.base import ASGIResponse
from litestar.types import HTTPScope, Receive, Send

from standage.api.asking.ask import Asker
from standage.api.web.arrival import Arrival
from standage.api.web.operation import Operation
from standage.api.web.peers import peer_of
from standage.api.web.receiving import Admits
from standage.api.web.sending import Sent
from standage.api.web.spooled_answers import Spooled


def routes(operations: Iterable[Operation], asker: Asker) -> list[HTTPRouteHandler]:
    """Return one route handler for each operation."""
    return [_handler(operation, asker) for operation in operations]


def _handler(operation: Operation, asker: Asker) -> HTTPRouteHandler:
    async def handle(request: Request[Any, Any, Any]) -> Response[Any]:
        sent = await asker.answer(
            operation, await _arrival(request, asker.trusted_proxy)
        )
        if sent.spooled:
            return LongAnswer(sent, sent.spooled)
        return Response(
            content=sent.body, status_code=sent.status, headers=dict(sent.headers)
        )

    return route(
        operation.path.replace("}", ":str}"),
        http_method=operation.method,
        name=operation.id,
        # the answer itself says which; the framework only wants to be told of one with
        # a body
        status_code=200,
        include_in_schema=False,
    )(handle)


async def _arrival(
    request: Request[Any, Any, Any], trusted_proxy: str | None
) -> Arrival:
    return Arrival(
        method=request.method,
        path=request.url.path,
        path_parameters=request.path_params,
        query=request.scope["query_string"].decode("latin-1"),
        headers=_headers(request),
        body=await request.body(),
        peer=_peer(request, trusted_proxy),
    )


def _headers(request: Request[Any, Any, Any]) -> dict[str, str]:
    """Return the headers by their names in small letters; lines of one name are one
    list (RFC 9110, section 5.3).
    """
    found: dict[str, str] = {}
    for raw_name, raw_value in request.scope["headers"]:
        name, value = raw_name.decode("latin-1").lower(), raw_value.decode("latin-1")
        found[name] = f"{found[name]}, {value}" if name in found else value
    return found


def _peer(request: Request[Any, Any, Any], trusted_proxy: str | None) -> str:
    host = request.client.host if request.client else "unknown"
    return peer_of(
        host, request.headers.getall("x-forwarded-for", []), trusted_proxy=trusted_proxy
    )


def admission(operations: Iterable[Operation], asker: Asker) -> Admits:
    """Return what says who may send an operation a large body."""
    known = {operation.id: operation for operation in operations}

    async def admit(operation_id: str, scope: HTTPScope) -> None:
        request: Request[Any, Any, Any] = Request(scope)
        authorization = request.headers.get("authorization", "")
        await asker.admit(
            known[operation_id], authorization, _peer(request, asker.trusted_proxy)
        )

    return admit


class LongAnswer(Response[bytes]):
    """A long answer, as the framework is told of it."""

    def __init__(self, sent: Sent, spooled: Spooled) -> None:
        """Take what is sent, and its body."""
        super().__init__(b"")
        self._sender = _InLots(sent, spooled)

    def to_asgi_response(self, *_: object, **__: object) -> ASGIResponse:
        """Return what sends it."""
        return self._sender


class _InLots(ASGIResponse):
    """Sends a long answer lot by lot, and lets go of it, however that ends."""

    def __init__(self, sent: Sent, spooled: Spooled) -> None:
        headers = dict(sent.headers) | {"content-length": str(spooled.size)}
        super().__init__(status_code=sent.status, headers=headers)
        self._spooled = spooled

    async def send_body(self, send: Send, receive: Receive) -> None:  # noqa: ARG002 - the framework's signature
        try:
            lots = self._spooled.lots()
            while lot := await to_thread.run_sync(next, lots, b""):
                await send(
                    {"type": "http.response.body", "body": lot, "more_body": True}
                )
            await send({"type": "http.response.body", "body": b"", "more_body": False})
        finally:
            self._spooled.drop()
