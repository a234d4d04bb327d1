"""Which tests a module is held to: those of its room, then the nearest by imports, as a
bound on their time lets in.
"""

import ast
from collections.abc import Iterator, Mapping, Sequence
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


def nearest(module: str, seconds: Mapping[Path, float], *, most_s: float) -> list[Path]:
    """Return the test files nearest to ``module``, the quickest of like ones first,
    that together take ``most_s``.

    Those of its own room stand nearest, whatever they import.
    """
    room = module.split(".")[2]
    far = distances(module) | dict.fromkeys(
        (TESTS / "railway" / room).glob("test_*.py"), 0
    )
    ordered = sorted(
        (far[file], seconds.get(file, 1.0), file)
        for file in test_files()
        if far.get(file, _FAR) < _FAR
    )
    chosen: list[Path] = []
    taken_s = 0.0
    for _, file_s, file in ordered:
        if not chosen or taken_s + file_s <= most_s:
            chosen.append(file)
            taken_s += file_s
    return chosen


def distances(module: str) -> dict[Path, int]:
    """Return for each test file over how many imports it reaches ``module``: 1 is
    directly.
    """
    known = modules()
    imports = {name: set(_imported(file, known)) for name, file in known.items()}
    users = {
        name: {user for user, used in imports.items() if name in used} for name in known
    }
    reached, layer, steps = {module}, {module}, 0
    found: dict[Path, int] = {}
    own = {file: set(_imported(file, known)) for file in test_files()}
    while layer:
        steps += 1
        for file, used in own.items():
            if used & layer:
                found.setdefault(file, steps)
        layer = {user for name in layer for user in users[name]} - reached
        reached |= layer
    return found


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
