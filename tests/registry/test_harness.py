"""The tests' own rules hold: nothing outside this machine is reached, and both
databases are counted.
"""

import socket

import pytest

from support.tally import Tally


def test_no_test_can_reach_another_machine() -> None:
    elsewhere = ("192.0.2.1", 9)  # an address reserved for documentation (RFC 5737)
    with (
        socket.socket() as asking,
        pytest.raises(RuntimeError, match="only this machine"),
    ):
        asking.connect(elsewhere)


def passed(nodeid: str) -> pytest.TestReport:
    return pytest.TestReport(
        nodeid=nodeid,
        location=("", 0, ""),
        keywords={},
        outcome="passed",
        longrepr=None,
        when="call",
    )


def test_a_database_is_counted_by_the_parameter_and_not_by_the_tests_name(
    pytestconfig: pytest.Config,
) -> None:
    tally = Tally(pytestconfig)
    for nodeid in (
        "a.py::test_sqlite_alone",
        "a.py::test_x[vehicles-sqlite]",
        "a.py::test_x[postgresql-sqlite_like]",
    ):
        tally.pytest_runtest_logreport(passed(nodeid))
    assert tally.even
    tally.pytest_runtest_logreport(passed("a.py::test_y[postgresql]"))
    assert not tally.even
