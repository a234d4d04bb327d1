"""The house rules that no linter knows: what may lie where, how long it may be, and
what it may name.
"""

import ast
import fnmatch
import re
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
LEDGER = ROOT / "tests" / "contract" / "long_by_choice.txt"

MOST_LINES_OF_A_FILE = 400
"""Empty ones aside."""

TOP = {
    *("README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml"),
    *("service", "migrations", "tests", "openapi", "deploy"),
}
NUMERIC_PACKAGES = {"msgspec", "numpy", "scipy", "shapely"}
EMPTY_NAMES = {
    "utils",
    "util",
    "helpers",
    "helper",
    "managers",
    "manager",
    "base",
    "common",
    "misc",
}

# Written in parts, so that this file does not name what it looks for.
HOSTS = [
    *(
        "pypi" + ".org",
        "pythonhosted" + ".org",
        "npmjs" + ".org",
        "npmjs" + ".com",
        "yarnpkg" + ".com",
    ),
    *(
        "debian" + ".org",
        "jsdelivr" + ".net",
        "unpkg" + ".com",
        "cdnjs" + ".cloudflare.com",
    ),
]
MACHINE_PATHS = re.compile(
    r"(?<![\w.~/-])/(?:root|home|work|Users|mnt|opt|srv|tmp)/[\w.-]+"
)

INDENTED_IMPORT = re.compile(r"^[ \t]+(?:import|from)\b", re.MULTILINE)
"""Where a function imports, the formatter leaves such a line; to parse all takes
long.
"""

Function = ast.FunctionDef | ast.AsyncFunctionDef


def ignored_names() -> list[str]:
    """Return the patterns of .gitignore; the house keeps to plain names and globs
    there.
    """
    return [
        line.rstrip("/")
        for line in (ROOT / ".gitignore").read_text().splitlines()
        if line
    ]


def files(folder: Path = ROOT) -> Iterator[Path]:
    """Walk what belongs to the project: all but git's own folder and what .gitignore
    names.
    """
    patterns = [".git", *ignored_names()]
    for entry in sorted(folder.iterdir()):
        if any(fnmatch.fnmatch(entry.name, pattern) for pattern in patterns):
            continue
        if entry.is_dir():
            yield from files(entry)
        else:
            yield entry


def named(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


@cache
def sources() -> dict[str, str]:
    return {named(path): path.read_text() for path in files() if path.suffix == ".py"}


def trees(beneath: str = "") -> Iterator[tuple[str, ast.Module]]:
    """Yield each source beneath a folder, parsed."""
    for name, text in sources().items():
        if name.startswith(beneath):
            yield name, ast.parse(text)


@cache
def railway() -> dict[str, ast.Module]:
    return dict(trees("service/standage/railway/"))


def functions(tree: ast.Module) -> Iterator[tuple[str, Function]]:
    """Yield every function with its dotted name within the file."""

    def within(node: ast.AST, prefix: str) -> Iterator[tuple[str, Function]]:
        for child in ast.iter_child_nodes(node):
            if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef):
                yield f"{prefix}{child.name}", child
                yield from within(child, f"{prefix}{child.name}.")
            elif isinstance(child, ast.ClassDef):
                yield from within(child, f"{prefix}{child.name}.")
            else:
                yield from within(child, prefix)

    return within(tree, "")


def too_long() -> dict[str, int]:
    """Return every file beyond its bound, with its lines; functions are bounded by
    ruff, in branches and statements.
    """
    held = {
        name: sum(1 for line in text.splitlines() if line.strip())
        for name, text in sources().items()
    }
    return {name: lines for name, lines in held.items() if lines > MOST_LINES_OF_A_FILE}


def allowed_long() -> dict[str, str]:
    """Read the ledger of what was looked at twice and left long: a name and its reason
    on each line.
    """
    rows = [
        line
        for line in LEDGER.read_text().splitlines()
        if line and not line.startswith("#")
    ]
    return {name: reason for name, _, reason in (row.partition("  ") for row in rows)}


def imported(tree: ast.AST) -> Iterator[str]:
    """Yield the dotted name of every module that is imported."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.module or "."
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def test_the_top_of_the_project_holds_only_what_the_house_names() -> None:
    entries = {named(path).split("/")[0] for path in files()}
    assert {entry for entry in entries if not entry.startswith(".")} == TOP


def test_what_is_too_long_is_listed_with_a_reason_and_nothing_else_is() -> None:
    assert set(too_long()) == set(allowed_long()), too_long()
    assert [
        name for name, reason in allowed_long().items() if len(reason.split()) < 3
    ] == []


def test_no_function_imports_anything() -> None:
    suspects = [
        name for name, text in sources().items() if INDENTED_IMPORT.search(text)
    ]
    assert suspects, "none is parsed"  # texts that speak of it, at the least
    inside = {
        f"{name}:{inner}"
        for suspect in suspects
        for name, tree in trees(suspect)
        for inner, function in functions(tree)
        if any(True for _ in imported(function))
    }
    assert inside == set()


def test_the_railway_imports_the_standard_library_and_declared_numeric_packages_only() -> (
    None
):
    allowed = set(sys.stdlib_module_names) | NUMERIC_PACKAGES
    for name, tree in railway().items():
        roots = {module.split(".")[0] for module in imported(tree)}
        assert roots - allowed <= {"standage"}, name
        assert not any(
            module.startswith("standage.")
            and not module.startswith(("standage.railway", "standage.shapes"))
            for module in imported(tree)
        ), name


def test_the_railway_touches_no_clock_no_file_and_no_unseeded_chance() -> None:
    impure = {
        "asyncio",
        "os",
        "pathlib",
        "random",
        "secrets",
        "socket",
        "sqlite3",
        "subprocess",
        "threading",
        "time",
    }
    touched = {
        f"{name} {module}"
        for name, tree in railway().items()
        for module in imported(tree)
        if module in impure
    }
    assert touched == set()


def test_nothing_in_the_service_opens_a_connection_outwards() -> None:
    outward = {
        "ftplib",
        "http.client",
        "smtplib",
        "telnetlib",
        "urllib.request",
        "xmlrpc.client",
    }
    found = {
        f"{name} {module}"
        for name, tree in trees("service/")
        for module in imported(tree)
        if module in outward
    }
    assert found == set()


def public_functions(scope: ast.Module | ast.ClassDef) -> Iterator[Function]:
    """Yield the functions and methods that others may call; what stands inside a
    function is its own affair.
    """
    for node in scope.body:
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            yield from public_functions(node)
        elif isinstance(
            node, ast.FunctionDef | ast.AsyncFunctionDef
        ) and not node.name.startswith("_"):
            yield node


def test_every_public_function_of_the_railway_says_what_it_means() -> None:
    silent = {
        f"{name}:{function.name}"
        for name, tree in railway().items()
        for function in public_functions(tree)
        if ast.get_docstring(function) is None
    }
    assert len(railway()) > 10
    assert silent == set()


def test_the_railway_s_tests_lie_in_rooms_of_the_same_names() -> None:
    rooms = {
        path.parent.name
        for path in (ROOT / "service/standage/railway").glob("*/__init__.py")
    }
    tests = list((ROOT / "tests/railway").rglob("test_*.py"))
    assert len(tests) > 10
    assert {
        path.relative_to(ROOT / "tests/railway").parts[0] for path in tests
    } <= rooms


def test_files_are_called_by_what_they_hold() -> None:
    assert [name for name in sources() if Path(name).stem in EMPTY_NAMES] == []


@pytest.mark.parametrize(
    "mark", ["noqa", "type: ignore", "pragma: no cover", "fmt: off"]
)
def test_a_silenced_check_gives_its_reason(mark: str) -> None:
    codes = r"(?::\s*[A-Z]+\d+(?:\s*,\s*[A-Z]+\d+)*|\[[\w, -]+\])?"
    silenced = re.compile(rf"#\s*{mark}{codes}(?P<rest>.*)$")
    bare = [
        f"{name}:{number}"
        for name, text in sources().items()
        for number, line in enumerate(text.splitlines(), start=1)
        if (found := silenced.search(line))
        and re.search(r"[A-Za-z']{3,}", found["rest"] or "") is None
    ]
    assert bare == []


def test_no_file_names_a_package_registry_or_a_folder_of_somebodys_machine() -> None:
    naming = []
    for path in files():
        text = path.read_text(errors="replace")
        naming += [f"{named(path)}: {host}" for host in HOSTS if host in text]
        naming += [f"{named(path)}: {found}" for found in MACHINE_PATHS.findall(text)]
    assert naming == []


@pytest.mark.parametrize("lock", ["requirements.txt", "requirements-dev.txt"])
def test_a_lock_pins_and_hashes_every_package_and_names_no_host(lock: str) -> None:
    text = (ROOT / "deploy" / lock).read_text()
    entries = re.split(r"\n(?=\S)", text.replace("\\\n", " ").strip())
    packages = [entry for entry in entries if not entry.startswith("#")]
    assert len(packages) > 20
    assert [
        entry[:40]
        for entry in packages
        if "==" not in entry or "--hash=sha256:" not in entry
    ] == []
    assert "://" not in text
