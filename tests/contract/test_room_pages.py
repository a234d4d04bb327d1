"""Each room's page names tests that there are, and each public function of the rooms
that have such a page names its source.
"""

import ast
import re
from pathlib import Path

import pytest

import standage.railway

RAILWAY = Path(standage.railway.__file__).parent
TREE = RAILWAY.parents[2]
ROOMS = (
    "published",
    *("terms", "slips", "climbs", "pointwork", "roads", "modules", "stock", "standing"),
    *("passing", "storing", "longest", "shunting", "moves", "moves/meeting"),
    *("lineside", "curving", "alterations", "materials", "polarity"),
    *("track/plans", "track/placing", "track/network", "track/roads", "track/survey"),
    *("track/fouling", "track/paths", "track/pieces"),
)
_TEST = re.compile(r"\btests/[\w/]+\.py")


@pytest.mark.parametrize("room", ROOMS)
def test_a_page_names_tests_that_there_are(room: str) -> None:
    page = (RAILWAY / room / "__init__.py").read_text()
    named = _TEST.findall(page)
    assert named
    assert [path for path in named if not (TREE / path).is_file()] == []


def public_functions(path: Path) -> list[ast.FunctionDef]:
    tree = ast.parse(path.read_text())
    functions = [node for node in tree.body if isinstance(node, ast.FunctionDef)]
    return [one for one in functions if not one.name.startswith("_")]


@pytest.mark.parametrize("room", ROOMS)
def test_every_public_function_of_a_room_names_its_source(room: str) -> None:
    functions = {
        f"{path.name}: {function.name}": ast.get_docstring(function) or ""
        for path in sorted((RAILWAY / room).glob("*.py"))
        for function in public_functions(path)
    }
    assert functions
    assert [name for name, said in functions.items() if "**Source**" not in said] == []
