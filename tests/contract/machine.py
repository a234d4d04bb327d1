"""The two tools that are not Python's: the OpenAPI linter, fetched by
tests/package-lock.json, and the browser.
"""

import fcntl
import json
import os
import shutil
import subprocess
import sysconfig
from pathlib import Path

from support.patience import PATIENCE_S

TESTS = Path(__file__).parents[1]
LINTER = TESTS / "node_modules" / "@redocly" / "cli" / "bin" / "cli.js"
SCRIPTS = Path(sysconfig.get_path("scripts"))
_BROWSERS = ("chromium", "chromium-browser", "google-chrome")


def browser_program() -> str | None:
    """Return the path of a browser that this machine has, or nothing."""
    return next(filter(None, map(shutil.which, _BROWSERS)), None)


def linted(document: Path) -> list[str]:
    """Return what the strictest set of the linter's rules finds in ``document``, one
    line for each finding.
    """
    _fetch_linter()
    made = _run(
        "node",
        str(LINTER),
        "lint",
        "--extends=recommended-strict",
        "--format=json",
        str(document),
    )
    problems = json.loads(made.stdout)["problems"]
    return [
        f"{problem['ruleId']} {problem['location'][0].get('pointer')}:"
        f" {problem['message']}"
        for problem in problems
    ]


def _fetch_linter() -> None:
    """Fetch it where it is not there yet: one process, while any other that wants it
    waits.
    """
    wanted = json.loads((TESTS / "package.json").read_text())["dependencies"][
        "@redocly/cli"
    ]
    manifest = LINTER.parents[1] / "package.json"
    with (TESTS / "package-lock.json").open() as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if (
            not manifest.exists()
            or json.loads(manifest.read_text())["version"] != wanted
        ):
            fetched = _run("npm", "ci", "--fetch-retries=5")
            assert fetched.returncode == 0, fetched.stderr


def _run(command: str, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run Node's own command from the environment, where the lock has put it, whatever
    the machine has.
    """
    return subprocess.run(
        [SCRIPTS / command, *arguments],
        cwd=TESTS,
        env=os.environ
        | {
            "PATH": f"{SCRIPTS}{os.pathsep}{os.environ['PATH']}",
            "REDOCLY_TELEMETRY": "off",
        },
        capture_output=True,
        text=True,
        check=False,
        timeout=2 * PATIENCE_S,
    )
