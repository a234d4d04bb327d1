"""The service, but for one thing: it dies between the commit of a creation and its
answer, if a header says so.
"""

import os
import signal
from typing import Any

from litestar.types import ASGIApp, Message, Receive, Scope, Send

from standage.app import create_app
from standage.settings import settings_from

HEADER = b"x-die-before-answering"


def served() -> ASGIApp:
    """Return the service, wrapped: what it would send goes out unless it has to die."""
    app = create_app(settings_from())

    async def mortal(scope: Scope, receive: Receive, send: Send) -> None:
        names: Any = scope.get("headers", ())

        async def send_or_die(message: Message) -> None:
            if message["type"] == "http.response.start" and any(
                name == HEADER for name, _ in names
            ):
                os.kill(os.getpid(), signal.SIGKILL)
            await send(message)

        await app(scope, receive, send_or_die)

    return mortal
