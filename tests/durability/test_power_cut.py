"""The power fails at any moment: what was acknowledged is on the disk, since it was
synced before it was said.

STANDAGE_POWER_CUTS says how many moments are tried: as many again lie just after an
acknowledgement (16).
"""

import json
import os
import sqlite3
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from random import Random

import pytest

from durability import audit
from durability.recorded import Disk, Done, Left, recording
from durability.writers import Attempt
from support.databases import copied
from support.tally import TOLD

CUTS = int(os.environ.get("STANDAGE_POWER_CUTS", "8"))
ROUNDS = 14
"""Enough writes that the file takes in its log on the way."""

pytestmark = pytest.mark.strace


@dataclass(frozen=True, kw_only=True)
class Recorded:
    """The files as they were before, and all that was done then."""

    name: str
    before: bytes
    done: list[Done]

    def after(self, moment: int, left: Left, chance: Random) -> dict[str, bytes]:
        disk = Disk({self.name: bytearray(self.before)})
        for one in self.done[:moment]:
            disk.do(one)
        return disk.after_a_cut(left, chance)

    def said(self, moment: int) -> list[Attempt]:
        lines = b"".join(
            one.content for one in self.done[:moment] if one.what == "say"
        ).splitlines()
        return [Attempt(**json.loads(line)) for line in lines]


def recorded(migrated_sqlite: Path, folder: Path, synchronous: str) -> Recorded:
    url = copied(migrated_sqlite, folder)
    file = Path(url.removeprefix("sqlite:///"))
    before = file.read_bytes()
    done = recording(folder / "log", url, str(ROUNDS), synchronous)
    assert len([one for one in done if one.what == "say"]) == 4 * ROUNDS
    return Recorded(name=file.name, before=before, done=done)


def found_wrong(
    before: Recorded, moment: int, files: dict[str, bytes], folder: Path
) -> list[object]:
    """Return all that is wrong once the power is back: damage, acknowledged writes that
    are gone, halves.
    """
    folder.mkdir()
    for name, content in files.items():
        (folder / name).write_bytes(content)
    file = folder / before.name
    connection = sqlite3.connect(file)
    sound = connection.execute("PRAGMA integrity_check").fetchone()[0]
    connection.close()
    found = audit.kept(f"sqlite:///{file}")
    damage = [] if sound == "ok" else [sound]
    return [*damage, *audit.lost(found, before.said(moment)), *found.halves()]


def moments(before: Recorded, chance: Random) -> Iterable[tuple[int, Left]]:
    """Yield moments to cut the power at: just after an acknowledgement, and
    anywhere.
    """
    acknowledged = [
        moment for moment, done in enumerate(before.done, start=1) if done.what == "say"
    ]
    for moment in chance.sample(acknowledged, min(CUTS, len(acknowledged))):
        yield moment, "none"
    for _ in range(CUTS):
        yield (
            chance.randrange(1, len(before.done) + 1),
            chance.choice(("none", "some", "some", "all")),
        )


def test_nothing_acknowledged_is_lost_wherever_the_power_fails(
    migrated_sqlite: Path,
    tmp_path: Path,
    record_property: Callable[[str, object], None],
) -> None:
    chance, before = Random(1), recorded(migrated_sqlite, tmp_path, "FULL")
    assert (
        sum(one.what == "sync" and not one.file.endswith("-wal") for one in before.done)
        > 0
    ), "no log was taken in"
    tried = 0
    for number, (moment, left) in enumerate(moments(before, chance)):
        files = before.after(moment, left, chance)
        assert found_wrong(before, moment, files, tmp_path / str(number)) == [], (
            moment,
            left,
        )
        tried += 1
    record_property(
        TOLD,
        f"sqlite: {tried} power cuts over {4 * ROUNDS} acknowledged writes; none lost",
    )


def test_the_simulation_sees_what_a_weaker_setting_loses(
    migrated_sqlite: Path, tmp_path: Path
) -> None:
    """With ``synchronous = NORMAL`` the log is not synced at each commit, so the last
    writes are gone.
    """
    chance, before = Random(1), recorded(migrated_sqlite, tmp_path, "NORMAL")
    acknowledged = [
        moment for moment, done in enumerate(before.done, start=1) if done.what == "say"
    ]
    lost = sum(
        bool(
            found_wrong(
                before,
                moment,
                before.after(moment, "none", chance),
                tmp_path / str(moment),
            )
        )
        for moment in acknowledged[::8]
    )
    assert lost > 0
