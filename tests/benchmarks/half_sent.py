"""What strangers who send bodies in halves cost the others: memory, and how long the
others wait.

Run with ``PYTHONPATH=service:tests python -m benchmarks.half_sent``. Two callers go on
asking while ``STRANGERS`` have files, and then small bodies, half sent; they are
measured beside the same two callers with nobody else there.
"""

import os
import socket
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from urllib.parse import urlsplit

from benchmarks.answers import asked
from benchmarks.asking import Heard, addresses, ask_for, resident_mb, with_yardstick
from contract.serving import Service

STRANGERS = 250
SECONDS = 8.0
BODIES = {
    "files of 5 MB": (
        "/v1/stock-imports",
        "text/csv",
        5 * 1024 * 1024 - 1,
        4 * 1024 * 1024,
    ),
    "bodies of 256 kB": (
        "/v1/checks/train-fit",
        "application/json",
        256 * 1024 - 1,
        255 * 1024,
    ),
}


@contextmanager
def half_sent(service: Service, what: str) -> Iterator[None]:
    """Keep as many connections as there are strangers, over each of which the greater
    part of a body has gone.
    """
    path, media_type, size, sent = BODIES[what]
    address = urlsplit(service.url)
    head = (
        f"POST {path} HTTP/1.1\r\nHost: {address.netloc}\r\nContent-Type:"
        f" {media_type}\r\nContent-Length: {size}\r\n\r\n"
    )
    with ExitStack() as stack:
        for _ in range(STRANGERS):
            connection = stack.enter_context(
                socket.create_connection((address.hostname, address.port), 10)
            )
            connection.settimeout(0.02)
            with suppress(OSError):  # refused, or taken no further
                connection.sendall(head.encode() + b"x" * sent)
        yield


def told(what: str, heard: Heard, folder: Path) -> None:
    held = ", ".join(
        f"{megabytes:.0f} MB"
        for megabytes in sorted(resident_mb(folder).values(), reverse=True)
    )
    print(
        f"  {what}: p50 {heard.percentile_ms(50):.1f} ms, p99"
        f" {heard.percentile_ms(99):.0f} ms; holds {held}"
    )


def main() -> None:
    print(f"load of the machine before: {os.getloadavg()[0]:.1f}")
    with tempfile.TemporaryDirectory() as name, addresses(Path(name)) as urls:
        for dialect, url in urls.items():
            folder = Path(name) / dialect
            folder.mkdir()
            with with_yardstick(folder, url, plain=True) as (service, _):
                requests = asked(service)["stored train-fit"]
                alone = ask_for(
                    service, requests, seconds=SECONDS, connections=2, think_s=0.02
                )
                print(f"{dialect}:")
                told("nobody else", alone, folder)
                for what in BODIES:
                    with half_sent(service, what):
                        beside = ask_for(
                            service,
                            requests,
                            seconds=SECONDS,
                            connections=2,
                            think_s=0.02,
                        )
                        told(f"{STRANGERS} half-sent {what}", beside, folder)
                    print(
                        "  p99"
                        f" {beside.percentile_ms(99) / alone.percentile_ms(99):.1f}"
                        " times that of nobody else"
                    )


if __name__ == "__main__":
    main()
