"""How many tests passed on each database; of a whole run the two must be the same. And
the figures that tests tell.
"""

import pytest

DATABASES = ("sqlite", "postgresql")
TOLD = "told"
"""A test tells a line of figures by ``record_property(TOLD, line)``, printed at the
end, whichever process ran it.
"""


class Tally:
    """A plugin that counts, says so at the end, and fails a whole run whose counts
    differ.
    """

    def __init__(self, config: pytest.Config) -> None:
        self._whole = (
            config.args_source is pytest.Config.ArgsSource.TESTPATHS
            and not any(
                config.getoption(option, default=None)
                for option in ("keyword", "lf", "failedfirst", "deselect", "maxfail")
            )
        )
        self._passed = dict.fromkeys(DATABASES, 0)
        self._skipped = 0
        self._told: list[str] = []

    @property
    def even(self) -> bool:
        return len(set(self._passed.values())) == 1

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self._skipped += report.skipped
        if report.when == "call":
            self._told += [
                str(line) for name, line in report.user_properties if name == TOLD
            ]
        if report.when == "call" and report.passed:
            for database in DATABASES:
                self._passed[database] += database in _parameters(report.nodeid)

    @pytest.hookimpl(tryfirst=True)
    def pytest_sessionfinish(self, session: pytest.Session, exitstatus: int) -> None:
        if self._whole and exitstatus == pytest.ExitCode.OK and not self.even:
            session.exitstatus = pytest.ExitCode.TESTS_FAILED

    def pytest_terminal_summary(
        self, terminalreporter: pytest.TerminalReporter
    ) -> None:
        counts = ", ".join(
            f"{count} on {database}" for database, count in self._passed.items()
        )
        for line in self._told:
            terminalreporter.write_line(line)
        uneven = "" if self.even or not self._whole else ": they must be the same"
        terminalreporter.write_line(
            f"passed on each database: {counts}; {self._skipped} skipped{uneven}"
        )


def _parameters(nodeid: str) -> list[str]:
    _, _, inside = nodeid.partition("[")
    return inside.rstrip("]").split("-")
