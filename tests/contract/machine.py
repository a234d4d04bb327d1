"""The tools that are not Python's: those of tests/package-lock.json, fetched when first
wanted, and the browser.
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
MODULES = TESTS / "node_modules"
LINTER = MODULES / "@redocly" / "cli" / "bin" / "cli.js"
SCRIPTS = Path(sysconfig.get_path("scripts"))
_BROWSERS = ("chromium", "chromium-browser", "google-chrome")


def browser_program() -> str | None:
    """Return the path of a browser that this machine has, or nothing."""
    return next(filter(None, map(shutil.which, _BROWSERS)), None)


def linted(document: Path) -> list[str]:
    """Return what the strictest set of the linter's rules finds in ``document``, one
    line for each finding.
    """
    fetch_tools()
    made = run_tool(
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


def fetch_tools() -> None:
    """Fetch what is not there yet: one process, while any other that wants it waits."""
    wanted = json.loads((TESTS / "package.json").read_text())["dependencies"]
    with (TESTS / "package-lock.json").open() as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if any(_fetched(name) != version for name, version in wanted.items()):
            fetched = run_tool("npm", "ci", "--fetch-retries=5", "--ignore-scripts")
            assert fetched.returncode == 0, fetched.stderr


def _fetched(name: str) -> str | None:
    """Return which version of a tool is there, or nothing."""
    manifest = MODULES / name / "package.json"
    return json.loads(manifest.read_text())["version"] if manifest.exists() else None


def run_tool(command: str, *arguments: str) -> subprocess.CompletedProcess[str]:
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
