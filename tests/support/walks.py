"""One test that walks many values: the promise of a test for each, with the fixtures of
one. And what two databases share between them.
"""

import functools
import inspect
from collections.abc import Callable, Iterable
from typing import Any

import pytest

from support.tally import DATABASES

Test = Callable[..., None]
Values = Iterable[Any] | Callable[[], Iterable[Any]]


def half_at(dialect: str, values: Iterable[Any]) -> list[Any]:
    """Return every second of ``values``, the others at the other database.

    For what has nothing of a database, such as what is refused before one is asked: the
    test stands at both, and each value is looked at once.
    """
    return list(values)[DATABASES.index(dialect) :: len(DATABASES)]


def at_each(
    names: str, values: Values, *, halved: bool = False
) -> Callable[[Test], Test]:
    """Run a test at each of ``values`` in turn, and tell together all that fail, each
    with the value that it fails at.

    Written as ``pytest.mark.parametrize`` is, for where a test's fixtures cost more
    than what it looks at; what it does at one value may mean nothing to the next. A
    function gives values that take long to make. Fails where there is no value. Of a
    test at both databases that is ``halved``, each has ``half_at`` of the values.
    """
    parameters = [name.strip() for name in names.split(",")]

    def walking(test: Test) -> Test:
        @functools.wraps(test)
        def walked(**fixtures: Any) -> None:
            every = list(values() if callable(values) else values)
            if halved:
                every = half_at(_database_of(fixtures.pop("request")), every)
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
        if halved:
            asking = inspect.Parameter("request", inspect.Parameter.KEYWORD_ONLY)
            fixtures.append(asking)
        # from which pytest reads the fixtures that are asked for
        vars(walked)["__signature__"] = shown.replace(parameters=fixtures)
        return walked

    return walking


def _database_of(request: pytest.FixtureRequest) -> str:
    """Return which database a test is at."""
    given = set(request.node.callspec.params.values())
    return next(database for database in DATABASES if database in given)
