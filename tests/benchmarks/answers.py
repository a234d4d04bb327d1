"""What an answer costs beside the yardstick, on both databases: answers a second, and
processor spent on each.

Run with ``PYTHONPATH=service:tests python -m benchmarks.answers [ROUNDS]``.
"""

import os
import statistics
import sys
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import httpx

from benchmarks.asking import (
    Heard,
    addresses,
    ask_for,
    processor_s,
    request_bytes,
    with_yardstick,
)
from benchmarks.yardstick import PATH
from contract.serving import Service

ROUNDS = 7
SECONDS = 1.5
CONNECTIONS = 16
TRAINS = 400
"""So many trains of vehicles that all differ are more than the service remembers before
one comes again.
"""
COUPLED = {"front_coupling": {"reach_mm": 4.5}, "rear_coupling": {"reach_mm": 4.5}}
WAGON: dict[str, Any] = {
    "name": "Van",
    "length_mm": 82.0,
    "length_over": "buffers",
    **COUPLED,
}


def recorded(service: Service) -> str:
    """Put a train of twelve vehicles and a loop on record; return the address of the
    question about them.
    """

    def made(path: str, body: dict[str, Any]) -> str:
        answer = httpx.post(
            f"{service.url}/v1/{path}", json=body, headers=service.authorization
        )
        assert answer.status_code == httpx.codes.CREATED, answer.text
        return str(answer.json()["id"])

    vehicles = [
        made("vehicles", WAGON | {"name": f"Van {number}", "kind": "wagon"})
        for number in range(12)
    ]
    train = made(
        "trains",
        {"name": "Vans", "vehicles": [{"vehicle_id": one} for one in vehicles]},
    )
    layout = made("layouts", {"name": "Quay"})
    place = made(
        f"layouts/{layout}/places",
        {"name": "Loop", "kind": "loop", "usable_length_mm": 1200.0},
    )
    return f"/v1/layouts/{layout}/places/{place}/train-fit?train_id={train}"


def inline(*, train: int = 0) -> dict[str, Any]:
    """Return the inline question about twelve vehicles, those of every ``train`` a
    little longer than the last's.
    """
    vans = [
        WAGON | {"name": f"Van {one}", "length_mm": 82.0 + (train * 12 + one) / 100_000}
        for one in range(12)
    ]
    return {
        "train": {"vehicles": vans},
        "place": {"kind": "loop", "usable_length_mm": 1200.0},
    }


def asked(service: Service) -> Mapping[str, Sequence[bytes]]:
    """Return the requests to compare, the yardsticks first."""
    check, vans = "/v1/checks/train-fit", inline()
    new = [
        request_bytes(service, "POST", check, inline(train=train))
        for train in range(TRAINS)
    ]
    return {
        "yardstick": [request_bytes(service, "GET", PATH)],
        "yardstick, the same body": [request_bytes(service, "POST", PATH, vans)],
        "stored train-fit": [request_bytes(service, "GET", recorded(service))],
        "inline train-fit": [request_bytes(service, "POST", check, vans)],
        "inline, vehicles all new": new,
    }


def one_round(
    service: Service, folder: Path, requests: Sequence[bytes], *, seconds: float
) -> tuple[Heard, float]:
    """Return what was heard, and the milliseconds of processor that each answer took of
    the service.
    """
    spent = processor_s(folder)
    heard = ask_for(service, requests, seconds=seconds, connections=CONNECTIONS)
    assert set(heard.statuses) == {200}, heard.statuses
    return heard, (processor_s(folder) - spent) * 1000 / heard.statuses[200]


def measured(name: str, service: Service, folder: Path, *, rounds: int) -> None:
    requests = asked(service)
    rates: dict[str, list[float]] = {what: [] for what in requests}
    costs: dict[str, list[float]] = {what: [] for what in requests}
    for request in requests.values():
        one_round(service, folder, request, seconds=SECONDS)
    for _ in range(rounds):
        for what, request in requests.items():
            heard, cost_ms = one_round(service, folder, request, seconds=SECONDS)
            rates[what].append(heard.per_second())
            costs[what].append(cost_ms)
    for what in requests:
        ratio = statistics.median(
            mine / first
            for mine, first in zip(rates[what], rates["yardstick"], strict=True)
        )
        spent = statistics.median(costs["yardstick"]) / statistics.median(costs[what])
        print(
            f"{name:10} {what:26} {statistics.median(rates[what]):6.0f} a second,"
            f" {statistics.median(costs[what]):5.2f} ms of processor each; {ratio:5.0%}"
            f" of the yardstick's answers a second, {spent:5.0%} by processor"
        )


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS
    print(
        f"load of the machine before: {os.getloadavg()[0]:.1f}; {CONNECTIONS} callers,"
        f" {rounds} rounds interleaved"
    )
    with tempfile.TemporaryDirectory() as name, addresses(Path(name)) as urls:
        for dialect, url in urls.items():
            folder = Path(name) / dialect
            folder.mkdir()
            with with_yardstick(folder, url) as (service, _):
                measured(dialect, service, folder, rounds=rounds)


if __name__ == "__main__":
    main()
