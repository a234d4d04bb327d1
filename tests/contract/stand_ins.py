"""Stand-ins for the programs of a machine that a test may not change: what a page types
into them happens, elsewhere.

``sudo`` runs what it is told, ``systemctl`` starts and stops the commands of the units
that were copied, ``systemd-run`` runs one command with the settings it is given,
``python3 -m venv`` makes a folder with a ``pip`` that notes what it is asked for and a
``standage`` of the tree. Every folder of the machine that a page names lies beneath one
of the test's own.
"""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from itertools import takewhile
from pathlib import Path

from contract.shipped import Unit
from support.patience import PATIENCE_S

FOLDERS = {
    "/usr/local": "local",
    "/etc/systemd/system": "units",
    "/etc/standage.conf": "standage.conf",
    "/var/lib/standage": "state",
    "/media": "media",
}


def moved(text: str, *, root: Path, port: int) -> str:
    """Return a text in which the machine's folders are the test's, and the port is a
    free one.
    """
    for machines, ours in FOLDERS.items():
        text = text.replace(machines, str(root / ours))
    return text.replace("8620", str(port))


class Machine:
    """What stands behind the stand-ins: one folder of a test, and the processes that
    were started there.
    """

    def __init__(self, root: Path, port: int) -> None:
        self.root = root
        self.port = port

    def prepare(self) -> Path:
        """Make the folders and the stand-ins; return the folder that goes first on the
        PATH.
        """
        for name in (
            "units",
            "media/STICK",
            "local/bin",
            "programs",
            "started",
            "enabled",
        ):
            (self.root / name).mkdir(parents=True)
        programs = self.root / "programs"
        for name in ("systemctl", "systemd-run", "python3"):
            _put(programs / name, self._played(name))
        _put(
            programs / "sudo",
            f'case "$1" in *-as-service) {self._played("tool")};; esac; exec "$@"',
        )
        _put(programs / "apt-get", "exit 0")
        _put(programs / "journalctl", "exit 0")
        _put(programs / "hostname", "echo 192.168.1.20")
        return programs

    def _played(self, name: str) -> str:
        path = os.pathsep.join(
            [str(Path(__file__).parents[1]), str(Path(__file__).parents[2] / "service")]
        )
        return (
            f'PYTHONPATH="{path}" exec "{sys.executable}" -m contract.stand_ins'
            f' "{self.root}" {self.port} {name} "$@"'
        )

    def asked_of_pip(self) -> list[list[str]]:
        """Return what pip was asked for, call by call."""
        return [
            line.split() for line in (self.root / "pip.calls").read_text().splitlines()
        ]

    def play(self, name: str, words: list[str]) -> int:
        """Do what a program was asked for."""
        plays = {
            "tool": self._tool,
            "python3": self._python,
            "systemd-run": self._run_once,
        }
        return plays.get(name, self._systemctl)(words)

    def _tool(self, words: list[str]) -> int:
        """Run the project's own script, with the test's folders in it."""
        script = moved(Path(words[0]).read_text(), root=self.root, port=self.port)
        return subprocess.run(["sh", "-c", script, *words], check=False).returncode

    def _python(self, words: list[str]) -> int:
        if words[:2] != ["-m", "venv"]:
            return subprocess.run([sys.executable, *words], check=False).returncode
        programs = Path(words[2]) / "bin"
        programs.mkdir(parents=True, exist_ok=True)
        _put(programs / "pip", f'echo "$*" >> "{self.root}/pip.calls"')
        _put(programs / "standage", f'exec "{sys.executable}" -m standage "$@"')
        return 0

    def _run_once(self, words: list[str]) -> int:
        options = list(takewhile(lambda word: word.startswith("--"), words))
        settings = dict(
            word.removeprefix("--setenv=").split("=", 1)
            for word in options
            if "--setenv=" in word
        )
        command = words[len(options) :]
        return subprocess.run(
            command, env=os.environ | settings, cwd=self.root / "state", check=False
        ).returncode

    def _systemctl(self, words: list[str]) -> int:
        what, *units = [word for word in words if not word.startswith("-")]
        for name in units:
            if what in {"stop", "restart"}:
                self.stop(name)
            if what in {"start", "restart"} or "--now" in words:
                self.start(name)
            if what == "enable":
                (self.root / "enabled" / name).touch()
        return 0

    def unit(self, name: str) -> Unit:
        """Return a unit as it was copied to where systemd looks."""
        return Unit(
            moved(
                (self.root / "units" / name).read_text(), root=self.root, port=self.port
            )
        )

    def start(self, name: str) -> None:
        """Run a unit's command, with its settings, in its folder; wait for its end
        where it is one that ends.
        """
        one = self.unit(name)
        if name.endswith(".timer"):
            return
        for kept in one.one("StateDirectory").replace("standage", "state").split():
            (self.root / kept).mkdir(mode=0o700, exist_ok=True)
        usual = {
            key: value
            for key, value in os.environ.items()
            if not key.startswith("STANDAGE_")
        }
        env = {**usual, **one.environment()}
        folder = Path(one.one("WorkingDirectory"))
        if one.one("Type") == "oneshot":
            for key in ("ExecStart", "ExecStopPost"):
                subprocess.run(one.command(key), env=env, cwd=folder, check=True)
            return
        with (self.root / f"{name}.log").open("a") as log:
            command = confined(one.command("ExecStart"))
            process = subprocess.Popen(
                command,
                env=env,
                cwd=folder,
                stdout=log,
                stderr=log,
                start_new_session=True,
            )
        (self.root / "started" / name).write_text(str(process.pid))

    def stop(self, name: str) -> None:
        """Tell the process of a unit to end, and wait until it has."""
        file = self.root / "started" / name
        if not file.exists():
            return
        process_id = int(file.read_text())
        file.unlink()
        os.kill(process_id, signal.SIGTERM)
        deadline = time.monotonic() + PATIENCE_S
        while _runs(process_id):
            assert time.monotonic() < deadline, "it does not end"
            time.sleep(0.05)


def _put(file: Path, script: str) -> None:
    file.write_text(f"#!/bin/sh\n{script}\n")
    file.chmod(0o755)


def confined(command: Sequence[str]) -> list[str]:
    """Return a command that runs as with MemoryDenyWriteExecute, where this machine's
    kernel can be asked for that.
    """
    return [sys.executable, "-c", _CONFINED, *command]


_CONFINED = """
import ctypes, os, sys
ctypes.CDLL(None).prctl(65, 1, 0, 0, 0)  # PR_SET_MDWE, refused by kernels before 6.3
os.execv(sys.argv[1], sys.argv[1:])
"""


def _runs(process_id: int) -> bool:
    state = subprocess.run(
        ["ps", "-o", "state=", "-p", str(process_id)],
        capture_output=True,
        text=True,
        check=False,
    )
    return state.stdout.strip()[:1] not in {"", "Z"}


if __name__ == "__main__":
    sys.exit(
        Machine(Path(sys.argv[1]), int(sys.argv[2])).play(sys.argv[3], sys.argv[4:])
    )
