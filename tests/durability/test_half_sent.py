"""Bodies that are sent in halves, over the real port: they hold neither the memory nor
the stop of the service.
"""

import json
import socket
import time
from contextlib import ExitStack, suppress
from pathlib import Path

from durability.born import Born, Nursery
from durability.conftest import Place
from support.patience import PATIENCE_S
from support.processes import resident_bytes

IMPORT_BYTES = 5 * 1024 * 1024 - 1
STRANGERS = 60
LONGEST_STOP_S = 15
"""**Source** what an operator is promised: a stop takes 15 s at most."""


def begun(
    service: Born, path: str, *, size: int, sent: int, token: str | None = None
) -> socket.socket:
    """Return a connection over which the beginning of a body has gone, as far as the
    service takes it.
    """
    connection = socket.create_connection(("127.0.0.1", service.port), PATIENCE_S)
    lines = [
        f"POST {path} HTTP/1.1",
        "Host: hall",
        "Content-Type: text/csv",
        f"Content-Length: {size}",
    ]
    if token is not None:
        lines.append(f"Authorization: Bearer {token}")
    connection.sendall("\r\n".join([*lines, "", ""]).encode())
    with suppress(
        ConnectionError
    ):  # refused before all of it was sent: what came back is read all the same
        connection.sendall(b"x" * sent)
    return connection


def told(connection: socket.socket) -> tuple[int, str]:
    """Return the status that came, and the sort of problem."""
    answer = b""
    while b"\r\n\r\n" not in answer or not answer.endswith(b"}"):
        part = connection.recv(65_536)
        if not part:
            break
        answer += part
    head, _, body = answer.partition(b"\r\n\r\n")
    return int(head.split()[1]), json.loads(body)["type"]


def test_strangers_half_sent_files_are_refused_and_fill_no_memory(
    sqlite_place: Place, services: Nursery
) -> None:
    service = services.start(sqlite_place.url)
    before = sum(map(resident_bytes, service.processes))
    with ExitStack() as stack:
        connections = [
            stack.enter_context(
                begun(service, "/v1/stock-imports", size=IMPORT_BYTES, sent=900_000)
            )
            for _ in range(STRANGERS)
        ]
        for connection in connections:
            assert told(connection) == (401, "/problems/unauthenticated")
        grown = sum(map(resident_bytes, service.processes)) - before
    assert grown < 64 * 1024 * 1024, f"{STRANGERS} strangers took {grown // 1024} kB"
    assert service.status("/health/live") == 200


def test_a_half_sent_body_holds_up_no_stop(place: Place, services: Nursery) -> None:
    service = services.start(place.url)
    with begun(
        service, "/v1/stock-imports", size=1000, sent=10, token=place.token
    ) as connection:
        assert service.status("/health/live") == 200
        began_s = time.monotonic()
        service.stop()
        assert told(connection) == (503, "/problems/busy")
        service.wait_until_gone()
    assert time.monotonic() - began_s < LONGEST_STOP_S


def test_a_file_that_is_too_large_is_told_so_while_it_is_still_being_sent(
    place: Place, services: Nursery
) -> None:
    service = services.start(place.url)
    size = 6 * 1024 * 1024
    with begun(
        service, "/v1/stock-imports", size=size, sent=size, token=place.token
    ) as connection:
        assert told(connection) == (413, "/problems/too-large")


def raw(service: Born, text: str) -> int:
    with socket.create_connection(
        ("127.0.0.1", service.port), PATIENCE_S
    ) as connection:
        connection.sendall(text.encode())
        return int(connection.recv(65_536).split()[1])


def test_requests_that_can_be_read_in_two_ways_are_refused(
    sqlite_place: Place, services: Nursery
) -> None:
    service = services.start(sqlite_place.url)
    assert raw(service, "GET /health/live HTTP/1.1\r\nHost: a\r\n\r\n") == 200
    assert raw(service, "GET /health/live HTTP/1.1\r\n\r\n") == 400
    assert (
        raw(service, "GET /health/live HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n") == 400
    )


def test_http_2_is_not_spoken_unasked(
    sqlite_place: Place, services: Nursery, tmp_path: Path
) -> None:
    service = services.start(sqlite_place.url, log=tmp_path / "log")
    with socket.create_connection(
        ("127.0.0.1", service.port), PATIENCE_S
    ) as connection:
        connection.sendall(b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n" + bytes(9))
        answer = connection.recv(65_536)
    assert not answer or answer.startswith(b"HTTP/1.1 4"), answer
