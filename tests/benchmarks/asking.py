"""Asking as fast as may be: requests ready as bytes, sent down connections that stay
open.

The same measures for every benchmark: how many answers a second, how long each took,
and how much of the processor the service spent on each, which other work on the machine
hardly changes.
"""

import asyncio
import os
import statistics
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from time import perf_counter
from typing import Any
from urllib.parse import urlsplit

import msgspec

from benchmarks import yardstick
from contract.serving import FROM_THE_TREE, ROOT, Service, environment, serving
from standage.registry.database.engine import Database, open_database
from support.databases import migrated
from support.postgres import make_database, private_server

_TICKS = os.sysconf("SC_CLK_TCK")


@dataclass(kw_only=True)
class Heard:
    """What came back: statuses, and the milliseconds each answer took; in ``seconds``
    altogether.
    """

    statuses: Counter[int] = field(default_factory=Counter)
    took_ms: dict[int, list[float]] = field(default_factory=dict)
    seconds: float = 0.0

    def add(self, status: int, took_ms: float) -> None:
        self.statuses[status] += 1
        self.took_ms.setdefault(status, []).append(took_ms)

    def per_second(self, status: int = 200) -> float:
        return self.statuses[status] / self.seconds

    def percentile_ms(self, percent: int, status: int = 200) -> float:
        took = self.took_ms.get(status, [])
        return (
            statistics.quantiles(took, n=100)[percent - 1]
            if len(took) > 1
            else float("nan")
        )


def request_bytes(service: Service, method: str, path: str, body: Any = None) -> bytes:
    """Return one request as it goes down the line."""
    content = b"" if body is None else msgspec.json.encode(body)
    typed = "" if body is None else "content-type: application/json\r\n"
    head = (
        f"{method} {path} HTTP/1.1\r\nhost:"
        f" {urlsplit(service.url).netloc}\r\n{typed}authorization: Bearer"
        f" {service.token}\r\ncontent-length: {len(content)}\r\n\r\n"
    )
    return head.encode() + content


async def _one_answer(reader: asyncio.StreamReader) -> tuple[int, bytes]:
    head = await reader.readuntil(b"\r\n\r\n")
    length = next(
        line
        for line in head.lower().split(b"\r\n")
        if line.startswith(b"content-length:")
    )
    return int(head[9:12]), await reader.readexactly(int(length[15:]))


async def _ask(
    service: Service,
    requests: Sequence[bytes],
    heard: Heard,
    *,
    until: float,
    think_s: float,
) -> None:
    """Send the requests over and over, each when the one before was answered; a lost
    connection is opened anew.
    """
    address = urlsplit(service.url)
    asked, writer = 0, None
    try:
        while perf_counter() < until:
            before = perf_counter()
            try:
                if writer is None:
                    reader, writer = await asyncio.open_connection(
                        address.hostname, address.port
                    )
                writer.write(requests[asked % len(requests)])
                status, _ = await asyncio.wait_for(_one_answer(reader), 60)
            except (OSError, asyncio.IncompleteReadError, TimeoutError):
                status, writer = 0, None
            heard.add(status, (perf_counter() - before) * 1000)
            asked += 1
            if think_s:
                await asyncio.sleep(think_s)
    finally:
        if writer is not None:
            writer.close()


def ask_for(
    service: Service,
    requests: Sequence[bytes],
    *,
    seconds: float,
    connections: int,
    think_s: float = 0.0,
) -> Heard:
    """Keep ``connections`` callers asking, each one thing at a time, for some seconds;
    each begins elsewhere.
    """
    heard = Heard()

    async def all_of_them() -> None:
        until = perf_counter() + seconds
        starts = (
            number * len(requests) // connections for number in range(connections)
        )
        each = ([*requests[start:], *requests[:start]] for start in starts)
        await asyncio.gather(
            *(
                _ask(service, turned, heard, until=until, think_s=think_s)
                for turned in each
            )
        )

    before = perf_counter()
    asyncio.run(all_of_them())
    heard.seconds = perf_counter() - before
    return heard


def processes(folder: Path) -> list[int]:
    """Return the ids of the service's processes, by the folder that they run in."""
    found = []
    for entry in Path("/proc").iterdir():
        try:
            if entry.name.isdigit() and (entry / "cwd").resolve() == folder.resolve():
                found.append(int(entry.name))
        except OSError:
            continue
    return [one for one in found if one != os.getpid()]


def processor_s(folder: Path) -> float:
    """Return the seconds of processor that the service has spent so far, its own and
    its system's.
    """
    total = 0
    for one in processes(folder):
        fields = Path(f"/proc/{one}/stat").read_text().rpartition(")")[2].split()
        total += int(fields[11]) + int(fields[12])
    return total / _TICKS


def resident_mb(folder: Path) -> dict[int, float]:
    """Return the memory that each of the service's processes holds."""
    found = {}
    for one in processes(folder):
        for line in Path(f"/proc/{one}/status").read_text().splitlines():
            if line.startswith("VmRSS"):
                found[one] = int(line.split()[1]) / 1024
    return found


@contextmanager
def addresses(folder: Path) -> Iterator[Mapping[str, str]]:
    """Give the address of a migrated database of each sort."""
    with private_server() as server:
        yield {
            "sqlite": migrated(f"sqlite:///{folder / 'standage.sqlite3'}"),
            "postgresql": migrated(make_database(server.address, "standage")),
        }


@contextmanager
def with_yardstick(
    folder: Path, url: str, *, plain: bool = False
) -> Iterator[tuple[Service, Database]]:
    """Give the running service with the yardstick, or as it is, and its database opened
    once more.
    """
    import_path = f"{ROOT / 'service'}:{ROOT / 'tests'}"
    command = FROM_THE_TREE if plain else (FROM_THE_TREE[0], "-m", yardstick.__name__)
    database = open_database(url)
    try:
        with serving(
            folder=folder,
            env=environment(url) | {"PYTHONPATH": import_path},
            command=command,
        ) as service:
            yield service, database
    finally:
        database.dispose()
