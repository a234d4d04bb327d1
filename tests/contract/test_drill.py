"""The page on backing up says what works: its commands, as they stand there, one after
the other in a shell.
"""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from contract.serving import ROOT, environment
from standage.registry.database.engine import Database
from standage.registry.records.bodies import VehicleBody
from standage.registry.records.kinds import VEHICLES
from support.clubs import new_club
from support.patience import PATIENCE_S
from support.ports import free_port

PAGE = ROOT / "deploy" / "backup-and-restore.md"


def commands() -> list[str]:
    """Return the shell commands of the page, in order, each without what it is moved in
    by.
    """
    blocks = re.findall(
        r"^( *)```sh\n(.*?)^ *```$", PAGE.read_text(), re.DOTALL | re.MULTILINE
    )
    return [
        re.sub(f"^{indent}", "", block, flags=re.MULTILINE) for indent, block in blocks
    ]


@pytest.fixture
def programs(tmp_path: Path) -> Path:
    """Give a folder with the program ``standage``, as it is called on the page, and a
    ``date`` that has no midnight.
    """
    folder = tmp_path / "programs"
    folder.mkdir()
    for name, script in {
        "standage": f'exec "{sys.executable}" -m standage "$@"',
        "date": "echo 2026-05-02",
    }.items():
        program = folder / name
        program.write_text(f"#!/bin/sh\n{script}\n")
        program.chmod(0o755)
    return folder


def test_the_drill_and_the_restore_go_as_the_page_says(
    sqlite_database: Database, programs: Path, tmp_path: Path
) -> None:
    club = new_club(sqlite_database)
    club.make(VEHICLES, VehicleBody(name="The brown van"))
    club.database.dispose()
    folder = tmp_path / "club"
    folder.mkdir()
    env = environment(club.database.url) | {
        "PATH": f"{programs}{os.pathsep}{os.environ['PATH']}"
    }
    port = str(free_port())
    script = "set -e\n" + "\n".join(commands()).replace("8621", port)
    ended = subprocess.run(
        ["bash", "-mc", script],
        cwd=folder,
        env=env,
        capture_output=True,
        text=True,
        check=False,
        timeout=PATIENCE_S,
    )
    assert ended.returncode == 0, ended.stderr
    assert '{"status":"ready","writable":true' in ended.stdout
    assert "The brown van" in ended.stdout
    assert "which was read back and is whole" in ended.stderr
    assert ended.stderr.count("are back as they were on") == 2
    assert ended.stderr.count("There is no list of erasures") == 2, (
        "nobody was erased here, but that is not known"
    )
    left = {re.sub(r"\d{4}-\d\d-\d\d", "DAY", one.name) for one in folder.iterdir()}
    assert left == {"club-DAY.backup", "before-DAY.backup", "new-token.json"}


def test_the_page_has_every_step() -> None:
    assert [one.split()[0] for one in commands()] == [
        "standage",
        "STANDAGE_DATABASE_URL=sqlite:///drill.sqlite3",
        "STANDAGE_DATABASE_URL=sqlite:///drill.sqlite3",
        "token=$(grep",
        "kill",
        "standage",
    ]
