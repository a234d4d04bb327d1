"""What it saves that answers about plans on record are kept: a plan asked about for the
first time, and again.

Run with ``PYTHONPATH=service:tests python -m benchmarks.plans_on_record [PIECES]``.
Prints; asserts nothing about time. The yardstick is the plan itself, read in the same
run: who asks, one row and its body, which nothing that is kept does away with.
"""

import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from time import perf_counter
from typing import Any

from api.asking import Caller, Clock, serving
from standage.questions.derived import DERIVED
from standage.registry.database.engine import open_database
from standage.registry.database.migrate import migrate
from support.track_plans import ladder

PIECES = 300
ROUNDS = 9


def ladder_of(pieces: int) -> dict[str, Any]:
    """Return a yard of about so many pieces."""
    roads = 1
    while len(ladder(roads=roads)["pieces"]) < pieces:
        roads += 1
    return dict(ladder(roads=roads))


@contextmanager
def steward() -> Iterator[Caller]:
    """Give a steward of a club in a database of its own."""
    with tempfile.TemporaryDirectory() as folder:
        database = open_database(f"sqlite:///{Path(folder) / 'standage.sqlite3'}")
        migrate(database)
        with serving(database, Clock()) as service:
            yield service.club("Club of the benchmark")
        database.dispose()


def best_ms(work: Callable[[], object], before: Callable[[], object]) -> float:
    """Return the shortest of some rounds: what else runs only ever adds."""
    times: list[float] = []
    for _ in range(ROUNDS):
        before()
        began = perf_counter()
        work()
        times.append((perf_counter() - began) * 1000)
    return min(times)


def nothing() -> None:
    """Leave everything as it is."""


def measured(caller: Caller, plan: dict[str, Any]) -> None:
    layout = caller.made("/v1/layouts", {"name": "Quay"})["id"]
    path = f"/v1/layouts/{layout}/plan"
    assert caller.ask("PUT", path, plan).is_success
    yardstick_ms = best_ms(lambda: caller.ask("GET", path), nothing)
    print(f"{len(plan['pieces'])} pieces; read in {yardstick_ms:.1f} ms")
    for what in ("check", "drawing"):
        address = f"{path}/{what}"

        def ask(address: str = address) -> None:
            assert caller.ask("GET", address).is_success

        cold_ms, warm_ms = best_ms(ask, DERIVED.forget_all), best_ms(ask, nothing)
        print(
            f"{what:8} cold {cold_ms:7.1f} ms, {cold_ms / yardstick_ms:5.1f} times the"
            f" reading; warm {warm_ms:6.1f} ms, {warm_ms / yardstick_ms:4.1f} times:"
            f" {cold_ms / warm_ms:.0f} to 1"
        )


def main() -> None:
    pieces = int(sys.argv[1]) if len(sys.argv) > 1 else PIECES
    with steward() as caller:
        measured(caller, ladder_of(pieces))


if __name__ == "__main__":
    main()
