"""A question declares itself once: every declaration is in the catalogue, and nothing
else in the service names a question.
"""

import pkgutil
from collections import Counter
from importlib import import_module
from pathlib import Path

import pytest

import standage
import standage.questions
from standage.questions.catalogue import QUESTIONS, every_question
from standage.questions.question import Drawing, InPages, OnRecord, Question

SERVICE = Path(standage.__file__).parent
DECLARATIONS = (Question, OnRecord, InPages, Drawing)
KNOWN = [one.id for one in every_question()]


def test_every_declaration_of_every_file_is_in_the_catalogue_once() -> None:
    names = [one.name for one in pkgutil.iter_modules(standage.questions.__path__)]
    declared = {
        id(value)
        for name in names
        for value in vars(import_module(f"standage.questions.{name}")).values()
        if isinstance(value, DECLARATIONS)
    }
    listed = [id(one) for one in QUESTIONS]
    assert len(listed) == len(set(listed))
    assert set(listed) == declared


def test_no_two_questions_have_one_name_or_one_address() -> None:
    names = Counter(KNOWN)
    addresses = Counter(one.at for one in every_question())
    assert [name for name, times in (names | addresses).items() if times > 1] == []


@pytest.mark.parametrize("name", KNOWN)
def test_only_its_own_file_names_a_question(name: str) -> None:
    naming = [
        path.relative_to(SERVICE).as_posix()
        for path in SERVICE.rglob("*.py")
        if f'"{name}"' in path.read_text("utf-8")
    ]
    assert len(naming) == 1
    assert naming[0].startswith("questions/")
