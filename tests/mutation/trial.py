"""One run of tests in a process of its own, forked from this one, with one module
replaced by its mutant.
"""

import ast
import os
import sys
import time
from collections.abc import Sequence
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec, SourceFileLoader
from importlib.util import spec_from_file_location
from pathlib import Path
from types import CodeType, ModuleType
from typing import Literal

import hypothesis
import msgspec
import numpy as np
import pytest
import sqlalchemy
from hypothesis import HealthCheck
from shapely import geometry  # type: ignore[import-untyped] # shapely ships no types

LOADED_BEFORE = (hypothesis, msgspec, np, sqlalchemy, geometry)
"""What every run needs and takes long to import; nothing of the service is among it."""
hypothesis.settings.register_profile(
    "mutation",
    derandomize=True,
    database=None,
    deadline=None,
    max_examples=25,
    suppress_health_check=list(HealthCheck),
)
os.environ["HYPOTHESIS_PROFILE"] = "mutation"
"""The laws are tried on fewer examples than elsewhere: a quarter of the time finds
nearly all that they find.
"""
Outcome = Literal["killed", "survived", "hangs"]
_QUIET = (
    *("-x", "-q", "-p", "no:randomly", "-p", "no:cacheprovider", "-p", "no:xdist"),
    *("-k", "not postgresql and not sqlite"),
    *(
        "-W",
        "ignore::pytest.PytestAssertRewriteWarning",
    ),  # hypothesis is loaded before it is asked for
)


class _Mutant(SourceFileLoader):
    def __init__(self, name: str, path: Path, tree: ast.Module) -> None:
        super().__init__(name, str(path))
        self._tree = tree

    def get_code(self, fullname: str) -> CodeType:
        return compile(self._tree, self.get_filename(fullname), "exec")


class _Finder(MetaPathFinder):
    def __init__(self, name: str, path: Path, tree: ast.Module) -> None:
        self._name, self._path = name, path
        self._loader = _Mutant(name, path, tree)

    def find_spec(
        self,
        fullname: str,
        _path: Sequence[str] | None,
        _target: ModuleType | None = None,
    ) -> ModuleSpec | None:
        return (
            spec_from_file_location(fullname, self._path, loader=self._loader)
            if fullname == self._name
            else None
        )


class Measured(msgspec.Struct):
    """How long the tests of each file take, and what of them fails."""

    seconds: dict[str, float]
    failed: list[str]


class Watch:
    """Adds up what the tests of each file come to."""

    def __init__(self) -> None:
        self.found = Measured({}, [])

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.failed:
            self.found.failed.append(report.nodeid)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        file = report.nodeid.partition("::")[0]
        before_s = self.found.seconds.get(file, 0.0)
        self.found.seconds[file] = before_s + report.duration
        if report.failed:
            self.found.failed.append(report.nodeid)


def try_mutant(
    module: str, path: Path, tree: ast.Module, files: Sequence[Path], *, within_s: float
) -> Outcome:
    """Return what becomes of the tests in ``files`` where ``module`` is the mutant in
    ``tree``.
    """
    child = os.fork()
    if child == 0:
        sys.meta_path.insert(0, _Finder(module, path, tree))
        _run(files, [])
    return _awaited(child, within_s)


def measure(files: Sequence[Path]) -> dict[Path, float]:
    """Return how many seconds the tests of each file take as they are; ``SystemExit``
    where any fails, with its name.
    """
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        watch = Watch()
        _run(
            files,
            [watch],
            tell=lambda: _write_all(writing, msgspec.json.encode(watch.found)),
        )
    os.close(writing)
    with os.fdopen(reading, "rb") as told:
        text = told.read()
    outcome = _awaited(child, 60.0)
    if not text:
        sys.exit("the tests came to no end without any mutant; run them by hand")
    found = msgspec.json.decode(text, type=Measured)
    if outcome != "survived":
        names = "\n".join(found.failed)
        sys.exit(f"these tests fail without any mutant; mend them first:\n{names}")
    root = Path(__file__).parents[2]
    return {root / name: taken_s for name, taken_s in found.seconds.items()}


def _write_all(file: int, text: bytes) -> None:
    # a pipe takes no more at once than it has room for
    while text:
        text = text[os.write(file, text) :]


def _run(
    files: Sequence[Path], plugins: Sequence[object], *, tell: object = None
) -> None:
    """Run the tests and end this process with their result, whatever happens."""
    code: int = 70
    try:
        quiet = os.open(os.devnull, os.O_WRONLY)
        os.dup2(quiet, 1)
        os.dup2(quiet, 2)
        code = int(pytest.main([*_QUIET, *map(str, files)], plugins=list(plugins)))
        if callable(tell):
            tell()
    finally:
        os._exit(code)


def _awaited(child: int, within_s: float) -> Outcome:
    until = time.monotonic() + within_s
    while time.monotonic() < until:
        ended, status = os.waitpid(child, os.WNOHANG)
        if ended:
            return "survived" if os.waitstatus_to_exitcode(status) == 0 else "killed"
        time.sleep(0.02)
    os.kill(child, 9)
    os.waitpid(child, 0)
    return "hangs"
