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


class Seconds:
    """Adds up how long the tests of each file take."""

    def __init__(self) -> None:
        self.of: dict[str, float] = {}

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        file = report.nodeid.partition("::")[0]
        self.of[file] = self.of.get(file, 0.0) + report.duration


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
    where any fails.
    """
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        seconds = Seconds()
        _run(
            files,
            [seconds],
            tell=lambda: os.write(writing, msgspec.json.encode(seconds.of)),
        )
    os.close(writing)
    with os.fdopen(reading, "rb") as told:
        found = msgspec.json.decode(told.read() or b"{}", type=dict[str, float])
    if _awaited(child, 60.0) != "survived":
        sys.exit("the tests fail without any mutant; mend them first")
    return {Path.cwd() / name: taken_s for name, taken_s in found.items()}


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
