"""A whole club moved by its two commands, as somebody types them: from SQLite to
PostgreSQL and back, or not at all.

What it means on each database is in registry/test_club_document.py. A process is slow
to start: what is refused is typed into this one.
"""

import json
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from contract.serving import environment, typed_here
from standage.exchange.json_parts import MOST_BYTES
from standage.registry.database.engine import Database, open_database
from standage.registry.forgetting.erasures import Erasure, append
from standage.registry.people.credentials import principal_for
from standage.registry.records.reading import Reading
from support.clubs import MADE, NOW, new_club
from support.databases import contents, copied
from support.patience import PATIENCE_S


@dataclass(frozen=True, kw_only=True)
class Desk:
    """Where somebody types: a folder with a club's document in it, and the club as it
    was there.
    """

    folder: Path
    club_id: str
    steward_id: str

    @property
    def document(self) -> Path:
        return self.folder / "club.json"

    def typed(
        self, database: Database, *words: str
    ) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "standage", *words],
            cwd=self.folder,
            env=self._environment(database),
            capture_output=True,
            text=True,
            check=False,
            timeout=PATIENCE_S,
        )

    def typed_here(
        self, database: Database, *words: str
    ) -> subprocess.CompletedProcess[str]:
        """Carry a command out without a process of its own."""
        return typed_here(*words, folder=self.folder, env=self._environment(database))

    def _environment(self, database: Database) -> dict[str, str]:
        return environment(database.url) | {"STANDAGE_ERASURES_FILE": "list"}

    def refuses(self, database: Database, *words: str) -> list[str]:
        """See that a command changes nothing and prints nothing; return what it says
        instead.
        """
        before, files = contents(database), sorted(self.folder.iterdir())
        ended = self.typed_here(database, *words)
        assert (ended.returncode, ended.stdout) == (2, "")
        assert (contents(database), sorted(self.folder.iterdir())) == (before, files)
        return ended.stderr.splitlines()


@pytest.fixture(scope="module")
def there(
    migrated_sqlite: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Database]:
    """Give the database that the club comes from."""
    opened = open_database(copied(migrated_sqlite, tmp_path_factory.mktemp("there")))
    yield opened
    opened.dispose()


@pytest.fixture(scope="module")
def exported(there: Database, tmp_path_factory: pytest.TempPathFactory) -> Desk:
    club = new_club(there)
    for kind in MADE:
        club.make_sample(kind, f"Sample of {kind.name}")
    desk = Desk(
        folder=tmp_path_factory.mktemp("desk"),
        club_id=club.club_id,
        steward_id=club.steward_id,
    )
    ended = desk.typed(there, "export-club", club.club_id, "club.json")
    assert (ended.returncode, ended.stdout) == (0, ""), ended.stderr
    assert (
        ended.stderr
        == f"The club is in club.json ({desk.document.stat().st_size:,} bytes).\n"
    )
    return desk


@pytest.fixture
def desk(exported: Desk, tmp_path: Path) -> Desk:
    (tmp_path / "desk").mkdir()
    desk = replace(exported, folder=tmp_path / "desk")
    shutil.copy(exported.document, desk.document)
    return desk


def test_a_club_goes_and_comes_back_byte_for_byte(
    desk: Desk, postgresql_database: Database, sqlite_database: Database
) -> None:
    (desk.folder / "list").touch()
    document = desk.document.read_bytes()
    counts = {part: len(json.loads(document)[part]) for part in ("records", "history")}
    for database, came, goes in (
        (postgresql_database, "club.json", "one.json"),
        (sqlite_database, "one.json", "two.json"),
    ):
        ended = desk.typed(database, "import-club", came)
        assert ended.returncode == 0, ended.stderr
        assert (
            ended.stderr
            == f"{counts['records']} records and {counts['history']} changes came.\n"
        )
        way_in = json.loads(ended.stdout)
        assert (way_in["club_id"], way_in["member_id"]) == (
            desk.club_id,
            desk.steward_id,
        )
        with database.read() as connection:
            principal = principal_for(
                Reading(connection), way_in["token"], datetime.now(UTC)
            )
        assert principal is not None
        assert principal.role == "steward"
        assert desk.typed(database, "export-club", desk.club_id, goes).returncode == 0
        assert (desk.folder / goes).read_bytes() == document


def test_a_club_that_is_here_already_is_refused_with_its_conflicts(
    desk: Desk, database: Database
) -> None:
    came = desk.typed_here(database, "import-club", "club.json")
    assert came.returncode == 0, came.stderr
    (said,) = came.stderr.splitlines()[1:]
    assert said.startswith(
        "There is no list of erasures (list). If members were erased since the document"
        " was written"
    )
    assert said.endswith("they are back: erase them again.")
    records = json.loads(desk.document.read_text())["records"]
    first, *conflicts = desk.refuses(database, "import-club", "club.json")
    assert first == "standage: nothing of club.json was recorded:"
    assert len(conflicts) == len(records)
    vehicle = next(
        one for one in records if one["body"].get("name") == "Sample of vehicles"
    )
    assert (
        conflicts[0]
        == f"  the club Harbour Bridge Model Railway Club ({desk.club_id}) is here"
        " already"
    )
    assert (
        f"  the vehicle Sample of vehicles ({vehicle['id']}) is here already"
        in conflicts
    )


def test_what_is_no_sound_document_changes_nothing_and_is_told_where_it_is_wrong(
    desk: Desk, sqlite_database: Database
) -> None:
    whole = json.loads(desk.document.read_text())
    nothing = "standage: nothing of club.json was recorded:"
    desk.document.write_bytes(desk.document.read_bytes()[:-9])
    assert desk.refuses(sqlite_database, "import-club", "club.json") == [
        nothing,
        (
            "  the file cannot be read as a club's document: one of its parts is no"
            " sound JSON, or far too large"
        ),
    ]
    number = next(
        at
        for at, one in enumerate(whole["records"], start=1)
        if one["kind"] == "vehicles"
    )
    whole["records"][number - 1]["body"]["length_mm"] = -1
    desk.document.write_text(json.dumps(whole))
    said = desk.refuses(sqlite_database, "import-club", "club.json")
    assert said == [
        nothing,
        f"  record {number}, body/length_mm: -1 must be more than 0",
    ]


def test_a_file_that_is_too_large_or_not_there_changes_nothing(
    desk: Desk, sqlite_database: Database
) -> None:
    with desk.document.open("r+b") as stream:
        stream.truncate(MOST_BYTES + 1)
    assert desk.refuses(sqlite_database, "import-club", "club.json") == [
        "standage: club.json is longer than 64 MB; nothing of it was recorded"
    ]
    assert desk.refuses(sqlite_database, "import-club", "none.json") == [
        "standage: none.json cannot be read: No such file or directory"
    ]


def test_no_file_is_written_over_and_none_half(
    desk: Desk, exported: Desk, there: Database
) -> None:
    assert exported.document.stat().st_mode & 0o077 == 0
    assert desk.refuses(there, "export-club", desk.club_id, "club.json") == [
        (
            "standage: there is a file club.json already; it was left as it was. Choose"
            " another name"
        )
    ]
    assert desk.refuses(there, "export-club", desk.club_id, "no/where.json") == [
        "standage: no/where.json cannot be written: No such file or directory"
    ]
    assert desk.refuses(there, "export-club", desk.steward_id, "new.json") == [
        "standage: there is no such club"
    ]


def test_whoever_was_erased_since_does_not_come_back(
    desk: Desk, sqlite_database: Database
) -> None:
    records = json.loads(desk.document.read_text())["records"]
    gone = next(
        one for one in records if one["body"].get("name") == "Sample of members"
    )
    append(
        desk.folder / "list",
        Erasure(club_id=desk.club_id, member_id=gone["id"], at=NOW),
    )
    ended = desk.typed_here(sqlite_database, "import-club", "club.json")
    assert ended.returncode == 0, ended.stderr
    assert ended.stderr.splitlines()[1:] == [
        (
            "Members in it who had been erased since are erased again (1); run: standage"
            " wipe"
        )
    ]
    assert "Sample of members" not in str(contents(sqlite_database))
