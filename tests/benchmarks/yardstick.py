"""The service with the yardstick: an operation that reads its token's row as every
request does, and says a constant.

Its command line is the service's own, as far as a benchmark needs it: ``new-club`` and
``serve --host --port``.
"""

import sys
from dataclasses import replace

from granian.constants import Interfaces
from granian.server import Server
from litestar.types import ASGIApp

from standage import app
from standage.api import rights
from standage.api.web.call import Reply
from standage.api.web.operation import About, Answers, Operation, Reads, Takes
from standage.cli import main as command_line

PATH = "/v1/yardstick"
_CONSTANT = {
    "verdict": "fits",
    "train_length_mm": 887.0,
    "spare_mm": 12.0,
    "plus_minus_mm": 1.0,
    "because": [],
}
YARDSTICK = Operation(
    id="yardstick",
    method="GET",
    path=PATH,
    about=About(
        tag="Benchmarks", summary="Say a constant", description="Says a constant."
    ),
    act=Reads(lambda _reading, _call: None, lambda _gathered: Reply(content=_CONSTANT)),
    answers=Answers(shape=dict),
)
POSTED = replace(YARDSTICK, id="yardstickPosted", method="POST", takes=Takes(body=dict))
"""The same for a body: it is read and decoded, and that is all."""


def served() -> ASGIApp:
    """Return the service with the yardstick, as the environment sets it up."""
    known = app.operations()
    rights.RIGHTS.update(
        {one.id: rights.RIGHTS["getClub"] for one in (YARDSTICK, POSTED)}
    )
    app.operations = lambda: [*known, YARDSTICK, POSTED]
    return app.served()


def main() -> None:
    """Run the service's own command; only ``serve`` serves the yardstick besides."""
    command, *rest = sys.argv[1:]
    if command != "serve":
        command_line([command, *rest])
        return
    address = dict(zip(rest[::2], rest[1::2], strict=True))
    Server(
        "benchmarks.yardstick:served",
        address=address["--host"],
        port=int(address["--port"]),
        interface=Interfaces.ASGI,
        factory=True,
        websockets=False,
        log_access=False,
        backpressure=1024,
    ).serve()


if __name__ == "__main__":
    main()
