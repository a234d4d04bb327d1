"""A service in a process of its own, as its users run it: started through the command
line, asked over HTTP.
"""

import io
import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import chdir, contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path

import httpx
import pytest

from standage.cli import main
from support.patience import PATIENCE_S
from support.ports import free_port

ROOT = Path(__file__).parents[2]
FROM_THE_TREE = (sys.executable, "-m", "standage")


@dataclass(frozen=True, kw_only=True)
class Service:
    """A running service with one club in it, and the club's steward's token."""

    url: str
    club_id: str
    token: str

    @property
    def authorization(self) -> dict[str, str]:
        return {"Authorization": f"Bearer {self.token}"}

    def ask(
        self, method: str, path: str, body: object = None, **headers: str
    ) -> httpx.Response:
        """Ask as the steward, over a connection of its own, and wait as long as it may
        take.
        """
        sent = self.authorization | {
            name.replace("_", "-"): value for name, value in headers.items()
        }
        return httpx.request(
            method, f"{self.url}{path}", json=body, headers=sent, timeout=PATIENCE_S
        )


def environment(database_url: str) -> dict[str, str]:
    """Return the environment in which every command of a test runs."""
    beside = (
        {}
        if database_url.startswith("sqlite")
        else {"STANDAGE_ERASURES_FILE": "standage.erasures"}
    )
    return (os.environ | beside) | {
        "PYTHONPATH": str(ROOT / "service"),
        "STANDAGE_DATABASE_URL": database_url,
        "STANDAGE_RATE_LIMITS": "off",
    }


def typed_here(
    *words: str, folder: Path, env: Mapping[str, str]
) -> subprocess.CompletedProcess[str]:
    """Carry a command out in this process, which has been started already; return how
    it ended.
    """
    out, err = io.StringIO(), io.StringIO()
    code: object = 0
    with pytest.MonkeyPatch.context() as patched, chdir(folder):
        for name, value in env.items():
            patched.setenv(name, value)
        with redirect_stdout(out), redirect_stderr(err):
            try:
                main(words)
            except SystemExit as ended:
                code = ended.code
    assert isinstance(code, int)
    return subprocess.CompletedProcess(
        words, returncode=code, stdout=out.getvalue(), stderr=err.getvalue()
    )


@contextmanager
def serving(
    *, folder: Path, env: Mapping[str, str], command: Sequence[str] = FROM_THE_TREE
) -> Iterator[Service]:
    """Give a service on a free port of this machine with a new club in it, and end it
    at the end.

    Raises ``AssertionError``, with what the service logged, where it does not start or
    does not stop when told to.
    """
    made = subprocess.run(
        [
            *command,
            "new-club",
            "Harbour Bridge Model Railway Club",
            "--steward",
            "Robin Vale",
        ],
        cwd=folder,
        env=dict(env),
        capture_output=True,
        text=True,
        check=False,
        timeout=PATIENCE_S,
    )
    assert made.returncode == 0, made.stderr
    club = json.loads(made.stdout)
    port = free_port()
    log = folder / "serve.log"
    with log.open("w") as written:
        process = subprocess.Popen(
            [*command, "serve", "--host", "127.0.0.1", "--port", str(port)],
            cwd=folder,
            env=dict(env),
            stdin=subprocess.DEVNULL,
            stdout=written,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )
    service = Service(
        url=f"http://127.0.0.1:{port}", club_id=club["club_id"], token=club["token"]
    )
    try:
        _wait_until_ready(service.url, process, log)
        yield service
    finally:
        _end(process)
    assert process.returncode in {0, -15}, log.read_text()[-4000:]


def _wait_until_ready(url: str, process: subprocess.Popen[bytes], log: Path) -> None:
    deadline = time.monotonic() + PATIENCE_S
    while time.monotonic() < deadline:
        assert process.poll() is None, log.read_text()[-4000:]
        try:
            if (
                httpx.get(f"{url}/health/ready", timeout=PATIENCE_S).status_code
                == httpx.codes.OK
            ):
                return
        except httpx.TransportError:
            pass
        time.sleep(0.1)
    raise AssertionError(f"not ready after {PATIENCE_S} s: {log.read_text()[-4000:]}")


def _end(process: subprocess.Popen[bytes]) -> None:
    """Tell the service to stop; where it does not, end its whole session, so that
    nothing outlives the test.
    """
    process.terminate()
    try:
        process.wait(timeout=PATIENCE_S)
    except subprocess.TimeoutExpired:
        os.killpg(process.pid, 9)
        process.wait(timeout=PATIENCE_S)
