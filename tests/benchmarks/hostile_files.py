"""How long each hostile file takes to be refused, and how much memory above what the
process had before.

PYTHONPATH=service:tests .venv/bin/python tests/benchmarks/hostile_files.py
"""

import os
import resource
import time
from collections.abc import Callable
from functools import partial

from standage.exchange.cells import Sheet
from standage.exchange.csv_in import read_csv
from standage.exchange.stock.stock import lists_stock
from standage.exchange.workbooks_in import read_ods, read_xlsx
from standage.shapes.faults import Faulty
from support.hostile import hostile

READERS: dict[str, Callable[[bytes], Sheet]] = {
    "csv": read_csv,
    "xlsx": partial(read_xlsx, is_list=lists_stock),
    "ods": partial(read_ods, is_list=lists_stock),
}


def main() -> None:
    """Refuse each in a process of its own, and print the worst."""
    worst_s = worst_mb = 0.0
    for what, (form, raw, code) in hostile().items():
        reader, writer = os.pipe()
        if (child := os.fork()) == 0:
            try:
                os.write(writer, " ".join(map(str, refused(form, raw, code))).encode())
            finally:
                os._exit(0)
        os.waitpid(child, 0)
        took_s, above_mb = map(float, os.read(reader, 100).split())
        worst_s, worst_mb = max(worst_s, took_s), max(worst_mb, above_mb)
        print(f"{took_s:6.2f} s {above_mb:6.1f} MB  {what}")
    print(f"worst: {worst_s:.2f} s, {worst_mb:.1f} MB")


def refused(form: str, raw: bytes, code: str) -> tuple[float, float]:
    """Return how many seconds it took and how many MB above before."""
    before = resident_kb()
    begun = time.perf_counter()
    try:
        READERS[form](raw)
    except Faulty as faulty:
        found = faulty.faults[0].code
    else:
        found = "nothing"
    took_s = time.perf_counter() - begun
    if found != code:
        print(f"refused with {found}, not {code}")
    return took_s, (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024


def resident_kb() -> int:
    """Return how much memory the process has now."""
    with open("/proc/self/statm", encoding="ascii") as statm:  # noqa: PTH123 - no path of the project's
        return int(statm.read().split()[1]) * resource.getpagesize() // 1024


if __name__ == "__main__":
    main()
