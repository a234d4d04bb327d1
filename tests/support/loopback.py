"""No test may reach another machine."""

import sys
from ipaddress import ip_address
from typing import Any


def allow_loopback_only() -> None:
    """Refuse, for the rest of this process, every connection of Python's to anything
    but this machine.
    """
    sys.addaudithook(_watch)


def _watch(happening: str, arguments: tuple[Any, ...]) -> None:
    if happening in {"socket.connect", "socket.sendto"} and not _is_here(arguments[1]):
        raise RuntimeError(
            f"a test tried to reach {arguments[1]!r}; only this machine is allowed"
        )


def _is_here(address: object) -> bool:
    if not isinstance(address, tuple):
        return True  # a path: a socket in this machine's file system
    host = str(address[0])
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"
