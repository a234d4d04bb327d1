"""The command line, as somebody types it who makes mistakes: one line that says what to
mend, and never a traceback.
"""

import json
import socket
import subprocess
import sys
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from contract.serving import environment, typed_here
from standage.registry.database.engine import open_database
from standage.registry.database.moments import jump_of, newest_on_record, note_clock
from support.patience import PATIENCE_S

ASKED_BRIEFLY = {"RES_OPTIONS": "timeout:1 attempts:1"}
"""For the machine's resolver: where nobody answers it, a name is not found soon."""


def environment_in(folder: Path) -> dict[str, str]:
    return environment(f"sqlite:///{folder / 'club.sqlite3'}") | ASKED_BRIEFLY


def founded(
    folder: Path, name: str = "Harbour Bridge", steward: str = "Robin Vale"
) -> subprocess.CompletedProcess[str]:
    words = ("new-club", name, "--steward", steward)
    return typed_here(*words, folder=folder, env=environment_in(folder))


def typed(*words: str, folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "standage", *words],
        cwd=folder,
        env=environment_in(folder),
        capture_output=True,
        text=True,
        check=False,
        timeout=PATIENCE_S,
    )


@pytest.fixture
def taken_port() -> Iterator[int]:
    """Give a port on which somebody listens who would even share it."""
    with socket.socket() as listener:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEPORT, 1)
        listener.bind(("127.0.0.1", 0))
        listener.listen()
        yield listener.getsockname()[1]


def test_a_port_that_is_taken_is_not_shared_with_whoever_serves_there(
    tmp_path: Path, taken_port: int
) -> None:
    ended = typed("serve", "--port", str(taken_port), folder=tmp_path)
    assert (ended.returncode, ended.stdout) == (2, "")
    assert ended.stderr.splitlines() == [
        (
            f"standage: something is serving on port {taken_port} of 127.0.0.1 already; end"
            " it, or choose another --port"
        )
    ]


@pytest.mark.parametrize("port", ["0", "65536", "-1", "eight"])
def test_a_port_that_cannot_be_is_refused_in_words(tmp_path: Path, port: str) -> None:
    words = ("serve", f"--port={port}")
    ended = typed_here(*words, folder=tmp_path, env=environment_in(tmp_path))
    assert ended.returncode == 2
    assert "a port is a whole number from 1 to 65535" in ended.stderr
    assert "Traceback" not in ended.stderr


@pytest.mark.parametrize("host", ["192.0.2.1", "no.such.host.invalid"])
def test_an_address_that_is_not_this_machines_is_refused_in_words(
    tmp_path: Path, host: str
) -> None:
    """192.0.2.0/24 is kept for documentation by RFC 5737, the name by RFC 6761: no
    machine has either.
    """
    ended = typed("serve", "--host", host, "--port", "8621", folder=tmp_path)
    assert ended.returncode == 2
    assert ended.stderr.splitlines() == [
        f"standage: {host} is no address of this machine; leave --host out, or mend it"
    ]


def test_a_name_that_cannot_be_is_named_by_what_was_typed(tmp_path: Path) -> None:
    ended = founded(tmp_path, "", " ")
    assert (ended.returncode, ended.stdout) == (2, "")
    assert (
        ended.stderr
        == "standage: NAME: must not be empty; --steward: ' ' has characters that may"
        " not stand there\n"
    )


def test_a_club_is_founded_with_one_object_and_nothing_else(tmp_path: Path) -> None:
    ended = typed(
        "new-club", "Harbour Bridge", "--steward", "Robin Vale", folder=tmp_path
    )
    assert (ended.returncode, ended.stderr) == (0, "")
    assert set(json.loads(ended.stdout)) == {"club_id", "member_id", "token"}


def test_wiping_says_what_it_did(tmp_path: Path) -> None:
    assert founded(tmp_path).returncode == 0
    ended = typed("wipe", folder=tmp_path)
    assert (ended.returncode, ended.stdout) == (0, "")
    assert (
        ended.stderr
        == "The database's own files hold no trace of members who were erased.\n"
    )
    assert (tmp_path / "club.sqlite3-wal").exists() is False or (
        tmp_path / "club.sqlite3-wal"
    ).stat().st_size == 0


def test_whoever_says_that_the_clock_is_right_is_told_what_it_says(
    tmp_path: Path,
) -> None:
    assert founded(tmp_path).returncode == 0
    database = open_database(f"sqlite:///{tmp_path / 'club.sqlite3'}")
    with database.write() as connection:
        newest = newest_on_record(connection)
        assert newest is not None
        note_clock(connection, newest - timedelta(days=400))
        assert note_clock(connection, newest - timedelta(days=100)) is not None
    ended = typed("clock-is-right", folder=tmp_path)
    assert (ended.returncode, ended.stdout) == (0, "")
    assert f"It is taken for {newest:%Y-%m-%d}" in ended.stderr
    with database.read() as connection:
        assert jump_of(connection) is None
    database.dispose()
