"""Services that are started quickly, killed whole, and started again on the same port and database."""

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from http.client import HTTPConnection, HTTPException
from pathlib import Path
from typing import IO

from contract.serving import environment, free_port
from support.processes import of_session, runs

START_S = 60
_NURSERY = Path(__file__).with_name("nursery.py")


@dataclass(kw_only=True)
class Born:
    """One running service: all the processes of a session."""

    id: int
    port: int
    log: Path

    @property
    def processes(self) -> list[int]:
        return of_session(self.id)

    def connection(self, *, timeout_s: float = START_S) -> HTTPConnection:
        return HTTPConnection("127.0.0.1", self.port, timeout=timeout_s)

    def wait_until_ready(self) -> None:
        deadline = time.monotonic() + START_S
        while self.status("/health/ready") != 200:
            assert runs(self.id), self.logged()
            assert time.monotonic() < deadline, self.logged()
            time.sleep(0.02)

    def status(self, path: str) -> int | None:
        """Return the status of an answer; None where nobody answers."""
        connection = self.connection()
        try:
            connection.request("GET", path)
            return connection.getresponse().status
        except (OSError, HTTPException):
            return None
        finally:
            connection.close()

    def kill(self) -> None:
        """End every process with SIGKILL; see that none is left and that the port is shut."""
        self.end()
        assert self.status("/health/live") is None, "somebody still listens"

    def end(self) -> None:
        """End every process with SIGKILL; see that none is left."""
        deadline = time.monotonic() + START_S
        while processes := self.processes:
            for process_id in processes:
                with suppress(ProcessLookupError):
                    os.kill(process_id, signal.SIGKILL)
            assert time.monotonic() < deadline, "a process outlives SIGKILL"

    def stop(self) -> None:
        """Tell the service to stop, as a machine that is shut down does."""
        with suppress(ProcessLookupError):
            os.kill(self.id, signal.SIGTERM)

    def wait_until_gone(self) -> None:
        deadline = time.monotonic() + START_S
        while self.processes:
            assert time.monotonic() < deadline, self.logged()
            time.sleep(0.02)

    def logged(self) -> str:
        return self.log.read_text()[-4000:] if self.log.exists() else "nothing was logged"


@dataclass(kw_only=True)
class Nursery:
    """Starts services on databases."""

    process: "subprocess.Popen[str]"
    folder: Path
    born: list[Born] = field(default_factory=list)

    def start(
        self, database_url: str, *, port: int | None = None, workers: int = 1, instead: str | None = None
    ) -> Born:
        """Start a service and wait until it is ready."""
        log = self.folder / "serve.log"
        chosen = port or free_port()
        order = {
            "environment": environment(database_url),
            "instead": instead,
            "port": chosen,
            "workers": workers,
            "log": str(log),
        }
        stdin, stdout = _ends(self.process)
        stdin.write(json.dumps(order) + "\n")
        stdin.flush()
        one = Born(id=int(stdout.readline()), port=chosen, log=log)
        self.born.append(one)
        one.wait_until_ready()
        return one


@contextmanager
def nursery(folder: Path) -> Iterator[Nursery]:
    """Give a nursery; at the end, nothing that it started is left."""
    path = os.pathsep.join(str(one) for one in (_NURSERY.parents[2] / "service", _NURSERY.parents[1]))
    process = subprocess.Popen(
        [sys.executable, str(_NURSERY)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=folder,
        env=os.environ | {"PYTHONPATH": path},
    )
    opened = Nursery(process=process, folder=folder)
    try:
        yield opened
    finally:
        for one in opened.born:
            one.end()
        for end in _ends(process):
            end.close()
        process.wait(START_S)


def _ends(process: "subprocess.Popen[str]") -> tuple[IO[str], IO[str]]:
    assert process.stdin is not None
    assert process.stdout is not None
    return process.stdin, process.stdout
