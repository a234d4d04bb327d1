"""A running service for the contract's tests, and the choice of what this machine can
test.
"""

from collections.abc import Iterator

import pytest

from contract.machine import browser_program
from contract.serving import Service, environment, serving

LEFT_OUT = pytest.StashKey[int]()


@pytest.fixture(scope="session")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    """Give one service on SQLite, for the tests that only read or make records of their
    own.
    """
    folder = tmp_path_factory.mktemp("service")
    with serving(
        folder=folder, env=environment(f"sqlite:///{folder / 'standage.sqlite3'}")
    ) as running:
        yield running


def pytest_collection_modifyitems(
    config: pytest.Config, items: list[pytest.Item]
) -> None:
    """Leave the browser's tests out, as if not asked for, where this machine has no
    browser.
    """
    if browser_program() is not None:
        return
    for_browser = [item for item in items if item.get_closest_marker("browser")]
    config.stash[LEFT_OUT] = len(for_browser)
    config.hook.pytest_deselected(items=for_browser)
    items[:] = [item for item in items if item not in for_browser]


def pytest_terminal_summary(
    terminalreporter: pytest.TerminalReporter, config: pytest.Config
) -> None:
    """Say so where tests were left out."""
    if config.stash.get(LEFT_OUT, 0):
        terminalreporter.write_line(
            f"{config.stash[LEFT_OUT]} tests left out: no Chromium on this machine"
        )
