"""What is counted and measured of a running service, over all its processes, for
whoever watches it.

Every process counts in files of its own in a folder that all of one service share
(``shared_folder``), so that any of them can tell the whole: what a process counted
stays counted when it ends, and what it only had in hand does not. Where there is no
such folder, a process counts for itself. The labels come from fixed lists, so that
nobody can make them many.
"""

import hmac
import logging
import math
import os
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from functools import partial
from pathlib import Path
from shutil import rmtree

from prometheus_client import (
    CollectorRegistry,
    Counter,
    Gauge,
    Histogram,
    disable_created_metrics,
    values,
)
from prometheus_client.core import GaugeMetricFamily, Metric
from prometheus_client.exposition import CONTENT_TYPE_PLAIN_0_0_4, generate_latest
from prometheus_client.multiprocess import MultiProcessCollector, mark_process_dead
from prometheus_client.registry import Collector

from standage.api.web.journal import Asked

if sys.platform != "win32":
    import fcntl

log = logging.getLogger(__name__)

PATH = "/metrics"
BACKUP_SUFFIX = ".backup"
MEDIA_TYPE = CONTENT_TYPE_PLAIN_0_0_4
FOLDER_VARIABLE = "PROMETHEUS_MULTIPROC_DIR"
"""The library's own name for it: it looks there itself."""

NO_OPERATION = "none"
"""The operation of a request to an address, or with a method, that the service does not
know.
"""

SECONDS = (0.005, 0.02, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 10.0)
_MEMORY = Path("/dev/shm")  # noqa: S108 - only folders of our own are made there, for this user alone
_PREFIX = "standage-metrics-"
_LOCK = "lock"
_YOUNG_S = 60

disable_created_metrics()


class Metrics:
    """The counters of one process, and the way to read those of all."""

    def __init__(
        self, folder: Path | None = None, *, backups: Path | None = None
    ) -> None:
        """Count in ``folder`` with the other processes of the service; alone where
        there is none.

        How old the newest backup is, is told where ``backups`` is the folder in which
        they are.
        """
        self._folder = folder
        self._backup_age = None if backups is None else _BackupAge(backups)
        self._registry = CollectorRegistry()
        if folder is not None:
            os.environ[FOLDER_VARIABLE] = str(folder)
            # the library chooses at import, when a process that is forked later cannot
            # know yet
            values.ValueClass = values.MultiProcessValue()
        counter, gauge = (
            partial(Counter, registry=self._registry),
            partial(Gauge, registry=self._registry),
        )
        histogram = partial(Histogram, registry=self._registry, buckets=SECONDS)
        self._requests = counter(
            "standage_requests",
            "Requests answered; 0 where none went out.",
            ("operation", "method", "status"),
        )
        self._seconds = histogram(
            "standage_request_seconds",
            "From a request to its answer.",
            ("operation", "method", "status_class"),
        )
        self._in_hand = gauge(
            "standage_requests_in_hand",
            "Requests being answered.",
            multiprocess_mode="livesum",
        )
        self._troubles = counter(
            "standage_database_troubles",
            "Times that a database could not do its work.",
            ("sort",),
        )
        self._processes = counter(
            "standage_processes_started",
            "Processes started; beyond the workers: restarts.",
        )
        self.long_questions = LongQuestions(self._registry)

    def started(self) -> None:
        """Count a process that serves from now on."""
        self._processes.inc()

    def begun(self) -> None:
        """Count a request that came in."""
        self._in_hand.inc()

    def ended(self, asked: Asked, *, status: int | None, duration_s: float) -> None:
        """Count a request that is over."""
        operation = asked.operation or NO_OPERATION
        try:
            self._in_hand.dec()
            self._requests.labels(operation, asked.method, str(status or 0)).inc()
            self._seconds.labels(
                operation, asked.method, f"{(status or 0) // 100}xx"
            ).observe(duration_s)
        except OSError:
            log.exception("a request could not be counted")

    def trouble(self, sort: str) -> None:
        """Count a time that the database could not do what was asked: busy, unready or
        failed.
        """
        self._troubles.labels(sort).inc()

    def text(self) -> bytes:
        """Return everything that all processes of the service counted, in Prometheus'
        text form.
        """
        return self._counted() + self._of_backups()

    def _of_backups(self) -> bytes:
        if self._backup_age is None:
            return b""
        alone = CollectorRegistry()
        alone.register(self._backup_age)
        return generate_latest(alone)

    def _counted(self) -> bytes:
        if self._folder is None:
            return generate_latest(self._registry)
        for process_id in _dead(self._folder):
            with suppress(
                FileNotFoundError
            ):  # another process noticed at the same moment
                mark_process_dead(process_id, str(self._folder))
        whole = CollectorRegistry()
        MultiProcessCollector(whole, str(self._folder))
        return generate_latest(whole)


class _BackupAge(Collector):
    """Tells how old the newest backup in a folder is, at the moment when somebody
    reads.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def collect(self) -> Iterator[Metric]:
        """Yield the age in seconds; infinite where there is no backup."""
        made_s = [
            file.stat().st_mtime for file in self._folder.glob(f"*{BACKUP_SUFFIX}")
        ]
        age_s = time.time() - max(made_s) if made_s else math.inf
        yield GaugeMetricFamily(
            "standage_backup_age_seconds", "How old the newest backup is.", value=age_s
        )


class LongQuestions:
    """What is counted of the questions that are reckoned in a process of their own."""

    def __init__(self, registry: CollectorRegistry) -> None:
        self.in_hand = Gauge(
            "standage_long_questions_in_hand",
            "Long questions worked on or waiting.",
            registry=registry,
            multiprocess_mode="livesum",
        )
        self.waited = Histogram(
            "standage_long_question_wait_seconds",
            "How long a long question waited for its turn.",
            registry=registry,
            buckets=SECONDS,
        )
        self._ended = Counter(
            "standage_long_questions",
            "Long questions, by what became of them.",
            ("outcome",),
            registry=registry,
        )
        self.processes = Counter(
            "standage_reckoners_started",
            "Processes started for long questions; they are replaced.",
            registry=registry,
        )

    def ended(self, outcome: str) -> None:
        """Count a question that is over: answered, refused, failed, lost with its
        process, or full.
        """
        self._ended.labels(outcome).inc()


def may_read(headers: Mapping[bytes, bytes], token: str | None) -> bool:
    """Tell whether a request carries the token for which the metrics are open; without
    such a token they never are.
    """
    scheme, _, given = headers.get(b"authorization", b"").partition(b" ")
    return (
        token is not None
        and scheme.lower() == b"bearer"
        and hmac.compare_digest(given.strip(), token.encode())
    )


def folder_of(environment: Mapping[str, str]) -> Path | None:
    """Return the folder that the processes of this service share, where they were told
    of one.
    """
    name = environment.get(FOLDER_VARIABLE)
    if name:
        return Path(name)
    return None


@contextmanager
def shared_folder(home: Path | None = None) -> Iterator[Path]:
    """Give a new folder for the counters of one service, and remove it at the end.

    Unless told where, or by ``TMPDIR``, it lies in memory where the machine has room
    for files there: counting needs no disk, and goes on where one is full. What
    services that were killed left behind is removed first.
    """
    in_memory = "TMPDIR" not in os.environ and os.access(_MEMORY, os.W_OK)
    home = home or (_MEMORY if in_memory else Path(tempfile.gettempdir()))
    _sweep(home)
    with tempfile.TemporaryDirectory(
        prefix=_PREFIX, dir=home, ignore_cleanup_errors=True
    ) as name:
        folder = Path(name)
        with (folder / _LOCK).open("w") as lock:
            if sys.platform != "win32":
                fcntl.flock(lock, fcntl.LOCK_EX)
            yield folder


def _sweep(home: Path) -> None:
    for folder in home.glob(f"{_PREFIX}*"):
        # another process may be sweeping too
        with suppress(OSError):
            age_s = time.time() - folder.stat().st_mtime
            if age_s > _YOUNG_S and not _in_use(folder):
                rmtree(folder, ignore_errors=True)


def _in_use(folder: Path) -> bool:
    """Tell whether a process of the service that made ``folder`` still lives: it holds
    the lock, as do its children.
    """
    if sys.platform == "win32":
        return True
    with (folder / _LOCK).open() as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return True
    return False


def _dead(folder: Path) -> set[int]:
    """Return the processes that counted in ``folder`` and have ended."""
    known = {
        int(file.stem.rpartition("_")[2]) for file in folder.glob("gauge_live*_*.db")
    }
    return {process_id for process_id in known if not _lives(process_id)}


def _lives(process_id: int) -> bool:
    try:
        os.kill(process_id, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True
