"""Databases made unfit, and what a service on one must and must not do."""

import os
import resource
import shutil
import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from api.asking import Caller, Clock, Service, refusal, serving
from standage.registry.database.engine import Database, open_database


@contextmanager
def closing_down(database: Database) -> Iterator[None]:
    try:
        yield
    finally:
        database.dispose()


@contextmanager
def served(url: str, token: str) -> Iterator[tuple[Service, Caller]]:
    """Give a service on a database as it is, and somebody who shows a token."""
    database = open_database(url)
    with closing_down(database), serving(database, Clock()) as service:
        yield service, Caller(http=service.http, token=token)


def not_ready(caller: Caller, why: str) -> None:
    """See that the service lives, and that ready says why it is of no use."""
    assert caller.ask("GET", "/health/live").status_code == 200
    problem = refusal(caller.ask("GET", "/health/ready"), 503, "unready")
    assert why in problem["detail"]


def serves_nothing(caller: Caller, why: str) -> None:
    not_ready(caller, why)
    for method, path in (
        ("GET", "/v1/vehicles"),
        ("POST", "/v1/vehicles"),
        ("POST", "/v1/checks/capacity"),
    ):
        response = caller.ask(method, path, {} if method == "POST" else None)
        assert why in refusal(response, 503, "unready")["detail"]
        assert int(response.headers["retry-after"]) > 0


def serves_reads_only(caller: Caller, why: str) -> None:
    not_ready(caller, why)
    assert len(caller.read("/v1/vehicles")["items"]) > 0
    before = caller.read("/v1/vehicles?limit=1")["items"][0]
    for method, path, body in (
        ("POST", "/v1/vehicles", {"name": "Never"}),
        ("PATCH", f"/v1/vehicles/{before['id']}", {"name": "Never"}),
        ("DELETE", f"/v1/vehicles/{before['id']}", None),
    ):
        response = caller.ask(
            method, path, body, **({} if method == "POST" else {"if_match": "*"})
        )
        assert why in refusal(response, 503, "unready")["detail"]
        assert int(response.headers["retry-after"]) > 0
    assert caller.read(f"/v1/vehicles/{before['id']}") == before


def spoil_page(file: Path, of: str) -> None:
    """Overwrite a page in the middle of the file: the first of an index or a table."""
    connection = sqlite3.connect(file)
    ((page,),) = connection.execute(
        "SELECT rootpage FROM sqlite_master WHERE name = ?", (of,)
    ).fetchall()
    ((size,),) = connection.execute("PRAGMA page_size").fetchall()
    connection.close()
    content = bytearray(file.read_bytes())
    content[(page - 1) * size : page * size] = b"\x5a" * size
    file.write_bytes(content)


def spoil_header(file: Path) -> None:
    content = bytearray(file.read_bytes())
    content[:16] = b"Minutes of May 1"
    file.write_bytes(content)


def cut_in_half(file: Path) -> None:
    content = file.read_bytes()
    file.write_bytes(content[: len(content) // 2])


def done(*command: str) -> bool:
    """Tell whether a command of the machine is there, and may do what it is told."""
    if shutil.which(command[0]) is None:
        return False
    return subprocess.run(command, check=False, capture_output=True).returncode == 0


@contextmanager
def unwritable(file: Path) -> Iterator[str]:
    """Give the address of a file that nobody may write to: by its mode; root, whom
    modes do not bind, by an attribute.

    Where root may not do that either, it is opened as if it were so.
    """
    file.chmod(0o444)
    if os.access(file, os.W_OK) and not done("chattr", "+i", str(file)):
        yield f"sqlite:///file:{file}?mode=ro&uri=true"
        return
    try:
        yield f"sqlite:///{file}"
    finally:
        done("chattr", "-i", str(file))


@contextmanager
def full_disk(folder: Path) -> Iterator[None]:
    """Let no file in a folder grow: there is no room left; or, where no disk can be
    made, no file may be longer.
    """
    if (folder / "on a small disk").exists():
        filler = folder / "filler"
        with suppress(OSError), filler.open("wb", buffering=0) as stream:
            while True:
                stream.write(b"\0" * 512)
        try:
            yield
        finally:
            filler.unlink()
        return
    _, most = resource.getrlimit(resource.RLIMIT_FSIZE)
    longest = max(
        one.stat().st_size for one in folder.iterdir() if one.name.endswith("-wal")
    )
    resource.setrlimit(resource.RLIMIT_FSIZE, (longest, most))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
