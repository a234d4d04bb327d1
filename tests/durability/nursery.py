"""A program that has the service imported and forks one at each line it reads, so that a start costs little.

A line is a JSON object: the environment, the port, how many processes, where to write what is logged, and what to serve
instead of the service itself, if anything. What it forks is ``standage serve``, in a session of its own; its
process id is the answer.
"""

import gc
import json
import os
import signal
import sys
from typing import Any

from granian.constants import Interfaces
from granian.server import Server

from standage import cli


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
    if order["instead"] is None:
        cli.main(words)
    else:
        Server(
            order["instead"], address="127.0.0.1", port=order["port"], interface=Interfaces.ASGI, factory=True
        ).serve()


def main() -> None:
    """Fork at each line until the input ends."""
    __import__("standage.app")  # which the service would import at its start
    gc.freeze()
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody waits for those that are killed
    for line in sys.stdin:
        process_id = os.fork()
        if process_id == 0:
            bear(json.loads(line))
            os._exit(0)
        print(process_id, flush=True)


if __name__ == "__main__":
    main()
