"""A test's requests to a service in another thread, with one crossing to it each.

Every crossing wakes a thread and waits for it, which takes as long as a short answer;
the framework's own transport crosses twice, first to make what tells the end.
"""

from io import BytesIO
from typing import Any

import httpx
from anyio import Event
from litestar.testing.transport import SendReceiveContext, TestClientTransport


class OneCrossing(TestClientTransport[Any]):
    """Asks as the framework's transport does, and raises what the service raises."""

    def handle_request(self, request: httpx.Request) -> httpx.Response:
        scope = self.parse_request(request=request)
        scope |= {"method": request.method, "http_version": "1.1", "extensions": {}}
        answer: dict[str, Any] = {"stream": BytesIO()}

        async def ask() -> None:
            context: SendReceiveContext = {
                "request_complete": False,
                "response_complete": Event(),
                "raw_kwargs": answer,
                "response_started": False,
                "template": None,
                "context": None,
            }
            receive = self.create_receive(request=request, context=context)
            send = self.create_send(request=request, context=context)
            await self.client.app(scope, receive, send)

        with self.client.portal() as portal:
            portal.call(ask)
        content = httpx.ByteStream(answer.pop("stream").read())
        return httpx.Response(**answer, stream=content, request=request)
