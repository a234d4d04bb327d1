"""The worked examples in the railway's docstrings: a reader may copy any of them."""

import doctest
import importlib
import pkgutil

import pytest

from standage import railway

MODULES = [
    found.name for found in pkgutil.walk_packages(railway.__path__, "standage.railway.")
]


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_in_the_docstrings_are_true(name: str) -> None:
    assert doctest.testmod(importlib.import_module(name)).failed == 0


def test_there_are_examples_to_try() -> None:
    assert (
        sum(
            doctest.testmod(importlib.import_module(name)).attempted for name in MODULES
        )
        > 10
    )
