"""Which tests a module is held to: those of its room, then the nearest by imports, as a
bound on their time lets in.
"""

import ast
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path

TESTS = Path(__file__).parents[1]
SERVICE = TESTS.parent / "service"
ROOMS = ("railway", "laws", "published", "questions")
"""The tests of pure rooms: the others need databases."""
_FAR = 3


def test_files() -> list[Path]:
    """Return the files of tests that a module of railway/ may be held to."""
    return [
        file for room in ROOMS for file in sorted((TESTS / room).rglob("test_*.py"))
    ]


def modules() -> dict[str, Path]:
    """Return every module that tests reach, by its dotted name."""
    inside = {
        _dotted(file, SERVICE): file for file in (SERVICE / "standage").rglob("*.py")
    }
    return inside | {
        _dotted(file, TESTS): file for file in (TESTS / "support").rglob("*.py")
    }


def near(module: str) -> dict[Path, int]:
    """Return the test files that ``module`` may be held to, and how far each is.

    Those of its own room stand nearest, whatever they import.
    """
    room = module.split(".")[2]
    own = (TESTS / "railway" / room).glob("test_*.py")
    far = distances(module) | dict.fromkeys(own, 0)
    return {file: far[file] for file in test_files() if far.get(file, _FAR) < _FAR}


def nearest(module: str, seconds: Mapping[Path, float], *, most_s: float) -> list[Path]:
    """Return the test files nearest to ``module``, the quickest of like ones first,
    that together take ``most_s``.
    """
    ordered = sorted(
        (steps, seconds.get(file, 1.0), file) for file, steps in near(module).items()
    )
    chosen: list[Path] = []
    taken_s = 0.0
    for _, file_s, file in ordered:
        if not chosen or taken_s + file_s <= most_s:
            chosen.append(file)
            taken_s += file_s
    return chosen


@cache
def distances(module: str) -> dict[Path, int]:
    """Return for each test file over how many imports it reaches ``module``: 1 is
    directly.
    """
    users, own = _users(), _used_by_tests()
    reached, layer, steps = {module}, {module}, 0
    found: dict[Path, int] = {}
    while layer:
        steps += 1
        for file, used in own.items():
            if used & layer:
                found.setdefault(file, steps)
        layer = {user for name in layer for user in users[name]} - reached
        reached |= layer
    return found


@cache
def _users() -> dict[str, set[str]]:
    """Return which modules import each module."""
    known = modules()
    users: dict[str, set[str]] = {name: set() for name in known}
    for name, file in known.items():
        for used in _imported(file, known):
            users[used].add(name)
    return users


@cache
def _used_by_tests() -> dict[Path, set[str]]:
    known = modules()
    return {file: set(_imported(file, known)) for file in test_files()}


def _imported(file: Path, known: Mapping[str, Path]) -> Iterator[str]:
    for node in ast.walk(ast.parse(file.read_text("utf-8"))):
        names: Sequence[str] = ()
        if isinstance(node, ast.ImportFrom) and node.module is not None:
            names = (node.module, *(f"{node.module}.{one.name}" for one in node.names))
        elif isinstance(node, ast.Import):
            names = tuple(one.name for one in node.names)
        yield from (name for name in names if name in known)


def _dotted(file: Path, root: Path) -> str:
    parts = file.relative_to(root).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
