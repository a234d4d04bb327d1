"""Services that are started quickly, killed whole, and started again on the same port
and database.
"""

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from http.client import HTTPConnection, HTTPException
from pathlib import Path
from typing import IO, TypedDict, Unpack

from contract.serving import environment
from support.patience import PATIENCE_S, until
from support.ports import free_port
from support.processes import of_session, runs

_NURSERY = Path(__file__).with_name("nursery.py")


@dataclass(kw_only=True)
class Born:
    """One running service: all the processes of a session."""

    id: int
    port: int
    log: Path
    _is_gone: bool = False
    """Once it is, its ids are free for others, who are not to be ended in its place."""

    @property
    def processes(self) -> list[int]:
        return [] if self._is_gone else of_session(self.id)

    def connection(self) -> HTTPConnection:
        return HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_S)

    def wait_until_ready(self) -> None:
        def is_ready() -> bool:
            assert runs(self.id), self.logged()
            return self.status("/health/ready") == 200

        until(is_ready, told=self.logged)

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
        """End every process with SIGKILL; see that none is left and that the port is
        shut.
        """
        self.end()
        assert self.status("/health/live") is None, "somebody still listens"

    def end(self) -> None:
        """End every process with SIGKILL; see that none is left."""

        def none_is_left() -> bool:
            processes = self.processes
            for process_id in processes:
                with suppress(ProcessLookupError):
                    os.kill(process_id, signal.SIGKILL)
            return not processes

        until(none_is_left, told=lambda: "a process outlives SIGKILL")
        self._is_gone = True

    def stop(self) -> None:
        """Tell the service to stop, as a machine that is shut down does."""
        if not self._is_gone:
            with suppress(ProcessLookupError):
                os.kill(self.id, signal.SIGTERM)

    def wait_until_gone(self) -> None:
        until(lambda: not self.processes, told=self.logged)
        self._is_gone = True

    def logged(self) -> str:
        return (
            self.log.read_text()[-4000:] if self.log.exists() else "nothing was logged"
        )


class How(TypedDict, total=False):
    """How a service is started, where it is not as usual: on a free port, one process,
    with nothing set.
    """

    port: int
    workers: int
    settings: Mapping[str, str]
    """What stands in its environment besides."""
    instead: str
    """What is served instead of the service."""
    held: tuple[str, Path]
    """A function that none of its processes but the first comes back from, and a folder
    where each notes its coming.
    """
    log: Path


@dataclass(kw_only=True)
class Nursery:
    """Starts services on databases."""

    process: "subprocess.Popen[str]"
    folder: Path
    born: list[Born] = field(default_factory=list)

    def start(self, database_url: str, **how: Unpack[How]) -> Born:
        """Start a service and wait until it is ready."""
        one = self.begin(database_url, **how)
        one.wait_until_ready()
        return one

    def begin(self, database_url: str, **how: Unpack[How]) -> Born:
        """Start a service as ``start`` does, without waiting for it."""
        log = how.get("log", self.folder / "serve.log")
        chosen = how.get("port") or free_port()
        function, folder = how.get("held", (None, None))
        order = {
            "environment": {**environment(database_url), **how.get("settings", {})},
            "instead": how.get("instead"),
            "held": function and [function, str(folder)],
            "port": chosen,
            "workers": how.get("workers", 1),
            "log": str(log),
        }
        stdin, stdout = _ends(self.process)
        stdin.write(json.dumps(order) + "\n")
        stdin.flush()
        one = Born(id=int(stdout.readline()), port=chosen, log=log)
        self.born.append(one)
        return one


@contextmanager
def nursery(folder: Path) -> Iterator[Nursery]:
    """Give a nursery; at the end, nothing that it started is left."""
    path = os.pathsep.join(
        str(one) for one in (_NURSERY.parents[2] / "service", _NURSERY.parents[1])
    )
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
        process.wait(PATIENCE_S)


def _ends(process: "subprocess.Popen[str]") -> tuple[IO[str], IO[str]]:
    assert process.stdin is not None
    assert process.stdout is not None
    return process.stdin, process.stdout
