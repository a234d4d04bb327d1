"""How the service starts, what it holds, and how it bears ten times the callers, on
both databases.

Run with ``PYTHONPATH=service:tests python -m benchmarks.under_load``; with ``--soak
MINUTES`` two callers go on asking for so long instead, and tell every minute what the
service holds and how quick it is; ``--only`` names a database.
"""

import argparse
import os
import subprocess
import tempfile
from pathlib import Path
from time import perf_counter, sleep

import httpx

from benchmarks.answers import asked
from benchmarks.asking import (
    Heard,
    addresses,
    ask_for,
    request_bytes,
    resident_mb,
    with_yardstick,
)
from contract.serving import FROM_THE_TREE, Service, environment
from support.ports import free_port
from support.tally import DATABASES

CALLERS, TIMES_AS_MANY = 16, 10
SECONDS = 8.0
RECOVERED_S = 10.0


def first_answer_s(folder: Path, url: str) -> float:
    """Return the seconds from the command's start until the service says that it is
    ready.
    """
    port = free_port()
    asking = httpx.Client(
        base_url=f"http://127.0.0.1:{port}"
    )  # made before: making one takes its time
    before = perf_counter()
    command = [*FROM_THE_TREE, "serve", "--port", str(port)]
    process = subprocess.Popen(
        command, cwd=folder, env=environment(url), stderr=subprocess.DEVNULL
    )
    try:
        while True:
            try:
                if asking.get("/health/ready").status_code == httpx.codes.OK:
                    return perf_counter() - before
            except httpx.TransportError:
                sleep(0.02)
    finally:
        process.terminate()
        process.wait()


def mixture(service: Service) -> list[bytes]:
    """Return what a busy day asks: stored and inline questions, lists, and a write
    among every eight.
    """
    questions = asked(service)
    vehicle = {"name": "Late van", "length_mm": 82.0, "length_over": "buffers"}
    return [
        *(*questions["stored train-fit"], *questions["inline train-fit"]) * 2,
        request_bytes(service, "GET", "/v1/vehicles"),
        request_bytes(service, "GET", "/v1/trains"),
        request_bytes(service, "GET", "/v1/club"),
        request_bytes(service, "POST", "/v1/vehicles", vehicle),
    ]


def good_a_second(heard: Heard) -> float:
    return heard.per_second(200) + heard.per_second(201)


def told(what: str, heard: Heard) -> None:
    refused = (
        f", refused in {heard.percentile_ms(95, 503):.0f} ms (p95)"
        if heard.statuses[503]
        else ""
    )
    print(
        f"  {what}: {good_a_second(heard):.0f} good answers a second, p50"
        f" {heard.percentile_ms(50):.0f} ms, p99 {heard.percentile_ms(99):.0f} ms;"
        f" {dict(heard.statuses)}{refused}"
    )


def held(folder: Path) -> str:
    return ", ".join(
        f"{megabytes:.0f} MB"
        for megabytes in sorted(resident_mb(folder).values(), reverse=True)
    )


def overloaded(service: Service, folder: Path) -> None:
    requests = mixture(service)
    ask_for(service, requests, seconds=2, connections=CALLERS)
    peak = ask_for(service, requests, seconds=SECONDS, connections=CALLERS)
    told(f"{CALLERS} callers", peak)
    crowd = ask_for(
        service, requests, seconds=SECONDS, connections=CALLERS * TIMES_AS_MANY
    )
    told(f"{CALLERS * TIMES_AS_MANY} callers", crowd)
    print(
        f"  {good_a_second(crowd) / good_a_second(peak):.0%} of the peak's good answers"
    )
    sleep(RECOVERED_S)
    after = ask_for(service, requests, seconds=SECONDS / 2, connections=CALLERS)
    told(f"{CALLERS} callers, {RECOVERED_S:.0f} s later", after)
    print(
        f"  {good_a_second(after) / good_a_second(peak):.0%} of the peak's; processes"
        f" hold {held(folder)}"
    )


def soaked(service: Service, folder: Path, *, minutes: float) -> None:
    requests = mixture(service)[
        :-1
    ]  # without writes: what is on record stays as much as it is
    until = perf_counter() + minutes * 60
    while perf_counter() < until:
        heard = ask_for(
            service,
            requests,
            seconds=min(60, minutes * 60),
            connections=2,
            think_s=0.02,
        )
        told(
            f"{(perf_counter() - until) / 60 + minutes:5.1f} minutes, {held(folder)}",
            heard,
        )


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--soak", type=float, metavar="MINUTES")
    parser.add_argument("--only", choices=DATABASES)
    options = parser.parse_args()
    minutes = options.soak
    print(f"load of the machine before: {os.getloadavg()[0]:.1f}")
    with tempfile.TemporaryDirectory() as name, addresses(Path(name)) as urls:
        for dialect, url in urls.items():
            if options.only not in {None, dialect}:
                continue
            folder = Path(name) / dialect
            folder.mkdir()
            first = ", ".join(f"{first_answer_s(folder, url):.2f}" for _ in range(3))
            print(f"{dialect}: first answers {first} s from the start")
            with with_yardstick(folder, url, plain=True) as (service, _):
                print(
                    f"{dialect}: before anything is asked, processes hold"
                    f" {held(folder)}"
                )
                if minutes is None:
                    overloaded(service, folder)
                else:
                    soaked(service, folder, minutes=minutes)


if __name__ == "__main__":
    main()
