"""What a program asked of the disk, as strace wrote it down, and what a power cut at
any moment would leave of it.

The model: what was written to a file before the last time it was synced is there. Of
everything after that each sector of 512 bytes may have reached the disk or not, in any
mixture. A process's own death loses nothing of it.
"""

import re
import subprocess
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Literal

from contract.serving import environment
from support.patience import PATIENCE_S

WRITER = Path(__file__).with_name("one_writer.py")
SECTOR = 512
Left = Literal["none", "all", "some"]
"""What is left of that which was not synced."""

_CALL = re.compile(r"^\d+ +(\w+)\((\d+)<([^>]*)>(?:, (.*))?\) = (-?\d+)")
_WRITTEN = re.compile(r'^"([^"]*)", (\d+)(?:, (\d+))?$')


@dataclass(frozen=True, kw_only=True)
class Done:
    """Something done to a file: written at a place, cut to a length, or synced; or
    something said on its output.
    """

    what: Literal["write", "cut", "sync", "say"]
    file: str
    at: int = 0
    content: bytes = b""


def traced(
    options: Sequence[str], url: str, *words: str
) -> "subprocess.CompletedProcess[bytes]":
    """Run the writer under strace."""
    command = [
        "strace",
        "-f",
        "-qq",
        *options,
        sys.executable,
        str(WRITER),
        url,
        *words,
    ]
    path = f"{WRITER.parents[2] / 'service'}:{WRITER.parents[1]}"
    env = environment(url) | {"PYTHONPATH": path, "PYTHONDONTWRITEBYTECODE": "1"}
    return subprocess.run(
        command, env=env, capture_output=True, check=False, timeout=PATIENCE_S
    )


def recording(log: Path, url: str, *words: str) -> list[Done]:
    """Run the writer to its end; return what it did to its database's files, and what
    it said, in order.
    """
    calls = "pwrite64,write,fsync,fdatasync,ftruncate"
    ended = traced(
        [
            "--seccomp-bpf",
            "-o",
            str(log),
            "-y",
            "-xx",
            "-s",
            "100000",
            "-e",
            f"trace={calls}",
        ],
        url,
        *words,
    )
    assert ended.returncode == 0, ended.stderr.decode()
    name = Path(url.removeprefix("sqlite:///")).name
    return [done for line in log.read_text().splitlines() for done in _done(line, name)]


def _done(line: str, name: str) -> Iterator[Done]:
    found = _CALL.match(line)
    if found is None or int(found[5]) < 0:
        return
    call, descriptor, file = (
        found[1],
        int(found[2]),
        Path(_bytes(found[3]).decode()).name,
    )
    ours = file in {name, f"{name}-wal"}
    if call == "write" and descriptor == 1:
        yield Done(what="say", file="", content=_content(found[4])[1])
    elif call == "pwrite64" and ours:
        at, content = _content(found[4])
        assert len(content) == int(found[5]), "a write was put down in part"
        yield Done(what="write", file=file, at=at, content=content)
    elif call == "ftruncate" and ours:
        yield Done(what="cut", file=file, at=int(found[4]))
    elif call in {"fsync", "fdatasync"} and ours:
        yield Done(what="sync", file=file)


def _content(arguments: str) -> tuple[int, bytes]:
    written = _WRITTEN.match(arguments)
    assert written is not None, arguments[-80:]
    return int(written[3] or 0), _bytes(written[1])


def _bytes(escaped: str) -> bytes:
    return bytes.fromhex(escaped.replace("\\x", ""))


@dataclass
class Disk:
    """The files of a database: what is safely there of each, and what was done since it
    was synced.
    """

    safe: dict[str, bytearray]
    since: dict[str, list[Done]] = field(default_factory=dict)

    def do(self, done: Done) -> None:
        if done.what == "sync":
            content = self.safe.setdefault(done.file, bytearray())
            for earlier in self.since.pop(done.file, []):
                _apply(content, earlier)
        elif done.what != "say":
            self.since.setdefault(done.file, []).append(done)

    def after_a_cut(self, left: Left, chance: Random) -> dict[str, bytes]:
        """Return the files as the machine may find them when the power comes back."""
        files = {}
        for name in {*self.safe, *self.since}:
            content = bytearray(self.safe.get(name, b""))
            for done in self.since.get(name, []):
                for part in _sectors(done):
                    if left == "all" or (left == "some" and chance.random() < 0.5):
                        _apply(content, part)
            files[name] = bytes(content)
        return files


def _sectors(done: Done) -> Iterator[Done]:
    """Return the parts of a write that a disk takes whole or not at all."""
    if done.what != "write":
        yield done
        return
    begin = done.at
    while begin < done.at + len(done.content):
        end = min((begin // SECTOR + 1) * SECTOR, done.at + len(done.content))
        yield Done(
            what="write",
            file=done.file,
            at=begin,
            content=done.content[begin - done.at : end - done.at],
        )
        begin = end


def _apply(content: bytearray, done: Done) -> None:
    end = done.at + len(done.content)
    if done.what == "cut":
        del content[done.at :]
    if len(content) < end:
        content.extend(b"\0" * (end - len(content)))
    if done.what == "write":
        content[done.at : end] = done.content
