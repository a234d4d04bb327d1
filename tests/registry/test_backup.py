"""A backup is one moment, proves itself whole, and never takes another file's place."""

from functools import partial
from pathlib import Path
from threading import Event, Thread

import pytest

from standage.registry.database.engine import Database
from standage.registry.moving.backup import back_up
from standage.registry.moving.backup_file import BadBackup
from standage.registry.records.bodies import LayoutBody, VehicleBody
from standage.registry.records.kinds import LAYOUTS, VEHICLES
from standage.shapes.refusals import Unready
from support.clubs import NOW, Club, new_club
from support.patience import until


def test_a_file_that_is_there_is_never_written_over(club: Club, tmp_path: Path) -> None:
    path = tmp_path / "minutes.txt"
    path.write_text("of the meeting")
    with pytest.raises(BadBackup, match="left as it was"):
        back_up(club.database, path, NOW)
    assert (path.read_text(), [one.name for one in tmp_path.glob("*minutes*")]) == (
        "of the meeting",
        ["minutes.txt"],
    )


def test_a_folder_that_is_not_there_is_said_so(club: Club, tmp_path: Path) -> None:
    with pytest.raises(
        BadBackup, match=r"cannot be written .*No such file or directory"
    ):
        back_up(club.database, tmp_path / "missing" / "club.backup", NOW)


def test_only_its_owner_may_read_a_backup_and_nothing_else_is_left(file: Path) -> None:
    assert file.stat().st_mode & 0o777 == 0o600
    assert list(file.parent.glob(".*.part")) == []


def test_a_backup_that_breaks_off_leaves_no_file(
    club: Club, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("standage.registry.moving.backup._count", fail)
    with pytest.raises(BadBackup, match="No space left"):
        back_up(club.database, tmp_path / "club.backup", NOW)
    assert [one.name for one in tmp_path.iterdir() if "backup" in one.name] == []


def test_a_backup_that_does_not_read_back_is_not_kept(
    club: Club, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        "standage.registry.database.durable_files.os.fsync", lambda _: spoil(tmp_path)
    )
    with pytest.raises(BadBackup, match="not a whole backup"):
        back_up(club.database, tmp_path / "club.backup", NOW)
    assert [one.name for one in tmp_path.iterdir() if "backup" in one.name] == []


def spoil(folder: Path) -> None:
    """Change a byte in the middle of the backup that is being written, as a bad disk
    would.
    """
    (part,) = folder.glob(".club.backup.*.part")
    written = bytearray(part.read_bytes())
    written[len(written) // 2] ^= 0xFF
    part.write_bytes(written)


def test_a_damaged_database_is_not_backed_up_as_if_it_were_whole(
    sqlite_database: Database, tmp_path: Path
) -> None:
    new_club(sqlite_database)
    with sqlite_database.read() as connection:
        page = (
            connection.exec_driver_sql(
                "SELECT rootpage FROM sqlite_master WHERE name = 'yards'"
            ).scalar()
            or 0
        )
        size = connection.exec_driver_sql("PRAGMA page_size").scalar() or 0
    sqlite_database.dispose()
    path = Path(sqlite_database.url.removeprefix("sqlite:///"))
    content = bytearray(path.read_bytes())
    content[(page - 1) * size : page * size] = b"\xff" * size
    path.write_bytes(content)
    with pytest.raises(Unready, match="damaged"):
        back_up(sqlite_database, tmp_path / "club.backup", NOW)


def _more_than(before: int, written: list[int], failed: list[Exception]) -> bool:
    return len(written) > before or bool(failed)


def test_a_backup_is_one_moment_while_four_write(
    no_hurry: None, database: Database, tmp_path: Path
) -> None:
    """Each of the four makes a vehicle and a layout in one transaction: a snapshot has
    as many of each.
    """
    club = new_club(database)
    enough = Event()
    failed: list[Exception] = []
    written: list[int] = []

    def make(writer: int) -> None:
        number = 0
        while not enough.is_set():
            number += 1
            try:
                with club.writing() as writing:
                    writing.create(VEHICLES, club.permit, VehicleBody(name="Van"))
                    writing.create(
                        LAYOUTS, club.permit, LayoutBody(name=f"{writer} {number}")
                    )
                written.append(number)
            except Exception as error:  # noqa: BLE001 - whatever it is, the test shows it
                failed.append(error)

    writers = [Thread(target=make, args=(number,)) for number in range(4)]
    for writer in writers:
        writer.start()
    try:
        done = []
        for number in range(4):
            until(partial(_more_than, len(written), written, failed))
            done.append(back_up(club.database, tmp_path / f"{number}.backup", NOW).rows)
    finally:
        enough.set()
        for writer in writers:
            writer.join()
    assert failed == []
    assert [rows["vehicles"] - rows["layouts"] for rows in done] == [0, 0, 0, 0]
    assert [rows["history"] - 2 * rows["vehicles"] for rows in done] == [3, 3, 3, 3]
    assert done[0]["vehicles"] < done[-1]["vehicles"]
