"""How long a list of one row takes to be looked at, beside 20,000 vehicles of its owner
on record.

Run with ``PYTHONPATH=service:tests python -m benchmarks.small_previews``; ``sqlite`` or
``postgresql`` after it keeps to that one.
"""

import os
import sys
import tempfile
from pathlib import Path
from statistics import median
from time import perf_counter

import httpx

from benchmarks.import_load import database
from contract.serving import environment, serving

ON_RECORD = 20_000
IN_A_LIST = 5_000
TIMES = 15
HEADERS = {"content-type": "text/csv"}


def main() -> None:
    print(f"load of the machine before: {os.getloadavg()[0]:.1f}")
    for name in sys.argv[1:] or ("sqlite", "postgresql"):
        with (
            tempfile.TemporaryDirectory() as folder,
            database(name, Path(folder)) as url,
            serving(folder=Path(folder), env=environment(url)) as service,
            httpx.Client(
                base_url=service.url, headers=service.authorization, timeout=120
            ) as http,
        ):
            print(
                f"{name}: {took_ms(http, 'nothing on record'):.0f} ms with nothing on"
                " record"
            )
            for first in range(0, ON_RECORD, IN_A_LIST):
                put_on_record(http, first)
            print(
                f"{name}: {took_ms(http, 'by number'):.0f} ms beside {ON_RECORD}, found"
                " by its number"
            )
            print(
                f"{name}: {took_ms(http, 'by name', number=''):.0f} ms beside"
                f" {ON_RECORD}, by its name"
            )


def put_on_record(http: httpx.Client, first: int) -> None:
    lines = [
        f"Wagon {n},{n},wagon,00,82.5,three-link"
        for n in range(first, first + IN_A_LIST)
    ]
    preview = looked_at(http, lines)
    done = http.post(f"/v1/stock-imports/{preview['id']}/commit", json={"rows": "all"})
    assert done.is_success, done.text


def took_ms(http: httpx.Client, name: str, *, number: str = "19999") -> float:
    """Return the median of several, after one that starts the worker."""
    took = []
    for attempt in range(TIMES + 1):
        before = perf_counter()
        looked_at(http, [f"{name} {attempt},{number},wagon,00,82.5,three-link"])
        took.append((perf_counter() - before) * 1000)
    return median(took[1:])


def looked_at(http: httpx.Client, lines: list[str]) -> dict[str, object]:
    text = "\n".join(["Name,Number,Kind,Scale,Length (mm),Coupling", *lines])
    response = http.post("/v1/stock-imports", content=text.encode(), headers=HEADERS)
    assert response.is_success, response.text
    answer: dict[str, object] = response.json()
    return answer


if __name__ == "__main__":
    main()
