"""How long a list of 10,000 rows takes to be looked at, imported, sent again and
undone, and how long others wait.

Run with ``PYTHONPATH=service:tests python -m benchmarks.import_load``; ``sqlite`` or
``postgresql`` after it keeps to that one.
"""

import os
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from threading import Event, Thread
from time import perf_counter, sleep
from typing import Any, Self

import httpx

from contract.serving import Service, environment, serving
from standage.registry.database.engine import open_database
from standage.registry.database.migrate import migrate
from support.postgres import make_database, private_server
from support.workbooks import workbook

ROWS = 10_000
HEADS = [
    "Name",
    "Number",
    "Kind",
    "Scale",
    "Length (mm)",
    "Width (mm)",
    "Mass (g)",
    "Wheelbase (mm)",
    "Coupling",
]
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


class Watch:
    """Asks for the service's health over and over, and keeps how long each answer
    took.
    """

    def __init__(self, url: str) -> None:
        self._url = url
        self._over = Event()
        self.took_ms: list[float] = []
        self._thread = Thread(target=self._ask)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._over.set()
        self._thread.join()

    def _ask(self) -> None:
        with httpx.Client(base_url=self._url) as http:
            while not self._over.is_set():
                before = perf_counter()
                assert http.get("/health/live").is_success
                self.took_ms.append((perf_counter() - before) * 1000)
                sleep(0.005)


def measured(service: Service, raw: bytes, media_type: str) -> None:
    with httpx.Client(
        base_url=service.url, headers=service.authorization, timeout=60
    ) as http:

        def sent() -> httpx.Response:
            return http.post(
                "/v1/stock-imports", content=raw, headers={"content-type": media_type}
            )

        preview = timed(service, "looked at", sent)
        path = f"/v1/stock-imports/{preview['id']}"
        timed(
            service,
            "imported",
            lambda: http.post(f"{path}/commit", json={"rows": "all"}),
        )
        print(timed(service, "looked at again", sent)["counts"])
        timed(service, "undone", lambda: http.post(f"{path}/undo"))


def timed(
    service: Service, what: str, ask: Callable[[], httpx.Response]
) -> dict[str, object]:
    with Watch(service.url) as watch:
        before = perf_counter()
        response = ask()
        took_s = perf_counter() - before
    assert response.is_success, response.text
    waited = sorted(watch.took_ms)
    print(
        f"{what}: {took_s:.1f} s; health meanwhile: p95"
        f" {waited[len(waited) * 95 // 100]:.0f} ms, most {waited[-1]:.0f}"
    )
    answer: dict[str, object] = response.json()
    return answer


def main() -> None:
    print(f"load of the machine before: {os.getloadavg()[0]:.1f}")
    rows: list[list[Any]] = [
        [f"Wagon {n}", str(n), "wagon", "00", 82.5, 30, 42.5, 40, "three-link"]
        for n in range(ROWS)
    ]
    text = "\n".join(
        ",".join(str(cell) for cell in row) for row in [HEADS, *rows]
    ).encode()
    for name in sys.argv[1:] or ("sqlite", "postgresql"):
        with (
            tempfile.TemporaryDirectory() as folder,
            database(name, Path(folder)) as url,
            serving(folder=Path(folder), env=environment(url)) as service,
        ):
            for raw, media_type in (
                (text, "text/csv"),
                (workbook([HEADS, *rows]), XLSX),
            ):
                print(name, media_type)
                measured(service, raw, media_type)
            print(name, "every row at fault")
            with httpx.Client(
                base_url=service.url, headers=service.authorization, timeout=60
            ) as http:
                faulty = "\n".join(
                    [
                        *text.decode().splitlines()[:1],
                        *([",1,wagon,00,82.5,30,42.5,40,"] * ROWS),
                    ]
                )
                headers = {"content-type": "text/csv"}
                timed(
                    service,
                    "looked at",
                    partial(
                        http.post, "/v1/stock-imports", content=faulty, headers=headers
                    ),
                )


@contextmanager
def database(name: str, folder: Path) -> Iterator[str]:
    """Give the address of an empty database."""
    if name == "sqlite":
        yield f"sqlite:///{folder}/standage.sqlite3"
        return
    with private_server() as server:
        url = make_database(server.address, "standage")
        opened = open_database(url)
        migrate(opened)
        opened.dispose()
        yield url


if __name__ == "__main__":
    main()
