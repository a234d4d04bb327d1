"""The page of each room of the registry names its modules, and a test that is there
for each decision.
"""

import importlib
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
REGISTRY = ROOT / "service" / "standage" / "registry"
ROOMS = sorted(one.parent.name for one in REGISTRY.glob("*/__init__.py"))


def page_of(room: str) -> str:
    return importlib.import_module(f"standage.registry.{room}").__doc__ or ""


@pytest.mark.parametrize("room", ROOMS)
def test_a_page_names_every_module_of_its_room(room: str) -> None:
    modules = {one.stem for one in (REGISTRY / room).glob("*.py")} - {"__init__"}
    named = set(re.findall(r"``([a-z_]+)``", page_of(room)))
    assert modules - named == set()


@pytest.mark.parametrize("room", ROOMS)
def test_each_decision_names_a_test_that_is_there(room: str) -> None:
    decisions = re.split(r"\n- ", page_of(room))[1:]
    assert decisions
    for decision in decisions:
        tests = re.findall(r"tests/[\w/]+\.py", decision)
        assert tests, decision
        assert [one for one in tests if not (ROOT / one).is_file()] == []
