"""From operations to the addresses at which they answer."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from anyio import to_thread
from litestar.types import HTTPScope, Send

from standage.api.asking.ask import Asker
from standage.api.web.arrival import Arrival, headers_of, peer_of
from standage.api.web.call import Sent
from standage.api.web.operation import Operation
from standage.api.web.outermost_layer import Way
from standage.api.web.spooled_answers import Spooled

_WITHOUT_BODY = frozenset({204, 304})
"""The statuses of answers that have no body, and tell no length (RFC 9110, section
8.6).
"""


@dataclass(frozen=True, slots=True)
class Route:
    """Where one operation is asked."""

    operation: Operation
    asker: Asker

    async def admit(self, scope: HTTPScope) -> bool:
        """Return whether whoever asks is known; raises what speaks against taking a
        large body.
        """
        headers = headers_of(scope)
        authorization = headers.get("authorization", "")
        peer = self._peer(scope, headers)
        return await self.asker.admit(self.operation, authorization, peer)

    async def answer(
        self,
        scope: HTTPScope,
        parameters: Mapping[str, str],
        body: bytes,
        send: Send,
    ) -> None:
        """Answer a request of which the body has come in whole."""
        headers = headers_of(scope)
        arrival = Arrival(
            method=scope["method"],
            path=scope["path"],
            path_parameters=parameters,
            query=scope["query_string"].decode("latin-1"),
            headers=headers,
            body=body,
            peer=self._peer(scope, headers),
        )
        await send_out(await self.asker.answer(self.operation, arrival), send)

    def _peer(self, scope: HTTPScope, headers: Mapping[str, str]) -> str:
        host, _ = scope["client"] or ("unknown", 0)
        told = headers.get("x-forwarded-for", "")
        proxy = self.asker.trusted_proxy
        return peer_of(host, told, trusted_proxy=proxy)


def ways(operations: Iterable[Operation], asker: Asker) -> dict[str, dict[str, Way]]:
    """Return every path with its methods, and what answers each."""
    known: dict[str, dict[str, Way]] = {}
    for one in operations:
        way = Way(one.id, one.takes.most_bytes, Route(one, asker))
        methods = known.setdefault(one.path, {})
        methods[one.method] = way
    return known


async def send_out(sent: Sent, send: Send) -> None:
    """Send an answer: whole where it is short, else lot by lot."""
    size = sent.spooled.size if sent.spooled else len(sent.body)
    headers = [(name.encode(), value.encode("latin-1")) for name, value in sent.headers]
    if sent.status not in _WITHOUT_BODY:
        headers.append((b"content-length", str(size).encode()))
    await send(
        {
            "type": "http.response.start",
            "status": sent.status,
            "headers": headers,
        }
    )
    if sent.spooled:
        await _in_lots(sent.spooled, send)
        return
    await send(
        {
            "type": "http.response.body",
            "body": sent.body,
            "more_body": False,
        }
    )


async def _in_lots(spooled: Spooled, send: Send) -> None:
    """Send a long answer lot by lot, and let go of it, however that ends."""
    try:
        lots = spooled.lots()
        while lot := await to_thread.run_sync(next, lots, b""):
            await send({"type": "http.response.body", "body": lot, "more_body": True})
        await send({"type": "http.response.body", "body": b"", "more_body": False})
    finally:
        spooled.drop()
