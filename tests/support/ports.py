"""Ports of this machine on which nobody listens."""

import random
import socket

_LEAST, _MOST = 10_000, 32_000
"""Below those that a machine gives to whoever connects: there a port could be taken
between its choice and its use.
"""


def free_port() -> int:
    """Return a port that is free at this moment, another one each time."""
    chance = random.SystemRandom()
    while True:
        port = chance.randrange(_LEAST, _MOST)
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind(("127.0.0.1", port))
            except OSError:
                continue
        return port
