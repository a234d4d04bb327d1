"""From operations to the framework's routes."""

from collections.abc import Iterable
from typing import Any

from litestar import Request, Response
from litestar.handlers import HTTPRouteHandler, route
from litestar.response import Stream

from standage.api.arrival import Arrival
from standage.api.ask import Asker
from standage.api.operations import Operation
from standage.api.peers import peer_of


def routes(operations: Iterable[Operation], asker: Asker) -> list[HTTPRouteHandler]:
    """Return one route handler for each operation."""
    return [_handler(operation, asker) for operation in operations]


def _handler(operation: Operation, asker: Asker) -> HTTPRouteHandler:
    async def handle(request: Request[Any, Any, Any]) -> Response[Any]:
        sent = await asker.answer(operation, await _arrival(request, asker.trusted_proxy))
        if sent.spooled:
            headers = dict(sent.headers) | {"content-length": str(sent.spooled.size)}
            return Stream(sent.spooled.lots(), status_code=sent.status, headers=headers)
        return Response(content=sent.body, status_code=sent.status, headers=dict(sent.headers))

    return route(
        operation.path.replace("}", ":str}"),
        http_method=operation.method,
        name=operation.id,
        status_code=200,  # the answer itself says which; the framework only wants to be told of one with a body
        include_in_schema=False,
    )(handle)


async def _arrival(request: Request[Any, Any, Any], trusted_proxy: str | None) -> Arrival:
    return Arrival(
        method=request.method,
        path=request.url.path,
        path_parameters=request.path_params,
        query=request.scope["query_string"].decode("latin-1"),
        headers=request.headers,
        body=await request.body(),
        peer=peer_of(
            request.client.host if request.client else "unknown",
            request.headers.getall("x-forwarded-for", []),
            trusted_proxy=trusted_proxy,
        ),
    )
