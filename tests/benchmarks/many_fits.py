"""Every train against every place of a layout: 200 against 100, and half as many, and a
quarter, on both databases.

The reckoning alone, and the whole page over HTTP. Run with ``PYTHONPATH=service:tests
python -m benchmarks.many_fits``.
"""

import os
import statistics
import tempfile
from collections.abc import Iterator
from pathlib import Path
from time import perf_counter
from typing import Any

import httpx

from benchmarks.answers import WAGON
from benchmarks.asking import addresses, with_yardstick
from benchmarks.yardstick import PATH
from contract.serving import Service

TRAINS, PLACES, VEHICLES = 200, 100, 12
TIMES = 9


def recorded(service: Service) -> str:
    """Put 200 trains of twelve vehicles and a layout of 100 places on record; return
    the layout's id.
    """
    with httpx.Client(
        base_url=f"{service.url}/v1", headers=service.authorization, timeout=60
    ) as http:

        def made(path: str, body: dict[str, Any]) -> str:
            answer = http.post(path, json=body)
            assert answer.status_code == httpx.codes.CREATED, answer.text
            return str(answer.json()["id"])

        about = {"kind": "wagon", "count": TRAINS, "scale": "00"}
        wagons = [
            made("/vehicles", WAGON | about | {"name": f"Van {number}"})
            for number in range(VEHICLES)
        ]
        for number in range(TRAINS):
            used = [{"vehicle_id": wagon} for wagon in wagons[: 1 + number % VEHICLES]]
            made("/trains", {"name": f"Train {number}", "vehicles": used})
        layout = made("/layouts", {"name": "Great Junction", "scale": "00"})
        for number in range(PLACES):
            road = {
                "name": f"Road {number}",
                "kind": "loop",
                "usable_length_mm": 400.0 + 10 * number,
            }
            made(f"/layouts/{layout}/places", road)
        return layout


def pages(http: httpx.Client, path: str) -> Iterator[dict[str, Any]]:
    """Yield every page of a list."""
    while path:
        answer = http.get(path).raise_for_status().json()
        yield answer
        path = answer.get("next", "")


def timed_ms(http: httpx.Client, path: str) -> float:
    taken = []
    for _ in range(TIMES):
        before = perf_counter()
        http.get(path).raise_for_status()
        taken.append((perf_counter() - before) * 1000)
    return statistics.median(taken)


def measured(dialect: str, service: Service) -> None:
    layout = recorded(service)
    with httpx.Client(
        base_url=service.url, headers=service.authorization, timeout=60
    ) as http:
        print(f"{dialect:10} the yardstick: {timed_ms(http, PATH):.1f} ms")
        for verdict in ("fits", "does_not_fit", "cannot_tell"):
            path = f"/v1/layouts/{layout}/fits?limit=200&verdict={verdict}"
            answer = http.get(path).raise_for_status().json()
            print(
                f"{dialect:10} {verdict}: {timed_ms(http, path):.1f} ms,"
                f" {len(answer['items'])} on the page"
            )
        for limit in (50, 100, 200):
            taken = timed_ms(http, f"/v1/layouts/{layout}/fits?limit={limit}")
            print(f"{dialect:10} a page of {limit}: {taken:.1f} ms")
        before = perf_counter()
        every = sum(
            len(page["items"])
            for page in pages(http, f"/v1/layouts/{layout}/fits?limit=200")
        )
        print(
            f"{dialect:10} all {every} pairs, page after page:"
            f" {(perf_counter() - before) * 1000:.0f} ms"
        )


def main() -> None:
    print(
        f"load of the machine before: {os.getloadavg()[0]:.1f}; {TRAINS} trains,"
        f" {PLACES} places"
    )
    with tempfile.TemporaryDirectory() as name, addresses(Path(name)) as urls:
        for dialect, url in urls.items():
            folder = Path(name) / dialect
            folder.mkdir()
            with with_yardstick(folder, url) as (service, _):
                measured(dialect, service)


if __name__ == "__main__":
    main()
