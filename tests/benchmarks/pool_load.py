"""How long short questions take while long searches run, against a service of its own.
Prints; asserts nothing of time.

Run with ``PYTHONPATH=service:tests python -m benchmarks.pool_load``.
"""

import os
import statistics
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from time import perf_counter, sleep

import httpx

from api.ground import CHECKS
from contract.serving import Service, environment, serving
from support.long_search import LONG_BODY

TIMES = 300
WORKER = "standage.api.asking.worker"
SEARCHES = 2


def workers(folder: Path) -> list[int]:
    """Return the searching processes of the service in that folder."""
    listed = subprocess.run(
        ["ps", "-e", "-o", "pid=,args="], capture_output=True, text=True, check=True
    ).stdout
    ids = [int(line.split()[0]) for line in listed.splitlines() if WORKER in line]
    return [one for one in ids if _runs_in(one, folder)]


def _runs_in(process_id: int, folder: Path) -> bool:
    try:
        return Path(f"/proc/{process_id}/cwd").resolve() == folder.resolve()
    except OSError:
        return False


def times_ms(ask: Callable[[], httpx.Response]) -> list[float]:
    found = []
    for _ in range(TIMES):
        before = perf_counter()
        assert ask().status_code == httpx.codes.OK
        found.append((perf_counter() - before) * 1000)
        sleep(0.002)
    return found


def told(what: str, found: list[float]) -> str:
    percentiles = statistics.quantiles(found, n=100)
    return (
        f"{what}: median {percentiles[49]:.1f} ms, p95 {percentiles[94]:.1f} ms, the"
        f" longest {max(found):.1f} ms"
    )


@contextmanager
def long_searches(service: Service) -> Iterator[list[float]]:
    """Keep two long searches under way; give the seconds that each one took, waiting
    included.
    """
    took: list[float] = []
    going = [True]

    def search_on() -> None:
        with httpx.Client(
            base_url=service.url, headers=service.authorization, timeout=120
        ) as http:
            while going[0]:
                before = perf_counter()
                assert (
                    http.post("/v1/checks/shunting-plan", json=LONG_BODY).status_code
                    == httpx.codes.OK
                )
                took.append(perf_counter() - before)

    with ThreadPoolExecutor(SEARCHES) as threads:
        searches = [threads.submit(search_on) for _ in range(SEARCHES)]
        sleep(2)
        try:
            yield took
        finally:
            going[0] = False
    for search in searches:
        search.result()


def measured(service: Service) -> None:
    with httpx.Client(base_url=service.url, headers=service.authorization) as http:
        asked: dict[str, Callable[[], httpx.Response]] = {
            "health": lambda: http.get("/health/live"),
            "readiness": lambda: http.get("/health/ready"),
            "train-fit": lambda: http.post(
                "/v1/checks/train-fit", json=CHECKS["checkTrainFit"]
            ),
        }
        for what, ask in asked.items():
            print(told(f"{what}, nothing else asked", times_ms(ask)))
        with long_searches(service) as took:
            for what, ask in asked.items():
                print(
                    told(f"{what}, {SEARCHES} long searches under way", times_ms(ask))
                )
        print(
            f"{len(took)} long searches, {statistics.median(took):.1f} s each, waiting"
            " included"
        )
        small = times_ms(
            lambda: http.post(
                "/v1/checks/shunting-plan", json=CHECKS["checkShuntingPlan"]
            )
        )
        print(told("a shunting plan of three wagons, through the pool", small))


def main() -> None:
    print(f"load of the machine before: {os.getloadavg()[0]:.1f}")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with serving(
            folder=folder, env=environment(f"sqlite:///{folder}/standage.sqlite3")
        ) as service:
            measured(service)
            print(f"searching processes: {len(workers(folder))}")
        print(f"after the service has ended: {len(workers(folder))}")


if __name__ == "__main__":
    main()
