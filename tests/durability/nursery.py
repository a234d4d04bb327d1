"""A program that has the service imported and forks one at each line it reads, so that
a start costs little.

A line is a JSON object: the environment, the port, how many processes, where to write
what is logged, what to serve instead of the service itself, if anything, and at which
function its processes are to be held, if at any. What it forks is ``standage serve``,
in a session of its own; its process id is the answer.
"""

import gc
import json
import os
import signal
import sys
import time
from importlib import import_module
from pathlib import Path
from typing import Any

from granian.constants import Interfaces
from granian.server import Server

from standage import cli


def hold(function: str, folder: Path) -> None:
    """Let every process that this one forks note, when it comes to a function, that it
    has, and stay there for ever.
    """
    module, _, name = function.partition(":")
    first, plainly = os.getpid(), getattr(import_module(module), name)

    def held(*arguments: Any, **named: Any) -> Any:
        if os.getpid() == first:
            return plainly(*arguments, **named)
        (folder / str(os.getpid())).touch()
        while True:
            time.sleep(0.01)

    setattr(import_module(module), name, held)


def bear(order: dict[str, Any]) -> None:
    """Be the service."""
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    os.setsid()
    log = os.open(order["log"], os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    nothing = os.open(os.devnull, os.O_RDONLY)
    for target, descriptor in ((0, nothing), (1, log), (2, log)):
        os.dup2(descriptor, target)
    os.environ.update(order["environment"])
    words = ["serve", "--port", str(order["port"]), "--workers", str(order["workers"])]
    if order["held"] is not None:
        hold(order["held"][0], Path(order["held"][1]))
    if order["instead"] is None:
        cli.main(words)
    else:
        Server(
            order["instead"],
            address="127.0.0.1",
            port=order["port"],
            interface=Interfaces.ASGI,
            factory=True,
        ).serve()


def main() -> None:
    """Fork at each line until the input ends."""
    __import__("standage.app")  # which the service would import at its start
    gc.freeze()
    signal.signal(
        signal.SIGCHLD, signal.SIG_IGN
    )  # nobody waits for those that are killed
    for line in sys.stdin:
        process_id = os.fork()
        if process_id == 0:
            bear(json.loads(line))
            os._exit(0)
        print(process_id, flush=True)


if __name__ == "__main__":
    main()
