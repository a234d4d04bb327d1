"""One test that walks many values: the promise of a test for each, with the fixtures of
one.
"""

import functools
import inspect
from collections.abc import Callable, Iterable
from typing import Any

import pytest

Test = Callable[..., None]
Values = Iterable[Any] | Callable[[], Iterable[Any]]


def at_each(names: str, values: Values) -> Callable[[Test], Test]:
    """Run a test at each of ``values`` in turn, and tell together all that fail, each
    with the value that it fails at.

    Written as ``pytest.mark.parametrize`` is, for where a test's fixtures cost more
    than what it looks at; what it does at one value may mean nothing to the next. A
    function gives values that take long to make. Fails where there is no value.
    """
    parameters = [name.strip() for name in names.split(",")]

    def walking(test: Test) -> Test:
        @functools.wraps(test)
        def walked(**fixtures: Any) -> None:
            every = list(values() if callable(values) else values)
            assert every, "there is nothing to look at"
            failed = []
            for value in every:
                given = (value,) if len(parameters) == 1 else value
                try:
                    test(**fixtures, **dict(zip(parameters, given, strict=True)))
                except (Exception, pytest.fail.Exception) as failure:  # noqa: BLE001 all are told
                    failure.add_note(f"at {names} = {value!r}")
                    failed.append(failure)
            if failed:
                raise BaseExceptionGroup(f"at {len(failed)} of {len(every)}", failed)

        shown = inspect.signature(test)
        fixtures = [
            one for name, one in shown.parameters.items() if name not in parameters
        ]
        # from which pytest reads the fixtures that are asked for
        vars(walked)["__signature__"] = shown.replace(parameters=fixtures)
        return walked

    return walking
